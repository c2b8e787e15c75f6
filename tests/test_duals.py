"""What prices prove: the bound for all plans, by hand and for made-up plans."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.programme.duals import Duals, Excess, proved_bound


def test_a_value_without_excess_is_the_bound() -> None:
    assert proved_bound(100.0, [Excess(0.0, 10.0, 5)], 1000.0) == 100.0


def test_each_sheet_that_the_money_buys_lowers_the_bound_by_its_excess() -> None:
    # five sheets at 10 can lower 100 by 2 each
    assert proved_bound(100.0, [Excess(2.0, 10.0, 99)], 50.0) == pytest.approx(90.0)


def test_no_more_sheets_lower_the_bound_than_there_are() -> None:
    assert proved_bound(100.0, [Excess(2.0, 10.0, 3)], 1000.0) == pytest.approx(94.0)


def test_sizes_share_the_money_that_is_spent() -> None:
    # two sheets at 20 lower by 5 each, and the 10 that are left buy one that lowers by 1: not 100 - 12.5 - 5
    excesses = [Excess(1.0, 10.0, 99), Excess(5.0, 20.0, 2)]
    assert proved_bound(100.0, excesses, 50.0) == pytest.approx(89.0)


def test_a_plan_spends_no_more_on_sheets_than_it_costs() -> None:
    assert proved_bound(120.0, [Excess(2.0, 10.0, 10**6)], 10.0**9) == pytest.approx(100.0)


def test_sheets_that_cost_nothing_lower_the_bound_by_all_of_them() -> None:
    assert proved_bound(100.0, [Excess(3.0, 0.0, 4)], 50.0) == pytest.approx(88.0)


def test_a_mean_of_prices_lies_between_them() -> None:
    ones = Duals(10.0, np.array([[2.0, 4.0]]), np.array([0.0]))
    others = Duals(20.0, np.array([[4.0, 0.0]]), np.array([-8.0]))
    mean = ones.toward(others, 0.25)
    assert (mean.value, mean.worth.tolist(), mean.size_dual.tolist()) == (12.5, [[2.5, 3.0]], [-2.0])


AMOUNTS = st.floats(0.0, 50.0)


@given(
    st.lists(st.tuples(AMOUNTS, st.sampled_from([0.0, 1.0, 7.5, 20.0]), st.integers(0, 5)), max_size=4),
    st.data(),
)
def test_no_plan_that_the_prices_allow_costs_less_than_the_bound(
    sizes: list[tuple[float, float, int]], data: st.DataObject
) -> None:
    numbers = [data.draw(st.integers(0, most)) for _, _, most in sizes]
    spent = sum(n * price for n, (_, price, _) in zip(numbers, sizes, strict=True))
    cost = spent + data.draw(AMOUNTS)
    # by the prices a plan costs the value at least, less what its sheets are worth beyond their price
    value = cost + sum(n * amount for n, (amount, _, _) in zip(numbers, sizes, strict=True))
    bound = proved_bound(value, [Excess(*size) for size in sizes], cost)
    assert bound <= cost + 1e-9 * max(1.0, value)
