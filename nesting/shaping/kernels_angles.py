"""Free angles around a point of a sheet, compiled."""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from nesting.shaping.kernels_nofit import EPS
from nesting.shaping.kernels_places import COUNT

TURN = 2 * np.pi
HAIR = 1e-7
"""Angles that differ by less count as equal."""

MOST_AROUND = 64
"""More corners never meet in one point."""


@njit(cache=True)
def _add(covered: Any, n: int, start: float, width: float) -> int:
    """Adds an angle to those that are covered, in order of their start."""
    start %= TURN
    if start > TURN - HAIR:
        start = 0.0
    at = n
    while at > 0 and covered[at - 1, 0] > start:
        covered[at, 0], covered[at, 1] = covered[at - 1, 0], covered[at - 1, 1]
        at -= 1
    covered[at, 0], covered[at, 1] = start, start + width
    return n + 1


@njit(cache=True)
def free_angles(
    shapes: Any, sides: Any, load: Any, length: float, width: float, x: float, y: float, gaps: Any
) -> int:
    """Free angles around a point as (start, width), in ``gaps``; says how many."""
    covered = np.empty((MOST_AROUND, 2))
    n = 0
    if abs(x) < EPS:
        n = _add(covered, n, np.pi / 2, np.pi)
    if abs(x - length) < EPS:
        n = _add(covered, n, -np.pi / 2, np.pi)
    if abs(y) < EPS:
        n = _add(covered, n, np.pi, np.pi)
    if abs(y - width) < EPS:
        n = _add(covered, n, 0.0, np.pi)
    starts, edges = shapes[4], shapes[5]
    for i in range(load[COUNT][0]):
        part = load[1][0, i]
        q, px, py = load[2][part], x - load[3][part, 0], y - load[3][part, 1]
        if px < -EPS or py < -EPS or px > shapes[3][q, 0] + EPS or py > shapes[3][q, 1] + EPS:
            continue
        for e in range(starts[q], starts[q + 1]):
            ax, ay, bx, by = edges[e, 0], edges[e, 1], edges[e, 2], edges[e, 3]
            if abs(px - ax) < EPS and abs(py - ay) < EPS:
                if n < MOST_AROUND - 4:
                    n = _add(covered, n, sides[e, 0], sides[e, 1])
                continue
            if abs(px - bx) < EPS and abs(py - by) < EPS:
                continue
            dx, dy = bx - ax, by - ay
            size = (dx * dx + dy * dy) ** 0.5
            along = ((px - ax) * dx + (py - ay) * dy) / size
            if along < 0 or along > size or abs((px - ax) * dy - (py - ay) * dx) > EPS * size:
                continue
            if n < MOST_AROUND - 4:
                n = _add(covered, n, sides[e, 0], np.pi)
    if n == 0:
        return 0
    # what runs on past a full turn covers the beginning
    reach = 0.0
    for i in range(n):
        reach = max(reach, covered[i, 1] - TURN)
    held = 0
    for i in range(n):
        if covered[i, 0] > reach + HAIR:
            gaps[held, 0], gaps[held, 1] = reach, covered[i, 0] - reach
            held += 1
        reach = max(reach, covered[i, 1])
    if reach < TURN - HAIR:
        # the last gap and the first are one where nothing covers the direction 0
        if held > 0 and gaps[0, 0] <= HAIR and covered[0, 0] > HAIR:
            gaps[0, 1] += TURN - reach
            gaps[0, 0] = reach
        else:
            gaps[held, 0], gaps[held, 1] = reach, TURN - reach
            held += 1
    return held
