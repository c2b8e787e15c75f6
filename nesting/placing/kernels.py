"""The two inner loops, compiled: the best pattern by a depth-first search, and quick placing of rectangles.

Plain arrays in and out; everything that has a name outside lives in nesting.programme.pricing and in fitting.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

KEPT = 8
"""How many of the last improvements a search hands back."""

SCALE = 10**7
"""What each row of weights holds."""

GRID = 1024
"""Steps of a row's capacity in the tables that bound a longer search."""

TABLED = 2
"""How many of the last rows have such a table."""

PATIENCE = 300
"""Search nodes after which the tables are worth making."""

FREE_MOST = 400
"""Most free rectangles kept while placing; beyond it a try is given up."""


@njit(cache=True)
def best_pattern(
    v: Any,
    w: Any,
    own: Any,
    cap: Any,
    most: Any,
    span: Any,
    loss: Any,
    idle: Any,
    node_limit: int,
    hurry: int,
    cuts: Any,
    cut_needs: Any,
) -> Any:
    """Most value of placings within every weight row, no class used more than ``most`` times, cuts respected.

    ``v[i]`` and ``w[i, r]`` are value and weights of placing i of class ``own[i]``, at most ``cap[i]`` of it; the
    search takes the placings in the order given.  Rows hold `SCALE` each.  ``span`` is (a bound, a floor): no pattern
    is worth more than the bound less ``loss[i]`` for each placing i in it, less ``idle[k]`` for each part of class k
    that is left out; only patterns worth more than the floor are reported.  The search ends after ``node_limit`` nodes,
    or after ``hurry`` when it has found something.  A cut says that a pattern with at least
    ``cut_needs[c, k]`` parts among the classes marked in ``cuts[c, k]``, for every k, cannot be placed.  Returns
    (no pattern is worth more than this, the last kept patterns as counts per placing, how many were found in all).
    """
    n, rows = w.shape
    # the most worth per unit of each row among the placings from i on
    dense = np.zeros((n + 1, rows))
    last = np.zeros(n, np.bool_)
    seen = np.zeros(most.shape[0], np.bool_)
    for i in range(n - 1, -1, -1):
        last[i] = not seen[own[i]]
        seen[own[i]] = True
        for r in range(rows):
            dense[i, r] = max(dense[i + 1, r], v[i] / w[i, r] if w[i, r] > 0 else 1e18)
    # the bound before placing i is decided, less what the placings and classes decided so far lose
    reach = np.zeros(n + 1)
    reach[0] = span[0]
    for k in range(most.shape[0]):
        if not seen[k]:
            reach[0] -= idle[k] * most[k]
    left = np.zeros(rows, np.int64)
    for r in range(rows):
        left[r] = SCALE
    spare = most.copy()
    count = np.zeros(n, np.int64)
    used = np.zeros(most.shape[0], np.int64)
    kept = np.zeros((KEPT, n), np.int64)
    found = 0
    best = span[1]
    now = 0.0
    i = 0
    nodes = 0
    forward = True
    tables = np.zeros((TABLED, n + 1, GRID + 1))
    tabled = False
    while i >= 0:
        if not forward:
            if count[i] == 0:
                i -= 1
                continue
            count[i] -= 1
            spare[own[i]] += 1
            used[own[i]] -= 1
            now -= v[i]
            for r in range(rows):
                left[r] += w[i, r]
            forward = True
        else:
            nodes += 1
            if nodes == PATIENCE:
                for t in range(TABLED):
                    _tabulate(tables[t], v, w[:, rows - TABLED + t], cap)
                    span[0] = min(span[0], tables[t, 0, GRID])
                tabled = True
            if nodes > node_limit or (found > 0 and nodes > hurry):
                return max(best, span[0]), kept, found
            if i == n:
                if now > best + 1e-9 and not _is_cut(used, cuts, cut_needs):
                    best = now
                    slot = found % KEPT
                    for j in range(n):
                        kept[slot, j] = count[j]
                    found += 1
                i -= 1
                forward = False
                continue
            enough = reach[i] > best + 1e-9
            if enough:
                most_now = 1e18
                for r in range(rows):
                    most_now = min(most_now, left[r] * dense[i, r])
                if tabled:
                    for t in range(TABLED):
                        room = left[rows - TABLED + t] * GRID // SCALE
                        most_now = min(most_now, tables[t, i, room])
                enough = (
                    now + most_now > best + 1e-9 and now + _reach(i, v, w, own, spare, left) > best + 1e-9
                )
            if not enough:
                i -= 1
                forward = False
                continue
            m = min(cap[i], spare[own[i]])
            for r in range(rows):
                if w[i, r] > 0:
                    m = min(m, left[r] // w[i, r])
            count[i] = m
            if m > 0:
                spare[own[i]] -= m
                used[own[i]] += m
                now += m * v[i]
                for r in range(rows):
                    left[r] -= m * w[i, r]
        reach[i + 1] = reach[i] - count[i] * loss[i]
        if last[i]:
            reach[i + 1] -= idle[own[i]] * spare[own[i]]
        i += 1
    return best, kept, found


@njit(cache=True)
def _tabulate(table: Any, v: Any, w: Any, cap: Any) -> None:
    """``table[i, c]``: the most worth of placings from i on within c steps of one row, weights rounded down."""
    for i in range(v.shape[0] - 1, -1, -1):
        step = w[i] * GRID // SCALE
        for c in range(GRID + 1):
            table[i, c] = table[i + 1, c]
        if step == 0:
            for c in range(GRID + 1):
                table[i, c] += cap[i] * v[i]
            continue
        for m in range(1, min(cap[i], GRID // step) + 1):
            for c in range(m * step, GRID + 1):
                table[i, c] = max(table[i, c], table[i + 1, c - m * step] + m * v[i])


@njit(cache=True)
def _reach(start: int, v: Any, w: Any, own: Any, spare: Any, left: Any) -> Any:
    """What the rest could add at most: fill row 0 greedily with whole classes that still fit alone."""
    room = float(left[0])
    total = 0.0
    n, rows = w.shape
    for j in range(start, n):
        if v[j] <= 1e-9:
            break
        m = spare[own[j]]
        if m <= 0:
            continue
        fits = True
        for r in range(rows):
            if w[j, r] > left[r]:
                fits = False
                break
        if not fits:
            continue
        need = m * w[j, 0]
        if need <= room:
            total += m * v[j]
            room -= need
        else:
            return total + v[j] * room / w[j, 0]
    return total


@njit(cache=True)
def _is_cut(used: Any, cuts: Any, cut_needs: Any) -> bool:
    for c in range(cuts.shape[0]):
        meets = True
        for k in range(cuts.shape[1]):
            if cut_needs[c, k] == 0:
                continue
            total = 0
            for j in range(used.shape[0]):
                if cuts[c, k, j]:
                    total += used[j]
            if total < cut_needs[c, k]:
                meets = False
                break
        if meets:
            return True
    return False


@njit(cache=True)
def best_stack(value: Any, size: Any, order: Any, room: int) -> Any:
    """The most value of things stacked within ``room``, as many of each as fit, best value per size first in ``order``.

    Returns (value, counts).
    """
    n = size.shape[0]
    count = np.zeros(n, np.int64)
    best_count = np.zeros(n, np.int64)
    best = 0.0
    now = 0.0
    left = room
    i = 0
    forward = True
    while i >= 0:
        if forward:
            k = order[i] if i < n else 0
            if i == n or now + left * (value[k] / size[k]) <= best + 1e-12:
                if now > best:
                    best = now
                    for k in range(n):
                        best_count[k] = count[k]
                i -= 1
                forward = False
                continue
            m = left // size[k]
            count[k] = m
            now += m * value[k]
            left -= m * size[k]
            i += 1
        else:
            k = order[i]
            if count[k] > 0:
                count[k] -= 1
                now -= value[k]
                left += size[k]
                i += 1
                forward = True
            else:
                i -= 1
    return best, best_count


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
