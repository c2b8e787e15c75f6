"""Hand plans with everything that follows from them: rivets, the rest of the order, buy list and masses."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

from nesting.job import CutMethod, Patch
from nesting.ordering.buylist import buy_list, part_masses
from nesting.ordering.order import order_for
from nesting.outline import rectangle
from nesting.plan import Offcut, PlannedJob, SheetLayout
from nesting.rivets.fasteners import place_fasteners
from tests.damages import item
from tests.hand_plans import SMALL, HandPlan, one_panel, placed, sheared, two_panels, windowed


def riveted_window() -> HandPlan:
    """`windowed` with rivets round its window."""
    job, plan = windowed()
    side = replace(job.sides[0], windows=item(job.sides[0].windows, 0, riveted=True))
    return HandPlan(replace(job, sides=(side,)), plan)


def over_a_rail() -> HandPlan:
    """`one_panel` over a rail of 50 at 250, riveted to it."""
    job, plan = one_panel()
    side = replace(job.sides[0], rails=(250.0,), rail_width=50.0)
    return HandPlan(replace(job, sides=(side,)), replace(plan, panels=item(plan.panels, 0, last_row=2)))


def with_labour() -> HandPlan:
    """`two_panels` with an hour and a half for each panel and half an hour for the seam, at 40 an hour: 140."""
    job, plan = two_panels()
    costs = replace(job.costs, hours_per_seam=0.5, hours_per_panel=1.5, labour_rate=40.0)
    return HandPlan(replace(job, costs=costs), plan)


def two_lids() -> HandPlan:
    """`sheared` cut by a profile cutter, with a lid of its own size beside each cover."""
    job, plan = sheared()
    cutting = replace(job.cutting, method=CutMethod.PROFILE, shear_length=None)
    patches = (Patch("cover", 800.0, 400.0), Patch("cap", 400.0, 300.0), Patch("lid", 1000.0, 300.0))
    parts = (
        placed("cover#1", rectangle(0, 0, 800, 400), 0, 0),
        placed("cap#1", rectangle(0, 0, 400, 300), 0, 400),
        placed("lid#1", rectangle(0, 0, 1000, 300), 800, 0, turn=90.0),
    )
    sheet = SheetLayout(SMALL, parts, offcuts=(Offcut(1100, 0, 900, 1000),))
    return HandPlan(replace(job, cutting=cutting, patches=patches), replace(plan, sheets=(sheet,)))


@cache
def whole(build: Callable[[], HandPlan]) -> PlannedJob:
    """A hand plan with its rivets, the rest of the order, buy list and masses."""
    job, plan = build()
    fasteners = place_fasteners(job, plan.panels, plan.seams)
    order = order_for(job, plan, fasteners)
    buying = buy_list(job, plan, fasteners, order)
    return PlannedJob(job, plan, fasteners, buying, part_masses(job, plan), (), order)
