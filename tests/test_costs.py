"""Possible costs: sums of the amounts and nothing else, so that a bound may be rounded up and a plan told apart."""

from __future__ import annotations

from itertools import product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.sizing.costs import Costs

PRICES = st.lists(st.integers(0, 900).map(lambda cents: cents / 100), min_size=1, max_size=3)


def sums(amounts: list[float], ceiling: float) -> list[float]:
    """Every sum up to the ceiling, by trying all numbers of each amount."""
    ranges = [range(int(ceiling / amount) + 1) if amount else range(1) for amount in amounts]
    tried = {round(sum(n * a for n, a in zip(ns, amounts, strict=True)), 2) for ns in product(*ranges)}
    return sorted(value for value in tried if value <= ceiling)


@settings(deadline=None, max_examples=60)
@given(PRICES.filter(lambda prices: all(p == 0 or p > 0.4 for p in prices)), st.integers(0, 1500))
def test_bound_rounds_up_to_the_next_sum(amounts: list[float], cents: int) -> None:
    bound, ceiling = cents / 100, 15.0
    costs = Costs.of(amounts, ceiling)
    possible = [value for value in sums(amounts, ceiling + 10) if value >= bound - 1e-9]
    if possible and possible[0] <= ceiling and costs.step > 0:
        assert costs.up(bound) == pytest.approx(possible[0])


@settings(deadline=None, max_examples=60)
@given(PRICES.filter(lambda prices: all(p == 0 or p > 0.4 for p in prices)), st.data())
def test_cost_below_is_the_sum_before(amounts: list[float], data: st.DataObject) -> None:
    possible = sums(amounts, 15.0)
    at = data.draw(st.integers(0, len(possible) - 1))
    costs = Costs.of(amounts, 15.0)
    if at and costs.step > 0:
        assert costs.below(possible[at]) == pytest.approx(possible[at - 1])
    else:
        assert costs.below(possible[at]) < possible[at]


def test_two_prices_leave_wide_steps() -> None:
    costs = Costs.of([128.0, 205.0], 1000.0)
    assert costs.up(133.0) == 205.0
    assert costs.below(256.0) == 205.0


def test_prices_finer_than_a_cent_round_nothing() -> None:
    costs = Costs.of([1.0, 0.333], 10.0)
    assert costs.step == 0.0
    assert costs.up(0.5) == 0.5
    assert costs.below(2.0) < 2.0


def test_costs_beyond_any_list_count_in_steps() -> None:
    costs = Costs.of([1e9, 0.01], 1e12)
    assert costs.up(0.005) == pytest.approx(0.01)
    assert costs.below(5.0) == pytest.approx(4.99)
