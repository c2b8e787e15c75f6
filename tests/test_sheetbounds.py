"""Rows of a sheet: every layout that can be cut meets them, and they refuse more than the area does."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.sizing.problem import PartClass, SheetSize
from nesting.sizing.sheetbounds import SCALE, sheet_rows, with_rows
from tests.real_layouts import RealLayout, real_layouts
from tests.small_problems import fits_by_trying, part


def allowed(sheet: SheetSize, *parts: tuple[PartClass, int]) -> bool:
    """True where no row is overfull, every part lying as it is given."""
    rows = sheet_rows(sheet, [kind for kind, _ in parts])
    firsts = [rows.owner.tolist().index(k) for k in range(len(parts))]
    used = sum(count * rows.weight[i] for i, (_, count) in zip(firsts, parts, strict=True))
    return bool((np.asarray(used) <= SCALE).all())


def test_first_row_is_the_share_of_the_area() -> None:
    rows = sheet_rows(SheetSize(120, 48, 1.0), [part(60, 24), part(40, 48)])
    assert rows.weight[:, 0].tolist() == [SCALE // 4 - 1, SCALE // 3]


def test_parts_over_half_both_ways_exclude_one_another() -> None:
    # 36 of 100 squares each: by area two would do
    assert allowed(SheetSize(10, 10, 1.0), (part(6, 6), 1))
    assert not allowed(SheetSize(10, 10, 1.0), (part(6, 6), 2))


def test_parts_just_over_a_third_go_four_to_a_sheet() -> None:
    # 34 x 34 on 100 x 100: two rows of two; by area eight would do
    sheet = SheetSize(100, 100, 1.0)
    assert allowed(sheet, (part(34, 34), 4))
    assert not allowed(sheet, (part(34, 34), 5))


def test_parts_that_fill_the_sheet_are_allowed_and_a_unit_more_is_not() -> None:
    sheet = SheetSize(96 * 635 * 64, 48 * 635 * 64, 1.0)
    for pieces in (2, 3, 4, 5, 6):
        assert allowed(sheet, (part(sheet.length // pieces, sheet.width), pieces))
        assert not allowed(sheet, (part(sheet.length // pieces + 1, sheet.width), pieces))


def test_narrow_part_beside_a_tall_one_is_bound_by_the_strip_beside_it() -> None:
    # beside a panel 42 of 48 wide a strip of 6 is left, and behind it nothing: a patch of 7 has no place
    sheet = SheetSize(120, 48, 1.0)
    assert allowed(sheet, (part(115, 42), 1), (part(6, 6), 1))
    assert not allowed(sheet, (part(115, 42), 1), (part(7, 7), 1))


def test_each_way_that_a_part_fits_alone_is_a_placing() -> None:
    rows = sheet_rows(
        SheetSize(100, 40, 1.0), [part(50, 30, True), part(30, 50), part(120, 10), part(40, 40)]
    )
    placed = list(zip(rows.owner.tolist(), rows.along.tolist(), rows.across.tolist(), strict=True))
    assert placed == [(0, 50, 30), (3, 40, 40)]
    rows = sheet_rows(SheetSize(100, 50, 1.0), [part(50, 30, True)])
    assert list(zip(rows.along.tolist(), rows.across.tolist(), strict=True)) == [(50, 30), (30, 50)]


def test_sheet_too_small_for_every_part_has_no_placing() -> None:
    assert sheet_rows(SheetSize(10, 10, 1.0), [part(11, 2)]).weight.shape == (0, 1)


def test_further_rows_stand_beside_the_first() -> None:
    rows = sheet_rows(SheetSize(10, 10, 1.0), [part(5, 5), part(2, 2)])
    more = with_rows(rows, np.array([[0.25, 0.5]]))
    assert more.weight[:, :-1].tolist() == rows.weight.tolist()
    assert more.weight[:, -1].tolist() == [SCALE // 4 - 1, SCALE // 2 - 1]


@settings(deadline=None, max_examples=150)
@given(real_layouts())
def test_rows_hold_for_every_real_layout(layout: RealLayout) -> None:
    rows = sheet_rows(layout.sheet, layout.classes)
    assert (layout.counts(rows) @ rows.weight <= SCALE).all()


@settings(deadline=None, max_examples=60)
@given(st.integers(4, 9), st.integers(3, 7), st.data())
def test_what_the_rows_refuse_does_not_fit(length: int, width: int, data: st.DataObject) -> None:
    sheet = SheetSize(length, width, 1.0)
    sizes = st.tuples(st.integers(1, length), st.integers(1, width))
    chosen = data.draw(st.lists(sizes, min_size=2, max_size=4, unique=True))
    parts = [(part(a, b), data.draw(st.integers(1, 2))) for a, b in chosen]
    if not allowed(sheet, *parts):
        lying = [((kind.length, kind.width),) for kind, count in parts for _ in range(count)]
        assert not fits_by_trying(sheet, tuple(lying))
