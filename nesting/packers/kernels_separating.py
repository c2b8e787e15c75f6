"""Separating lines, compiled: the lines that one convex piece lies beyond where it is clear of another.

A piece u at d, seen from a piece v at (0, 0), is clear of it when n . d >= c for some row (n_x, n_y, c) of the pair:
the rows are the edges of the sum of v and the mirrored u, counter-clockwise, moved out by the gap between parts.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

WIDEST = 0.3491
"""Where two rows next to each other turn by more than this (20 degrees), a gap is rounded off by rows between."""

SAME = 1e-9
"""Angles closer than this are one."""


@njit(cache=True)
def _directions(first: Any, angles: Any, u: int, v: int, gap: float, found: Any) -> int:
    """The angles of the normals of a pair in order; returns how many."""
    n = 0
    for w, turn in ((v, 0.0), (u, np.pi)):
        for k in range(first[w], first[w + 1]):
            angle = (angles[k] + turn) % (2 * np.pi)
            at = n
            while at > 0 and found[at - 1] > angle:
                found[at] = found[at - 1]
                at -= 1
            found[at] = angle
            n += 1
    m = 0
    for k in range(n):
        if m == 0 or found[k] - found[m - 1] > SAME:
            found[m] = found[k]
            m += 1
    if m > 1 and found[0] + 2 * np.pi - found[m - 1] < SAME:
        m -= 1
    if gap <= 0:
        return m
    n = m
    for k in range(n):
        wide = found[k + 1] - found[k] if k + 1 < n else found[0] + 2 * np.pi - found[k]
        between = int(wide / WIDEST)
        for i in range(between):
            found[m] = (found[k] + wide * (i + 1) / (between + 1)) % (2 * np.pi)
            m += 1
    found[:m].sort()
    return m


@njit(cache=True)
def pair_rows(first: Any, points: Any, angles: Any, gap: float, table: Any, rows: Any) -> int:
    """Fills ``table`` (where the rows of each pair u <= v begin and end) and ``rows``, if it has room.

    Returns how many rows there are.
    """
    count = len(first) - 1
    found = np.empty(2 * len(points) + 64)
    total = 0
    for u in range(count):
        for v in range(u, count):
            n = _directions(first, angles, u, v, gap, found)
            table[u, v, 0] = total
            table[u, v, 1] = total + n
            if total + n <= len(rows):
                for k in range(n):
                    nx, ny = np.cos(found[k]), np.sin(found[k])
                    if abs(nx) < 1e-12:
                        nx, ny = 0.0, np.sign(ny)
                    if abs(ny) < 1e-12:
                        nx, ny = np.sign(nx), 0.0
                    far, near = -np.inf, np.inf
                    for i in range(first[v], first[v + 1]):
                        far = max(far, nx * points[i, 0] + ny * points[i, 1])
                    for i in range(first[u], first[u + 1]):
                        near = min(near, nx * points[i, 0] + ny * points[i, 1])
                    rows[total + k, 0], rows[total + k, 1] = nx, ny
                    rows[total + k, 2] = far - near + gap
            total += n
    return total


@njit(cache=True)
def nearby_rows(given: Any, places: Any, reach: float, pairs: Any, lines: Any) -> int:
    """For all pieces of two parts within ``reach``: the line that parts them best, n . (place i - place j) >= c.

    Fills ``pairs`` (i, j) and ``lines`` (n_x, n_y, c) as far as there is room; returns how many there are.
    """
    sizes, first, forms, boxes, table, rows, _, _, gap, _, _ = given
    shape, xs, ys, _, _ = places
    found = 0
    far = reach + gap
    for i in range(len(shape)):
        for j in range(i):
            s, t = shape[i], shape[j]
            if (
                xs[i] + sizes[s, 0] + far <= xs[j]
                or xs[j] + sizes[t, 0] + far <= xs[i]
                or ys[i] + sizes[s, 1] + far <= ys[j]
                or ys[j] + sizes[t, 1] + far <= ys[i]
            ):
                continue
            for p in range(first[s], first[s + 1]):
                for q in range(first[t], first[t + 1]):
                    ox, oy = boxes[p, 0] - boxes[q, 0], boxes[p, 1] - boxes[q, 1]
                    dx, dy = xs[i] - xs[j] + ox, ys[i] - ys[j] + oy
                    u, v, sign = forms[p], forms[q], 1.0
                    if u > v:
                        u, v, sign = v, u, -1.0
                    most, at = -np.inf, -1
                    for k in range(table[u, v, 0], table[u, v, 1]):
                        beyond = sign * (rows[k, 0] * dx + rows[k, 1] * dy) - rows[k, 2]
                        if beyond > most:
                            most, at = beyond, k
                    if most > reach:
                        continue
                    if found < len(pairs):
                        pairs[found, 0], pairs[found, 1] = i, j
                        lines[found, 0], lines[found, 1] = sign * rows[at, 0], sign * rows[at, 1]
                        lines[found, 2] = rows[at, 2] - lines[found, 0] * ox - lines[found, 1] * oy
                    found += 1
    return found
