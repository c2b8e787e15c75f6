"""Is a packing what was asked for?  Judged from the request alone, by code that shares nothing with the packer."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from nesting.packer import Packing, Piece, Sheet

HAIR = 1e-6

Rect = tuple[float, float, float, float]


def faults(
    packing: Packing,
    sheets: Sequence[Sheet],
    pieces: Sequence[Piece],
    *,
    edge_to_edge: bool = False,
    longest_cut: float | None = None,
    gap: float = 0.0,
    edge_margin: float = 0.0,
) -> list[str]:
    """Everything wrong with a packing; empty when it can be cut as asked and costs what it says."""
    found = []
    placed: Counter[int] = Counter()
    used: Counter[int] = Counter()
    for number, packed in enumerate(packing.sheets):
        sheet = sheets[packed.sheet]
        used[packed.sheet] += 1
        rects = []
        for place in packed.places:
            piece = pieces[place.piece]
            placed[place.piece] += 1
            if place.turned and not piece.turn:
                found.append(f"sheet {number}: piece {place.piece} lies turned")
            a, b = (piece.width, piece.length) if place.turned else (piece.length, piece.width)
            rects.append((place.x, place.y, place.x + a, place.y + b))
        low, m = edge_margin - HAIR, edge_margin - HAIR
        for x0, y0, x1, y1 in rects:
            if x0 < low or y0 < low or x1 > sheet.length - m or y1 > sheet.width - m:
                found.append(f"sheet {number}: a piece at {x0}, {y0} reaches over the edge")
        if not rects:
            found.append(f"sheet {number} carries nothing")
        found += [f"sheet {number}: {fault}" for fault in _too_near(rects, gap)]
        whole = (edge_margin, edge_margin, sheet.length - edge_margin, sheet.width - edge_margin)
        longest = None if longest_cut is None else longest_cut - 2 * edge_margin
        if edge_to_edge and not _comes_apart(whole, rects, longest):
            found.append(f"sheet {number} cannot be cut edge to edge")
    found += [
        f"piece {number}: {placed[number]} of {piece.quantity}"
        for number, piece in enumerate(pieces)
        if placed[number] != piece.quantity
    ]
    for number, sheet in enumerate(sheets):
        if sheet.available is not None and used[number] > sheet.available:
            found.append(f"{used[number]} of sheet {number}, {sheet.available} available")
    cost = sum(_price(sheets[own.sheet]) for own in packing.sheets)
    if abs(cost - packing.cost) > 1e-9 * max(1.0, cost):
        found.append(f"it says {packing.cost}, the sheets cost {cost}")
    if packing.bound > packing.cost:
        found.append("the bound lies above the cost")
    return found


def _price(sheet: Sheet) -> float:
    return sheet.length * sheet.width if sheet.price is None else sheet.price


def _too_near(rects: Sequence[Rect], gap: float) -> list[str]:
    """Pairs of pieces that keep the gap neither along nor across the sheet."""
    found = []
    for i, (ax0, ay0, ax1, ay1) in enumerate(rects):
        for bx0, by0, bx1, by1 in rects[:i]:
            along, across = max(ax0 - bx1, bx0 - ax1), max(ay0 - by1, by0 - ay1)
            if max(along, across) < gap - HAIR:
                found.append(f"pieces at {ax0}, {ay0} and {bx0}, {by0} are too near")
    return found


def _comes_apart(piece: Rect, rects: Sequence[Rect], longest: float | None) -> bool:
    """True where straight cuts, each through the whole of one piece, leave every rectangle in a piece of its size.

    Any cut that runs through no rectangle may be made first: it spoils nothing.
    """
    if not rects or (
        len(rects) == 1 and all(abs(p - q) <= 1e-3 for p, q in zip(piece, rects[0], strict=True))
    ):
        return True
    x0, y0, x1, y1 = piece
    for axis, cut_length in ((0, y1 - y0), (1, x1 - x0)):
        if longest is not None and cut_length > longest + HAIR:
            continue
        for at in {rect[axis + 2] for rect in rects} | {rect[axis] for rect in rects}:
            if not piece[axis] + 1e-3 < at < piece[axis + 2] - 1e-3:
                continue
            if any(rect[axis] < at - HAIR and rect[axis + 2] > at + HAIR for rect in rects):
                continue
            low_piece = (x0, y0, at, y1) if axis == 0 else (x0, y0, x1, at)
            high_piece = (at, y0, x1, y1) if axis == 0 else (x0, at, x1, y1)
            low = [rect for rect in rects if rect[axis + 2] <= at + HAIR]
            high = [rect for rect in rects if rect[axis] >= at - HAIR]
            return _comes_apart(low_piece, low, longest) and _comes_apart(high_piece, high, longest)
    return False
