"""What a whole body's materials cost beside what builders of forty-foot bodies say.

All of it is of kind (c), common practice without a source; the prices in the sample are invented, so the check is that
quantities and prices together land where such bodies do, not that any price is right.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest

from nesting.jobfile import read_job
from nesting.limits import SolveLimits
from nesting.plan import PlannedJob
from nesting.planning import plan_job

SAMPLE = Path(__file__).resolve().parents[2] / "samples" / "full-body.toml"

MATERIALS = 3000.0
"""(c) money for the materials of a body of 35 to 40 ft."""


@cache
def planned() -> PlannedJob:
    return plan_job(read_job(SAMPLE), SolveLimits(time_limit=3.0))


def spent(*starts: str) -> float:
    """What the lines of the buy list whose item starts so come to."""
    return sum(line.price for line in planned().buying.lines if line.item.startswith(starts))


def test_the_whole_lies_within_a_factor_of_two_of_what_such_bodies_cost() -> None:
    assert MATERIALS / 2 <= planned().buying.total <= MATERIALS * 2


def test_post_extensions_cost_between_300_and_600() -> None:
    """(c) formed extensions for all posts of such a body, corners included."""
    assert 300.0 <= spent("post channel") <= 600.0


def test_tube_and_angle_cost_about_300() -> None:
    """(c); a third to either hand, since nobody says how much tube is in it."""
    assert 200.0 <= spent("1x1 tube", "2x2 angle") <= 400.0


def test_a_sheet_costs_100_to_120() -> None:
    """(c); the mean of those bought: the sizes go from 4 x 8 (less than that) to 5 x 12 (more)."""
    plan = planned().plan
    assert 100.0 <= plan.sheet_cost / len(plan.sheets) <= 120.0


def test_rivets_cost_a_few_hundred() -> None:
    """(c), taken as 200 to 500."""
    assert 200.0 <= spent("rivets") <= 500.0


def test_primer_paint_and_sealant_cost_a_couple_of_hundred() -> None:
    """(c), taken as 150 to 300; paint for the new skin only."""
    assert 150.0 <= spent("sealant", "epoxy primer", "enamel") <= 300.0


@pytest.mark.parametrize("section", ["1x1 tube", "2x2 angle", "post channel, 14 ga"])
def test_the_bars_of_the_sample_are_proved(section: str) -> None:
    order = planned().order
    assert order is not None
    (found,) = [each for each in order.sections if each.section == section]
    assert found.plan.bound == found.plan.cost
