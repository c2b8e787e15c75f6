"""Curves that are no arcs (ellipses, splines) as runs of true arcs that stay near them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from math import atan2, hypot, pi, tan

from nesting.outline import Vertex
from nesting.reading.chains import JOIN_MM, Stroke
from nesting.reading.edgegaps import Edge, Point, distance_to
from nesting.reading.outlinechecks import FLAT_ARC_MM, MAX_CORNERS

_SAMPLES = (0.15, 0.35, 0.65, 0.85)
"""Where a piece of curve is compared with its arc: its ends and its middle lie on both."""


def arcs_along(point_at: Callable[[float], Point], breaks: Sequence[float], tolerance: float) -> Stroke:
    """Arcs from the first to the last of ``breaks``, within ``tolerance`` mm of the curve.

    ``point_at`` gives the point in mm at a parameter; ``breaks`` are rising parameters that hold every one
    where the curve may turn sharply.  A curve that needs more than `MAX_CORNERS` arcs is left coarse.
    """
    waiting = [piece for start, end in pairwise(breaks) for piece in pairwise(_quarters(start, end))][::-1]
    vertices: list[Vertex] = []
    while waiting:
        start, end = waiting.pop()
        edge = _arc_through(point_at, start, end)
        enough = len(vertices) + len(waiting) > MAX_CORNERS
        if enough or (edge is not None and _is_near(edge, point_at, start, end, tolerance)):
            vertices.append(edge[0] if edge is not None else (*point_at(start), 0.0))
        else:
            middle = (start + end) / 2
            waiting += [(middle, end), (start, middle)]
    return (*vertices, (*point_at(breaks[-1]), 0.0))


def _quarters(start: float, end: float) -> list[float]:
    return [start + (end - start) * i / 4 for i in range(4)] + [end]


def _arc_through(point_at: Callable[[float], Point], start: float, end: float) -> Edge | None:
    """The arc through both ends and the middle of a piece of curve; None where it turns too far to judge."""
    (x0, y0), (xm, ym), (x1, y1) = point_at(start), point_at((start + end) / 2), point_at(end)
    ax, ay, bx, by = xm - x0, ym - y0, x1 - xm, y1 - ym
    # Between the two chords an arc turns by half of its angle.
    turn = atan2(ax * by - ay * bx, ax * bx + ay * by)
    chord = hypot(x1 - x0, y1 - y0)
    if abs(turn) > pi / 4 and chord > JOIN_MM:
        return None
    bulge = tan(turn / 2) if chord > JOIN_MM else 0.0
    straight = abs(bulge) * chord / 2 <= FLAT_ARC_MM
    return (x0, y0, 0.0 if straight else bulge), (x1, y1, 0.0)


def _is_near(
    edge: Edge, point_at: Callable[[float], Point], start: float, end: float, tolerance: float
) -> bool:
    if edge[0][:2] == edge[1][:2]:
        x, y = edge[0][:2]
        points = [point_at(start + (end - start) * share) for share in _SAMPLES]
        return all(hypot(px - x, py - y) <= tolerance for px, py in points)
    return all(distance_to(edge, point_at(start + (end - start) * share)) <= tolerance for share in _SAMPLES)
