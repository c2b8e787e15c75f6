"""Solvers that fail, raise or lie: each fault is put in place of the library's own answer.

Three libraries within one: CP-SAT (placing, sharing out, bars once more), the linear solvers (relaxations, pushing
together) and the whole-number solvers (choices among patterns and among loads).
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from types import SimpleNamespace
from typing import Any, TypeAlias

import pytest
from ortools.linear_solver import pywraplp
from ortools.math_opt.python import mathopt
from ortools.sat.python import cp_model

Fault = Callable[[pytest.MonkeyPatch], None]
"""Breaks a solver until the test is over."""

Reason: TypeAlias = mathopt.TerminationReason


class SolverBroke(Exception):
    """What a solver raises here: nothing that the library could know by name."""


def _raise(*_args: object, **_named: object) -> Any:
    raise SolverBroke("internal error")


def cp_ends(status: cp_model.CpSolverStatus) -> Fault:
    """CP-SAT ends at once with this status."""
    return lambda patch: patch.setattr(cp_model.CpSolver, "solve", lambda *_: status)


def cp_raises(patch: pytest.MonkeyPatch) -> None:
    """CP-SAT breaks down."""
    patch.setattr(cp_model.CpSolver, "solve", _raise)


def cp_values(changed: Callable[[int], int]) -> Fault:
    """CP-SAT tells other values than it found."""

    def fault(patch: pytest.MonkeyPatch) -> None:
        true = cp_model.CpSolver.value
        patch.setattr(cp_model.CpSolver, "value", lambda self, of: changed(true(self, of)))

    return fault


def linear_ends(status: int) -> Fault:
    """Every linear programme ends at once with this status."""
    return lambda patch: patch.setattr(pywraplp.Solver, "Solve", lambda *_: status)


def linear_raises(patch: pytest.MonkeyPatch) -> None:
    """Every linear programme breaks down."""
    patch.setattr(pywraplp.Solver, "Solve", _raise)


def linear_duals(changed: Callable[[float], float]) -> Fault:
    """The linear solvers tell other duals than they found."""

    def fault(patch: pytest.MonkeyPatch) -> None:
        true = pywraplp.Constraint.dual_value
        patch.setattr(pywraplp.Constraint, "dual_value", lambda self: changed(true(self)))

    return fault


def linear_values(changed: Callable[[float], float]) -> Fault:
    """The linear solvers tell another solution than they found."""

    def fault(patch: pytest.MonkeyPatch) -> None:
        true = pywraplp.Variable.solution_value
        patch.setattr(pywraplp.Variable, "solution_value", lambda self: changed(true(self)))

    return fault


def whole_raises(*solvers: mathopt.SolverType) -> Fault:
    """These whole-number solvers break down (none named: all)."""

    def fault(patch: pytest.MonkeyPatch) -> None:
        true = mathopt.solve

        def solve(model: Any, solver: Any, **named: Any) -> Any:
            return true(model, solver, **named) if solvers and solver not in solvers else _raise()

        patch.setattr(mathopt, "solve", solve)

    return fault


def whole_ends(reason: Reason) -> Fault:
    """Every whole-number programme ends at once for this reason, without a solution."""
    return whole_answers(lambda _: _answer(reason, None, float("-inf")))


def whole_values(changed: Callable[[float], float]) -> Fault:
    """The whole-number solvers tell other values than they found, and call them the best."""

    def lie(result: Any) -> Any:
        if not result.has_primal_feasible_solution():
            return result
        return _answer(
            Reason.OPTIMAL, lambda of: changed(result.variable_values(of)), result.objective_value()
        )

    return whole_answers(lie)


def whole_bounds(bound: float) -> Fault:
    """The whole-number solvers tell this as what they proved."""

    def lie(result: Any) -> Any:
        if not result.has_primal_feasible_solution():
            return result
        return _answer(Reason.OPTIMAL, result.variable_values, bound)

    return whole_answers(lie)


def whole_answers(changed: Callable[[Any], Any]) -> Fault:
    def fault(patch: pytest.MonkeyPatch) -> None:
        true = mathopt.solve
        patch.setattr(mathopt, "solve", lambda *given, **named: changed(true(*given, **named)))

    return fault


def _answer(reason: Reason, values: Callable[[Any], float] | None, bound: float) -> Any:
    def told(of: Any) -> Any:
        assert values is not None
        return [values(one) for one in of] if isinstance(of, list) else values(of)

    return SimpleNamespace(
        termination=SimpleNamespace(reason=reason),
        has_primal_feasible_solution=lambda: values is not None,
        variable_values=told,
        objective_value=lambda: bound,
        best_objective_bound=lambda: bound,
    )


NAN, INF = float("nan"), float("inf")

CP_FAULTS: Mapping[str, Fault] = {
    "CP-SAT raises": cp_raises,
    "CP-SAT calls every model invalid": cp_ends(cp_model.MODEL_INVALID),
    "CP-SAT knows nothing": cp_ends(cp_model.UNKNOWN),
    "CP-SAT calls everything impossible": cp_ends(cp_model.INFEASIBLE),
    "CP-SAT tells zeros": cp_values(lambda _: 0),
    "CP-SAT is off by one": cp_values(lambda value: value + 1),
}
LINEAR_FAULTS: Mapping[str, Fault] = {
    "linear solver raises": linear_raises,
    "linear solver ends abnormally": linear_ends(pywraplp.Solver.ABNORMAL),
    "linear solver calls everything impossible": linear_ends(pywraplp.Solver.INFEASIBLE),
    "linear solver tells tenfold duals": linear_duals(lambda dual: 10 * dual),
    "linear solver tells duals of the other sign": linear_duals(lambda dual: -dual),
    "linear solver tells duals that are no numbers": linear_duals(lambda _: NAN),
    "linear solver tells endless duals": linear_duals(lambda _: INF),
    "linear solver tells zeros": linear_values(lambda _: 0.0),
    "linear solver tells halves": linear_values(lambda value: value / 2),
    "linear solver tells ones": linear_values(lambda _: 1.0),
    "linear solver tells no numbers": linear_values(lambda _: NAN),
    "linear solver tells endless values": linear_values(lambda _: INF),
}
WHOLE_FAULTS: Mapping[str, Fault] = {
    "whole-number solver raises": whole_raises(),
    "whole-number solver calls everything impossible": whole_ends(Reason.INFEASIBLE),
    "whole-number solver ends with an error": whole_ends(Reason.OTHER_ERROR),
    "whole-number solver finds nothing": whole_ends(Reason.NO_SOLUTION_FOUND),
    "whole-number solver tells zeros as the best": whole_values(lambda _: 0.0),
    "whole-number solver tells ones as the best": whole_values(lambda _: 1.0),
    "whole-number solver tells halves as the best": whole_values(lambda value: value / 2 + 0.25),
    "whole-number solver tells one more of each": whole_values(lambda value: value + 1),
    "whole-number solver tells no numbers": whole_values(lambda _: NAN),
    "whole-number solver proves too much": whole_bounds(1e6),
    "whole-number solver proves no number": whole_bounds(NAN),
}
FAULTS: Mapping[str, Fault] = {**CP_FAULTS, **LINEAR_FAULTS, **WHOLE_FAULTS}
"""Every fault by its name."""


def every(faults: Mapping[str, Fault]) -> pytest.MarkDecorator:
    """The test once for each fault."""
    return pytest.mark.parametrize("fault", faults.values(), ids=faults)
