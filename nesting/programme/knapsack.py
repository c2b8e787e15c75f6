"""The linear relaxation of pricing: a bound at once, and the one row that bounds the search best."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from ortools.linear_solver import pywraplp

from nesting.sizing.sheetbounds import SCALE, SheetRows
from nesting.sizing.solverguard import all_finite, answered


@dataclass(frozen=True)
class Relaxation:
    """``bound``: no pattern is worth more; ``surrogate``: the rows summed by their duals, capacity `SCALE`.

    A pattern is worth at most ``bound``, less ``loss[i]`` for each placing i in it, less ``idle[k]`` for each part of
    class k that it could hold and does not.
    """

    bound: float
    surrogate: NDArray[np.int64]
    loss: NDArray[np.float64]
    idle: NDArray[np.float64]


class Knapsack:
    """One sheet size: most value within all rows and the numbers of each class, fractions allowed."""

    def __init__(self, rows: SheetRows, most: Sequence[int]) -> None:
        self._weight, self._owner = rows.weight, rows.owner
        self._most = np.array(most, np.float64)
        self._solver = pywraplp.Solver.CreateSolver("GLOP")
        self._placings = [self._solver.NumVar(0, float(most[k]), "") for k in rows.owner]
        self._rows: list[pywraplp.Constraint] = []
        for k in np.unique(rows.owner):
            limit = self._solver.Constraint(-self._solver.infinity(), float(most[k]))
            for i in np.flatnonzero(rows.owner == k):
                limit.SetCoefficient(self._placings[i], 1.0)
        self._add(rows.weight)
        self._solver.Objective().SetMaximization()

    def add_rows(self, weight: NDArray[np.int64]) -> None:
        """Further rows, learnt since."""
        self._weight = np.hstack([self._weight, weight])
        self._add(weight)

    def _add(self, weight: NDArray[np.int64]) -> None:
        for column in weight.T:
            row = self._solver.Constraint(-self._solver.infinity(), 1.0)
            for i in np.flatnonzero(column):
                row.SetCoefficient(self._placings[i], float(column[i]) / SCALE)
            self._rows.append(row)

    def solve(self, value: NDArray[np.float64]) -> Relaxation:
        """The relaxation for these values; by the area alone where the solver fails.

        The bound and the losses are worked out from the duals, whatever these are: rounding cannot make them wrong.
        """
        objective = self._solver.Objective()
        for placing, amount in zip(self._placings, value, strict=True):
            objective.SetCoefficient(placing, float(amount))
        duals = np.zeros(len(self._rows))
        if answered(self._solver.Solve, None) == pywraplp.Solver.OPTIMAL:
            found = np.array([max(0.0, row.dual_value()) for row in self._rows])
            duals = found if all_finite(found) else duals
        over = value - self._weight @ duals / SCALE
        idle = np.zeros(len(self._most))
        np.maximum.at(idle, self._owner, over)
        bound = float(duals.sum() + idle @ self._most)
        area = self._weight[:, 0]
        surrogate = (
            np.floor(self._weight @ (duals / duals.sum())).astype(np.int64) if duals.sum() > 1e-12 else area
        )
        return Relaxation(bound, surrogate, idle[self._owner] - over, idle)
