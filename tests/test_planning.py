"""From a job to a checked plan: the odd jobs, and what the caller hears on the way."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nesting.job import Bay, CutMethod, Cutting, Job, Patch, Stock, Turn
from nesting.limits import Progress, SolveLimits
from nesting.plan import PlannedJob, Status
from nesting.planning import plan_job
from shared.errors import NothingFits
from tests.hand_plans import BIG
from tests.plain_sides import job_of, side_of
from tests.test_backing import tall_job

QUICK = SolveLimits(time_limit=1.0)


def planned(job: Job) -> PlannedJob:
    """A plan that has passed its check, since plan_job raises PlanRejected where it has not."""
    return plan_job(job, QUICK)


def test_job_of_patches_alone_is_planned() -> None:
    whole = planned(job_of(patches=(Patch("hatch", 700, 700, 75, quantity=2),), stock=(BIG,)))
    assert [part.part for sheet in whole.plan.sheets for part in sheet.parts] == ["hatch#1", "hatch#2"]
    assert whole.plan.tradeoff == ()


def test_job_of_one_side_alone_is_planned() -> None:
    whole = planned(job_of(side_of(1), stock=(BIG,)))
    assert [panel.name for panel in whole.plan.panels] == ["D1"]
    assert whole.plan.status is Status.OPTIMAL


def test_thousand_equal_patches_are_planned() -> None:
    whole = planned(job_of(patches=(Patch("tag", 150, 100, quantity=1000),), stock=(BIG,)))
    assert sum(len(sheet.parts) for sheet in whole.plan.sheets) == 1000


@pytest.mark.parametrize("gap", [0.0, 3.0])
def test_sheared_job_with_unequal_bays_is_planned(gap: float) -> None:
    cutting = Cutting(CutMethod.SHEAR, gap=gap, edge_margin=gap, shear_length=2500.0)
    side = side_of([Bay(600, 500), Bay(600, 470.3), Bay(610, 470, sill=20)], rails=(200.0,), rail_width=50.0)
    whole = planned(job_of(side, cutting=cutting, patches=(Patch("hatch", 300, 300),), stock=(BIG,)))
    assert all(sheet.cuts for sheet in whole.plan.sheets)


def test_bays_taller_than_every_sheet_are_planned_with_strips_behind_the_seam() -> None:
    whole = planned(tall_job())
    seam = next(seam for seam in whole.plan.seams if seam.rail is not None)
    assert {strip.height for strip in whole.plan.backing} == {seam.start[1]}
    cut = {part.part for sheet in whole.plan.sheets for part in sheet.parts}
    assert {strip.patch for strip in whole.plan.backing} <= cut


def test_tall_bays_that_may_be_turned_need_no_strip() -> None:
    assert planned(tall_job(turn=Turn.QUARTER)).plan.backing == ()


def test_two_sides_with_one_initial_have_panels_of_different_names() -> None:
    sides = (side_of(1), replace(side_of(1), name="door side"), replace(side_of(1), name="  -  "))
    whole = planned(job_of(*sides, stock=(BIG,), patches=(Patch("S1", 100, 100),)))
    assert [panel.name for panel in whole.plan.panels] == ["DR1", "DO1", "S2-1"]


def test_sheets_too_few_for_the_parts_are_a_mistake_of_the_job() -> None:
    # by area two sheets would do, but each carries only one panel
    stock = Stock("few", width=560.0, length=1000.0, price=10.0, available=2)
    job = job_of(side_of(3), stock=(stock,), cutting=Cutting(turn=Turn.NONE))
    with pytest.raises(NothingFits, match=r"raise 'available'.*few: 2"):
        planned(job)


def test_news_of_the_trade_off_show_the_cost_of_the_plan_itself() -> None:
    heard: list[Progress] = []
    job = job_of(
        side_of(5), stock=(BIG, Stock("long", 600.0, 3300.0, 95.0)), patches=(Patch("hatch", 500, 400),)
    )
    whole = plan_job(job, SolveLimits(time_limit=5.0, on_progress=heard.append))
    assert heard[-1].stage == "trade-off"
    assert heard[-1].best == pytest.approx(whole.plan.objective)
    costs = [news.best for news in heard if news.best is not None]
    assert costs == sorted(costs, reverse=True)
    assert all(news.bound <= whole.plan.objective + 1e-6 for news in heard)


def test_trade_off_falls_from_fewest_seams_to_the_cheapest_sheets() -> None:
    job = job_of(side_of(4), stock=(BIG, Stock("long", 600.0, 3300.0, 195.0)))
    points = planned(job).plan.tradeoff
    assert [(p.seams, p.sheet_cost) for p in points] == [(0, 195.0), (1, 90.0)]


def test_caller_who_stops_at_once_is_told_so_or_has_a_first_plan() -> None:
    job = job_of(side_of(4), stock=(BIG,))
    whole = plan_job(job, SolveLimits(should_stop=lambda: True))
    assert whole.plan.bound <= whole.plan.objective
