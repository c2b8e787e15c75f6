"""The planner's own plans, and its rivets and buy lists for hand plans, judged by the check."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import suppress
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, Phase, given, settings

from nesting.checking.check import check_plan, plan_faults
from nesting.job import Job
from nesting.limits import SolveLimits
from nesting.ordering.buylist import buy_list
from nesting.planning import plan_job
from nesting.rivets.fasteners import place_fasteners
from shared.errors import NothingFits
from tests import hand_plans
from tests.full_body import full_body
from tests.hand_plans import HandPlan
from tests.strategies import jobs


@pytest.mark.parametrize("build", [*hand_plans.ALL, full_body], ids=lambda build: build.__name__)
def test_rivets_and_buy_list_of_a_hand_plan_pass(build: Callable[[], HandPlan]) -> None:
    job, plan = build()
    fasteners = place_fasteners(job, plan.panels, plan.seams)
    check_plan(job, plan, fasteners, buy_list(job, plan, fasteners))


def test_post_without_rivets_is_found() -> None:
    job, plan = hand_plans.one_panel()
    fasteners = place_fasteners(job, plan.panels, plan.seams)
    bare = replace(fasteners, lines=tuple(line for line in fasteners.lines if line.kind != "post"))
    faults = list(plan_faults(job, plan, bare))
    assert "panel D1: it has no line of rivets on the post after bay 1" in faults


# Not shrunk: each example is a search, and the faults name what is wrong anyway.
@settings(
    deadline=None,
    derandomize=True,
    max_examples=10,
    phases=(Phase.generate,),
    suppress_health_check=[HealthCheck.too_slow],
)
@given(jobs(max_bays=3, max_patches=2))
def test_plans_of_random_jobs_pass(job: Job) -> None:
    # plan_job raises PlanRejected where the check finds anything.
    with suppress(NothingFits):
        whole = plan_job(job, SolveLimits(time_limit=1.0))
        check_plan(job, whole.plan, whole.fasteners, whole.buying)
