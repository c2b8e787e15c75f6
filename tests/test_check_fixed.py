"""The plan check finds what was decided before and is not kept, and what is paid for twice."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from nesting.checking.check import check_plan, plan_faults
from nesting.job import FixedState
from nesting.ordering.buylist import buy_list, part_masses
from nesting.plan import SheetLayout
from nesting.rivets.fasteners import place_fasteners
from tests.damages import (
    Damage,
    Damaged,
    assert_found,
    cases,
    cut_again,
    fixed_changed,
    item,
    nothing_fixed,
    panel_changed,
    plan_changed,
    sheet_changed,
)
from tests.hand_fixed import SMALL_ON_HAND, gone_on, strip_cut
from tests.hand_plans import HandPlan


def two_on_hand(hand: HandPlan) -> Damaged:
    """Two sheets where one is on hand."""
    d2, hatch = hand.plan.sheets[0].parts
    return plan_changed(sheets=(SheetLayout(SMALL_ON_HAND, (d2,)), SheetLayout(SMALL_ON_HAND, (hatch,))))(
        hand
    )


def paid_for(hand: HandPlan) -> Damaged:
    stock = replace(SMALL_ON_HAND, price=55.0)
    job = replace(hand.job, stock=(stock, *hand.job.stock[1:]))
    return job, replace(hand.plan, sheets=(replace(hand.plan.sheets[0], stock=stock),), bound=67.0)


@pytest.mark.parametrize("build", [gone_on, strip_cut])
def test_a_sound_plan_that_goes_on_passes(build: Callable[[], HandPlan]) -> None:
    job, plan = build()
    fasteners = place_fasteners(job, plan.panels, plan.seams)
    check_plan(job, plan, fasteners, buy_list(job, plan, fasteners))


@pytest.mark.parametrize(
    ("build", "damage", "told"),
    cases(
        (
            "panel cut again",
            gone_on,
            cut_again("D1", 665, 550),
            "part D1: it is cut already and is on a sheet",
        ),
        ("patch cut again", gone_on, cut_again("hatch#1", 200, 200), "part hatch#1: it is cut already"),
        (
            "patch forgotten",
            gone_on,
            lambda h: sheet_changed(parts=h.plan.sheets[0].parts[:1])(h),
            "part hatch#2: it is on the sheets 0 times",
        ),
        (
            "taken as cut, which it is not",
            gone_on,
            panel_changed(1, cut=True),
            "panel D2: the plan takes it as cut, the job does not",
        ),
        ("nothing was cut", gone_on, nothing_fixed, "panel D1: the plan takes it as cut, the job does not"),
        (
            "taken as still to cut",
            gone_on,
            panel_changed(0, cut=False),
            "it is cut, the plan says that it is to",
        ),
        (
            "decided, not cut",
            gone_on,
            fixed_changed(state=FixedState.DECIDED),
            "it is decided, the plan says that it is cut",
        ),
        ("another name", gone_on, panel_changed(0, name="D9"), "the plan calls it D9"),
        ("another extent", gone_on, fixed_changed(last_bay=2), "the plan has no such panel"),
        ("no such side", gone_on, fixed_changed(side="roof"), "there is no such side"),
        ("more sheets than on hand", gone_on, two_on_hand, "stock small: 2 sheets are used, 1 are available"),
        ("a price for what is on hand", gone_on, paid_for, "sheet 1: it is on hand and has a price of 55.00"),
        (
            "strip cut again",
            strip_cut,
            cut_again("backing strip 1", 650, 30),
            "part backing strip 1: the backing strip is cut already",
        ),
        (
            "strip taken as cut, which it is not",
            strip_cut,
            lambda h: (replace(h.job, fixed=replace(h.job.fixed, strips=())), h.plan),
            "backing strip backing strip 1: the plan takes it as cut, the job does not",
        ),
        (
            "strip taken as still to cut",
            strip_cut,
            lambda h: plan_changed(backing=item(h.plan.backing, 0, cut=False))(h),
            "part backing strip 1: the backing strip is on no sheet",
        ),
        (
            "panel that ends on another rail",
            strip_cut,
            fixed_changed(to_rail=400.0),
            "the plan has no such panel",
        ),
    ),
)
def test_damage_is_found(build: Callable[[], HandPlan], damage: Damage, told: str) -> None:
    assert_found(told, damage(build()))


def test_buy_list_that_asks_for_a_sheet_on_hand_is_found() -> None:
    job, plan = gone_on()
    fasteners = place_fasteners(job, plan.panels, plan.seams)
    buying = buy_list(job, plan, fasteners)
    line = replace(buying.lines[0], item="sheet small")
    faults = list(plan_faults(job, plan, fasteners, replace(buying, lines=(line, *buying.lines[1:]))))
    assert faults == ["buy list, small, on hand: 0 at 0.00 are listed, 1 are used"]


def test_sheets_on_hand_are_listed_and_cost_nothing() -> None:
    job, plan = gone_on()
    buying = buy_list(job, plan, place_fasteners(job, plan.panels, plan.seams))
    first = buying.lines[0]
    assert (first.item, first.quantity, first.price) == ("small, on hand", 1, 0.0)
    assert first.note.startswith("on hand, not to buy")
    assert buying.sheets == 0.0
    # nothing is brought, but the sheet is cut all the same
    assert (buying.delivery, buying.cutting) == (0.0, 5.0)


def test_what_was_cut_before_is_on_the_body_too() -> None:
    # 10 kg/m2: two panels of 665 x 550 and two hatches of 200 x 200
    job, plan = gone_on()
    masses = part_masses(job, plan)
    assert masses["D1"] == masses["D2"] == pytest.approx(0.665 * 0.550 * 10)
    assert masses["hatch#1"] == masses["hatch#2"] == pytest.approx(0.4)
    job, plan = strip_cut()
    assert part_masses(job, plan)["backing strip 1"] == pytest.approx(0.650 * 0.030 * 10)
