"""What sheets for parts of any shape cost at least: by their metal, and by rectangles that lie inside them.

No part may come nearer to another than the gap, so that each one takes up itself and half of the gap all around, and
sheets may be thought of as larger by half of the gap on each side.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, sqrt

from nesting.shapes import ShapePiece, inner_polygon
from nesting.sizing.cores import inner_rectangles
from nesting.sizing.problem import PartClass, Problem, SheetSize
from nesting.sizing.quickbound import price_step, quick_bound
from shared.units import to_solver_down, to_solver_up

FINE = 0.01
"""How far the polygon inside a shape may stand off its true arcs, in mm."""

HAIR = 1e-9


def room_taken(piece: ShapePiece, gap: float) -> float:
    """Area that nothing else can use: the metal grown by half of the gap, no more than it truly is."""
    polygon = inner_polygon(piece.outline, piece.holes, FINE)
    return float((polygon.buffer(gap / 2) if gap > 0 else polygon).area)


def inner_rectangle(piece: ShapePiece) -> tuple[float, float]:
    """Sides along x and y of a large rectangle inside the metal; 0 and 0 where none was found."""
    return next(iter(inner_rectangles(piece.outline, piece.holes, most=1)), (0.0, 0.0))


def least_cost(
    sheets: Sequence[tuple[float, float, float, int | None]], pieces: Sequence[ShapePiece], gap: float
) -> float:
    """No way to cut all pieces costs less; ``sheets`` as usable length and width, price, how many there are."""
    by_metal = _by_metal(sheets, pieces, gap)
    return max(by_metal, _by_rectangles(sheets, pieces, gap))


def _by_metal(
    sheets: Sequence[tuple[float, float, float, int | None]], pieces: Sequence[ShapePiece], gap: float
) -> float:
    """By area: the cheapest sheets first, as many as there are, the last one in part."""
    left = sum(room_taken(piece, gap) * piece.quantity for piece in pieces) * (1 - HAIR)
    sizes = [
        ((length + gap) * (width + gap), price, count) for length, width, price, count in sheets if count != 0
    ]
    cost = 0.0
    for area, price, count in sorted(sizes, key=lambda size: size[1] / size[0]):
        if count is None or left <= count * area:
            cost += price * left / area
            break
        cost += price * count
        left -= count * area
    return _rounded_up(cost, _problem(sheets, gap, (), ()))


def _rounded_up(cost: float, problem: Problem) -> float:
    """The next sum of prices that there may be."""
    step = price_step(problem)
    return ceil(cost / step - HAIR) * step if step else cost


def _by_rectangles(
    sheets: Sequence[tuple[float, float, float, int | None]], pieces: Sequence[ShapePiece], gap: float
) -> float:
    """By dual feasible functions, for one rectangle inside each part; parts that lie at odd angles count for nothing.

    A rectangle grown with round corners still holds one that is longer and wider by the gap over the root of two.
    """
    classes, demand = [], []
    for piece in pieces:
        if any(turn % 90 for turn in piece.turns):
            continue
        ways = {turn % 180 for turn in piece.turns}
        a, b = (to_solver_down(side + gap / sqrt(2)) for side in inner_rectangle(piece))
        if 90 in ways and len(ways) == 1:
            a, b = b, a
        if min(a, b) > 0:
            classes.append(PartClass(a, b, len(ways) == 2 and a != b))
            demand.append(piece.quantity)
    return quick_bound(_problem(sheets, gap, classes, demand)) if classes else 0.0


def _problem(
    sheets: Sequence[tuple[float, float, float, int | None]],
    gap: float,
    classes: Sequence[PartClass],
    demand: Sequence[int],
) -> Problem:
    return Problem(
        sheets=tuple(
            SheetSize(to_solver_up(length + gap), to_solver_up(width + gap), price, count)
            for length, width, price, count in sheets
        ),
        classes=tuple(classes),
        demand=tuple(demand),
        edge_to_edge=False,
        longest_cut=None,
        most=tuple(demand),
    )
