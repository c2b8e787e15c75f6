"""Shapes on a given number of sheets, compiled: sheets are thinned out and filled again until all parts lie there.

``given`` never changes: (sizes of the sheets, first and last pose of each part, weight of each part).  ``run`` does:
(random number, weights that wait: now and at best, how often each part waited, order, rounds made).  The load is that
of nesting.shaping.kernels_places.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from nesting.shaping.kernels_places import (
    COUNT,
    MEMBERS,
    NO_PLACE,
    PLACE,
    SHEET,
    TOUCHING,
    best_place,
    put,
    take,
)
from nesting.sizing.kernels_chance import share

NOW, BEST = 0, 1

BLINK = 0.02
"""How often a place is passed over."""

URGENT = 0.002
"""Share of its weight by which a part grows heavier in each round that it waits."""

LARGE, LONG, MIXED = range(3)
"""Orders for putting parts back: by weight, by their longer side, by chance."""


@njit(cache=True)
def copy_load(a: Any, b: Any) -> None:
    """Copies load a over load b."""
    b[0][:], b[1][:], b[2][:], b[3][:], b[4][:] = a[0], a[1], a[2], a[3], a[4]


@njit(cache=True)
def _sorted_waiting(shapes: Any, given: Any, load: Any, run: Any, order: int, blink: float) -> int:
    """Puts the parts that wait into an order, somewhat at random where places are passed over; says how many."""
    queue, keys = run[3], run[4]
    n = 0
    for part in range(load[SHEET].shape[0]):
        if load[SHEET][part] >= 0:
            continue
        q = given[1][part, 0]
        key = given[2][part]
        if order == LONG:
            key = max(shapes[3][q, 0], shapes[3][q, 1])
        if blink > 0.0:
            key = share(run[0]) if order == MIXED else key * (0.7 + 0.6 * share(run[0]))
        at = n
        while at > 0 and keys[at - 1] < key:
            queue[at], keys[at] = queue[at - 1], keys[at - 1]
            at -= 1
        queue[at], keys[at] = part, key
        n += 1
    return n


@njit(cache=True)
def _thin_out(given: Any, load: Any, run: Any, s: int) -> None:
    """Takes some parts off a sheet: what lies near a point, what lies beyond a line, or a few by chance."""
    rng = run[0]
    n = load[COUNT][s]
    if n == 0:
        return
    gone = np.empty(n, np.int64)
    keys = np.empty(n)
    way = share(rng)
    most = 1 + int(share(rng) ** 2 * n)
    x, y = share(rng) * given[0][s, 0], share(rng) * given[0][s, 1]
    slope = share(rng) * 6.283185307179586
    for i in range(n):
        part = load[MEMBERS][s, i]
        px, py = load[PLACE][part, 0], load[PLACE][part, 1]
        key = share(rng)
        if way < 0.5:
            key = (px - x) ** 2 + (py - y) ** 2
        elif way < 0.8:
            key = px * np.cos(slope) + py * np.sin(slope)
        at = i
        while at > 0 and keys[at - 1] > key:
            gone[at], keys[at] = gone[at - 1], keys[at - 1]
            at -= 1
        gone[at], keys[at] = part, key
    for i in range(min(n, most)):
        take(load, gone[i])


@njit(cache=True)
def fill(
    shapes: Any,
    tables: Any,
    given: Any,
    load: Any,
    run: Any,
    open_sheets: Any,
    order: int,
    rule: int,
    blink: float,
) -> Any:
    """Puts waiting parts on the open sheets, each where its place is best; the tables, and the weight that waits."""
    rng, weights = run[0], run[2]
    n = _sorted_waiting(shapes, given, load, run, order, blink)
    left = 0.0
    for i in range(n):
        part = run[3][i]
        best, best_s, best_q, best_x, best_y = NO_PLACE, -1, -1, 0.0, 0.0
        for k in range(open_sheets.shape[0]):
            s = open_sheets[k]
            tables, score, q, x, y = best_place(
                shapes, tables, load, s, given[0][s], given[1][part], rule, blink, rng
            )
            if score < best:
                best, best_s, best_q, best_x, best_y = score, s, q, x, y
        if best_s >= 0:
            put(load, best_s, part, best_q, best_x, best_y)
        else:
            left += weights[part]
    return tables, left


@njit(cache=True)
def _waiting(load: Any, weights: Any) -> float:
    """Weight of the parts that lie on no sheet."""
    total = 0.0
    for part in range(load[SHEET].shape[0]):
        if load[SHEET][part] < 0:
            total += weights[part]
    return total


@njit(cache=True)
def rounds(
    shapes: Any, tables: Any, given: Any, load: Any, spare: Any, best: Any, run: Any, count: int, slack: float
) -> Any:
    """Makes some rounds of thinning out and filling; the tables.  ``best`` is the best load so far.

    It ends early where nothing waits.
    """
    rng, money, weights = run[0], run[1], run[2]
    sheets = load[COUNT].shape[0]
    two = np.empty(2, np.int64)
    for _ in range(count):
        if money[BEST] <= 0.0:
            break
        copy_load(load, spare)
        s = int(share(rng) * sheets)
        two[0] = s
        _thin_out(given, load, run, s)
        opened = 1
        if sheets > 1 and share(rng) < 0.7:
            two[1] = (s + 1 + int(share(rng) * (sheets - 1))) % sheets
            _thin_out(given, load, run, two[1])
            opened = 2
        draw = share(rng)
        order = LARGE if draw < 0.5 else (LONG if draw < 0.7 else MIXED)
        tables, left = fill(shapes, tables, given, load, run, two[:opened], order, TOUCHING, BLINK)
        if left <= money[NOW] * (1.0 + slack * share(rng)):
            area = _waiting(load, given[2])
            if area < money[BEST]:
                money[BEST] = area
                copy_load(load, best)
        else:
            copy_load(spare, load)
        for part in range(load[SHEET].shape[0]):
            if load[SHEET][part] < 0:
                # what waits again and again grows more urgent
                weights[part] += URGENT * given[2][part]
        money[NOW] = _waiting(load, weights)
    return tables
