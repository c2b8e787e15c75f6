"""The pattern of most worth on a sheet: what column generation asks for, with a bound nothing can beat.

Patterns found here meet every row of nesting.sizing.sheetbounds and every cut learnt so far; whether their parts can
really be placed is nesting.placing.fitting's to say, and a pattern that cannot is answered by a new cut.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice, product

import numpy as np
from numpy.typing import NDArray

from nesting.programme.bars import refusing_rows
from nesting.programme.kernels_patterns import KEPT, best_pattern
from nesting.programme.knapsack import Knapsack
from nesting.sizing.problem import PartClass, Pattern, Problem
from nesting.sizing.sheetbounds import SCALE, SheetRows, sheet_rows, with_rows

NODE_LIMIT = 2_000_000

HURRY = 3_000
"""Search nodes after which any pattern worth reporting will do, where nothing else is asked for."""

TURNINGS = 200
"""Ways to turn the parts of one pattern that are looked into at the most."""


@dataclass(frozen=True)
class Priced:
    """``bound``: no pattern is worth more; ``patterns``: some that are worth more than the floor, best last."""

    bound: float
    patterns: tuple[Pattern, ...]


@dataclass
class Pricer:
    """Prices patterns on every sheet size of a problem; remembers the cuts."""

    problem: Problem
    rows: list[SheetRows] = field(init=False)
    misfits: list[list[Pattern]] = field(init=False)
    _relaxations: list[Knapsack] = field(init=False)
    _cuts: list[tuple[NDArray[np.bool_], NDArray[np.int64]]] = field(init=False)
    _covers: list[frozenset[int]] = field(init=False)

    def __post_init__(self) -> None:
        classes = self.problem.classes
        self.rows = [sheet_rows(sheet, classes) for sheet in self.problem.sheets]
        self._relaxations = [Knapsack(rows, self.problem.most) for rows in self.rows]
        self.misfits = [[] for _ in self.problem.sheets]
        self._cuts = [_cut_arrays([], len(classes), []) for _ in self.problem.sheets]
        self._covers = [
            frozenset(j for j, larger in enumerate(classes) if _covers(larger, part)) for part in classes
        ]

    def price(
        self,
        sheet: int,
        worth: NDArray[np.float64],
        floor: float,
        node_limit: int = NODE_LIMIT,
        hurry: int = HURRY,
    ) -> Priced:
        """Patterns on a sheet size worth more than ``floor`` by the worth of each class, and the bound.

        After ``hurry`` search nodes any of them will do.
        """
        rows = self.rows[sheet]
        if len(rows.owner) == 0:
            return Priced(0.0, ())
        value = np.maximum(worth, 0.0)[rows.owner]
        relaxed = self._relaxations[sheet].solve(value)
        if relaxed.bound <= floor:
            return Priced(relaxed.bound, ())
        # what would cost more than the bound lies above the floor is in no pattern worth reporting
        spare = (relaxed.bound - floor) * (1 + 1e-9) + 1e-9
        most = np.array(self.problem.most, np.int64)
        cap = np.floor(np.minimum(most[rows.owner], spare / np.maximum(relaxed.loss, 1e-12))).astype(np.int64)
        tried = np.flatnonzero((cap > 0) & (value > 1e-9))
        tried = tried[np.argsort(-value[tried] / np.maximum(rows.weight[tried, 0], 1), kind="stable")]
        # the surrogate and its mean with the area bound the search; no part is free of charge in the latter
        surrogate = relaxed.surrogate[tried, None]
        weight = rows.weight[tried]
        binding = (cap[tried] @ weight > SCALE) | (np.arange(weight.shape[1]) == 0)
        weight = np.hstack([weight[:, binding], surrogate, (surrogate + weight[:, :1]) // 2])
        cuts, needs = self._cuts[sheet]
        best, kept, found = best_pattern(
            value[tried],
            np.ascontiguousarray(weight),
            rows.owner[tried],
            cap[tried],
            most,
            np.array([relaxed.bound, floor]),
            relaxed.loss[tried],
            relaxed.idle,
            node_limit,
            hurry,
            cuts,
            needs,
        )
        slots = [slot % KEPT for slot in range(max(0, found - KEPT), found)]
        return Priced(
            float(best),
            tuple(_pattern(rows.owner[tried], kept[slot]) for slot in slots),
        )

    def refuse(self, sheet: int, pattern: Pattern) -> bool:
        """True where bars prove that a pattern cannot be placed however its parts are turned; the rows are kept.

        The rows then refuse it, and others like it, in every search to come.
        """
        size = self.problem.sheets[sheet]
        for counts in islice(self._turnings(sheet, pattern), TURNINGS):
            rows = self.rows[sheet]
            if (counts @ rows.weight > SCALE).any():
                continue
            more = refusing_rows(rows, size.length, size.width, counts)
            if not more:
                return False
            self.rows[sheet] = with_rows(rows, np.array(more))
            self._relaxations[sheet].add_rows(self.rows[sheet].weight[:, -len(more) :])
        return next(islice(self._turnings(sheet, pattern), TURNINGS, None), None) is None

    def _turnings(self, sheet: int, pattern: Pattern) -> Iterator[NDArray[np.int64]]:
        """The pattern as counts per placing, once for every number of its parts that may lie turned."""
        owner = self.rows[sheet].owner
        places = [np.flatnonzero(owner == k) for k, _ in pattern]
        shares = [
            [(n,)] if len(own) == 1 else [(n - turned, turned) for turned in range(n + 1)]
            for own, (_, n) in zip(places, pattern, strict=True)
        ]
        for share in product(*shares):
            counts = np.zeros(len(owner), np.int64)
            for own, numbers in zip(places, share, strict=True):
                counts[own] = numbers
            yield counts

    def learn_misfit(self, sheet: int, pattern: Pattern) -> None:
        """Never propose the pattern again, nor any that holds larger parts, on this sheet or a smaller one."""
        this = self.problem.sheets[sheet]
        for s, other in enumerate(self.problem.sheets):
            if other.length <= this.length and other.width <= this.width and not self.is_misfit(s, pattern):
                self.misfits[s].append(pattern)
                self._cuts[s] = _cut_arrays(self.misfits[s], len(self.problem.classes), self._covers)

    def is_misfit(self, sheet: int, pattern: Pattern, since: int = 0) -> bool:
        """True where a known cut forbids the pattern; ``since`` passes over the cuts learnt first."""
        cuts, needs = self._cuts[sheet]
        cuts, needs = cuts[since:], needs[since:]
        if not len(cuts):
            return False
        used = np.zeros(len(self.problem.classes), np.int64)
        for k, count in pattern:
            used[k] = count
        return bool(((cuts @ used) >= needs).all(axis=1).any())


def _pattern(owner: NDArray[np.int64], counts: NDArray[np.int64]) -> Pattern:
    used: dict[int, int] = {}
    for i in np.flatnonzero(counts):
        used[int(owner[i])] = used.get(int(owner[i]), 0) + int(counts[i])
    return tuple(sorted(used.items()))


def _covers(larger: PartClass, part: PartClass) -> bool:
    """True where the larger part's place holds the other whichever way the larger one lies.

    A true shape's place holds nothing else for sure.
    """
    if larger.shape is not None and larger != part:
        return False
    fits = larger.length >= part.length and larger.width >= part.width
    return fits and (part.turnable or not larger.turnable or part.length == part.width)


def _cut_arrays(
    misfits: Sequence[Pattern], classes: int, covers: Sequence[frozenset[int]]
) -> tuple[NDArray[np.bool_], NDArray[np.int64]]:
    """Each cut as conditions 'at least so many parts among these classes' (Hall's condition on nested sets)."""
    depth = max((len(pattern) for pattern in misfits), default=1)
    cuts = np.zeros((len(misfits), depth, classes), np.bool_)
    needs = np.zeros((len(misfits), depth), np.int64)
    for c, pattern in enumerate(misfits):
        groups = _nested_groups([k for k, _ in pattern], covers)
        counts = dict(pattern)
        for row, group in enumerate(groups.values()):
            cuts[c, row, list(group)] = True
            needs[c, row] = sum(counts[j] for j, inner in groups.items() if inner <= group)
    return cuts, needs


def _nested_groups(kinds: Sequence[int], covers: Sequence[frozenset[int]]) -> dict[int, frozenset[int]]:
    """For each class the classes that can stand in its place, cut down until any two groups nest or are apart."""
    groups: dict[int, frozenset[int]] = {}
    for k in sorted(kinds, key=lambda k: len(covers[k])):
        group = covers[k]
        if any(not (group <= other or other <= group or not group & other) for other in groups.values()):
            group = frozenset({k})
        groups[k] = group
    return groups
