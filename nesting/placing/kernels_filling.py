"""Quick placing of rectangles on one sheet, compiled: rules tried in turn, edge to edge or freely.

Plain arrays in and out; everything that has a name outside lives in fitting.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

FREE_MOST = 400
"""Most free rectangles kept while placing; beyond it a try is given up."""


@njit(cache=True)
def place_parts(
    length: int, width: int, along: Any, across: Any, turnable: Any, orders: Any, tries: int, guillotine: bool
) -> Any:
    """Places for all parts on one sheet, or nothing found: tries each of ``orders`` by each rule, then shuffles.

    Returns (found, x, y, turned) by part.  With ``guillotine`` every layout can be cut edge to edge.
    """
    n = along.shape[0]
    x = np.zeros(n, np.int64)
    y = np.zeros(n, np.int64)
    turned = np.zeros(n, np.bool_)
    free = np.zeros((FREE_MOST, 4), np.int64)
    order = np.zeros(n, np.int64)
    best_order = np.zeros(n, np.int64)
    rules = 8 if guillotine else 4
    best_rule = 0
    best_area = -1.0
    seed = 12345
    for t in range(tries):
        if t < orders.shape[0] * rules:
            rule = t % rules
            for k in range(n):
                order[k] = orders[t // rules, k]
        else:
            rule = best_rule
            for k in range(n):
                order[k] = best_order[k]
            for _ in range(1 + t % 4):
                seed = (seed * 1103515245 + 12345) % 2147483648
                a = (seed >> 8) % n
                seed = (seed * 1103515245 + 12345) % 2147483648
                b = (seed >> 8) % n
                order[a], order[b] = order[b], order[a]
            if t % 5 == 0:
                rule = (seed >> 12) % rules
        free[0, 0], free[0, 1], free[0, 2], free[0, 3] = 0, 0, length, width
        area = _place(free, along, across, turnable, order, rule, guillotine, x, y, turned)
        if area < 0:
            return True, x, y, turned
        if area > best_area or (area == best_area and t % 3 == 0):
            best_area = area
            best_rule = rule
            for k in range(n):
                best_order[k] = order[k]
    return False, x, y, turned


@njit(cache=True)
def _score(rule: int, fx: int, fy: int, fl: int, fw: int, a: int, b: int) -> tuple[float, float]:
    """Smaller is better: how well a part of a x b suits the free rectangle."""
    if rule == 0:
        return float(min(fl - a, fw - b)), float(max(fl - a, fw - b))
    if rule == 1:
        return float(fx + a), float(fy)
    if rule == 2:
        return float(fy + b), float(fx)
    return float(max(fl - a, fw - b)), float(min(fl - a, fw - b))


@njit(cache=True)
def _place(
    free: Any,
    along: Any,
    across: Any,
    turnable: Any,
    order: Any,
    rule: int,
    guillotine: bool,
    x: Any,
    y: Any,
    turned: Any,
) -> Any:
    """Area placed before the first part that finds no room, -1 when all are placed; ``free[0]`` is the sheet."""
    count = 1
    area = 0.0
    for k in order:
        best = -1
        best_turn = False
        s0 = 1e18
        s1 = 1e18
        for f in range(count):
            for turn in range(2):
                if turn == 1 and not turnable[k]:
                    continue
                a = across[k] if turn else along[k]
                b = along[k] if turn else across[k]
                if a > free[f, 2] or b > free[f, 3]:
                    continue
                p, q = _score(rule % 4, free[f, 0], free[f, 1], free[f, 2], free[f, 3], a, b)
                if p < s0 or (p == s0 and q < s1):
                    s0, s1, best, best_turn = p, q, f, turn == 1
        if best < 0:
            return area
        a = across[k] if best_turn else along[k]
        b = along[k] if best_turn else across[k]
        x[k], y[k], turned[k] = free[best, 0], free[best, 1], best_turn
        area += float(a) * b
        count = (
            _split_off(free, count, best, a, b, rule)
            if guillotine
            else _take_out(free, count, x[k], y[k], a, b)
        )
        if count < 0:
            return area
    return -1.0


@njit(cache=True)
def _set(free: Any, f: int, px: int, py: int, a: int, b: int) -> int:
    free[f, 0], free[f, 1], free[f, 2], free[f, 3] = px, py, a, b
    return f + 1


@njit(cache=True)
def _split_off(free: Any, count: int, f: int, a: int, b: int, rule: int) -> int:
    """The part's free rectangle cut in two by one straight cut beside the part; -1 when there is no room for more."""
    if count + 1 >= FREE_MOST:
        return -1
    fx, fy, fl, fw = free[f, 0], free[f, 1], free[f, 2], free[f, 3]
    beside_first = (fl - a < fw - b) if rule < 4 else (fl - a >= fw - b)
    _set(free, f, fx + a, fy, fl - a, b if beside_first else fw)
    return _set(free, count, fx, fy + b, fl if beside_first else a, fw - b)


@njit(cache=True)
def _take_out(free: Any, count: int, px: int, py: int, a: int, b: int) -> int:
    """All largest free rectangles without the part's area; their new number, -1 when there is no room for more."""
    fresh = count
    for f in range(count):
        fx, fy, fl, fw = free[f, 0], free[f, 1], free[f, 2], free[f, 3]
        if px >= fx + fl or px + a <= fx or py >= fy + fw or py + b <= fy:
            continue
        free[f, 2] = 0
        if fresh + 4 > FREE_MOST:
            return -1
        if px > fx:
            fresh = _set(free, fresh, fx, fy, px - fx, fw)
        if px + a < fx + fl:
            fresh = _set(free, fresh, px + a, fy, fx + fl - px - a, fw)
        if py > fy:
            fresh = _set(free, fresh, fx, fy, fl, py - fy)
        if py + b < fy + fw:
            fresh = _set(free, fresh, fx, py + b, fl, fy + fw - py - b)
    kept = 0
    for f in range(fresh):
        if free[f, 2] == 0 or free[f, 3] == 0:
            continue
        inside = False
        for g in range(fresh):
            if (
                g != f
                and free[g, 2] > 0
                and free[f, 0] >= free[g, 0]
                and free[f, 1] >= free[g, 1]
                and free[f, 0] + free[f, 2] <= free[g, 0] + free[g, 2]
                and free[f, 1] + free[f, 3] <= free[g, 1] + free[g, 3]
            ):
                inside = True
                break
        if inside:
            free[f, 2] = 0
        else:
            _set(free, kept, free[f, 0], free[f, 1], free[f, 2], free[f, 3])
            if kept != f:
                free[f, 2] = 0
            kept += 1
    return kept
