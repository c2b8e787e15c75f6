"""Tiling: parts that were cut from whole sheets are joined to whole sheets again, and placed as they can be cut."""

from __future__ import annotations

from collections import Counter

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.budget import Budget
from nesting.limits import SolveLimits
from nesting.placing.refilling import Refilled
from nesting.placing.tiling import tiled, whole_sheets
from nesting.sizing.problem import Problem, SheetSize
from tests.bench.layout_check import comes_apart
from tests.small_problems import packing, part
from tests.zero_waste import ZeroWaste, zero_waste

FREELY = Budget.of(SolveLimits())


def problem_of(made: ZeroWaste, *, turn: bool, longest_cut: int | None = None) -> Problem:
    """The set as a problem to be cut edge to edge, each sheet at the price of its area."""
    sheets = [SheetSize(a, b, float(a * b)) for a, b in made.sizes]
    return packing(sheets, [(part(a, b, turn), 1) for a, b in made.pieces], True, longest_cut)


def run(problem: Problem, rounds: int = 500) -> Refilled | None:
    parts = Counter(dict(enumerate(problem.demand)))
    area = sum(one.length * one.width * n for one, n in zip(problem.classes, problem.demand, strict=True))
    whole = whole_sheets(problem, parts, float(area))
    return tiled(problem, parts, whole, FREELY, rounds=rounds) if whole else None


def faults(problem: Problem, found: Refilled | None) -> list[str]:
    """Everything that keeps it from being a plan without waste, judged from the problem alone."""
    if found is None:
        return ["nothing was found"]
    wrong = []
    carried: Counter[int] = Counter()
    for (size, pattern), count in found.loads.items():
        sheet = problem.sheets[size]
        boxes: list[tuple[float, float, float, float]] = []
        for k, x, y, turned in found.spots[size, pattern]:
            kind = problem.classes[k]
            carried[k] += count
            a, b = (kind.width, kind.length) if turned else (kind.length, kind.width)
            if turned and not kind.turnable:
                wrong.append(f"class {k} lies turned")
            boxes.append((x, y, x + a, y + b))
        if sum((x1 - x0) * (y1 - y0) for x0, y0, x1, y1 in boxes) != sheet.length * sheet.width:
            wrong.append(f"a sheet of size {size} is not filled")
        if not comes_apart((0, 0, sheet.length, sheet.width), boxes, problem.longest_cut):
            wrong.append(f"{boxes} cannot be cut edge to edge")
    if carried != Counter(dict(enumerate(problem.demand))):
        wrong.append(f"carried {carried}")
    return wrong


@settings(deadline=None, max_examples=20)
@given(st.integers(0, 10_000), st.integers(2, 30), st.integers(1, 3), st.integers(1, 3), st.booleans())
def test_sheets_cut_up_at_random_are_put_together(
    seed: int, parts: int, sheets: int, kinds: int, turn: bool
) -> None:
    problem = problem_of(zero_waste(seed, parts, sheets=sheets, kinds=kinds, turn=turn), turn=turn)
    assert faults(problem, run(problem)) == []


@pytest.mark.parametrize("turn", [False, True])
def test_sixty_parts_of_four_sheets_are_put_together(turn: bool) -> None:
    problem = problem_of(zero_waste(3, 60, sheets=4, turn=turn), turn=turn)
    assert faults(problem, run(problem, 10_000)) == []


def test_one_part_that_may_not_turn_holds_the_others_as_they_lie() -> None:
    # 5 x 2 stays as it is, 2 x 3 is turned beside 2 x 2, and the two squares lie either way
    sheet = SheetSize(5, 4, 20.0)
    parts = [(part(5, 2), 1), (part(3, 2, True), 1), (part(2, 2), 1)]
    problem = packing([sheet], parts, True)
    found = run(problem)
    assert faults(problem, found) == []


def test_a_part_is_turned_where_the_sheet_is_higher_than_long() -> None:
    problem = packing([SheetSize(2, 5, 10.0)], [(part(5, 1, True), 2)], True)
    found = run(problem)
    assert found is not None
    assert found.spots[0, ((0, 2),)] == ((0, 0, 0, True), (0, 1, 0, True))


def test_no_cut_is_longer_than_the_longest() -> None:
    # 6 x 4 into four of 3 x 2: across at 3 first, which is 4 long, then 3 at the most
    sheet, parts = SheetSize(6, 4, 24.0), [(part(3, 2), 4)]
    short = packing([sheet], parts, True, 4)
    assert faults(short, run(short)) == []
    too_short = packing([sheet], parts, True, 3)
    assert run(too_short) is None
    # two of 6 x 2 can only be parted by a cut 6 long
    long = packing([sheet], [(part(6, 2), 2)], True, 5)
    assert run(long) is None


def test_a_sheet_with_a_hole_is_not_without_waste() -> None:
    # four 3 x 2 round a free square on 5 x 5: their area is no sheet's
    assert run(packing([SheetSize(5, 5, 25.0)], [(part(3, 2, True), 4)], True)) is None


def test_a_pinwheel_without_a_hole_is_not_found() -> None:
    problem = packing([SheetSize(5, 5, 25.0)], [(part(3, 2, True), 4), (part(1, 1), 1)], True)
    assert run(problem) is None


def test_whole_sheets_are_told_in_all_numbers_that_have_the_area() -> None:
    # 12 = 6 + 6 = 6 + 4 + 2 = 4 + 4 + 4 = ..., of the sheet of 2 there is only one
    sheets = [SheetSize(3, 2, 6.0), SheetSize(2, 2, 4.0), SheetSize(2, 1, 2.0, available=1)]
    problem = packing(sheets, [(part(1, 1), 12)], True)
    assert set(whole_sheets(problem, Counter({0: 12}), 12.0)) == {(2, 0, 0), (1, 1, 1), (0, 3, 0)}


def test_sheets_that_cost_more_for_their_area_are_left_out() -> None:
    sheets = [SheetSize(3, 2, 6.0), SheetSize(2, 2, 5.0)]
    problem = packing(sheets, [(part(1, 1), 12)], True)
    assert whole_sheets(problem, Counter({0: 12}), 12.0) == ((2, 0),)
    assert set(whole_sheets(problem, Counter({0: 12}), 15.0)) == {(2, 0), (0, 3)}


def test_a_sheet_that_is_all_margin_is_no_sheet() -> None:
    problem = packing([SheetSize(0, 0, 0.0), SheetSize(3, 2, 6.0)], [(part(1, 1), 12)], True)
    assert whole_sheets(problem, Counter({0: 12}), 12.0) == ((0, 2),)


def test_far_too_many_parts_are_left_to_others() -> None:
    problem = packing([SheetSize(3, 2, 6.0)], [(part(1, 1), 600)], True)
    assert whole_sheets(problem, Counter({0: 600}), 600.0) == ()


def test_equal_questions_get_equal_answers() -> None:
    problem = problem_of(zero_waste(8, 40, sheets=2, turn=True), turn=True)
    assert run(problem) == run(problem)
