"""Rows learnt from refused patterns: they refuse what cannot be placed, and never a layout that can be cut."""

from __future__ import annotations

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from nesting.programme.bars import refusing_rows
from nesting.sizing.problem import PartClass, SheetSize
from nesting.sizing.sheetbounds import SCALE, SheetRows, sheet_rows, with_rows
from tests.real_layouts import RealLayout, real_layouts
from tests.small_problems import fits_by_trying, part

SHEET = SheetSize(10, 8, 1.0)
TALL, LOW = part(4, 8), part(3, 2)


def learnt(sheet: SheetSize, rows: SheetRows, counts: NDArray[np.int64]) -> SheetRows:
    """The rows with what bars learn from these placings, as the pricer keeps them."""
    more = refusing_rows(rows, sheet.length, sheet.width, counts)
    return with_rows(rows, np.array(more)) if more else rows


def refused(rows: SheetRows, *counts: int) -> bool:
    return bool((np.array(counts) @ rows.weight > SCALE).any())


def test_parts_of_full_width_leave_no_length_for_a_low_one() -> None:
    # 4 + 4 across the whole sheet leave 2 of the length, and the low part is 3 long
    rows = sheet_rows(SHEET, [TALL, LOW])
    assert not refused(rows, 2, 1)
    assert refused(learnt(SHEET, rows, np.array([2, 1])), 2, 1)


def test_row_learnt_from_one_pattern_refuses_others_of_its_kind() -> None:
    # what was learnt from a part 3 long holds for one that is 5 long, and 2 wide becomes 3 wide
    rows = sheet_rows(SHEET, [TALL, LOW, part(5, 2), part(3, 3)])
    rows = learnt(SHEET, rows, np.array([2, 1, 0, 0]))
    assert refused(rows, 2, 0, 1, 0)
    assert refused(rows, 2, 0, 0, 1)


def test_row_learnt_still_allows_what_fits() -> None:
    rows = learnt(SHEET, sheet_rows(SHEET, [TALL, LOW]), np.array([2, 1]))
    # four rows of two low parts beside one tall part
    assert not refused(rows, 1, 8)
    assert not refused(rows, 2, 0)


def test_nothing_is_learnt_from_a_pattern_that_fits() -> None:
    rows = sheet_rows(SHEET, [TALL, LOW])
    assert refusing_rows(rows, SHEET.length, SHEET.width, np.array([1, 8])) == []


def test_lines_along_the_sheet_refuse_as_lines_across_it_do() -> None:
    turned = SheetSize(SHEET.width, SHEET.length, 1.0)
    rows = sheet_rows(turned, [part(8, 4), part(2, 3)])
    assert refused(learnt(turned, rows, np.array([2, 1])), 2, 1)


@settings(deadline=None, max_examples=150)
@given(real_layouts(), st.data())
def test_rows_learnt_from_anything_hold_for_every_real_layout(
    layout: RealLayout, data: st.DataObject
) -> None:
    rows = sheet_rows(layout.sheet, layout.classes)
    real = layout.counts(rows)
    numbers = st.lists(st.integers(0, 6), min_size=len(real), max_size=len(real))
    for _ in range(3):
        rows = learnt(layout.sheet, rows, np.array(data.draw(numbers), np.int64))
        # the layout with more added is refused by a hair, where rounding would show first
        more = real.copy()
        more[data.draw(st.integers(0, len(real) - 1))] += 1
        rows = learnt(layout.sheet, rows, more)
    assert (real @ rows.weight <= SCALE).all()


@settings(deadline=None, max_examples=60)
@given(st.integers(4, 9), st.integers(3, 7), st.data())
def test_what_bars_refuse_does_not_fit(length: int, width: int, data: st.DataObject) -> None:
    sheet = SheetSize(length, width, 1.0)
    sizes = st.tuples(st.integers(1, length), st.integers(1, width))
    chosen = data.draw(st.lists(sizes, min_size=2, max_size=4, unique=True))
    classes: list[PartClass] = [part(a, b) for a, b in chosen]
    rows = sheet_rows(sheet, classes)
    counts = np.array([data.draw(st.integers(1, 2)) for _ in classes])
    if refusing_rows(rows, length, width, counts):
        lying = [((a, b),) for (a, b), count in zip(chosen, counts, strict=True) for _ in range(count)]
        assert not fits_by_trying(sheet, tuple(lying))
