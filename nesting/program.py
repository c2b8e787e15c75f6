"""The integer programme, solved: sheets and seams decided together by column generation inside branch and bound.

Each branch solves the relaxation of nesting.master over patterns that nesting.pricing proposes.  The proposals meet
necessary conditions only, so the value is a bound for the true problem; patterns that a solution uses are then placed
for real, and what does not fit is cut off.  Branches split on numbers of sheets, numbers of seams, single seams and
the parts of a class cut from one sheet size, all of which leave the pricing as it is.
"""

from __future__ import annotations

import heapq
from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from math import ceil, floor, gcd

import numpy as np

from nesting.assigning import assign
from nesting.budget import Budget
from nesting.firstplan import fill_sheets, first_choices
from nesting.fitting import Answer, Fitter
from nesting.master import HAIR, Aim, Bounds, Column, Master, Relaxed, pick_whole
from nesting.pricing import NODE_LIMIT, Pricer
from nesting.problem import Pattern, Problem

WHOLE = 1e-5
"""How near a value must be to a whole number to count as one."""

ROOT_ROUNDS, BRANCH_ROUNDS = 80, 2
"""How often misfits are cut off before branching, at the root and below it."""

PICKS = 12
"""Whole-number choices looked at in one attempt to improve the plan."""

QUICK_NODES = 20_000
"""Search nodes for pricing while any better pattern will do; the proof takes as many as it needs."""


@dataclass(frozen=True)
class Decision:
    """Choices made and sheets to cut, at a cost by the aim; ``sheets`` counts each load."""

    choices: tuple[int, ...]
    sheets: Mapping[Column, int]
    cost: float


@dataclass(frozen=True)
class Outcome:
    """The best decision found (None when there is none) and a bound that no decision can beat."""

    best: Decision | None
    bound: float
    proved: bool


@dataclass
class Search:
    """One problem with everything learnt about it, shared by all questions asked of it."""

    problem: Problem
    fitter: Fitter
    pricer: Pricer
    pool: dict[Column, None] = field(default_factory=dict)
    _assigned: dict[object, dict[Column, int] | bool | None] = field(default_factory=dict)

    @classmethod
    def of(cls, problem: Problem) -> Search:
        fitter = Fitter(problem.sheets, problem.classes, problem.edge_to_edge, problem.longest_cut)
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
                    self.pricer.learn_misfit(size, self.fitter.least_misfit(size, pattern))
            return known
        if not self.fitter.quick_places(size, pattern) and self.pricer.refuse(size, pattern):
            self.fitter.known[size, pattern] = False
            return False
        placed = self.fitter.places(size, pattern)
        if placed is False:
            self.pricer.learn_misfit(size, self.fitter.least_misfit(size, pattern))
        return placed

    def first(self) -> Decision | None:
        """A plan in a moment, by simple rules; None when these find none."""
        choices = first_choices(self.problem)
        if choices is None:
            return None
        loads = fill_sheets(self.problem, self.fitter, self.parts(choices))
        if loads is None:
            return None
        self.pool.update(dict.fromkeys(loads))
        return Decision(choices, loads, self.cost(Aim(), choices, loads))

    def parts(self, choices: tuple[int, ...]) -> Counter[int]:
        """How many parts of each class these choices need, the demanded ones included."""
        parts = Counter({k: n for k, n in enumerate(self.problem.demand) if n})
        for p in choices:
            parts.update(self.problem.choices[p].parts)
        return parts

    def seams(self, choices: tuple[int, ...]) -> int:
        """Seams between these choices."""
        chosen = set(choices)
        begun = sum(
            1 for run in self.problem.runs if chosen & set(run.one_hand) or chosen & set(run.other_hand)
        )
        return begun + sum(self.problem.choices[p].seams for p in choices)

    def cost(self, aim: Aim, choices: tuple[int, ...], sheets: Mapping[Column, int]) -> float:
        """What a decision costs by the aim."""
        cost = sum(self.problem.sheets[size].price * count for (size, _), count in sheets.items())
        if aim.seams_count:
            cost += self.problem.seam_cost * self.seams(choices)
            cost += sum(self.problem.choices[p].seam_cost for p in choices)
        return cost

    def step(self, aim: Aim) -> float:
        """All costs are whole multiples of this; 0 where they are not."""
        amounts = [sheet.price for sheet in self.problem.sheets]
        if aim.seams_count:
            amounts += [self.problem.seam_cost, *(c.seam_cost for c in self.problem.choices)]
        cents = [round(amount * 100) for amount in amounts]
        if any(abs(c - a * 100) > 1e-7 for c, a in zip(cents, amounts, strict=True)):
            return 0.0
        return gcd(*cents) / 100

    def solve(self, aim: Aim, start: Decision | None, budget: Budget) -> Outcome:
        """Branch and bound until proved or out of budget."""
        return _Tree(self, aim, start, budget).run()


class _Tree:
    """One run of branch and bound: the open branches, the best decision, the model."""

    def __init__(self, search: Search, aim: Aim, start: Decision | None, budget: Budget) -> None:
        self.search, self.aim, self.budget = search, aim, budget
        self.problem = search.problem
        self.best = start
        self.step = search.step(aim)
        dearest = max(sheet.price for sheet in self.problem.sheets)
        # a missed part or cell must cost more than a sheet for it alone; much more would only spoil the duals
        self.master = Master(self.problem, aim, penalty=1.3 * dearest + 3 * self.problem.seam_cost + 1)
        self.most_sheets = [
            min(sheet.available if sheet.available is not None else 10**6, sum(self.problem.most))
            for sheet in self.problem.sheets
        ]
        self._take_pool()

    def _take_pool(self) -> None:
        for column in self.search.pool:
            if not self.search.pricer.is_misfit(*column):
                self.master.add(column)

    @property
    def target(self) -> float:
        """A branch is of use only if its bound lies below this."""
        if self.best is None:
            return float("inf")
        return self.best.cost - max(self.step, 1e-6) + 1e-6

    def run(self) -> Outcome:
        total_most = sum(self.problem.most)
        cap = self.aim.seam_cap if self.aim.seam_cap is not None else 10**6
        root = Bounds(
            tuple((0, most) for most in self.most_sheets), (0, total_most), (0, cap)
        )
        bound, relaxed = self._bound(root, -float("inf"), ROOT_ROUNDS)
        bound = max(bound, 0.0)
        self._tell(bound, "first bound")
        if relaxed is not None:
            self._improve(relaxed, bound)
        open_branches: list[tuple[float, int, Bounds, Relaxed | None]] = [(bound, 0, root, relaxed)]
        stuck = float("inf")
        made = 0
        while open_branches and not self.budget.over:
            bound, _, bounds, relaxed = heapq.heappop(open_branches)
            if bound >= self.target:
                open_branches = []
                break
            if relaxed is None:
                # its pricing was stopped or failed: nothing more is known of it
                stuck = min(stuck, bound)
                continue
            branches = self._branches(bounds, relaxed)
            if branches is None:
                stuck = min(stuck, bound)
                continue
            for branch in branches:
                below, solution = self._bound(branch, bound, BRANCH_ROUNDS)
                if below < self.target:
                    made += 1
                    heapq.heappush(open_branches, (max(below, bound), made, branch, solution))
            if made % 50 == 49 and relaxed is not None:
                self._improve(relaxed, bound)
            self._tell(min([stuck, *(b[0] for b in open_branches[:1])]), "closing the gap")
        proved_bound = min([stuck, *(b[0] for b in open_branches)])
        return self._outcome(proved_bound)

    def _outcome(self, bound: float) -> Outcome:
        if self.best is None:
            return Outcome(None, bound, bound == float("inf"))
        if bound >= self.target:
            return Outcome(self.best, self.best.cost, True)
        return Outcome(self.best, self._rounded(bound), False)

    def _rounded(self, bound: float) -> float:
        if self.step <= 0 or bound == float("inf"):
            return bound
        return ceil(bound / self.step - 1e-6) * self.step

    def _tell(self, bound: float, stage: str) -> None:
        best = self.best.cost if self.best else None
        if best is not None:
            bound = min(bound, best)
        self.budget.tell(best, self._rounded(bound), stage)

    def _bound(self, bounds: Bounds, known: float, rounds: int) -> tuple[float, Relaxed | None]:
        """A bound for one branch and its relaxed solution (None when cut off, empty or not finished).

        ``rounds`` is how often patterns that turn out not to fit are cut off before branching instead.
        """
        if any(low > high for low, high in (*bounds.sheets, bounds.total, bounds.seams)):
            return float("inf"), None
        self.master.set_bounds(bounds)
        best_bound = known
        while True:
            if self.budget.over:
                return best_bound, None
            relaxed = self.master.relax()
            if relaxed is None:
                return best_bound, None
            lower, fresh = self._price(relaxed, bounds, QUICK_NODES)
            if not fresh and lower < relaxed.value - 1e-3:
                # some search was cut short: now it may take the time that a proof needs
                lower, fresh = self._price(relaxed, bounds, NODE_LIMIT)
            best_bound = max(best_bound, lower)
            if best_bound >= self.target:
                return best_bound, None
            if fresh:
                continue
            if rounds > 0 and self._cut_misfits(relaxed.y, relaxed):
                rounds -= 1
                continue
            return best_bound, relaxed

    def _price(self, relaxed: Relaxed, bounds: Bounds, nodes: int) -> tuple[float, bool]:
        """Adds better patterns; returns the bound that the duals prove and whether anything was added."""
        lower = relaxed.value
        fresh = False
        for size, sheet in enumerate(self.problem.sheets):
            most = min(bounds.sheets[size][1], bounds.total[1])
            if most <= 0:
                continue
            price = sheet.price - relaxed.size_dual[size]
            # what is worth no more than the price changes nothing, so the search may pass it by
            start = max(0.0, price + 1e-9 * max(1.0, abs(price)))
            priced = self.search.pricer.price(size, relaxed.worth[size], start, nodes)
            if self.best is not None and sheet.price > 0:
                most = min(most, floor(self.best.cost / sheet.price))
            lower -= most * max(0.0, priced.bound - price)
            for pattern in priced.patterns:
                if self.master.add((size, pattern)):
                    self.search.pool[size, pattern] = None
                    fresh = True
        return lower, fresh

    def _cut_misfits(self, columns: Mapping[Column, float], relaxed: Relaxed) -> bool:
        """Places the patterns in use for real; True when some did not fit and were cut off.

        What could not be placed leaves the most of it that can be as a pattern to use instead.
        """
        search = self.search
        cut = False
        for size, pattern in columns:
            if self.budget.over:
                break
            answer = search.answer(size, pattern)
            if answer:
                continue
            if answer is False:
                self._drop((size, pattern))
                cut = True
            instead = (size, search.fitter.repaired(size, pattern, relaxed.worth[size]))
            if instead[1]:
                search.pool[instead] = None
                self.master.add(instead)
        if cut:
            self._drop_misfits()
        return cut

    def _drop(self, column: Column) -> None:
        if column in self.master.columns:
            self.master.drop(column)
        self.search.pool.pop(column, None)

    def _drop_misfits(self) -> None:
        for column in [c for c in self.master.columns if self.search.pricer.is_misfit(*c)]:
            self._drop(column)

    def _improve(self, relaxed: Relaxed, bound: float) -> None:
        """A whole-number choice among the patterns that could be part of a better decision.

        First among those known to fit, which gives a decision at once; then with those not yet placed, too.
        """
        search = self.search
        only_placed = True
        for _ in range(PICKS):
            if self.budget.over or (self.best and bound >= self.target):
                return
            columns = [
                column
                for column in self._worth_trying(relaxed, bound)
                if search.fitter.known.get(column, not only_placed)
            ]
            below = None if self.best is None else self.target
            picked = pick_whole(self.problem, self.aim, columns, min(10.0, self.budget.left), below)
            if picked is None and not only_placed:
                return
            only_placed = False
            if picked is None:
                continue
            answers = [search.answer(*column) or search.answer(*column, settle=True) for column in picked.sheets]
            if all(answers):
                self._accept(Decision(picked.choices, picked.sheets, 0.0))
            else:
                self._cut_misfits(picked.sheets, relaxed)

    def _worth_trying(self, relaxed: Relaxed, bound: float) -> list[Column]:
        """Known patterns by their reduced cost: none that costs more than the gap can be in a better decision."""
        gap = self.best.cost - bound if self.best else float("inf")
        costed = []
        for size, pattern in self.master.columns:
            price = self.problem.sheets[size].price - relaxed.size_dual[size]
            reduced = price - sum(relaxed.worth[size][k] * n for k, n in pattern)
            if reduced <= gap + HAIR:
                costed.append((reduced, (size, pattern)))
        costed.sort()
        return [column for _, column in costed[:900]]

    def _accept(self, decision: Decision) -> None:
        trimmed = _trimmed(decision.sheets, self.search.parts(decision.choices))
        cost = self.search.cost(self.aim, decision.choices, trimmed)
        if self.best is None or cost < self.best.cost - 1e-9:
            self.best = Decision(decision.choices, trimmed, cost)

    def _branches(self, bounds: Bounds, relaxed: Relaxed) -> list[Bounds] | None:
        """Branches that together hold every whole-number decision of this one; None where no split is left."""
        used = np.zeros(len(self.problem.sheets))
        for (size, _), value in relaxed.y.items():
            used[size] += value
        if _fraction(used.sum()) > WHOLE:
            return _split(bounds, "total", used.sum())
        parted = max(range(len(used)), key=lambda s: _fraction(used[s]))
        if _fraction(used[parted]) > WHOLE:
            return _split_sheets(bounds, parted, used[parted])
        edge = self._parted_edge(relaxed)
        if edge is not None:
            return self._split_edge(bounds, edge)
        if relaxed.missed <= WHOLE:
            counts = tuple(round(u) for u in used)
            settled = self._settle(tuple(int(p) for p in np.flatnonzero(relaxed.x > 0.5)), counts)
            if settled and bounds_met(self.search, self.aim, relaxed, self.best):
                return []
            split = self._split_parts(bounds, relaxed)
            if split is not None:
                return split
            return self._split_settled(bounds, relaxed, counts, settled)
        return None

    def _parted_edge(self, relaxed: Relaxed) -> int | None:
        worst, found = WHOLE, None
        for e, edge in enumerate(self.problem.edges):
            value = sum(relaxed.x[p] for p in edge.across)
            if _fraction(value) > worst:
                worst, found = _fraction(value), e
        return found

    def _split_edge(self, bounds: Bounds, e: int) -> list[Bounds]:
        edge = self.problem.edges[e]
        return [
            replace(bounds, shut=bounds.shut | set(edge.across)),
            replace(bounds, shut=bounds.shut | set(edge.ending) | set(edge.starting)),
        ]

    def _settle(self, choices: tuple[int, ...], counts: tuple[int, ...]) -> bool | None:
        """Tries to cut what these choices need from just these sheets; False when proved impossible."""
        parts = self.search.parts(choices)
        key = (tuple(sorted(parts.items())), counts)
        known = self.search._assigned
        if key not in known:
            known[key] = assign(self.search.pricer, self.search.fitter, parts, counts)
            self._drop_misfits()
        loads = known[key]
        if isinstance(loads, dict):
            self.search.pool.update(dict.fromkeys(loads))
            for load in loads:
                self.master.add(load)
            self._accept(Decision(choices, loads, 0.0))
            return True
        return loads

    def _split_parts(self, bounds: Bounds, relaxed: Relaxed) -> list[Bounds] | None:
        """Splits on how many parts of one class come from one sheet size."""
        taken: dict[tuple[int, int], float] = {}
        for (size, pattern), value in relaxed.y.items():
            for k, n in pattern:
                taken[k, size] = taken.get((k, size), 0.0) + n * value
        parted = [(abs(_fraction(v) - 0.5), key) for key, v in taken.items() if _fraction(v) > WHOLE]
        if not parted:
            return None
        _, key = min(parted)
        rest = tuple(entry for entry in bounds.on_sheet if entry[0] != key)
        low, high = next(((a, b) for k, a, b in bounds.on_sheet if k == key), (0, 10**6))
        cut = floor(taken[key])
        return [
            replace(bounds, on_sheet=(*rest, (key, low, cut))),
            replace(bounds, on_sheet=(*rest, (key, cut + 1, high))),
        ]

    def _split_settled(
        self, bounds: Bounds, relaxed: Relaxed, counts: tuple[int, ...], settled: bool | None
    ) -> list[Bounds] | None:
        """All values are whole but the patterns: fix what is not fixed yet, one thing at a time."""
        for size, (low, high) in enumerate(bounds.sheets):
            if low < high:
                n = counts[size]
                split = [(low, n - 1), (n, n), (n + 1, high)]
                return [_with_sheets(bounds, size, part) for part in split if part[0] <= part[1]]
        for e, edge in enumerate(self.problem.edges):
            sides = self._split_edge(bounds, e)
            if all(side.shut != bounds.shut for side in sides) and any(
                p not in bounds.shut for p in edge.across
            ):
                return sides
        if settled is False:
            return []
        return None


def bounds_met(search: Search, aim: Aim, relaxed: Relaxed, best: Decision | None) -> bool:
    """True when the best decision costs no more than this branch's own relaxation."""
    return best is not None and best.cost <= relaxed.value + 1e-6


def _fraction(value: float) -> float:
    return abs(value - round(value))


def _split(bounds: Bounds, what: str, value: float) -> list[Bounds]:
    low, high = getattr(bounds, what)
    cut = floor(value)
    return [replace(bounds, **{what: (low, cut)}), replace(bounds, **{what: (cut + 1, high)})]


def _split_sheets(bounds: Bounds, size: int, value: float) -> list[Bounds]:
    low, high = bounds.sheets[size]
    cut = floor(value)
    return [_with_sheets(bounds, size, (low, cut)), _with_sheets(bounds, size, (cut + 1, high))]


def _with_sheets(bounds: Bounds, size: int, span: tuple[int, int]) -> Bounds:
    sheets = list(bounds.sheets)
    sheets[size] = span
    return replace(bounds, sheets=tuple(sheets))


def _trimmed(sheets: Mapping[Column, int], parts: Counter[int]) -> dict[Column, int]:
    """The loads without parts beyond the need, and without sheets that carry nothing then."""
    surplus: Counter[int] = Counter()
    for (_, pattern), count in sheets.items():
        for k, n in pattern:
            surplus[k] += n * count
    surplus.subtract(parts)
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
