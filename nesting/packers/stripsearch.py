"""The search for the shortest strip: shorten it, let parts overlap, part them again, push together, and so on.

One seed gives one run of rounds; a clock only ends it, so that more time is never worse.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from nesting.packers.compacting import Places, compacted
from nesting.packers.kernels_overlap import IDLE, deepest, measured, separated
from nesting.sizing.kernels_chance import chance, share

FINEST = 1e-4
"""Last step of moving a part, as a share of the width; pushing together does the rest exactly."""

HAIR = 1e-9
"""Overlap that counts as none, as a share of the width."""

EXACT, DIGITS = 1e-12, 10
"""Share of the width within which sums of round numbers agree; digits that a place is rounded to."""

EFFORT = (12, 6, 6)
"""Places tried for a part: anywhere, near where it lies, touching another at a corner."""

PATIENCE = 150
"""Rounds without less overlap after which another start is tried."""

CHUNK = 25
"""Rounds between two looks at the clock."""

LOOSE, LOOSER = 0.6, 1.2
"""Density asked for at first, and how much longer the strip gets where even that fails."""

FIRST_STEP, LEAST_STEP = 0.02, 0.001
"""Share of the length by which the strip is shortened: at first, and in the end."""

NEAR = 0.1
"""How far pushing together moves a part at a time, as a share of the size of a part (root of the mean area)."""

CUT = 0.5
"""How often a strip is shortened at some place within, rather than at its end."""

NEARLY = 0.2
"""Overlap in all, as a share of the width, from which pushing may part what is left."""


@dataclass
class Run:
    """The state of one seed's search."""

    given: Any
    width: float
    area: float
    seed: int
    bound: float
    over: Callable[[], bool]
    news: Callable[[float], None] = lambda length: None
    rng: Any = field(init=False)
    best: Places = field(init=False)
    length: float = field(init=False)
    rounds: int = 0

    def __post_init__(self) -> None:
        self.rng = np.array([(self.seed * 2654435761 + 88172645) % (1 << 32) or 1], np.int64)
        for _ in range(8):
            chance(self.rng, 2)
        self.best = self._in_a_row()
        self.length = self._extent(self.best)

    def _extent(self, places: Places) -> float:
        return float((places[1] + self.given[0][places[0], 0]).max())

    def _boxed(self, places: Places) -> Any:
        """The places with the upper right corners of the boxes, as the kernels take them."""
        shapes, xs, ys = places
        sizes = self.given[0][shapes]
        return shapes, xs, ys, xs + sizes[:, 0], ys + sizes[:, 1]

    def _deepest(self, places: Places) -> float:
        return float(deepest(self.given, self._boxed(places)))

    def _in_a_row(self) -> Places:
        """One part beside the other, each in its shortest turn: the layout that always is."""
        sizes, start, kind, gap = self.given[0], self.given[6], self.given[7], self.given[8]
        shapes = np.array([start[k] + int(np.argmin(sizes[start[k] : start[k + 1], 0])) for k in kind])
        lengths = sizes[shapes, 0] + gap
        return shapes, np.cumsum(lengths) - lengths, np.zeros(len(kind))

    def search(self, rounds: int) -> None:
        """Shortens the best layout until the bound, the clock or ``rounds`` end it."""
        self._begin()
        step = FIRST_STEP
        start = self.best
        while not self.over() and self.rounds < rounds and self.length > self.bound * (1 + 1e-9):
            goal = max(self.bound, self.length * (1 - step))
            before = self.length
            failed = self._attempt(start, goal)
            if self.length < before * (1 - 1e-7):
                start = self.best
                step = min(FIRST_STEP, max(LEAST_STEP, step * (1.2 if self.length <= goal else 0.8)))
                continue
            step = max(LEAST_STEP, step * 0.7)
            start = self._shaken(failed if share(self.rng) < 0.5 else self.best)

    def _begin(self) -> None:
        goal = max(self.bound, self.area / self.width / LOOSE)
        while goal < self.length and not self.over():
            count = len(self.best[0])
            start, kind, sizes = self.given[6], self.given[7], self.given[0]
            shapes = np.array([start[k] + chance(self.rng, start[k + 1] - start[k]) for k in kind])
            xs = np.array([share(self.rng) for _ in range(count)]) * goal
            ys = np.array([share(self.rng) for _ in range(count)]) * (self.width - sizes[shapes, 1])
            before = self.length
            self._attempt((shapes, xs, ys), goal)
            if self.length < before:
                return
            goal *= LOOSER

    def _attempt(self, start: Places, length: float) -> Places:
        """Parts the layout on a strip of this length; keeps what is better, returns the least overlap."""
        given = self.given
        shapes, xs, ys = (np.array(own) for own in start)
        self._fit(shapes, length)
        if share(self.rng) < CUT:
            # what lies beyond a cut moves back as one
            extent = self._extent((shapes, xs, ys))
            middle = xs + given[0][shapes, 0] / 2
            xs = np.where(middle > share(self.rng) * extent, xs - max(0.0, extent - length), xs)
        xs = np.clip(xs, 0.0, np.maximum(0.0, length - given[0][shapes, 0]))
        ys = np.clip(ys, 0.0, np.maximum(0.0, self.width - given[0][shapes, 1]))
        places = self._boxed((shapes, xs, ys))
        count = len(shapes)
        costs = (np.ones((count, count)), np.zeros((count, count)))
        for i in range(count):
            measured(given, places, costs[1], i)
        best = (shapes.copy(), xs.copy(), ys.copy())
        strip = (length, self.width, FINEST * self.width)
        numbers = np.zeros(2, np.int64)
        effort = np.array(EFFORT)
        left = float("inf")
        pushed = NEARLY * self.width
        while numbers[IDLE] < PATIENCE and not self.over():
            left = separated(given, strip, places, costs, self.rng, effort, best, left, CHUNK, numbers)
            if left < pushed or left == 0:
                pushed = left * 0.8
                self._keep(best)
                if left == 0 or self.length <= length:
                    break
        self.rounds += max(1, int(numbers[0]))
        return best

    def _fit(self, shapes: Any, length: float) -> None:
        """Turns parts that are longer than the strip now."""
        sizes, start, kind = self.given[0], self.given[6], self.given[7]
        for i, s in enumerate(shapes):
            if sizes[s, 0] > length:
                own = range(start[kind[i]], start[kind[i] + 1])
                shapes[i] = min(own, key=lambda t: sizes[t, 0])

    def _keep(self, places: Places) -> None:
        """Pushes the places together; keeps them where the strip is shorter than any so far."""
        # copies, since the search goes on in the arrays it was given
        places = (places[0].copy(), places[1].copy(), places[2].copy())
        pushed = compacted(self.given, self.width, places, NEAR * (self.area / len(places[0])) ** 0.5, 0.0)
        if pushed is None or self._deepest(pushed) > HAIR * self.width:
            pushed = places
        if self._extent(pushed) < self.length and self._deepest(pushed) <= HAIR * self.width:
            self.best = self._rounded(pushed)
            self.length = self._extent(self.best)
            self.news(self.length)

    def _rounded(self, places: Places) -> Places:
        """The places in whole numbers, or else without the last digits, where that costs neither length nor room."""
        shapes, xs, ys = places
        allowed = max(self._deepest(places), EXACT * self.width)
        for digits in (0, DIGITS - len(str(int(self.width)))):
            rounded = (shapes, np.round(xs, digits) + 0.0, np.round(ys, digits) + 0.0)
            top = float((rounded[2] + self.given[0][shapes, 1]).max())
            if (
                self._extent(rounded) <= self._extent(places) + EXACT * self.width
                and top <= self.width * (1 + EXACT)
                and self._deepest(rounded) <= allowed
            ):
                return rounded
        return places

    def _shaken(self, places: Places) -> Places:
        """Two parts of different kinds swapped, large ones more often."""
        shapes, xs, ys = (np.array(own) for own in places)
        sizes, kind = self.given[0], self.given[7]
        if len(set(kind.tolist())) < 2:
            return places
        order = np.argsort(-(sizes[shapes, 0] * sizes[shapes, 1]), kind="stable")
        count = len(order)
        while True:
            i, j = (int(order[int(count * share(self.rng) ** 2)]) for _ in range(2))
            if kind[i] != kind[j]:
                break
        for a, b in ((xs, 0), (ys, 1)):
            mid = a[i] + sizes[shapes[i], b] / 2, a[j] + sizes[shapes[j], b] / 2
            a[i], a[j] = mid[1] - sizes[shapes[i], b] / 2, mid[0] - sizes[shapes[j], b] / 2
        return shapes, xs, ys
