"""Outlines run out by lands: each edge moved square to itself, neighbours met where the moved edges cross."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from math import atan2, hypot, pi, tan
from typing import NamedTuple

from nesting.job import Land
from nesting.outline import Ring, Vertex, arc_centre, edges, without_repeats
from nesting.plan import Point

HAIR = 1e-6
"""mm: an edge that rises as much as it runs, give or take this, is not nearer to level."""

STRAIGHT_ON = 1e-6
"""Sine of the angle below which two edges go straight on into one another."""

FARTHEST = 20.0
"""A corner runs out no farther than so many lands: a sharper one is cut square."""


class MovedEdge(NamedTuple):
    """An edge moved outwards; ``radius`` is 0 for a straight one, ``turn`` 1 for a counter-clockwise arc, else -1."""

    start: Point
    end: Point
    out_start: Point
    """Unit normal at the start, pointing outwards."""
    out_end: Point
    land: float
    centre: Point = (0.0, 0.0)
    radius: float = 0.0
    turn: int = 0


def run_out(ring: Ring, land: Land) -> Ring | None:
    """A counter-clockwise outline run out by its lands, arcs about their own centres; None where an arc is too tight.

    The land is measured square to each edge: an edge nearer to level than 45 degrees takes top or bottom (by the way
    it runs), others ends; an arc counts by its chord.  Corners are mitred; where edges go straight on into one another
    with different lands, there is a step.
    """
    moved = []
    for start, end in edges(ring):
        edge = _moved(start, end, _land_of(start, end, land))
        if edge is None:
            return None
        moved.append(edge)
    vertices: list[Vertex] = []
    corners = [_corner(moved[i - 1], edge, ring[i]) for i, edge in enumerate(moved)]
    for i, edge in enumerate(moved):
        begin, stop = corners[i][-1], corners[(i + 1) % len(moved)][0]
        vertices += [(x, y, 0.0) for x, y in corners[i][:-1]]
        vertices.append((begin[0], begin[1], _bulge(edge, begin, stop)))
    return without_repeats(tuple(vertices))


def _land_of(start: Vertex, end: Vertex, land: Land) -> float:
    dx, dy = end[0] - start[0], end[1] - start[1]
    if abs(dy) < abs(dx) - HAIR:
        return land.bottom if dx > 0 else land.top
    return land.ends


def _moved(start: Vertex, end: Vertex, land: float) -> MovedEdge | None:
    if start[2] == 0.0:
        length = hypot(end[0] - start[0], end[1] - start[1])
        dx, dy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
        out = (dy, -dx)
        return MovedEdge(_beyond(start, out, land), _beyond(end, out, land), out, out, land)
    cx, cy, radius = arc_centre(start, end)
    turn = 1 if start[2] > 0 else -1
    outs = [(turn * (x - cx) / radius, turn * (y - cy) / radius) for x, y, _ in (start, end)]
    grown = radius + turn * land
    if grown <= HAIR:
        return None
    ends = [_beyond(vertex, out, land) for vertex, out in zip((start, end), outs, strict=True)]
    return MovedEdge(ends[0], ends[1], outs[0], outs[1], land, (cx, cy), grown, turn)


def _beyond(point: Sequence[float], out: Point, land: float) -> Point:
    return point[0] + out[0] * land, point[1] + out[1] * land


def _corner(before: MovedEdge, after: MovedEdge, corner: Vertex) -> list[Point]:
    """Where one moved edge goes over into the next: one point, or two with a straight step between them."""
    (ax, ay), (bx, by) = before.out_end, after.out_start
    straight_on = abs(ax * by - ay * bx) < STRAIGHT_ON and ax * bx + ay * by > 0
    if straight_on:
        return [after.start] if abs(before.land - after.land) < HAIR else [before.end, after.start]
    met = _meetings(before, after)
    if met:
        nearest = min(met, key=lambda p: hypot(p[0] - corner[0], p[1] - corner[1]))
        reach = FARTHEST * max(before.land, after.land, HAIR)
        if hypot(nearest[0] - corner[0], nearest[1] - corner[1]) <= reach:
            return [nearest]
    return [before.end, after.start]


def _meetings(a: MovedEdge, b: MovedEdge) -> list[Point]:
    """Where the lines or circles of two moved edges cross."""
    meet: Callable[[MovedEdge, MovedEdge], list[Point]]
    if not a.radius and not b.radius:
        meet = _two_lines
    elif a.radius and b.radius:
        meet = _two_circles
    else:
        a, b = (b, a) if a.radius else (a, b)
        meet = _line_and_circle
    return meet(a, b)


def _two_lines(a: MovedEdge, b: MovedEdge) -> list[Point]:
    """Level and plumb lines give their coordinates unrounded."""
    (ax, ay), (bx, by) = a.start, b.start
    (adx, ady), (bdx, bdy) = (-a.out_start[1], a.out_start[0]), (-b.out_start[1], b.out_start[0])
    if ady == 0 and bdx == 0:
        return [(bx, ay)]
    if adx == 0 and bdy == 0:
        return [(ax, by)]
    along = ((bx - ax) * bdy - (by - ay) * bdx) / (adx * bdy - ady * bdx)
    x, y = ax + along * adx, ay + along * ady
    return [
        (bx if bdx == 0 else ax if adx == 0 else x, by if bdy == 0 else ay if ady == 0 else y),
    ]


def _line_and_circle(line: MovedEdge, arc: MovedEdge) -> list[Point]:
    (px, py), (nx, ny), (cx, cy) = line.start, line.out_start, arc.centre
    off = (px - cx) * nx + (py - cy) * ny
    if abs(off) > arc.radius:
        return []
    half = (arc.radius**2 - off**2) ** 0.5
    fx, fy = cx + off * nx, cy + off * ny
    found = [(fx - s * ny * half, fy + s * nx * half) for s in (1, -1)]
    # on a level or plumb line its own coordinate stays what it is
    return [(px if ny == 0 else x, py if nx == 0 else y) for x, y in found]


def _two_circles(a: MovedEdge, b: MovedEdge) -> list[Point]:
    (ax, ay), (bx, by) = a.centre, b.centre
    apart = hypot(bx - ax, by - ay)
    if apart == 0 or apart > a.radius + b.radius or apart < abs(a.radius - b.radius):
        return []
    along = (apart**2 + a.radius**2 - b.radius**2) / (2 * apart)
    half = max(0.0, a.radius**2 - along**2) ** 0.5
    ux, uy = (bx - ax) / apart, (by - ay) / apart
    return [(ax + along * ux - s * half * uy, ay + along * uy + s * half * ux) for s in (1, -1)]


def _bulge(edge: MovedEdge, start: Point, end: Point) -> float:
    """The bulge of a moved edge between its corners."""
    if not edge.radius:
        return 0.0
    cx, cy = edge.centre
    first, last = atan2(start[1] - cy, start[0] - cx), atan2(end[1] - cy, end[0] - cx)
    sweep = (edge.turn * (last - first)) % (2 * pi)
    return edge.turn * tan(sweep / 4)
