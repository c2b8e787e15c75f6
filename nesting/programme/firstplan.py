"""A plan in a moment: panels by their share of a sheet, then sheets filled greedily, largest parts first."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from ortools.math_opt.python import mathopt

from nesting.placing.fitting import Fitter
from nesting.programme.master import Aim, pick_whole
from nesting.sizing.problem import Column, Pattern, Problem


def first_choices(problem: Problem) -> tuple[int, ...] | None:
    """Panels that close every cell, chosen by the share of a sheet that each would take; None when none can."""
    if problem.cells == 0:
        return ()
    model = mathopt.Model()
    x = [model.add_binary_variable() for _ in problem.choices]
    closing: list[list[mathopt.Variable]] = [[] for _ in range(problem.cells)]
    for p, choice in enumerate(problem.choices):
        for c in choice.cells:
            closing[c].append(x[p])
    if not all(closing):
        return None
    for terms in closing:
        model.add_linear_constraint(mathopt.fast_sum(terms) == 1)
    shares = [
        choice.seam_cost
        + problem.seam_cost * max(1, choice.seams)
        + sum(_share(problem, k) for k in choice.parts)
        for choice in problem.choices
    ]
    model.minimize(mathopt.fast_sum([share * v for share, v in zip(shares, x, strict=True)]))
    result = mathopt.solve(model, mathopt.SolverType.HIGHS)
    if not result.has_primal_feasible_solution():
        return None
    return tuple(p for p, value in enumerate(result.variable_values(x)) if value > 0.5)


def fewest_seams(problem: Problem, seconds: float) -> int:
    """The least number of seams that any choice of panels makes, whatever sheets cost; 0 where time is over first."""
    free = tuple(replace(sheet, price=0.0, available=None) for sheet in problem.sheets)
    widest = {
        k: s for k, part in enumerate(problem.classes) for s, sheet in enumerate(free) if part.placings(sheet)
    }
    bare = replace(
        problem, sheets=free, seam_cost=1.0, choices=tuple(replace(c, seam_cost=0.0) for c in problem.choices)
    )
    picked = pick_whole(bare, Aim(), [(s, ((k, 1),)) for k, s in widest.items()], seconds=seconds)
    return 0 if picked is None else round(picked.cost)


def _share(problem: Problem, k: int) -> float:
    """Least price of the share of a sheet that a part takes, by its length or its area, whichever is more."""
    part = problem.classes[k]
    return min(
        sheet.price * max(a / sheet.length, a * b / (sheet.length * sheet.width))
        for sheet in problem.sheets
        for a, b in part.placings(sheet)
    )


def fill_sheets(problem: Problem, fitter: Fitter, parts: Counter[int]) -> dict[Column, int] | None:
    """Sheets that carry all the parts, each filled greedily; None when the stock runs out."""
    waiting = Counter(parts)
    spare = [sheet.available if sheet.available is not None else 10**6 for sheet in problem.sheets]
    used: dict[Column, int] = {}
    while waiting.total():
        best: tuple[float, int, Pattern] | None = None
        for s, sheet in enumerate(problem.sheets):
            if not spare[s]:
                continue
            pattern = _filled(problem, fitter, s, waiting)
            if not pattern:
                continue
            area = sum(problem.classes[k].length * problem.classes[k].width * n for k, n in pattern)
            whole = sum(n for _, n in pattern) == waiting.total()
            rate = sheet.price / area * (0.5 if whole else 1.0)
            if best is None or rate < best[0]:
                best = (rate, s, pattern)
        if best is None:
            return None
        _, s, pattern = best
        spare[s] -= 1
        waiting -= Counter(dict(pattern))
        used[s, pattern] = used.get((s, pattern), 0) + 1
    return used


def _filled(problem: Problem, fitter: Fitter, size: int, waiting: Counter[int]) -> Pattern:
    """Parts taken one by one, largest first, as long as quick placing finds room for them."""
    sheet = problem.sheets[size]
    taken: Counter[int] = Counter()
    area = sheet.length * sheet.width
    order = sorted(waiting, key=lambda k: (-problem.classes[k].length * problem.classes[k].width, k))
    for k in order:
        part = problem.classes[k]
        for _ in range(waiting[k]):
            area -= part.length * part.width
            if area < 0 or not part.placings(sheet):
                area += part.length * part.width
                break
            more = tuple(sorted((taken + Counter([k])).items()))
            if not fitter.quick_places(size, more):
                area += part.length * part.width
                break
            taken[k] += 1
    return tuple(sorted(taken.items()))
