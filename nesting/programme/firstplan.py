"""A plan in a moment: panels by their share of a sheet, then sheets filled greedily, largest parts first."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from math import ceil, isfinite

from ortools.math_opt.python import mathopt

from nesting.placing.fitting import Fitter
from nesting.programme.master import pick_whole
from nesting.programme.relaxation import HAIR, Aim
from nesting.programme.wholechoice import closed_one_by_one, closes_all
from nesting.sizing.problem import Column, Pattern, Problem
from nesting.sizing.solverguard import answered, whole_numbers

CAREFUL_WORK = 500_000
"""Work after which sheets are filled by runs of parts: about a second, and three times what 208 bays ask for."""

MOST_MISSES, SMALLER = 8, 8
"""Parts without room after which a sheet filled by runs is full; after each an eighth of the rest is passed over."""


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
    result = answered(lambda: mathopt.solve(model, mathopt.SolverType.HIGHS), None)
    if result is not None and result.has_primal_feasible_solution():
        whole = whole_numbers(result.variable_values(x), [1] * len(x))
        choices = tuple(p for p, one in enumerate(whole or ()) if one)
        if closes_all(problem, choices):
            return choices
    return closed_one_by_one(problem, shares)


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
    # the choice found may have more than the fewest, what is proved of it not
    return max(0, ceil(picked.bound - HAIR)) if picked is not None and isfinite(picked.bound) else 0


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
    work = 0
    while waiting.total():
        best: tuple[float, int, Pattern] | None = None
        for s, sheet in enumerate(problem.sheets):
            if not spare[s]:
                continue
            fill = _filled if work < CAREFUL_WORK else _filled_in_runs
            pattern, steps = fill(problem, fitter, s, waiting)
            work += steps
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


def _filled(problem: Problem, fitter: Fitter, size: int, waiting: Counter[int]) -> tuple[Pattern, int]:
    """Parts taken one by one, largest first, as long as quick placing finds room for them; and the work that was."""
    sheet = problem.sheets[size]
    taken: Counter[int] = Counter()
    area, work = sheet.length * sheet.width, 0
    for k in _largest_first(problem, waiting):
        part = problem.classes[k]
        for _ in range(waiting[k]):
            area -= part.length * part.width
            if area < 0 or not part.placings(sheet):
                area += part.length * part.width
                break
            work += _work(taken.total() + 1)
            if not _has_room(fitter, size, taken + Counter([k])):
                area += part.length * part.width
                break
            taken[k] += 1
            if work > CAREFUL_WORK:
                pattern, more = _filled_in_runs(problem, fitter, size, waiting)
                return pattern, work + more
    return _pattern(taken), work


def _filled_in_runs(
    problem: Problem, fitter: Fitter, size: int, waiting: Counter[int]
) -> tuple[Pattern, int]:
    """Parts taken in runs, largest first, each twice as long as the one before while quick placing finds room.

    A few questions to a sheet, however many parts wait: where even one more has no room, smaller ones are tried.
    """
    sheet = problem.sheets[size]
    pieces = [
        k
        for k in _largest_first(problem, waiting)
        if problem.classes[k].placings(sheet)
        for _ in range(waiting[k])
    ]
    taken: Counter[int] = Counter()
    at, run, misses, work = 0, 1, 0, 0
    while at < len(pieces) and misses < MOST_MISSES:
        more = taken + Counter(pieces[at : at + run])
        area = sum(problem.classes[k].length * problem.classes[k].width * n for k, n in more.items())
        fits = area <= sheet.length * sheet.width
        if fits:
            work += _work(more.total())
            fits = _has_room(fitter, size, more)
        if fits:
            taken, at, run = more, at + run, 2 * run
        elif run > 1:
            run //= 2
        else:
            misses += 1
            at += 1 + (len(pieces) - at) // SMALLER
    return _pattern(taken), work


def _largest_first(problem: Problem, waiting: Counter[int]) -> list[int]:
    return sorted(waiting, key=lambda k: (-problem.classes[k].length * problem.classes[k].width, k))


def _has_room(fitter: Fitter, size: int, parts: Counter[int]) -> bool:
    return fitter.quick_places(size, _pattern(parts)) is not None


def _pattern(parts: Counter[int]) -> Pattern:
    return tuple(sorted(parts.items()))


def _work(parts: int) -> int:
    """About how long quick placing takes for so many parts: each is tried beside all others."""
    return parts * parts
