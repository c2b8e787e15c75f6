"""Outlines that overlap or share an edge as one outline, their arcs found again."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import atan2, hypot, pi, tan
from typing import NamedTuple

from shapely import union_all
from shapely.geometry import Polygon
from shapely.geometry.polygon import orient

from nesting.outline import Ring, Vertex, arc_centre, as_polygon, edges, polygon_ring, without_repeats
from nesting.plan import Point

FINE = 1e-4
"""mm: arcs are flattened this finely for the union."""

ON_ARC = 2e-4
"""mm: a corner this near to a circle that was there lies on it."""


class _Circle(NamedTuple):
    centre: Point
    radius: float

    def holds(self, point: Point) -> bool:
        return abs(hypot(point[0] - self.centre[0], point[1] - self.centre[1]) - self.radius) < ON_ARC


def united(pieces: Sequence[Ring]) -> Ring:
    """Counter-clockwise outlines that hang together as one; exact where edges are straight, arcs within 0.0002 mm.

    Holes between the pieces are closed.
    """
    whole = union_all([as_polygon(piece, tolerance=FINE) for piece in pieces])
    assert isinstance(whole, Polygon), "the pieces hang together"
    points = [(x, y) for x, y in orient(whole).exterior.coords[:-1]]
    circles = list(_circles(pieces))
    return _with_arcs(points, circles) if circles else polygon_ring(points)


def _circles(pieces: Iterable[Ring]) -> Iterable[_Circle]:
    found = {
        _Circle((round(x, 6), round(y, 6)), round(radius, 6))
        for piece in pieces
        for start, end in edges(piece)
        if start[2]
        for x, y, radius in [arc_centre(start, end)]
    }
    return sorted(found)


def _with_arcs(points: list[Point], circles: Sequence[_Circle]) -> Ring:
    """Corners as a ring; two or more short edges in a row along one circle become an arc."""
    count = len(points)
    on = [_circles_of(points[i], points[(i + 1) % count], circles) for i in range(count)]
    first = next((i for i in range(count) if not on[i - 1] & on[i]), 0)
    vertices: list[Vertex] = []
    i = 0
    while i < count:
        at = (first + i) % count
        shared, run = on[at], 1
        while i + run < count and run < count - 1 and shared & on[(at + run) % count]:
            shared = shared & on[(at + run) % count]
            run += 1
        bulge = 0.0
        if shared and run > 1:
            bulge = _bulge(min(shared), points[at], points[(at + 1) % count], points[(at + run) % count])
        vertices.append((*points[at], bulge))
        i += run
    return without_repeats(tuple(vertices))


def _circles_of(start: Point, end: Point, circles: Sequence[_Circle]) -> set[_Circle]:
    """The circles of which an edge may be a chord: both ends lie on one, and the middle nearly."""
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    return {circle for circle in circles if all(map(circle.holds, (start, middle, end)))}


def _bulge(circle: _Circle, start: Point, second: Point, end: Point) -> float:
    angles = [atan2(y - circle.centre[1], x - circle.centre[0]) for x, y in (start, second, end)]
    turn = 1 if (angles[1] - angles[0]) % (2 * pi) < pi else -1
    return turn * tan((turn * (angles[2] - angles[0]) % (2 * pi)) / 4)
