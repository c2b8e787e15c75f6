"""The master of the programme: its linear relaxation over known patterns, and its whole-number solution.

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

What a solver answers is not taken on trust: the value of the relaxation is worked out anew from its duals
(nesting.programme.rowprices), its solution and every whole-number choice are counted over before they are used.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import timedelta
from functools import partial

import numpy as np
from ortools.linear_solver import pywraplp
from ortools.math_opt.python import mathopt

from nesting.programme.relaxation import HAIR, Aim, Bounds, Relaxed, choice_cost
from nesting.programme.rowprices import FixedRows, RowPrices
from nesting.programme.wholechoice import counted_cost
from nesting.sizing.problem import Column, Problem
from nesting.sizing.solverguard import answered, whole_numbers

NODES = 100
"""Branches looked at for one whole-number choice."""

PENALTY_STEP = 20.0

MANY = 10**6
"""Bound of a row that has none yet."""

BROKEN = (
    mathopt.TerminationReason.NUMERICAL_ERROR,
    mathopt.TerminationReason.OTHER_ERROR,
    mathopt.TerminationReason.IMPRECISE,
)
"""Ends after which another solver is asked."""

INFINITY = pywraplp.Solver.infinity()


def carries_parts(column: Column) -> bool:
    """False for a sheet cut into nothing, which only the relaxation knows."""
    return bool(column[1])


class Master:
    """The relaxation as a growing model: columns are added, bounds are changed, nothing is rebuilt."""

    def __init__(self, problem: Problem, aim: Aim, penalty: float) -> None:
        self.problem, self.aim, self._penalty = problem, aim, penalty
        self.columns: dict[Column, pywraplp.Variable] = {}
        self._solver = pywraplp.Solver.CreateSolver("CLP")
        self._cost = self._solver.Objective()
        self._cost.SetMinimization()
        self._cells = [self._row(1, 1) for _ in range(problem.cells)]
        self._classes = [self._row(demand, INFINITY) for demand in problem.demand]
        self._sizes = [self._row(0, INFINITY) for _ in problem.sheets]
        self._total = self._row(0, INFINITY)
        self._seams = self._row(0, INFINITY)
        self._on_sheet: dict[tuple[int, int], pywraplp.Constraint] = {}
        self._misses: list[pywraplp.Variable] = []
        self._runs: list[pywraplp.Constraint] = []
        self._bounds = Bounds(((0, MANY),) * len(problem.sheets), (0, MANY), (0, MANY))
        self._rows = FixedRows(problem, aim)
        self._x = [self._add_choice(p) for p in range(len(problem.choices))]
        for r in range(len(problem.runs)):
            self._add_run(r)
        for row in (*self._cells, *self._classes, *self._sizes, self._total, self._seams):
            self._add_misses(row)

    def _row(self, low: float, high: float) -> pywraplp.Constraint:
        return self._solver.Constraint(float(low), float(high))

    def _variable(self, high: float, cost: float) -> pywraplp.Variable:
        variable = self._solver.NumVar(0.0, high, "")
        self._cost.SetCoefficient(variable, cost)
        return variable

    def _add_choice(self, p: int) -> pywraplp.Variable:
        choice = self.problem.choices[p]
        x = self._variable(1.0, choice_cost(self.problem, self.aim, p))
        for c in choice.cells:
            self._cells[c].SetCoefficient(x, 1)
        for k in set(choice.parts):
            self._classes[k].SetCoefficient(x, -choice.parts.count(k))
        if choice.seams:
            self._seams.SetCoefficient(x, choice.seams)
        return x

    def _add_run(self, r: int) -> None:
        run = self.problem.runs[r]
        u = self._variable(INFINITY, self.problem.seam_cost if self.aim.seams_count else 0.0)
        self._seams.SetCoefficient(u, 1)
        for hand in (run.one_hand, run.other_hand):
            row = self._row(0, INFINITY)
            self._runs.append(row)
            row.SetCoefficient(u, 1)
            for p in hand:
                row.SetCoefficient(self._x[p], -1)

    def _add_misses(self, row: pywraplp.Constraint) -> None:
        for sign in (1, -1):
            miss = self._variable(INFINITY, self._penalty)
            row.SetCoefficient(miss, sign)
            self._misses.append(miss)

    def add(self, column: Column) -> bool:
        """Adds a pattern; False when it is there already."""
        if column in self.columns:
            return False
        size, pattern = column
        y = self._variable(INFINITY, self.problem.sheets[size].price)
        for k, count in pattern:
            self._classes[k].SetCoefficient(y, count)
            if (k, size) in self._on_sheet:
                self._on_sheet[k, size].SetCoefficient(y, count)
        self._sizes[size].SetCoefficient(y, 1)
        self._total.SetCoefficient(y, 1)
        self.columns[column] = y
        return True

    def drop(self, column: Column) -> None:
        """Takes a pattern out: it was found not to fit."""
        self.columns.pop(column).SetUb(0.0)

    def thinned(self, keep: Iterable[Column]) -> Master:
        """The same model with these patterns only, so that it takes less time to solve."""
        fewer = Master(self.problem, self.aim, self._penalty)
        for column in keep:
            fewer.add(column)
        return fewer

    def set_bounds(self, bounds: Bounds) -> None:
        """Makes the model that of one branch."""
        self._bounds = bounds
        for row, (low, high) in zip(self._sizes, bounds.sheets, strict=True):
            row.SetBounds(low, high)
        self._total.SetBounds(*bounds.total)
        self._seams.SetBounds(*bounds.seams)
        for p, x in enumerate(self._x):
            x.SetUb(0.0 if p in bounds.shut else 1.0)
        wanted = {key: (low, high) for key, low, high in bounds.on_sheet}
        for key in wanted:
            self._make_on_sheet(key)
        for key, row in self._on_sheet.items():
            row.SetBounds(*wanted.get(key, (-INFINITY, INFINITY)))

    def _make_on_sheet(self, key: tuple[int, int]) -> None:
        if key in self._on_sheet:
            return
        row = self._row(-INFINITY, INFINITY)
        for (size, pattern), y in self.columns.items():
            count = dict(pattern).get(key[0], 0)
            if size == key[1] and count:
                row.SetCoefficient(y, count)
        self._add_misses(row)
        self._on_sheet[key] = row

    def raise_penalty(self, ceiling: float) -> bool:
        """Makes every miss dearer; False once a single miss costs more than any plan could."""
        if self._penalty > 1e5 * ceiling:
            return False
        self._penalty *= PENALTY_STEP
        for miss in self._misses:
            self._cost.SetCoefficient(miss, self._penalty)
        return True

    def relax(self) -> Relaxed | None:
        """Solves the relaxation; None when the solver fails, or answers what is no solution."""
        if answered(self._solver.Solve, None) != pywraplp.Solver.OPTIMAL:
            return None
        proved = self._rows.proved(self._bounds, self._duals())
        used = {name: amount for name, y in self.columns.items() if (amount := y.solution_value()) > HAIR}
        x = np.array([x.solution_value() for x in self._x])
        missed = sum(miss.solution_value() for miss in self._misses)
        if not self._rows.add_up(self._bounds, x, used, missed):
            return None
        return Relaxed(proved.value, proved.worth, proved.size_dual, x, used, missed, proved.x_cost)

    def _duals(self) -> RowPrices:
        """The prices that the solver puts on the rows."""
        return RowPrices(
            _duals_of(self._cells),
            _duals_of(self._classes),
            _duals_of(self._sizes),
            self._total.dual_value(),
            _duals_of(self._runs),
            self._seams.dual_value(),
            {key: row.dual_value() for key, row in self._on_sheet.items()},
        )


def _duals_of(rows: Iterable[pywraplp.Constraint]) -> list[float]:
    return [row.dual_value() for row in rows]


SOLVERS = (mathopt.SolverType.GSCIP, mathopt.SolverType.HIGHS)
"""For a whole-number choice: the faster one, and the other where that one breaks down."""


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
    # measured: cutting planes take ten times the time here and bring nothing; the node limit comes before the clock.
    # A full presolve may go on for minutes where many choices are alike, and asks no clock.
    limits = mathopt.SolveParameters(
        time_limit=timedelta(seconds=seconds),
        node_limit=NODES,
        cuts=mathopt.Emphasis.OFF,
        presolve=mathopt.Emphasis.LOW,
    )
    # the other solver knows no emphasis for cuts
    plain = mathopt.SolveParameters(time_limit=limits.time_limit, node_limit=limits.node_limit)
    for solver, parameters in zip(SOLVERS, (limits, plain), strict=True):
        result = answered(partial(mathopt.solve, model, solver, params=parameters), None)
        if result is None or result.termination.reason in BROKEN:
            continue
        if not result.has_primal_feasible_solution():
            return None
        chosen = whole_numbers(result.variable_values(x), [1] * len(x))
        counts = whole_numbers(result.variable_values(y), [most[size] for size, _ in columns])
        if chosen is None or counts is None:
            continue
        choices = tuple(p for p, one in enumerate(chosen) if one)
        sheets = {column: count for column, count in zip(columns, counts, strict=True) if count}
        counted = counted_cost(problem, aim, choices, sheets)
        if counted is not None and (below is None or counted <= below + HAIR):
            return Picked(choices, sheets, counted, min(counted, result.best_objective_bound()))
    return None
