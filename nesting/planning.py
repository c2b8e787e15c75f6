"""The story: from a measured job to a checked plan with everything that follows from it."""

from __future__ import annotations

from dataclasses import replace

from nesting.budget import Budget
from nesting.checking.check import check_plan
from nesting.job import Job
from nesting.limits import SolveLimits
from nesting.ordering.buylist import buy_list, part_masses
from nesting.ordering.order import order_for, section_plans
from nesting.plan import Plan, PlannedJob, Status
from nesting.plans.answer import chosen_panels, laid_out
from nesting.plans.assembly import assemble
from nesting.programme.program import Outcome, solve
from nesting.programme.relaxation import Aim
from nesting.programme.search import Search
from nesting.programme.sparing import spare_on_hand
from nesting.programme.tradeoff import Trade, trade
from nesting.rivets.fasteners import place_fasteners
from nesting.sizing.quickbound import area_bound
from nesting.skin.nothingfits import none_found
from nesting.skin.sideplans import side_plans
from shared.errors import NothingFits


def plan_job(job: Job, limits: SolveLimits | None = None) -> PlannedJob:
    """The best plan found for a job, checked, with rivets, masses and the buy list.

    Raises NothingFits when no plan exists or none was found in time, PlanRejected when our own check fails.
    """
    limits = limits or SolveLimits()
    budget = Budget.of(limits)
    # bars first: they take a moment, and pieces that no bar carries are told before the long search
    bars = section_plans(job, replace(limits, time_limit=_bar_seconds(limits)))
    assembled = assemble(job, side_plans(job))
    search = Search.of(assembled.problem)
    outcome = decide(search, budget)
    if outcome.best is None:
        raise NothingFits(none_found(job, proved=outcome.proved))
    traded = trade(search, outcome, budget) if job.sides else Trade()
    best = spare_on_hand(search, traded.at_no_more(search, outcome.best), budget)
    chosen = chosen_panels(job, assembled, best)
    plan = Plan(
        status=Status.OPTIMAL if outcome.proved else Status.FEASIBLE,
        bound=outcome.bound,
        panels=chosen.panels,
        seams=chosen.seams,
        sheets=laid_out(job, assembled, chosen, best, search.fitter),
        seam_cost=chosen.seam_cost(job.seam),
        tradeoff=traded.points,
        backing=tuple(strip for strip, _ in chosen.strips),
    )
    fasteners = place_fasteners(job, plan.panels, plan.seams)
    order = order_for(job, plan, fasteners, bars)
    buying = buy_list(job, plan, fasteners, order)
    masses = part_masses(job, plan)
    check_plan(job, plan, fasteners, buying, order, masses)
    warnings = (*job.warnings, *fasteners.warnings, *order.cautions)
    return PlannedJob(job, plan, fasteners, buying, masses, warnings, order)


def _bar_seconds(limits: SolveLimits) -> float | None:
    """A tenth of the time at the most for the bars."""
    return None if limits.time_limit is None else limits.time_limit / 10


def decide(search: Search, budget: Budget) -> Outcome:
    """Panels, seams and sheets together: a plan in a moment, then better ones until one is proved best.

    A quarter of a limited time is left for the trade-off.
    """
    first, least = search.first(budget), area_bound(search.problem)
    budget.tell(first.cost if first else None, least, "first plan")
    return solve(search, Aim(), first, budget.share(0.75), least)
