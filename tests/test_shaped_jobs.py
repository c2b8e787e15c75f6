"""Whole jobs with shapes: planned, checked on the way, mirrored parts only where they may be flipped."""

from __future__ import annotations

import pytest

from nesting.job import Turn
from nesting.limits import SolveLimits
from nesting.planning import plan_job
from tests.shaped_jobs import shaped_job

LIMIT = 2.0
"""Seconds: enough for a plan, proved or not."""


@pytest.mark.parametrize("seed", range(12))
def test_a_random_job_with_shapes_is_planned_and_passes_the_check(seed: int) -> None:
    # plan_job raises PlanRejected where its independent check finds a fault
    planned = plan_job(shaped_job(seed), SolveLimits(time_limit=LIMIT))
    job, plan = planned.job, planned.plan
    assert plan.bound <= plan.objective + 1e-6
    parts = [part for sheet in plan.sheets for part in sheet.parts]
    assert len(parts) == len(plan.panels) + len(plan.backing) + sum(patch.quantity for patch in job.patches)
    assert job.cutting.flip or not any(part.flipped for part in parts)
    allowed = {Turn.NONE: {0.0}, Turn.HALF: {0.0, 180.0}}.get(job.cutting.turn, {0.0, 90.0, 180.0, 270.0})
    assert {part.turn for part in parts} <= allowed
