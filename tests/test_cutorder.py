"""Edge-to-edge cuts: every part freed, in an order, or a plain no."""

from __future__ import annotations

from collections.abc import Iterator

from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.check_cuts import cut_faults
from nesting.cutorder import CutUp, cut_order
from nesting.job import CutMethod, Cutting, Stock
from nesting.outline import Box, rectangle
from nesting.plan import PlacedPart, Plan, SheetLayout, Status
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
@given(cut_up_sheets(), st.sampled_from([0.0, 300.0]))
def test_whatever_was_cut_edge_to_edge_can_be_cut_so_again(
    sheet: tuple[list[Box], float], keep: float
) -> None:
    parts, spacing = sheet
    found = cut_order(1000, 600, parts, None, kerf=spacing, keep=keep)
    assert found is not None
    assert faults(1000, 600, parts, found, Cutting(CutMethod.SHEAR, kerf=spacing, gap=spacing)) == []
    area = sum((x1 - x0) * (y1 - y0) for x0, y0, x1, y1 in (*parts, *found.left_over))
    assert abs(area - 600_000) < 1e-6
