"""How near edges come to one another: straight edges and true arcs, worked out exactly, without chords.

An edge is the pair (vertex where it starts, vertex where it ends) of `nesting.outline`; lengths in mm.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import atan, atan2, hypot, pi
from typing import TypeAlias

import shapely

from nesting.outline import Ring, Vertex, arc_centre, edges, flattened

TOUCH_MM = 0.01
"""Nearer than this is touching: finer than any machine cuts or anybody measures, coarser than rounding in drawings."""

_CHORD_MM = 0.1
"""How far chords stray from arcs where only the neighbourhood is asked for."""

Point: TypeAlias = tuple[float, float]
Edge: TypeAlias = tuple[Vertex, Vertex]


@dataclass(frozen=True)
class Gap:
    """The least distance between two edges and where it is; ``crosses`` where they meet away from all ends."""

    distance: float
    at: Point
    crosses: bool = False


@dataclass(frozen=True)
class Meeting:
    """Two edges that touch or cross: each as (number of its ring, number of its edge), both from 0."""

    one: tuple[int, int]
    other: tuple[int, int]
    gap: Gap


@dataclass(frozen=True)
class _Circle:
    """The circle that an arc lies on, and the part of it that belongs to the arc."""

    x: float
    y: float
    radius: float
    first: float
    sweep: float

    def covers(self, p: Point) -> bool:
        """Whether the arc passes the direction in which a point lies from the centre."""
        angle = atan2(p[1] - self.y, p[0] - self.x)
        turned = angle - self.first if self.sweep > 0 else self.first - angle
        return turned % (2 * pi) <= abs(self.sweep)

    def towards(self, p: Point, side: float = 1.0) -> Point:
        """The point of the circle in the direction of a point, or opposite to it with ``side`` -1."""
        away = hypot(p[0] - self.x, p[1] - self.y)
        if away == 0.0:
            return self.x + side * self.radius, self.y
        scale = side * self.radius / away
        return self.x + (p[0] - self.x) * scale, self.y + (p[1] - self.y) * scale


def edge_gap(a: Edge, b: Edge) -> Gap:
    """The least distance between two edges, 0 where they cross."""
    circle_a, circle_b = _circle(a), _circle(b)
    for p in _crossings(a, circle_a, b, circle_b):
        if _passes(a, circle_a, p) and _passes(b, circle_b, p):
            ends = (*a, *b)
            return Gap(0.0, p, all(hypot(p[0] - end[0], p[1] - end[1]) > TOUCH_MM for end in ends))
    pairs = [(end[:2], _nearest_point(b, circle_b, end[:2])) for end in a]
    pairs += [(end[:2], _nearest_point(a, circle_a, end[:2])) for end in b]
    pairs += [
        (p, q)
        for p, q in _facing_points(a, circle_a, b, circle_b)
        if _passes(a, circle_a, p) and _passes(b, circle_b, q)
    ]
    distance, at = min((hypot(p[0] - q[0], p[1] - q[1]), p) for p, q in pairs)
    return Gap(distance, at)


def meetings(rings: Sequence[Ring]) -> Iterator[Meeting]:
    """Where edges of the rings touch or cross, in order; neighbours that only share their corner do not count."""
    names = [(i, j) for i, ring in enumerate(rings) for j in range(len(ring))]
    all_edges = [edge for ring in rings for edge in edges(ring)]
    for first, second in _near_pairs(all_edges):
        one, other = names[first], names[second]
        a, b = all_edges[first], all_edges[second]
        if one[0] != other[0]:
            gap: Gap | None = edge_gap(a, b)
        else:
            gap = _gap_in_ring(a, b, other[1] - one[1], len(rings[one[0]]))
        if gap is not None and gap.distance <= TOUCH_MM:
            yield Meeting(one, other, gap)


def tangents(edge: Edge) -> tuple[float, float]:
    """Directions in radians in which an edge leaves its start and reaches its end."""
    (x0, y0, bulge), (x1, y1, _) = edge
    chord = atan2(y1 - y0, x1 - x0)
    half = 2 * atan(bulge)
    return chord - half, chord + half


def middle(edge: Edge) -> Point:
    """The point half-way along an edge."""
    (x0, y0, bulge), (x1, y1, _) = edge
    return (x0 + x1) / 2 + bulge * (y1 - y0) / 2, (y0 + y1) / 2 - bulge * (x1 - x0) / 2


def distance_to(edge: Edge, p: Point) -> float:
    """The least distance from a point to an edge."""
    x, y = _nearest_point(edge, _circle(edge), p)
    return hypot(x - p[0], y - p[1])


def _gap_in_ring(a: Edge, b: Edge, steps: int, count: int) -> Gap | None:
    """As `edge_gap` for two edges of one ring, the second ``steps`` after the first; None where all is well."""
    if count == 2:
        # Their circles meet in the two corners they share and nowhere else.
        return None
    if steps == 1:
        return _gap_of_neighbours(a, b)
    if steps == count - 1:
        return _gap_of_neighbours(b, a)
    return edge_gap(a, b)


def _gap_of_neighbours(before: Edge, after: Edge) -> Gap | None:
    """Where two edges meet again besides the corner where one ends and the other starts."""
    circle_before, circle_after = _circle(before), _circle(after)
    corner = after[0]
    again = _second_crossing(before, circle_before, after, circle_after)
    if (
        again is not None
        and hypot(again[0] - corner[0], again[1] - corner[1]) > TOUCH_MM
        and _passes(before, circle_before, again)
        and _passes(after, circle_after, again)
    ):
        return Gap(0.0, again, crosses=True)
    for end, edge, circle in ((before[0], after, circle_after), (after[1], before, circle_before)):
        p = _nearest_point(edge, circle, end[:2])
        distance = hypot(p[0] - end[0], p[1] - end[1])
        if distance <= TOUCH_MM:
            return Gap(distance, p)
    return None


def _second_crossing(a: Edge, circle_a: _Circle | None, b: Edge, circle_b: _Circle | None) -> Point | None:
    """The other point where the carriers of two edges meet, given that one is the start of the second.

    Mirrored rather than computed anew: where a fillet runs smoothly into a straight edge both points are
    one, and a square root would tear them apart.
    """
    x, y, _ = b[0]
    if circle_a is not None and circle_b is not None:
        dx, dy = circle_b.x - circle_a.x, circle_b.y - circle_a.y
        if hypot(dx, dy) <= TOUCH_MM:
            return None
        fx, fy = _foot((circle_a.x, circle_a.y), (dx, dy), (x, y))
        return 2 * fx - x, 2 * fy - y
    circle, line = (circle_a, b) if circle_a is not None else (circle_b, a)
    if circle is None:
        return None
    (x0, y0, _), (x1, y1, _) = line
    fx, fy = _foot((x0, y0), (x1 - x0, y1 - y0), (circle.x, circle.y))
    return 2 * fx - x, 2 * fy - y


def _circle(edge: Edge) -> _Circle | None:
    start, end = edge
    if start[2] == 0.0:
        return None
    x, y, radius = arc_centre(start, end)
    return _Circle(x, y, radius, atan2(start[1] - y, start[0] - x), 4 * atan(start[2]))


def _foot(origin: Point, direction: Point, p: Point) -> Point:
    """Where the perpendicular from a point meets a line."""
    dx, dy = direction
    along = ((p[0] - origin[0]) * dx + (p[1] - origin[1]) * dy) / (dx * dx + dy * dy)
    return origin[0] + along * dx, origin[1] + along * dy


def _passes(edge: Edge, circle: _Circle | None, p: Point) -> bool:
    """Whether a point of an edge's line or circle belongs to the edge."""
    if circle is not None:
        return circle.covers(p)
    (x0, y0, _), (x1, y1, _) = edge
    dx, dy = x1 - x0, y1 - y0
    return 0 <= (p[0] - x0) * dx + (p[1] - y0) * dy <= dx * dx + dy * dy


def _nearest_point(edge: Edge, circle: _Circle | None, p: Point) -> Point:
    """The point of an edge that is nearest to ``p``."""
    (x0, y0, _), (x1, y1, _) = edge
    foot = circle.towards(p) if circle is not None else _foot((x0, y0), (x1 - x0, y1 - y0), p)
    if _passes(edge, circle, foot):
        return foot
    return min((x0, y0), (x1, y1), key=lambda end: hypot(end[0] - p[0], end[1] - p[1]))


def _crossings(a: Edge, circle_a: _Circle | None, b: Edge, circle_b: _Circle | None) -> Iterable[Point]:
    """Where the lines or circles of two edges cross, none where they only touch or run along one another."""
    if circle_a is not None and circle_b is not None:
        return _circles_crossing(circle_a, circle_b)
    if circle_a is not None:
        return _line_crossing_circle(b, circle_a)
    if circle_b is not None:
        return _line_crossing_circle(a, circle_b)
    return _lines_crossing(a, b)


def _lines_crossing(a: Edge, b: Edge) -> Iterator[Point]:
    (x0, y0, _), (x1, y1, _) = a
    (u0, v0, _), (u1, v1, _) = b
    dx, dy, du, dv = x1 - x0, y1 - y0, u1 - u0, v1 - v0
    slant = dx * dv - dy * du
    if abs(slant) > 1e-12 * hypot(dx, dy) * hypot(du, dv):
        along = ((u0 - x0) * dv - (v0 - y0) * du) / slant
        yield x0 + along * dx, y0 + along * dy


def _line_crossing_circle(line: Edge, circle: _Circle) -> Iterator[Point]:
    (x0, y0, _), (x1, y1, _) = line
    dx, dy = x1 - x0, y1 - y0
    fx, fy = _foot((x0, y0), (dx, dy), (circle.x, circle.y))
    away = hypot(fx - circle.x, fy - circle.y)
    if away < circle.radius:
        half = ((circle.radius - away) * (circle.radius + away)) ** 0.5 / hypot(dx, dy)
        yield fx - half * dx, fy - half * dy
        yield fx + half * dx, fy + half * dy


def _circles_crossing(a: _Circle, b: _Circle) -> Iterator[Point]:
    dx, dy = b.x - a.x, b.y - a.y
    apart = hypot(dx, dy)
    if apart == 0.0 or not abs(a.radius - b.radius) < apart < a.radius + b.radius:
        return
    along = (apart + (a.radius - b.radius) * (a.radius + b.radius) / apart) / 2
    half = max(0.0, (a.radius - along) * (a.radius + along)) ** 0.5
    ex, ey = dx / apart, dy / apart
    yield a.x + along * ex - half * ey, a.y + along * ey + half * ex
    yield a.x + along * ex + half * ey, a.y + along * ey - half * ex


def _facing_points(
    a: Edge, circle_a: _Circle | None, b: Edge, circle_b: _Circle | None
) -> Iterator[tuple[Point, Point]]:
    """Pairs of points, one on each carrier, that face one another squarely: besides the ends the only
    places where a least distance can be."""
    if circle_a is not None and circle_b is not None:
        centre_a, centre_b = (circle_a.x, circle_a.y), (circle_b.x, circle_b.y)
        for side_a in (1.0, -1.0):
            for side_b in (1.0, -1.0):
                yield circle_a.towards(centre_b, side_a), circle_b.towards(centre_a, side_b)
    elif circle_a is not None:
        foot = _foot(b[0][:2], (b[1][0] - b[0][0], b[1][1] - b[0][1]), (circle_a.x, circle_a.y))
        yield circle_a.towards(foot), foot
    elif circle_b is not None:
        foot = _foot(a[0][:2], (a[1][0] - a[0][0], a[1][1] - a[0][1]), (circle_b.x, circle_b.y))
        yield foot, circle_b.towards(foot)


_AT_ONCE = 50
"""Edges asked about at a time."""


def _near_pairs(all_edges: Sequence[Edge]) -> Iterator[tuple[int, int]]:
    """Pairs of edges that come near enough to touch, each once, in order: arcs in chords are enough for that.

    Some edges at a time: whoever has seen enough meetings need not wait for all.
    """
    lines = [shapely.LineString(_chords(edge)) for edge in all_edges]
    tree = shapely.STRtree(lines)
    near = 3 * _CHORD_MM + TOUCH_MM
    for start in range(0, len(lines), _AT_ONCE):
        left, right = tree.query(lines[start : start + _AT_ONCE], predicate="dwithin", distance=near)
        yield from sorted((int(i) + start, int(j)) for i, j in zip(left, right, strict=True) if i + start < j)


def _chords(edge: Edge) -> list[Point]:
    start, end = edge
    if start[2] == 0.0:
        return [start[:2], end[:2]]
    # The straight way back from the end to the start is the last point's edge, which is left out.
    return flattened((start, (end[0], end[1], 0.0)), _CHORD_MM)
