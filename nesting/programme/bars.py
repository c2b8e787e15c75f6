"""Rows learnt from a single refused pattern: the bar relaxation in one direction, kept as a dual feasible function.

Cut every part of a pattern into bars one unit long.  Bars that lie on one line across the sheet must fit its width, so
the sheet must be at least as long as the shortest set of such lines that holds all bars: a one-dimensional cutting
stock relaxation.  Where it needs more length than the sheet has, the pattern cannot be placed, and the duals of the
relaxation (a value for each width, no line worth more than 1) refuse every other pattern of the same kind too.
The bar relaxation is that of Scheithauer (1999, European Journal of Operational Research 112:571; from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from ortools.linear_solver import pywraplp

from nesting.programme.kernels_patterns import best_stack
from nesting.sizing.sheetbounds import SheetRows
from nesting.sizing.solverguard import all_finite, answered

ROUNDS = 60
VIOLATED = 1e-6


def refusing_rows(
    rows: SheetRows, length: int, width: int, counts: NDArray[np.int64]
) -> list[NDArray[np.float64]]:
    """The rows that these placings break, at most one for lines across the sheet and one for lines along it.

    Parts that might lie in a hole of another do not count.
    """
    counts = counts * rows.large
    if not counts.any():
        return []
    found = [
        _row(rows.along, rows.across, length, width, counts),
        _row(rows.across, rows.along, width, length, counts),
    ]
    return [row * rows.large for row in found if row is not None]


def _row(
    run: NDArray[np.int64], stack: NDArray[np.int64], length: int, width: int, counts: NDArray[np.int64]
) -> NDArray[np.float64] | None:
    """The dual row for lines of parts stacked within ``width``, each part ``run`` long along the sheet's ``length``."""
    used = np.flatnonzero(counts)
    sizes = np.unique(stack[used])
    need = np.array([float((run[used] * counts[used])[stack[used] == size].sum()) / length for size in sizes])
    values = _line_values(sizes, need, width)
    if values is None or float(values @ need) <= 1 + VIOLATED:
        return None
    # a wider part is worth at least as much as a narrower one: any line still fits when it is put in its place
    ranks = np.searchsorted(sizes, stack, side="right")
    worth = np.concatenate([[0.0], np.maximum.accumulate(values)])[ranks]
    return worth * run / length


def _line_values(
    sizes: NDArray[np.int64], need: NDArray[np.float64], width: int
) -> NDArray[np.float64] | None:
    """A value for each size such that no line is worth more than 1 and the need is worth most."""
    solver = pywraplp.Solver.CreateSolver("GLOP")
    infinity = solver.infinity()
    rows = [solver.Constraint(float(amount), infinity) for amount in need]
    solver.Objective().SetMinimization()

    def add(line: NDArray[np.int64]) -> None:
        variable = solver.NumVar(0, infinity, "")
        solver.Objective().SetCoefficient(variable, 1)
        for row, count in zip(rows, line, strict=True):
            if count:
                row.SetCoefficient(variable, float(count))

    for i, size in enumerate(sizes):
        line = np.zeros(len(sizes), np.int64)
        line[i] = width // size
        add(line)
    for _ in range(ROUNDS):
        if answered(solver.Solve, None) != pywraplp.Solver.OPTIMAL:
            return None
        # whatever these values are: by the line that is worth most they are made ones that hold
        values = np.array([max(0.0, row.dual_value()) for row in rows])
        if not all_finite(values):
            return None
        best, line = best_stack(values, sizes, np.argsort(-values / sizes, kind="stable"), width)
        if best <= 1 + 1e-9:
            return np.asarray(values / max(best, 1.0))
        if float(values @ need) / best > 1 + VIOLATED:
            # scaled down these values are valid already, and they refuse the pattern
            return np.asarray(values / best)
        add(line)
    return None
