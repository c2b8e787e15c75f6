"""Loads of one bar, compiled: the load worth most, and every load worth at least so much.

Plain arrays in and out; everything that has a name outside lives in nesting.framing.barloads.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

HAIR = 1.0 + 1e-12
"""Rounding in the bound of a search must never cut off the best load."""

ENTRIES = 1_000_000
"""Most entries of the table that bounds the search."""


@njit(cache=True)
def best_load(capacity: int, size: Any, value: Any, most: Any, floor: int, node_limit: int) -> Any:
    """Depth-first search for the load worth most, if it is worth more than ``floor``; kinds in any order.

    A table over steps of the capacity, exact where `ENTRIES` are enough for every length, tells what the kinds
    from one on can add at most.  Returns (whether the search was finished, the worth found or else the floor, counts).
    """
    n = size.shape[0]
    steps = min(capacity, ENTRIES // n)
    table = np.zeros((n + 1, steps + 1), np.int64)
    for i in range(n - 1, -1, -1):
        _tabulate(table[i + 1], table[i], size[i] * steps // capacity, value[i], most[i])
    count = np.zeros(n, np.int64)
    kept = np.zeros(n, np.int64)
    best = np.int64(floor)
    worth = np.int64(0)
    room = np.int64(capacity)
    nodes = 0
    i = 0
    forward = True
    while i >= 0:
        if not forward:
            if count[i] == 0:
                i -= 1
                continue
            count[i] -= 1
            room += size[i]
            worth -= value[i]
            i += 1
            forward = True
            continue
        nodes += 1
        if nodes > node_limit:
            return False, best, kept
        if worth > best:
            best = worth
            kept[:] = count
            kept[i:] = 0
        if i == n or worth + table[i, room * steps // capacity] <= best:
            i -= 1
            forward = False
            continue
        m = min(most[i], room // size[i])
        count[i] = m
        room -= m * size[i]
        worth += m * value[i]
        i += 1
    return True, best, kept


@njit(cache=True)
def _tabulate(after: Any, table: Any, step: int, value: int, most: int) -> None:
    """Adds a kind, ``step`` steps long, to what the kinds after it are worth within each number of steps."""
    table[:] = after
    if step == 0:
        table += most * value
        return
    for m in range(1, min(most, (table.shape[0] - 1) // step) + 1):
        gain = m * value
        for at in range(m * step, table.shape[0]):
            table[at] = max(table[at], after[at - m * step] + gain)


@njit(cache=True)
def best_load_by_length(capacity: int, size: Any, value: Any, most: Any) -> Any:
    """The same by dynamic programming over every length that can be reached and is worth more than all shorter ones.

    Returns (value, counts).  Time grows with the number of such lengths, never with the number of loads.
    """
    n = size.shape[0]
    lengths = np.zeros(1, np.int64)
    worths = np.zeros(1, np.int64)
    origin = np.zeros(1, np.int64)
    # every state ever kept: its kind, how many of it, and the state before
    log_kind = np.full(1024, -1, np.int64)
    log_count = np.zeros(1024, np.int64)
    log_from = np.full(1024, -1, np.int64)
    logged = 1
    for i in range(n):
        m = min(most[i], capacity // size[i])
        if m <= 0 or value[i] <= 0:
            continue
        fewer = lengths.shape[0]
        total = fewer * (m + 1)
        all_length = np.empty(total, np.int64)
        all_worth = np.empty(total, np.int64)
        for c in range(m + 1):
            for k in range(fewer):
                all_length[c * fewer + k] = lengths[k] + c * size[i]
                all_worth[c * fewer + k] = worths[k] + c * value[i]
        order = np.argsort(all_length, kind="mergesort")
        new_length = np.empty(total, np.int64)
        new_worth = np.empty(total, np.int64)
        new_origin = np.empty(total, np.int64)
        kept = 0
        for at in order:
            if all_length[at] > capacity:
                break
            if kept and all_worth[at] <= new_worth[kept - 1]:
                continue
            if kept and all_length[at] == new_length[kept - 1]:
                kept -= 1
            new_length[kept] = all_length[at]
            new_worth[kept] = all_worth[at]
            new_origin[kept] = at
            kept += 1
        while logged + kept > log_kind.shape[0]:
            log_kind = np.concatenate((log_kind, np.full(log_kind.shape[0], -1, np.int64)))
            log_count = np.concatenate((log_count, np.zeros(log_count.shape[0], np.int64)))
            log_from = np.concatenate((log_from, np.full(log_from.shape[0], -1, np.int64)))
        next_origin = np.empty(kept, np.int64)
        for k in range(kept):
            at = new_origin[k]
            before = origin[at % fewer]
            if at < fewer:
                next_origin[k] = before
            else:
                log_kind[logged] = i
                log_count[logged] = at // fewer
                log_from[logged] = before
                next_origin[k] = logged
                logged += 1
        lengths = new_length[:kept].copy()
        worths = new_worth[:kept].copy()
        origin = next_origin
    counts = np.zeros(n, np.int64)
    state = origin[-1]
    while state > 0:
        counts[log_kind[state]] += log_count[state]
        state = log_from[state]
    return worths[-1], counts


@njit(cache=True)
def loads_worth(
    capacity: int, size: Any, value: Any, demand: Any, floor: int, most_loads: int, node_limit: int
) -> Any:
    """Every load worth ``floor`` or more to which nothing can be added and in which nothing can be made longer.

    Kinds by length, the longest first, values falling with them.  A load never holds more pieces of a length or longer
    than ``demand`` has.  Returns (whether all were listed, loads as rows of counts).
    """
    n = size.shape[0]
    above = np.zeros(n, np.int64)
    total = np.int64(0)
    for i in range(n):
        total += demand[i]
        above[i] = total
    dense = np.zeros(n + 1)
    for i in range(n - 1, -1, -1):
        dense[i] = max(dense[i + 1], float(value[i]) / float(size[i]))
    found = np.zeros((256, n), np.int32)
    many = 0
    count = np.zeros(n, np.int64)
    held = np.zeros(n + 1, np.int64)
    worth = np.int64(0)
    room = np.int64(capacity)
    nodes = 0
    i = 0
    forward = True
    while i >= 0:
        if forward:
            nodes += 1
            if nodes > node_limit:
                return False, found[:many]
            if i == n or room < size[n - 1]:
                if worth >= floor and _is_full(i, room, size, count, held, above):
                    if many == found.shape[0]:
                        if many >= most_loads:
                            return False, found[:many]
                        found = np.concatenate((found, np.zeros_like(found)))
                    for k in range(n):
                        found[many, k] = count[k] if k < i else 0
                    many += 1
                i -= 1
                forward = False
                continue
            if (float(worth) + float(room) * dense[i]) * HAIR < float(floor):
                i -= 1
                forward = False
                continue
            m = min(above[i] - held[i], room // size[i])
            count[i] = m
            held[i + 1] = held[i] + m
            room -= m * size[i]
            worth += m * value[i]
            i += 1
        else:
            if count[i] == 0:
                i -= 1
                continue
            count[i] -= 1
            held[i + 1] -= 1
            room += size[i]
            worth -= value[i]
            i += 1
            forward = True
    return True, found[:many]


@njit(cache=True)
def _is_full(decided: Any, room: Any, size: Any, count: Any, held: Any, above: Any) -> bool:
    """Whether no piece can be added and none be put in place of a shorter one, within the demand."""
    n = size.shape[0]
    pieces = held[decided]
    if room >= size[n - 1] and pieces < above[n - 1]:
        return False
    for k in range(1, decided):
        # one of kind k made as long as the kind before it
        if count[k] > 0 and size[k - 1] - size[k] <= room and held[k] < above[k - 1]:
            return False
    return True
