"""The pattern of most worth on a sheet: what column generation asks for, with a bound nothing can beat.

Patterns found here meet every row of nesting.sheetbounds and every cut learnt so far; whether their parts can
really be placed is nesting.fitting's to say, and a pattern that cannot is answered by a new cut.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from nesting.kernels import KEPT, best_pattern
from nesting.problem import PartClass, Pattern, Problem, SheetSize
from nesting.sheetbounds import SheetRows, sheet_rows

NODE_LIMIT = 2_000_000


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
    _cuts: list[tuple[NDArray[np.bool_], NDArray[np.int64]]] = field(init=False)
    _covers: list[frozenset[int]] = field(init=False)

    def __post_init__(self) -> None:
        classes = self.problem.classes
        self.rows = [sheet_rows(sheet, classes) for sheet in self.problem.sheets]
        self.misfits = [[] for _ in self.problem.sheets]
        self._cuts = [_cut_arrays([], len(classes), []) for _ in self.problem.sheets]
        self._covers = [
            frozenset(j for j, larger in enumerate(classes) if _covers(larger, part)) for part in classes
        ]

    def price(self, sheet: int, worth: NDArray[np.float64], floor: float, node_limit: int = NODE_LIMIT) -> Priced:
        """Patterns on a sheet size worth more than ``floor`` by the worth of each class, and the bound."""
        rows = self.rows[sheet]
        if len(rows.owner) == 0:
            return Priced(0.0, ())
        cuts, needs = self._cuts[sheet]
        value = np.maximum(worth, 0.0)[rows.owner]
        most = np.array(self.problem.most, np.int64)
        bound, kept, _, found = best_pattern(
            value, rows.weight, rows.room, rows.owner, most, floor, node_limit, cuts, needs
        )
        order = [slot % KEPT for slot in range(max(0, found - KEPT), found)]
        patterns = tuple(
            tuple((int(k), int(kept[slot, k])) for k in np.flatnonzero(kept[slot])) for slot in order
        )
        return Priced(float(bound), patterns)

    def learn_misfit(self, sheet: int, pattern: Pattern) -> None:
        """Never propose the pattern again, nor any that holds larger parts, on this sheet or a smaller one."""
        this = self.problem.sheets[sheet]
        for s, other in enumerate(self.problem.sheets):
            if other.length <= this.length and other.width <= this.width and not self.is_misfit(s, pattern):
                self.misfits[s].append(pattern)
                self._cuts[s] = _cut_arrays(self.misfits[s], len(self.problem.classes), self._covers)

    def is_misfit(self, sheet: int, pattern: Pattern) -> bool:
        """True where a known cut forbids the pattern."""
        cuts, needs = self._cuts[sheet]
        if not len(cuts):
            return False
        used = np.zeros(len(self.problem.classes), np.int64)
        for k, count in pattern:
            used[k] = count
        return bool(((cuts @ used) >= needs).all(axis=1).any())


def _covers(larger: PartClass, part: PartClass) -> bool:
    """True where the larger part's place holds the other whichever way the larger one lies."""
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
        for row, (k, group) in enumerate(groups.items()):
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


def alone(sheet: SheetSize, part: PartClass) -> bool:
    """True where one part fits a sheet by itself."""
    return bool(part.placings(sheet))
