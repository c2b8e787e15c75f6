"""One planning problem with all that was learnt about it: which patterns fit, which cannot, and what plans cost."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

from nesting.budget import Budget
from nesting.placing.fitting import Answer, Fitter
from nesting.placing.refilling import refilled
from nesting.programme.assigning import assign
from nesting.programme.firstplan import fill_sheets, first_choices
from nesting.programme.pricing import Pricer
from nesting.programme.relaxation import Aim
from nesting.programme.wholechoice import decision_cost, seams_between
from nesting.sizing.costs import Costs
from nesting.sizing.problem import Column, Pattern, Problem

FIRST_REFILLS = 10_000
"""Rounds of refilling for the first plan."""

Loads = dict[Column, int]
"""How often each pattern is cut."""


@dataclass(frozen=True)
class Decision:
    """Choices made and sheets to cut, at a cost by the aim; ``sheets`` counts each load."""

    choices: tuple[int, ...]
    sheets: Mapping[Column, int]
    cost: float


def _exchanged(pattern: Pattern, k: int, other: int) -> Pattern:
    """The pattern with all parts of one class replaced by as many of another."""
    counts = Counter(dict(pattern))
    counts[other] += counts.pop(k)
    return tuple(sorted(counts.items()))


@dataclass
class Search:
    """One problem with everything learnt about it, shared by all questions asked of it."""

    problem: Problem
    fitter: Fitter
    pricer: Pricer
    pool: dict[Column, None] = field(default_factory=dict)
    _assigned: dict[object, Loads | Literal[False] | None] = field(default_factory=dict)

    @classmethod
    def of(cls, problem: Problem) -> Search:
        fitter = Fitter(
            problem.sheets,
            problem.classes,
            problem.edge_to_edge,
            problem.longest_cut,
            spacing=problem.spacing,
        )
        search = cls(problem, fitter, Pricer(problem))
        for size, sheet in enumerate(problem.sheets):
            for k, part in enumerate(problem.classes):
                if part.placings(sheet) and problem.most[k]:
                    search.pool[size, ((k, 1),)] = None
        return search

    def answer(self, size: int, pattern: Pattern, settle: bool = False) -> Answer:
        """Whether a pattern fits, found the cheapest way; what does not fit is learnt by the pricer.

        With ``settle`` an open question gets much more effort.
        """
        if (size, pattern) in self.fitter.known:
            known = self.fitter.known[size, pattern]
            if known is None and settle:
                known = self.fitter.settled(size, pattern)
                if known is False:
                    self._learn(size, pattern)
            return known
        if not self.fitter.quick_places(size, pattern) and self.pricer.refuse(size, pattern):
            self.fitter.known[size, pattern] = False
            return False
        placed = self.fitter.places(size, pattern)
        if placed is False:
            self._learn(size, pattern)
        return placed

    def _learn(self, size: int, pattern: Pattern) -> None:
        """Refuses a misfit, and all that hold it, in the most general form found: fewest parts, then shortest parts."""
        misfit = self.fitter.least_misfit(size, pattern)
        for k, _ in sorted(misfit, key=lambda entry: -self._area(entry[0])):
            misfit = self._shortened(size, misfit, k)
        self.pricer.learn_misfit(size, misfit)

    def _area(self, k: int) -> int:
        return self.problem.classes[k].area

    def _shortened(self, size: int, misfit: Pattern, k: int) -> Pattern:
        """The misfit with the parts of a class as short as they can be while it still is one, by halving."""
        part = self.problem.classes[k]
        shorter = sorted(
            (other.length, j)
            for j, other in enumerate(self.problem.classes)
            if other.width == part.width and other.length <= part.length and other.turnable == part.turnable
        )
        low, high = 0, len(shorter) - 1
        best = misfit
        while low < high:
            middle = (low + high) // 2
            tried = _exchanged(misfit, k, shorter[middle][1])
            if self.fitter.places(size, tried) is False:
                high, best = middle, tried
            else:
                low = middle + 1
        return best

    def first(self, budget: Budget) -> Decision | None:
        """A plan in a moment, by simple rules; None when these find none."""
        choices = first_choices(self.problem)
        if choices is None:
            return None
        loads = fill_sheets(self.problem, self.fitter, self.parts(choices))
        loads = self.refilled(choices, loads or {}, self.costs(Aim()).step, 0.0, FIRST_REFILLS, budget)
        if not loads:
            return None
        self.pool.update(dict.fromkeys(loads))
        return Decision(choices, loads, self.cost(Aim(), choices, loads))

    def refilled(
        self, choices: tuple[int, ...], loads: Loads, step: float, lowest: float, rounds: int, budget: Budget
    ) -> Loads:
        """Sheets for these choices that cost no more than the loads given (none: any), their patterns remembered."""
        parts = self.parts(choices)
        found = refilled(self.problem, parts, loads, budget, step=step, lowest=lowest, rounds=rounds)
        for column, spots in found.spots.items():
            self.fitter.known[column] = spots
        self.pool.update(dict.fromkeys(found.loads))
        return found.loads

    def parts(self, choices: tuple[int, ...]) -> Counter[int]:
        """How many parts of each class these choices need, the demanded ones included."""
        parts = Counter({k: n for k, n in enumerate(self.problem.demand) if n})
        for p in choices:
            parts.update(self.problem.choices[p].parts)
        return parts

    def seams(self, choices: tuple[int, ...]) -> int:
        """Seams between these choices."""
        return seams_between(self.problem, choices)

    def cost(self, aim: Aim, choices: tuple[int, ...], sheets: Mapping[Column, int]) -> float:
        """What a decision costs by the aim."""
        return decision_cost(self.problem, aim, choices, sheets)

    def ceiling(self) -> float:
        """No plan worth having costs more: every part on a sheet of its own, a seam at every cell and run."""
        problem = self.problem
        dearest = max(sheet.price for sheet in problem.sheets)
        seams = problem.seam_cost * (len(problem.runs) + sum(c.seams for c in problem.choices))
        return dearest * sum(problem.most) + seams + sum(c.seam_cost for c in problem.choices)

    def least_penalty(self) -> float:
        """What a missed part or cell costs in the relaxation: more than a sheet for it alone, or it would be missed.

        Much more would only spoil the duals.
        """
        return 1.3 * max(sheet.price for sheet in self.problem.sheets) + 3 * self.problem.seam_cost + 1

    def costs(self, aim: Aim) -> Costs:
        """The costs that decisions can have."""
        amounts = [sheet.price for sheet in self.problem.sheets]
        if aim.seams_count:
            amounts += [self.problem.seam_cost, *(c.seam_cost for c in self.problem.choices)]
        return Costs.of(amounts, self.ceiling())

    def assigned(
        self, choices: tuple[int, ...], counts: tuple[int, ...], budget: Budget
    ) -> Loads | Literal[False] | None:
        """Loads for these numbers of sheets that carry what these choices need; False when proved impossible."""
        parts = self.parts(choices)
        key = (tuple(sorted(parts.items())), counts)
        if key not in self._assigned:
            answer = assign(self.pricer, self.fitter, parts, counts, budget)
            if answer is None and budget.over:
                # another question may have the time that this one lacked
                return None
            self._assigned[key] = answer
        return self._assigned[key]

    def trimmed(self, choices: tuple[int, ...], sheets: Mapping[Column, int]) -> Loads:
        """The loads without parts beyond the need, and without sheets that carry nothing then."""
        surplus: Counter[int] = Counter()
        for (_, pattern), count in sheets.items():
            for k, n in pattern:
                surplus[k] += n * count
        surplus.subtract(self.parts(choices))
        trimmed: Counter[Column] = Counter()
        for (size, pattern), count in sorted(sheets.items()):
            for _ in range(count):
                kept = []
                for k, n in pattern:
                    spare = min(n, max(0, surplus[k]))
                    surplus[k] -= spare
                    if n > spare:
                        kept.append((k, n - spare))
                if kept:
                    trimmed[size, tuple(kept)] += 1
        return dict(trimmed)
