"""The master programme of nesting.program: its linear relaxation over known patterns, and its whole-number solution.

Data: cells c, choices p (cells, parts, seams), classes k with demand d_k, sheet sizes s, patterns q of each size.
Variables: x_p choose a panel, y_q sheets cut by a pattern, u_r a seam begins at run r.
Minimise   sum price y + seam_weight * (seams of x + u) + seam cost by length of x
  (1) each cell closed once:            sum_{p closes c} x_p  = 1
  (2) parts enough of each class:       sum_q carried y_q - sum_p needed x_p >= d_k
  (3) sheets of each size, and in all:  low <= sum_{q on s} y_q <= high
  (4) a seam begins where either hand does:  u_r >= sum_{one hand} x,  u_r >= sum_{other hand} x
  (5) seams within the cap:             seams of x + sum u <= cap
Branching bounds (3), (5) and the upper bounds of x; every row may be missed at a price, so that the relaxation
always has duals: its value is then still no more than the true one.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import timedelta

import numpy as np
from numpy.typing import NDArray
from ortools.math_opt.python import mathopt

from nesting.problem import Pattern, Problem

Column = tuple[int, Pattern]
"""A sheet size and what it carries."""

HAIR = 1e-6


@dataclass(frozen=True)
class Aim:
    """What is minimised: with ``seams_count`` False only the sheets cost; ``seam_cap`` bounds the seams."""

    seams_count: bool = True
    seam_cap: int | None = None


@dataclass(frozen=True)
class Bounds:
    """A branch: how many sheets of each size and in all, how many seams, and which choices are shut out."""

    sheets: tuple[tuple[int, int], ...]
    total: tuple[int, int]
    seams: tuple[int, int]
    on_sheet: tuple[tuple[tuple[int, int], int, int], ...] = ()
    """((class, sheet size), low, high): how many parts of a class come from a sheet size."""
    shut: frozenset[int] = frozenset()


@dataclass(frozen=True)
class Relaxed:
    """The relaxation solved: its value, the duals that pricing needs, and the solution."""

    value: float
    worth: NDArray[np.float64]
    """What one part of each class is worth on each sheet size: [size, class]."""
    size_dual: NDArray[np.float64]
    """Worth of opening one more sheet of each size (rows (3))."""
    x: NDArray[np.float64]
    y: dict[Column, float]
    missed: float


@dataclass
class Master:
    """The relaxation as a growing model: columns are added, bounds are changed, nothing is rebuilt."""

    problem: Problem
    aim: Aim
    penalty: float
    columns: dict[Column, mathopt.Variable] = field(default_factory=dict)

    def __post_init__(self) -> None:
        problem, infinity = self.problem, float("inf")
        self._model = mathopt.Model()
        model = self._model
        self._cells = [model.add_linear_constraint(lb=1, ub=1) for _ in range(problem.cells)]
        self._classes = [model.add_linear_constraint(lb=d, ub=infinity) for d in problem.demand]
        self._sizes = [model.add_linear_constraint(lb=0, ub=infinity) for _ in problem.sheets]
        self._total = model.add_linear_constraint(lb=0, ub=infinity)
        self._seams = model.add_linear_constraint(lb=0, ub=infinity)
        self._on_sheet: dict[tuple[int, int], mathopt.LinearConstraint] = {}
        self._x = [self._add_choice(p) for p in range(len(problem.choices))]
        self._u = [self._add_run(r) for r in range(len(problem.runs))]
        self._misses = [
            self._add_miss(row, sign)
            for row in (*self._cells, *self._classes, *self._sizes, self._total, self._seams)
            for sign in (1, -1)
        ]
        self._solver = mathopt.IncrementalSolver(model, mathopt.SolverType.GLOP)

    def _add_choice(self, p: int) -> mathopt.Variable:
        choice = self.problem.choices[p]
        x = self._model.add_variable(lb=0, ub=1)
        cost = choice.seam_cost + self.problem.seam_cost * choice.seams if self.aim.seams_count else 0.0
        self._model.objective.set_linear_coefficient(x, cost)
        for c in choice.cells:
            self._cells[c].set_coefficient(x, 1)
        for k in set(choice.parts):
            self._classes[k].set_coefficient(x, -choice.parts.count(k))
        if choice.seams:
            self._seams.set_coefficient(x, choice.seams)
        return x

    def _add_run(self, r: int) -> mathopt.Variable:
        run = self.problem.runs[r]
        u = self._model.add_variable(lb=0)
        self._model.objective.set_linear_coefficient(u, self.problem.seam_cost if self.aim.seams_count else 0.0)
        self._seams.set_coefficient(u, 1)
        for hand in (run.one_hand, run.other_hand):
            row = self._model.add_linear_constraint(lb=0)
            row.set_coefficient(u, 1)
            for p in hand:
                row.set_coefficient(self._x[p], -1)
        return u

    def _add_miss(self, row: mathopt.LinearConstraint, sign: int) -> mathopt.Variable:
        miss = self._model.add_variable(lb=0)
        self._model.objective.set_linear_coefficient(miss, self.penalty)
        row.set_coefficient(miss, sign)
        return miss

    def add(self, column: Column) -> bool:
        """Adds a pattern; False when it is there already."""
        if column in self.columns:
            return False
        size, pattern = column
        y = self._model.add_variable(lb=0)
        self._model.objective.set_linear_coefficient(y, self.problem.sheets[size].price)
        for k, count in pattern:
            self._classes[k].set_coefficient(y, count)
            if (k, size) in self._on_sheet:
                self._on_sheet[k, size].set_coefficient(y, count)
        self._sizes[size].set_coefficient(y, 1)
        self._total.set_coefficient(y, 1)
        self.columns[column] = y
        return True

    def drop(self, column: Column) -> None:
        """Takes a pattern out: it was found not to fit."""
        self._model.delete_variable(self.columns.pop(column))

    def set_bounds(self, bounds: Bounds) -> None:
        """Makes the model that of one branch."""
        for row, (low, high) in zip(self._sizes, bounds.sheets, strict=True):
            row.lower_bound, row.upper_bound = low, high
        self._total.lower_bound, self._total.upper_bound = bounds.total
        self._seams.lower_bound, self._seams.upper_bound = bounds.seams
        for p, x in enumerate(self._x):
            x.upper_bound = 0.0 if p in bounds.shut else 1.0
        wanted = {key: (low, high) for key, low, high in bounds.on_sheet}
        for key in wanted:
            self._on_sheet_row(key)
        for key, row in self._on_sheet.items():
            row.lower_bound, row.upper_bound = wanted.get(key, (-float("inf"), float("inf")))

    def _on_sheet_row(self, key: tuple[int, int]) -> None:
        if key in self._on_sheet:
            return
        row = self._model.add_linear_constraint()
        for (size, pattern), y in self.columns.items():
            count = dict(pattern).get(key[0], 0)
            if size == key[1] and count:
                row.set_coefficient(y, count)
        for sign in (1, -1):
            self._add_miss(row, sign)
        self._on_sheet[key] = row

    def relax(self) -> Relaxed | None:
        """Solves the relaxation; None when the solver fails."""
        result = self._solver.solve()
        if result.termination.reason is not mathopt.TerminationReason.OPTIMAL:
            return None
        worth = np.tile(np.array(result.dual_values(self._classes)), (len(self.problem.sheets), 1))
        for (k, size), row in self._on_sheet.items():
            worth[size, k] += result.dual_values(row)
        size_dual = np.array(result.dual_values(self._sizes)) + result.dual_values(self._total)
        names = list(self.columns)
        values = result.variable_values([self.columns[name] for name in names])
        return Relaxed(
            result.objective_value(),
            worth,
            size_dual,
            np.array(result.variable_values(self._x)),
            {name: value for name, value in zip(names, values, strict=True) if value > HAIR},
            sum(result.variable_values(self._misses)),
        )


@dataclass(frozen=True)
class Picked:
    """A whole-number solution over known patterns; ``bound`` holds for these patterns only."""

    choices: tuple[int, ...]
    sheets: Mapping[Column, int]
    cost: float
    bound: float


def pick_whole(
    problem: Problem, aim: Aim, columns: Iterable[Column], seconds: float, below: float | None = None
) -> Picked | None:
    """The cheapest whole-number choice among known patterns, None when there is none (below a cost, if given)."""
    model = mathopt.Model()
    x = [model.add_binary_variable() for _ in problem.choices]
    columns = list(columns)
    most = [size.available if size.available is not None else 10_000 for size in problem.sheets]
    y = [model.add_integer_variable(lb=0, ub=most[size]) for size, _ in columns]
    u = [model.add_integer_variable(lb=0, ub=1) for _ in problem.runs]
    cells: list[list[mathopt.Variable]] = [[] for _ in range(problem.cells)]
    supply: list[list[mathopt.LinearProduct]] = [[] for _ in problem.classes]
    for p, choice in enumerate(problem.choices):
        for c in choice.cells:
            cells[c].append(x[p])
        for k in choice.parts:
            supply[k].append(-1.0 * x[p])
    for variable, (_, pattern) in zip(y, columns, strict=True):
        for k, count in pattern:
            supply[k].append(float(count) * variable)
    for closing in cells:
        model.add_linear_constraint(mathopt.fast_sum(closing) == 1)  # (1)
    for terms, demand in zip(supply, problem.demand, strict=True):
        model.add_linear_constraint(mathopt.fast_sum(terms) >= demand)  # (2)
    for size, sheet in enumerate(problem.sheets):
        if sheet.available is not None:
            used = [variable for variable, (s, _) in zip(y, columns, strict=True) if s == size]
            model.add_linear_constraint(mathopt.fast_sum(used) <= sheet.available)  # (3)
    for variable, run in zip(u, problem.runs, strict=True):
        for hand in (run.one_hand, run.other_hand):
            model.add_linear_constraint(variable - mathopt.fast_sum([x[p] for p in hand]) >= 0)  # (4)
    seams = mathopt.fast_sum(u) + mathopt.fast_sum(
        [float(c.seams) * x[p] for p, c in enumerate(problem.choices) if c.seams]
    )
    if aim.seam_cap is not None:
        model.add_linear_constraint(seams <= aim.seam_cap)  # (5)
    cost = mathopt.fast_sum([problem.sheets[size].price * v for v, (size, _) in zip(y, columns, strict=True)])
    if aim.seams_count:
        cost += problem.seam_cost * seams + mathopt.fast_sum(
            [c.seam_cost * x[p] for p, c in enumerate(problem.choices) if c.seam_cost]
        )
    if below is not None:
        model.add_linear_constraint(cost <= below)
    model.minimize(cost)
    limits = mathopt.SolveParameters(time_limit=timedelta(seconds=seconds))
    result = mathopt.solve(model, mathopt.SolverType.HIGHS, params=limits)
    if not result.has_primal_feasible_solution():
        return None
    values = [round(value) for value in result.variable_values(y)]
    return Picked(
        tuple(p for p, value in enumerate(result.variable_values(x)) if value > 0.5),
        {column: count for column, count in zip(columns, values, strict=True) if count},
        result.objective_value(),
        result.best_objective_bound(),
    )
