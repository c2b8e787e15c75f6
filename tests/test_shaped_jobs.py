"""Whole jobs with shapes: planned, checked on the way, mirrored parts only where they may be flipped."""

from __future__ import annotations

from pathlib import Path

import pytest

from nesting.job import Bay, Cutting, Hand, Patch, Side, Stock, Turn, Window
from nesting.limits import SolveLimits
from nesting.outline import as_polygon
from nesting.output import write_results
from nesting.plan import Status
from nesting.planning import plan_job
from tests.hand_plans import base_job
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


def test_a_patch_lies_in_a_window_when_that_saves_a_sheet() -> None:
    # one panel of 750 x 1050 fills the sheet; the only room for the patch is its window
    window = Window(bay=1, from_left=150.0, from_bottom=300.0, width=400.0, height=400.0, corner_radius=40.0)
    side = Side("driver side", Hand.LEFT, (Bay(700.0, 1000.0),), (), windows=(window,))
    job = base_job(
        sides=(side,),
        patches=(Patch("cover", 300.0, 250.0),),
        stock=(Stock("just so", 750.0, 1050.0, 50.0),),
        cutting=Cutting(gap=6.0),
    )
    plan = plan_job(job, SolveLimits(time_limit=20.0)).plan
    assert len(plan.sheets) == 1
    assert plan.status is Status.OPTIMAL
    cover = next(part for part in plan.sheets[0].parts if part.part == "cover#1")
    panel = next(part for part in plan.sheets[0].parts if part.part != "cover#1")
    hole = as_polygon(panel.holes[0])
    assert hole.contains(as_polygon(cover.outline))
    assert hole.exterior.distance(as_polygon(cover.outline)) >= 6.0 - 1e-6


def test_a_patch_that_touches_the_window_that_it_lies_in_is_cut_along_it_once(tmp_path: Path) -> None:
    window = Window(bay=1, from_left=150.0, from_bottom=300.0, width=400.0, height=400.0)
    side = Side("driver side", Hand.LEFT, (Bay(700.0, 1000.0),), (), windows=(window,))
    job = base_job(
        sides=(side,),
        patches=(Patch("cover", 300.0, 300.0),),
        stock=(Stock("just so", 750.0, 1050.0, 50.0),),
        cutting=Cutting(),
    )
    planned = plan_job(job, SolveLimits(time_limit=20.0))
    (sheet,) = planned.plan.sheets
    cover = next(part for part in sheet.parts if part.part == "cover#1")
    (hole,) = next(part.holes for part in sheet.parts if part.holes)
    assert as_polygon(hole).exterior.distance(as_polygon(cover.outline).exterior) == 0
    # a line that is cut twice is a fault that reading the cut files back finds
    write_results(planned, tmp_path / "out")


def test_a_window_too_small_for_any_patch_saves_nothing() -> None:
    window = Window(bay=1, from_left=150.0, from_bottom=300.0, width=200.0, height=200.0, corner_radius=40.0)
    side = Side("driver side", Hand.LEFT, (Bay(700.0, 1000.0),), (), windows=(window,))
    job = base_job(
        sides=(side,),
        patches=(Patch("cover", 300.0, 250.0),),
        stock=(Stock("just so", 750.0, 1050.0, 50.0),),
        cutting=Cutting(gap=6.0),
    )
    plan = plan_job(job, SolveLimits(time_limit=20.0)).plan
    assert (len(plan.sheets), plan.status) == (2, Status.OPTIMAL)


def test_wedges_back_to_back_come_out_of_one_sheet() -> None:
    # 600 x 400 at one end and 200 at the other: two of them make a rectangle of 600 x 600, boxes do not fit
    wedge = ((0.0, 0.0, 0.0), (600.0, 0.0, 0.0), (600.0, 200.0, 0.0), (0.0, 400.0, 0.0))
    job = base_job(
        sides=(),
        patches=(Patch("wedge", 600.0, 400.0, quantity=2, outline=wedge),),
        stock=(Stock("square", 600.0, 600.0, 50.0),),
        cutting=Cutting(),
    )
    plan = plan_job(job, SolveLimits(time_limit=20.0)).plan
    assert (len(plan.sheets), plan.status) == (1, Status.OPTIMAL)
