"""No-fit polygons, compiled: where the corner of one shape may not lie when another shape lies at (0, 0).

Shapes are unions of convex parts, and a pose is a shape in one turn, its lower left corner at (0, 0).  ``shapes`` is a
tuple: (first convex part of each pose, first point of each part, points, sizes of the poses, first edge of each pose,
edges as x0, y0, x1, y1 with metal on their left).  ``tables`` hold what was found for pairs of poses so far: (number of
each pair, its ranges of polygons and of segments, box of each pair, range of sides of each polygon, box of each
polygon, sides as normal, offset and corner where they begin, segments, how many of each are in use).

A polygon is the sum of a convex part and another turned by half: two shapes overlap where the place lies inside any
polygon of their pair.  Segments are the sides of polygons less what lies inside others: there the shapes touch.  They
keep single points, so that a shape finds a slot that it fills exactly.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

EPS = 1e-6
"""Overlaps less deep than this count as none: they come from float arithmetic."""

PAIRS, POLYGONS, SIDES, SEGMENTS = range(4)
"""Columns of what is in use."""

PARALLEL = 1e-12
SHORT = 1e-9


@njit(cache=True)
def no_tables(poses: int) -> Any:
    """Tables that know no pair yet."""
    return (
        np.full((poses, poses), -1, np.int32),
        np.zeros((64, 4), np.int32),
        np.zeros((64, 4)),
        np.zeros((256, 2), np.int32),
        np.zeros((256, 4)),
        np.zeros((1024, 5)),
        np.zeros((1024, 4)),
        np.zeros(4, np.int64),
    )


@njit(cache=True)
def _longer(array: Any, needed: int) -> Any:
    """The array, or a copy with room for as many rows as needed."""
    if needed <= array.shape[0]:
        return array
    grown = np.zeros((max(needed, 2 * array.shape[0]), array.shape[1]), array.dtype)
    grown[: array.shape[0]] = array
    return grown


@njit(cache=True)
def _lowest(points: Any, first: int, last: int, sign: float) -> int:
    """The lowest of the points (times sign), the leftmost of these."""
    best = first
    for i in range(first + 1, last):
        y, x = sign * points[i, 1], sign * points[i, 0]
        low, left = sign * points[best, 1], sign * points[best, 0]
        if y < low or (y == low and x < left):
            best = i
    return best


@njit(cache=True)
def _summed(points: Any, a0: int, a1: int, b0: int, b1: int, out: Any) -> int:
    """Corners of the convex part a0..a1 plus the part b0..b1 turned by half, counter-clockwise; says how many."""
    m, n = a1 - a0, b1 - b0
    i, j = _lowest(points, a0, a1, 1.0) - a0, _lowest(points, b0, b1, -1.0) - b0
    x = points[a0 + i, 0] - points[b0 + j, 0]
    y = points[a0 + i, 1] - points[b0 + j, 1]
    done_a, done_b, count = 0, 0, 0
    while done_a < m or done_b < n:
        out[count, 0], out[count, 1] = x, y
        count += 1
        ax = points[a0 + (i + 1) % m, 0] - points[a0 + i, 0]
        ay = points[a0 + (i + 1) % m, 1] - points[a0 + i, 1]
        bx = points[b0 + j, 0] - points[b0 + (j + 1) % n, 0]
        by = points[b0 + j, 1] - points[b0 + (j + 1) % n, 1]
        if done_a == m:
            turn = -1.0
        elif done_b == n:
            turn = 1.0
        else:
            turn = ax * by - ay * bx
            if abs(turn) <= PARALLEL * (abs(ax) + abs(ay)) * (abs(bx) + abs(by)):
                turn = 0.0
        # corners are sums of two points, never of steps: what touches exactly must stay exact
        if turn >= 0:
            i, done_a = (i + 1) % m, done_a + 1
        if turn <= 0:
            j, done_b = (j + 1) % n, done_b + 1
        x = points[a0 + i, 0] - points[b0 + j, 0]
        y = points[a0 + i, 1] - points[b0 + j, 1]
    return count


@njit(cache=True)
def with_pair(shapes: Any, tables: Any, p: int, q: int) -> Any:
    """The tables, with what is known of pose q beside pose p."""
    if tables[0][p, q] >= 0:
        return tables
    pair, heads, boxes, ranges, polygon_boxes, sides, segments, used = tables
    parts, starts, points = shapes[0], shapes[1], shapes[2]
    polygons = (parts[p + 1] - parts[p]) * (parts[q + 1] - parts[q])
    most = 0
    for a in range(parts[p], parts[p + 1]):
        for b in range(parts[q], parts[q + 1]):
            most += starts[a + 1] - starts[a] + starts[b + 1] - starts[b]
    number, first = used[PAIRS], used[POLYGONS]
    heads, boxes = _longer(heads, number + 1), _longer(boxes, number + 1)
    ranges = _longer(ranges, first + polygons)
    polygon_boxes = _longer(polygon_boxes, first + polygons)
    sides = _longer(sides, used[SIDES] + most)
    corners, owner = np.empty((most, 4)), np.empty(most, np.int64)
    out = np.empty((most + 2, 2))
    lines, k = 0, first
    boxes[number] = (1e300, 1e300, -1e300, -1e300)
    for a in range(parts[p], parts[p + 1]):
        for b in range(parts[q], parts[q + 1]):
            count = _summed(points, starts[a], starts[a + 1], starts[b], starts[b + 1], out)
            ranges[k, 0] = used[SIDES]
            polygon_boxes[k] = (1e300, 1e300, -1e300, -1e300)
            for v in range(count):
                w = (v + 1) % count
                for axis in range(2):
                    at = out[v, axis]
                    polygon_boxes[k, axis] = min(polygon_boxes[k, axis], at)
                    polygon_boxes[k, axis + 2] = max(polygon_boxes[k, axis + 2], at)
                dx, dy = out[w, 0] - out[v, 0], out[w, 1] - out[v, 1]
                length = (dx * dx + dy * dy) ** 0.5
                if length < SHORT:
                    continue
                s = used[SIDES]
                sides[s, 0], sides[s, 1] = dy / length, -dx / length
                sides[s, 2] = (sides[s, 0] * out[v, 0]) + (sides[s, 1] * out[v, 1])
                sides[s, 3], sides[s, 4] = out[v, 0], out[v, 1]
                used[SIDES] += 1
                corners[lines] = (out[v, 0], out[v, 1], out[w, 0], out[w, 1])
                owner[lines] = k
                lines += 1
            ranges[k, 1] = used[SIDES]
            for axis in range(2):
                boxes[number, axis] = min(boxes[number, axis], polygon_boxes[k, axis])
                boxes[number, axis + 2] = max(boxes[number, axis + 2], polygon_boxes[k, axis + 2])
            k += 1
    heads[number, 0], heads[number, 1], heads[number, 2] = first, k, used[SEGMENTS]
    cuts = np.empty((polygons + 1, 2))
    hint = first
    for line in range(lines):
        held, hint = _cut_out(corners[line], owner[line], first, k, hint, ranges, polygon_boxes, sides, cuts)
        segments = _longer(segments, used[SEGMENTS] + held + 1)
        _keep_rest(corners[line], cuts, held, segments, used)
    heads[number, 3] = used[SEGMENTS]
    pair[p, q] = number
    used[PAIRS], used[POLYGONS] = number + 1, k
    return pair, heads, boxes, ranges, polygon_boxes, sides, segments, used


@njit(cache=True)
def _cut_out(
    line: Any, own: int, first: int, last: int, hint: int, ranges: Any, boxes: Any, sides: Any, cuts: Any
) -> Any:
    """Stretches of a side, as shares of it, that lie inside other polygons of its pair: how many, and the last polygon
    looked at.  It ends at the first polygon that holds all of the side; ``hint`` is looked at first."""
    x, y, dx, dy = line[0], line[1], line[2] - line[0], line[3] - line[1]
    left, right = min(line[0], line[2]), max(line[0], line[2])
    low, high = min(line[1], line[3]), max(line[1], line[3])
    held = 0
    for turn in range(first - 1, last):
        k = hint if turn < first else turn
        if k == own or (turn == hint and held > 0):
            continue
        if boxes[k, 0] >= right or boxes[k, 2] <= left or boxes[k, 1] >= high or boxes[k, 3] <= low:
            continue
        start, end, deep_start, deep_end = 0.0, 1.0, 0.0, 1.0
        for s in range(ranges[k, 0], ranges[k, 1]):
            slope = sides[s, 0] * dx + sides[s, 1] * dy
            away = sides[s, 0] * x + sides[s, 1] * y - sides[s, 2]
            if abs(slope) < SHORT:
                if away > -EPS:
                    end = -1.0
                    break
            elif slope > 0:
                end = min(end, -away / slope)
                deep_end = min(deep_end, (-EPS - away) / slope)
            else:
                start = max(start, -away / slope)
                deep_start = max(deep_start, (-EPS - away) / slope)
            if end <= start:
                break
        if end > start and deep_end > deep_start:
            if start <= 0.0 and end >= 1.0:
                cuts[0, 0], cuts[0, 1] = 0.0, 1.0
                return 1, k
            at = held
            while at > 0 and cuts[at - 1, 0] > start:
                cuts[at, 0], cuts[at, 1] = cuts[at - 1, 0], cuts[at - 1, 1]
                at -= 1
            cuts[at, 0], cuts[at, 1] = start, end
            held += 1
    return held, hint


@njit(cache=True)
def _keep_rest(line: Any, cuts: Any, held: int, segments: Any, used: Any) -> None:
    """Adds what is left of a side between the stretches cut out of it."""
    length = abs(line[2] - line[0]) + abs(line[3] - line[1])
    at = 0.0
    for c in range(held + 1):
        to = cuts[c, 0] if c < held else 1.0
        # a single point between two stretches is kept, but not the ends of the side where they are covered
        if (to > at and (to - at) * length > SHORT) or (0.0 < at < 1.0 and abs(to - at) * length <= SHORT):
            s = used[SEGMENTS]
            segments[s, 0], segments[s, 1] = line[0], line[1]
            segments[s, 2], segments[s, 3] = line[2], line[3]
            if at > 0.0:
                segments[s, 0] = line[0] + at * (line[2] - line[0])
                segments[s, 1] = line[1] + at * (line[3] - line[1])
            if to < 1.0:
                segments[s, 2] = line[0] + to * (line[2] - line[0])
                segments[s, 3] = line[1] + to * (line[3] - line[1])
            used[SEGMENTS] += 1
        if c < held:
            at = max(at, cuts[c, 1])


@njit(cache=True)
def overlaps(tables: Any, number: int, x: float, y: float) -> bool:
    """Whether a shape at (x, y) overlaps the other one of its pair, which lies at (0, 0)."""
    boxes = tables[2]
    if x < boxes[number, 0] + EPS or x > boxes[number, 2] - EPS:
        return False
    if y < boxes[number, 1] + EPS or y > boxes[number, 3] - EPS:
        return False
    heads, ranges, inner, sides = tables[1], tables[3], tables[4], tables[5]
    for k in range(heads[number, 0], heads[number, 1]):
        if x < inner[k, 0] + EPS or x > inner[k, 2] - EPS or y < inner[k, 1] + EPS or y > inner[k, 3] - EPS:
            continue
        inside = True
        for s in range(ranges[k, 0], ranges[k, 1]):
            if sides[s, 0] * x + sides[s, 1] * y - sides[s, 2] > -EPS:
                inside = False
                break
        if inside:
            return True
    return False
