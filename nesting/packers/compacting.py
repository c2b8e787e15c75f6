"""A layout on a strip pushed together exactly: which side each piece lies of another stays, the length is least.

Data: shapes at (x_i, y_i) with sizes (w_i, h_i), strip width W, reach r, and for each two pieces near each other the
line n . d >= c that parts them best.  Variables: x_i, y_i within r of where they are, length l.
Minimise   l + a little of the mean of x
  (1) clear of each other:  n . ((x_i, y_i) - (x_j, y_j)) >= c
  (2) inside the strip:     0 <= x_i <= l - w_i,  0 <= y_i <= W - h_i
Repeated from where it led to, since then other lines may part them better.  Whether parts are clear of each other
afterwards is measured by whoever uses the places (nesting.packers.stripsearch), not taken from the solver.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from ortools.linear_solver import pywraplp

from nesting.packers.kernels_separating import nearby_rows
from nesting.sizing.solverguard import answered

TIMES = 8
"""Programmes in a row at most."""

LEAST_GAIN = 1e-4
"""A smaller share of the length gained ends it."""

LEFTWARDS = 1e-4
"""Worth of moving everything left beside that of a shorter strip: room gathers at the end."""

INFINITY = pywraplp.Solver.infinity()

Places = tuple[Any, Any, Any]


def compacted(given: Any, width: float, places: Places, reach: float, hair: float) -> Places | None:
    """Places on the shortest strip that can be reached by pushing; None where parts cannot be pushed clear.

    Parts may lie on one another at the start, none deeper than ``hair`` at the end (but for rounding).
    """
    shapes, xs, ys = places
    sizes = given[0]
    length = float("inf")
    found: Places | None = None
    for _ in range(TIMES):
        moved = _pushed(given, width, (shapes, xs, ys), reach, hair)
        if moved is None:
            break
        xs, ys = moved
        now = float((xs + sizes[shapes, 0]).max())
        if found is not None and now >= length * (1 - LEAST_GAIN):
            if now < length:
                found = (shapes, xs, ys)
            break
        found, length = (shapes, xs, ys), now
    return found


def _pushed(given: Any, width: float, places: Places, reach: float, hair: float) -> tuple[Any, Any] | None:
    shapes, xs, ys = places
    sizes = given[0]
    # two parts that may both move by the reach in x and in y come nearer by 2 sqrt 2 of it at most
    pairs, lines = _lines(given, places, 2.83 * reach)
    solver = pywraplp.Solver.CreateSolver("GLOP")
    count = len(shapes)
    last = solver.NumVar(0.0, INFINITY, "")
    x = [solver.NumVar(max(0.0, xs[i] - reach), max(0.0, xs[i] + reach), "") for i in range(count)]
    tops = np.maximum(0.0, width - sizes[shapes, 1])
    y = [
        solver.NumVar(min(tops[i], max(0.0, ys[i] - reach)), min(tops[i], max(0.0, ys[i] + reach)), "")
        for i in range(count)
    ]
    for i in range(count):
        row = solver.Constraint(float(sizes[shapes[i], 0]), INFINITY)
        row.SetCoefficient(last, 1.0)
        row.SetCoefficient(x[i], -1.0)
    for (i, j), (nx, ny, c) in zip(pairs.tolist(), lines.tolist(), strict=True):
        row = solver.Constraint(c - hair, INFINITY)
        if nx:
            row.SetCoefficient(x[i], nx)
            row.SetCoefficient(x[j], -nx)
        if ny:
            row.SetCoefficient(y[i], ny)
            row.SetCoefficient(y[j], -ny)
    goal = solver.Objective()
    goal.SetMinimization()
    goal.SetCoefficient(last, 1.0)
    for i in range(count):
        goal.SetCoefficient(x[i], LEFTWARDS / count)
    if answered(solver.Solve, None) != pywraplp.Solver.OPTIMAL:
        return None
    new_x = np.array([max(0.0, v.solution_value()) for v in x])
    new_y = np.array([v.solution_value() for v in y])
    if not (np.isfinite(new_x).all() and np.isfinite(new_y).all()):
        return None
    return new_x, np.clip(new_y, 0.0, tops)


def _lines(given: Any, places: Places, reach: float) -> tuple[Any, Any]:
    room = 4096
    while True:
        pairs, lines = np.empty((room, 2), np.int64), np.empty((room, 3))
        count = nearby_rows(given, (*places, places[1], places[2]), reach, pairs, lines)
        if count <= room:
            return pairs[:count], lines[:count]
        room = count
