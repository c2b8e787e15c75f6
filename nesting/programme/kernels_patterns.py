"""The best pattern of a sheet by a depth-first search, and the best stack of bars, compiled.

Plain arrays in and out; everything that has a name outside lives in pricing and bars.
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
