"""The cheapest whole-number choice among listed loads: the exact end of cutting bars.

The model is that of nesting.framing.barmaster with y_p whole and no piece missed; e_i is then whole by itself.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from itertools import pairwise

from ortools.math_opt.python import mathopt

from nesting.framing.barproblem import BarProblem, Load

HAIR = 1e-6

SOLVER = mathopt.SolverType.GSCIP


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
    result = mathopt.solve(model, SOLVER, params=parameters)
    reason = result.termination.reason
    if not result.has_primal_feasible_solution():
        return Choice(None, reason == mathopt.TerminationReason.INFEASIBLE)
    times = (round(result.variable_values(variable)) for variable in uses)
    picked = tuple(load for count, load in zip(times, loads, strict=True) for _ in range(count))
    return Choice(picked, reason == mathopt.TerminationReason.OPTIMAL and aimed)


def _most_uses(problem: BarProblem, load: Load) -> int:
    available = problem.bars[load.bar].available
    most = sum(problem.demand)
    return most if available is None else min(most, available)
