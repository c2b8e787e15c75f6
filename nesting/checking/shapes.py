"""Exact measures of outlines for the plan check: arcs kept as arcs, nothing taken from the builders.

Only the type of a ring is shared with the rest of the planner; every formula here is the check's own, so a
mistake in the planner's geometry cannot hide itself.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import pairwise
from math import atan, atan2, cos, hypot, inf, pi, sin, tau
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import Point as ShapelyPoint
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nesting.outline import Ring

Point = tuple[float, float]

HAIR = 1e-6
"""mm: what sums of floats may differ by."""

TRACE = 0.01
"""Arcs are traced within this many mm where a shape need only be nearly right."""

TOUCH = 1e-9
"""mm: an end of an edge this near to a line lies on it."""


class Edge(NamedTuple):
    """One edge of a ring; ``radius`` is 0 for a straight one, ``first`` and ``sweep`` are in radians."""

    start: Point
    end: Point
    centre: Point = (0.0, 0.0)
    radius: float = 0.0
    first: float = 0.0
    sweep: float = 0.0


def ring_edges(ring: Ring) -> list[Edge]:
    """The edges in order, arcs with their centre and angles."""
    found = []
    for (x0, y0, bulge), (x1, y1, _) in zip(ring, (*ring[1:], ring[0]), strict=True):
        if bulge == 0.0:
            found.append(Edge((x0, y0), (x1, y1)))
            continue
        # Half the chord and the rise of the arc over it give the radius; the centre lies on the left of the
        # chord for a counter-clockwise arc of less than half a circle.
        half = hypot(x1 - x0, y1 - y0) / 2
        rise = bulge * half
        radius = (half * half + rise * rise) / (2 * rise)
        away = (radius - rise) / (2 * half)
        cx, cy = (x0 + x1) / 2 - (y1 - y0) * away, (y0 + y1) / 2 + (x1 - x0) * away
        first = atan2(y0 - cy, x0 - cx)
        found.append(Edge((x0, y0), (x1, y1), (cx, cy), abs(radius), first, 4 * atan(bulge)))
    return found


def area_with_sign(ring: Ring) -> float:
    """Area in mm2, arcs exact, positive when the ring runs counter-clockwise."""
    total = 0.0
    for edge in ring_edges(ring):
        (x0, y0), (x1, y1) = edge.start, edge.end
        total += (x0 * y1 - x1 * y0) / 2
        if edge.radius:
            total += edge.radius**2 * (edge.sweep - sin(edge.sweep)) / 2
    return total


def turning_left(ring: Ring) -> Ring:
    """The ring run counter-clockwise."""
    if area_with_sign(ring) >= 0:
        return ring
    return tuple((ring[i][0], ring[i][1], -ring[i - 1][2]) for i in range(len(ring) - 1, -1, -1))


def metal_area(outline: Ring, holes: Iterable[Ring]) -> float:
    """Area of what is left of the outline after the holes are cut, in mm2."""
    return abs(area_with_sign(outline)) - sum(abs(area_with_sign(hole)) for hole in holes)


def traced(ring: Ring, grow: bool, tolerance: float = TRACE) -> list[Point]:
    """Straight edges round the ring that leave nothing out (``grow``) or take nothing in."""
    points: list[Point] = []
    for edge in ring_edges(turning_left(ring)):
        points.append(edge.start)
        if not edge.radius:
            continue
        cx, cy = edge.centre
        step = min(pi / 8, 2 * (2 * tolerance / max(edge.radius, tolerance)) ** 0.5)
        count = max(2, int(abs(edge.sweep) / step) + 1)
        part = edge.sweep / count
        if (edge.sweep > 0) == grow:
            # Corners of the tangents outside the arc, between chord points.
            radius = edge.radius / cos(part / 2)
            angles = [edge.first + part * (i + 0.5) for i in range(count)]
        else:
            radius = edge.radius
            angles = [edge.first + part * i for i in range(1, count)]
        points += [(cx + radius * cos(a), cy + radius * sin(a)) for a in angles]
    return points


def traced_edge(edge: Edge, tolerance: float) -> list[Point]:
    """An edge's start and, on an arc, points of it, so that their chords stay within ``tolerance`` mm of it."""
    if not edge.radius:
        return [edge.start]
    (cx, cy), radius = edge.centre, edge.radius
    step = min(pi / 8, 2 * (2 * tolerance / max(radius, tolerance)) ** 0.5)
    count = max(2, int(abs(edge.sweep) / step) + 1)
    angles = [edge.first + edge.sweep * i / count for i in range(1, count)]
    return [edge.start, *((cx + radius * cos(a), cy + radius * sin(a)) for a in angles)]


def metal(outline: Ring, holes: Iterable[Ring] = (), grow: bool = False, tolerance: float = TRACE) -> Polygon:
    """The part as a shapely polygon that holds all of its metal (``grow``) or nothing but its metal."""
    return Polygon(traced(outline, grow, tolerance), [traced(hole, not grow, tolerance) for hole in holes])


def extent(ring: Ring) -> tuple[float, float, float, float]:
    """Least x, least y, greatest x, greatest y, arcs exact."""
    return _extent(point for edge in ring_edges(ring) for point in _outermost(edge))


def _extent(points: Iterable[Point]) -> tuple[float, float, float, float]:
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _outermost(edge: Edge) -> Iterator[Point]:
    """The ends of an edge, and where an arc turns back."""
    yield edge.start
    yield edge.end
    if edge.radius:
        for angle, dx, dy in ((0, 1, 0), (pi / 2, 0, 1), (pi, -1, 0), (3 * pi / 2, 0, -1)):
            if _within_sweep(edge, angle):
                yield edge.centre[0] + edge.radius * dx, edge.centre[1] + edge.radius * dy


def _within_sweep(edge: Edge, angle: float) -> bool:
    past = (angle - edge.first) % tau if edge.sweep > 0 else (edge.first - angle) % tau
    return past <= abs(edge.sweep)


def point_to_edge(point: Point, edge: Edge) -> float:
    """Distance from a point to the nearest point of an edge."""
    (px, py), (x0, y0), (x1, y1) = point, edge.start, edge.end
    if not edge.radius:
        dx, dy = x1 - x0, y1 - y0
        along = ((px - x0) * dx + (py - y0) * dy) / (dx * dx + dy * dy or 1.0)
        along = min(1.0, max(0.0, along))
        return hypot(px - x0 - along * dx, py - y0 - along * dy)
    cx, cy = edge.centre
    nearest = min(hypot(px - x0, py - y0), hypot(px - x1, py - y1))
    if _within_sweep(edge, atan2(py - cy, px - cx)):
        nearest = min(nearest, abs(hypot(px - cx, py - cy) - edge.radius))
    return nearest


def point_to_ring(point: Point, ring: Ring) -> float:
    """Distance from a point to the line of a ring, arcs exact."""
    return min(point_to_edge(point, edge) for edge in ring_edges(ring))


def edge_to_edge(a: Edge, b: Edge) -> float:
    """Least distance between two edges, 0 where they cross or touch."""
    found = min(
        point_to_edge(a.start, b), point_to_edge(a.end, b), point_to_edge(b.start, a), point_to_edge(b.end, a)
    )
    return min([found, *(point_to_edge(point, b) for point in _inner_candidates(a, b))])


def _inner_candidates(a: Edge, b: Edge) -> Iterator[Point]:
    """Points of ``a``, other than its ends, one of which is nearest to ``b`` if no end is."""
    if not a.radius and not b.radius:
        (x0, y0), (x1, y1), (u0, v0), (u1, v1) = a.start, a.end, b.start, b.end
        cross = (x1 - x0) * (v1 - v0) - (y1 - y0) * (u1 - u0)
        if cross:
            along = ((u0 - x0) * (v1 - v0) - (v0 - y0) * (u1 - u0)) / cross
            if 0 <= along <= 1:
                yield x0 + along * (x1 - x0), y0 + along * (y1 - y0)
    elif a.radius and b.radius:
        yield from _on_two_arcs(a, b)
    else:
        line, arc = (b, a) if a.radius else (a, b)
        (x0, y0), (x1, y1), (cx, cy) = line.start, line.end, arc.centre
        length = hypot(x1 - x0, y1 - y0)
        dx, dy = (x1 - x0) / length, (y1 - y0) / length
        foot = (cx - x0) * dx + (cy - y0) * dy
        apart = abs((cx - x0) * dy - (cy - y0) * dx)
        reach = (max(0.0, arc.radius**2 - apart**2)) ** 0.5
        points = [(x0 + t * dx, y0 + t * dy) for t in (foot - reach, foot, foot + reach) if 0 <= t <= length]
        if line is a:
            yield from points
        else:
            for x, y in points:
                angle = atan2(y - cy, x - cx)
                if _within_sweep(arc, angle):
                    yield cx + arc.radius * cos(angle), cy + arc.radius * sin(angle)


def _on_two_arcs(a: Edge, b: Edge) -> Iterator[Point]:
    (ax, ay), (bx, by) = a.centre, b.centre
    apart = hypot(bx - ax, by - ay)
    if apart == 0:
        return
    toward = atan2(by - ay, bx - ax)
    # Nearest approaches lie on the line of centres, crossings at equal angles either side of it.
    angles = [toward, toward + pi]
    cosine = (apart**2 + a.radius**2 - b.radius**2) / (2 * apart * a.radius)
    if abs(cosine) <= 1:
        aside = atan2((1 - cosine * cosine) ** 0.5, cosine)
        angles += [toward + aside, toward - aside]
    for angle in angles:
        if _within_sweep(a, angle):
            yield ax + a.radius * cos(angle), ay + a.radius * sin(angle)


def crossings(edge: Edge, axis: int, at: float) -> list[float]:
    """Where an edge crosses an upright (axis 0, x = ``at``) or level line: the other coordinates.

    An edge that lies on the line counts with both its ends.
    """
    other = 1 - axis
    if not edge.radius:
        (a, b), (p, q) = (edge.start[axis], edge.end[axis]), (edge.start[other], edge.end[other])
        if max(a, b) < at - TOUCH or min(a, b) > at + TOUCH:
            return []
        if abs(b - a) <= TOUCH:
            return [p, q]
        return [p + (q - p) * min(1.0, max(0.0, (at - a) / (b - a)))]
    found = [point[other] for point in (edge.start, edge.end) if abs(point[axis] - at) <= TOUCH]
    off = at - edge.centre[axis]
    if abs(off) <= edge.radius:
        half = (edge.radius**2 - off**2) ** 0.5
        for way in (-half, half):
            angle = atan2(way, off) if axis == 0 else atan2(off, way)
            if _within_sweep(edge, angle):
                found.append(edge.centre[other] + way)
    return found


def level_stretches(ring: Ring, height: float) -> list[tuple[float, float]]:
    """The stretches of a level line that lie inside an outline, from the left."""
    xs = sorted({x for edge in ring_edges(ring) for x in crossings(edge, 1, height)})
    inside = Polygon(traced(ring, False, TRACE / 100))
    stretches: list[tuple[float, float]] = []
    for left, right in pairwise(xs):
        if right - left <= TOUCH or not inside.contains(ShapelyPoint((left + right) / 2, height)):
            continue
        if stretches and left - stretches[-1][1] <= TOUCH:
            left = stretches.pop()[0]
        stretches.append((left, right))
    return stretches


def rings_apart(first: Iterable[Ring], second: Iterable[Ring]) -> float:
    """Least distance between the lines of two sets of rings, arcs exact."""
    ours = [edge for ring in first for edge in ring_edges(ring)]
    theirs = [edge for ring in second for edge in ring_edges(ring)]
    # Nearest boxes first: most pairs of edges lie farther apart than the least distance found by then.
    a, b = _boxes(ours)[:, None], _boxes(theirs)[None]
    across = np.maximum(0.0, np.maximum(a[..., 0] - b[..., 2], b[..., 0] - a[..., 2]))
    upward = np.maximum(0.0, np.maximum(a[..., 1] - b[..., 3], b[..., 1] - a[..., 3]))
    apart = np.hypot(across, upward).ravel()
    least = inf
    for pair in np.argsort(apart, kind="stable").tolist():
        if apart[pair] >= least:
            break
        least = min(least, edge_to_edge(ours[pair // len(theirs)], theirs[pair % len(theirs)]))
    return least


def _boxes(edges: list[Edge]) -> NDArray[np.float64]:
    return np.array([_extent(_outermost(edge)) for edge in edges])


def covers(a: BaseGeometry, b: BaseGeometry, tolerance: float) -> bool:
    """Whether the second area lies in the first, or runs past it by no more than ``tolerance`` mm."""
    return bool(a.buffer(tolerance, join_style="mitre").covers(b))


def same_shape(a: BaseGeometry, b: BaseGeometry, tolerance: float) -> bool:
    """Whether two areas agree: neither runs past the other by more than ``tolerance`` mm."""
    return covers(a, b, tolerance) and covers(b, a, tolerance)
