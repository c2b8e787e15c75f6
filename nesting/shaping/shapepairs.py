"""Can two parts of true shape lie on a sheet together at all, or several in a row?  A proof where they cannot.

All that counts lies inside the true shapes: outlines with chords for arcs that bulge outwards and tangents for those
that bulge inwards, grown only as far as bounds may grow them (partshapes).  The places of one part from where
the other lies that keep both on the sheet are a rectangle; where every one of them is inside the no-fit polygon of
the two, in every turn, they cannot.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from itertools import pairwise, permutations, product
from math import inf

import numpy as np
from numpy.typing import NDArray
from shapely import multipoints, union_all
from shapely.geometry import LineString, Point, box
from shapely.geometry.base import BaseGeometry

from nesting.outline import Ring, polygon_ring, rectangle
from nesting.shapes import Pose, ShapePiece, inner_polygon, poses
from nesting.sizing.partshapes import DISC
from nesting.sizing.problem import PartClass, SheetSize
from shared.units import from_solver, to_solver_up

CHORDS = 0.5
"""mm: how far chords and tangents may be inside the true arcs: a finer one hardly proves more, and takes long."""

STRICTLY = 1e-5
"""mm: a place so near to where the parts would only touch counts as free."""


@dataclass
class ShapePairs:
    """Pairs of a problem's classes asked about, by their numbers; remembers the answers."""

    classes: tuple[PartClass, ...]
    spacing: float
    _poses: dict[int, tuple[int, ...]] = field(default_factory=dict)
    _known: dict[tuple[float, float, int, int], bool] = field(default_factory=dict)
    _known_steps: dict[tuple[float, float, int, int], NDArray[np.float64]] = field(default_factory=dict)
    _nofit: dict[tuple[int, int], BaseGeometry] = field(default_factory=dict)

    def row_refuted(self, sheet: SheetSize, parts: Sequence[int]) -> bool:
        """True where it is proved that these parts, large ones all, cannot lie on the sheet together.

        From left to right each lies at least a step to the right of the one before it, whatever their heights; where
        the steps and the last part are longer than the sheet in every order and every turn, there is no room.
        """
        length, width = self._room(sheet)
        return all(
            self._row(length, width, order) > length + STRICTLY for order in sorted(set(permutations(parts)))
        )

    def _row(self, length: float, width: float, order: Sequence[int]) -> float:
        """The least length that parts take from left to right in this order."""
        every, ranges = self._all
        reached = np.zeros(len(ranges[order[0]]))
        for one, other in pairwise(order):
            reached = (reached[:, None] + self._steps(length, width, one, other)).min(axis=0)
        return float((reached + [every[pose].size[0] for pose in ranges[order[-1]]]).min())

    def _steps(self, length: float, width: float, one: int, other: int) -> NDArray[np.float64]:
        """How far right of one part's corner another's lies at least when it is not left of it: a row for each pose."""
        key = (length, width, one, other)
        if key not in self._known_steps:
            _, ranges = self._all
            self._known_steps[key] = np.array(
                [[self._step(length, width, a, b) for b in ranges[other]] for a in ranges[one]]
            )
        return self._known_steps[key]

    def _step(self, length: float, width: float, one: int, other: int) -> float:
        every, _ = self._all
        (a, b), (c, d) = every[one].size, every[other].size
        if max(a, c) > length + STRICTLY or max(b, d) > width + STRICTLY:
            return inf
        free = _room(0.0, -(width - b), length - c, width - d).difference(self._nofit_of(one, other))
        return inf if free.is_empty else float(free.bounds[0])

    def _room(self, sheet: SheetSize) -> tuple[float, float]:
        """Length and width of the sheet for parts grown by their share of the spacing."""
        length, width = (
            from_solver(size) - self._spacing + 2 * self._grown for size in (sheet.length, sheet.width)
        )
        return length, width

    def refuted(self, sheet: SheetSize, one: int, other: int) -> bool:
        """True where it is proved that the two cannot lie on the sheet together."""
        length, width = self._room(sheet)
        key = (length, width, min(one, other), max(one, other))
        if key not in self._known:
            self._known[key] = all(
                self._apart(length, width, a, b) for a, b in self._turns(min(one, other), max(one, other))
            )
        return self._known[key]

    @property
    def _spacing(self) -> float:
        return from_solver(to_solver_up(self.spacing))

    @property
    def _grown(self) -> float:
        """How far all around parts grow for the spacing."""
        return DISC * self.spacing

    @cached_property
    def _all(self) -> tuple[list[Pose], tuple[range, ...]]:
        """The poses of all classes, and which are those of each."""
        found: list[Pose] = []
        ranges = []
        for kind in self.classes:
            own = poses(self._piece(kind), 0.0)
            ranges.append(range(len(found), len(found) + len(own)))
            found += own
        return found, tuple(ranges)

    def _piece(self, kind: PartClass) -> ShapePiece:
        """A class as a polygon that lies inside it, its holes filled, grown."""
        spacing = self.spacing
        if kind.shape is None:
            ring: Ring = rectangle(
                0.0, 0.0, from_solver(kind.length) - spacing, from_solver(kind.width) - spacing
            )
            turns: tuple[float, ...] = (0.0, 90.0) if kind.turnable else (0.0,)
            flip = False
        else:
            ring, turns, flip = kind.shape.outline, kind.shape.turns, kind.shape.flip
        inside = inner_polygon(ring, (), CHORDS)
        grown = inside.buffer(self._grown, quad_segs=1) if self._grown else inside
        return ShapePiece(polygon_ring(list(grown.exterior.coords)[:-1]), turns=turns, flip=flip)

    def _turns(self, one: int, other: int) -> Iterator[tuple[int, int]]:
        """Each pose of one with each of the other; half a turn of both together makes no difference."""
        every, ranges = self._all
        first = [pose for pose in ranges[one] if every[pose].degrees < 180] or list(ranges[one])
        if len(first) < len(ranges[one]) and not self._half_turns(other):
            first = list(ranges[one])
        return product(first, ranges[other])

    def _half_turns(self, k: int) -> bool:
        """Whether a class may lie half a turned as well as not, however it lies."""
        kind = self.classes[k]
        turns = {0.0, 180.0} if kind.shape is None else {turn % 360 for turn in kind.shape.turns}
        return all((turn + 180) % 360 in turns for turn in turns)

    def _apart(self, length: float, width: float, one: int, other: int) -> bool:
        """True where the poses overlap wherever both lie on the sheet, or one of them is too large for it."""
        every, _ = self._all
        (a, b), (c, d) = every[one].size, every[other].size
        if max(a, c) > length + STRICTLY or max(b, d) > width + STRICTLY:
            return True
        # the other part's corner seen from the first one's, from farthest left and low to farthest right and high
        room = _room(-(length - a), -(width - b), length - c, width - d)
        return bool(self._nofit_of(one, other).contains(room))

    def _nofit_of(self, one: int, other: int) -> BaseGeometry:
        """Where the corner of one pose surely cannot lie, seen from another's."""
        every, _ = self._all
        if (one, other) not in self._nofit:
            overlapping = _overlapping(every[one], every[other])
            self._nofit[one, other] = overlapping.buffer(-STRICTLY, join_style="mitre")
        return self._nofit[one, other]


def _overlapping(fixed: Pose, moving: Pose) -> BaseGeometry:
    """The places of one pose's corner, seen from the other's, at which the two overlap or touch.

    For convex parts they are the convex hull of all differences of corners; for others the union over their parts.
    """
    sums = [
        multipoints((a[:, None, :] - b[None, :, :]).reshape(-1, 2)).convex_hull
        for a, b in product(fixed.parts, moving.parts)
    ]
    return union_all(sums)


def _room(x0: float, y0: float, x1: float, y1: float) -> BaseGeometry:
    """A rectangle of places, which may be a line or a single point."""
    x1, y1 = max(x0, x1), max(y0, y1)
    if x1 - x0 < STRICTLY and y1 - y0 < STRICTLY:
        return Point(x0, y0)
    if x1 - x0 < STRICTLY or y1 - y0 < STRICTLY:
        return LineString([(x0, y0), (x1, y1)])
    return box(x0, y0, x1, y1)
