"""Given the parts and the sheets: which part goes on which sheet, or a proof that they do not go together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from typing import Literal

from ortools.sat.python import cp_model

from nesting.budget import Budget
from nesting.placing.fitting import Fitter
from nesting.placing.freefitting import knows_small_answers
from nesting.programme.pricing import Pricer
from nesting.programme.sharingout import share_out
from nesting.sizing.problem import Column, Pattern
from nesting.sizing.sheetbounds import SCALE
from nesting.sizing.solverguard import answered

EFFORT = 2.0
"""Deterministic seconds of the solver for one question."""

ROUNDS = 40
"""How often an assignment may be refused by the exact placing before the question is left open."""


def assign(
    pricer: Pricer, fitter: Fitter, parts: Mapping[int, int], sheets: Sequence[int], budget: Budget
) -> dict[Column, int] | Literal[False] | None:
    """Loads for these sheets (numbers per size) that carry exactly these parts; False when proved impossible.

    None where the effort or the time ran out first.  Loads are placed for real; what cannot be placed is learnt
    as a cut.
    """
    bins = [size for size, count in enumerate(sheets) for _ in range(count)]
    for _ in range(ROUNDS):
        if budget.over:
            return None
        loads = _solve(pricer, parts, bins, budget.left)
        if loads is False or loads is None:
            return loads
        refused = False
        unknown = False
        for size, pattern in set(loads):
            if not pattern:
                continue
            placed = fitter.places(size, pattern)
            if placed is False:
                pricer.learn_misfit(size, fitter.least_misfit(size, pattern))
                refused = True
            elif placed is None:
                unknown = True
        if not refused:
            return None if unknown else dict(Counter(load for load in loads if load[1]))
    return None


def _solve(
    pricer: Pricer, parts: Mapping[int, int], bins: list[int], seconds: float
) -> list[Column] | Literal[False] | None:
    model = cp_model.CpModel()
    counts: list[dict[int, list[cp_model.IntVar]]] = []
    loads: list[cp_model.LinearExprT] = []
    for size in bins:
        rows = pricer.rows[size]
        by_class: dict[int, list[cp_model.IntVar]] = {}
        names, weights = [], []
        for i, k in enumerate(rows.owner):
            most = parts.get(int(k), 0)
            if most:
                variable = model.new_int_var(0, most, "")
                by_class.setdefault(int(k), []).append(variable)
                names.append(variable)
                weights.append(rows.weight[i])
        for r in range(rows.weight.shape[1] if names else 0):
            model.add(cp_model.LinearExpr.weighted_sum(names, [int(w[r]) for w in weights]) <= SCALE)
        for misfit in pricer.misfits[size]:
            _forbid(model, by_class, misfit)
        loads.append(cp_model.LinearExpr.weighted_sum(names, [int(w[0]) for w in weights]) if names else 0)
        counts.append(by_class)
    for k, wanted in parts.items():
        model.add(sum(v for by_class in counts for v in by_class.get(k, [])) == wanted)
    for b in range(len(bins) - 1):
        if bins[b] == bins[b + 1]:
            model.add(loads[b] >= loads[b + 1])
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 0
    solver.parameters.max_deterministic_time = EFFORT
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.catch_sigint_signal = False
    status = answered(lambda: solver.solve(model), cp_model.UNKNOWN)
    if status == cp_model.INFEASIBLE:
        return _refuted(pricer, parts, bins)
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    shared = [
        (size, _pattern({k: sum(solver.value(v) for v in vs) for k, vs in by_class.items()}))
        for size, by_class in zip(bins, counts, strict=True)
    ]
    carried: Counter[int] = Counter()
    for _, pattern in shared:
        carried.update(dict(pattern))
    return shared if carried == Counter(parts) and all(n > 0 for n in carried.values()) else None


def _refuted(
    pricer: Pricer, parts: Mapping[int, int], bins: list[int]
) -> list[Column] | Literal[False] | None:
    """What becomes of the solver's word that parts do not go on these sheets: tried once more, part by part."""
    tried = share_out(pricer, parts, bins)
    if tried is None:
        return False if knows_small_answers() else None
    return tried


def _forbid(model: cp_model.CpModel, by_class: dict[int, list[cp_model.IntVar]], misfit: Pattern) -> None:
    """Not all of these together: at least one class stays short of its count."""
    short = []
    for k, count in misfit:
        variables = by_class.get(k, [])
        if not variables:
            return
        literal = model.new_bool_var("")
        model.add(sum(variables) <= count - 1).only_enforce_if(literal)
        short.append(literal)
    model.add_bool_or(short)


def _pattern(counts: Mapping[int, int]) -> Pattern:
    return tuple(sorted((k, n) for k, n in counts.items() if n))
