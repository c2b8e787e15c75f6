"""The integer programme, solved: sheets and seams decided together by column generation inside branch and bound.

Each branch solves the relaxation of the master over patterns that pricing proposes.  The proposals meet
necessary conditions only, so the value is a bound for the true problem; patterns that a solution uses are then placed
for real, and what does not fit is cut off.
"""

from __future__ import annotations

import heapq
from dataclasses import dataclass, replace
from itertools import count

import numpy as np

from nesting.budget import Budget
from nesting.programme.branching import MANY, WHOLE, sheets_used, split_fractions, split_parts, split_unfixed
from nesting.programme.duals import Duals
from nesting.programme.improving import Improver
from nesting.programme.incumbent import Incumbent
from nesting.programme.master import Master
from nesting.programme.model import Model
from nesting.programme.pricing import HURRY, NODE_LIMIT
from nesting.programme.relaxation import HAIR, Aim, Bounds, Relaxed
from nesting.programme.search import Decision, Search
from nesting.sizing.problem import Column

ROOT_ROUNDS, BRANCH_ROUNDS = 80, 2
"""How often misfits are cut off before branching, at the root and below it."""

TAIL, TAIL_SHARE = 4, 0.02
"""Cutting ends when this many rounds close less than this share of the gap."""

IMPROVE_EVERY = 50
"""Branches between two attempts to find a better whole-number choice."""

PICKS = 4
"""Whole-number choices looked at in one attempt to improve the plan."""

IMPROVE_AFTER = (4, 10, 18, 30, 50)
"""Rounds of cutting at the root after which one such choice is looked at, where the gap is wide."""

FAR = 0.012
"""Gap, as a share of the bound, that counts as wide."""

PROVE_EVERY = 5
"""Between rounds of cutting the relaxation is solved to the last pattern only each so many times."""

STALL, STALL_SHARE = 12, 2e-4
"""Pricing at the root gives way to placing where so many rounds lower the value by less than this share."""

STEADY = 0.4
"""Share of the latest duals in the mean with the best ones at which patterns are priced."""

MANY_CLASSES = 120
"""Classes from which such a mean is worth its rounds: with fewer the latest duals swing little."""

QUICK_NODES = 6_000
"""Search nodes for pricing while any better pattern will do; the proof takes as many as it needs."""

THOROUGH_NODES = 40_000
"""The same with many classes: there a poor pattern brings the next round no nearer to the end."""


@dataclass(frozen=True)
class Outcome:
    """The best decision found (None when there is none) and a bound that no decision can beat.

    ``proved``: the best cannot be beaten, or there is no decision at all.
    """

    best: Decision | None
    bound: float
    proved: bool


def solve(
    search: Search,
    aim: Aim,
    start: Decision | None,
    budget: Budget,
    known: float = 0.0,
    most_splits: int | None = None,
) -> Outcome:
    """The best decision by an aim, from a first one on, until proved or out of budget, or after so many splits.

    ``known``: no decision costs less, as something else has proved.
    """
    incumbent = Incumbent(search, aim, start)
    if known >= incumbent.target or budget.over:
        # nothing to look for, or no time: no model is built
        return _outcome(incumbent, known)
    return _Tree(search, aim, incumbent, budget).run(known, most_splits)


def _outcome(incumbent: Incumbent, bound: float) -> Outcome:
    """How it stands where no decision costs less than the bound."""
    best, proved = incumbent.best, bound >= incumbent.target
    if best is None:
        return Outcome(None, bound, proved)
    return Outcome(best, best.cost if proved else incumbent.costs.up(max(0.0, bound)), proved)


@dataclass(frozen=True)
class _Branch:
    """A branch that is still open; ``relaxed`` None where its bound could not be worked out further."""

    bounds: Bounds
    relaxed: Relaxed | None


class _Tree:
    """One run of branch and bound: the open branches, the best decision, the model."""

    def __init__(self, search: Search, aim: Aim, incumbent: Incumbent, budget: Budget) -> None:
        self.search, self.aim, self.budget = search, aim, budget
        self.problem = search.problem
        self.incumbent = incumbent
        self.model = Model(search, Master(self.problem, aim, search.least_penalty()))
        self.improver = Improver(search, aim, self.model, incumbent, budget)
        self.open: list[tuple[float, int, _Branch]] = []
        self.many = len(self.problem.classes) >= MANY_CLASSES
        self.quick = THOROUGH_NODES if self.many else QUICK_NODES
        self.hurry = THOROUGH_NODES if self.many else HURRY
        self.made = 0
        self.stuck = float("inf")
        """Least bound of the branches that could be neither split nor closed."""

    @property
    def bound(self) -> float:
        """No decision costs less than this."""
        return min([self.stuck, *(entry[0] for entry in self.open[:1])])

    def run(self, known: float, most_splits: int | None) -> Outcome:
        """Splits the branch of the least bound until none is left that could hold a better decision."""
        self._push(self._root(), known, ROOT_ROUNDS)
        self._tell("first bound")
        if self.open and self.open[0][2].relaxed is not None:
            self.improver.improve(self.open[0][2].relaxed, self.bound, PICKS)
            self.model.thin(self.improver.worth_trying(self.open[0][2].relaxed, self.bound))
        for _ in count() if most_splits is None else range(most_splits):
            if not self.open or self.bound >= self.incumbent.target or self.budget.over:
                break
            below, _, branch = heapq.heappop(self.open)
            parts = None if branch.relaxed is None else self._split(branch.bounds, branch.relaxed, below)
            if parts is None:
                self.stuck = min(self.stuck, below)
            for bounds in parts or ():
                self._push(bounds, below, BRANCH_ROUNDS)
            if branch.relaxed is not None and self.made % IMPROVE_EVERY == 0:
                self.improver.improve(branch.relaxed, below, 1)
            self._tell("closing the gap")
        return _outcome(self.incumbent, self.bound)

    def _root(self) -> Bounds:
        # a sheet that carries nothing is never bought, and the relaxation must not count on it
        most = [
            0 if not len(rows.owner) else MANY if sheet.available is None else min(MANY, sheet.available)
            for sheet, rows in zip(self.problem.sheets, self.search.pricer.rows, strict=True)
        ]
        cap = MANY if self.aim.seam_cap is None else self.aim.seam_cap
        return Bounds(tuple((0, n) for n in most), (0, sum(self.problem.most)), (0, cap))

    def _push(self, bounds: Bounds, known: float, rounds: int) -> None:
        below, branch = self._bound(bounds, known, rounds)
        if below < self.incumbent.target:
            self.made += 1
            heapq.heappush(self.open, (below, self.made, branch))

    def _tell(self, stage: str, bound: float | None = None) -> None:
        best = None if self.incumbent.best is None else self.incumbent.best.cost
        bound = max(0.0, min(self.bound if bound is None else bound, self.incumbent.spend))
        self.budget.tell(best, self.incumbent.costs.up(bound), stage)

    def _bound(self, bounds: Bounds, known: float, rounds: int) -> tuple[float, _Branch]:
        """A bound for one branch, and the branch with its relaxed solution (None when cut off, empty or not finished).

        ``rounds`` is how often patterns that turn out not to fit are cut off before branching instead.
        """
        if any(low > high for low, high in (*bounds.sheets, bounds.total, bounds.seams)):
            return float("inf"), _Branch(bounds, None)
        self.model.master.set_bounds(bounds)
        best_bound = known
        values: list[float] = []
        since_cut: list[float] = []
        centre: Duals | None = None
        proved, share = -float("inf"), 1.0
        steady = rounds == ROOT_ROUNDS and self.many
        while True:
            relaxed = None if self.budget.over else self.model.master.relax()
            if relaxed is None:
                return best_bound, _Branch(bounds, None)
            latest = Duals.of(relaxed)
            duals = latest if centre is None or share == 1.0 else centre.toward(latest, share)
            lower, fresh = self._price(duals, bounds, self.quick)
            if lower > proved:
                centre, proved = duals, lower
            best_bound = max(best_bound, lower)
            since_cut.append(relaxed.value)
            if rounds == ROOT_ROUNDS:
                # only there is the bound of the branch that of the whole
                self._tell("first bound", best_bound)
            if (
                share < 1.0
                and lower < self.incumbent.target
                and not any(relaxed.gains(self.problem, c) for c in fresh)
            ):
                # these patterns leave the model where it is
                share = 1.0
                continue
            cutting = self._worth_cutting(values, rounds)
            stalled = rounds == ROOT_ROUNDS and _is_stalled(since_cut)
            if (
                (stalled or not fresh)
                and lower < relaxed.value - 1e-3
                and self._is_time_to_prove(relaxed, values, cutting)
            ):
                # some search was cut short: now it may take the time that a proof needs
                duals = latest
                lower, fresh = self._price(duals, bounds, NODE_LIMIT)
                best_bound = max(best_bound, lower)
            if best_bound >= self.incumbent.target:
                return best_bound, _Branch(bounds, None)
            if fresh and not stalled:
                share = STEADY if steady else 1.0
                continue
            if duals is latest:
                bounds = self._shut_dear(bounds, relaxed, lower)
            if rounds == ROOT_ROUNDS and len(values) in IMPROVE_AFTER and self._is_far(relaxed.value):
                self.improver.improve(relaxed, max(0.0, best_bound), 1)
            if cutting and self.model.cut_misfits(relaxed.y, relaxed, self.budget):
                values.append(relaxed.value)
                since_cut.clear()
                continue
            if relaxed.missed > WHOLE and self.model.master.raise_penalty(self.incumbent.ceiling):
                continue
            return best_bound, _Branch(bounds, relaxed)

    def _price(self, duals: Duals, bounds: Bounds, nodes: int) -> tuple[float, list[Column]]:
        return self.model.price(duals, bounds, nodes, self.hurry, self.incumbent.spend)

    def _shut_dear(self, bounds: Bounds, relaxed: Relaxed, lower: float) -> Bounds:
        """The bounds without the choices that no better decision of the branch can hold.

        A decision with a choice costs at least the bound that the duals prove and what the choice costs by them.
        """
        if not 0 < lower <= relaxed.value:
            return bounds
        # a bound for less than the whole value may have shared out what is missing over all that it adds up
        dear = lower + relaxed.x_cost * (lower / relaxed.value) > self.incumbent.target + HAIR
        shut = bounds.shut.union(np.flatnonzero(dear).tolist())
        if shut == bounds.shut:
            return bounds
        bounds = replace(bounds, shut=shut)
        self.model.master.set_bounds(bounds)
        return bounds

    def _is_far(self, value: float) -> bool:
        """True while a better plan seems nearer than a better bound."""
        return self.incumbent.best is None or self.incumbent.best.cost > (1 + FAR) * value

    def _is_time_to_prove(self, relaxed: Relaxed, values: list[float], cutting: bool) -> bool:
        return not cutting or relaxed.value >= self.incumbent.target or len(values) % PROVE_EVERY == 0

    def _worth_cutting(self, values: list[float], rounds: int) -> bool:
        """False after so many rounds, or when the last few did next to nothing for the gap."""
        if len(values) <= TAIL:
            return len(values) < rounds
        gained = values[-1] - values[-1 - TAIL]
        return len(values) < rounds and gained > TAIL_SHARE * (self.incumbent.target - values[-1])

    def _split(self, bounds: Bounds, relaxed: Relaxed, below: float) -> list[Bounds] | None:
        """Branches that together hold every better decision of this one; None where no split is left.

        ``below`` is the proved bound of the branch: less than its relaxation where pricing was cut short.
        """
        split = split_fractions(self.problem, bounds, relaxed)
        if split is not None:
            return split
        settled = self._settle(relaxed)
        if below >= self.incumbent.target:
            return []
        split = split_parts(bounds, relaxed)
        if split is None:
            split = split_unfixed(self.problem, bounds, relaxed)
        if split is None and settled is not None:
            # choices and numbers of sheets are all fixed: what was settled is the only decision here
            return []
        return split

    def _settle(self, relaxed: Relaxed) -> bool | None:
        """Tries to cut what the whole choices need from just the whole numbers of sheets; False when impossible."""
        if relaxed.missed > WHOLE:
            return None
        choices = tuple(int(p) for p in np.flatnonzero(relaxed.x > 0.5))
        counts = tuple(int(n) for n in sheets_used(self.problem, relaxed).round())
        loads = self.search.assigned(choices, counts, self.budget)
        self.model.drop_misfits()
        if loads is False or loads is None:
            return loads
        for load in loads:
            self.search.pool[load] = None
            self.model.master.add(load)
        self.incumbent.accept(Decision(choices, loads, 0.0))
        return True


def _is_stalled(values: list[float]) -> bool:
    """True where the last rounds of pricing did next to nothing for the value."""
    return len(values) > STALL and values[-1 - STALL] - values[-1] < STALL_SHARE * values[-1]
