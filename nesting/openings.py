"""Measured bays as openings in one datum, and the outline of a side's whole skin with its lands."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot

from nesting.job import Land, Side, Window
from nesting.outline import Ring, edges, polygon_ring, rectangle
from nesting.plan import Point

HAIR = 1e-6
"""mm: an edge that rises as much as it runs, give or take this, is not nearer to level."""


@dataclass(frozen=True)
class Opening:
    """One bay in side coordinates (``bay`` from 1)."""

    bay: int
    x0: float
    x1: float
    y0: float
    y1: float


def outline_openings(side: Side) -> tuple[Opening, ...]:
    """The side's openings from left to right, posts between them, the first at x = 0."""
    openings = []
    x = 0.0
    for number, bay in enumerate(side.bays, start=1):
        openings.append(Opening(number, x, x + bay.width, bay.sill, bay.sill + bay.height))
        x += bay.width + (side.posts[number - 1] if number <= len(side.posts) else 0.0)
    return tuple(openings)


def post_centres(openings: Sequence[Opening]) -> tuple[float, ...]:
    """The centre line of each post between two openings."""
    return tuple((left.x1 + right.x0) / 2 for left, right in pairwise(openings))


def window_hole(window: Window, openings: Sequence[Opening]) -> Ring:
    """The hole that a window needs."""
    bay = openings[window.bay - 1]
    x, y = bay.x0 + window.from_left, bay.y0 + window.from_bottom
    return rectangle(x, y, x + window.width, y + window.height, window.corner_radius)


def skin_outline(openings: Sequence[Opening], land: Land) -> Ring:
    """The whole skin of a side in one piece: openings and posts run out by the land, corners mitred.

    Over a post between bays of unequal height the edge runs straight from corner to corner.  The land is
    measured square to each edge: an edge nearer to level than 45 degrees takes top or bottom, others ends.
    """
    lower = [point for o in openings for point in ((o.x0, o.y0), (o.x1, o.y0))]
    upper = [point for o in reversed(openings) for point in ((o.x1, o.y1), (o.x0, o.y1))]
    return polygon_ring(_run_out(without_straight_corners(lower + upper), land))


def heights_on(ring: Ring, x: float) -> tuple[float, float]:
    """Least and greatest height of a straight-edged outline on an upright line that crosses it."""
    heights = []
    for (x0, y0, _), (x1, y1, _) in edges(ring):
        if x0 == x:
            heights.append(y0)
        elif min(x0, x1) < x < max(x0, x1):
            heights.append(y0 + (x - x0) / (x1 - x0) * (y1 - y0))
    return min(heights), max(heights)


def without_straight_corners(corners: Sequence[Point]) -> list[Point]:
    """The corners at which a closed outline really turns."""
    count = len(corners)
    kept = []
    for i, (x, y) in enumerate(corners):
        (x0, y0), (x1, y1) = corners[i - 1], corners[(i + 1) % count]
        if abs((x - x0) * (y1 - y) - (y - y0) * (x1 - x)) > 1e-9 * (hypot(x - x0, y - y0) + 1):
            kept.append((x, y))
    return kept


def _run_out(corners: list[Point], land: Land) -> list[Point]:
    """Each edge of a counter-clockwise outline moved out by its land, neighbours met at their crossing."""
    count = len(corners)
    lines = []
    for i, (x0, y0) in enumerate(corners):
        x1, y1 = corners[(i + 1) % count]
        dx, dy = x1 - x0, y1 - y0
        level = land.bottom if dx > 0 else land.top
        reach = level if abs(dy) < abs(dx) - HAIR else land.ends
        length = hypot(dx, dy)
        lines.append((x0 + dy / length * reach, y0 - dx / length * reach, dx / length, dy / length))
    return [_crossing(lines[i - 1], lines[i]) for i in range(count)]


def _crossing(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> Point:
    """Where two lines (point, direction) cross; level and plumb lines give their coordinates unrounded."""
    ax, ay, adx, ady = a
    bx, by, bdx, bdy = b
    if ady == 0 and bdx == 0:
        return bx, ay
    if adx == 0 and bdy == 0:
        return ax, by
    along = ((bx - ax) * bdy - (by - ay) * bdx) / (adx * bdy - ady * bdx)
    x, y = ax + along * adx, ay + along * ady
    return (bx if bdx == 0 else ax if adx == 0 else x), (by if bdy == 0 else ay if ady == 0 else y)
