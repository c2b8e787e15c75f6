"""Ruin and recreate, compiled: a cheaper plan is asked for, and sheets are thinned out and refilled until it is there.

State of the sheets: a tuple (kind, heads, rooms, leaves, own), one row for each sheet that may be open.  ``kind`` is
the sheet size or -1; ``own`` holds the parts: number, node or x, y, turned.  Everything else is in nesting.refilling.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from nesting.kernels_trees import (
    DOWN,
    KIND,
    LENGTH,
    NEXT,
    PART,
    PARTS,
    ROOM,
    ROOMS,
    SLICED,
    TOP,
    WHERE,
    cut_in,
    plant,
    take_back,
    take_out,
)

COST, GOAL, STEP, LOWEST, VALUE = range(5)
"""Columns of the money: cost of the open sheets, what they may cost, by how much a better plan must be better, a lower
bound on every plan, and the area of the parts that wait."""

NO_ROOM = 1e300


@njit(cache=True)
def _random(rng: Any, n: int) -> int:
    """A whole number below n: xorshift on 32 bits."""
    x = rng[0]
    x ^= (x << 13) & 0xFFFFFFFF
    x ^= x >> 17
    x ^= (x << 5) & 0xFFFFFFFF
    rng[0] = x
    return int((x * n) >> 32)


@njit(cache=True)
def _copy(a: Any, b: Any, s: int) -> None:
    """Copies one sheet from state a to state b."""
    b[0][s] = a[0][s]
    if a[0][s] < 0:
        return
    b[1][s] = a[1][s]
    top = a[1][s, TOP]
    b[2][s, :top] = a[2][s, :top]
    b[3][s, :top] = a[3][s, :top]
    n = a[1][s, PARTS]
    b[4][s, :n] = a[4][s, :n]


@njit(cache=True)
def _touch(state: Any, backup: Any, s: int, number: int, stamp: Any, touched: Any, count: int) -> int:
    """Keeps a sheet as it is before its first change in a round; returns how many are kept."""
    if stamp[s] == number:
        return count
    stamp[s] = number
    touched[count] = s
    _copy(state, backup, s)
    return count + 1


@njit(cache=True)
def _open(state: Any, s: int, size: int, sheets: Any, guillotine: bool) -> None:
    """Makes a sheet empty, of a size."""
    kind, heads, rooms, leaves, _ = state
    kind[s] = size
    heads[s, PARTS], heads[s, ROOM] = 0, sheets[size, 0] * sheets[size, 1]
    if guillotine:
        plant(rooms[s], leaves[s], heads[s], sheets[size, 0], sheets[size, 1])
    else:
        heads[s, ROOMS], heads[s, TOP] = 1, 1
        rooms[s, 0, 0], rooms[s, 0, 1] = 0, 0
        rooms[s, 0, 2], rooms[s, 0, 3] = sheets[size, 0], sheets[size, 1]


@njit(cache=True)
def _best_room(
    state: Any,
    s: int,
    a0: int,
    b0: int,
    turnable: bool,
    guillotine: bool,
    rule: int,
    longest: int,
    blink: Any,
    rng: Any,
) -> Any:
    """(score, room, turned, first cut's axis) of the best room for a part on a sheet; NO_ROOM where there is none."""
    rooms, leaves, head = state[2][s], state[3][s], state[1][s]
    best, found, best_turn, best_axis = NO_ROOM, -1, 0, 0
    for f in range(head[ROOMS]):
        node = leaves[f] if guillotine else f
        column = LENGTH if guillotine else 2
        length, width = rooms[node, column], rooms[node, column + 1]
        for turn in range(2 if turnable else 1):
            a, b = (b0, a0) if turn else (a0, b0)
            if a > length or b > width:
                continue
            blink[0] -= 1
            if blink[0] <= 0:
                blink[0] = 1 + _random(rng, blink[1])
                continue
            if guillotine:
                for axis in range(2):
                    # (first cut's length, second cut's length) must be within reach of the shear
                    if axis == 0:
                        if (a < length and width > longest) or (b < width and a > longest):
                            continue
                        rest, beside = float(length - a) * width, float(width - b) * a
                    else:
                        if (b < width and length > longest) or (a < length and b > longest):
                            continue
                        rest, beside = float(width - b) * length, float(length - a) * b
                    if rule == 0:
                        whole = float(length) * width
                        score = whole * whole - rest * rest - beside * beside
                    else:
                        score = float(min(length - a, width - b)) - max(rest, beside) * 1e-12
                    if score < best:
                        best, found, best_turn, best_axis = score, node, turn, axis
            else:
                if rule == 0:
                    score = float(length) * width
                elif rule == 1:
                    score = float(min(length - a, width - b)) + 1e-7 * max(length - a, width - b)
                elif rule == 2:
                    score = float(rooms[node, 0] + a) + 1e-7 * (rooms[node, 1] + b)
                else:
                    score = float(rooms[node, 1] + b) + 1e-7 * (rooms[node, 0] + a)
                if score < best:
                    best, found, best_turn = score, node, turn
    return best, found, best_turn, best_axis


@njit(cache=True)
def _put(
    state: Any,
    s: int,
    part: int,
    a: int,
    b: int,
    room: int,
    turned: int,
    axis: int,
    guillotine: bool,
    corner: int,
    least: int,
) -> bool:
    """Puts a part into a room; False when the sheet has no memory left for it."""
    _, heads, rooms, leaves, own = state
    n = heads[s, PARTS]
    if n >= own.shape[1]:
        return False
    own[s, n, 0], own[s, n, 3] = part, turned
    if guillotine:
        node = cut_in(rooms[s], leaves[s], heads[s], room, a, b, axis, part)
        if node < 0:
            return False
        own[s, n, 1] = node
    else:
        x = rooms[s, room, 0] + (rooms[s, room, 2] - a if corner & 1 else 0)
        y = rooms[s, room, 1] + (rooms[s, room, 3] - b if corner & 2 else 0)
        own[s, n, 1], own[s, n, 2] = x, y
        if not take_out(rooms[s], heads[s], x, y, a, b, least):
            return False
        heads[s, TOP] = max(heads[s, TOP], heads[s, ROOMS])
    heads[s, PARTS] += 1
    heads[s, ROOM] -= a * b
    return True


@njit(cache=True)
def _take(state: Any, s: int, i: int, home: Any, parts: Any, guillotine: bool) -> int:
    """Takes the i-th part off a sheet and returns it; largest free rectangles are left as they were."""
    _, heads, rooms, leaves, own = state
    part = own[s, i, 0]
    if guillotine:
        take_back(rooms[s], leaves[s], heads[s], own[s, i, 1])
    last = heads[s, PARTS] - 1
    if i < last:
        own[s, i] = own[s, last]
        home[own[s, i, 0], 1] = i
    heads[s, PARTS] = last
    heads[s, ROOM] += parts[part, 0] * parts[part, 1]
    home[part, 0] = -1
    return int(part)


@njit(cache=True)
def _find_rooms(state: Any, s: int, sheets: Any, parts: Any, least: int) -> bool:
    """All largest free rectangles of a sheet, from its parts; False when there are too many to keep."""
    kind, heads, rooms, _, own = state
    n, room = heads[s, PARTS], heads[s, ROOM]
    _open(state, s, kind[s], sheets, False)
    heads[s, PARTS], heads[s, ROOM] = n, room
    for i in range(n):
        part, turned = own[s, i, 0], own[s, i, 3]
        if not take_out(
            rooms[s],
            heads[s],
            own[s, i, 1],
            own[s, i, 2],
            parts[part, turned],
            parts[part, 1 - turned],
            least,
        ):
            return False
    heads[s, TOP] = max(heads[s, TOP], heads[s, ROOMS])
    return True


@njit(cache=True)
def _thin_out(
    state: Any, s: int, home: Any, parts: Any, sheets: Any, guillotine: bool, waiting: Any, n: int, rng: Any
) -> int:
    """Takes some parts that lie together off a sheet; returns how many parts wait then."""
    kind, heads, rooms, _, own = state
    count = heads[s, PARTS]
    if guillotine:
        node = 1 + _random(rng, heads[s, TOP] - 1)
        for _ in range(8):
            if rooms[s, node, KIND] >= PART:
                break
            node = 1 + _random(rng, heads[s, TOP] - 1)
        if rooms[s, node, KIND] < PART:
            return n
        # the parts below the node, in the order of a walk
        first = n
        at = node
        while True:
            if rooms[s, at, KIND] == PART:
                waiting[n] = rooms[s, at, WHERE]
                n += 1
            if rooms[s, at, KIND] == SLICED:
                at = rooms[s, at, DOWN]
                continue
            while at != node and rooms[s, at, NEXT] < 0:
                at = rooms[s, at, 1]
            if at == node:
                break
            at = rooms[s, at, NEXT]
        for k in range(first, n):
            _take(state, s, home[waiting[k], 1], home, parts, True)
        return n
    i = _random(rng, count)
    reach = _random(rng, 1 << 16) / (1 << 17)
    size = kind[s]
    wide, high = reach * reach * sheets[size, 0], reach * reach * sheets[size, 1]
    part, turned = own[s, i, 0], own[s, i, 3]
    x0, y0 = own[s, i, 1] - wide, own[s, i, 2] - high
    x1, y1 = own[s, i, 1] + parts[part, turned] + wide, own[s, i, 2] + parts[part, 1 - turned] + high
    for j in range(count - 1, -1, -1):
        part, turned = own[s, j, 0], own[s, j, 3]
        px, py = own[s, j, 1], own[s, j, 2]
        if px < x1 and py < y1 and px + parts[part, turned] > x0 and py + parts[part, 1 - turned] > y0:
            waiting[n] = _take(state, s, j, home, parts, False)
            n += 1
    return n


@njit(cache=True)
def _sort_waiting(waiting: Any, n: int, parts: Any, key: Any, rng: Any) -> None:
    """Puts the parts that wait in order, large ones first, by one of several measures and a little chance."""
    rule = _random(rng, 8)
    noise = _random(rng, 4) * 0.1
    for i in range(n):
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
            value = float(1 + _random(rng, 1 << 16))
        value *= 1.0 + noise * _random(rng, 1 << 16) / 65536.0
        j = i
        while j > 0 and key[j - 1] < value:
            key[j], waiting[j] = key[j - 1], waiting[j - 1]
            j -= 1
        key[j], waiting[j] = value, k


@njit(cache=True)
def refill(
    rng: Any,
    rounds: int,
    sheets: Any,
    price: Any,
    spare: Any,
    parts: Any,
    area: Any,
    base: Any,
    guillotine: bool,
    longest: int,
    least: int,
    tune: Any,
    money: Any,
    state: Any,
    backup: Any,
    best: Any,
    home: Any,
    waiting: Any,
    numbers: Any,
    history: Any,
) -> bool:
    """So many rounds; True when a plan that meets the goal was found on the way, which is then in ``best``.

    ``numbers``: parts that wait, sheets ever open, rounds made, cost of the best plan is in money.
    """
    kind, heads = state[0], state[1]
    slots = kind.shape[0]
    kept = waiting.copy()
    key = np.zeros(waiting.shape[0])
    stamp = np.zeros(slots, np.int64)
    touched = np.zeros(slots, np.int64)
    blink = np.array([1 + _random(rng, tune[0]), tune[0]], np.int64)
    success = False
    for number in range(1, rounds + 1):
        numbers[2] += 1
        n = numbers[0]
        kept[:n] = waiting[:n]
        kept_n, kept_cost, kept_value = n, money[COST], money[VALUE]
        count = 0
        bad = False
        # ruin
        opened = 0
        for s in range(numbers[1]):
            opened += kind[s] >= 0
        hits = 1 + _random(rng, tune[1]) if opened else 0
        s = 0
        for hit in range(hits):
            if hit == 0 or _random(rng, 100) < tune[3]:
                s = _random(rng, numbers[1])
                for _ in range(slots):
                    if kind[s] >= 0:
                        break
                    s = (s + 1) % numbers[1]
            if kind[s] < 0 or heads[s, PARTS] == 0:
                continue
            count = _touch(state, backup, s, number, stamp, touched, count)
            if _random(rng, 100) < tune[2]:
                for i in range(heads[s, PARTS] - 1, -1, -1):
                    waiting[n] = _take(state, s, i, home, parts, False)
                    n += 1
            else:
                n = _thin_out(state, s, home, parts, sheets, guillotine, waiting, n, rng)
            if heads[s, PARTS] == 0:
                money[COST] -= price[kind[s]]
                spare[kind[s]] += 1
                kind[s] = -1
            elif not guillotine and not _find_rooms(state, s, sheets, parts, least):
                bad = True
        # sheets that the goal does not pay for are closed
        while money[COST] > money[GOAL]:
            s = _random(rng, numbers[1])
            for _ in range(slots):
                if kind[s] >= 0:
                    break
                s = (s + 1) % numbers[1]
            count = _touch(state, backup, s, number, stamp, touched, count)
            for i in range(heads[s, PARTS] - 1, -1, -1):
                waiting[n] = _take(state, s, i, home, parts, False)
                n += 1
            money[COST] -= price[kind[s]]
            spare[kind[s]] += 1
            kind[s] = -1
        # recreate
        _sort_waiting(waiting, n, parts, key, rng)
        rule = _random(rng, 4)
        if guillotine:
            rule = rule & 1
        corner = _random(rng, 4)
        left = 0
        value = 0.0
        for w in range(n):
            part = waiting[w]
            a, b = parts[part, 0], parts[part, 1]
            turnable = parts[part, 2] == 1
            top, where, room, turned, axis = NO_ROOM, -1, -1, 0, 0
            for s in range(numbers[1]):
                if kind[s] < 0 or heads[s, ROOM] < a * b:
                    continue
                score, f, t, c = _best_room(state, s, a, b, turnable, guillotine, rule, longest, blink, rng)
                if score < top:
                    top, where, room, turned, axis = score, s, f, t, c
            if where < 0:
                # a new sheet of a size that the goal pays for
                seen = 0
                size = -1
                for k in range(sheets.shape[0]):
                    fits = (a <= sheets[k, 0] and b <= sheets[k, 1]) or (
                        turnable and b <= sheets[k, 0] and a <= sheets[k, 1]
                    )
                    if fits and spare[k] > 0 and money[COST] + price[k] <= money[GOAL]:
                        seen += 1
                        if _random(rng, seen) == 0:
                            size = k
                slot = 0
                while slot < slots and kind[slot] >= 0:
                    slot += 1
                if size >= 0 and slot < slots:
                    count = _touch(state, backup, slot, number, stamp, touched, count)
                    _open(state, slot, size, sheets, guillotine)
                    blink[0] += 100
                    _, room, turned, axis = _best_room(
                        state, slot, a, b, turnable, guillotine, rule, longest, blink, rng
                    )
                    if room >= 0:
                        where = slot
                        money[COST] += price[size]
                        spare[size] -= 1
                        numbers[1] = max(numbers[1], slot + 1)
                    else:
                        kind[slot] = -1
            if where >= 0:
                count = _touch(state, backup, where, number, stamp, touched, count)
                if turned:
                    a, b = b, a
                if _put(state, where, part, a, b, room, turned, axis, guillotine, corner, least):
                    home[part, 0], home[part, 1] = where, heads[where, PARTS] - 1
                    continue
                if not guillotine:
                    bad = True
            waiting[left] = part
            left += 1
            area[part] += 1e-6 * tune[4] * base[part]
            value += area[part]
        # accept or go back
        slot = numbers[2] % history.shape[0]
        if kept_cost > money[GOAL] or numbers[2] == 1:
            history[:] = value
        if not bad and (value <= history[slot] or value <= kept_value or kept_cost > money[GOAL]):
            numbers[0] = left
            money[VALUE] = value
        else:
            for k in range(count):
                s = touched[k]
                if kind[s] >= 0:
                    spare[kind[s]] += 1
                _copy(backup, state, s)
                if kind[s] >= 0:
                    spare[kind[s]] -= 1
                    for i in range(heads[s, PARTS]):
                        part = state[4][s, i, 0]
                        home[part, 0], home[part, 1] = s, i
            waiting[:kept_n] = kept[:kept_n]
            kept_value = 0.0
            for k in range(kept_n):
                home[waiting[k], 0] = -1
                kept_value += area[waiting[k]]
            numbers[0] = kept_n
            money[COST], money[VALUE] = kept_cost, kept_value
        history[slot] = money[VALUE]
        if numbers[0] == 0 and money[COST] <= money[GOAL]:
            success = True
            for s in range(slots):
                _copy(state, best, s)
            money[GOAL] = money[COST] - money[STEP]
            if money[GOAL] < money[LOWEST]:
                break
    return success
