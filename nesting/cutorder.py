"""The order of edge-to-edge cuts that frees every part of a sheet, or none where there is no such order."""

from __future__ import annotations

from collections.abc import Sequence

from nesting.outline import Box
from nesting.plan import Cut

HAIR = 1e-6


def cut_order(length: float, width: float, parts: Sequence[Box], longest: float | None) -> tuple[Cut, ...] | None:
    """Cuts in order, each through the whole of one piece, that leave every part's rectangle as its own piece.

    ``parts`` are (x0, y0, x1, y1) on a sheet of ``length`` by ``width`` mm; no cut is longer than ``longest``.
    None when no sequence of such cuts frees all parts.
    """
    found = _free((0.0, 0.0, length, width), list(parts), longest)
    if found is None:
        return None
    return tuple(Cut(order, axis, at, piece) for order, (axis, at, piece) in enumerate(found, start=1))


_Step = tuple[str, float, Box]


def _free(piece: Box, parts: list[Box], longest: float | None) -> list[_Step] | None:
    if not parts or (len(parts) == 1 and _same(piece, parts[0])):
        return []
    for axis, at in _candidates(piece, parts):
        if longest is not None and _cut_length(piece, axis) > longest + HAIR:
            continue
        low, high = _halves(piece, axis, at)
        below = [part for part in parts if part[2 if axis == "x" else 3] <= at + HAIR]
        above = [part for part in parts if part[0 if axis == "x" else 1] >= at - HAIR]
        first = _free(low, below, longest)
        if first is None:
            continue
        second = _free(high, above, longest)
        if second is not None:
            return [(axis, at, piece), *first, *second]
    return None


def _candidates(piece: Box, parts: list[Box]) -> list[tuple[str, float]]:
    """Cuts that part no rectangle: those that separate parts first, then trims; the longer piece side first."""
    found = []
    for axis, near, far in (("x", 0, 2), ("y", 1, 3)):
        places = sorted({part[far] for part in parts} | {part[near] for part in parts})
        for at in places:
            if not piece[near] + HAIR < at < piece[far] - HAIR:
                continue
            if any(part[near] < at - HAIR and part[far] > at + HAIR for part in parts):
                continue
            below = sum(part[far] <= at + HAIR for part in parts)
            separates = 0 < below < len(parts)
            # a cut at the far edge of what lies below it frees a part at once; one at a near edge only trims
            on_far_edge = any(abs(part[far] - at) <= HAIR for part in parts)
            span = piece[far] - piece[near]
            found.append(((not separates, not on_far_edge, -span, at), (axis, at)))
    return [cut for _, cut in sorted(found)]


def _halves(piece: Box, axis: str, at: float) -> tuple[Box, Box]:
    x0, y0, x1, y1 = piece
    if axis == "x":
        return (x0, y0, at, y1), (at, y0, x1, y1)
    return (x0, y0, x1, at), (x0, at, x1, y1)


def _cut_length(piece: Box, axis: str) -> float:
    return piece[3] - piece[1] if axis == "x" else piece[2] - piece[0]


def _same(a: Box, b: Box) -> bool:
    return all(abs(p - q) <= HAIR for p, q in zip(a, b, strict=True))
