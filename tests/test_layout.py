"""Sheets as cut: where parts lie, how they are turned, and what is left."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.checking.cuts import cut_faults
from nesting.checking.sheets import sheet_faults
from nesting.job import CutMethod, Cutting, Job, Patch, Stock, Turn
from nesting.outline import Box, bounds
from nesting.placing.cuttrees import inside_corners
from nesting.placing.fitting import Fitter
from nesting.placing.offcuts import OFFCUT_LEAST, area, free_offcuts, left_over_offcuts
from nesting.plan import Plan, SheetLayout, Status
from nesting.plans.arrangements import pushed_to_datum
from nesting.plans.assembly import patch_parts
from nesting.plans.cutorder import cut_order
from nesting.plans.layout import Part, lay_out
from nesting.sizing.problem import PartClass
from nesting.sizing.sizes import longest_cut, part_class, sheet_size
from tests.plain_sides import job_of

SHEET = Stock("sheet", width=1000.0, length=2000.0, price=90.0)


def job_with(*sizes: tuple[float, float], **cutting: object) -> Job:
    """A job of patches alone, one of each size (along, across), on one stock of 1000 x 2000."""
    patches = tuple(Patch(f"patch {i}", a, b) for i, (a, b) in enumerate(sizes))
    return job_of(stock=(SHEET,), patches=patches, cutting=Cutting(**cutting))  # type: ignore[arg-type]


def laid(job: Job) -> SheetLayout | None:
    """All patches of a job on one sheet by quick placing; None where that finds no room for them."""
    parts = list(patch_parts(job))
    kinds = [part_class(job, *part.size) for part in parts]
    classes = list(dict.fromkeys(kinds))
    pattern = tuple(sorted(Counter(classes.index(kind) for kind in kinds).items()))
    edge_to_edge = job.cutting.method is CutMethod.SHEAR
    fitter = Fitter((sheet_size(job, SHEET),), classes, edge_to_edge, longest_cut(job))
    spots = fitter.quick_places(0, pattern)
    if not spots:
        return None
    waiting = [[p for p, kind in zip(parts, kinds, strict=True) if kind == own] for own in classes]
    return lay_out(job, SHEET, spots, [waiting[spot[0]].pop(0) for spot in spots], classes)


def one_sheet(job: Job) -> SheetLayout:
    """The sheet, after the check has judged it."""
    layout = laid(job)
    assert layout is not None
    assert faults(job, layout) == []
    return layout


def faults(job: Job, layout: SheetLayout) -> list[str]:
    """What the check says of parts, room, turns, cuts and offcuts."""
    plan = Plan(Status.FEASIBLE, 0.0, (), (), (layout,), 0.0)
    return [*sheet_faults(job, plan), *cut_faults(job, plan)]


def test_single_part_lies_in_the_datum_corner_inside_the_margin() -> None:
    (part,) = one_sheet(job_with((600, 400), edge_margin=12.0, turn=Turn.NONE)).parts
    assert (part.x, part.y, part.turn) == (12, 12, 0)


def test_part_too_tall_for_the_sheet_is_turned_a_quarter() -> None:
    (part,) = one_sheet(job_with((700, 1500))).parts
    assert part.turn == 90


def test_parts_are_drawn_together_so_that_one_large_offcut_remains() -> None:
    # side by side along the lower edge they leave 2000 x 550, one above the other 1100 x 1000
    layout = one_sheet(job_with((900, 450), (450, 900)))
    assert max(area(offcut) for offcut in layout.offcuts) == pytest.approx(2000 * 550)


def test_offcut_keeps_clear_of_parts_by_the_gap() -> None:
    (offcut,) = free_offcuts(SHEET, [(10, 10, 1010, 990)], spacing=6.0)
    assert (offcut.x, offcut.y, offcut.length, offcut.width) == (1016, 0, 984, 1000)


def test_offcut_under_a_foot_either_way_is_not_kept() -> None:
    assert free_offcuts(SHEET, [(0, 0, 2000 - OFFCUT_LEAST + 1, 1000)], 0.0) == ()
    assert len(free_offcuts(SHEET, [(0, 0, 2000 - OFFCUT_LEAST, 1000)], 0.0)) == 1


def test_left_over_piece_loses_the_kerf_on_its_cut_edges_alone() -> None:
    found = cut_order(2000, 1000, [(0, 0, 1000, 400)], None, kerf=3.0, keep=OFFCUT_LEAST)
    assert found is not None
    above, beside = left_over_offcuts(found.left_over)
    assert (above.x, above.y, above.length, above.width) == (0, 403, 2000, 597)
    assert (beside.x, beside.y, beside.length, beside.width) == (1003, 0, 997, 400)


def test_parts_pushed_to_the_datum_touch_and_never_overlap() -> None:
    classes = [PartClass(50, 30, True), PartClass(40, 40, False)]
    spots = [(0, 100, 60, False), (1, 30, 5, False), (0, 200, 0, True)]
    pushed = pushed_to_datum(spots, classes, (0, 1))
    assert [(x, y) for _, x, y, _ in pushed] == [(0, 50), (0, 0), (40, 0)]


def test_sheared_sheet_offers_only_whole_pieces_as_offcuts() -> None:
    layout = one_sheet(job_with((1200, 500), (700, 400), method=CutMethod.SHEAR, turn=Turn.NONE))
    assert layout.offcuts


def test_sheared_parts_of_odd_sizes_leave_no_sliver_to_cut_off_between_them() -> None:
    # whole solver units are 1/1600 mm: these sizes lie between them
    layout = one_sheet(job_with((500.0003, 1000), (700.0001, 1000), method=CutMethod.SHEAR, turn=Turn.NONE))
    assert len(layout.cuts) == 2


def test_shear_shorter_than_the_sheet_cuts_it_across_first() -> None:
    job = job_with((900, 400), (900, 400), method=CutMethod.SHEAR, shear_length=1100.0)
    assert one_sheet(job).cuts[0].axis == "x"


def laid_anyhow(job: Job, stock: Stock) -> SheetLayout:
    """All patches of a job on one sheet, placed exactly, after the check has judged it."""
    parts = list(patch_parts(job))
    kinds = [part_class(job, *part.size) for part in parts]
    classes = list(dict.fromkeys(kinds))
    pattern = tuple(sorted(Counter(classes.index(kind) for kind in kinds).items()))
    straight = job.cutting.method is CutMethod.SHEAR
    spots = Fitter((sheet_size(job, stock),), classes, straight, longest_cut(job)).settled(0, pattern)
    assert spots
    waiting = [[p for p, kind in zip(parts, kinds, strict=True) if kind == own] for own in classes]
    layout = lay_out(job, stock, spots, [waiting[spot[0]].pop(0) for spot in spots], classes)
    plan = Plan(Status.FEASIBLE, 0.0, (), (), (layout,), 0.0)
    assert [*sheet_faults(job, plan), *cut_faults(job, plan)] == []
    return layout


SIXTY_FOURTH, TENTH = 25.4 / 64, 0.1


@pytest.mark.parametrize("method", [CutMethod.PROFILE, CutMethod.SHEAR, CutMethod.HAND])
@pytest.mark.parametrize("unit", [SIXTY_FOURTH, TENTH])
@pytest.mark.parametrize(("gap", "margin"), [(0, 0), (0, 3), (7, 0), (7, 3)])
def test_sheet_filled_to_the_last_unit_is_laid_out_and_cut(
    method: CutMethod, unit: float, gap: int, margin: int
) -> None:
    """A row of two over a row of three, to the last 1/64 in or 0.1 mm; one unit more and they do not fit."""
    length, width, high = 4801, 2399, 1000
    low = width - 2 * margin - gap - high
    inside = length - 2 * margin
    rows = [((inside - gap) // 2, high), (inside - gap - (inside - gap) // 2, high)]
    third = (inside - 2 * gap) // 3
    rows += [(third, low), (third, low), (inside - 2 * gap - 2 * third, low)]
    stock = Stock("sheet", width=width * unit, length=length * unit, price=1.0)

    def job(sizes: list[tuple[int, int]]) -> Job:
        patches = tuple(Patch(f"patch {i}", a * unit, b * unit) for i, (a, b) in enumerate(sizes))
        cutting = Cutting(method, gap=gap * unit, edge_margin=margin * unit, turn=Turn.NONE)
        return job_of(stock=(stock,), patches=patches, cutting=cutting)

    layout = laid_anyhow(job(rows), stock)
    assert len(layout.parts) == 5
    assert bool(layout.cuts) is (method is not CutMethod.PROFILE)
    for more in ((rows[0][0] + 1, high), (rows[0][0], high + 1)):
        tight = job([more, *rows[1:]])
        kinds = [part_class(tight, *part.size) for part in patch_parts(tight)]
        classes = list(dict.fromkeys(kinds))
        pattern = tuple(sorted(Counter(classes.index(kind) for kind in kinds).items()))
        fitter = Fitter((sheet_size(tight, stock),), classes, method is CutMethod.SHEAR, None)
        assert fitter.settled(0, pattern) is False


@pytest.mark.parametrize("method", list(CutMethod))
@pytest.mark.parametrize("margin", [0.0, 6.35])
def test_part_as_large_as_the_usable_sheet_needs_only_its_rims_cut(method: CutMethod, margin: float) -> None:
    job = job_with((2000 - 2 * margin, 1000 - 2 * margin), method=method, edge_margin=margin, gap=5.0)
    layout = laid_anyhow(job, SHEET)
    assert (layout.parts[0].x, layout.parts[0].y) == (margin, margin)
    assert len(layout.cuts) == (4 if margin and method is not CutMethod.PROFILE else 0)


def test_part_longer_than_the_shear_is_cut_where_it_spans_the_sheet() -> None:
    job = job_with((1500, 1000), (400, 900), method=CutMethod.SHEAR, shear_length=1200.0, turn=Turn.NONE)
    assert [cut.axis for cut in laid_anyhow(job, SHEET).cuts[:1]] == ["x"]


def test_sheets_of_one_size_with_equal_loads_are_laid_out_alike() -> None:
    job = job_with((900, 450), (450, 900), (300, 200))
    parts = list(patch_parts(job))
    classes = list(dict.fromkeys(part_class(job, *part.size) for part in parts))
    dear = Stock("the same from elsewhere", width=1000.0, length=2000.0, price=120.0)
    there = {stock.name: one_way(job, stock, parts, classes) for stock in (SHEET, dear)}
    # one lies as measured and one is turned, on either sheet in the same place
    assert there[SHEET.name] == there[dear.name]


def one_way(job: Job, stock: Stock, parts: Sequence[Part], classes: Sequence[PartClass]) -> object:
    """Where outlines lie on a sheet; the dearer one takes parts of one class in the opposite order."""
    pattern = tuple(sorted(Counter(classes.index(part_class(job, *p.size)) for p in parts).items()))
    spots = Fitter((sheet_size(job, stock),), classes).places(0, pattern)
    assert spots
    waiting = [[p for p in parts if part_class(job, *p.size) == own] for own in classes]
    if stock.price > 100:
        waiting = [own[::-1] for own in waiting]
    layout = lay_out(job, stock, spots, [waiting[spot[0]].pop(0) for spot in spots], classes)
    return sorted(tuple(round(edge, 6) for edge in bounds(part.outline)) for part in layout.parts)


def test_larger_part_lies_nearer_to_the_datum_where_nothing_else_decides() -> None:
    layout = one_sheet(job_with((300, 700), (1000, 700), method=CutMethod.SHEAR, turn=Turn.NONE))
    assert {part.part: part.x for part in layout.parts} == {"patch 1#1": 0, "patch 0#1": 1000}


def test_hand_cut_sheet_is_cut_edge_to_edge_though_simple_rules_find_only_free_places() -> None:
    # to the last millimetre: a column of four, and beside it a row of two over a row of three
    column, upper, lower = [(600, 250)] * 4, [(700, 400)] * 2, [(600, 600), (400, 600), (400, 600)]
    job = job_with(*column, *upper, *lower, method=CutMethod.HAND, turn=Turn.NONE)
    assert laid_anyhow(job, SHEET).cuts


def test_hand_cut_sheet_that_needs_inside_corners_has_no_cuts_and_as_few_as_can_be() -> None:
    # four round a hole; beside them a strip that a cut from edge to edge can still take off
    covers = [(600, 400)] * 4
    job = job_with(*covers, (900, 1000), method=CutMethod.HAND)
    layout = laid_anyhow(job, SHEET)
    assert not layout.cuts
    boxes = [bounds(part.outline) for part in layout.parts]
    assert inside_corners((0.0, 0.0, 2000.0, 1000.0), boxes, 0.0) == 4


def test_free_outlines_leave_a_larger_offcut_than_cuts_from_edge_to_edge_can() -> None:
    # pinwheel of 600 x 400 round a hole of 200 x 200 in a corner of 1000 x 1000
    covers = [(600, 400)] * 4
    free = max(area(offcut) for offcut in laid_anyhow(job_with(*covers), SHEET).offcuts)
    straight = max(area(offcut) for offcut in one_sheet(job_with(*covers, method=CutMethod.SHEAR)).offcuts)
    assert free == pytest.approx(1000 * 1000)
    assert straight < free


def test_hand_cut_sheet_has_its_cuts_in_order_where_edge_to_edge_will_do() -> None:
    assert one_sheet(job_with((900, 400), (500, 700), method=CutMethod.HAND, gap=3.0)).cuts


@st.composite
def loads(draw: st.DrawFn) -> Job:
    """Some patches that may fit on one sheet, to be cut in any way."""
    sizes = [
        (draw(st.integers(400, 9000)) / 10, draw(st.integers(400, 6000)) / 10)
        for _ in range(draw(st.integers(1, 7)))
    ]
    return job_with(
        *sizes,
        method=draw(st.sampled_from(list(CutMethod))),
        kerf=draw(st.sampled_from([0.0, 2.0])),
        gap=draw(st.sampled_from([0.0, 6.0])),
        edge_margin=draw(st.sampled_from([0.0, 5.0])),
        turn=draw(st.sampled_from([Turn.NONE, Turn.QUARTER])),
        shear_length=draw(st.sampled_from([None, 1200.0])),
    )


@settings(deadline=None, max_examples=80)
@given(loads())
def test_check_finds_no_fault_with_sheets_of_any_method(job: Job) -> None:
    layout = laid(job)
    if layout is not None:
        assert faults(job, layout) == []


@settings(deadline=None, max_examples=60)
@given(st.lists(st.tuples(*(st.integers(0, 9) for _ in range(4))), max_size=5))
def test_first_offcut_is_the_largest_free_rectangle_of_all(corners: list[tuple[int, ...]]) -> None:
    stock = Stock("sheet", width=1000.0, length=1000.0, price=1.0)
    boxes: list[Box] = [
        (min(a, c) * 100.0, min(b, d) * 100.0, max(a, c) * 100.0 + 100, max(b, d) * 100.0 + 100)
        for a, b, c, d in corners
    ]
    best = max(
        (
            (x1 - x0) * (y1 - y0)
            for (x0, x1), (y0, y1) in product(_spans(), repeat=2)
            if not any(b[0] < x1 and b[2] > x0 and b[1] < y1 and b[3] > y0 for b in boxes)
        ),
        default=0,
    )
    found = free_offcuts(stock, boxes, 0.0)
    assert max((area(offcut) for offcut in found), default=0) == best
    assert best == (area(found[0]) if found else 0)


def _spans() -> Sequence[tuple[int, int]]:
    """Stretches between whole hundreds, long enough to keep."""
    return [(a, b) for a in range(0, 1001, 100) for b in range(a + 400, 1001, 100)]
