"""The trade between sheets and seams: for each number of seams the least that sheets can cost."""

from __future__ import annotations

from dataclasses import dataclass, replace

from nesting.budget import Budget
from nesting.plan import TradePoint
from nesting.programme.firstplan import fewest_seams
from nesting.programme.program import Outcome, solve
from nesting.programme.relaxation import HAIR, Aim
from nesting.programme.search import Decision, Search


@dataclass(frozen=True)
class Trade:
    """The points by rising seams, and the decision behind each."""

    points: tuple[TradePoint, ...] = ()
    decisions: tuple[Decision, ...] = ()

    def at_no_more(self, search: Search, best: Decision) -> Decision:
        """A decision with fewer seams than the best that costs no more (where seams are free), else the best."""
        aim = Aim()
        for decision in self.decisions:
            cost = search.cost(aim, decision.choices, decision.sheets)
            fewer = search.seams(decision.choices) < search.seams(best.choices)
            if fewer and cost <= best.cost + HAIR:
                return replace(decision, cost=best.cost)
        return best


LONGEST_SEAMS = 10.0
"""Seconds to find the fewest seams at the most."""

LONGEST, LONGEST_POINT = 20.0, 8.0
"""Seconds for all points and for one at the most, so that a job without a time limit ends too."""

MOST_POINTS = 12

MOST_SPLITS = 10
"""Splits of branches for one point: a point that these do not prove keeps its gap."""


def trade(search: Search, outcome: Outcome, budget: Budget) -> Trade:
    """Plans with ever more seams, each with the least sheet cost found and a bound, until it falls no more.

    The plan itself is always among what the points are taken from.
    """
    if outcome.best is None:
        return Trade()
    # what these searches find is the cost of sheets alone: the caller goes on seeing the plan's own cost
    budget.tell(outcome.best.cost, outcome.bound, "trade-off")
    budget = Budget(replace(budget.limits, on_progress=None), min(LONGEST, budget.left))
    cheapest = solve(
        search,
        Aim(seams_count=False),
        _recosted(search, outcome.best),
        budget.share(0.3, LONGEST_POINT),
        most_splits=MOST_SPLITS,
    )
    if cheapest.best is None:
        return Trade()
    known = [outcome.best, cheapest.best]
    points: list[TradePoint] = []
    decisions: list[Decision] = []
    seams = fewest_seams(search.problem, min(budget.left, LONGEST_SEAMS))
    last = search.seams(cheapest.best.choices)
    while len(points) < MOST_POINTS and seams <= last:
        fitting = [d for d in known if search.seams(d.choices) <= seams]
        start = min((_recosted(search, d) for d in fitting), key=lambda d: d.cost, default=None)
        share = budget.share(1 / (last - seams + 2), LONGEST_POINT)
        least = max(cheapest.bound, _left_for_sheets(search, outcome.bound, seams))
        result = solve(search, Aim(seams_count=False, seam_cap=seams), start, share, least, MOST_SPLITS)
        if result.best is not None:
            known.append(result.best)
            decisions.append(result.best)
            points.append(TradePoint(seams, result.best.cost, min(result.bound, result.best.cost)))
            if result.best.cost <= cheapest.best.cost + 1e-9:
                break
        seams += 1
    return Trade(tuple(points), tuple(decisions))


def _left_for_sheets(search: Search, bound: float, seams: int) -> float:
    """What sheets cost at least with no more than so many seams, as no plan costs less than the bound with them."""
    if any(choice.seam_cost for choice in search.problem.choices):
        return 0.0
    return bound - seams * search.problem.seam_cost


def _recosted(search: Search, decision: Decision) -> Decision:
    """The same decision at its sheet cost alone."""
    aim = Aim(seams_count=False)
    return Decision(decision.choices, decision.sheets, search.cost(aim, decision.choices, decision.sheets))
