"""Compiled loops for edge-to-edge cutting: the smallest boxes that sets of parts are cut from, and peeling them off.

Plain arrays in and out; everything that has a name outside lives in edgefitting.  A set of parts has a number:
its counts by class are the digits, so that the numbers of two sets add up to that of both together.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

BOXES_MOST = 400_000
"""Most boxes kept in all; a question that needs more stays open."""

FRONT_MOST = 600
"""Most boxes kept for one set of parts."""


@njit(cache=True)
def smallest_boxes(
    counts: Any,
    owner: Any,
    along: Any,
    across: Any,
    length: int,
    width: int,
    longest: int,
    waste: int,
    least: int,
    sums: Any,
    cross_sums: Any,
    most_work: int,
) -> Any:
    """For every set of the parts, the boxes it can be cut from such that no smaller one does.

    ``counts`` are the parts of each class; placing i of class ``owner[i]`` is ``along[i]`` by ``across[i]``.  Boxes
    that no layout of all the parts with at most ``waste`` can hold are left out: ``sums`` and ``cross_sums`` are the
    lengths that parts side by side can fill, ``least`` (0 for none) is the least way across of an offcut that shall
    remain.  Returns (finished, boxes, first): ``boxes[first[s]:first[s + 1]]`` are those of set s, along ascending,
    each as along, across, how (-1 a part alone, 0 two boxes side by side, 1 one above the other), and the two boxes
    (or the placing).
    """
    classes = counts.shape[0]
    sets = 1
    for k in range(classes):
        sets *= counts[k] + 1
    boxes = np.empty((BOXES_MOST, 5), np.int64)
    first = np.zeros(sets + 1, np.int64)
    front = np.empty((FRONT_MOST, 5), np.int64)
    digits = np.zeros(classes, np.int64)
    part = np.zeros(classes, np.int64)
    weight = np.ones(classes, np.int64)
    for k in range(1, classes):
        weight[k] = weight[k - 1] * (counts[k - 1] + 1)
    area_of = np.zeros(classes, np.int64)
    for i in range(owner.shape[0]):
        area_of[owner[i]] = along[i] * across[i]
    total = 0
    work = 0
    for s in range(1, sets):
        k = 0
        while digits[k] == counts[k]:
            digits[k] = 0
            k += 1
        digits[k] += 1
        area = 0
        size = 0
        for k in range(classes):
            area += digits[k] * area_of[k]
            size += digits[k]
        held = 0
        if size == 1:
            for i in range(owner.shape[0]):
                if digits[owner[i]] == 1:
                    held = _keep(front, held, along[i], across[i], -1, i, 0)
        first_part = 0
        for j in range(part.shape[0]):
            part[j] = 0
        while True:
            # the next set within this one
            k = 0
            while k < classes and part[k] == digits[k]:
                first_part -= part[k] * weight[k]
                part[k] = 0
                k += 1
            if k == classes:
                break
            part[k] += 1
            first_part += weight[k]
            work += 1
            rest = s - first_part
            if first_part > rest:
                continue
            f0, f1 = first[first_part], first[first_part + 1]
            r0, r1 = first[rest], first[rest + 1]
            if f0 == f1 or r0 == r1:
                continue
            # side by side: from the least height upwards, each time the shortest boxes no higher than that
            i, j = f1 - 1, r1 - 1
            while True:
                work += 1
                high = max(boxes[i, 1], boxes[j, 1])
                long = boxes[i, 0] + boxes[j, 0]
                if high > longest:
                    break
                if long <= length and _can_be_in(
                    long, high, area, length, width, waste, least, s == sets - 1, sums, cross_sums
                ):
                    held = _keep(front, held, long, high, 0, i, j)
                up_i = boxes[i - 1, 1] if i > f0 else -1
                up_j = boxes[j - 1, 1] if j > r0 else -1
                if up_i < 0 and up_j < 0:
                    break
                if up_j < 0 or (0 <= up_i <= up_j):
                    i -= 1
                else:
                    j -= 1
            # one above the other: from the least length upwards
            i, j = f0, r0
            while True:
                work += 1
                long = max(boxes[i, 0], boxes[j, 0])
                high = boxes[i, 1] + boxes[j, 1]
                if long > longest:
                    break
                if high <= width and _can_be_in(
                    long, high, area, length, width, waste, least, s == sets - 1, sums, cross_sums
                ):
                    held = _keep(front, held, long, high, 1, i, j)
                up_i = boxes[i + 1, 0] if i + 1 < f1 else -1
                up_j = boxes[j + 1, 0] if j + 1 < r1 else -1
                if up_i < 0 and up_j < 0:
                    break
                if up_j < 0 or (0 <= up_i <= up_j):
                    i += 1
                else:
                    j += 1
            if held < 0 or work > most_work:
                return False, boxes[:0], first
        if total + held > BOXES_MOST:
            return False, boxes[:0], first
        for i in np.argsort(front[:held, 0]):
            boxes[total] = front[i]
            total += 1
        first[s + 1] = total
    return True, boxes[:total].copy(), first


@njit(cache=True)
def _keep(front: Any, held: int, a: int, b: int, how: int, one: int, other: int) -> int:
    """Puts a box among those of a set unless one there is no larger, and takes out larger ones; -1 when full."""
    if held < 0:
        return -1
    kept = 0
    for i in range(held):
        if front[i, 0] <= a and front[i, 1] <= b:
            return held
    for i in range(held):
        if front[i, 0] >= a and front[i, 1] >= b:
            continue
        if kept != i:
            front[kept] = front[i]
        kept += 1
    if kept == FRONT_MOST:
        return -1
    front[kept, 0], front[kept, 1], front[kept, 2], front[kept, 3], front[kept, 4] = a, b, how, one, other
    return kept + 1


@njit(cache=True)
def _can_be_in(
    a: int,
    b: int,
    area: int,
    length: int,
    width: int,
    waste: int,
    least: int,
    is_all: bool,
    sums: Any,
    cross_sums: Any,
) -> bool:
    """False where the box and what can never be filled beside and above it waste more than there is to waste."""
    spoilt = a * b - area
    if spoilt > waste:
        return False
    if is_all:
        return True
    return (
        spoilt + b * _unfilled(length - a, least, sums) + a * _unfilled(width - b, least, cross_sums) <= waste
    )


@njit(cache=True)
def _unfilled(gap: int, least: int, sums: Any) -> int:
    """How much of a gap stays empty on every line through it, unless an offcut may lie there."""
    if 0 < least <= gap:
        return 0
    return int(gap - sums[np.searchsorted(sums, gap, side="right") - 1]) if sums.shape[0] else 0


@njit(cache=True)
def best_peelings(
    counts: Any,
    boxes: Any,
    first: Any,
    areas: Any,
    length: int,
    width: int,
    longest: int,
    least: int,
    beyond: int,
    wanted: int,
    floor: int,
    most_work: int,
) -> Any:
    """The ways to peel all parts off a sheet, box by box over its whole width or length, that leave most in one piece.

    Boxes are taken off the left and off the bottom in turns, each piece as narrow as its parts allow.  ``beyond`` is
    what an offcut gains past the usable sheet, ``least`` its least way across, ``areas`` the area of each set.
    Returns (finished, left, paths, depth): for each of at most ``wanted`` peelings that leave more than ``floor``
    the area left and its steps (box, axis), 0 for a piece off the left.
    """
    classes = counts.shape[0]
    sets = first.shape[0] - 1
    weight = np.ones(classes, np.int64)
    for k in range(1, classes):
        weight[k] = weight[k - 1] * (counts[k - 1] + 1)
    deepest = counts.sum()
    left = np.full(wanted, floor, np.int64)
    paths = np.zeros((wanted, deepest, 2), np.int64)
    depths = np.zeros(wanted, np.int64)
    path = np.zeros((deepest, 2), np.int64)
    digits = np.zeros((deepest + 1, classes), np.int64)
    part = np.zeros((deepest + 1, classes), np.int64)
    peeled = np.zeros(deepest + 1, np.int64)
    region = np.zeros((deepest + 1, 2), np.int64)
    rest = np.zeros(deepest + 1, np.int64)
    work = 0
    for first_axis in range(2):
        level = 0
        digits[0] = counts
        part[0] = 0
        peeled[0] = 0
        rest[0] = sets - 1
        region[0, 0], region[0, 1] = length, width
        while level >= 0:
            k = 0
            while k < classes and part[level, k] == digits[level, k]:
                peeled[level] -= part[level, k] * weight[k]
                part[level, k] = 0
                k += 1
            if k == classes:
                level -= 1
                continue
            part[level, k] += 1
            peeled[level] += weight[k]
            work += 1
            if work > most_work:
                return False, left, paths, depths
            axis = (first_axis + level) % 2
            x, y = region[level, 0], region[level, 1]
            if axis == 1 and x > longest >= y:
                # the far end comes off first, or no cut along can be made
                x = longest
            elif axis == 0 and y > longest >= x:
                y = longest
            if (y if axis == 0 else x) > longest:
                level -= 1
                continue
            box = _narrowest(boxes, first[peeled[level]], first[peeled[level] + 1], x, y, axis)
            if box < 0:
                continue
            if axis == 0:
                x -= boxes[box, 0]
            else:
                y -= boxes[box, 1]
            if min(x, y) + beyond < least:
                continue
            over = rest[level] - peeled[level]
            area = (x + beyond) * (y + beyond) - areas[over]
            worst = left.argmin()
            if area <= left[worst]:
                continue
            path[level, 0], path[level, 1] = box, axis
            if over == 0:
                left[worst] = area
                paths[worst] = path
                depths[worst] = level + 1
                continue
            for k in range(classes):
                digits[level + 1, k] = digits[level, k] - part[level, k]
            level += 1
            part[level] = 0
            peeled[level] = 0
            rest[level] = over
            region[level, 0], region[level, 1] = x, y
    return True, left, paths, depths


@njit(cache=True)
def _narrowest(boxes: Any, start: int, end: int, x: int, y: int, axis: int) -> int:
    """The box of a set that fits x by y and takes least off it along an axis; -1 when none fits."""
    if axis == 0:
        for i in range(start, end):
            if boxes[i, 1] <= y:
                return i if boxes[i, 0] <= x else -1
    else:
        for i in range(end - 1, start - 1, -1):
            if boxes[i, 0] <= x:
                return i if boxes[i, 1] <= y else -1
    return -1
