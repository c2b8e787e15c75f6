"""Parts as the search on a strip sees them: each in every turn that it may take, cut into convex forms.

A shape is a part turned one way, its box at (0, 0); equal shapes of a part are one.  Forms are the convex pieces, each
with its box at (0, 0), shared by all shapes.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, pi
from typing import Any

import numpy as np

from nesting.outline import Ring, bounds, mirrored, turned
from nesting.packers.convexparts import Piece, convex_pieces, hull
from nesting.packers.kernels_separating import pair_rows

LARGE_COUNT_MORE = 0.3
"""Power of a part's area by which overlaps with it count: large parts then keep their places, small ones give way."""

FLATNESS = 0.002
"""How far a flattened arc may stand off, as a share of the part's size."""

ALIKE = 9
"""Decimal places, seen from the size of everything, in which forms must agree to be one."""


@dataclass(frozen=True)
class Shape:
    """A part turned one way, its box moved to (0, 0); ``corner`` is where that box began."""

    turn: float
    flipped: bool
    corner: tuple[float, float]
    size: tuple[float, float]
    pieces: tuple[Piece, ...]


@dataclass(frozen=True)
class Shapes:
    """All that the search needs of the parts; ``given`` is described in nesting.packers.kernels_overlap."""

    shapes: tuple[Shape, ...]
    parts: tuple[int, ...]
    """For each copy to be placed the number of its part."""
    given: Any
    areas: tuple[float, ...]
    """Net area of each part."""

    @property
    def area(self) -> float:
        """Net area of all copies."""
        return sum(self.areas[k] for k in self.parts)

    def of_part(self, number: int) -> range:
        """The shapes that a part may take."""
        start = self.given[6]
        return range(int(start[number]), int(start[number + 1]))


def shapes_of(
    outline: Ring, holes: Sequence[Ring], turns: Sequence[float], flip: bool, width: float
) -> list[Shape]:
    """The shapes of one part that fit across the strip, those alike left out."""
    x0, y0, x1, y1 = bounds(outline)
    tolerance = FLATNESS * max(x1 - x0, y1 - y0)
    pieces = convex_pieces(outline, holes, tolerance)
    found: dict[frozenset[Piece], Shape] = {}
    for flipped in (False, True) if flip else (False,):
        for turn in turns:
            shape = _shape(pieces, turn, flipped)
            digits = ALIKE - len(str(int(max(*shape.size, width))))
            if shape.size[1] <= width * (1 + 1e-12):
                key = frozenset(_rounded(piece, digits) for piece in shape.pieces)
                found.setdefault(key, shape)
    return list(found.values())


def _shape(pieces: Sequence[Piece], turn: float, flipped: bool) -> Shape:
    laid = []
    for piece in pieces:
        ring: Ring = tuple((x, y, 0.0) for x, y in piece)
        laid.append([(x, y) for x, y, _ in turned(mirrored(ring) if flipped else ring, turn)])
    xs, ys = [x for piece in laid for x, _ in piece], [y for piece in laid for _, y in piece]
    left, low = min(xs), min(ys)
    return Shape(
        turn,
        flipped,
        (left, low),
        (max(xs) - left, max(ys) - low),
        tuple(tuple((x - left, y - low) for x, y in piece) for piece in laid),
    )


def _rounded(piece: Piece, digits: int) -> Piece:
    """The piece for comparison: rounded, from its lowest corner on."""
    points = [(round(x, digits) + 0.0, round(y, digits) + 0.0) for x, y in piece]
    at = points.index(min(points))
    return tuple(points[at:] + points[:at])


def gathered(
    of_parts: Sequence[Sequence[Shape]], quantities: Sequence[int], areas: Sequence[float], gap: float
) -> Shapes:
    """Everything in the arrays that the compiled search reads."""
    shapes = [shape for own in of_parts for shape in own]
    start = np.cumsum([0, *(len(own) for own in of_parts)])
    parts = [k for k, count in enumerate(quantities) for _ in range(count)]
    digits = ALIKE - len(str(int(max((max(s.size) for s in shapes), default=1.0))))
    forms: dict[Piece, int] = {}
    outlines: list[Piece] = []
    first, numbers, boxes, hulls = [0], [], [], []

    def number_of(form: Piece) -> int:
        number = forms.setdefault(_rounded(form, digits), len(forms))
        if number == len(outlines):
            outlines.append(form)
        return number

    for shape in shapes:
        for piece in shape.pieces:
            left, low = min(x for x, _ in piece), min(y for _, y in piece)
            own = tuple((x - left, y - low) for x, y in piece)
            numbers.append(number_of(own))
            boxes.append((left, low, max(x for x, _ in piece), max(y for _, y in piece)))
        first.append(len(numbers))
        hulls.append(number_of(hull([point for piece in shape.pieces for point in piece])))
    table, rows = _separating(outlines, gap)
    sized = np.array([areas[k] for k, own in enumerate(of_parts) for _ in own])
    rate = np.clip((sized / sized.mean()) ** LARGE_COUNT_MORE, 0.1, 10.0)
    given = (
        np.array([shape.size for shape in shapes]),
        np.array(first, np.int64),
        np.array(numbers, np.int64),
        np.array(boxes),
        table,
        rows,
        start.astype(np.int64),
        np.array(parts, np.int64),
        float(gap),
        rate,
        np.array(hulls, np.int64),
    )
    return Shapes(tuple(shapes), tuple(parts), given, tuple(areas))


def _separating(outlines: Sequence[Piece], gap: float) -> tuple[Any, Any]:
    first = np.cumsum([0, *(len(piece) for piece in outlines)]).astype(np.int64)
    points = np.array([point for piece in outlines for point in piece])
    angles = np.array(
        [
            (atan2(b[1] - a[1], b[0] - a[0]) - pi / 2) % (2 * pi)
            for piece in outlines
            for a, b in zip(piece, piece[1:] + piece[:1], strict=True)
        ]
    )
    table = np.zeros((len(outlines), len(outlines), 2), np.int64)
    count = pair_rows(first, points, angles, gap, table, np.empty((0, 3)))
    rows = np.empty((count, 3))
    pair_rows(first, points, angles, gap, table, rows)
    return table, rows
