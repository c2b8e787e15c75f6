"""Shapes that are rectangles after all: packed by the packer for rectangles, which proves more."""

from __future__ import annotations

from collections.abc import Sequence

from nesting.limits import SolveLimits
from nesting.outline import Ring, bounds, signed_area, turned
from nesting.packer import Packing, Piece, Place, Sheet, pack_rectangles
from nesting.shapes import ShapePiece
from nesting.shaping.shapefilling import PiecePlace

HAIR = 1e-9
QUARTER = 90.0


def is_rectangle(ring: Ring) -> bool:
    """Whether an outline is a rectangle with level and upright sides."""
    x0, y0, x1, y1 = bounds(ring)
    area = (x1 - x0) * (y1 - y0)
    return abs(abs(signed_area(ring)) - area) <= HAIR * area


def as_rectangle(piece: ShapePiece) -> Piece | None:
    """The same as a piece for the packer of rectangles; None where it is none, or may lie at odd angles."""
    if piece.holes or not is_rectangle(piece.outline) or any(turn % QUARTER for turn in piece.turns):
        return None
    x0, y0, x1, y1 = bounds(piece.outline)
    length, width = x1 - x0, y1 - y0
    if all(turn % (2 * QUARTER) for turn in piece.turns):
        length, width = width, length
    both = len({turn % (2 * QUARTER) for turn in piece.turns}) == 2
    return Piece(length, width, piece.quantity, both, piece.name)


def packed_rectangles(
    sheets: Sequence[Sheet],
    pieces: Sequence[ShapePiece],
    gap: float,
    edge_margin: float,
    limits: SolveLimits,
) -> Packing[Place] | None:
    """A packing of pieces that all are rectangles; None where some are not."""
    rectangles = [as_rectangle(piece) for piece in pieces]
    there = [rectangle for rectangle in rectangles if rectangle is not None]
    if len(there) < len(rectangles):
        return None
    return pack_rectangles(sheets, there, gap=gap, edge_margin=edge_margin, limits=limits)


def placed_rectangle(piece: ShapePiece, place: Place) -> PiecePlace:
    """A place of that packing in the terms of shapes."""
    upright_first = all(turn % (2 * QUARTER) for turn in piece.turns)
    upright = place.turned != upright_first
    degrees = next(turn for turn in piece.turns if bool(turn % (2 * QUARTER)) == upright)
    x0, y0, _, _ = bounds(turned(piece.outline, degrees))
    return PiecePlace(place.piece, place.x - x0, place.y - y0, degrees % 360, False)
