"""What to buy: sums added up by hand, masses with the holes out, and who must help to lift."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest

from nesting.job import Costs, Skin, Stock, Units
from nesting.ordering.buylist import buy_list, part_masses
from nesting.plan import BackingStrip, BuyList, Fasteners, Plan, SheetLayout, Status
from nesting.rivets.fasteners import place_fasteners
from tests.hand_plans import (
    ALL,
    BIG,
    SMALL,
    HandPlan,
    base_job,
    flipped_step,
    planned_two_panels,
    sheared,
    stepped,
    two_panels,
    two_panels_fasteners,
    windowed,
)


def bought(made: HandPlan) -> BuyList:
    job, plan = made
    return buy_list(job, plan, place_fasteners(job, plan.panels, plan.seams))


def test_two_panels_cost_what_a_pencil_says() -> None:
    # sheet 55, one sheet cut 5, 95 rivets in a box of 100 for 20, delivery 40: 120, and a tenth of it in tax
    buying = bought(two_panels())
    assert [(line.item, line.quantity, line.price) for line in buying.lines] == [
        ("sheet small", 1, 55.0),
        ("cutting", 1, 5.0),
        ("rivets 5 mm, box of 100", 1, 20.0),
        ("delivery", 1, 40.0),
        ("tax, 10 per cent", 1, 12.0),
    ]
    expected = planned_two_panels().buying
    for field in ("sheets", "cutting", "rivets", "delivery", "tax", "total", "skin_mass", "sheet_mass"):
        assert getattr(buying, field) == pytest.approx(getattr(expected, field)), field


@pytest.mark.parametrize("make", ALL, ids=lambda make: make.__name__)
def test_the_lines_add_up_to_the_total(make: object) -> None:
    assert callable(make)
    buying = bought(make())
    assert sum(line.price for line in buying.lines) == pytest.approx(buying.total)
    assert all(line.price == pytest.approx(line.quantity * line.unit_price) for line in buying.lines)
    parts = buying.sheets + buying.cutting + buying.rivets + buying.delivery
    assert buying.total == pytest.approx(parts + buying.tax)


def test_sheets_are_grouped_in_the_order_of_the_job() -> None:
    layouts = tuple(SheetLayout(stock, ()) for stock in (SMALL, BIG, SMALL))
    plan = Plan(Status.OPTIMAL, 200.0, (), (), layouts, 0.0)
    buying = buy_list(base_job(sides=()), plan, Fasteners())
    assert [(line.item, line.quantity, line.price) for line in buying.lines[:3]] == [
        ("sheet big", 1, 90.0),
        ("sheet small", 2, 110.0),
        ("cutting", 3, 15.0),
    ]


def test_stock_on_hand_is_listed_at_nothing() -> None:
    rest = Stock("left over", 500.0, 800.0, 0.0, available=1)
    plan = Plan(Status.OPTIMAL, 0.0, (), (), (SheetLayout(rest, ()),), 0.0)
    buying = buy_list(base_job(sides=(), stock=(rest,), costs=Costs()), plan, Fasteners())
    assert [(line.item, line.price) for line in buying.lines] == [("sheet left over", 0.0)]
    assert buying.total == 0.0
    # 0.5 x 0.8 m2 at 10 kg/m2
    assert buying.sheet_mass == pytest.approx(4.0)


def test_charges_of_nothing_have_no_line() -> None:
    job, plan = two_panels()
    buying = buy_list(replace(job, costs=Costs()), plan, Fasteners())
    assert [line.item for line in buying.lines] == ["sheet small"]
    assert buying.tax == 0.0


def test_rivets_without_packs_are_listed_without_a_price() -> None:
    job, plan = two_panels()
    job = replace(job, rivets=replace(job.rivets, packs=()))
    buying = buy_list(job, plan, place_fasteners(job, plan.panels, plan.seams))
    (line,) = [line for line in buying.lines if line.item.startswith("rivets")]
    assert (line.item, line.quantity, line.price) == ("rivets 5 mm", 95, 0.0)
    assert line.note.startswith("no price given")
    assert buying.rivets == 0.0


def test_rivets_tell_how_many_close_which_grip() -> None:
    # 14 on the lap of two skins of 1.2 over 2 of post, 72 through one skin
    job, plan = two_panels()
    buying = buy_list(job, plan, two_panels_fasteners())
    (line,) = [line for line in buying.lines if line.item.startswith("rivets")]
    assert "86 rivets and 10 per cent spare" in line.note
    assert "72 at 3.20 mm, 14 at 4.40 mm" in line.note


def test_rivets_in_inches_are_named_as_they_are_sold() -> None:
    job, plan = two_panels()
    job = replace(job, units=Units.INCH, rivets=replace(job.rivets, diameter=3 / 16 * 25.4))
    buying = buy_list(job, plan, two_panels_fasteners())
    (line,) = [line for line in buying.lines if line.item.startswith("rivets")]
    assert line.item == "rivets 3/16 in, box of 100"
    assert "at 0.126 in" in line.note


def test_a_part_is_weighed_without_its_window() -> None:
    job, plan = windowed()
    masses = part_masses(job, plan)
    # 1300 x 550 less a window of 400 x 300 whose corners of 50 leave (4 - pi) x 50^2 standing
    hole = 400 * 300 - (4 - pi) * 50**2
    assert masses["D1"] == pytest.approx((1300 * 550 - hole) / 1e6 * 10)
    assert masses["lamp cover#1"] == pytest.approx((200 * 200 - (4 - pi) * 20**2) / 1e6 * 10)
    assert bought(windowed()).skin_mass == pytest.approx(sum(masses.values()))


def test_turning_or_flipping_a_part_does_not_change_its_mass() -> None:
    assert part_masses(*flipped_step())["D1"] == pytest.approx(part_masses(*stepped())["D1"])


def test_every_copy_of_a_patch_is_weighed() -> None:
    # two covers of 800 x 400 and a lid of 1000 x 300 at 10 kg/m2
    assert part_masses(*sheared()) == pytest.approx({"cover#1": 3.2, "cover#2": 3.2, "lid#1": 3.0})


def test_a_heavy_sheet_asks_for_two_people() -> None:
    # 1.25 x 2.5 m at 10 kg/m2 is 31.25 kg, over the 23 of one person; at 16 it is 50, over twice that
    job, plan = stepped()
    (line, *_) = buy_list(job, plan, Fasteners()).lines
    assert line.note == "31.2 kg each; steel 1.2 mm; two people"
    heavy = replace(job, skin=Skin("steel", 2.0, 16.0))
    assert buy_list(heavy, plan, Fasteners()).lines[0].note.endswith("more hands or lifting gear")


def test_a_light_sheet_is_lifted_alone() -> None:
    job, plan = two_panels()
    assert buy_list(job, plan, Fasteners()).lines[0].note == "20.0 kg each; steel 1.2 mm"


def test_in_inches_a_sheet_is_weighed_in_pounds_first() -> None:
    job, plan = two_panels()
    job = replace(job, units=Units.INCH, skin=replace(job.skin, gauge=18))
    assert buy_list(job, plan, Fasteners()).lines[0].note == "44.1 lb (20.0 kg) each; steel 18 ga"


def test_a_backing_strip_is_listed_but_not_paid_twice() -> None:
    job, plan = two_panels()
    plan = replace(plan, backing=(BackingStrip("driver side", 300.0, "backing strip 1"),))
    buying = buy_list(job, plan, Fasteners())
    (line,) = [line for line in buying.lines if "backing strip 1" in line.item]
    assert (line.quantity, line.price) == (1, 0.0)
    assert buying.sheets == 55.0
