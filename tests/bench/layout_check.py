"""Judges layouts from the rectangles alone: shares no code with the packer, nor with the check of plans."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import combinations
from math import hypot
from typing import TYPE_CHECKING

from nesting.plan import Status

if TYPE_CHECKING:
    from nesting.packer import PackedSheet, Packing, Piece, Place, Sheet

HAIR = 1e-6
"""Lengths and money that differ by less are equal."""

Rectangle = tuple[float, float, float, float]
"""Lower left and upper right corner."""


def packing_faults(
    sheets: Sequence[Sheet],
    pieces: Sequence[Piece],
    packing: Packing[Place],
    *,
    edge_to_edge: bool = False,
    longest_cut: float | None = None,
    gap: float = 0.0,
    edge_margin: float = 0.0,
) -> tuple[str, ...]:
    """All that is wrong with a packing, each in one line; empty for a sound one."""
    faults = list(_wrong_numbers(sheets, pieces, packing))
    if faults:
        # numbers that name no sheet or piece would only break what follows
        return tuple(faults)
    faults += _wrong_money(sheets, packing)
    for number, packed in enumerate(packing.sheets, start=1):
        sheet = sheets[packed.sheet]
        placed = _rectangles(pieces, packed)
        own = list(_wrong_places(sheet, pieces, packed, placed, gap, edge_margin))
        whole = (0.0, 0.0, sheet.length, sheet.width)
        if edge_to_edge and not own and not comes_apart(whole, placed, longest_cut):
            own.append("cannot be cut edge to edge")
        faults += [f"sheet {number}: {fault}" for fault in own]
    return tuple(faults)


def comes_apart(piece: Rectangle, parts: Sequence[Rectangle], longest: float | None = None) -> bool:
    """True where cuts through the whole of a piece, none longer than ``longest``, free every part.

    A cut that meets no part takes nothing away from what was possible before, so the first that is
    allowed is taken; the strip it leaves without a part is waste.
    """
    if not parts or (len(parts) == 1 and _same(piece, parts[0])):
        return True
    for axis in (0, 1):
        if longest is not None and piece[3 - axis] - piece[1 - axis] > longest + HAIR:
            continue
        for at in sorted({part[side] for part in parts for side in (axis, axis + 2)}):
            if not piece[axis] + HAIR < at < piece[axis + 2] - HAIR:
                continue
            if any(part[axis] < at - HAIR and at + HAIR < part[axis + 2] for part in parts):
                continue
            low, high = list(piece), list(piece)
            low[axis + 2] = high[axis] = at
            return all(
                comes_apart((half[0], half[1], half[2], half[3]), own, longest)
                for half, own in (
                    (low, [part for part in parts if part[axis + 2] <= at + HAIR]),
                    (high, [part for part in parts if part[axis] >= at - HAIR]),
                )
            )
    return False


def _wrong_numbers(
    sheets: Sequence[Sheet], pieces: Sequence[Piece], packing: Packing[Place]
) -> Iterator[str]:
    used = [packed.sheet for packed in packing.sheets]
    placed = [place.piece for packed in packing.sheets for place in packed.places]
    for kind in sorted(set(used) - set(range(len(sheets)))):
        yield f"there is no sheet size {kind}"
    for kind in sorted(set(placed) - set(range(len(pieces)))):
        yield f"there is no piece {kind}"
    for kind, sheet in enumerate(sheets):
        if sheet.available is not None and used.count(kind) > sheet.available:
            yield f"sheet size {kind} is used {used.count(kind)} times, there are {sheet.available}"
    for kind, piece in enumerate(pieces):
        if placed.count(kind) != piece.quantity:
            yield f"piece {kind} is cut {placed.count(kind)} times, {piece.quantity} are wanted"


def _wrong_money(sheets: Sequence[Sheet], packing: Packing[Place]) -> Iterator[str]:
    cost = sum(
        sheet.length * sheet.width if sheet.price is None else sheet.price
        for sheet in (sheets[packed.sheet] for packed in packing.sheets)
    )
    slack = HAIR * max(1.0, cost)
    if abs(cost - packing.cost) > slack:
        yield f"the sheets cost {cost}, not {packing.cost}"
    if packing.bound > packing.cost + slack:
        yield f"the bound {packing.bound} lies above the cost {packing.cost}"
    if (packing.status is Status.OPTIMAL) and packing.bound < packing.cost - slack:
        yield f"called the best, with a bound of {packing.bound} below the cost {packing.cost}"


def _rectangles(pieces: Sequence[Piece], packed: PackedSheet[Place]) -> list[Rectangle]:
    placed = []
    for place in packed.places:
        piece = pieces[place.piece]
        along, across = (piece.width, piece.length) if place.turned else (piece.length, piece.width)
        placed.append((place.x, place.y, place.x + along, place.y + across))
    return placed


def _wrong_places(
    sheet: Sheet,
    pieces: Sequence[Piece],
    packed: PackedSheet[Place],
    placed: Sequence[Rectangle],
    gap: float,
    margin: float,
) -> Iterator[str]:
    for place, (x0, y0, x1, y1) in zip(packed.places, placed, strict=True):
        piece = pieces[place.piece]
        if place.turned and not piece.turn and piece.length != piece.width:
            yield f"piece {place.piece} may not be turned"
        room = min(x0, y0, sheet.length - x1, sheet.width - y1)
        if room < margin - HAIR:
            yield f"piece {place.piece} lies {room:g} from the edge of the sheet, {margin:g} is the least"
    for (one, a), (other, b) in combinations(zip(packed.places, placed, strict=True), 2):
        apart = max(b[0] - a[2], a[0] - b[2]), max(b[1] - a[3], a[1] - b[3])
        if max(apart) < -HAIR:
            yield f"pieces {one.piece} and {other.piece} lie on one another"
        elif hypot(max(0.0, apart[0]), max(0.0, apart[1])) < gap - HAIR:
            yield f"pieces {one.piece} and {other.piece} lie nearer than the gap of {gap:g}"


def _same(a: Rectangle, b: Rectangle) -> bool:
    return all(abs(p - q) <= HAIR for p, q in zip(a, b, strict=True))
