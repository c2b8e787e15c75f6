"""Edge-to-edge cuts: every part freed, in an order, or a plain no."""

from __future__ import annotations

from collections.abc import Iterator

from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.checking.cuts import cut_faults
from nesting.job import CutMethod, Cutting, Stock
from nesting.outline import Box, rectangle
from nesting.placing.cuttrees import inside_corners
from nesting.plan import PlacedPart, Plan, SheetLayout, Status
from nesting.plans.cutorder import CutUp, cut_order
from nesting.plans.cutorder import settings as settings_needed
from tests.plain_sides import job_of

PINWHEEL: list[Box] = [(0, 0, 60, 40), (60, 0, 100, 60), (40, 60, 100, 100), (0, 40, 40, 100)]


def faults(length: float, width: float, parts: list[Box], found: CutUp, cutting: Cutting) -> list[str]:
    """What the check says when it makes the cuts again."""
    placed = tuple(PlacedPart(f"part {i}", rectangle(*box), (), 0.0, False) for i, box in enumerate(parts))
    sheet = SheetLayout(Stock("sheet", width, length, 1.0), placed, found.cuts)
    plan = Plan(Status.FEASIBLE, 0.0, (), (), (sheet,), 0.0)
    return list(cut_faults(job_of(cutting=cutting), plan))


def test_part_as_large_as_the_sheet_needs_no_cut() -> None:
    assert cut_order(100, 50, [(0, 0, 100, 50)], None) == CutUp((), ())


def test_part_in_the_middle_is_freed_on_all_four_sides() -> None:
    found = cut_order(100, 50, [(10, 10, 60, 40)], None)
    assert found is not None
    assert len(found.cuts) == 4
    assert faults(100, 50, [(10, 10, 60, 40)], found, Cutting(CutMethod.SHEAR)) == []


def test_four_parts_round_a_pinwheel_cannot_be_cut_edge_to_edge() -> None:
    assert cut_order(100, 100, PINWHEEL, None) is None


def test_cuts_go_on_in_the_part_they_begin_in_and_are_numbered() -> None:
    found = cut_order(100, 50, [(0, 0, 40, 50), (40, 0, 100, 20), (40, 20, 100, 50)], None)
    assert found is not None
    assert [(cut.order, cut.axis, cut.at) for cut in found.cuts] == [(1, "x", 40), (2, "y", 20)]


def test_what_is_left_over_comes_off_in_the_largest_piece_that_is_worth_keeping() -> None:
    # beside the part lies a strip of 60 x 100, above it one of 100 x 50 is less: the first is cut off whole
    found = cut_order(100, 100, [(0, 0, 40, 50)], None, keep=30)
    assert found is not None
    assert found.left_over[-1] == (40, 0, 100, 100)
    assert found.cuts[0].axis == "x"


def test_no_cut_is_longer_than_the_shear() -> None:
    # along the whole length the shear is too short: the sheet is cut across first
    parts: list[Box] = [(0, 0, 50, 20), (50, 0, 100, 20)]
    found = cut_order(100, 40, parts, 60)
    assert found is not None
    assert found.cuts[0].axis == "x"
    assert faults(100, 40, parts, found, Cutting(CutMethod.SHEAR, shear_length=60)) == []
    assert cut_order(100, 40, parts, 49) is None
    assert cut_order(100, 40, [(0, 0, 100, 20)], 60) is None


def test_one_cut_parts_what_a_kerf_keeps_apart() -> None:
    parts: list[Box] = [(0, 0, 497, 300), (500, 0, 1000, 300)]
    found = cut_order(1000, 300, parts, None, kerf=3.0)
    assert found is not None
    assert [(cut.axis, cut.at) for cut in found.cuts] == [("x", 497)]
    assert faults(1000, 300, parts, found, Cutting(CutMethod.HAND, kerf=3.0)) == []


def test_cut_before_a_part_takes_its_kerf_from_the_rim() -> None:
    # a rim of 10 less 3 for the cut; one of 2 goes all to chips
    for rim, left in ((10.0, [(0.0, 0.0, 7.0, 50.0)]), (2.0, [])):
        part: Box = (rim, 0, 100, 50)
        found = cut_order(100, 50, [part], None, kerf=3.0)
        assert found is not None
        assert list(found.left_over) == left
        assert faults(100, 50, [part], found, Cutting(CutMethod.HAND, kerf=3.0)) == []


def test_piece_after_a_kerf_is_measured_from_its_own_edge() -> None:
    parts: list[Box] = [(0, 0, 100, 50), (103, 0, 203, 50), (206, 0, 306, 50)]
    found = cut_order(306, 50, parts, None, kerf=3.0)
    assert found is not None
    assert [cut.from_datum for cut in found.cuts] == [100, 100]
    assert settings_needed(found.cuts) == 1


def test_largest_piece_is_left_whole_though_another_rim_is_larger_at_first() -> None:
    # of 700 x 400: the strip above both parts is 700 x 200, beside the upright one lies 600 x 300
    parts: list[Box] = [(0, 0, 100, 200), (100, 0, 600, 100)]
    found = cut_order(700, 400, parts, None, keep=150)
    assert found is not None
    assert (100, 100, 700, 400) in found.left_over
    assert faults(700, 400, parts, found, Cutting(CutMethod.SHEAR)) == []


def test_strips_and_squares_of_one_size_are_cut_at_one_stop() -> None:
    # the strip of squares comes off at 200, so do the squares
    parts: list[Box] = [(0, 0, 2300, 650), (0, 650, 200, 850), (200, 650, 400, 850)]
    found = cut_order(2400, 900, parts, None, keep=300, thorough=True)
    assert found is not None
    assert len(found.cuts) == 5
    assert settings_needed(found.cuts) == 3


def test_corners_inside_count_only_where_no_cut_from_edge_to_edge_is_left() -> None:
    sheet: Box = (0, 0, 100, 100)
    assert inside_corners(sheet, PINWHEEL, 0.0) == 4
    assert inside_corners(sheet, PINWHEEL[:3], 0.0) == 0
    # the same round a hole, after a strip is cut off
    assert inside_corners((0, 0, 150, 100), [*PINWHEEL, (100, 0, 150, 70)], 0.0) == 4


@st.composite
def cut_up_sheets(draw: st.DrawFn) -> tuple[list[Box], float]:
    """Parts that a sheet of 1000 x 600 was cut into at random, some pieces thrown away, and the spacing kept."""
    spacing = draw(st.sampled_from([0.0, 3.0]))

    def pieces(box: Box, depth: int) -> Iterator[Box]:
        x0, y0, x1, y1 = box
        axis = draw(st.sampled_from("xy-")) if depth else "-"
        if axis == "x" and x1 - x0 > 60:
            at = draw(st.integers(int(x0) + 20, int(x1) - 20))
            yield from pieces((x0, y0, at, y1), depth - 1)
            yield from pieces((at + spacing, y0, x1, y1), depth - 1)
        elif axis == "y" and y1 - y0 > 60:
            at = draw(st.integers(int(y0) + 20, int(y1) - 20))
            yield from pieces((x0, y0, x1, at), depth - 1)
            yield from pieces((x0, at + spacing, x1, y1), depth - 1)
        elif draw(st.integers(0, 3)):
            yield box

    return list(pieces((spacing, spacing, 1000 - spacing, 600 - spacing), 4)), spacing


@settings(deadline=None, max_examples=150)
@given(cut_up_sheets(), st.sampled_from([0.0, 100.0, 300.0]), st.booleans())
def test_whatever_was_cut_edge_to_edge_can_be_cut_so_again(
    sheet: tuple[list[Box], float], keep: float, thorough: bool
) -> None:
    parts, spacing = sheet
    found = cut_order(1000, 600, parts, None, kerf=spacing, keep=keep, thorough=thorough)
    assert found is not None
    stops = {round(cut.from_datum, 5) for cut in found.cuts}
    assert settings_needed(found.cuts) >= len(stops)
    assert faults(1000, 600, parts, found, Cutting(CutMethod.SHEAR, kerf=spacing, gap=spacing)) == []
    area = sum((x1 - x0) * (y1 - y0) for x0, y0, x1, y1 in (*parts, *found.left_over))
    assert area < 600_000 if spacing and found.cuts else abs(area - 600_000) < 1e-6
