"""What a job says about stock, patches and lands that cannot be."""

from __future__ import annotations

import pytest

from nesting.job import (
    Stock,
)
from tests.job_texts import (
    BAYS,
    LEAST,
    METRIC,
    SIDE,
    job,
    mistakes,
    the_mistake,
)


def test_without_prices_the_area_is_the_price() -> None:
    read = job(LEAST)
    assert read.stock[0].price == pytest.approx(32.0)
    assert "square feet" in read.warnings[0]
    metric = job(METRIC.replace("price = 84.0", ""))
    assert metric.stock[0].price == pytest.approx(3.125)
    assert "square metres" in metric.warnings[0]


def test_some_prices_are_not_enough() -> None:
    more = '[[stock]]\nname = "free"\nwidth = 48\nlength = 96\nprice = 3\n'
    assert the_mistake(more + LEAST).place == "stock 2, price"


def test_a_price_of_nothing_is_for_sheets_on_hand() -> None:
    on_hand = LEAST.replace("length = 96", "length = 96\nprice = 0\navailable = 2")
    assert job(on_hand).stock == (Stock("48 x 96", 1219.2, 2438.4, 0.0, 2, on_hand=True),)
    assert the_mistake(on_hand.replace("available = 2", "")).place == "stock 1, price"


@pytest.mark.parametrize(
    ("line", "place", "says"),
    [
        ("available = -1", "stock 1, available", "0 to"),
        ("available = 0", "stock", "no sheet is left"),
        ("available = 1.5", "stock 1, available", "whole"),
        ("price = -1", "stock 1, price", "less than zero"),
        ("price = nan", "stock 1, price", "with an end"),
        ('price = "128"', "stock 1, price", "without quotes"),
        ('name = ""', "stock 1, name", "empty"),
        ('name = "a\\nb"', "stock 1, name", "one line"),
        ("lenght = 3", "stock 1, lenght", "length"),
    ],
)
def test_each_wrong_stock_has_its_own_message(line: str, place: str, says: str) -> None:
    found = the_mistake(LEAST.replace("length = 96", f"length = 96\n{line}"))
    assert found.place == place
    assert says in found.remedy


def test_names_that_differ_only_in_capitals_are_one_name() -> None:
    two = (
        '[[stock]]\nname = "big"\nwidth = 48\nlength = 96\n[[stock]]\nname = "BIG"\nwidth = 60\nlength = 96\n'
    )
    patch = LEAST[LEAST.index("[[patch]]") :]
    assert the_mistake(two + patch).place == "stock 'BIG', name"
    assert the_mistake(LEAST + patch).place == "patch 'lamp cover' ([[patch]] entry 2), name"
    assert "left" in the_mistake(SIDE + BAYS + SIDE[SIDE.index("[[side]]") :] + BAYS).read


def test_a_patch_larger_than_any_sheet_names_the_sheet_that_would_do() -> None:
    large = LEAST.replace("width = 6\n", "width = 50\n").replace("height = 5", 'height = "60 1/8"')
    found = the_mistake(large)
    assert found.place == "patch 'lamp cover', width"
    assert "50 1/2 in wide and 60 5/8 in long" in found.remedy
    exact = large.replace("width = 48", 'width = "50 1/2"').replace("length = 96", 'length = "60 5/8"')
    assert job(exact).patches[0].width == 1270.0


def test_a_patch_may_turn_only_as_the_job_says() -> None:
    tall = LEAST.replace("width = 6\n", "width = 40\n").replace("height = 5", "height = 60")
    assert job(tall)
    for turn in ("none", "half"):
        found = the_mistake(f'[cutting]\nturn = "{turn}"\n{tall}')
        assert "60 1/2 in wide and 40 1/2 in long" in found.remedy


def test_a_long_strip_may_lie_askew_when_any_turn_is_allowed() -> None:
    # Along the diagonal of 48 x 96 (107.3) a strip of 1 x 104 has room; straight it has none.
    strip = LEAST.replace("width = 6\n", "width = 104\n").replace("height = 5", "height = 1")
    assert job(f'[cutting]\nturn = "any"\n{strip}')
    assert the_mistake(strip).place == "patch 'lamp cover', width"
    wider = strip.replace("height = 1", "height = 12")
    assert the_mistake(f'[cutting]\nturn = "any"\n{wider}').place == "patch 'lamp cover', width"


def test_a_sheet_must_be_more_than_its_margins() -> None:
    found = mistakes("[cutting]\nedge_margin = 24\n" + LEAST)
    assert {each.place for each in found} == {"stock 1, width", "patch 'lamp cover', width"}


def test_sheets_of_a_few_millimetres_are_doubted() -> None:
    (warning,) = job('units = "mm"\n' + LEAST.replace("width = 48", "width = 48\nprice = 3")).warnings
    assert "48 mm; check that units" in warning


def test_a_land_narrower_than_the_edge_distance_is_a_mistake() -> None:
    assert the_mistake('[land]\nends = "3/8"\n' + LEAST).place == "land, ends"
    assert the_mistake('[seam]\nedge_distance = "1 1/8"\n' + LEAST).place == "seam, edge_distance"
    assert job('[land]\nends = "1/2"\n' + LEAST).land.ends == 12.7


@pytest.mark.parametrize("key", ["seam_pitch", "edge_pitch", "post_pitch"])
def test_rivet_heads_must_not_touch(key: str) -> None:
    assert job(f'[rivets]\n{key} = "3/8"\n{LEAST}')
    found = the_mistake(f'[rivets]\n{key} = "5/16"\n{LEAST}')
    assert found.place == f"rivets, {key}"
    assert "3/8 in or more" in found.remedy
