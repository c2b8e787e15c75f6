"""Free room on one sheet, compiled: as a tree of edge-to-edge cuts, or as all largest free rectangles.

A tree of cuts: a node is a free piece, a part, or a piece sliced along one axis into children that alternate in axis
from level to level.  The free children of a piece are always one, since slices may change places.  So a part that is
taken out gives its room back to its whole neighbourhood, and every tree can be cut edge to edge as it stands.
"""

from __future__ import annotations

from typing import Any

from numba import njit

UNUSED, FREE, PART, SLICED = 0, 1, 2, 3

KIND, UP, DOWN, NEXT, PREV, AXIS, LENGTH, WIDTH, WHERE = range(9)
"""Columns of a node: what it is, its place in the tree, the axis it is sliced along, its size, its place in the list
of free pieces (or the part's number)."""

NODE_FIELDS = 9

TOP, SPARE, ROOMS, PARTS, ROOM = range(5)
"""Columns of a sheet's head: nodes ever used, first node to use again, free pieces, parts, free area."""


@njit(cache=True)
def plant(tree: Any, leaves: Any, head: Any, length: int, width: int) -> None:
    """The tree of an empty sheet: one free piece below the root."""
    tree[0, KIND], tree[0, UP], tree[0, DOWN], tree[0, NEXT], tree[0, PREV] = SLICED, -1, 1, -1, -1
    tree[0, AXIS], tree[0, LENGTH], tree[0, WIDTH] = 0, length, width
    head[TOP], head[SPARE], head[ROOMS] = 1, -1, 0
    leaf = _new_node(tree, head, FREE, length, width)
    tree[leaf, UP], tree[leaf, NEXT], tree[leaf, PREV] = 0, -1, -1
    _list_leaf(tree, leaves, head, leaf)


@njit(cache=True)
def _new_node(tree: Any, head: Any, kind: int, length: int, width: int) -> int:
    if head[SPARE] >= 0:
        node = head[SPARE]
        head[SPARE] = tree[node, NEXT]
    else:
        node = head[TOP]
        head[TOP] += 1
    tree[node, KIND], tree[node, DOWN], tree[node, LENGTH], tree[node, WIDTH] = kind, -1, length, width
    return int(node)


@njit(cache=True)
def _drop_node(tree: Any, head: Any, node: int) -> None:
    tree[node, KIND] = UNUSED
    tree[node, NEXT] = head[SPARE]
    head[SPARE] = node


@njit(cache=True)
def _list_leaf(tree: Any, leaves: Any, head: Any, node: int) -> None:
    tree[node, WHERE] = head[ROOMS]
    leaves[head[ROOMS]] = node
    head[ROOMS] += 1


@njit(cache=True)
def _unlist_leaf(tree: Any, leaves: Any, head: Any, node: int) -> None:
    head[ROOMS] -= 1
    last = leaves[head[ROOMS]]
    leaves[tree[node, WHERE]] = last
    tree[last, WHERE] = tree[node, WHERE]


@njit(cache=True)
def _link_first(tree: Any, parent: int, node: int) -> None:
    first = tree[parent, DOWN]
    tree[node, UP], tree[node, PREV], tree[node, NEXT] = parent, -1, first
    if first >= 0:
        tree[first, PREV] = node
    tree[parent, DOWN] = node


@njit(cache=True)
def _unlink(tree: Any, node: int) -> None:
    before, after = tree[node, PREV], tree[node, NEXT]
    if before >= 0:
        tree[before, NEXT] = after
    else:
        tree[tree[node, UP], DOWN] = after
    if after >= 0:
        tree[after, PREV] = before


@njit(cache=True)
def cut_in(
    tree: Any, leaves: Any, head: Any, leaf: int, along: int, across: int, axis: int, part: int
) -> int:
    """The node of a part cut from the corner of a free piece, -1 when no nodes are left.

    The first cut frees a strip for the part along ``axis`` (0: as long as the part, 1: as wide), a second cut the part.
    """
    if head[TOP] + 4 > tree.shape[0]:
        return -1
    other = 1 - axis
    if (along if axis == 0 else across) == tree[leaf, LENGTH + axis]:
        axis, other = other, axis
    own = along if axis == 0 else across
    beside = across if axis == 0 else along
    if own == tree[leaf, LENGTH + axis]:
        _unlist_leaf(tree, leaves, head, leaf)
        tree[leaf, KIND], tree[leaf, WHERE] = PART, part
        return leaf
    parent = tree[leaf, UP]
    if tree[parent, AXIS] != axis:
        sliced = _new_node(tree, head, SLICED, tree[leaf, LENGTH], tree[leaf, WIDTH])
        tree[sliced, AXIS] = axis
        _unlink(tree, leaf)
        _link_first(tree, parent, sliced)
        _link_first(tree, sliced, leaf)
        parent = sliced
    room = tree[leaf, LENGTH + other]
    tree[leaf, LENGTH + axis] -= own
    node = _new_node(tree, head, PART, along, across)
    tree[node, WHERE] = part
    if beside == room:
        _link_first(tree, parent, node)
        return node
    strip = _new_node(tree, head, SLICED, along, across)
    tree[strip, LENGTH + other] = room
    tree[strip, AXIS] = other
    _link_first(tree, parent, strip)
    rest = _new_node(tree, head, FREE, along, across)
    tree[rest, LENGTH + other] = room - beside
    _link_first(tree, strip, rest)
    _list_leaf(tree, leaves, head, rest)
    _link_first(tree, strip, node)
    return node


@njit(cache=True)
def take_back(tree: Any, leaves: Any, head: Any, node: int) -> None:
    """Makes a part's piece free again, one with all that is free beside it."""
    while True:
        parent = tree[node, UP]
        axis = tree[parent, AXIS]
        extent = tree[node, LENGTH + axis]
        _unlink(tree, node)
        _drop_node(tree, head, node)
        free = tree[parent, DOWN]
        while free >= 0 and tree[free, KIND] != FREE:
            free = tree[free, NEXT]
        if free >= 0:
            tree[free, LENGTH + axis] += extent
        else:
            free = _new_node(tree, head, FREE, tree[parent, LENGTH], tree[parent, WIDTH])
            tree[free, LENGTH + axis] = extent
            _link_first(tree, parent, free)
            _list_leaf(tree, leaves, head, free)
        if parent == 0 or tree[free, NEXT] >= 0 or tree[free, PREV] >= 0:
            return
        _unlist_leaf(tree, leaves, head, free)
        _drop_node(tree, head, free)
        node = parent


@njit(cache=True)
def take_out(rooms: Any, head: Any, px: int, py: int, a: int, b: int, least: int) -> bool:
    """All largest free rectangles without a part's area, those of no use (a side under ``least``) left out.

    False when there are too many to keep.
    """
    count = head[ROOMS]
    fresh = count
    for f in range(count):
        fx, fy, fl, fw = rooms[f, 0], rooms[f, 1], rooms[f, 2], rooms[f, 3]
        if px >= fx + fl or px + a <= fx or py >= fy + fw or py + b <= fy:
            continue
        rooms[f, 2] = 0
        if fresh + 4 > rooms.shape[0]:
            return False
        if px - fx >= least:
            fresh = _set(rooms, fresh, fx, fy, px - fx, fw)
        if fx + fl - px - a >= least:
            fresh = _set(rooms, fresh, px + a, fy, fx + fl - px - a, fw)
        if py - fy >= least:
            fresh = _set(rooms, fresh, fx, fy, fl, py - fy)
        if fy + fw - py - b >= least:
            fresh = _set(rooms, fresh, fx, py + b, fl, fy + fw - py - b)
    kept = 0
    for f in range(count):
        if rooms[f, 2] > 0:
            _set(rooms, kept, rooms[f, 0], rooms[f, 1], rooms[f, 2], rooms[f, 3])
            kept += 1
    for f in range(count, fresh):
        # what was not split holds no room that lies in a split one: only the fresh ones may lie in others
        if not (_inside_some(rooms, f, 0, kept) or _inside_some(rooms, f, f + 1, fresh)):
            _set(rooms, kept, rooms[f, 0], rooms[f, 1], rooms[f, 2], rooms[f, 3])
            kept += 1
    head[ROOMS] = kept
    return True


@njit(cache=True)
def _set(rooms: Any, f: int, px: int, py: int, a: int, b: int) -> int:
    rooms[f, 0], rooms[f, 1], rooms[f, 2], rooms[f, 3] = px, py, a, b
    return f + 1


@njit(cache=True)
def _inside_some(rooms: Any, f: int, start: int, end: int) -> bool:
    for g in range(start, end):
        if (
            rooms[f, 0] >= rooms[g, 0]
            and rooms[f, 1] >= rooms[g, 1]
            and rooms[f, 0] + rooms[f, 2] <= rooms[g, 0] + rooms[g, 2]
            and rooms[f, 1] + rooms[f, 3] <= rooms[g, 1] + rooms[g, 3]
        ):
            return True
    return False
