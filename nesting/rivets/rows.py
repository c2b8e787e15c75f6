"""One rivet line while its rivets are set, among all rivets set so far."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, dist, floor

from nesting.plan import Point
from nesting.rivets.paths import LinePath
from nesting.rivets.polylines import MEET, point_at
from nesting.rivets.room import Span, fitted, free_spans

NOISE = 1e-6
"""Float noise in a length (mm) or in a count of spaces."""

_WIDER = 1.05
"""Where the pitch cannot be held, by how much wider a space is tried each time: near enough to the least."""

_TWO = range(-2, 3)


class Rivets:
    """Rivets set so far, found by place: an index of points in square cells."""

    def __init__(self, reach: float) -> None:
        self.cell = max(reach, 1.0)
        self.points: list[Point] = []
        self._cells: dict[tuple[int, int], list[int]] = {}

    def near(self, point: Point, reach: float) -> list[int]:
        """The rivets nearer than ``reach`` (which is at most one cell)."""
        column, row = floor(point[0] / self.cell), floor(point[1] / self.cell)
        return [
            index
            for i in (column - 1, column, column + 1)
            for j in (row - 1, row, row + 1)
            for index in self._cells.get((i, j), ())
            if dist(self.points[index], point) < reach
        ]

    def beside(self, places: Sequence[Point]) -> list[Point]:
        """All rivets within a cell of a line (and some farther off), by places on it a cell or less apart."""
        keys: dict[tuple[int, int], None] = {}
        for x, y in places:
            column, row = floor(x / self.cell), floor(y / self.cell)
            keys.update(((column + i, row + j), None) for i in _TWO for j in _TWO)
        return [self.points[index] for key in keys for index in self._cells.get(key, ())]

    def add(self, point: Point) -> int:
        """Set a rivet; what comes back is its index in ``points``."""
        key = floor(point[0] / self.cell), floor(point[1] / self.cell)
        self._cells.setdefault(key, []).append(len(self.points))
        # 0.0 is added so that no -0.0 is left; a millionth of a mm so that equal plans give equal bytes
        self.points.append((round(point[0], 6) + 0.0, round(point[1], 6) + 0.0))
        return len(self.points) - 1


@dataclass(frozen=True)
class Row:
    """One line, how far along it each of its rivets lies (``kept``, which grows), and all rivets there are.

    ``least`` is the least pitch along the line, ``apart`` the least distance from rivets of other lines.
    """

    path: LinePath
    marks: Sequence[float]
    kept: dict[float, int]
    rivets: Rivets
    least: float
    apart: float

    def begin(self) -> None:
        """A rivet on a closed line that has none, where there is room nearest to its start."""
        total = self.marks[-1]
        if not self._set(0.0):
            places = [along for span in self._free(0.0, total) for along in span]
            if places:
                self._set(min(places, key=lambda along: (min(along, total - along), along)))

    def fill(self, start: float, end: float, count: int) -> int:
        """Rivets for ``count`` equal spaces between two places; how many spaces come out too wide.

        Rivets that would crowd others are moved to where there is room, their neighbours staying; where
        that is not enough the whole stretch is spaced anew, and only then are some left out.
        """
        wanted = list(wanted_places(self.path, start, end, count))
        crowded = [along for along in wanted if not self._has_room(self._at(along))]
        places, short = self._moved(start, end, count, wanted, crowded) if crowded else (wanted, 0)
        # where a line bends, rivets far enough apart along it may still be too near across
        return short + sum([not self._set(along) for along in places])

    def _moved(
        self, start: float, end: float, count: int, wanted: Sequence[float], crowded: Sequence[float]
    ) -> tuple[list[float], int]:
        """The places for a stretch on which some are crowded, and how many spaces are too wide."""
        widest = max(self.path.pitch, self.least, (end - start) / count) + NOISE
        free = self._free(start, end)
        stops = [start, *(along for along in wanted if along not in crowded), end]
        places: list[float] = []
        short = 0
        for low, high in pairwise(stops):
            if any(low < along < high for along in crowded):
                reach = widest
                while (moved := self._fitted(low, high, stops, free, reach)) is None:
                    reach *= _WIDER
                places += moved
                short += reach > widest
            if high < end:
                places.append(high)
        anew = self._fitted(start, end, stops, free, widest) if short else None
        return (places, short) if anew is None else (anew, 0)

    def _fitted(
        self, low: float, high: float, stops: Sequence[float], free: Sequence[Span], widest: float
    ) -> list[float] | None:
        held = (low > stops[0] or self._holds(low), high < stops[-1] or self._holds(high))
        return fitted((low, high), free, self.least, widest, held=held)

    def _holds(self, along: float) -> bool:
        """Whether there is a rivet at an end of a stretch: it may have been left out at an end of the line."""
        return bool(self.kept) if self.path.closed else along in self.kept

    def _free(self, start: float, end: float) -> list[Span]:
        steps = max(1, ceil((end - start) / self.rivets.cell))
        places = [self._at(start + (end - start) * step / steps) for step in range(steps + 1)]
        others = self.rivets.beside(places)
        return free_spans(self.path.path, self.marks, (start, end), others, self.apart)

    def _along(self, along: float) -> float:
        return along % self.marks[-1] if self.path.closed else along

    def _at(self, along: float) -> Point:
        return point_at(self.path.path, self.marks, self._along(along))

    def _has_room(self, point: Point) -> bool:
        near = self.rivets.near(point, self.apart - NOISE)
        return not near or any(dist(self.rivets.points[index], point) < MEET for index in near)

    def _set(self, along: float) -> bool:
        """Set a rivet, or share the one that is there; not where it would crowd another."""
        point = self._at(along)
        near = self.rivets.near(point, self.apart - NOISE)
        same = [index for index in near if dist(self.rivets.points[index], point) < MEET]
        if near and not same:
            return False
        self.kept[self._along(along)] = same[0] if same else self.rivets.add(point)
        return True


def is_staggered(path: LinePath, space: float) -> bool:
    """Whether rivets so far apart on a stretch lie half a space off the row beside."""
    return path.stagger_from is not None and space / 2 >= path.stagger_from - NOISE


def wanted_places(path: LinePath, start: float, end: float, count: int) -> Iterator[float]:
    """Where the rivets of a stretch with ``count`` equal spaces belong, its ends aside."""
    space = (end - start) / count
    if is_staggered(path, space):
        yield from (start + (i + 0.5) * space for i in range(count))
    else:
        yield from (start + i * space for i in range(1, count))
