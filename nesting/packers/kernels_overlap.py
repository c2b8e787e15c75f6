"""Guided local search over overlap, compiled: parts on a strip of given size move until none lies on another.

Given, a tuple: (width and height of each shape; first piece of each shape; form of each piece; left, low, right, top
edge of each piece seen from the corner of the shape's box; where the rows of each pair of forms begin and end; the
rows, see kernels_separating; first shape of each kind of part, whose shapes follow one another; kind of each
part; gap; how much overlap with each shape counts; form of each shape's hull).
Places, a tuple: (shape of each part; x; y of the lower left corner of its box; x; y of the upper right one).
Costs, a tuple: (weight of each pair of parts; depth of overlap of each pair), both symmetric.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from nesting.sizing.kernels_chance import chance, share

KEPT = 3
"""Candidates that are refined for each part."""

GROWN, SHRUNK = 1.1, 0.5
"""Steps of refining after a better and after a worse place."""

DECAY = 0.95
LEAST_RISE, MOST_RISE = 1.2, 2.0
"""Weights of a round: clear pairs lose, pairs on one another gain by their share of the deepest overlap."""

BETTER = 0.98
"""Less overlap than this share of the least so far counts as news."""

ROUNDS, IDLE = range(2)
"""Columns of the numbers: rounds made, rounds since the last news."""


@njit(cache=True)
def form_depth(table: Any, rows: Any, u: int, v: int, dx: float, dy: float) -> float:
    """How far form u at (dx, dy), seen from form v, has to move to be clear of it; 0 where it is."""
    if u > v:
        u, v, dx, dy = v, u, -dx, -dy
    least = np.inf
    for k in range(table[u, v, 0], table[u, v, 1]):
        inside = rows[k, 2] - rows[k, 0] * dx - rows[k, 1] * dy
        if inside < least:
            least = inside
            if inside <= 0.0:
                return 0.0
    return float(least)


@njit(cache=True)
def pair_depth(given: Any, s: int, x: float, y: float, t: int, a: float, b: float) -> float:
    """How deep shape s at (x, y) lies in shape t at (a, b): the sum over their pieces, 0 where they are clear."""
    sizes, first, forms, boxes, table, rows, _, _, gap, rate, hulls = given
    if (
        x + sizes[s, 0] + gap <= a
        or a + sizes[t, 0] + gap <= x
        or y + sizes[s, 1] + gap <= b
        or b + sizes[t, 1] + gap <= y
    ):
        return 0.0
    whole = form_depth(table, rows, hulls[s], hulls[t], x - a, y - b)
    if whole == 0.0 or (first[s + 1] - first[s] == 1 and first[t + 1] - first[t] == 1):
        return float(whole * rate[s] * rate[t])
    total = 0.0
    left, low = a - x - gap, b - y - gap
    right, top = a + sizes[t, 0] - x + gap, b + sizes[t, 1] - y + gap
    for p in range(first[s], first[s + 1]):
        if boxes[p, 0] >= right or boxes[p, 2] <= left or boxes[p, 1] >= top or boxes[p, 3] <= low:
            continue
        x0, y0, x1, y1 = boxes[p, 0] + x, boxes[p, 1] + y, boxes[p, 2] + x + gap, boxes[p, 3] + y + gap
        for q in range(first[t], first[t + 1]):
            a0, b0 = a + boxes[q, 0], b + boxes[q, 1]
            a1, b1 = a + boxes[q, 2] + gap, b + boxes[q, 3] + gap
            if (x1 > a0) & (a1 > x0) & (y1 > b0) & (b1 > y0):
                total += form_depth(table, rows, forms[p], forms[q], x0 - a0, y0 - b0)
    return float(total * rate[s] * rate[t])


@njit(cache=True)
def weighed(given: Any, places: Any, costs: Any, i: int, s: int, x: float, y: float, most: float) -> float:
    """Weighted overlap of part i as shape s at (x, y) with all others, or something beyond ``most``."""
    shape, xs, ys, right, top = places
    sizes, gap = given[0], given[8]
    weights = costs[0][i]
    x0, y0, x1, y1 = x - gap, y - gap, x + sizes[s, 0] + gap, y + sizes[s, 1] + gap
    total = 0.0
    for j in range(len(shape)):
        # one branch, hardly ever taken, is the quickest
        if (x1 > xs[j]) & (right[j] > x0) & (y1 > ys[j]) & (top[j] > y0) & (j != i):
            total += weights[j] * pair_depth(given, s, x, y, shape[j], xs[j], ys[j])
            if total > most:
                break
    return total


@njit(cache=True)
def refined(
    given: Any,
    strip: Any,
    places: Any,
    costs: Any,
    rng: Any,
    i: int,
    spot: Any,
    s: int,
    step: float,
    fine: float,
) -> None:
    """Moves a spot (overlap, x, y) of part i downhill along axes and diagonals, until steps are fine."""
    sizes = given[0]
    far_x, far_y = strip[0] - sizes[s, 0], strip[1] - sizes[s, 1]
    while step > fine and spot[0] > 0.0:
        axis = chance(rng, 4)
        better = False
        for sign in (-1.0, 1.0):
            x, y = spot[1], spot[2]
            if axis != 1:
                x += sign * step
            if axis == 1 or axis == 2:
                y += sign * step
            elif axis == 3:
                y -= sign * step
            x, y = min(max(x, 0.0), far_x), min(max(y, 0.0), far_y)
            value = weighed(given, places, costs, i, s, x, y, spot[0])
            if value < spot[0]:
                spot[0], spot[1], spot[2] = value, x, y
                better = True
                break
        step *= GROWN if better else SHRUNK if axis > 0 else 0.7


@njit(cache=True)
def _touching(given: Any, places: Any, rng: Any, i: int, s: int, spot: Any) -> None:
    """A spot where a corner of shape s and a corner of another part touch."""
    _, first, forms, boxes, table, rows, _, _, _, _, _ = given
    shape, xs, ys, _, _ = places
    j = chance(rng, len(shape) - 1)
    if j >= i:
        j += 1
    t = shape[j]
    p = first[s] + chance(rng, first[s + 1] - first[s])
    q = first[t] + chance(rng, first[t + 1] - first[t])
    u, v = forms[p], forms[q]
    sign = 1.0
    if u > v:
        u, v, sign = v, u, -1.0
    k, end = table[u, v, 0], table[u, v, 1]
    k += chance(rng, end - k)
    n = k + 1 if k + 1 < end else table[u, v, 0]
    bend = rows[k, 0] * rows[n, 1] - rows[k, 1] * rows[n, 0]
    dx = (rows[k, 2] * rows[n, 1] - rows[n, 2] * rows[k, 1]) / bend
    dy = (rows[k, 0] * rows[n, 2] - rows[n, 0] * rows[k, 2]) / bend
    spot[1] = xs[j] + boxes[q, 0] + sign * dx - boxes[p, 0]
    spot[2] = ys[j] + boxes[q, 1] + sign * dy - boxes[p, 1]


@njit(cache=True)
def _keep(spots: Any, kinds: Any, value: float, x: float, y: float, s: int) -> None:
    """Puts a candidate among the best few, in order."""
    at = KEPT - 1
    while at > 0 and spots[at - 1, 0] > value:
        spots[at], kinds[at] = spots[at - 1], kinds[at - 1]
        at -= 1
    spots[at, 0], spots[at, 1], spots[at, 2], kinds[at] = value, x, y, s


@njit(cache=True)
def _moved(
    given: Any, strip: Any, places: Any, costs: Any, rng: Any, i: int, effort: Any, spots: Any, kinds: Any
) -> None:
    """Puts part i where the weighted overlap is least, of many places tried."""
    shape, xs, ys, right, top = places
    sizes, start, kind = given[0], given[6], given[7]
    spots[:, 0] = np.inf
    now = weighed(given, places, costs, i, shape[i], xs[i], ys[i], np.inf)
    _keep(spots, kinds, now, xs[i], ys[i], shape[i])
    spot = np.zeros(3)
    k = kind[i]
    for way in range(3):
        for _ in range(effort[way]):
            s = start[k] + chance(rng, start[k + 1] - start[k])
            far_x, far_y = strip[0] - sizes[s, 0], strip[1] - sizes[s, 1]
            if far_x < 0 or far_y < 0:
                continue
            if way == 0:
                spot[1], spot[2] = share(rng) * far_x, share(rng) * far_y
            elif way == 1:
                spot[1] = xs[i] + (share(rng) - 0.5) * sizes[s, 0]
                spot[2] = ys[i] + (share(rng) - 0.5) * sizes[s, 1]
            elif len(shape) > 1:
                _touching(given, places, rng, i, s, spot)
            x, y = min(max(spot[1], 0.0), far_x), min(max(spot[2], 0.0), far_y)
            value = weighed(given, places, costs, i, s, x, y, spots[KEPT - 1, 0])
            if value < spots[KEPT - 1, 0]:
                _keep(spots, kinds, value, x, y, s)
    best = 0
    for c in range(KEPT + 1):
        # all are refined coarsely, the best of them finely
        at = c if c < KEPT else best
        if spots[at, 0] < np.inf:
            small = min(sizes[kinds[at], 0], sizes[kinds[at], 1])
            coarse, fine = (0.1 * small, 0.01 * small) if c < KEPT else (0.01 * small, strip[2])
            refined(given, strip, places, costs, rng, i, spots[at], kinds[at], coarse, fine)
            if spots[at, 0] < spots[best, 0]:
                best = at
    if spots[best, 0] < now:
        shape[i], xs[i], ys[i] = kinds[best], spots[best, 1], spots[best, 2]
        right[i], top[i] = xs[i] + sizes[shape[i], 0], ys[i] + sizes[shape[i], 1]


@njit(cache=True)
def measured(given: Any, places: Any, depths: Any, i: int) -> None:
    """Brings the depths of overlap of part i up to date."""
    shape, xs, ys, _, _ = places
    for j in range(len(shape)):
        if j != i:
            depths[i, j] = pair_depth(given, shape[i], xs[i], ys[i], shape[j], xs[j], ys[j])
            depths[j, i] = depths[i, j]


@njit(cache=True)
def _weighted_anew(costs: Any) -> None:
    weights, depths = costs
    deepest = depths.max()
    n = len(weights)
    for i in range(n):
        for j in range(n):
            if depths[i, j] > 0.0:
                weights[i, j] *= LEAST_RISE + (MOST_RISE - LEAST_RISE) * depths[i, j] / deepest
            else:
                weights[i, j] = max(1.0, weights[i, j] * DECAY)


@njit(cache=True, nogil=True)
def separated(
    given: Any,
    strip: Any,
    places: Any,
    costs: Any,
    rng: Any,
    effort: Any,
    best: Any,
    least: float,
    rounds: int,
    numbers: Any,
) -> float:
    """Rounds of moving every part that lies on another; returns the least overlap, whose places are in ``best``.

    Ends when there is none, or after ``rounds``; strip: (length, width, finest step).
    """
    shape, xs, ys, _, _ = places
    depths = costs[1]
    n = len(shape)
    order = np.arange(n)
    spots, kinds = np.empty((KEPT, 3)), np.zeros(KEPT, np.int64)
    for _ in range(rounds):
        total = depths.sum()
        if total < least * BETTER or total == 0.0:
            numbers[IDLE] = 0
        if total < least:
            least = total
            best[0][:], best[1][:], best[2][:] = shape, xs, ys
        if total == 0.0:
            break
        numbers[ROUNDS] += 1
        numbers[IDLE] += 1
        for k in range(n - 1, 0, -1):
            other = chance(rng, k + 1)
            order[k], order[other] = order[other], order[k]
        for k in range(n):
            i = int(order[k])
            if depths[i].sum() > 0.0:
                _moved(given, strip, places, costs, rng, i, effort, spots, kinds)
                measured(given, places, depths, i)
        _weighted_anew(costs)
    return least


@njit(cache=True)
def deepest(given: Any, places: Any) -> float:
    """The deepest overlap of two parts, 0 where all are clear."""
    shape, xs, ys, _, _ = places
    most = 0.0
    for i in range(len(shape)):
        for j in range(i):
            most = max(most, pair_depth(given, shape[i], xs[i], ys[i], shape[j], xs[j], ys[j]))
    return most
