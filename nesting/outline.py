"""Flat outlines with straight and circular edges: measured, moved, turned, and handed to shapely.

A `Ring` is a closed outline: a tuple of vertices ``(x, y, bulge)`` in millimetres, the first vertex not
repeated.  The bulge belongs to the edge that starts at its vertex: the tangent of a quarter of the arc's
angle, positive when the arc runs counter-clockwise, 0 for a straight edge (the DXF convention).
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import atan, atan2, ceil, cos, hypot, pi, sin, tan
from typing import TypeAlias

from shapely.geometry import Polygon

Vertex: TypeAlias = tuple[float, float, float]
Ring: TypeAlias = tuple[Vertex, ...]
Box: TypeAlias = tuple[float, float, float, float]

CORNER_BULGE = tan(pi / 8)
"""Bulge of a counter-clockwise quarter circle."""


def rectangle(x0: float, y0: float, x1: float, y1: float, corner_radius: float = 0.0) -> Ring:
    """A counter-clockwise rectangle, its corners rounded by true arcs where a radius is given.

    A radius larger than half of the shorter side is cut down to that half.
    """
    r = min(corner_radius, (x1 - x0) / 2, (y1 - y0) / 2)
    if r <= 0:
        return ((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0))
    b = CORNER_BULGE
    corners = (
        (x0 + r, y0, 0.0),
        (x1 - r, y0, b),
        (x1, y0 + r, 0.0),
        (x1, y1 - r, b),
        (x1 - r, y1, 0.0),
        (x0 + r, y1, b),
        (x0, y1 - r, 0.0),
        (x0, y0 + r, b),
    )
    return without_repeats(corners)


def polygon_ring(points: Iterable[Sequence[float]]) -> Ring:
    """A ring of straight edges through ``points``."""
    return without_repeats(tuple((p[0], p[1], 0.0) for p in points))


def without_repeats(ring: Ring) -> Ring:
    """The ring without edges of no length (a repeated vertex keeps the bulge of the later one)."""
    kept = [
        vertex
        for vertex, after in zip(ring, ring[1:] + ring[:1], strict=True)
        if hypot(after[0] - vertex[0], after[1] - vertex[1]) > 1e-9
    ]
    return tuple(kept)


def edges(ring: Ring) -> Iterable[tuple[Vertex, Vertex]]:
    """Each edge as (vertex where it starts, vertex where it ends)."""
    return zip(ring, ring[1:] + ring[:1], strict=True)


def arc_centre(start: Vertex, end: Vertex) -> tuple[float, float, float]:
    """Centre x, y and radius of a bulged edge."""
    (x0, y0, bulge), (x1, y1, _) = start, end
    chord = hypot(x1 - x0, y1 - y0)
    radius = chord * (1 + bulge * bulge) / (4 * abs(bulge))
    offset = chord * (1 - bulge * bulge) / (4 * bulge)
    cx = (x0 + x1) / 2 - (y1 - y0) / chord * offset
    cy = (y0 + y1) / 2 + (x1 - x0) / chord * offset
    return cx, cy, radius


def flattened(ring: Ring, tolerance: float = 0.01) -> list[tuple[float, float]]:
    """The ring as points, arcs replaced by chords that stay within ``tolerance`` mm of them."""
    points: list[tuple[float, float]] = []
    for start, end in edges(ring):
        points.append((start[0], start[1]))
        if start[2] == 0.0:
            continue
        cx, cy, radius = arc_centre(start, end)
        sweep = 4 * atan(start[2])
        step = 2 * (2 * tolerance / radius) ** 0.5 if radius > tolerance else pi / 4
        count = max(2, ceil(abs(sweep) / min(step, pi / 8)))
        first = atan2(start[1] - cy, start[0] - cx)
        for i in range(1, count):
            angle = first + sweep * i / count
            points.append((cx + radius * cos(angle), cy + radius * sin(angle)))
    return points


def bounds(ring: Ring) -> Box:
    """Least x, least y, greatest x, greatest y; arcs at their true extent."""
    xs = [v[0] for v in ring]
    ys = [v[1] for v in ring]
    for start, end in edges(ring):
        if start[2] == 0.0:
            continue
        cx, cy, radius = arc_centre(start, end)
        sweep = 4 * atan(start[2])
        first = atan2(start[1] - cy, start[0] - cx)
        for quarter in range(4):
            angle = quarter * pi / 2
            turned = (angle - first) % (2 * pi) if sweep > 0 else (first - angle) % (2 * pi)
            if turned < abs(sweep):
                xs.append(cx + radius * (1.0, 0.0, -1.0, 0.0)[quarter])
                ys.append(cy + radius * (0.0, 1.0, 0.0, -1.0)[quarter])
    return min(xs), min(ys), max(xs), max(ys)


def signed_area(ring: Ring) -> float:
    """Area in mm2 with arcs exact, positive when the ring runs counter-clockwise."""
    total = 0.0
    for start, end in edges(ring):
        total += (start[0] * end[1] - end[0] * start[1]) / 2
        if start[2] != 0.0:
            _, _, radius = arc_centre(start, end)
            sweep = 4 * atan(start[2])
            total += radius * radius * (sweep - sin(sweep)) / 2
    return total


def net_area(outline: Ring, holes: Iterable[Ring] = ()) -> float:
    """Area of metal in mm2: the outline less its holes."""
    return abs(signed_area(outline)) - sum(abs(signed_area(hole)) for hole in holes)


def edge_length(start: Vertex, end: Vertex) -> float:
    """Length of one edge along its line or arc."""
    if start[2] == 0.0:
        return hypot(end[0] - start[0], end[1] - start[1])
    return abs(4 * atan(start[2])) * arc_centre(start, end)[2]


def perimeter(ring: Ring) -> float:
    """Length once around, arcs exact."""
    return sum(edge_length(start, end) for start, end in edges(ring))


def moved(ring: Ring, dx: float, dy: float) -> Ring:
    """The ring shifted by (dx, dy)."""
    return tuple((x + dx, y + dy, b) for x, y, b in ring)


def mirrored(ring: Ring) -> Ring:
    """The ring mirrored left for right about x = 0, still running the same way round."""
    count = len(ring)
    backwards = [ring[-i % count] for i in range(count)]
    return tuple((-x, y, backwards[(i + 1) % count][2]) for i, (x, y, _) in enumerate(backwards))


def turned(ring: Ring, degrees: float) -> Ring:
    """The ring turned counter-clockwise about (0, 0); quarter turns are exact."""
    quarter, rest = divmod(degrees % 360, 90)
    if rest == 0:
        c, s = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter) % 4]
    else:
        c, s = cos(degrees * pi / 180), sin(degrees * pi / 180)
    return tuple((x * c - y * s + 0.0, x * s + y * c + 0.0, b) for x, y, b in ring)


def as_polygon(outline: Ring, holes: Iterable[Ring] = (), tolerance: float = 0.01) -> Polygon:
    """The area as a shapely polygon, arcs flattened within ``tolerance`` mm."""
    return Polygon(flattened(outline, tolerance), [flattened(hole, tolerance) for hole in holes])


def counter_clockwise(ring: Ring) -> Ring:
    """The same outline, running counter-clockwise."""
    return ring if signed_area(ring) >= 0 else reversed_ring(ring)


def reversed_ring(ring: Ring) -> Ring:
    """The same outline, run the other way round (bulges change sign and edge)."""
    count = len(ring)
    backwards = [ring[-i % count] for i in range(count)]
    return tuple((x, y, -backwards[(i + 1) % count][2]) for i, (x, y, _) in enumerate(backwards))
