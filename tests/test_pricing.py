"""Pricing: the pattern of most worth on a sheet, a bound that nothing beats, and cuts that only cut what cannot be."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from nesting.programme.pricing import Pricer
from nesting.sizing.problem import Pattern, Problem, SheetSize
from nesting.sizing.sheetbounds import SCALE
from tests.real_layouts import RealLayout, real_layouts
from tests.small_problems import fits_of, packing, part

SHEET = SheetSize(10, 8, 1.0)


@st.composite
def small_problems(draw: st.DrawFn) -> Problem:
    """One or two sheet sizes of at most 9 x 7, up to four classes, up to three parts of each."""
    sheets = [
        SheetSize(draw(st.integers(4, 9)), draw(st.integers(3, 7)), float(draw(st.integers(1, 9))))
        for _ in range(draw(st.integers(1, 2)))
    ]
    parts = [
        (part(draw(st.integers(1, 6)), draw(st.integers(1, 6)), draw(st.booleans())), draw(st.integers(1, 3)))
        for _ in range(draw(st.integers(1, 4)))
    ]
    return packing(sheets, parts)


def worths(problem: Problem) -> st.SearchStrategy[list[float]]:
    n = len(problem.classes)
    return st.lists(st.sampled_from([-1.0, 0.0, 0.5, 1.0, 2.0, 2.5, 7.0]), min_size=n, max_size=n)


def patterns_of(problem: Problem) -> list[Pattern]:
    """Every set of parts that the problem could ask for on one sheet."""
    loads = product(*(range(count + 1) for count in problem.most))
    return [tuple((k, n) for k, n in enumerate(load) if n) for load in loads]


def placeable(problem: Problem) -> list[Pattern]:
    """Those of which each part, alone, fits the first sheet."""
    alone = [bool(kind.placings(problem.sheets[0])) for kind in problem.classes]
    return [pattern for pattern in patterns_of(problem) if all(alone[k] for k, _ in pattern)]


def worth_of(pattern: Pattern, worth: list[float]) -> float:
    return sum(worth[k] * n for k, n in pattern)


def most_within_rows(pricer: Pricer, worth: list[float]) -> float:
    """The most worth of any numbers of placings that all rows of sheet 0 allow, by trying all of them."""
    rows = pricer.rows[0]
    best = 0.0
    for counts in product(*(range(pricer.problem.most[k] + 1) for k in rows.owner)):
        per_class = np.bincount(rows.owner, counts, len(pricer.problem.classes))
        if (per_class <= pricer.problem.most).all() and (counts @ rows.weight <= SCALE).all():
            best = max(best, float(per_class @ np.maximum(worth, 0.0)))
    return best


@settings(deadline=None, max_examples=60)
@given(small_problems(), st.data())
def test_price_is_the_most_that_the_rows_allow(problem: Problem, data: st.DataObject) -> None:
    worth = data.draw(worths(problem))
    pricer = Pricer(problem)
    assume(np.prod([problem.most[k] + 1 for k in pricer.rows[0].owner]) < 5000)
    best = most_within_rows(pricer, worth)
    priced = pricer.price(0, np.array(worth), 0.0)
    assert priced.bound == pytest.approx(best, abs=1e-6)
    if best > 0:
        assert worth_of(priced.patterns[-1], worth) == pytest.approx(best)


@settings(deadline=None, max_examples=60)
@given(small_problems(), st.data())
def test_search_cut_short_still_bounds_what_the_rows_allow(problem: Problem, data: st.DataObject) -> None:
    worth = data.draw(worths(problem))
    pricer = Pricer(problem)
    assume(np.prod([problem.most[k] + 1 for k in pricer.rows[0].owner]) < 5000)
    priced = pricer.price(0, np.array(worth), 0.0, node_limit=data.draw(st.integers(1, 12)))
    assert priced.bound >= most_within_rows(pricer, worth) - 1e-6


@settings(deadline=None, max_examples=40)
@given(small_problems(), st.data())
def test_nothing_that_fits_is_worth_more_than_the_bound_whatever_was_learnt(
    problem: Problem, data: st.DataObject
) -> None:
    pricer, fits = Pricer(problem), fits_of(problem)
    patterns = [pattern for pattern in placeable(problem) if sum(n for _, n in pattern) <= 5]
    for pattern in data.draw(st.lists(st.sampled_from(patterns), max_size=6)):
        if pattern and not fits(0, pattern) and not pricer.refuse(0, pattern):
            pricer.learn_misfit(0, pattern)
    worth = data.draw(worths(problem))
    best = max(worth_of(pattern, worth) for pattern in patterns if fits(0, pattern))
    assert pricer.price(0, np.array(worth), 0.0).bound >= best - 1e-6


@settings(deadline=None, max_examples=60)
@given(small_problems(), st.data())
def test_cuts_learnt_forbid_only_what_does_not_fit(problem: Problem, data: st.DataObject) -> None:
    pricer, fits = Pricer(problem), fits_of(problem)
    patterns = [pattern for pattern in patterns_of(problem) if 0 < sum(n for _, n in pattern) <= 5]
    sizes = range(len(problem.sheets))
    for size, pattern in data.draw(
        st.lists(st.tuples(st.sampled_from(sizes), st.sampled_from(patterns)), max_size=4)
    ):
        if not fits(size, pattern):
            pricer.learn_misfit(size, pattern)
            assert pricer.is_misfit(size, pattern)
    forbidden = [(s, p) for s in sizes for p in patterns if pricer.is_misfit(s, p)]
    assert not any(fits(*column) for column in forbidden)


@settings(deadline=None, max_examples=60)
@given(small_problems(), st.data())
def test_what_is_refused_does_not_fit(problem: Problem, data: st.DataObject) -> None:
    pricer, fits = Pricer(problem), fits_of(problem)
    patterns = [pattern for pattern in placeable(problem) if 0 < sum(n for _, n in pattern) <= 5]
    assume(patterns)
    for pattern in data.draw(st.lists(st.sampled_from(patterns), min_size=1, max_size=4)):
        if pricer.refuse(0, pattern):
            assert not fits(0, pattern)


@settings(deadline=None, max_examples=60)
@given(real_layouts(), st.data())
def test_layout_that_was_cut_is_never_refused(layout: RealLayout, data: st.DataObject) -> None:
    most = dict(layout.pattern)
    problem = Problem(
        (layout.sheet,),
        layout.classes,
        (0,) * len(layout.classes),
        most=tuple(most.get(k, 1) for k in range(len(layout.classes))),
    )
    pricer = Pricer(problem)
    fuller = data.draw(st.sampled_from(layout.pattern))[0]
    pricer.refuse(0, tuple((k, n + (k == fuller)) for k, n in layout.pattern))
    assert not pricer.refuse(0, layout.pattern)
    assert pricer.price(0, np.ones(len(layout.classes)), 0.0).bound >= len(layout.lies) - 1e-6


def test_patterns_come_best_last_and_all_above_the_floor() -> None:
    problem = packing([SHEET], [(part(4, 8), 2), (part(3, 2), 8), (part(5, 5), 2)])
    worth = [3.0, 1.0, 2.5]
    priced = Pricer(problem).price(0, np.array(worth), 4.0)
    values = [worth_of(pattern, worth) for pattern in priced.patterns]
    assert values == sorted(set(values))
    assert values[0] > 4.0
    assert values[-1] == pytest.approx(priced.bound)


def test_nothing_is_proposed_below_the_floor() -> None:
    problem = packing([SHEET], [(part(4, 8), 2)])
    priced = Pricer(problem).price(0, np.array([3.0]), 6.5)
    assert priced.patterns == ()
    assert 6.0 <= priced.bound <= 6.5


def test_no_more_parts_are_proposed_than_can_be_needed() -> None:
    # ten of them would fit
    problem = packing([SHEET], [(part(2, 4), 3)])
    assert Pricer(problem).price(0, np.array([1.0]), 0.0).patterns[-1] == ((0, 3),)


def test_sheet_too_small_for_every_part_is_worth_nothing() -> None:
    problem = packing([SheetSize(2, 2, 1.0)], [(part(3, 3), 1)])
    priced = Pricer(problem).price(0, np.array([5.0]), 0.0)
    assert (priced.bound, priced.patterns) == (0.0, ())


def test_misfit_is_not_proposed_again_nor_with_larger_parts() -> None:
    # five 4 x 3 pass all rows of a sheet 9 x 7 here; say they were found not to fit
    problem = packing([SheetSize(9, 7, 1.0)], [(part(4, 3), 5), (part(4, 4), 1)])
    pricer = Pricer(problem)
    pricer.learn_misfit(0, ((0, 4),))
    assert pricer.is_misfit(0, ((0, 3), (1, 1)))
    assert not pricer.is_misfit(0, ((0, 3),))
    assert pricer.price(0, np.array([1.0, 1.0]), 0.0).bound == 3.0


def test_misfit_of_a_sheet_is_one_of_every_smaller_sheet_too() -> None:
    sheets = [SheetSize(10, 8, 1.0), SheetSize(10, 7, 1.0), SheetSize(11, 7, 1.0)]
    pricer = Pricer(packing(sheets, [(part(6, 3), 3)]))
    pricer.learn_misfit(0, ((0, 3),))
    assert [pricer.is_misfit(size, ((0, 3),)) for size in range(3)] == [True, True, False]


def test_part_that_may_lie_either_way_stands_for_a_smaller_one_only_if_that_fits_in_both() -> None:
    long_way, small = part(6, 3, True), part(5, 2, True)
    upright, fixed = part(4, 6), part(5, 2)
    pricer = Pricer(packing([SheetSize(12, 9, 1.0)], [(long_way, 9), (small, 9), (upright, 9), (fixed, 9)]))
    pricer.learn_misfit(0, ((1, 2),))
    # a 6 x 3 that may turn holds a 5 x 2 that may turn; a 4 x 6 lies so only, and holds a 5 x 2 turned
    assert pricer.is_misfit(0, ((0, 2),))
    pricer.learn_misfit(0, ((3, 2),))
    # but turned it does not hold a 5 x 2 that has to lie lengthwise
    other = Pricer(packing([SheetSize(12, 9, 1.0)], [(long_way, 9), (fixed, 9)]))
    other.learn_misfit(0, ((1, 2),))
    assert not other.is_misfit(0, ((0, 2),))


def test_pattern_refused_by_bars_is_not_proposed_again() -> None:
    # 4 + 4 over the full width and 3 behind them need 11 of 10
    problem = packing([SHEET], [(part(4, 8), 2), (part(3, 2), 1)])
    pricer = Pricer(problem)
    assert pricer.price(0, np.array([1.0, 1.0]), 0.0).bound == 3.0
    assert pricer.refuse(0, ((0, 2), (1, 1)))
    assert pricer.price(0, np.array([1.0, 1.0]), 0.0).bound == 2.0


def test_part_that_may_turn_is_refused_only_if_every_way_is() -> None:
    # turned, the low part is 2 long, and 4 + 4 + 2 fill the sheet
    pricer = Pricer(packing([SHEET], [(part(4, 8), 2), (part(3, 2, True), 1)]))
    assert not pricer.refuse(0, ((0, 2), (1, 1)))


def test_a_long_search_ends_with_the_best_pattern_and_a_short_one_above_it() -> None:
    # parts as wide as the sheet lie one after the other, so the best pattern is the best filling of one length
    length = 4999
    lengths = [503 + 37 * i + i * i % 11 for i in range(24)]
    worth = [1.0 * own + (7 * i) % 13 for i, own in enumerate(lengths)]
    problem = packing([SheetSize(length, 10, 1.0)], [(part(own, 10, False), 2) for own in lengths])
    filled = [0.0] * (length + 1)
    for own, value in zip(lengths, worth, strict=True):
        for _ in range(2):
            for room in range(length, own - 1, -1):
                filled[room] = max(filled[room], filled[room - own] + value)
    pricer = Pricer(problem)
    searched = pricer.price(0, np.array(worth), 0.0, hurry=10**9)
    assert searched.bound == pytest.approx(filled[length])
    assert worth_of(searched.patterns[-1], worth) == pytest.approx(filled[length])
    for nodes in (100, 400, 1000):
        assert pricer.price(0, np.array(worth), 0.0, nodes).bound >= filled[length] - 1e-6
