"""Does this set of shapes fit on one sheet?  A layout where one is found."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from nesting.budget import Budget
from nesting.limits import SolveLimits
from nesting.shapes import ARC_TOLERANCE, ShapePiece
from nesting.shaping.shapefilling import HAIR, Filling, Laid, PiecePlace, ShapeSet, filled_without_waste

ROUNDS = 1_000
"""About half a second for a set of ten parts."""

NODES_PER_ROUND = 4
"""Steps in a search without waste that take about as long as a round."""


def place_set(
    length: float,
    width: float,
    pieces: Sequence[ShapePiece],
    *,
    spacing: float = 0.0,
    tolerance: float = ARC_TOLERANCE,
    rounds: int = ROUNDS,
    seed: int = 0,
    budget: Budget | None = None,
) -> tuple[PiecePlace, ...] | None:
    """A place for every piece (as often as its quantity says) on a sheet from (0, 0) to (length, width).

    Outlines keep ``spacing`` from one another, and may touch the edges.  None where no layout was found: that proves
    nothing.  The same answer for the same rounds and seed, as long as a budget does not end the search.
    """
    return place_in(
        ShapeSet(pieces, spacing, tolerance), length, width, rounds=rounds, seed=seed, budget=budget
    )


def place_in(
    shapes: ShapeSet,
    length: float,
    width: float,
    numbers: Sequence[int] | None = None,
    *,
    rounds: int = ROUNDS,
    seed: int = 0,
    budget: Budget | None = None,
) -> tuple[PiecePlace, ...] | None:
    """The same for pieces that are asked about again and again: ``numbers`` of each (their quantities where None)."""
    numbers = [piece.quantity for piece in shapes.pieces] if numbers is None else numbers
    budget = budget or Budget.of(SolveLimits())
    size = (length + shapes.spacing, width + shapes.spacing)
    laid = _laid(shapes, size, shapes.numbers(numbers), rounds, seed, budget)
    return None if laid is None else tuple(shapes.named(laid, numbers, 0.0))


def _laid(
    shapes: ShapeSet, size: tuple[float, float], left: Sequence[int], rounds: int, seed: int, budget: Budget
) -> tuple[Laid, ...] | None:
    """The same for numbers of kinds on a sheet grown by the spacing."""
    kinds = [kind for kind, number in enumerate(left) for _ in range(number)]
    metal, room = float(shapes.areas @ np.array(left)), size[0] * size[1]
    if metal > room * (1 + HAIR) or not all(shapes.fits(kind, *size) for kind in set(kinds)):
        return None
    if metal > room * (1 - HAIR):
        laid = filled_without_waste(shapes, size, left, budget, seed, rounds * NODES_PER_ROUND)
        if laid is not None:
            return laid
    return _searched(shapes, size, kinds, rounds, seed, budget)


def _searched(
    shapes: ShapeSet, size: tuple[float, float], kinds: Sequence[int], rounds: int, seed: int, budget: Budget
) -> tuple[Laid, ...] | None:
    """Each order and rule once, then rounds from the best of these."""
    best: Filling | None = None
    for order, rule in Filling(shapes, [size], kinds, seed).rules:
        filling = Filling(shapes, [size], kinds, seed)
        filling.fill(0, order, rule)
        if filling.waits <= 0:
            return filling.laid
        if best is None or filling.waits < best.waits:
            best = filling
        if budget.over:
            return None
    assert best is not None
    return best.laid if best.search(rounds, budget) else None
