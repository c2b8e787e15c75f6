"""Ruin and recreate, compiled: a cheaper plan is asked for, and sheets are thinned out and refilled until it is there.

State of the sheets and what is given: see kernels_sheets.  What changes besides is a tuple ``run``: (random
numbers, money, sheets left of each size, weight of each part, home of each part as sheet and number there, parts that
wait, numbers, values of the last rounds).  A log (rounds in which a sheet was last changed, sheets changed in this
round, numbers: how many, round) says what has to be put back when a round is refused.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from nesting.placing.kernels_sheets import (
    NO_ROOM,
    best_room,
    copy_sheet,
    find_rooms,
    open_sheet,
    put,
    take,
)
from nesting.placing.kernels_trees import DOWN, KIND, NEXT, PART, PARTS, ROOM, SLICED, TOP, UP, WHERE
from nesting.sizing.kernels_chance import chance

COST, GOAL, STEP, LOWEST, VALUE, BEST = range(6)
"""Columns of the money: cost of the open sheets, what they may cost, by how much a better plan must be better, a lower
bound on every plan, the weight of the parts that wait, and the cost that is to be bettered."""

STRIDE = 0.05
"""Share of the gap between best cost and bound that is asked for at once."""

NEARLY = 0.75
"""Share of a step that is asked for: costs are whole steps apart but for the rounding of their sums."""

PATIENCE = 300
"""Rounds without a plan after which half as much is asked for."""

WAITING, SLOTS, MADE, SINCE = range(4)
"""Columns of the numbers: parts that wait, sheets ever open, rounds made, rounds since the last plan or goal."""

TRIES = 8
"""Nodes drawn at most to hit one that holds a part."""


@njit(cache=True)
def _touch(state: Any, backup: Any, log: Any, s: int) -> None:
    """Keeps a sheet as it is before its first change in a round."""
    stamp, touched, numbers = log
    if stamp[s] != numbers[1]:
        stamp[s] = numbers[1]
        touched[numbers[0]] = s
        numbers[0] += 1
        copy_sheet(state, backup, s)


@njit(cache=True)
def _some_sheet(state: Any, run: Any) -> int:
    """An open sheet by chance, or any where none is open."""
    slots = run[6][SLOTS]
    s = chance(run[0], slots)
    for _ in range(slots):
        if state[0][s] >= 0:
            break
        s = (s + 1) % slots
    return int(s)


@njit(cache=True)
def _close(state: Any, s: int, given: Any, run: Any, n: int) -> int:
    """Closes a sheet, whose parts wait then; returns how many parts wait."""
    kind, heads = state[0], state[1]
    for i in range(heads[s, PARTS] - 1, -1, -1):
        run[5][n] = take(state, s, i, run[4], given, True)
        n += 1
    run[1][COST] -= given[1][kind[s]]
    run[2][kind[s]] += 1
    kind[s] = -1
    return n


@njit(cache=True)
def _take_branch(state: Any, s: int, given: Any, run: Any, n: int) -> int:
    """Takes all parts below some node of a tree off its sheet; returns how many parts wait then."""
    heads, tree, home, waiting = state[1], state[2][s], run[4], run[5]
    top = 0
    for _ in range(TRIES):
        top = 1 + chance(run[0], heads[s, TOP] - 1)
        if tree[top, KIND] >= PART:
            break
    if tree[top, KIND] < PART:
        return n
    first = n
    node = top
    while True:
        if tree[node, KIND] == SLICED:
            node = tree[node, DOWN]
            continue
        if tree[node, KIND] == PART:
            waiting[n] = tree[node, WHERE]
            n += 1
        while node != top and tree[node, NEXT] < 0:
            node = tree[node, UP]
        if node == top:
            break
        node = tree[node, NEXT]
    for k in range(first, n):
        take(state, s, home[waiting[k], 1], home, given, False)
    return n


@njit(cache=True)
def _take_window(state: Any, s: int, given: Any, run: Any, n: int) -> int:
    """Takes all parts that reach into a window round some part off its sheet; returns how many parts wait then."""
    heads, own, parts = state[1], state[4], given[2]
    count = heads[s, PARTS]
    i = chance(run[0], count)
    reach = (chance(run[0], 1 << 16) / (1 << 17)) ** 2
    wide, high = reach * given[0][state[0][s], 0], reach * given[0][state[0][s], 1]
    part, turned = own[s, i, 0], own[s, i, 3]
    x0, y0 = own[s, i, 1] - wide, own[s, i, 2] - high
    x1, y1 = own[s, i, 1] + parts[part, turned] + wide, own[s, i, 2] + parts[part, 1 - turned] + high
    for j in range(count - 1, -1, -1):
        part, turned = own[s, j, 0], own[s, j, 3]
        x, y = own[s, j, 1], own[s, j, 2]
        if x < x1 and y < y1 and x + parts[part, turned] > x0 and y + parts[part, 1 - turned] > y0:
            run[5][n] = take(state, s, j, run[4], given, False)
            n += 1
    return n


@njit(cache=True)
def _ruin(state: Any, backup: Any, log: Any, given: Any, run: Any) -> bool:
    """Takes parts off some sheets, and closes sheets that the goal does not pay for; False when memory ran out."""
    kind, heads = state[0], state[1]
    rng, money, numbers = run[0], run[1], run[6]
    edge_to_edge, tune = given[4], given[7]
    n = numbers[WAITING]
    fine = True
    s = 0
    hits = 1 + chance(rng, tune[1]) if n < run[5].shape[0] else 0
    for hit in range(hits):
        if hit == 0 or chance(rng, 100) < tune[3]:
            s = _some_sheet(state, run)
        if kind[s] < 0:
            continue
        _touch(state, backup, log, s)
        if chance(rng, 100) >= tune[2]:
            if edge_to_edge:
                n = _take_branch(state, s, given, run, n)
            else:
                n = _take_window(state, s, given, run, n)
                fine = find_rooms(state, s, given) and fine
            if heads[s, PARTS] > 0:
                continue
        n = _close(state, s, given, run, n)
    while money[COST] > money[GOAL]:
        s = _some_sheet(state, run)
        if kind[s] < 0:
            # none is open: what is left of the cost is rounding
            money[COST] = 0.0
            break
        _touch(state, backup, log, s)
        n = _close(state, s, given, run, n)
    numbers[WAITING] = n
    return fine


@njit(cache=True)
def _put_in_order(given: Any, run: Any, key: Any) -> None:
    """Puts the parts that wait in order, large ones first, by one of several measures and a little chance."""
    rng, waiting, parts = run[0], run[5], given[2]
    rule = chance(rng, 8)
    noise = chance(rng, 4) * 0.1
    for i in range(run[6][WAITING]):
        k = waiting[i]
        a, b = float(parts[k, 0]), float(parts[k, 1])
        if rule <= 2:
            value = np.sqrt(a * b)
        elif rule == 3:
            value = max(a, b)
        elif rule == 4:
            value = a
        elif rule == 5:
            value = b
        elif rule == 6:
            value = a + b
        else:
            value = float(1 + chance(rng, 1 << 16))
        value *= 1.0 + noise * chance(rng, 1 << 16) / 65536.0
        j = i
        while j > 0 and key[j - 1] < value:
            key[j], waiting[j] = key[j - 1], waiting[j - 1]
            j -= 1
        key[j], waiting[j] = value, k


@njit(cache=True)
def _open_for(state: Any, backup: Any, log: Any, part: int, given: Any, run: Any) -> int:
    """A new sheet of some size that holds the part and that the goal pays for; -1 where there is none."""
    sheets, price, parts = given[0], given[1], given[2]
    rng, money, spare, numbers = run[0], run[1], run[2], run[6]
    a, b = parts[part, 0], parts[part, 1]
    size, seen = -1, 0
    for k in range(sheets.shape[0]):
        length, width = sheets[k, 0], sheets[k, 1]
        fits = (a <= length and b <= width) or (parts[part, 2] == 1 and b <= length and a <= width)
        if fits and spare[k] > 0 and money[COST] + price[k] <= money[GOAL]:
            seen += 1
            if chance(rng, seen) == 0:
                size = k
    slot = 0
    while slot < state[0].shape[0] and state[0][slot] >= 0:
        slot += 1
    if size < 0 or slot == state[0].shape[0]:
        return -1
    _touch(state, backup, log, slot)
    open_sheet(state, slot, size, given)
    money[COST] += price[size]
    spare[size] -= 1
    numbers[SLOTS] = max(numbers[SLOTS], slot + 1)
    return slot


@njit(cache=True)
def _search(state: Any, first: int, end: int, part: int, given: Any, rule: int, blink: Any, rng: Any) -> Any:
    """(sheet, room, turned, first cut's axis) of the best room for a part on some of the sheets; sheet -1 for none."""
    kind, heads = state[0], state[1]
    area = given[2][part, 0] * given[2][part, 1]
    top, where, room, turned, axis = NO_ROOM, -1, -1, 0, 0
    for s in range(first, end):
        if kind[s] >= 0 and heads[s, ROOM] >= area:
            score, f, t, c = best_room(state, s, part, given, rule, blink, rng)
            if score < top:
                top, where, room, turned, axis = score, s, f, t, c
    return where, room, turned, axis


@njit(cache=True)
def _recreate(state: Any, backup: Any, log: Any, given: Any, run: Any, blink: Any) -> bool:
    """Puts back what finds room, one part after the other where it fits best; False when memory ran out."""
    heads = state[1]
    rng, weight, home, waiting, numbers = run[0], run[3], run[4], run[5], run[6]
    rule, corner = chance(rng, 4), chance(rng, 4)
    count = numbers[WAITING]
    left, value = 0, 0.0
    fine = True
    for w in range(count):
        part = waiting[w]
        where, room, turned, axis = _search(state, 0, numbers[SLOTS], part, given, rule, blink, rng)
        if where < 0:
            slot = _open_for(state, backup, log, part, given, run)
            if slot >= 0:
                # two ways to lie on an empty sheet: neither is passed over
                blink[0] += 2
                where, room, turned, axis = _search(state, slot, slot + 1, part, given, rule, blink, rng)
                if where < 0:
                    _close(state, slot, given, run, count)
        if where >= 0:
            _touch(state, backup, log, where)
            if put(state, where, part, room, turned, axis, corner, given):
                home[part, 0], home[part, 1] = where, heads[where, PARTS] - 1
                continue
            # a tree that has no memory left is as it was, free rectangles are not
            fine = fine and given[4]
        waiting[left] = part
        left += 1
        # what waits often weighs more, until something else waits instead
        weight[part] += 1e-6 * given[7][4] * given[3][part]
        value += weight[part]
    numbers[WAITING] = left
    run[1][VALUE] = value
    return fine


@njit(cache=True)
def _go_back(state: Any, backup: Any, log: Any, run: Any, kept: Any, n: int, cost: float) -> None:
    """Everything as it was before the round, ``kept`` holding the n parts that waited."""
    kind, heads, own = state[0], state[1], state[4]
    money, spare, weight, home, waiting, numbers = run[1], run[2], run[3], run[4], run[5], run[6]
    for k in range(log[2][0]):
        s = log[1][k]
        if kind[s] >= 0:
            spare[kind[s]] += 1
        copy_sheet(backup, state, s)
        if kind[s] >= 0:
            spare[kind[s]] -= 1
            for i in range(heads[s, PARTS]):
                part = own[s, i, 0]
                home[part, 0], home[part, 1] = s, i
    money[COST], money[VALUE] = cost, 0.0
    for k in range(n):
        waiting[k] = kept[k]
        home[kept[k], 0] = -1
        money[VALUE] += weight[kept[k]]
    numbers[WAITING] = n


@njit(cache=True)
def refill(rounds: int, given: Any, run: Any, state: Any, backup: Any, best: Any) -> bool:
    """So many rounds; True when a plan that meets the goal was found on the way, which is then in ``best``."""
    rng, money, waiting, numbers, history = run[0], run[1], run[5], run[6], run[7]
    slots = state[0].shape[0]
    kept = np.zeros_like(waiting)
    key = np.zeros(waiting.shape[0])
    log = (np.zeros(slots, np.int64), np.zeros(slots, np.int64), np.zeros(2, np.int64))
    blink = np.array([1 + chance(rng, given[7][0]), given[7][0]], np.int64)
    success = False
    for number in range(1, rounds + 1):
        log[2][0], log[2][1] = 0, number
        numbers[MADE] += 1
        numbers[SINCE] += 1
        n, cost, value = numbers[WAITING], money[COST], money[VALUE]
        for k in range(n):
            kept[k] = waiting[k]
        fine = _ruin(state, backup, log, given, run)
        _put_in_order(given, run, key)
        fine = _recreate(state, backup, log, given, run, blink) and fine
        slot = numbers[MADE] % history.shape[0]
        if cost > money[GOAL] or numbers[MADE] == 1:
            history[:] = money[VALUE]
        if not fine or money[VALUE] > max(history[slot], value):
            _go_back(state, backup, log, run, kept, n, cost)
        history[slot] = money[VALUE]
        if numbers[WAITING] == 0 and money[COST] <= money[GOAL]:
            success = True
            for s in range(slots):
                copy_sheet(state, best, s)
            money[BEST] = money[COST]
            if money[BEST] - money[STEP] < money[LOWEST]:
                break
            stride = STRIDE * (money[BEST] - money[LOWEST])
            money[GOAL] = money[BEST] - max(NEARLY * money[STEP], stride)
            numbers[SINCE] = 0
        elif numbers[SINCE] >= PATIENCE and money[BEST] < np.inf:
            stride = (money[BEST] - money[GOAL]) / 2
            money[GOAL] = money[BEST] - max(NEARLY * money[STEP], stride)
            numbers[SINCE] = 0
    return success
