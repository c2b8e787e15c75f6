"""Few bars, with a proof: the relaxation bounds, dives find plans, and listing all loads that can matter ends it.

1. Column generation closes the relaxation: a bound, rounded up to the next cost that there is.
2. Dives: loads of the relaxation are cut one after another and the rest is solved again, with a few second choices
   (diving with limited discrepancies: Sadykov et al. 2019, INFORMS Journal on Computing 31:251; from memory).
3. Every load that a cheaper plan could use is listed by its reduced cost, and the best whole choice among them is
   either such a plan or the proof that there is none.
4. With bars of several kinds the mixes that cost less than the best plan are gone through, the cheapest first: do just
   these bars carry all pieces?  That is the same question with little waste allowed, where 1 to 3 answer quickly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

import numpy as np

from nesting.budget import Budget
from nesting.framing.barchoice import pick_whole
from nesting.framing.barloads import all_loads, better_loads, filled_in_order, without_surplus
from nesting.framing.barmaster import HAIR, BarMaster, Bound, Duals, proved_bound
from nesting.framing.barmixes import mixes, with_bars
from nesting.framing.barproblem import BarProblem, Load, Rest

TOLERANCE = 1e-8
"""Share of its price that a load must be worth more to be added: less only moves rounding about."""

Stage = tuple[int, int, int, int, int]

STAGES: tuple[Stage, ...] = (
    (0, 0, 60, 800, 2_000),
    (2, 2, 300, 1_500, 2_000),
    (3, 3, 600, 3_000, 2_000),
    (5, 3, 2_000, 20_000, 3_000),
    (9, 4, 20_000, 200_000, 50_000),
)
"""Efforts one after another: depth and number of second choices and relaxations of a dive, then most loads listed
and branches of the choice among them."""

NODES_PER_LOAD = 2_000

NUDGES, NUDGE = 12, 1e-3
"""How many further sets of duals are asked for, and by how much of a piece what is wanted is changed for each."""


@dataclass(frozen=True)
class FoundLoads:
    """The bars to cut (None: no plan found) and a bound on what they cost; ``proved``: no plan is cheaper."""

    loads: tuple[Load, ...] | None
    cost: float
    bound: float
    proved: bool


def solve_bars(problem: BarProblem, budget: Budget, seed: int) -> FoundLoads:
    """The cheapest bars that carry all pieces; no plan and ``proved`` means that the bars cannot do."""
    return _BarSearch(problem, budget, seed).run()


class _BarSearch:
    """One search: the best plan and the bound so far."""

    def __init__(self, problem: BarProblem, budget: Budget, seed: int, ceiling: float | None = None) -> None:
        """With a ceiling any plan up to it is as good as another, and there may be none."""
        self.problem, self.budget, self.seed = problem, budget, seed
        self.any_plan = ceiling is not None
        self.ceiling = problem.dearest if ceiling is None else ceiling
        self.master = BarMaster(problem)
        self.best: list[Load] | None = None
        self.cost = float("inf")
        self.bound = 0.0
        self._relaxations = 0
        self._root: Bound | None = None

    def run(self, stages: Sequence[Stage] = STAGES) -> FoundLoads:
        """Goes on until the answer is proved, the stages are done or the time is over."""
        whole = Rest.whole(self.problem)
        self._keep(filled_in_order(self.problem, whole), [])
        for load in self._plain_loads():
            self.master.add(load)
        root = None if self._settled else self._close(whole, Fraction(0), float("inf"))
        if root is not None:
            self._raise_bound(float(root.value))
            for number, stage in enumerate(stages):
                if self._settled or self.budget.over:
                    break
                self._dives(*stage[:3])
                if not self._try_mixes(stages[: number + 1]):
                    self._lists(root, *stage[3:])
        loads = None if self.best is None else tuple(self.best)
        return FoundLoads(loads, self.cost, min(self.bound, self.cost), self._settled)

    @property
    def _settled(self) -> bool:
        if self.best is None:
            return self.bound > self.ceiling + HAIR
        return self.any_plan or self.bound >= self.cost - HAIR * self.problem.costs.step

    @property
    def _no_plan(self) -> float:
        """A bound above every plan."""
        return 2 * self.ceiling + 1

    def _try_mixes(self, stages: Sequence[Stage]) -> bool:
        """Asks of each mix of bars that would be cheaper whether it does; the bound rises past those that do not.

        False where mixes say nothing: with one kind of bar, or with too many mixes.
        """
        if self._settled:
            return True
        if self.any_plan or len(self.problem.bars) == 1:
            return False
        waiting = mixes(self.problem, self.bound, self._next)
        if waiting is None:
            return False
        open_costs = []
        for cost, mix in waiting:
            if cost > self._next + HAIR or self.budget.over:
                open_costs.append(cost)
                break
            just = with_bars(self.problem, mix)
            length = sum(count * bar.price for count, bar in zip(mix, just.bars, strict=True))
            found = _BarSearch(just, self.budget, self.seed, length).run(stages)
            if found.loads is not None:
                self._keep(found.loads, [])
                break
            if not found.proved:
                open_costs.append(cost)
        else:
            open_costs.append(self._no_plan if self.best is None else self.cost)
        self.bound = max(self.bound, min(open_costs, default=self.cost))
        return True

    def _keep(self, loads: Sequence[Load] | None, before: Sequence[Load]) -> None:
        if loads is None:
            return
        plan = without_surplus(self.problem, [*before, *loads])
        cost = self.problem.cost(plan)
        for load in plan:
            self.master.add(load)
        if cost < self.cost - HAIR * self.problem.costs.step:
            self.best, self.cost = plan, cost
            if not self.any_plan:
                self.budget.tell(self.cost, min(self.bound, self.cost), "bars")

    def _raise_bound(self, bound: float) -> None:
        self.bound = max(self.bound, self.problem.costs.up(bound))

    @property
    def _next(self) -> float:
        """The largest cost that would be better than the best plan."""
        return self.ceiling if self.best is None else self.problem.costs.below(self.cost)

    def _plain_loads(self) -> list[Load]:
        """As much of one length as goes, for each length and bar."""
        loads = []
        for number, bar in enumerate(self.problem.bars):
            for kind, (size, demand) in enumerate(zip(self.problem.sizes, self.problem.demand, strict=True)):
                if count := min(demand, bar.capacity // size):
                    counts = [0] * len(self.problem.sizes)
                    counts[kind] = count
                    loads.append(Load(number, tuple(counts)))
        return loads

    def _dives(self, depth: int, second: int, relaxations: int) -> None:
        """Looks for a better plan, first for one of the least cost that the bound leaves open."""
        for ceiling in dict.fromkeys((self.bound, self._next)):
            if self._settled or self.budget.over or ceiling > self._next + HAIR:
                return
            self._relaxations = relaxations
            self._dive(Rest.whole(self.problem), [], ceiling, frozenset(), depth, second)

    def _lists(self, root: Bound, most: int, nodes: int) -> None:
        """Settles by listing what it can: all cheaper plans, or else those of the least cost left, and so on."""
        self._root = self._root or self._central(root)
        known = None
        while not self._settled and not self.budget.over and known != (self.cost, self.bound):
            known = (self.cost, self.bound)
            if not self._list(self._root, self._next, most, nodes) and self.bound < self._next - HAIR:
                self._list(self._root, self.bound, most, nodes)

    # -- relaxation ------------------------------------------------------------------------------------------

    def _close(
        self, rest: Rest, spent: Fraction, ceiling: float, nudge: Sequence[float] | None = None
    ) -> Bound | None:
        """Adds loads until none helps: the bound for the rest; None where it is over the ceiling or the time."""
        self.master.ask_for(rest, nudge)
        while not self.budget.over:
            duals = self.master.solve()
            bound, loads = self._priced(rest, duals)
            if float(spent + bound.value) > ceiling + HAIR:
                return None
            grown = [self.master.add(load) for load in loads]
            if not any(grown):
                return bound
        return None

    def _priced(self, rest: Rest, duals: Duals) -> tuple[Bound, list[Load]]:
        """The bound that these duals give, and loads that are worth more than they cost."""
        problem = self.problem
        most = np.array(rest.demand, np.int64)
        better: list[Load] = []
        worth = []
        for number, (bar, left) in enumerate(zip(problem.bars, rest.available, strict=True)):
            price = int(bar.price * problem.scale)
            floor = price + duals.bars[number] + max(1, int(price * TOLERANCE))
            if left == 0:
                worth.append(0)
                continue
            loads, most_worth = better_loads(problem.size_array, duals.values, most, bar.capacity, floor)
            worth.append(most_worth)
            better += [Load(number, counts) for counts in loads]
        return proved_bound(problem, rest, duals.values, worth), better

    def _central(self, root: Bound) -> Bound:
        """The mean of several equally good sets of duals: fewer loads are then as good as those in use."""
        whole = Rest.whole(self.problem)
        draw = np.random.default_rng(self.seed)
        values = [root.values]
        for _ in range(NUDGES):
            nudge = (NUDGE * draw.random(len(self.problem.sizes))).tolist()
            bound = self._close(whole, Fraction(0), float("inf"), nudge)
            if bound is not None:
                values.append(bound.values)
        mean = np.sum(np.array(values), axis=0) // len(values)
        central, _ = self._priced(whole, Duals(mean, (0,) * len(self.problem.bars)))
        return central

    # -- dives -----------------------------------------------------------------------------------------------

    def _dive(
        self, rest: Rest, cut: list[Load], ceiling: float, shut: frozenset[Load], depth: int, second: int
    ) -> bool:
        """Cuts loads of the relaxation until a plan within the ceiling is found (True) or none can be."""
        cut = list(cut)
        while True:
            self._keep(filled_in_order(self.problem, rest), cut)
            if self.cost <= ceiling + HAIR:
                return True
            self._relaxations -= 1
            if self._relaxations < 0 or rest.done or self.budget.over:
                return False
            if self._close(rest, Fraction(self.problem.cost(cut)), ceiling) is None:
                return False
            solution = self.master.solution()
            whole = [(int(times + HAIR), load) for times, load in solution if times >= 1 - HAIR]
            if whole:
                for times, load in whole:
                    if times := min(times, rest.times(load)):
                        cut += [load] * times
                        rest = rest.after(load, times)
                continue
            choices = [load for _, load in solution if load not in shut and rest.times(load)]
            if not choices:
                return False
            if not depth or not second:
                cut.append(choices[0])
                rest = rest.after(choices[0])
                continue
            for load in choices[: second + 1 - len(shut)]:
                if self._dive(rest.after(load), [*cut, load], ceiling, shut, depth - 1, second):
                    return True
                shut |= {load}
            return False

    # -- listing ---------------------------------------------------------------------------------------------

    def _list(self, root: Bound, ceiling: float, most: int, nodes: int) -> bool:
        """Whether it is decided if there is a plan up to the ceiling: False where that would take too much."""
        room = Fraction(ceiling) + Fraction(HAIR) - root.value
        loads: list[Load] = []
        for bar in range(len(self.problem.bars)):
            if self.problem.bars[bar].available == 0:
                continue
            listed = all_loads(
                self.problem, bar, root.values, root.least_worth(bar, room), most, most * NODES_PER_LOAD
            )
            if listed is None or len(loads) + len(listed) > most:
                return False
            loads += listed
        choice = pick_whole(self.problem, loads, ceiling, self.budget.left, nodes, self.seed, self.any_plan)
        if choice.loads is not None:
            self._keep(choice.loads, [])
            if choice.proved:
                self._raise_bound(self.cost)
            return True
        if choice.proved:
            step = self.problem.costs.step
            self._raise_bound(ceiling + (0.5 * step if step else HAIR))
            if ceiling >= self._next - HAIR:
                self.bound = self._no_plan if self.best is None else self.cost
        return choice.proved
