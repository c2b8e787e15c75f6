"""What documents say about a plan: doubts about parts, and the order in which panels go up."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nesting.documents.findings import doubts, hanging_order, joined, patch_name, sides_in_order
from nesting.documents.wording import counted, proof_text
from nesting.job import Hand
from nesting.outline import bounds
from nesting.plan import Fasteners, PlannedJob
from tests import hand_plans
from tests.long_plan import SIDE, long_plan


def planned(plan: hand_plans.HandPlan) -> PlannedJob:
    return PlannedJob(plan.job, plan.plan, Fasteners(), hand_plans.two_panels_buying())


def test_the_rearmost_panel_goes_up_first() -> None:
    # the front is on the left hand, so the panel farthest right is aft
    assert [panel.name for panel in hanging_order(long_plan(), SIDE)] == ["D3", "D2", "D1"]


def test_lower_panels_go_up_before_upper_ones() -> None:
    assert [panel.name for panel in hanging_order(planned(hand_plans.four_corners()), hand_plans.DRIVER)] == [
        "D2",
        "D1",
        "D4",
        "D3",
    ]


@pytest.mark.parametrize("plan", hand_plans.ALL, ids=lambda plan: plan.__name__)
def test_nothing_is_hung_before_what_it_laps_over(plan) -> None:
    whole = planned(plan())
    for side in sides_in_order(whole):
        names = [panel.name for panel in hanging_order(whole, side.name)]
        assert sorted(names) == sorted(p.name for p in whole.plan.panels if p.side == side.name)
        for seam in whole.plan.seams:
            assert names.index(seam.under) < names.index(seam.over)


def test_a_tall_panel_waits_for_the_low_one_behind_it_but_not_for_the_front() -> None:
    """D1 spans both rows in front of D2 (below) and D3 (above): D3 must be up before D1 laps over it."""
    job, plan = hand_plans.four_corners()
    low, high = (replace(panel, first_bay=2, last_bay=2) for panel in (plan.panels[1], plan.panels[3]))
    tall = replace(plan.panels[0], last_row=2)
    seams = (
        replace(plan.seams[0], over=tall.name, under=low.name),
        replace(plan.seams[1], over=tall.name, under=high.name),
        replace(plan.seams[3], over=high.name, under=low.name),
    )
    whole = planned(hand_plans.HandPlan(job, replace(plan, panels=(tall, low, high), seams=seams)))
    assert [p.name for p in hanging_order(whole, hand_plans.DRIVER)] == [low.name, high.name, tall.name]


def test_with_the_front_on_the_right_hand_the_left_panel_goes_up_first() -> None:
    whole = long_plan()
    panels = tuple(replace(panel, forward=Hand.RIGHT) for panel in whole.plan.panels)
    whole = replace(whole, plan=replace(whole.plan, panels=panels, seams=()))
    first = hanging_order(whole, SIDE)[0]
    assert bounds(first.outline)[0] == min(bounds(panel.outline)[0] for panel in panels)


def test_a_doubtful_bay_casts_doubt_on_its_panel_only() -> None:
    whole = long_plan()
    assert doubts(whole, "D2") == whole.job.warnings
    assert doubts(whole, "D1") == doubts(whole, "lamp cover#1") == ()


def test_a_doubt_that_names_no_bay_is_about_every_panel_of_its_side() -> None:
    whole = long_plan()
    warning = (
        "side 'driver side', overall: the bays and posts add up to 1/2 in more: measure again before cutting"
    )
    whole = replace(whole, job=replace(whole.job, warnings=(warning,)))
    assert all(doubts(whole, name) for name in ("D1", "D2", "D3"))
    other = replace(whole, job=replace(whole.job, warnings=(warning.replace("driver", "passenger"),)))
    assert not any(doubts(other, name) for name in ("D1", "D2", "D3"))


def test_other_remarks_about_a_side_cast_no_doubt_on_its_parts() -> None:
    whole = long_plan()
    remark = "side 'driver side': forward is not given and taken as left"
    whole = replace(whole, job=replace(whole.job, warnings=(remark,)))
    assert not any(doubts(whole, name) for name in ("D1", "D2", "D3"))


def test_proof_is_said_in_plain_words() -> None:
    assert proof_text(*hand_plans.two_panels()).startswith("No cheaper plan exists")
    whole = long_plan()
    assert "at most 1.96 %" in proof_text(whole.job, whole.plan)


def test_words_for_counts_and_lists() -> None:
    assert [counted(n, noun) for n, noun in ((1, "side"), (2, "sheet"), (3, "patch"))] == [
        "1 side",
        "2 sheets",
        "3 patches",
    ]
    assert [joined(names) for names in ((), ("a",), ("a", "b"), ("a", "b", "c"))] == [
        "",
        "a",
        "a and b",
        "a, b and c",
    ]
    assert [patch_name(name) for name in ("cover#12", "D1", "lid#a", "a#1#2")] == [
        "cover",
        "D1",
        "lid#a",
        "a#1",
    ]
