"""Shapes on sheets: the public packer for outlines with straight and round edges and holes, without a body to skin.

>>> half = ((0, 0, 0.0), (1200, 0, 0.0), (0, 800, 0.0))
>>> packing = pack_shapes([Sheet(1200, 800)], [ShapePiece(half, quantity=4)])
>>> len(packing.sheets), packing.status.value
(2, 'optimal')

Lengths are in millimetres; x runs along a sheet's length, y along its width, both from its lower left corner.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import isfinite

from nesting.budget import Budget
from nesting.limits import SolveLimits
from nesting.outline import Ring, bounds
from nesting.packer import MOST_PIECES, WITHOUT_LIMITS, PackedSheet, Packing, Place, Sheet
from nesting.packers.shapebounds import least_cost
from nesting.packers.shapeplans import Plan, Stock, cheapest_plan
from nesting.packers.shaperectangles import packed_rectangles, placed_rectangle
from nesting.plan import Status
from nesting.reading.outlinechecks import checked_ring, holes_inside
from nesting.shapes import ARC_TOLERANCE, ShapePiece
from nesting.shaping.shapefilling import Laid, PiecePlace, ShapeSet
from shared.errors import JobMistakes, Mistake, NothingFits, as_written
from shared.units import LONGEST_MM

HAIR = 1e-9


def pack_shapes(
    sheets: Sequence[Sheet],
    pieces: Sequence[ShapePiece],
    *,
    gap: float = 0.0,
    edge_margin: float = 0.0,
    tolerance: float = ARC_TOLERANCE,
    limits: SolveLimits = WITHOUT_LIMITS,
) -> Packing[PiecePlace]:
    """The cheapest way found to cut all pieces, with a proved bound; sheets of one price mean the fewest sheets.

    True outlines keep ``gap`` from one another and ``edge_margin`` from the edges of the sheet; the search takes arcs
    for up to ``tolerance`` larger than they are (see nesting.shapes).  It ends when the bound is reached, when the time
    is over, or when a fixed number of rounds has found nothing better; where all pieces are rectangles it goes on until
    the answer is proved, as nesting.packer does.
    Raises JobMistakes for values that make no sense (all at once), NothingFits where a piece fits no sheet, the
    sheets available do not do, or the time is over before any packing was found.
    """
    checked: list[ShapePiece] = []
    if mistakes := [*_mistakes(sheets, pieces, gap, edge_margin, tolerance, checked)]:
        raise JobMistakes(mistakes)
    if not pieces:
        return Packing(Status.OPTIMAL, (), 0.0, 0.0)
    if (packing := packed_rectangles(sheets, checked, gap, edge_margin, limits)) is not None:
        return _of_rectangles(checked, packing)
    budget = Budget.of(limits)
    shapes = ShapeSet(checked, gap, tolerance)
    stock = [_stock(sheet, gap, edge_margin) for sheet in sheets]
    if too_big := [*_too_big(shapes, stock)]:
        raise NothingFits("\n".join(too_big))
    usable = [(s.length - 2 * edge_margin, s.width - 2 * edge_margin) for s in sheets]
    bound = least_cost(
        [(*size, own.price, own.available) for size, own in zip(usable, stock, strict=True)], checked, gap
    )
    numbers = [piece.quantity for piece in checked]
    plan = cheapest_plan(shapes, stock, shapes.numbers(numbers), bound, budget, limits.seed)
    if plan is None:
        raise NothingFits(_none_found(sheets))
    cost = sum(stock[size].price for size in plan.sizes)
    proved = cost <= bound * (1 + HAIR)
    packed = _packed(shapes, plan, numbers, edge_margin)
    return Packing(Status.OPTIMAL if proved else Status.FEASIBLE, packed, cost, cost if proved else bound)


def _of_rectangles(pieces: Sequence[ShapePiece], packing: Packing[Place]) -> Packing[PiecePlace]:
    """What the packer for rectangles found, in the terms of shapes."""
    sheets = tuple(
        PackedSheet(own.sheet, tuple(placed_rectangle(pieces[place.piece], place) for place in own.places))
        for own in packing.sheets
    )
    return Packing(packing.status, sheets, packing.cost, packing.bound)


def _stock(sheet: Sheet, gap: float, edge_margin: float) -> Stock:
    """A sheet as the search knows it: grown by the gap like the pieces, with a price."""
    price = sheet.length * sheet.width if sheet.price is None else sheet.price
    inset = gap - 2 * edge_margin
    return Stock(sheet.length + inset, sheet.width + inset, price, sheet.available)


def _packed(
    shapes: ShapeSet, plan: Plan, numbers: Sequence[int], edge_margin: float
) -> tuple[PackedSheet[PiecePlace], ...]:
    """The sheets of a plan by size, with the pieces that lie on them."""
    order = sorted(range(len(plan.sizes)), key=lambda number: plan.sizes[number])
    rank = {number: k for k, number in enumerate(order)}
    laid: list[Laid] = sorted(plan.laid, key=lambda one: rank[one.sheet])
    places: list[list[PiecePlace]] = [[] for _ in order]
    for one, place in zip(laid, shapes.named(laid, numbers, edge_margin), strict=True):
        places[rank[one.sheet]].append(place)
    return tuple(
        PackedSheet(plan.sizes[number], tuple(own)) for number, own in zip(order, places, strict=True)
    )


def _too_big(shapes: ShapeSet, stock: Sequence[Stock]) -> Iterator[str]:
    """A line for each piece that cannot be cut from any sheet that can be had."""
    for number, (piece, kind) in enumerate(zip(shapes.pieces, shapes.kinds, strict=True), 1):
        if not any(shapes.fits(kind, own.length, own.width) for own in stock if own.available != 0):
            x0, y0, x1, y1 = bounds(piece.outline)
            yield (
                f"{_label('piece', number, piece.name)}: it is {x1 - x0:.6g} x {y1 - y0:.6g} over all, which no sheet"
                " that can be had will carry; give a sheet that is longer or wider, or more turns in which it may lie"
            )


def _mistakes(
    sheets: Sequence[Sheet],
    pieces: Sequence[ShapePiece],
    gap: float,
    edge_margin: float,
    tolerance: float,
    checked: list[ShapePiece],
) -> Iterator[Mistake]:
    """Everything that makes no sense in what was asked; pieces with clean outlines are added to ``checked``."""
    yield from _wrong_sheets(sheets)
    for number, piece in enumerate(pieces, 1):
        place = _label("piece", number, piece.name)
        outline = _ring(piece.outline)
        holes = [_ring(hole) for hole in piece.holes]
        if isinstance(outline, str):
            yield Mistake(f"{place}, outline", "", outline)
        for hole_number, hole in enumerate(holes, 1):
            if isinstance(hole, str):
                yield Mistake(f"{place}, hole {hole_number}", "", hole)
        good = tuple(hole for hole in holes if not isinstance(hole, str))
        if not isinstance(outline, str) and len(good) == len(holes):
            for problem in holes_inside(outline, good):
                yield Mistake(f"{place}, holes", "", str(problem))
            checked.append(replace(piece, outline=outline, holes=good))
        if piece.quantity < 1:
            yield Mistake(f"{place}, quantity", as_written(piece.quantity), "write a whole number, 1 or more")
        if not piece.turns or not all(isfinite(turn) for turn in piece.turns):
            shown = as_written(list(piece.turns))
            yield Mistake(f"{place}, turns", shown, "write at least one turn in degrees, 0 for as drawn")
    if (total := sum(piece.quantity for piece in pieces)) > MOST_PIECES:
        yield Mistake("pieces", as_written(total), f"no more than {MOST_PIECES} pieces in all")
    for key, value in (("gap", gap), ("edge_margin", edge_margin)):
        if not 0 <= value <= LONGEST_MM:
            yield Mistake(key, as_written(value), "write a length of 0 or more")
    if not 0 < tolerance <= LONGEST_MM:
        yield Mistake("tolerance", as_written(tolerance), "write a length of more than 0")


def _ring(points: Ring) -> Ring | str:
    """A clean ring, or what is wrong with it."""
    found = checked_ring(points)
    return "; ".join(str(problem) for problem in found) if isinstance(found, list) else found


def _wrong_sheets(sheets: Sequence[Sheet]) -> Iterator[Mistake]:
    if not sheets:
        yield Mistake("sheets", "", "give at least one sheet size")
    priced = [sheet.price is not None for sheet in sheets]
    for number, sheet in enumerate(sheets, 1):
        place = _label("sheet", number, sheet.name)
        for key, value in (("length", sheet.length), ("width", sheet.width)):
            if not 0 < value <= LONGEST_MM:
                remedy = f"write a length of more than 0, up to {LONGEST_MM:g}"
                yield Mistake(f"{place}, {key}", as_written(value), remedy)
        if sheet.price is None and any(priced):
            yield Mistake(f"{place}, price", "", "give every sheet a price, or none for prices by area")
        elif sheet.price is not None and not (isfinite(sheet.price) and sheet.price >= 0):
            yield Mistake(f"{place}, price", as_written(sheet.price), "write a price of 0 or more")
        if sheet.available is not None and sheet.available < 0:
            yield Mistake(f"{place}, available", as_written(sheet.available), "write 0 or more, or None")


def _label(noun: str, number: int, name: str) -> str:
    """What messages call an entry: by name, or by its number from 1."""
    return f"{noun} {as_written(name) if name else number}"


def _none_found(sheets: Sequence[Sheet]) -> str:
    there = ", ".join(
        f"{_label('sheet', number, sheet.name)}: {sheet.available}"
        for number, sheet in enumerate(sheets, 1)
        if sheet.available is not None
    )
    more = f", or raise 'available' ({there})" if there else ""
    return f"no packing was found: give more time (time_limit){more}"
