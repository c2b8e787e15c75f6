"""The plan check: a side's whole skin, from the outlines of its openings and the lands, arcs kept as arcs.

The skin is put together from pieces of area: the openings, the posts between them, and for each outer edge the
piece between it and the same edge pushed out, parted from its neighbours along the mitres.  No outline is moved
as a whole, so that this is no copy of the panel builder.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import atan2, cos, hypot, pi, sin, tau

from shapely import make_valid
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from nesting.checking.shapes import HAIR, Edge, Point, crossings, ring_edges, traced_edge
from nesting.job import Land
from nesting.outline import Ring

FINE = 0.001
"""mm: how finely arcs are traced where panels are compared with the skin."""

FARTHEST = 20.0
"""A corner whose mitre lies farther off than so many lands is cut square."""


@dataclass(frozen=True)
class Skin:
    """The side closed in one piece, lands included: as an area with arcs traced, and its outer edges, exact."""

    area: BaseGeometry
    rim: tuple[Edge, ...]

    def reach(self, axis: int, at: float) -> tuple[float, float]:
        """The first and last point of the skin on an upright (axis 0, x = ``at``) or level line (axis 1)."""
        found = [value for edge in self.rim for value in crossings(edge, axis, at)]
        if not found:
            bounds = self.area.bounds
            return bounds[1 - axis], bounds[3 - axis]
        return min(found), max(found)


def skin_over(openings: Sequence[Ring], land: Land) -> Skin:
    """The openings (counter-clockwise, in side coordinates), posts between them, and lands with mitred corners."""
    around = [edge for edge in outer_edges(openings) if hypot(*_step(edge)) > HAIR]
    widths = [_land_of(edge, land) for edge in around]
    pushed = [_pushed(edge, width) for edge, width in zip(around, widths, strict=True)]
    # where each edge's piece begins and ends out there; two different points at a corner that is not mitred
    begins, ends = [edge.start for edge in pushed], [edge.end for edge in pushed]
    pieces: list[BaseGeometry] = [_area(around)]
    rim: list[Edge] = []
    for i, corner in enumerate(edge.end for edge in around):
        j = (i + 1) % len(around)
        mitre = _mitre(pushed[i], pushed[j], corner, max(widths[i], widths[j]))
        if mitre is not None:
            ends[i] = begins[j] = mitre
        else:
            pieces.append(_sound(Polygon([corner, ends[i], begins[j]])))
            rim.append(Edge(ends[i], begins[j]))
    for edge, out, begin, end in zip(around, pushed, begins, ends, strict=True):
        outer = _between(out, begin, end)
        rim.append(outer)
        back = [end, *reversed(traced_edge(outer, FINE)[1:]), begin]
        pieces.append(_sound(Polygon([*traced_edge(edge, FINE), edge.end, *back])))
    return Skin(unary_union([piece for piece in pieces if piece.area > 0]), tuple(rim))


def outer_edges(openings: Sequence[Ring]) -> list[Edge]:
    """The edges round all openings, counter-clockwise, straight over the posts from corner to corner."""
    edges = [ring_edges(ring) for ring in openings]
    corners = [corners_of(ring) for ring in openings]
    found: list[Edge] = []

    def follow(number: int, first: int, last: int) -> None:
        run, count = edges[number], len(edges[number])
        start, stop = corners[number][first], corners[number][last]
        stretch = [run[(start + i) % count] for i in range((stop - start) % count)]
        begin = openings[number][start][:2]
        if found and hypot(begin[0] - found[-1].end[0], begin[1] - found[-1].end[1]) > HAIR:
            found.append(Edge(found[-1].end, begin))
        found.extend(stretch)

    last = len(openings) - 1
    for number in range(last + 1):
        follow(number, 0, 1)
    follow(last, 1, 2)
    for number in range(last, -1, -1):
        follow(number, 2, 3)
    follow(0, 3, 0)
    return found


def corners_of(ring: Ring) -> tuple[int, int, int, int]:
    """Which vertices are the lower left, lower right, upper right and upper left corner of an opening.

    The one that lies farthest that way; of two equally far the one farther to the left or right.
    """

    def farthest(way: Callable[[float, float], float], hand: int) -> int:
        scores = [way(x, y) for x, y, _ in ring]
        best = [i for i, score in enumerate(scores) if score >= max(scores) - HAIR]
        return max(best, key=lambda i: hand * ring[i][0])

    return (
        farthest(lambda x, y: -x - y, -1),
        farthest(lambda x, y: x - y, 1),
        farthest(lambda x, y: x + y, 1),
        farthest(lambda x, y: y - x, -1),
    )


def area_within(ring: Ring) -> Polygon:
    """The area of an outline, its arcs traced finely."""
    return _area(ring_edges(ring))


def _area(edges: Sequence[Edge]) -> Polygon:
    return Polygon([point for edge in edges for point in traced_edge(edge, FINE)])


def _sound(piece: Polygon) -> BaseGeometry:
    """Where lands fold over, a piece may cross itself: its two lobes then."""
    return piece if piece.is_valid else make_valid(piece)


def _step(edge: Edge) -> Point:
    return edge.end[0] - edge.start[0], edge.end[1] - edge.start[1]


def _land_of(edge: Edge, land: Land) -> float:
    along, up = _step(edge)
    if abs(up) >= abs(along) - HAIR:
        return land.ends
    return land.bottom if along > 0 else land.top


def _pushed(edge: Edge, width: float) -> Edge:
    """The edge moved square to itself, to its right hand; an arc about its centre."""
    if edge.radius:
        # metal outside an arc that curves inwards leaves a smaller radius
        radius = max(HAIR, edge.radius + (width if edge.sweep > 0 else -width))
        (cx, cy), last = edge.centre, edge.first + edge.sweep
        ends = [(cx + radius * cos(angle), cy + radius * sin(angle)) for angle in (edge.first, last)]
        return Edge(ends[0], ends[1], edge.centre, radius, edge.first, edge.sweep)
    along, up = _step(edge)
    length = hypot(along, up)
    dx, dy = up / length * width, -along / length * width
    return Edge((edge.start[0] + dx, edge.start[1] + dy), (edge.end[0] + dx, edge.end[1] + dy))


def _heading(edge: Edge, *, at_end: bool) -> Point:
    """The unit vector along an edge where it begins or ends."""
    if edge.radius:
        angle = edge.first + (edge.sweep if at_end else 0.0)
        way = 1.0 if edge.sweep > 0 else -1.0
        return -way * sin(angle), way * cos(angle)
    along, up = _step(edge)
    length = hypot(along, up)
    return along / length, up / length


def _mitre(before: Edge, after: Edge, corner: Point, width: float) -> Point | None:
    """Where two pushed edges meet beyond a corner; None where they do not, or too far off."""
    p, q = _heading(before, at_end=True), _heading(after, at_end=False)
    if abs(p[0] * q[1] - p[1] * q[0]) < HAIR and p[0] * q[0] + p[1] * q[1] > 0:
        # straight on: nothing to do, or a plain step between different lands
        apart = hypot(before.end[0] - after.start[0], before.end[1] - after.start[1])
        return before.end if apart < HAIR else None

    def off(point: Point) -> float:
        return hypot(point[0] - corner[0], point[1] - corner[1])

    nearest = min(_meetings(before, after), key=off, default=None)
    return nearest if nearest is not None and off(nearest) <= FARTHEST * max(width, HAIR) else None


def _meetings(a: Edge, b: Edge) -> Iterator[Point]:
    """Where the whole lines or circles of two edges cross."""
    if not a.radius and not b.radius:
        (px, py), (ux, uy), (vx, vy) = a.start, _step(a), _step(b)
        if turn := ux * vy - uy * vx:
            along = ((b.start[0] - px) * vy - (b.start[1] - py) * vx) / turn
            yield px + along * ux, py + along * uy
        return
    if a.radius and b.radius:
        # two circles cross on the line on which both have the same power
        (ax, ay), (bx, by) = a.centre, b.centre
        dx, dy = bx - ax, by - ay
        apart = hypot(dx, dy)
        if apart < HAIR:
            return
        share = (1 + (a.radius**2 - b.radius**2) / apart**2) / 2
        yield from _line_on_circle((ax + share * dx, ay + share * dy), (-dy / apart, dx / apart), a)
    else:
        line, arc = (b, a) if a.radius else (a, b)
        yield from _line_on_circle(line.start, _heading(line, at_end=False), arc)


def _line_on_circle(point: Point, way: Point, arc: Edge) -> Iterator[Point]:
    ox, oy = point[0] - arc.centre[0], point[1] - arc.centre[1]
    middle = -(ox * way[0] + oy * way[1])
    under = arc.radius**2 - (ox * way[1] - oy * way[0]) ** 2
    if under >= 0:
        for along in (middle - under**0.5, middle + under**0.5):
            yield point[0] + along * way[0], point[1] + along * way[1]


def _between(edge: Edge, begin: Point, end: Point) -> Edge:
    """The pushed edge from one mitre to the next, longer or shorter than it was."""
    if not edge.radius:
        return Edge(begin, end)
    cx, cy = edge.centre

    def turned_on(point: Point, angle: float) -> float:
        return (atan2(point[1] - cy, point[0] - cx) - angle + pi) % tau - pi

    at_start, at_end = turned_on(begin, edge.first), turned_on(end, edge.first + edge.sweep)
    return Edge(begin, end, edge.centre, edge.radius, edge.first + at_start, edge.sweep + at_end - at_start)
