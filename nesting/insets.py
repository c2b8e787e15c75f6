"""Outlines set inwards with mitred corners, and straight cuts across them: the geometry under rivet lines."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot
from typing import TypeAlias

from shapely.geometry import Polygon

from nesting.outline import Ring, as_polygon, counter_clockwise, edges, flattened, polygon_ring
from nesting.plan import Point

Points: TypeAlias = tuple[Point, ...]

NO_LENGTH = 1e-6
"""mm: an edge this short is left over from float arithmetic."""

_PARALLEL = 1e-7
"""Sine of the angle between two edges below which float arithmetic finds no corner that could be trusted."""

_OFFSET = 1e-5
"""mm: parallel edges this near one another are one straight edge."""

_MITRE_LIMIT = 20.0


def inset(outline: Ring, distance: float) -> tuple[Points, ...]:
    """The outline moved inwards by ``distance``, corners mitred, as counter-clockwise rings of points.

    Mitred so that an inset corner lies where the inset edges meet: rivet lines end there.  Edges shorter than
    the corners take up vanish.  More than one ring where a neck is narrower than twice the distance, none
    where nothing is left.  Arcs become chords.
    """
    points = _without_short_edges(flattened(counter_clockwise(outline)))
    moved = _mitred(points, distance)
    if moved is not None:
        shape = Polygon(moved)
        if shape.is_valid and shape.area > 0:
            return (tuple(moved),)
    # Necks and vanishing arcs: slower and a little less exact, but right for any outline.
    narrowed = as_polygon(outline).buffer(-distance, join_style="mitre", mitre_limit=_MITRE_LIMIT)
    pieces = getattr(narrowed, "geoms", (narrowed,))
    rings = (list(piece.exterior.coords)[:-1] for piece in pieces if not piece.is_empty)
    return tuple(tuple((x, y) for x, y, _ in counter_clockwise(polygon_ring(ring))) for ring in sorted(rings))


def chords(ring: Sequence[Point], axis: int, value: float) -> list[tuple[float, float]]:
    """The stretches inside ``ring`` of the line x = value (axis 0) or y = value (axis 1), low to high."""
    other = 1 - axis
    hits: list[float] = []
    for start, end in zip(ring, (*ring[1:], ring[0]), strict=True):
        a, b = start[axis], end[axis]
        if (a <= value) != (b <= value):
            hits.append(start[other] + (end[other] - start[other]) * (value - a) / (b - a))
    hits.sort()
    return list(zip(hits[::2], hits[1::2], strict=True))


def _without_short_edges(points: Sequence[Point]) -> list[Point]:
    ring = polygon_ring(points)
    return [
        (start[0], start[1])
        for start, end in edges(ring)
        if hypot(end[0] - start[0], end[1] - start[1]) > NO_LENGTH
    ]


def _mitred(points: list[Point], distance: float) -> list[Point] | None:
    """Each edge moved inwards and met with its neighbours; edges that would turn round are left out."""
    lines: list[tuple[Point, Point, float]] = []
    for (x0, y0), (x1, y1) in zip(points, [*points[1:], points[0]], strict=True):
        length = hypot(x1 - x0, y1 - y0)
        dx, dy = (x1 - x0) / length, (y1 - y0) / length
        lines.append(((x0 - dy * distance, y0 + dx * distance), (dx, dy), length))
    while len(lines) >= 3:
        corners: list[Point] = []
        for i, line in enumerate(lines):
            corner = _meeting(lines[i - 1], line)
            if corner is None:
                return None
            corners.append(corner)
        turned = []
        for i, (_, (dx, dy), length) in enumerate(lines):
            (x0, y0), (x1, y1) = corners[i], corners[(i + 1) % len(lines)]
            run = (x1 - x0) * dx + (y1 - y0) * dy
            if run < NO_LENGTH:
                # the share of the way inwards at which this edge shrinks to a point
                turned.append((length / (length - run), i))
        if not turned:
            return corners
        del lines[min(turned)[1]]
    return None


def _meeting(first: tuple[Point, Point, float], second: tuple[Point, Point, float]) -> Point | None:
    (x0, y0), (dx0, dy0), _ = first
    (x1, y1), (dx1, dy1), _ = second
    cross = dx0 * dy1 - dy0 * dx1
    if abs(cross) < _PARALLEL:
        straight_on = dx0 * dx1 + dy0 * dy1 > 0 and abs((x1 - x0) * dy0 - (y1 - y0) * dx0) < _OFFSET
        return (x1, y1) if straight_on else None
    along = ((x1 - x0) * dy1 - (y1 - y0) * dx1) / cross
    return x0 + along * dx0, y0 + along * dy0
