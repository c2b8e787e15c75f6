"""The check of money and masses in detail: what just passes and what just fails, on two panels made by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from nesting.checking.money import buying_faults, cost_faults
from nesting.plan import BackingStrip, BuyLine, TradePoint
from tests.hand_plans import DRIVER, planned_two_panels, two_panels


def money_wrong(**changes: Any) -> list[str]:
    whole = planned_two_panels()
    return list(buying_faults(whole.job, whole.plan, whole.fasteners, replace(whole.buying, **changes)))


def test_what_frames_sealant_and_paint_cost_is_taxed_and_in_the_total() -> None:
    more = (
        BuyLine("tube", 1, "bars", 30.0, 30.0),
        BuyLine("sealant", 2, "pcs", 7.0, 14.0),
        BuyLine("paint", 1, "tin", 9.0, 9.0),
    )
    lines = (*planned_two_panels().buying.lines[:4], *more, BuyLine("tax", 1, "sum", 17.3, 17.3))
    # 120 and 53 more are 173, and a tenth of it
    assert money_wrong(lines=lines, framing=30.0, sealant=14.0, paint=9.0, tax=17.3, total=190.3) == []


def test_half_a_cent_is_nothing_and_a_cent_is_wrong() -> None:
    assert money_wrong(total=132.004, tax=12.004) == []
    assert money_wrong(total=132.01) == [
        "buy list, total: 132.01 is given, it comes to 132.00",
        "buy list, all lines: 132.01 is given, it comes to 132.00",
    ]


def test_no_number_is_no_sum() -> None:
    assert any("total" in fault for fault in money_wrong(total=float("nan")))
    job, plan = two_panels()
    assert any("bound" in fault for fault in cost_faults(job, replace(plan, bound=float("nan"))))
    assert any("seam" in fault or "objective" in fault for fault in _with_seams_at(float("nan")))


def _with_seams_at(cost: float) -> list[str]:
    job, plan = two_panels()
    return list(cost_faults(job, replace(plan, seam_cost=cost)))


def test_a_strip_that_is_cut_already_weighs_with_the_parts() -> None:
    whole = planned_two_panels()
    side = replace(whole.job.sides[0], rails=())
    job = replace(whole.job, sides=(side,))
    # a strip across bay 1 at half its height: from the land at -25 to the post's centre at 625, and 30 wide
    strip = BackingStrip(DRIVER, 250.0, "strip", bay=1, cut=True)
    heavier = whole.buying.skin_mass + 650 * 30 * 10e-6
    for mass, sound in ((heavier, True), (whole.buying.skin_mass, False)):
        buying = replace(whole.buying, skin_mass=mass)
        plan = replace(whole.plan, backing=(strip,))
        told = [f for f in buying_faults(job, plan, whole.fasteners, buying) if "mass of the parts" in f]
        assert (told == []) is sound
    elsewhere = replace(whole.plan, backing=(replace(strip, side="roof"),))
    assert not [f for f in buying_faults(job, elsewhere, whole.fasteners, whole.buying) if "mass" in f]


@pytest.mark.parametrize(
    ("points", "told"),
    [
        (((0, 90.0, 90.0), (1, 55.0, 55.0)), ""),
        (((1, 90.0, 55.0), (1, 55.0, 55.0)), "trade-off: 1 seams come after 1"),
        (((0, 50.0, 50.0), (1, 55.0, 55.0)), "trade-off at 1 seams: the sheets cost more than with 0 seams"),
        (
            ((0, 90.0, 91.0), (1, 55.0, 55.0)),
            "trade-off at 0 seams: the bound 91.0000 is more than the cost 90.0000",
        ),
        (
            ((0, 90.0, 90.0), (1, 56.0, 56.0)),
            "trade-off at 1 seams: the bound 56.0000 is beaten by the plan itself, 55.0000",
        ),
        (
            ((0, 90.0, 90.0), (2, 56.0, 56.0)),
            "trade-off at 2 seams: the bound 56.0000 is beaten by the plan itself, 55.0000",
        ),
        (
            ((0, 66.0, 60.0), (1, 55.0, 55.0)),
            "trade-off at 0 seams: it costs 66.0000, less than the plan called optimal, 67.0000",
        ),
        (((0, 67.0, 60.0), (1, 55.0, 55.0)), ""),
    ],
)
def test_a_trade_off_contradicts_neither_itself_nor_the_plan(
    points: tuple[tuple[int, float, float], ...], told: str
) -> None:
    job, plan = two_panels()
    faults = list(cost_faults(job, replace(plan, tradeoff=tuple(TradePoint(*point) for point in points))))
    assert told in faults if told else faults == []


def test_sheets_on_hand_are_on_the_list_as_often_as_they_are_used() -> None:
    whole = planned_two_panels()
    there = replace(whole.plan.sheets[0].stock, price=0.0, on_hand=True)
    plan = replace(whole.plan, sheets=(replace(whole.plan.sheets[0], stock=there),))
    lines = whole.buying.lines

    def told(*own: BuyLine) -> bool:
        buying = replace(whole.buying, lines=(*lines[1:], *own))
        return any("on hand" in fault for fault in buying_faults(whole.job, plan, whole.fasteners, buying))

    assert not told(BuyLine("small, on hand", 1, "sheets", 0.0, 0.0))
    assert told(BuyLine("small, on hand", 2, "sheets", 0.0, 0.0))
    assert told()
