"""One sheet while it is being refilled, compiled: opened, looked over for room, given parts and relieved of them.

State of the sheets: a tuple (kind, heads, rooms, leaves, own), one row for each sheet that may be open.  ``kind`` is
the sheet size or -1; ``rooms`` and ``leaves`` are those of kernels_trees; ``own`` holds the parts: number, node
or x, y, turned.  What never changes is a tuple, too: (sheets, price, parts, share of each part, edge to edge, longest
cut, least side of a part, tuning).
"""

from __future__ import annotations

from typing import Any

from numba import njit

from nesting.placing.kernels_trees import LENGTH, PARTS, ROOM, ROOMS, TOP, cut_in, plant, take_back, take_out
from nesting.sizing.kernels_chance import chance

NO_ROOM = 1e300


@njit(cache=True)
def copy_sheet(a: Any, b: Any, s: int) -> None:
    """Copies one sheet from state a to state b."""
    b[0][s] = a[0][s]
    if a[0][s] < 0:
        return
    for i in range(a[1].shape[1]):
        b[1][s, i] = a[1][s, i]
    for i in range(a[1][s, TOP]):
        for j in range(a[2].shape[2]):
            b[2][s, i, j] = a[2][s, i, j]
        b[3][s, i] = a[3][s, i]
    for i in range(a[1][s, PARTS]):
        for j in range(4):
            b[4][s, i, j] = a[4][s, i, j]


@njit(cache=True)
def open_sheet(state: Any, s: int, size: int, given: Any) -> None:
    """Makes a sheet empty, of a size."""
    kind, heads, rooms, leaves, _ = state
    length, width = given[0][size, 0], given[0][size, 1]
    kind[s] = size
    heads[s, PARTS], heads[s, ROOM] = 0, length * width
    if given[4]:
        plant(rooms[s], leaves[s], heads[s], length, width)
    else:
        heads[s, ROOMS], heads[s, TOP] = 1, 1
        rooms[s, 0, 0], rooms[s, 0, 1], rooms[s, 0, 2], rooms[s, 0, 3] = 0, 0, length, width


@njit(cache=True)
def best_room(state: Any, s: int, part: int, given: Any, rule: int, blink: Any, rng: Any) -> Any:
    """(score, room, turned, first cut's axis) of the best room for a part on a sheet; NO_ROOM where there is none.

    Now and then a room is passed over by chance (``blink``: rooms until then, most rooms between two).
    """
    rooms, leaves, head = state[2][s], state[3][s], state[1][s]
    parts, edge_to_edge, longest = given[2], given[4], given[5]
    best, found, best_turn, best_axis = NO_ROOM, -1, 0, 0
    for f in range(head[ROOMS]):
        node = leaves[f] if edge_to_edge else f
        column = LENGTH if edge_to_edge else 2
        length, width = rooms[node, column], rooms[node, column + 1]
        for turn in range(1 + parts[part, 2]):
            a, b = parts[part, turn], parts[part, 1 - turn]
            if a > length or b > width:
                continue
            blink[0] -= 1
            if blink[0] <= 0:
                blink[0] = 1 + chance(rng, blink[1])
                continue
            for axis in range(2 if edge_to_edge else 1):
                if edge_to_edge:
                    score = _cut_score(length, width, a, b, axis, longest, rule)
                else:
                    score = _free_score(rooms[node, 0], rooms[node, 1], length, width, a, b, rule)
                if score < best:
                    best, found, best_turn, best_axis = score, node, turn, axis
    return best, found, best_turn, best_axis


@njit(cache=True)
def _cut_score(length: int, width: int, a: int, b: int, axis: int, longest: int, rule: int) -> float:
    """Less is better: what a part cut from a free piece spoils of it; NO_ROOM where the shear is too short."""
    if axis == 1:
        length, width, a, b = width, length, b, a
    if (a < length and width > longest) or (b < width and a > longest):
        return NO_ROOM
    rest, beside = float(length - a) * width, float(width - b) * a
    if rule & 1:
        return float(min(length - a, width - b)) - max(rest, beside) * 1e-12
    whole = float(length) * width
    return whole * whole - rest * rest - beside * beside


@njit(cache=True)
def _free_score(x: int, y: int, length: int, width: int, a: int, b: int, rule: int) -> float:
    """Less is better: a small room, a side that fits, a place far left, a place far down."""
    if rule == 0:
        return float(length) * width
    if rule == 1:
        return float(min(length - a, width - b)) + 1e-7 * max(length - a, width - b)
    if rule == 2:
        return float(x + a) + 1e-7 * (y + b)
    return float(y + b) + 1e-7 * (x + a)


@njit(cache=True)
def put(state: Any, s: int, part: int, room: int, turned: int, axis: int, corner: int, given: Any) -> bool:
    """Puts a part into a room; False when the sheet has no memory left for it."""
    _, heads, rooms, leaves, own = state
    n = heads[s, PARTS]
    a, b = given[2][part, turned], given[2][part, 1 - turned]
    if n >= own.shape[1]:
        return False
    own[s, n, 0], own[s, n, 3] = part, turned
    if given[4]:
        node = cut_in(rooms[s], leaves[s], heads[s], room, a, b, axis, part)
        if node < 0:
            return False
        own[s, n, 1] = node
    else:
        x = rooms[s, room, 0] + (rooms[s, room, 2] - a if corner & 1 else 0)
        y = rooms[s, room, 1] + (rooms[s, room, 3] - b if corner & 2 else 0)
        own[s, n, 1], own[s, n, 2] = x, y
        if not take_out(rooms[s], heads[s], x, y, a, b, given[6]):
            return False
        heads[s, TOP] = max(heads[s, TOP], heads[s, ROOMS])
    heads[s, PARTS] += 1
    heads[s, ROOM] -= a * b
    return True


@njit(cache=True)
def take(state: Any, s: int, i: int, home: Any, given: Any, closing: bool) -> int:
    """Takes the i-th part off a sheet and returns it; its room becomes free in a tree, unless the sheet is ``closing``.

    Largest free rectangles are left as they were: `find_rooms` finds them when all parts are off.
    """
    _, heads, rooms, leaves, own = state
    part = own[s, i, 0]
    if given[4] and not closing:
        take_back(rooms[s], leaves[s], heads[s], own[s, i, 1])
    last = heads[s, PARTS] - 1
    if i < last:
        for j in range(4):
            own[s, i, j] = own[s, last, j]
        home[own[s, i, 0], 1] = i
    heads[s, PARTS] = last
    heads[s, ROOM] += given[2][part, 0] * given[2][part, 1]
    home[part, 0] = -1
    return int(part)


@njit(cache=True)
def find_rooms(state: Any, s: int, given: Any) -> bool:
    """All largest free rectangles of a sheet, from its parts; False when there are too many to keep."""
    kind, heads, rooms, _, own = state
    parts = given[2]
    n, room = heads[s, PARTS], heads[s, ROOM]
    open_sheet(state, s, kind[s], given)
    heads[s, PARTS], heads[s, ROOM] = n, room
    for i in range(n):
        part, turned = own[s, i, 0], own[s, i, 3]
        a, b = parts[part, turned], parts[part, 1 - turned]
        if not take_out(rooms[s], heads[s], own[s, i, 1], own[s, i, 2], a, b, given[6]):
            return False
    heads[s, TOP] = max(heads[s, TOP], heads[s, ROOMS])
    return True
