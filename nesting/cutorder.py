"""The order of edge-to-edge cuts that frees every part of a sheet, or none where there is no such order.

A cut that runs through no part never spoils the rest: what could be cut edge to edge before can be cut so in
each of the two pieces, by cuts no longer than before.  So every allowed cut is a right one, and taking them
by their use alone finds an order whenever there is one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from nesting.outline import Box
from nesting.plan import Cut

HAIR = 1e-6
"""mm (or solver units): coordinates nearer than this are one."""


@dataclass(frozen=True)
class CutUp:
    """A sheet in pieces: the cuts in order, and the pieces without a part that are left over."""

    cuts: tuple[Cut, ...]
    left_over: tuple[Box, ...]


def cut_order(
    length: float,
    width: float,
    parts: Sequence[Box],
    longest: float | None,
    *,
    kerf: float = 0.0,
    keep: float = 0.0,
) -> CutUp | None:
    """Cuts, each through the whole of one piece, that leave every part's rectangle as a piece of its own.

    ``parts`` are (x0, y0, x1, y1) on a sheet of ``length`` by ``width``; no cut is longer than ``longest``,
    and each removes ``kerf``.  What is left over on an outer side is cut off in one piece, the largest first,
    where it measures ``keep`` both ways.  None when no sequence of such cuts frees all parts.
    """
    cuts: list[Cut] = []
    left_over: list[Box] = []
    waiting = [((0.0, 0.0, length, width), list(parts))]
    while waiting:
        piece, own = waiting.pop()
        if not own:
            left_over.append(piece)
        elif not (len(own) == 1 and _same(piece, own[0])):
            step = _next_cut(piece, own, longest, kerf, keep)
            if step is None:
                return None
            axis, at = step
            cuts.append(Cut(len(cuts) + 1, axis, at, piece))
            near, _ = _edges(axis)
            low, high = halves(piece, axis, at)
            waiting.append((high, [part for part in own if part[near] >= at - HAIR]))
            waiting.append((low, [part for part in own if part[near] < at - HAIR]))
    return CutUp(tuple(cuts), tuple(left_over))


def _separating_cut(
    piece: Box, parts: Sequence[Box], longest: float | None, kerf: float
) -> tuple[str, float] | None:
    """A cut between parts that leaves some on either side, across the longer way of the piece if it can."""
    found = [
        (-(piece[far] - piece[near]), axis, at)
        for axis in "xy"
        if _is_allowed(piece, axis, longest)
        for near, far in [_edges(axis)]
        for at in _between(parts, near, far, kerf)
    ]
    return min(found)[1:] if found else None


def halves(piece: Box, axis: str, at: float) -> tuple[Box, Box]:
    """The two pieces that a cut makes of one, the left or lower one first."""
    x0, y0, x1, y1 = piece
    if axis == "x":
        return (x0, y0, at, y1), (at, y0, x1, y1)
    return (x0, y0, x1, at), (x0, at, x1, y1)


def _next_cut(
    piece: Box, parts: list[Box], longest: float | None, kerf: float, keep: float
) -> tuple[str, float] | None:
    """What is worth keeping comes off first, then rims along all parts, then parts are separated."""
    trims = list(_trims(piece, parts, longest))
    worth = [trim for trim in trims if min(trim[1]) >= keep - HAIR]
    if worth:
        return max(worth, key=lambda trim: trim[1][0] * trim[1][1])[0]
    return trims[0][0] if trims else _separating_cut(piece, parts, longest, kerf)


def _trims(
    piece: Box, parts: list[Box], longest: float | None
) -> Iterator[tuple[tuple[str, float], tuple[float, float]]]:
    """Each cut that takes a rim off a piece, with the size of the rim."""
    for axis in "xy":
        if not _is_allowed(piece, axis, longest):
            continue
        near, far = _edges(axis)
        across = piece[3 - near] - piece[1 - near]
        first, last = min(part[near] for part in parts), max(part[far] for part in parts)
        if last < piece[far] - HAIR:
            yield (axis, last), (piece[far] - last, across)
        if first > piece[near] + HAIR:
            yield (axis, first), (first - piece[near], across)


def _between(parts: Sequence[Box], near: int, far: int, kerf: float) -> Iterator[float]:
    """Far edges over which no part reaches, and other parts begin a kerf past them."""
    ordered = sorted(parts, key=lambda part: part[near])
    reached = ordered[0][far]
    for part in ordered[1:]:
        if part[near] >= reached + kerf - HAIR:
            yield reached
        reached = max(reached, part[far])


def _is_allowed(piece: Box, axis: str, longest: float | None) -> bool:
    near, far = _edges("y" if axis == "x" else "x")
    return longest is None or piece[far] - piece[near] <= longest + HAIR


def _edges(axis: str) -> tuple[int, int]:
    """Where a box keeps its near and its far edge along an axis."""
    return (0, 2) if axis == "x" else (1, 3)


def _same(a: Box, b: Box) -> bool:
    return all(abs(p - q) <= HAIR for p, q in zip(a, b, strict=True))
