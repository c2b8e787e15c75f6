"""Bars in detail: all loads that can matter, and the listing of them where nothing before it answers."""

from __future__ import annotations

from itertools import product

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.budget import Budget
from nesting.framing.barloads import all_loads
from nesting.framing.barproblem import Bar, BarProblem
from nesting.framing.barsearch import _BarSearch, solve_bars
from nesting.limits import SolveLimits

MANY = 10_000


@st.composite
def lists_of_pieces(draw: st.DrawFn) -> BarProblem:
    """Up to four lengths for bars of one length, at least one piece of each."""
    sizes = sorted(draw(st.sets(st.integers(5, 30), min_size=1, max_size=4)), reverse=True)
    return BarProblem(tuple(sizes), tuple(draw(st.integers(1, 3)) for _ in sizes), (Bar(60, 1.0),))


def held_at_most(problem: BarProblem) -> list[int]:
    """How many pieces of a length or longer there are, length by length."""
    return [sum(problem.demand[: k + 1]) for k in range(len(problem.demand))]


def within_demand(problem: BarProblem, counts: tuple[int, ...]) -> bool:
    return all(
        held <= most for held, most in zip(np.cumsum(counts).tolist(), held_at_most(problem), strict=True)
    )


def improved(counts: tuple[int, ...]) -> list[tuple[int, ...]]:
    """The load with one piece more of the shortest length, or with one made as long as the next longer length."""
    better = [(*counts[:-1], counts[-1] + 1)]
    for k in range(1, len(counts)):
        if counts[k]:
            better.append((*counts[: k - 1], counts[k - 1] + 1, counts[k] - 1, *counts[k + 1 :]))
    return better


@settings(max_examples=40)
@given(lists_of_pieces(), st.integers(0, 60))
def test_every_load_worth_so_much_that_cannot_be_made_longer_is_listed(
    problem: BarProblem, floor: int
) -> None:
    values = np.array(problem.sizes, np.int64)

    def fits(counts: tuple[int, ...]) -> bool:
        return int(np.array(counts) @ values) <= 60 and within_demand(problem, counts)

    every = [
        counts
        for counts in product(*(range(60 // size + 1) for size in problem.sizes))
        if fits(counts)
        and int(np.array(counts) @ values) >= floor
        and not any(fits(more) for more in improved(counts))
    ]
    found = all_loads(problem, 0, values, floor, MANY, MANY)
    assert found is not None
    assert sorted(load.counts for load in found) == sorted(every)


def test_too_many_loads_are_not_listed() -> None:
    problem = BarProblem((9, 8, 7, 6), (9, 9, 9, 9), (Bar(60, 1.0),))
    values = np.array(problem.sizes, np.int64)
    assert all_loads(problem, 0, values, 0, MANY, 5) is None
    found = all_loads(problem, 0, values, 0, MANY, MANY)
    assert found
    many = BarProblem(tuple(range(40, 10, -1)), (9,) * 30, (Bar(100, 1.0),))
    assert all_loads(many, 0, np.array(many.sizes, np.int64), 0, 256, 10**6) is None


@settings(max_examples=25)
@given(lists_of_pieces())
def test_listing_alone_gives_the_same_answer(problem: BarProblem) -> None:
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(_BarSearch, "_dives", lambda *_: None)
        listed = solve_bars(problem, Budget.of(SolveLimits()), 0)
    found = solve_bars(problem, Budget.of(SolveLimits()), 0)
    assert (listed.cost, listed.bound, listed.proved) == (found.cost, found.bound, True)


@pytest.mark.parametrize(
    ("problem", "bars"),
    [
        # 57 + 46 + 29 is just 132, twice; the longest first gives 57 + 57, 46 + 46 + 29 and 29
        (BarProblem((57, 46, 29), (2, 2, 2), (Bar(132, 1.0),)), 2),
        # 83 + 69 + 43 is 195, twice
        (BarProblem((83, 69, 43), (2, 2, 2), (Bar(200, 1.0),)), 2),
        # 3 x 64 + 2 x 43 + 3 x 33 are 377, and three bars hold 396
        (BarProblem((64, 43, 33), (3, 2, 3), (Bar(132, 1.0),)), 3),
        # 2 x 87 + 4 x 85 + 4 x 52 are 722, and four bars hold 800
        (BarProblem((87, 85, 52), (2, 4, 4), (Bar(200, 1.0),)), 4),
    ],
)
def test_listing_finds_what_cutting_the_longest_first_does_not(
    monkeypatch: pytest.MonkeyPatch, problem: BarProblem, bars: int
) -> None:
    monkeypatch.setattr(_BarSearch, "_dives", lambda *_: None)
    found = solve_bars(problem, Budget.of(SolveLimits()), 0)
    assert (found.cost, found.bound, found.proved) == (bars, bars, True)
