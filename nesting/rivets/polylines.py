"""Polylines: how far along their points lie, where two of them meet, and whether they can meet at all."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from math import dist

import numpy as np
from numpy.typing import NDArray

from nesting.outline import Box
from nesting.plan import Point
from nesting.rivets.insets import Points

MEET = 1e-3
"""mm: lines this near meet, and two rivets this near are one; no tape and no drill knows the difference."""


def meetings(
    first: Points, marks1: Sequence[float], second: Points, marks2: Sequence[float]
) -> Iterator[tuple[Point, float, float]]:
    """Where two paths cross, touch, or begin and end to run together, with how far along each that is.

    ``marks1`` and ``marks2`` are what `marks_along` gives for the paths.
    """
    for i, j in _near_segments(np.array(first), np.array(second)):
        a0, b0 = first[i], second[j]
        for point in _segments_meet(a0, first[i + 1], b0, second[j + 1]):
            yield point, marks1[i] + dist(a0, point), marks2[j] + dist(b0, point)


def _near_segments(first: NDArray[np.float64], second: NDArray[np.float64]) -> Iterator[tuple[int, int]]:
    """Which segments of two paths could meet, judged by their extents: many paths are curves of many segments."""
    low1, high1 = np.minimum(first[:-1], first[1:]), np.maximum(first[:-1], first[1:])
    low2, high2 = np.minimum(second[:-1], second[1:]), np.maximum(second[:-1], second[1:])
    own = np.flatnonzero(_touching(low1, high1, low2.min(axis=0), high2.max(axis=0)))
    others = np.flatnonzero(_touching(low2, high2, low1.min(axis=0), high1.max(axis=0)))
    for i in own.tolist():
        for j in others[_touching(low2[others], high2[others], low1[i], high1[i])].tolist():
            yield i, j


def _touching(
    lows: NDArray[np.float64],
    highs: NDArray[np.float64],
    low: NDArray[np.float64],
    high: NDArray[np.float64],
) -> NDArray[np.bool_]:
    apart = (lows > high + MEET) | (highs < low - MEET)
    return np.asarray(~apart.any(axis=1))


def _segments_meet(a0: Point, a1: Point, b0: Point, b1: Point) -> list[Point]:
    touching = [p for p in (a0, a1) if _off_segment(p, b0, b1) < MEET]
    touching += [p for p in (b0, b1) if _off_segment(p, a0, a1) < MEET]
    if touching:
        return touching
    dx, dy = a1[0] - a0[0], a1[1] - a0[1]
    ex, ey = b1[0] - b0[0], b1[1] - b0[1]
    cross = dx * ey - dy * ex
    if cross == 0:
        return []
    t = ((b0[0] - a0[0]) * ey - (b0[1] - a0[1]) * ex) / cross
    u = ((b0[0] - a0[0]) * dy - (b0[1] - a0[1]) * dx) / cross
    return [(a0[0] + t * dx, a0[1] + t * dy)] if 0 <= t <= 1 and 0 <= u <= 1 else []


def _off_segment(p: Point, a: Point, b: Point) -> float:
    dx, dy = b[0] - a[0], b[1] - a[1]
    square = dx * dx + dy * dy
    t = ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / square if square else 0.0
    t = min(1.0, max(0.0, t))
    return dist(p, (a[0] + t * dx, a[1] + t * dy))


def extent(points: Sequence[Point]) -> Box:
    """Least x, least y, greatest x, greatest y of some points."""
    xs, ys = [x for x, _ in points], [y for _, y in points]
    return min(xs), min(ys), max(xs), max(ys)


def lie_apart(first: Box, second: Box) -> bool:
    """Whether nothing in one box can meet anything in the other."""
    return (
        first[0] > second[2] + MEET
        or first[2] < second[0] - MEET
        or first[1] > second[3] + MEET
        or first[3] < second[1] - MEET
    )


def marks_along(path: Points) -> list[float]:
    """How far along the path each of its points lies."""
    marks = [0.0]
    for a, b in pairwise(path):
        marks.append(marks[-1] + dist(a, b))
    return marks


def point_at(path: Points, marks: Sequence[float], along: float) -> Point:
    """The point that lies so far along the path, whose `marks_along` are given."""
    low, high = 0, len(marks) - 2
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if marks[middle] <= along else (low, middle - 1)
    (x0, y0), (x1, y1) = path[low], path[low + 1]
    share = (along - marks[low]) / (marks[low + 1] - marks[low])
    return x0 + (x1 - x0) * share, y0 + (y1 - y0) * share
