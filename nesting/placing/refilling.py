"""A cheaper plan by ruin and recreate: sheets are thinned out and refilled until all parts fit what the goal pays for.

The search asks for a plan that costs at least a step less than the best one known.  Until it is found some parts wait;
each round takes parts off a few sheets and puts them and the waiting ones back in another order, and a round is kept
when less area waits than some rounds ago.  After Schrimpf and others (2000, Journal of Computational Physics 159:139)
and Burke and Bykov (2017, European Journal of Operational Research 258:70, late acceptance); both from memory.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial

import numpy as np
from numpy.typing import NDArray

from nesting.budget import Budget
from nesting.placing.fitting import Spot
from nesting.placing.kernels_refill import BEST, GOAL, MADE, NEARLY, STEP, refill
from nesting.placing.kernels_trees import (
    AXIS,
    DOWN,
    KIND,
    LENGTH,
    NEXT,
    NODE_FIELDS,
    PART,
    PARTS,
    SLICED,
    WHERE,
)
from nesting.sizing.problem import Column, Problem, SheetSize

HAIR = 1e-6

ROUNDS = 200_000
"""Rounds spent on a problem at the most, unless told otherwise."""

BATCH = 50_000
"""Parts that rounds between two looks at the clock look at, all in all: a few hundredths of a second."""

MEMORY = 10**8
"""Bytes that the sheets of one state may take."""

TUNE = (100, 8, 5, 20, 1000)
"""Most rooms between two that are passed over by chance; most places thinned out in a round; per cent of these where
the whole sheet is emptied; per cent of these that lie on another sheet than the one before; by how many millionths of
itself the weight of a part grows in each round that it waits.  Measured on published sets."""

TUNE_SIZES = (100, 4, 60, 50, 1000)
"""The same where there are several sizes: only a sheet that is emptied can be changed for one of another size."""

MANY = 10**9
"""Sheets of a size that may be had in any number."""

HISTORY = 60
"""Rounds ago that a round is compared with."""

STEADY_ROUNDS, FRESH_ROUNDS = 400, 500
"""Rounds for each part: after which every other batch goes to runs begun afresh, and of one such run.  How long a run
takes to its plan differs thousandfold from one beginning to the next where sheets must be filled to the brim."""

FRESH_SEEDS = 7919
"""Seeds between one run and the next."""

FRESH_HISTORY = 20
"""Rounds ago that a round is compared with in those: they settle sooner."""

Loads = dict[Column, int]

State = tuple[NDArray[np.int64], NDArray[np.int64], NDArray[np.int64], NDArray[np.int64], NDArray[np.int64]]


@dataclass(frozen=True)
class Refilled:
    """Loads that carry all parts, at their cost; ``spots``: where the parts lie, for loads that were found here."""

    loads: Loads
    spots: Mapping[Column, tuple[Spot, ...]]
    cost: float


def refilled(
    problem: Problem,
    parts: Counter[int],
    loads: Mapping[Column, int],
    budget: Budget,
    *,
    step: float = 0.0,
    lowest: float = 0.0,
    rounds: int = ROUNDS,
    seed: int = 0,
) -> Refilled:
    """Loads that carry the parts and cost no more than those given (none given: any); what is found obeys the shear.

    Goes on until a plan costs less than ``lowest`` + ``step`` (a bound, and what all costs are multiples of, 0 for
    nothing), for so many rounds, or until the time is over.  Equal questions get equal answers unless the time cuts
    them off, and a longer time never gives a dearer plan.  Without loads given, an empty answer means that none were
    found.
    """
    prices = [sheet.price for sheet in problem.sheets]
    cost = sum(prices[size] * count for (size, _), count in loads.items()) if loads else float("inf")
    best = Refilled(dict(loads), {}, cost)
    if not parts.total() or cost <= max(lowest, 0.0):
        return best
    least = max(step, HAIR * min((price for price in prices if price > 0), default=1.0))
    ways = (True,) if problem.edge_to_edge else (True, False)
    begin = partial(Refilling, problem, parts, step=least, lowest=lowest)
    runs = _Runs(begin, ways, parts.total(), cost, seed)
    batch = max(1, BATCH // parts.total())
    made = 0
    while made < rounds and not budget.over and best.cost > max(lowest, 0.0) + least - HAIR:
        best = runs.run(batch) or best
        made += batch
    return best


class Refilling:
    """One run of ruin and recreate over the parts of a plan, to be gone on with for as long as wanted."""

    def __init__(
        self,
        problem: Problem,
        parts: Counter[int],
        *,
        guillotine: bool,
        step: float,
        lowest: float = 0.0,
        cost: float = float("inf"),
        seed: int = 0,
        tune: tuple[int, ...] | None = None,
        history: int = HISTORY,
    ) -> None:
        classes = problem.classes
        self._guillotine = guillotine
        self._kinds = np.array([k for k, count in sorted(parts.items()) for _ in range(count)], np.int64)
        self._parts = np.array(
            [(classes[k].length, classes[k].width, classes[k].turnable) for k in self._kinds], np.int64
        )
        sheets = np.array([(s.length, s.width) for s in problem.sheets], np.int64)
        shares = self._parts[:, 0].astype(float) * self._parts[:, 1] / float(_areas(sheets).max())
        self._given = (
            sheets,
            np.array([s.price for s in problem.sheets]),
            self._parts,
            # small parts are the easier ones to find room for, so that it is better when they wait
            shares**2 / (shares**2).mean(),
            guillotine,
            2**62 if problem.longest_cut is None else problem.longest_cut,
            int(self._parts[:, :2].min()),
            np.array(tune or (TUNE if len(problem.sheets) == 1 else TUNE_SIZES), np.int64),
        )
        n = len(self._kinds)
        self._weight = self._given[3].copy()
        self._money = np.array([0.0, cost - NEARLY * step, step, lowest - HAIR, self._weight.sum(), cost])
        self._run = (
            np.array([(seed * 2654435761 + 88172645) % (2**32 - 1) + 1], np.int64),
            self._money,
            np.array([_there(problem, sheet) for sheet in problem.sheets], np.int64),
            self._weight,
            np.full((n, 2), -1, np.int64),
            np.arange(n, dtype=np.int64),
            np.array([n, 0, 0, 0], np.int64),
            np.full(history, 1e18),
        )
        most = int(np.searchsorted(np.cumsum(np.sort(shares)), 1.0 + HAIR, side="right"))
        nodes, fields = (6 * most + 16, NODE_FIELDS) if guillotine else (8 * most + 40, 4)
        slots = min(n, max(16, MEMORY // (8 * nodes * (fields + 1))))
        self._state, self._backup, self._best = (_empty((slots, nodes, fields), most) for _ in range(3))
        self.cost = float("inf")

    @property
    def rounds(self) -> int:
        """Rounds made so far."""
        return int(self._run[6][MADE])

    def ask(self, cost: float) -> None:
        """Asks for a plan that costs less than this from now on."""
        if cost < self._money[BEST]:
            self._money[BEST] = cost
            self._money[GOAL] = min(self._money[GOAL], cost - NEARLY * self._money[STEP])

    def run(self, rounds: int) -> bool:
        """So many rounds more; True when a better plan was found."""
        found = refill(rounds, self._given, self._run, self._state, self._backup, self._best)
        if found:
            self.cost = float(self._money[BEST])
        return bool(found)

    def plan(self) -> Refilled:
        """The best plan found."""
        kind, heads, rooms, _, own = self._best
        loads: Counter[Column] = Counter()
        spots: dict[Column, tuple[Spot, ...]] = {}
        for s in np.flatnonzero(kind >= 0):
            placed = self._walked(rooms[s]) if self._guillotine else self._listed(own[s, : heads[s, PARTS]])
            pattern = tuple(sorted(Counter(spot[0] for spot in placed).items()))
            column = (int(kind[s]), pattern)
            loads[column] += 1
            spots.setdefault(column, placed)
        # added up afresh: the running sum of the rounds carries their rounding along
        cost = sum(float(self._given[1][size]) * count for (size, _), count in loads.items())
        return Refilled(dict(loads), spots, cost)

    def _listed(self, own: NDArray[np.int64]) -> tuple[Spot, ...]:
        return tuple(
            sorted((int(self._kinds[part]), int(x), int(y), bool(turned)) for part, x, y, turned in own)
        )

    def _walked(self, tree: NDArray[np.int64]) -> tuple[Spot, ...]:
        """The parts of a tree of cuts, each child beyond the one before along the axis of its parent."""
        spots = []
        waiting = [(0, 0, 0)]
        while waiting:
            node, x, y = waiting.pop()
            if tree[node, KIND] == PART:
                part = tree[node, WHERE]
                turned = tuple(tree[node, LENGTH : LENGTH + 2]) != tuple(self._parts[part, :2])
                spots.append((int(self._kinds[part]), x, y, turned))
            elif tree[node, KIND] == SLICED:
                child = int(tree[node, DOWN])
                while child >= 0:
                    waiting.append((child, x, y))
                    if tree[node, AXIS] == 0:
                        x += int(tree[child, LENGTH])
                    else:
                        y += int(tree[child, LENGTH + 1])
                    child = int(tree[child, NEXT])
        return tuple(sorted(spots))


class _Runs:
    """Runs for one question by turns: those that go on, and after a while others that begin afresh again and again."""

    def __init__(
        self, begin: Callable[..., Refilling], ways: tuple[bool, ...], parts: int, cost: float, seed: int
    ) -> None:
        self._begin, self._ways, self._parts, self._cost, self._seed = begin, ways, parts, cost, seed
        self._steady = [begin(guillotine=way, cost=cost, seed=seed) for way in ways]
        self._fresh: dict[int, Refilling] = {}
        self._turn = 0

    def run(self, rounds: int) -> Refilled | None:
        """So many rounds of the run whose turn it is; the plan when it found a better one."""
        way, lap = self._turn % len(self._ways), self._turn // len(self._ways)
        self._turn += 1
        run = self._steady[way]
        if lap % 2 and run.rounds >= STEADY_ROUNDS * self._parts:
            run = self._afresh(way)
        if not run.run(rounds):
            return None
        plan = run.plan()
        self._cost = plan.cost
        for other in (*self._steady, *self._fresh.values()):
            other.ask(plan.cost)
        return plan

    def _afresh(self, way: int) -> Refilling:
        run = self._fresh.get(way)
        if run is None or run.rounds >= FRESH_ROUNDS * self._parts:
            seed = self._seed + FRESH_SEEDS * self._turn
            run = self._begin(guillotine=self._ways[way], cost=self._cost, seed=seed, history=FRESH_HISTORY)
            self._fresh[way] = run
        return run


def _there(problem: Problem, sheet: SheetSize) -> int:
    """How many of a sheet size there are to fill; none where its rim cannot even be cut off."""
    if problem.edge_to_edge and sheet.rim and not sheet.can_be_cut:
        return 0
    return MANY if sheet.available is None else sheet.available


def _areas(sheets: NDArray[np.int64]) -> NDArray[np.float64]:
    return np.asarray(sheets[:, 0].astype(float) * sheets[:, 1])


def _empty(shape: tuple[int, int, int], most: int) -> State:
    slots, nodes, _ = shape
    return (
        np.full(slots, -1, np.int64),
        np.zeros((slots, 5), np.int64),
        np.zeros(shape, np.int64),
        np.zeros((slots, nodes), np.int64),
        np.zeros((slots, most, 4), np.int64),
    )
