"""The cheapest whole-number choice among listed loads: the exact end of cutting bars.

The model is that of nesting.framing.barmaster with y_p whole and no piece missed; e_i is then whole by itself.  A
choice is counted over before it is used, and nothing counts as proved on the word of one solver.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from functools import cache, partial
from itertools import pairwise
from math import ceil, floor

from ortools.math_opt.python import mathopt
from ortools.sat.python import cp_model

from nesting.framing.barproblem import BarProblem, Load
from nesting.sizing.solverguard import answered, whole_numbers

HAIR = 1e-6

SOLVER = mathopt.SolverType.GSCIP

SHARES = 10**6
"""To the unit of money, for the solver that knows whole numbers only."""

SECOND_EFFORT = 0.3
"""Deterministic seconds of the second solver."""


@dataclass(frozen=True)
class Choice:
    """``loads`` None: none found; ``proved``: no choice is cheaper, or there is none."""

    loads: tuple[Load, ...] | None
    proved: bool


def pick_whole(
    problem: BarProblem,
    loads: Sequence[Load],
    ceiling: float,
    seconds: float,
    nodes: int,
    seed: int,
    any_plan: bool,
) -> Choice:
    """The cheapest choice of these loads that carries all pieces and costs no more than the ceiling.

    With ``any_plan``, or one price for all bars, it is any such choice, and proved only where there is none.

    The search ends after ``nodes`` branches; ``seconds`` only stand guard.  Places may be longer than their pieces.
    """
    if not loads:
        return Choice(None, True)
    model = mathopt.Model()
    uses = [model.add_integer_variable(lb=0.0, ub=float(_most_uses(problem, load))) for load in loads]
    wanted: list[list[mathopt.LinearTypes]] = [[] for _ in problem.sizes]
    for variable, load in zip(uses, loads, strict=True):
        for kind, count in enumerate(load.counts):
            if count:
                wanted[kind].append(float(count) * variable)
    for longer, shorter in pairwise(wanted):
        moved = model.add_variable(lb=0.0)
        longer.append(-moved)
        shorter.append(1.0 * moved)
    for terms, demand in zip(wanted, problem.demand, strict=True):
        model.add_linear_constraint(mathopt.LinearSum(terms) >= float(demand))
    for number, bar in enumerate(problem.bars):
        cut = [variable for variable, load in zip(uses, loads, strict=True) if load.bar == number]
        if bar.available is not None and cut:
            model.add_linear_constraint(mathopt.LinearSum(cut) <= float(bar.available))
    cost = mathopt.LinearSum(
        problem.bars[load.bar].price * variable for variable, load in zip(uses, loads, strict=True)
    )
    model.add_linear_constraint(cost <= ceiling + HAIR)
    aimed = not any_plan and len({bar.price for bar in problem.bars}) > 1
    if aimed:
        # without an aim the search is several times faster, and with one price the ceiling says it all
        model.minimize(cost)
    parameters = mathopt.SolveParameters(
        time_limit=timedelta(seconds=min(seconds, 1e6)),
        node_limit=nodes,
        threads=1,
        random_seed=seed,
        cuts=mathopt.Emphasis.OFF,
    )
    result = answered(partial(mathopt.solve, model, SOLVER, params=parameters), None)
    reason = None if result is None else result.termination.reason
    if result is None or not result.has_primal_feasible_solution():
        if reason is not mathopt.TerminationReason.INFEASIBLE:
            return Choice(None, False)
        return _confirmed(problem, loads, ceiling, seconds, None)
    times = whole_numbers(result.variable_values(uses), [_most_uses(problem, load) for load in loads])
    picked = None if times is None else _picked(problem, loads, times, ceiling)
    if picked is None or not (aimed and reason is mathopt.TerminationReason.OPTIMAL):
        return Choice(picked, False)
    return _confirmed(problem, loads, problem.costs.below(problem.cost(picked)), seconds, picked)


def _picked(
    problem: BarProblem, loads: Sequence[Load], times: Sequence[int], ceiling: float
) -> tuple[Load, ...] | None:
    """The loads so many times each; None where they do not carry all pieces, are not there or cost too much."""
    picked = tuple(load for count, load in zip(times, loads, strict=True) for _ in range(count))
    spare = 0
    for kind, demand in enumerate(problem.demand):
        # a place may carry a piece of any shorter length
        spare += sum(load.counts[kind] for load in picked) - demand
        if spare < 0:
            return None
    used = Counter(load.bar for load in picked)
    there = (
        bar.available is None or used[number] <= bar.available for number, bar in enumerate(problem.bars)
    )
    return picked if all(there) and problem.cost(picked) <= ceiling + HAIR else None


def _confirmed(
    problem: BarProblem, loads: Sequence[Load], ceiling: float, seconds: float, best: tuple[Load, ...] | None
) -> Choice:
    """The best choice, proved where a second solver finds none up to the ceiling either; else what that one finds.

    Where the second one comes to no end the first one's word counts, if that one is right about what is known.  The
    second one reckons in whole numbers: prices are rounded down and the ceiling up, so that it asks for no less.
    """
    model = cp_model.CpModel()
    uses = [model.new_int_var(0, _most_uses(problem, load), "") for load in loads]
    for kind in range(len(problem.sizes)):
        places = [sum(load.counts[: kind + 1]) for load in loads]
        model.add(cp_model.LinearExpr.weighted_sum(uses, places) >= sum(problem.demand[: kind + 1]))
    for number, bar in enumerate(problem.bars):
        if bar.available is not None:
            model.add(
                sum(v for v, load in zip(uses, loads, strict=True) if load.bar == number) <= bar.available
            )
    prices = [floor(problem.bars[load.bar].price * SHARES) for load in loads]
    model.add(cp_model.LinearExpr.weighted_sum(uses, prices) <= ceil((ceiling + HAIR) * SHARES))
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 0
    solver.parameters.max_deterministic_time = SECOND_EFFORT
    solver.parameters.max_time_in_seconds = min(seconds, 1e6)
    solver.parameters.catch_sigint_signal = False
    status = answered(partial(solver.solve, model), cp_model.UNKNOWN)
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        found = _picked(problem, loads, [solver.value(variable) for variable in uses], ceiling)
        return Choice(best if found is None else found, False)
    return Choice(
        best, status == cp_model.INFEASIBLE or (status == cp_model.UNKNOWN and knows_small_choices())
    )


@cache
def knows_small_choices() -> bool:
    """True where the first solver is right about two small questions: three twos make 6, no number of them makes 3.

    Asked once: a solver that fails here is broken as a whole, and no proof of it counts.
    """
    ends = []
    for wanted in (6.0, 3.0):
        model = mathopt.Model()
        twos = model.add_integer_variable(lb=0.0, ub=9.0)
        model.add_linear_constraint(2.0 * twos == wanted)
        result = answered(partial(mathopt.solve, model, SOLVER), None)
        if result is None:
            return False
        found = result.has_primal_feasible_solution()
        ends.append((result.termination.reason, found and whole_numbers([result.variable_values(twos)], [9])))
    reasons = mathopt.TerminationReason
    return ends == [(reasons.OPTIMAL, (3,)), (reasons.INFEASIBLE, False)]


def _most_uses(problem: BarProblem, load: Load) -> int:
    available = problem.bars[load.bar].available
    most = sum(problem.demand)
    return most if available is None else min(most, available)
