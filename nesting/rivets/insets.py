"""Outlines set inwards with mitred corners, and straight cuts across them: the geometry under rivet lines."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from heapq import heapify, heappop, heappush
from math import atan, atan2, ceil, cos, hypot, pi, sin
from typing import TypeAlias

from shapely.geometry import Point as Spot
from shapely.geometry import Polygon

from nesting.outline import Ring, Vertex, arc_centre, counter_clockwise, edges, polygon_ring
from nesting.plan import Point

Points: TypeAlias = tuple[Point, ...]

NO_LENGTH = 1e-6
"""mm: an edge this short is left over from float arithmetic."""

_PARALLEL = 1e-7
"""Sine of the angle between two edges below which float arithmetic finds no corner that could be trusted."""

_OFFSET = 1e-5
"""mm: parallel edges this near one another are one straight edge."""

_MITRE_LIMIT = 20.0

ARC_TOLERANCE = 0.004
"""mm: how far a line that stands for an arc may leave it: rivets keep within 0.01 mm of their curve."""


def inset(outline: Ring, distance: float) -> tuple[Points, ...]:
    """The outline moved inwards by ``distance``, corners mitred, as counter-clockwise rings of points.

    Mitred so that an inset corner lies where the inset edges meet: rivet lines end there.  Edges shorter than
    the corners take up vanish.  More than one ring where a neck is narrower than twice the distance, none
    where nothing is left.  Arcs become many straight edges, which keep at least the distance from the arc.
    """
    traced = hugged(counter_clockwise(outline))
    points = _without_short_edges(traced)
    moved = _mitred(points, distance)
    if moved is not None and _keeps_clear(moved, traced, distance):
        return (tuple(moved),)
    # Necks and vanishing arcs: slower and a little less exact, but right for any outline.
    narrowed = Polygon(traced).buffer(-distance, join_style="mitre", mitre_limit=_MITRE_LIMIT)
    pieces = getattr(narrowed, "geoms", (narrowed,))
    rings = (list(piece.exterior.coords)[:-1] for piece in pieces if not piece.is_empty)
    return tuple(tuple((x, y) for x, y, _ in counter_clockwise(polygon_ring(ring))) for ring in sorted(rings))


def _keeps_clear(moved: list[Point], traced: list[Point], distance: float) -> bool:
    """Whether a moved ring is sound: simple, inside the outline, and nowhere nearer to it than the distance.

    Edges moved past one another in a narrow outline can make a ring that is simple and lies somewhere else.
    """
    shape, outline = Polygon(moved), Polygon(traced)
    if not (shape.is_valid and shape.area > 0):
        return False
    return bool(
        outline.contains(Spot(moved[0])) and shape.exterior.distance(outline.exterior) > distance - _OFFSET
    )


def hugged(ring: Ring, inside: bool = True) -> list[Point]:
    """A counter-clockwise ring as points whose straight edges never leave it (or, not ``inside``, never enter it).

    An arc that would be left by its chords is followed by tangents, so that lines set off from these edges never
    come too near to the true arc.  Within 0.004 mm of it.
    """
    points: list[Point] = []
    for start, end in edges(ring):
        points.append((start[0], start[1]))
        if start[2]:
            points += _along_arc(start, end, tangents=(start[2] < 0) == inside)
    return points


def _along_arc(start: Vertex, end: Vertex, tangents: bool) -> list[Point]:
    """Points between the ends of an arc: corners of its chords, or of tangents that begin and end with its own."""
    cx, cy, radius = arc_centre(start, end)
    sweep = 4 * atan(start[2])
    step = min(pi / 8, 2 * (2 * ARC_TOLERANCE / radius) ** 0.5)
    count = max(2, ceil(abs(sweep) / step))
    first = atan2(start[1] - cy, start[0] - cx)
    if tangents:
        shares = [(number + 0.5) / count for number in range(count)]
        radius /= cos(sweep / count / 2)
    else:
        shares = [number / count for number in range(1, count)]
    angles = [first + sweep * share for share in shares]
    return [(cx + radius * cos(angle), cy + radius * sin(angle)) for angle in angles]


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


_Line: TypeAlias = tuple[Point, Point, float]
"""A moved edge: a point on it, its unit direction, and how long the edge was."""


def _mitred(points: list[Point], distance: float) -> list[Point] | None:
    """Each edge moved inwards and met with its neighbours; edges that would turn round are left out.

    That which shrinks to a point first goes first, and only its neighbours are met anew.
    """
    lines = list(_moved_lines(points, distance))
    count = len(lines)
    before = [(i - 1) % count for i in range(count)]
    after = [(i + 1) % count for i in range(count)]
    corners = [_meeting(lines[before[i]], line) for i, line in enumerate(lines)]
    if count < 3 or None in corners:
        return None
    turned = [(share, i) for i in range(count) if (share := _shrunk(lines[i], corners[i], corners[after[i]]))]
    heapify(turned)
    gone: set[int] = set()
    while turned:
        share, i = heappop(turned)
        if i in gone or share != _shrunk(lines[i], corners[i], corners[after[i]]):
            continue
        gone.add(i)
        if count - len(gone) < 3:
            return None
        low, high = before[i], after[i]
        after[low], before[high] = high, low
        corners[high] = _meeting(lines[low], lines[high])
        if corners[high] is None:
            return None
        for j in (low, high):
            if new := _shrunk(lines[j], corners[j], corners[after[j]]):
                heappush(turned, (new, j))
    return [corner for i, corner in enumerate(corners) if corner is not None and i not in gone]


def _moved_lines(points: list[Point], distance: float) -> Iterator[_Line]:
    for (x0, y0), (x1, y1) in zip(points, [*points[1:], points[0]], strict=True):
        length = hypot(x1 - x0, y1 - y0)
        dx, dy = (x1 - x0) / length, (y1 - y0) / length
        yield (x0 - dy * distance, y0 + dx * distance), (dx, dy), length


def _shrunk(line: _Line, start: Point | None, end: Point | None) -> float | None:
    """The share of the way inwards at which an edge shrinks to a point; None where it is left."""
    if start is None or end is None:
        return None
    _, (dx, dy), length = line
    run = (end[0] - start[0]) * dx + (end[1] - start[1]) * dy
    return length / (length - run) if run < NO_LENGTH else None


def _meeting(first: _Line, second: _Line) -> Point | None:
    (x0, y0), (dx0, dy0), _ = first
    (x1, y1), (dx1, dy1), _ = second
    cross = dx0 * dy1 - dy0 * dx1
    if abs(cross) < _PARALLEL:
        straight_on = dx0 * dx1 + dy0 * dy1 > 0 and abs((x1 - x0) * dy0 - (y1 - y0) * dx0) < _OFFSET
        return (x1, y1) if straight_on else None
    along = ((x1 - x0) * dy1 - (y1 - y0) * dx1) / cross
    return x0 + along * dx0, y0 + along * dy0
