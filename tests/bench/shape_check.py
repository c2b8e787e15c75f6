"""Judges layouts of shapes from their true outlines alone: shares no code with the search."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from itertools import combinations
from typing import TYPE_CHECKING

from shapely import STRtree
from shapely.geometry import Polygon

from nesting.outline import as_polygon, bounds, mirrored, moved, turned
from nesting.plan import Status

if TYPE_CHECKING:
    from nesting.packer import Packing, Sheet
    from nesting.shapes import ShapePiece
    from nesting.shaping.shapefilling import PiecePlace

FINE = 1e-4
"""Chords stay this near to true arcs, in mm; distances are told no better."""

HAIR = 1e-5
"""Lengths that differ by less are equal."""


def shape_faults(
    sheets: Sequence[Sheet],
    pieces: Sequence[ShapePiece],
    packing: Packing[PiecePlace],
    *,
    gap: float = 0.0,
    edge_margin: float = 0.0,
) -> tuple[str, ...]:
    """All that is wrong with a packing, each in one line; empty for a sound one."""
    return tuple(_faults(sheets, pieces, packing, gap, edge_margin))


def _faults(
    sheets: Sequence[Sheet],
    pieces: Sequence[ShapePiece],
    packing: Packing[PiecePlace],
    gap: float,
    edge_margin: float,
) -> Iterator[str]:
    placed = Counter(place.piece for own in packing.sheets for place in own.places)
    wanted = Counter({number: piece.quantity for number, piece in enumerate(pieces)})
    if placed != wanted:
        yield f"pieces placed {sorted(placed.items())}, asked for {sorted(wanted.items())}"
        return
    used = Counter(own.sheet for own in packing.sheets)
    for size, number in used.items():
        available = sheets[size].available
        if available is not None and number > available:
            yield f"{number} sheets of size {size}, there are {available}"
    cost = sum(_price(sheets[own.sheet]) for own in packing.sheets)
    if abs(cost - packing.cost) > HAIR * max(1.0, cost):
        yield f"the cost is {cost:g}, told as {packing.cost:g}"
    if packing.bound > packing.cost * (1 + 1e-9):
        yield f"the bound {packing.bound:g} lies above the cost {packing.cost:g}"
    if (packing.status is Status.OPTIMAL) != (packing.bound >= packing.cost * (1 - 1e-9)):
        yield f"told to be {packing.status.value} with the cost {packing.cost:g} and the bound {packing.bound:g}"
    for number, own in enumerate(packing.sheets, 1):
        sheet = sheets[own.sheet]
        for fault in layout_faults(
            sheet.length, sheet.width, pieces, own.places, gap=gap, edge_margin=edge_margin
        ):
            yield f"sheet {number}: {fault}"


def _price(sheet: Sheet) -> float:
    return sheet.length * sheet.width if sheet.price is None else sheet.price


def layout_faults(
    length: float,
    width: float,
    pieces: Sequence[ShapePiece],
    places: Sequence[PiecePlace],
    *,
    gap: float = 0.0,
    edge_margin: float = 0.0,
) -> Iterator[str]:
    """What is wrong on one sheet: pieces over its edge or in turns that are not allowed, overlaps, gaps too small."""
    for place in places:
        piece = pieces[place.piece]
        if (place.flip and not piece.flip) or place.degrees % 360 not in {turn % 360 for turn in piece.turns}:
            yield f"piece {place.piece} may not lie turned by {place.degrees:g} degrees, flipped: {place.flip}"
        ring = piece.outline
        x0, y0, x1, y1 = bounds(
            moved(turned(mirrored(ring) if place.flip else ring, place.degrees), place.x, place.y)
        )
        if min(x0, y0, length - x1, width - y1) < edge_margin - HAIR:
            yield f"piece {place.piece} lies nearer than {edge_margin:g} to the edge: {x0:g}, {y0:g}, {x1:g}, {y1:g}"
    areas = [true_area(pieces[place.piece], place) for place in places]
    near = STRtree(areas).query(areas, predicate="dwithin", distance=gap + HAIR).T.tolist() if areas else []
    for a, b in combinations(range(len(areas)), 2):
        if [a, b] not in near:
            continue
        shared = areas[a].intersection(areas[b])
        if shared.area > HAIR * max(1.0, shared.length):
            yield f"pieces {places[a].piece} and {places[b].piece} overlap by {shared.area:g} mm2"
        elif gap and areas[a].distance(areas[b]) < gap - HAIR - 2 * FINE:
            apart = areas[a].distance(areas[b])
            yield f"pieces {places[a].piece} and {places[b].piece} are {apart:g} apart, less than {gap:g}"


def true_area(piece: ShapePiece, place: PiecePlace) -> Polygon:
    """The metal of a piece where it lies, arcs in fine chords."""
    rings = [
        moved(turned(mirrored(ring) if place.flip else ring, place.degrees), place.x, place.y)
        for ring in (piece.outline, *piece.holes)
    ]
    return as_polygon(rings[0], rings[1:], FINE)
