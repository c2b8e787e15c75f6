"""Parts joined into larger and larger rectangles, compiled: a beam of forests, until no two have an equal side.

A rectangle is a row (length, width, 1 where it may be turned).  Two with an equal side make one; so a sheet without
waste that is cut edge to edge is undone from its last cut to its first.  A side that two rectangles share by chance
leads nowhere, so sides that few others come near count more: a forest is scored by how unlikely its coincidences are.
What stays the same meanwhile is a tuple ``given``: (sheets, numbers of each size that would do
and how many are there already but for those of no use, rarity of each length,
tuning, longest side of a sheet, longest cut).  Room to work in is a tuple, too: (forests by turns, their scores, their
marks, last forest that had a side with this remainder, numbers of whole sheets).
"""

from __future__ import annotations

from math import log
from typing import Any

from numba import njit

from nesting.sizing.kernels_chance import chance

LENGTH, WIDTH, TURNS = range(3)

PARENT, ONE, OTHER, JOINED = range(4)
"""Columns of the history: the forest gone on with, the two rectangles joined, and what they make (three columns)."""

HISTORY_FIELDS = 6

LENGTHS, SIDES = 1024, 4096
"""Lengths told apart by rarity, and remainders of sides told apart by whether any forest has such a side."""

NEVER = 1e300


@njit(cache=True)
def _mix(a: int, b: int, turns: int) -> int:
    """A number of 64 bits for a rectangle; products overflow on purpose."""
    x = a * 0x1E3779B97F4A7C15 + b * 0x42B2AE3D27D4EB4F + turns * 0x165667B19E3779F9
    x ^= x >> 29
    x *= 0x3F58476D1CE4E5B9
    x ^= x >> 32
    return int(x)


@njit(cache=True)
def _others(rects: Any, n: int, side: int, axis: int, i: int, j: int, turns: int) -> int:
    """How many rectangles other than i and j could lie with this side along the axis."""
    count = 0
    for k in range(n):
        if rects[k, axis] == side or (rects[k, 1 - axis] == side and (turns == 1 or rects[k, TURNS] == 1)):
            count += k != i and k != j
    return count


@njit(cache=True)
def _edges(a: int, b: int, turns: int, axis: int, sheets: Any) -> int:
    """How many sides of a rectangle run from edge to edge of some sheet that holds it; -1 where none does."""
    same, other = (a, b) if axis == 0 else (b, a)
    fits, along, across = False, False, False
    for s in range(sheets.shape[0]):
        length, width = sheets[s, 0], sheets[s, 1]
        if (a <= length and b <= width) or (turns == 1 and b <= length and a <= width):
            fits = True
            along = along or same == sheets[s, axis] or (turns == 1 and same == sheets[s, 1 - axis])
            across = across or other == sheets[s, 1 - axis] or (turns == 1 and other == sheets[s, axis])
    return int(along) + int(across) if fits else -1


@njit(cache=True)
def _score(rects: Any, n: int, i: int, j: int, made: Any, given: Any, seen: bool, most: float) -> float:
    """Less is better: how likely it is that two rectangles share a side by chance; NEVER where it may not be.

    Also NEVER where it would be more than ``most``.
    """
    a, b, turns, axis = made
    sheets, rarity, tune = given[0], given[2], given[3]
    same, other = (a, b) if axis == 0 else (b, a)
    if a > given[4] or b > given[4] or same > given[5]:
        return NEVER
    score = rarity[same * (LENGTHS - 1) // given[4]]
    goes_on = tune[1] * rarity[other * (LENGTHS - 1) // given[4]] if seen else 0.0
    if score + goes_on - 2 * tune[2] > most:
        return NEVER
    edges = _edges(a, b, turns, axis, sheets)
    if edges < 0:
        return NEVER
    score += tune[0] * log(1.0 + _others(rects, n, same, axis, i, j, turns)) - tune[2] * edges
    if seen and score <= most - goes_on and _others(rects, n, other, 1 - axis, i, j, turns) > 0:
        score += goes_on
    return float(score)


@njit(cache=True)
def _keep(score: float, mark: int, row: Any, heads: Any, marks: Any, rows: Any, most: int, kept: int) -> int:
    """Puts a forest among the best so far, best first, none twice; returns how many there are."""
    at = 0
    while at < kept and marks[at] != mark:
        at += 1
    if at < kept:
        if heads[at] <= score:
            return kept
    elif kept < most:
        kept += 1
    elif score < heads[kept - 1]:
        at = most - 1
    else:
        return kept
    while at > 0 and heads[at - 1] > score:
        heads[at], marks[at] = heads[at - 1], marks[at - 1]
        for c in range(HISTORY_FIELDS):
            rows[at, c] = rows[at - 1, c]
        at -= 1
    heads[at], marks[at] = score, mark
    rows[at, 0], rows[at, 1], rows[at, 2], rows[at, 3], rows[at, 4], rows[at, 5] = row
    return kept


@njit(cache=True)
def _join_all(
    rects: Any, n: int, head: Any, given: Any, rng: Any, seen: Any, best: Any, most: int, kept: int
) -> int:
    """Every way to join two rectangles of a forest, kept where it is among the best; returns how many are kept."""
    parent, before, old_mark, stamp = head
    heads, marks, rows = best
    noise = given[3][3]
    for k in range(n):
        seen[rects[k, 0] % SIDES] = stamp
        seen[rects[k, 1] % SIDES] = stamp
    for i in range(n):
        one = rects[i, TURNS]
        for j in range(i):
            a, b, c, d = rects[i, 0], rects[i, 1], rects[j, 0], rects[j, 1]
            other = rects[j, TURNS]
            if not (a == c or b == d or ((one or other) and (a == d or b == c))):
                continue
            both = one & other
            for way in range(2 * (1 + (one | other))):
                axis = way & 1
                if way == 2:
                    if one:
                        a, b = b, a
                    else:
                        c, d = d, c
                if (axis == 0 and a != c) or (axis == 1 and b != d):
                    continue
                p, q = (a, b + d) if axis == 0 else (a + c, b)
                limit = heads[kept - 1] - before if kept == most else NEVER
                on = seen[(q if axis == 0 else p) % SIDES] == stamp
                score = _score(rects, n, i, j, (p, q, both, axis), given, on, limit)
                if score >= limit:
                    continue
                if both and p < q:
                    p, q = q, p
                mark = old_mark + _mix(p, q, both)
                mark -= _mix(rects[i, 0], rects[i, 1], one) + _mix(rects[j, 0], rects[j, 1], other)
                score += before + noise * (chance(rng, 1 << 16) + chance(rng, 1 << 16)) / 65536.0
                kept = _keep(score, mark, (parent, i, j, p, q, both), heads, marks, rows, most, kept)
    return kept


@njit(cache=True)
def _left(rects: Any, n: int, given: Any, counts: Any) -> int:
    """How many rectangles are not yet whole sheets of the numbers that would do best, those kept apart included."""
    sheets, targets = given[0], given[1]
    for s in range(sheets.shape[0]):
        counts[s] = 0
    for k in range(n):
        a, b = rects[k, 0], rects[k, 1]
        for s in range(sheets.shape[0]):
            length, width = sheets[s, 0], sheets[s, 1]
            if (a == length and b == width) or (rects[k, TURNS] == 1 and b == length and a == width):
                counts[s] += 1
                break
    most = -(2**62)
    for t in range(targets.shape[0]):
        done = targets[t, sheets.shape[0]]
        for s in range(sheets.shape[0]):
            done += min(counts[s], targets[t, s])
        most = max(most, done)
    return n - most


@njit(cache=True)
def join(n: int, breadth: int, given: Any, rng: Any, work: Any, history: Any) -> Any:
    """(rectangles left over, joins made, column) of the best forest; its joins are followed back in the history.

    Begins with the n rectangles of the first forest in the room to work in.
    """
    forests, heads, marks, seen, counts = work
    for k in range(seen.shape[0]):
        seen[k] = -1
    heads[0, 0], marks[0, 0] = 0.0, 0
    least, joins, column = _left(forests[0, 0], n, given, counts), 0, 0
    count, level, stamp = 1, 0, 0
    while n > 1 and least > 0 and count > 0:
        old, new = level & 1, 1 - (level & 1)
        best = (heads[new], marks[new], history[level])
        kept = 0
        for f in range(count):
            head = (f, heads[old, f], marks[old, f], stamp)
            kept = _join_all(forests[old, f], n, head, given, rng, seen, best, breadth, kept)
            stamp += 1
        n -= 1
        for k in range(kept):
            parent, one, other = history[level, k, PARENT], history[level, k, ONE], history[level, k, OTHER]
            for r in range(n + 1):
                for c in range(3):
                    forests[new, k, r, c] = forests[old, parent, r, c]
            for c in range(3):
                forests[new, k, one, c] = history[level, k, JOINED + c]
                forests[new, k, other, c] = forests[new, k, n, c]
            left = _left(forests[new, k], n, given, counts)
            if left < least:
                least, joins, column = left, level + 1, k
        count = kept
        level += 1
    return least, joins, column
