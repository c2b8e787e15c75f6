"""A sheet filled without any waste, compiled: depth first, always at the corner that the fewest parts fit into.

Where nothing is wasted, some part has a corner of its own in every free corner of less than 180 degrees, and a side
along the free corner's first side; so it is with the last side.  So the search knows at every step a short list of
parts, one of which must lie there, and turns back as soon as a list is empty.  Gaps, corners and orders: see
nesting.shaping.kernels_gaps.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numba import njit

from nesting.shaping.kernels_angles import HAIR
from nesting.shaping.kernels_gaps import ANGLE, GAPS, KIND, OF, POOL, X, Y, list_gaps
from nesting.shaping.kernels_places import COUNT, is_among, put, touching
from nesting.sizing.kernels_chance import share

NOISE = 0.3
"""By how much chance changes the order of parts, in shares of an outline that touches."""

FLUSH, MEETING, LARGE = 0.3, 1.0, 0.5
"""What counts beside the share that touches: filling an angle exactly, the share of corners that meet corners, and the
share of the sheet that the part takes."""


@njit(cache=True)
def _ranked(
    shapes: Any,
    corners: Any,
    load: Any,
    size: Any,
    points: Any,
    count: int,
    gap: Any,
    rows: Any,
    n: int,
    areas: Any,
    rng: Any,
) -> None:
    """Orders the parts for a corner: those first that touch most and meet corners with corners."""
    keys = np.empty(n)
    for i in range(n):
        row = corners[rows[i]]
        q, x, y = int(row[OF]), gap[0] - row[X], gap[1] - row[Y]
        key = touching(shapes, load, 0, size[0], size[1], q, x, y) + NOISE * share(rng)
        if abs(row[ANGLE] - gap[3]) < HAIR:
            key += FLUSH
        met, first, last = 0, shapes[4][q], shapes[4][q + 1]
        for e in range(first, last):
            if is_among(points, count, shapes[5][e, 0] + x, shapes[5][e, 1] + y):
                met += 1
        key += MEETING * met / (last - first) + LARGE * areas[int(row[KIND])] / (size[0] * size[1])
        at, own = i, rows[i]
        while at > 0 and keys[at - 1] < key:
            rows[at], keys[at] = rows[at - 1], keys[at - 1]
            at -= 1
        rows[at], keys[at] = own, key


@njit(cache=True)
def fill_without_waste(
    shapes: Any,
    tables: Any,
    corners: Any,
    orders: Any,
    sides: Any,
    areas: Any,
    left: Any,
    load: Any,
    size: Any,
    root: int,
    nodes: int,
    rng: Any,
) -> Any:
    """The tables, and whether the sheet (number 0 of the load) was filled without waste, the part ``root`` first.

    ``root`` is a row of the corners: that corner comes to lie at (0, 0).  The load counts parts from 0 as they were
    laid; which kind each one is follows from its pose.  It gives up after so many nodes.
    """
    most = load[1].shape[1]
    points = np.empty((4 + shapes[5].shape[0], 2))
    for i in range(4):
        points[i, 0], points[i, 1] = size[0] * (i % 2), size[1] * (i // 2)
    gaps, lists = np.empty((most + 1, GAPS, 5)), np.empty((most + 1, GAPS, 2), np.int64)
    pools = np.empty((most + 1, POOL), np.int32)
    held, chosen, turn = (
        np.zeros(most + 1, np.int64),
        np.zeros(most + 1, np.int64),
        np.zeros(most + 1, np.int64),
    )
    known, kinds = np.empty(most + 2, np.int64), np.empty(most + 1, np.int64)
    total, goal, depth = 0.0, size[0] * size[1], 0
    # only the corner at (0, 0) is known at first, and what lies in it; the others are looked up when a part is there
    gaps[0, 0], lists[0, 0] = 0.0, 0
    known[0], held[0], gaps[0, 0, 3], lists[0, 0, 1], pools[0, 0] = 4, 1, np.pi / 2, 1, root
    while depth >= 0:
        first, last = lists[depth, chosen[depth]]
        if first + turn[depth] == last or nodes <= 0:
            depth -= 1
            if depth >= 0:
                # the part of this depth goes back
                load[COUNT][0] -= 1
                left[kinds[depth]] += 1
                total -= areas[kinds[depth]]
            continue
        row, gap = corners[pools[depth, first + turn[depth]]], gaps[depth, chosen[depth]]
        turn[depth] += 1
        nodes -= 1
        kind, q, x, y = int(row[KIND]), int(row[OF]), gap[0] - row[X], gap[1] - row[Y]
        put(load, 0, depth, q, x, y)
        kinds[depth] = kind
        left[kind] -= 1
        total += areas[kind]
        if total >= goal * (1 - 1e-9):
            return tables, True
        count = known[depth]
        for e in range(shapes[4][q], shapes[4][q + 1]):
            px, py = shapes[5][e, 0] + x, shapes[5][e, 1] + y
            if not is_among(points, count, px, py):
                points[count, 0], points[count, 1] = px, py
                count += 1
        old = 0 if depth == 0 else known[depth]
        depth += 1
        known[depth], turn[depth], chosen[depth], lists[depth, 0] = count, 0, 0, 0
        if depth == most:
            continue
        tables, alive = list_gaps(
            shapes,
            tables,
            corners,
            orders,
            sides,
            left,
            load,
            size,
            points,
            old,
            count,
            gaps,
            lists,
            pools,
            held,
            depth,
        )
        if not alive:
            lists[depth, 0] = 0
            continue
        for g in range(held[depth]):
            c = chosen[depth]
            if lists[depth, g, 1] - lists[depth, g, 0] < lists[depth, c, 1] - lists[depth, c, 0]:
                chosen[depth] = g
        first, last = lists[depth, chosen[depth]]
        gap = gaps[depth, chosen[depth]]
        _ranked(
            shapes,
            corners,
            load,
            size,
            points,
            count,
            gap,
            pools[depth, first:last],
            last - first,
            areas,
            rng,
        )
    return tables, False
