"""Branches: together they hold every whole-number decision, and none holds the fractional point they came from."""

from __future__ import annotations

from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from nesting.programme.branching import split_fractions, split_parts, split_unfixed
from nesting.programme.relaxation import Bounds, Relaxed
from nesting.sizing.problem import Column, Problem, SheetSize
from tests.small_problems import closings, packing, part, rows_of_bays

PACKING = packing([SheetSize(10, 8, 1.0), SheetSize(5, 8, 1.0)], [(part(5, 8), 9)])
BAYS = rows_of_bays([(5, 5, 5)], 8, [SheetSize(15, 8, 1.0)], turnable=False)


def relaxed(problem: Problem, y: dict[Column, float], x: list[float] | None = None) -> Relaxed:
    sizes, classes = len(problem.sheets), len(problem.classes)
    chosen = np.array(x or [])
    return Relaxed(0.0, np.zeros((sizes, classes)), np.zeros(sizes), chosen, y, 0.0, np.zeros_like(chosen))


def open_bounds(problem: Problem) -> Bounds:
    return Bounds(tuple((0, 9) for _ in problem.sheets), (0, 9), (0, 9))


def holds(bounds: Bounds, numbers: tuple[int, ...]) -> bool:
    """True where a branch allows these numbers of sheets of each size."""
    low, high = bounds.total
    return low <= sum(numbers) <= high and all(
        a <= n <= b for n, (a, b) in zip(numbers, bounds.sheets, strict=True)
    )


def allows(bounds: Bounds, chosen: tuple[int, ...]) -> bool:
    return not bounds.shut & set(chosen)


@pytest.mark.parametrize(
    "y",
    [
        {(0, ((0, 2),)): 2.5},
        {(0, ((0, 2),)): 1.5, (1, ((0, 1),)): 2.5},
        {(0, ((0, 2),)): 0.25, (1, ((0, 1),)): 3.75},
    ],
    ids=["in all", "of each size", "mostly small"],
)
def test_numbers_of_sheets_are_parted_without_a_gap(y: dict[Column, float]) -> None:
    start = open_bounds(PACKING)
    split = split_fractions(PACKING, start, relaxed(PACKING, y))
    assert split is not None
    for numbers in product(range(10), repeat=2):
        assert sum(holds(branch, numbers) for branch in split) == holds(start, numbers)
    point = tuple(sum(v for (size, _), v in y.items() if size == s) for s in range(2))
    assert not any(holds(branch, point) for branch in split)  # type: ignore[arg-type]


def test_panels_parted_by_a_seam_or_none_are_all_kept() -> None:
    widths = [len(choice.cells) for choice in BAYS.choices]
    assert widths == [1, 2, 3, 1, 2, 1]
    # half of one panel over all bays, half of three single ones
    x = [0.5, 0.0, 0.5, 0.5, 0.0, 0.5]
    split = split_fractions(BAYS, open_bounds(BAYS), relaxed(BAYS, {(0, ((0, 3),)): 1.0}, x))
    assert split is not None
    for chosen in closings(BAYS):
        assert sum(allows(branch, chosen) for branch in split) == 1
    used = tuple(p for p, value in enumerate(x) if value)
    assert not any(allows(branch, used) for branch in split)


def test_nothing_is_split_where_all_is_whole() -> None:
    whole = relaxed(BAYS, {(0, ((0, 3),)): 1.0}, [1.0, 0.0, 0.0, 1.0, 0.0, 1.0])
    assert split_fractions(BAYS, open_bounds(BAYS), whole) is None
    assert split_parts(open_bounds(BAYS), whole) is None


def test_parts_of_a_class_from_one_size_are_parted_without_a_gap() -> None:
    y: dict[Column, float] = {(0, ((0, 1), (1, 2))): 0.5, (0, ((0, 2),)): 0.5}
    problem = packing([SheetSize(20, 8, 1.0)], [(part(5, 8), 9), (part(4, 8), 9)])
    start = replace(open_bounds(problem), on_sheet=(((0, 0), 1, 7), ((1, 0), 0, 5)))
    split = split_parts(start, relaxed(problem, y))
    assert split is not None
    spans = [{key: (low, high) for key, low, high in branch.on_sheet} for branch in split]
    # 1.5 parts of class 0 come from sheet 0; what was known of class 1 stays
    assert [span[0, 0] for span in spans] == [(1, 1), (2, 7)]
    assert [span[1, 0] for span in spans] == [(0, 5), (0, 5)]


def test_whole_numbers_are_fixed_one_by_one_until_all_are() -> None:
    solution = relaxed(BAYS, {(0, ((0, 3),)): 2.0}, [1.0, 0.0, 0.0, 1.0, 0.0, 1.0])
    waiting, ends = [open_bounds(BAYS)], []
    while waiting:
        bounds = waiting.pop()
        split = split_unfixed(BAYS, bounds, solution)
        if split is None:
            ends.append(bounds)
            continue
        for n, chosen in product(range(10), closings(BAYS)):
            kept = [branch for branch in split if holds(branch, (n,)) and allows(branch, chosen)]
            assert len(kept) == (holds(bounds, (n,)) and allows(bounds, chosen))
        # the solution stays what it is, so only branches that still hold it can be split by it
        waiting += [branch for branch in split if holds(branch, (2,))]
        assert len(ends) < 50
    for end in ends:
        assert end.sheets == ((2, 2),)
        assert sum(allows(end, chosen) for chosen in closings(BAYS)) == 1
