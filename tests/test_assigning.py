"""Sharing given parts out over given sheets: placed for real, and 'impossible' only where it is."""

from __future__ import annotations

from collections import Counter
from itertools import product
from typing import Literal

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.budget import Budget
from nesting.limits import SolveLimits
from nesting.placing.fitting import Fitter
from nesting.programme.assigning import assign
from nesting.programme.pricing import Pricer
from nesting.sizing.problem import Column, Problem, SheetSize
from nesting.sizing.sheetbounds import SCALE
from tests.small_problems import Fits, fits_of, packing, part

PINWHEEL = packing([SheetSize(5, 5, 1.0)], [(part(3, 2, True), 4)])


def shared_out(problem: Problem, sheets: tuple[int, ...]) -> dict[Column, int] | Literal[False] | None:
    """The answer for all the parts that the problem demands."""
    fitter = Fitter(problem.sheets, problem.classes, problem.edge_to_edge)
    parts = {k: n for k, n in enumerate(problem.demand) if n}
    return assign(Pricer(problem), fitter, parts, sheets, Budget.of(SolveLimits()))


def can_be_shared_out(fits: Fits, waiting: tuple[int, ...], bins: tuple[int, ...]) -> bool:
    """The same question by trying every load of every sheet in turn."""
    if not bins:
        return not any(waiting)
    for load in product(*(range(n + 1) for n in waiting)):
        pattern = tuple((k, n) for k, n in enumerate(load) if n)
        rest = tuple(a - b for a, b in zip(waiting, load, strict=True))
        if fits(bins[0], pattern) and can_be_shared_out(fits, rest, bins[1:]):
            return True
    return False


def test_parts_that_fill_two_sheets_are_shared_out() -> None:
    # 10 = 6 + 4 = 7 + 3, and no other way
    sizes = [part(n, 8) for n in (6, 4, 7, 3)]
    problem = packing([SheetSize(10, 8, 1.0)], [(kind, 1) for kind in sizes])
    loads = shared_out(problem, (2,))
    assert loads == {(0, ((0, 1), (1, 1))): 1, (0, ((2, 1), (3, 1))): 1}


def test_one_unit_too_many_is_proved_impossible() -> None:
    problem = packing([SheetSize(10, 8, 1.0)], [(part(n, 8), 1) for n in (6, 4, 7, 4)])
    assert shared_out(problem, (2,)) is False
    assert isinstance(shared_out(problem, (3,)), dict)


def test_sheets_of_several_sizes_each_get_what_fits_them() -> None:
    problem = packing([SheetSize(10, 8, 1.0), SheetSize(5, 5, 1.0)], [(part(10, 8), 1), (part(5, 5), 1)])
    assert shared_out(problem, (1, 1)) == {(0, ((0, 1),)): 1, (1, ((1, 1),)): 1}
    assert shared_out(problem, (0, 2)) is False


def test_sheet_more_than_is_needed_stays_empty() -> None:
    problem = packing([SheetSize(10, 8, 1.0)], [(part(10, 8), 1)])
    assert shared_out(problem, (3,)) == {(0, ((0, 1),)): 1}


def test_no_sheets_for_some_parts_is_impossible() -> None:
    assert shared_out(packing([SheetSize(10, 8, 1.0)], [(part(2, 2), 1)]), (0,)) is False


def test_what_the_rows_allow_but_placing_refuses_is_learnt() -> None:
    # two parts over the full width take 8 of 10, the third is 3 long
    problem = packing([SheetSize(10, 8, 1.0)], [(part(4, 8), 2), (part(3, 2), 1)])
    pricer = Pricer(problem)
    everything = np.array(problem.demand)
    assert (everything @ pricer.rows[0].weight <= SCALE).all()
    fitter = Fitter(problem.sheets, problem.classes)
    assert assign(pricer, fitter, {0: 2, 1: 1}, (1,), Budget.of(SolveLimits())) is False
    assert pricer.is_misfit(0, ((0, 2), (1, 1)))


def test_without_time_the_question_is_left_open() -> None:
    fitter = Fitter(PINWHEEL.sheets, PINWHEEL.classes)
    assert assign(Pricer(PINWHEEL), fitter, {0: 4}, (1,), Budget.of(SolveLimits(time_limit=0.0))) is None


def test_sheet_that_can_be_filled_but_not_cut_edge_to_edge_is_refused() -> None:
    assert isinstance(shared_out(PINWHEEL, (1,)), dict)
    cut = Problem(PINWHEEL.sheets, PINWHEEL.classes, PINWHEEL.demand, edge_to_edge=True, most=PINWHEEL.most)
    assert shared_out(cut, (1,)) is False


@st.composite
def questions(draw: st.DrawFn) -> tuple[Problem, tuple[int, ...]]:
    """Up to six parts and up to three sheets of one or two sizes."""
    sheets = [
        SheetSize(draw(st.integers(4, 8)), draw(st.integers(3, 6)), 1.0)
        for _ in range(draw(st.integers(1, 2)))
    ]
    kinds = draw(
        st.lists(st.tuples(st.integers(2, 6), st.integers(2, 5), st.booleans()), min_size=2, max_size=6)
    )
    counts = draw(st.lists(st.integers(1, 2), min_size=len(sheets), max_size=len(sheets)))
    return packing(sheets, [(part(*kind), 1) for kind in kinds]), tuple(counts)


@settings(deadline=None, max_examples=60)
@given(questions())
def test_answers_are_as_by_trying_everything(question: tuple[Problem, tuple[int, ...]]) -> None:
    problem, counts = question
    fits = fits_of(problem)
    bins = tuple(size for size, count in enumerate(counts) for _ in range(count))
    loads = shared_out(problem, counts)
    assert isinstance(loads, dict) is can_be_shared_out(fits, problem.demand, bins)
    if isinstance(loads, dict):
        carried: Counter[int] = Counter()
        for (size, pattern), count in loads.items():
            assert fits(size, pattern)
            for k, n in pattern:
                carried[k] += n * count
        assert carried == Counter(dict(enumerate(problem.demand)))
        used = Counter(size for (size, _), count in loads.items() for _ in range(count))
        assert all(used[size] <= count for size, count in enumerate(counts))
