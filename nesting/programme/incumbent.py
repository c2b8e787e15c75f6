"""The best decision of a run so far, and what a better one may cost."""

from __future__ import annotations

from nesting.programme.relaxation import HAIR, Aim
from nesting.programme.search import Decision, Search
from nesting.programme.wholechoice import carries_all, closes_all


class Incumbent:
    """Begins with a decision, or with none; takes every better one."""

    def __init__(self, search: Search, aim: Aim, start: Decision | None) -> None:
        self._search, self._aim = search, aim
        self.best = start
        self.costs = search.costs(aim)
        self.ceiling = search.ceiling()
        """More than any decision costs."""

    @property
    def target(self) -> float:
        """A branch is of use only if its bound lies below this; any decision at all costs less than the ceiling."""
        if self.best is None:
            return self.ceiling + 1.0
        return self.costs.below(self.best.cost) + HAIR * (self.costs.step > 0)

    @property
    def spend(self) -> float:
        """What the best decision costs, or more than any does."""
        return self.ceiling if self.best is None else self.best.cost

    @property
    def clearly_less(self) -> float | None:
        """What a better choice may cost, with half a step to spare, so that no solver is asked to split hairs."""
        if self.best is None:
            return None
        if self.costs.step > 0:
            return self.costs.below(self.best.cost) + self.costs.step / 2
        return self.best.cost - 1e-4 * max(1.0, self.best.cost)

    def accept(self, decision: Decision) -> None:
        """Takes it where it is better, without the sheets that it does not need; what is no plan is passed over."""
        problem = self._search.problem
        if not (
            closes_all(problem, decision.choices) and carries_all(problem, decision.choices, decision.sheets)
        ):
            return
        trimmed = self._search.trimmed(decision.choices, decision.sheets)
        cost = self._search.cost(self._aim, decision.choices, trimmed)
        if self.best is None or cost < self.best.cost - 1e-9:
            self.best = Decision(decision.choices, trimmed, cost)
