"""Free corners of a sheet, each with the parts that fit into it, compiled.

A gap is a free corner of less than 180 degrees as (x, y, start, width, which end a part lies along): each free corner
is there twice, with the parts that lie along its first side, and with those along its last side.

``corners`` has a row for each corner of each pose: (direction of the side that leaves it, angle of metal, kind of part,
pose, x, y).  ``orders`` tells their order by the direction of either side: (order by the side that leaves, order by the
side that arrives as seen from the corner, the directions in the first order, those in the second).  ``sides`` tells of
the sides of the poses in the order of the shapes: (direction, angle of metal where it starts).  ``left`` counts the
parts of each kind; equal parts are one kind.  The load has one sheet, and counts its parts as they were laid.

At each depth of the search ``held`` gaps lie in ``gaps``; ``lists`` tells where the rows of their corners are in the
``pools``.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from nesting.shaping.kernels_angles import HAIR, TURN, free_angles
from nesting.shaping.kernels_nofit import EPS, overlaps, with_pair
from nesting.shaping.kernels_places import COUNT, apart

DIRECTION, ANGLE, KIND, OF, X, Y = range(6)
"""Columns of the corners."""

MOST = 400
"""Parts that are looked at for one gap; more fit only where all is still open."""

FEW = 8
"""The same where the lists of all gaps grow too long; gaps with no more than this are looked at first."""

MANY = 1 << 30
"""More parts than there are."""

GAPS, POOL = 256, 16_384
"""Most gaps at a time, and most entries in their lists."""


@njit(cache=True)
def _first_with(order: Any, direction: float) -> int:
    """The first of the directions that is this one or later."""
    low, high = 0, order.shape[0]
    while low < high:
        middle = (low + high) // 2
        if order[middle] < direction - HAIR:
            low = middle + 1
        else:
            high = middle
    return low


@njit(cache=True)
def _fits_angle(row: Any, left: Any, free: float, sharpest: float) -> bool:
    """Whether a corner of a part that is left fits into a free angle, and what it leaves can be filled."""
    rest = free - row[ANGLE]
    return bool(left[int(row[KIND])] > 0 and rest > -HAIR and (rest < HAIR or rest > sharpest - HAIR))


@njit(cache=True)
def _list_fresh(
    shapes: Any,
    tables: Any,
    corners: Any,
    orders: Any,
    left: Any,
    load: Any,
    size: Any,
    gap: Any,
    sharpest: float,
    pool: Any,
    at: int,
) -> Any:
    """The tables, and the end of the list of corners that fit into a gap; it begins ``at``."""
    at_end, wanted = gap[4] > 0, _wanted(gap)
    order, directions = (orders[1], orders[3]) if at_end else (orders[0], orders[2])
    most = at + (MOST if at + 4 * MOST < pool.shape[0] else FEW)
    i = _first_with(directions, wanted)
    while i < order.shape[0] and directions[i] < wanted + HAIR and at < most:
        row = corners[order[i]]
        i += 1
        if not _fits_angle(row, left, gap[3], sharpest):
            continue
        q, x, y = int(row[OF]), gap[0] - row[X], gap[1] - row[Y]
        if x < -EPS or y < -EPS or x + shapes[3][q, 0] > size[0] + EPS or y + shapes[3][q, 1] > size[1] + EPS:
            continue
        clear = True
        for m in range(load[COUNT][0] - 1, -1, -1):
            if apart(shapes, load, m, q, x, y):
                continue
            p = load[2][m]
            if tables[0][p, q] < 0:
                tables = with_pair(shapes, tables, p, q)
            if overlaps(tables, tables[0][p, q], x - load[3][m, 0], y - load[3][m, 1]):
                clear = False
                break
        if clear:
            pool[at] = order[i - 1]
            at += 1
    return tables, at


@njit(cache=True)
def _list_kept(
    shapes: Any,
    tables: Any,
    corners: Any,
    left: Any,
    load: Any,
    gap: Any,
    sharpest: float,
    old: Any,
    first: int,
    last: int,
    pool: Any,
    at: int,
) -> Any:
    """The same for a gap that the newest part does not touch, from the list that it had before."""
    newest = load[COUNT][0] - 1
    p, px, py = load[2][newest], load[3][newest, 0], load[3][newest, 1]
    for i in range(first, last):
        row = corners[old[i]]
        if at == pool.shape[0] or not _fits_angle(row, left, gap[3], sharpest):
            continue
        q, x, y = int(row[OF]), gap[0] - row[X], gap[1] - row[Y]
        if not apart(shapes, load, newest, q, x, y):
            if tables[0][p, q] < 0:
                tables = with_pair(shapes, tables, p, q)
            if overlaps(tables, tables[0][p, q], x - px, y - py):
                continue
        pool[at] = old[i]
        at += 1
    return tables, at


@njit(cache=True)
def _sharpest(corners: Any, left: Any) -> float:
    """The least angle of all corners of the parts left."""
    least = TURN
    for i in range(corners.shape[0]):
        if left[int(corners[i, KIND])] > 0:
            least = min(least, corners[i, ANGLE])
    return least


@njit(cache=True)
def _meets(shapes: Any, q: int, x: float, y: float) -> bool:
    """Whether a point lies on the outline of pose q."""
    if x < -EPS or y < -EPS or x > shapes[3][q, 0] + EPS or y > shapes[3][q, 1] + EPS:
        return False
    for e in range(shapes[4][q], shapes[4][q + 1]):
        ax, ay, bx, by = shapes[5][e, 0], shapes[5][e, 1], shapes[5][e, 2], shapes[5][e, 3]
        if x < min(ax, bx) - EPS or x > max(ax, bx) + EPS or y < min(ay, by) - EPS or y > max(ay, by) + EPS:
            continue
        dx, dy = bx - ax, by - ay
        if abs((x - ax) * dy - (y - ay) * dx) <= EPS * (dx * dx + dy * dy) ** 0.5:
            return True
    return False


@njit(cache=True)
def _wanted(gap: Any) -> float:
    """The direction of the side of a gap along which parts lie."""
    wanted = (gap[2] + gap[3] if gap[4] > 0 else gap[2]) % TURN
    return 0.0 if wanted > TURN - HAIR else wanted


@njit(cache=True)
def _fresh_gaps(
    shapes: Any,
    orders: Any,
    sides: Any,
    load: Any,
    size: Any,
    points: Any,
    old_count: int,
    count: int,
    fresh: Any,
    few: Any,
) -> int:
    """Gaps at new points and at those that the newest part meets, those first that few corners could fit into."""
    newest = load[COUNT][0] - 1
    q, px, py = load[2][newest], load[3][newest, 0], load[3][newest, 1]
    found, n = np.empty((64, 2)), 0
    gap = np.empty(5)
    for i in range(count):
        x, y = points[i, 0], points[i, 1]
        if i < old_count and not _meets(shapes, q, x - px, y - py):
            continue
        for g in range(free_angles(shapes, sides, load, size[0], size[1], x, y, found)):
            if found[g, 1] > np.pi - HAIR:
                continue
            for at_end in range(2):
                if n == GAPS:
                    break
                gap[0], gap[1], gap[2], gap[3], gap[4] = x, y, found[g, 0], found[g, 1], at_end
                wanted, directions = _wanted(gap), orders[3] if at_end else orders[2]
                fitting = _first_with(directions, wanted + 2 * HAIR) - _first_with(directions, wanted)
                at = n
                while at > 0 and few[at - 1] > fitting:
                    fresh[at], few[at] = fresh[at - 1], few[at - 1]
                    at -= 1
                fresh[at], few[at] = gap, fitting
                n += 1
    return n


@njit(cache=True)
def _with_fresh(
    shapes: Any,
    tables: Any,
    corners: Any,
    orders: Any,
    left: Any,
    load: Any,
    size: Any,
    fresh: Any,
    few: Any,
    ends: Any,
    sharpest: float,
    gaps: Any,
    lists: Any,
    pools: Any,
    depth: int,
    at: int,
    n: int,
) -> Any:
    """With the new gaps that at most so many parts fit into: the tables, ends of the lists, of the gaps and of the new.

    ``ends``: where the new gaps go on, where they end, and how many parts may fit.  The number of gaps is -1 where
    nothing fits into one of them.
    """
    done, more, most = ends
    while done < more and n < GAPS and few[done] <= most:
        gaps[depth, n] = fresh[done]
        lists[depth, n, 0] = at
        tables, at = _list_fresh(
            shapes, tables, corners, orders, left, load, size, fresh[done], sharpest, pools[depth], at
        )
        lists[depth, n, 1] = at
        if at == lists[depth, n, 0]:
            return tables, at, -1, done
        n += 1
        done += 1
    return tables, at, n, done


@njit(cache=True)
def list_gaps(
    shapes: Any,
    tables: Any,
    corners: Any,
    orders: Any,
    sides: Any,
    left: Any,
    load: Any,
    size: Any,
    points: Any,
    old_count: int,
    count: int,
    gaps: Any,
    lists: Any,
    pools: Any,
    held: Any,
    depth: int,
) -> Any:
    """The tables, and whether every gap of this depth can still be filled: its gaps, each with its list.

    Each free corner is there twice: with the parts that lie along its first side, and with those along its last side.
    Gaps that the newest part does not meet, the one of the depth before, keep what is left of their lists.
    """
    sharpest = _sharpest(corners, left)
    newest = load[COUNT][0] - 1
    q, px, py = load[2][newest], load[3][newest, 0], load[3][newest, 1]
    fresh, few = np.empty((GAPS, 5)), np.empty(GAPS, np.int64)
    more = _fresh_gaps(shapes, orders, sides, load, size, points, old_count, count, fresh, few)
    n, at, done = 0, 0, 0
    tables, at, n, done = _with_fresh(
        shapes,
        tables,
        corners,
        orders,
        left,
        load,
        size,
        fresh,
        few,
        (done, more, FEW),
        sharpest,
        gaps,
        lists,
        pools,
        depth,
        at,
        n,
    )
    if n < 0:
        return tables, False
    for g in range(held[depth - 1]):
        if _meets(shapes, q, gaps[depth - 1, g, 0] - px, gaps[depth - 1, g, 1] - py) or n == GAPS:
            continue
        gaps[depth, n] = gaps[depth - 1, g]
        lists[depth, n, 0] = at
        tables, at = _list_kept(
            shapes,
            tables,
            corners,
            left,
            load,
            gaps[depth, n],
            sharpest,
            pools[depth - 1],
            lists[depth - 1, g, 0],
            lists[depth - 1, g, 1],
            pools[depth],
            at,
        )
        lists[depth, n, 1] = at
        if at == lists[depth, n, 0]:
            return tables, False
        n += 1
    tables, at, n, done = _with_fresh(
        shapes,
        tables,
        corners,
        orders,
        left,
        load,
        size,
        fresh,
        few,
        (done, more, MANY),
        sharpest,
        gaps,
        lists,
        pools,
        depth,
        at,
        n,
    )
    if n < 0:
        return tables, False
    held[depth] = n
    return tables, n > 0
