"""Stock in the job file: sheets on hand, prices for all or for none."""

from __future__ import annotations

import pytest

from nesting.job import Stock
from tests.job_texts import job, mistakes, the_mistake

PATCH = '[[patch]]\nname = "lid"\nwidth = 6\nheight = 5\n'


def stock(*entries: str) -> str:
    return PATCH + "".join(f"[[stock]]\nwidth = 48\n{entry}\n" for entry in entries)


def test_sheets_on_hand_cost_nothing_and_more_can_be_bought() -> None:
    read = job(stock("length = 96\nprice = 98\non_hand = 3\navailable = 5")).stock
    assert read == (
        Stock("48 x 96", 1219.2, 2438.4, 0.0, 3, on_hand=True),
        Stock("48 x 96", 1219.2, 2438.4, 98.0, 5),
    )


def test_sheets_that_are_not_bought_need_no_price() -> None:
    read = job(stock("length = 96\non_hand = 2\navailable = 0", "length = 120\nprice = 90"))
    assert [(s.price, s.available, s.on_hand) for s in read.stock] == [(0, 2, True), (90, None, False)]
    assert read.priced
    assert read.warnings == ()


def test_a_job_with_sheets_on_hand_only_has_prices() -> None:
    assert job(stock("length = 96\non_hand = 2\navailable = 0")).priced


def test_no_sheet_on_hand_is_the_same_as_none_written() -> None:
    assert job(stock("length = 96\nprice = 9\non_hand = 0")) == job(stock("length = 96\nprice = 9"))


def test_without_any_price_the_area_is_saved() -> None:
    read = job(stock("length = 96", "length = 120\non_hand = 1"))
    assert not read.priced
    assert [s.price for s in read.stock] == pytest.approx([0.0, 32.0, 40.0])
    assert read.warnings == ("no stock has a price, so the plan saves sheet area, in square feet",)


def test_the_cost_of_a_seam_is_no_money_where_sheets_have_no_price() -> None:
    (warning,) = job(stock("length = 96") + "[seam]\ncost = 2\n").warnings
    assert "the cost of a seam counts in them too" in warning


def test_every_stock_without_a_price_is_told_where_others_have_one() -> None:
    found = mistakes(stock('length = 96\nname = "a"', "length = 120\nprice = 1", "length = 144\non_hand = 2"))
    assert [mistake.place for mistake in found] == ["stock 'a', price", "stock 3, price"]


def test_more_sheets_to_buy_at_no_price_are_a_mistake() -> None:
    found = the_mistake(stock("length = 96\nprice = 0\non_hand = 2"))
    assert (found.place, found.read) == ("stock 1, price", "0")
    assert "available = 0" in found.remedy
