"""Bars cut into pieces: answers by hand, and the same answers as an exhaustive search finds for small lists."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.barcutting import cut_bars
from nesting.barstock import BarPiece, BarPlan, BarStock
from nesting.budget import Budget
from nesting.framing.barmixes import mixes
from nesting.framing.barproblem import Bar, BarProblem
from nesting.framing.barsearch import solve_bars
from nesting.framing.kernels_bars import best_load, best_load_by_length
from nesting.limits import SolveLimits
from nesting.plan import Status
from shared.errors import JobMistakes, NothingFits

INCH = 25.4
TUBE = BarStock("tube", 6000.0)


def tube(length: float, quantity: int = 1, name: str = "piece") -> BarPiece:
    return BarPiece(name, "tube", length, quantity)


def assert_cuts_hold(plan: BarPlan, pieces: list[BarPiece], kerf: float) -> None:
    """Every piece is cut as often as asked, from its own section, a kerf from the next, inside its bar."""
    assert Counter(piece for bar in plan.bars for piece, _ in bar.cuts) == {
        piece: piece.quantity for piece in pieces
    }
    for bar in plan.bars:
        end = -kerf
        for piece, at in bar.cuts:
            assert piece.section == bar.stock.section
            assert at >= end + kerf - 1e-6
            end = at + piece.length
        assert end <= bar.stock.length + 1e-6
        assert bar.left_over == pytest.approx(max(0.0, bar.stock.length - end - kerf), abs=1e-6)


def test_five_pieces_of_a_quarter_bar_take_two_bars() -> None:
    plan = cut_bars([tube(1500.0, 5)], [TUBE])
    assert plan.status is Status.OPTIMAL
    assert (plan.cost, plan.bound) == (2.0, 2.0)
    assert [len(bar.cuts) for bar in plan.bars] == [4, 1]
    assert [at for _, at in plan.bars[0].cuts] == [0.0, 1500.0, 3000.0, 4500.0]
    assert [bar.left_over for bar in plan.bars] == [0.0, 4500.0]


def test_four_quarters_fill_a_bar_only_without_a_kerf() -> None:
    assert len(cut_bars([tube(1500.0, 4)], [TUBE]).bars) == 1
    assert len(cut_bars([tube(1500.0, 4)], [TUBE], kerf=0.1).bars) == 2


def test_n_pieces_need_only_n_minus_one_kerfs() -> None:
    # 3 x 1998 + 2 x 3 = 6000: nothing is left, and the last kerf falls off the end
    plan = cut_bars([tube(1998.0, 3)], [TUBE], kerf=3.0)
    assert [at for _, at in plan.bars[0].cuts] == [0.0, 2001.0, 4002.0]
    assert plan.bars[0].left_over == 0.0


def test_sixteen_window_pieces_in_inches_fit_two_bars_to_the_sixteenth() -> None:
    # a 20 ft bar holds 11 pieces of 20 in with a kerf of 1/16 (220 5/8 in), not 12 (240 11/16 in)
    bar = BarStock("1x1 tube", 240 * INCH, price=31.0)
    frame = BarPiece("window frame", "1x1 tube", 20 * INCH, 22)
    plan = cut_bars([frame], [bar], kerf=INCH / 16)
    assert [len(bar.cuts) for bar in plan.bars] == [11, 11]
    assert plan.cost == 62.0
    assert len(cut_bars([replace(frame, quantity=23)], [bar], kerf=INCH / 16).bars) == 3


def test_pieces_that_fill_bars_exactly_are_put_together() -> None:
    # 3500 + 2500, 3300 + 2700 and 3100 + 2900, which a rule that takes the longest first also finds; with 1600s not
    pieces = [tube(length) for length in (3500.0, 2500.0, 3300.0, 2700.0, 3100.0, 2900.0)]
    assert len(cut_bars(pieces, [TUBE]).bars) == 3
    pieces = [tube(2800.0, 2), tube(1600.0, 4), tube(2200.0, 2), tube(1000.0, 2)]
    plan = cut_bars(pieces, [TUBE])
    assert len(plan.bars) == 4
    assert plan.status is Status.OPTIMAL


def test_the_cheaper_mix_of_two_lengths_is_bought() -> None:
    # one long bar (30) carries all three; three short ones (11) would be 33, a long and a short one dearer still
    long, short = BarStock("tube", 6000.0, 30.0), BarStock("tube", 2500.0, 11.0)
    plan = cut_bars([tube(2000.0, 3)], [long, short])
    assert [bar.stock for bar in plan.bars] == [long]
    plan = cut_bars([tube(2000.0, 4)], [long, short])
    assert (plan.cost, plan.status) == (41.0, Status.OPTIMAL)
    assert [bar.stock for bar in plan.bars] == [long, short]


def test_bars_on_hand_are_used_first_as_far_as_they_go() -> None:
    on_hand, bought = BarStock("tube", 3000.0, 0.0, available=2), BarStock("tube", 6000.0, 20.0)
    plan = cut_bars([tube(2900.0, 4)], [on_hand, bought])
    assert plan.cost == 20.0
    assert Counter(bar.stock.length for bar in plan.bars) == {3000.0: 2, 6000.0: 1}


def test_bars_that_cost_nothing_cost_nothing() -> None:
    plan = cut_bars([tube(2900.0, 3)], [BarStock("tube", 3000.0, 0.0, available=3)])
    assert (plan.cost, plan.bound, plan.status) == (0.0, 0.0, Status.OPTIMAL)


def test_sections_are_kept_apart() -> None:
    angle = BarPiece("sill", "angle", 1000.0)
    plan = cut_bars([tube(1000.0), angle], [TUBE, BarStock("angle", 2000.0)])
    assert [(bar.stock.section, [piece for piece, _ in bar.cuts]) for bar in plan.bars] == [
        ("tube", [tube(1000.0)]),
        ("angle", [angle]),
    ]
    assert plan.cost == 2.0


def test_of_bars_without_a_price_the_shortest_that_will_do_is_taken() -> None:
    plan = cut_bars([tube(2000.0, 4)], [TUBE, BarStock("tube", 2100.0)])
    assert [bar.stock.length for bar in plan.bars] == [6000.0, 2100.0]


def test_bars_at_one_price_are_counted_however_low_it_is() -> None:
    plan = cut_bars([tube(1500.0, 5)], [replace(TUBE, price=0.001)])
    assert plan.status is Status.OPTIMAL
    assert plan.cost == pytest.approx(0.002)


def test_prices_in_cents_and_three_lengths_are_proved() -> None:
    stocks = [
        BarStock("tube", length, price)
        for length, price in ((6000.0, 31.49), (3600.0, 20.75), (2400.0, 15.1))
    ]
    pieces = [tube(431.0 + 173 * k, 2 + k % 5) for k in range(9)]
    plan = cut_bars(pieces, stocks, kerf=1.5)
    assert plan.status is Status.OPTIMAL
    assert plan.cost == pytest.approx(sum(bar.stock.price or 0.0 for bar in plan.bars))
    assert_cuts_hold(plan, pieces, 1.5)


def test_mixes_are_long_enough_and_within_the_costs() -> None:
    # 70 of length: 100 alone, 40 + 40, or one of each; a single 40 is too short
    problem = BarProblem((35,), (2,), (Bar(100, 5.0), Bar(40, 3.0)))
    assert mixes(problem, 0.0, 8.0) == [(5.0, (1, 0)), (6.0, (0, 2)), (8.0, (1, 1))]
    assert mixes(problem, 5.5, 6.0) == [(6.0, (0, 2))]


@settings(max_examples=12, deadline=None)
@given(
    st.lists(
        st.tuples(st.integers(1, 10**7), st.integers(1, 10**6), st.integers(1, 4)), min_size=1, max_size=6
    )
)
def test_both_ways_to_the_best_load_agree(kinds: list[tuple[int, int, int]]) -> None:
    sizes, values, most = (np.array(column, np.int64) for column in zip(*kinds, strict=True))
    finished, worth, counts = best_load(10**7, sizes, values, most, 0, 10**7)
    assert finished
    assert worth == counts @ values
    assert counts @ sizes <= 10**7
    assert best_load_by_length(10**7, sizes, values, most)[0] == worth


def test_no_pieces_need_no_bars() -> None:
    plan = cut_bars([], [TUBE])
    assert (plan.bars, plan.cost, plan.status) == ((), 0.0, Status.OPTIMAL)


def test_every_mistake_is_told_with_its_place() -> None:
    pieces = [tube(0.0), tube(100.0, 0, "rung"), BarPiece("sill", "angle", 5.0)]
    with pytest.raises(JobMistakes) as caught:
        cut_bars(pieces, [BarStock("tube", -1.0, 3.0), BarStock("tube", 100.0, None, -2)], kerf=-1.0)
    told = str(caught.value)
    for place in (
        "kerf: read -1.0",
        "bar 'piece', length: read 0.0",
        "bar 'rung', quantity: read 0",
        "bar 'sill', section: read 'angle'",
        "bar_stock 1 ('tube'), length: read -1.0",
        "bar_stock 2 ('tube'), price:",
        "bar_stock 2 ('tube'), available: read -2",
    ):
        assert place in told


def test_a_piece_longer_than_every_bar_is_named() -> None:
    with pytest.raises(NothingFits, match=r"bar 'beam': it is 250 in long and the longest bar is 240"):
        cut_bars([tube(250 * INCH, 1, "beam")], [BarStock("tube", 240 * INCH)], units="in")


def test_too_few_bars_are_refused_with_a_proof() -> None:
    # by length alone three pieces of 2000 would fit two bars of 3000
    with pytest.raises(NothingFits, match="not enough for all pieces"):
        cut_bars([tube(2000.0, 3)], [BarStock("tube", 3000.0, available=2)])


def test_equal_tasks_give_equal_plans() -> None:
    pieces = [tube(700.0 + 37 * k, 1 + k % 4) for k in range(14)]
    stocks = [BarStock("tube", 6000.0, 31.0), BarStock("tube", 4000.0, 22.0)]
    assert cut_bars(pieces, stocks, kerf=2.0) == cut_bars(pieces, stocks, kerf=2.0)


def test_a_list_that_no_rounding_of_the_relaxation_answers_is_proved() -> None:
    # the relaxation is 2/3 + 3/4 + 6/11 = 259/132, so two bars by rounding up, yet three are needed
    # (Fieldhouse 1990, from memory; three is what the exhaustive search finds, too)
    problem = BarProblem((44, 33, 12), (2, 3, 6), (Bar(132, 1.0),))
    found = solve_bars(problem, Budget.of(SolveLimits()), 0)
    assert found.cost == least_cost(problem) == 3.0
    assert found.proved


@cache
def fillings(sizes: tuple[int, ...], demand: tuple[int, ...], room: int) -> tuple[tuple[int, ...], ...]:
    """Every load with at least one piece."""
    if not sizes:
        return ((),)
    return tuple(
        (count, *rest)
        for count in range(min(demand[0], room // sizes[0]) + 1)
        for rest in fillings(sizes[1:], demand[1:], room - count * sizes[0])
    )


def least_cost(problem: BarProblem) -> float:
    """By trying everything: which bar carries the longest piece left, and what else it carries."""

    @cache
    def least(demand: tuple[int, ...], available: tuple[int, ...]) -> float:
        if not any(demand):
            return 0.0
        first = next(k for k, count in enumerate(demand) if count)
        best = float("inf")
        for number, bar in enumerate(problem.bars):
            if available[number]:
                fewer = (*available[:number], available[number] - 1, *available[number + 1 :])
                for load in fillings(problem.sizes, demand, bar.capacity):
                    if load[first]:
                        rest = tuple(d - n for d, n in zip(demand, load, strict=True))
                        best = min(best, bar.price + least(rest, fewer))
        return best

    return least(
        problem.demand, tuple(99 if bar.available is None else bar.available for bar in problem.bars)
    )


@st.composite
def small_problems(draw: st.DrawFn) -> BarProblem:
    sizes = sorted(draw(st.sets(st.integers(5, 40), min_size=1, max_size=5)), reverse=True)
    demand = [draw(st.integers(1, 3)) for _ in sizes]
    prices = st.one_of(st.integers(1, 30).map(float), st.sampled_from((7.25, 11.5, 12.35)))
    bars = [
        Bar(draw(st.integers(20, 70)), draw(prices), draw(st.one_of(st.none(), st.integers(1, 3))))
        for _ in range(draw(st.integers(1, 3)))
    ]
    bars[0] = replace(bars[0], capacity=max(bars[0].capacity, sizes[0]))
    return BarProblem(tuple(sizes), tuple(demand), tuple(bars))


@settings(max_examples=60, deadline=None)
@given(small_problems())
def test_small_lists_cost_what_trying_everything_finds(problem: BarProblem) -> None:
    found = solve_bars(problem, Budget.of(SolveLimits()), 0)
    least = least_cost(problem)
    assert found.proved
    if least == float("inf"):
        assert found.loads is None
    else:
        assert found.cost == pytest.approx(least)
        assert found.bound == pytest.approx(least)


@settings(max_examples=30, deadline=None)
@given(
    st.lists(
        st.tuples(st.integers(1, 96), st.integers(1, 4)), min_size=1, max_size=8, unique_by=lambda p: p[0]
    ),
    st.sampled_from((0.0, INCH / 16, 0.5)),
)
def test_cuts_stay_inside_their_bars(lengths: list[tuple[int, int]], kerf: float) -> None:
    pieces = [tube(length * INCH, quantity) for length, quantity in lengths]
    plan = cut_bars(pieces, [BarStock("tube", 96 * INCH), BarStock("tube", 72 * INCH)], kerf=kerf)
    assert_cuts_hold(plan, pieces, kerf)
    assert plan.bound <= plan.cost == len(plan.bars)
