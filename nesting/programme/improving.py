"""Better decisions on the way: whole-number choices among the patterns of the model, panels refilled onto sheets."""

from __future__ import annotations

from dataclasses import dataclass

from nesting.budget import Budget
from nesting.programme.incumbent import Incumbent
from nesting.programme.master import Picked, pick_whole
from nesting.programme.model import Model
from nesting.programme.relaxation import Aim, Relaxed
from nesting.programme.search import Decision, Search
from nesting.sizing.problem import Column

VAIN_PICKS = 2
"""Choices in a row that bring nothing, after which an attempt ends."""

REFILLS = 40_000
"""Rounds of refilling spent on one choice of panels."""


@dataclass(frozen=True)
class Improver:
    """Looks for decisions that beat the best one, and hands them to it."""

    search: Search
    aim: Aim
    model: Model
    incumbent: Incumbent
    budget: Budget

    def improve(self, relaxed: Relaxed, bound: float, picks: int) -> None:
        """Whole-number choices among the patterns that could be part of a better decision.

        First among those known to fit, which gives a decision at once; then with those not yet placed, too: what
        does not fit of these is cut off, and the panels chosen are put on sheets by refilling.
        """
        known = self.search.fitter.known
        columns = self.worth_trying(relaxed, bound)
        picked = self._picked([column for column in columns if known.get(column)])
        if picked is not None:
            self.incumbent.accept(Decision(picked.choices, picked.sheets, 0.0))
        vain = 0
        for _ in range(picks):
            if self.budget.over or bound >= self.incumbent.target or vain == VAIN_PICKS:
                return
            before = self.incumbent.target
            picked = self._picked(
                [c for c in self.worth_trying(relaxed, bound) if known.get(c, True) is not False]
            )
            if picked is None:
                return
            if self._all_fit(picked):
                self.incumbent.accept(Decision(picked.choices, picked.sheets, 0.0))
            else:
                self.model.cut_misfits(picked.sheets, relaxed, self.budget)
                self._refill(picked.choices, bound)
            vain = 0 if self.incumbent.target < before else vain + 1

    def worth_trying(self, relaxed: Relaxed, bound: float) -> list[Column]:
        """Patterns that a better decision than the best can hold, where no decision costs less than the bound."""
        gap = self.incumbent.target - bound if self.incumbent.best else float("inf")
        return self.model.worth_trying(relaxed, gap)

    def _picked(self, columns: list[Column]) -> Picked | None:
        return pick_whole(
            self.search.problem, self.aim, columns, self._patience(), self.incumbent.clearly_less
        )

    def _all_fit(self, picked: Picked) -> bool:
        answer = self.search.answer
        return all(answer(*column) or answer(*column, settle=True) for column in picked.sheets)

    def _refill(self, choices: tuple[int, ...], bound: float) -> None:
        """Sheets for these choices by refilling; what it finds joins the known patterns."""
        search = self.search
        seams = search.cost(self.aim, choices, {})
        loads = search.refilled(choices, {}, self.incumbent.costs.step, bound - seams, REFILLS, self.budget)
        if loads:
            for column in loads:
                self.model.master.add(column)
            self.incumbent.accept(Decision(choices, loads, 0.0))

    def _patience(self) -> float:
        """Seconds for one whole-number choice: never so many that nothing is left for the rest."""
        return min(10.0, max(1.0, 0.2 * self.budget.left))
