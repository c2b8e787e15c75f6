"""Whether choices and sheets make a decision at all, told in whole numbers: no solver's word is taken for it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping

from nesting.programme.relaxation import Aim
from nesting.sizing.problem import Column, Problem

NODES = 20_000
"""Steps of closing cells one by one before it is given up."""


def closes_all(problem: Problem, choices: Iterable[int]) -> bool:
    """True where each cell is closed by exactly one of these choices."""
    closed = [cell for p in choices for cell in problem.choices[p].cells]
    return sorted(closed) == list(range(problem.cells))


def carries_all(problem: Problem, choices: Iterable[int], sheets: Mapping[Column, int]) -> bool:
    """True where the sheets carry what is demanded and what the choices need, and there are so many of them."""
    spare: Counter[int] = Counter()
    used: Counter[int] = Counter()
    for (size, pattern), count in sheets.items():
        used[size] += count
        for k, n in pattern:
            spare[k] += n * count
    spare.subtract(dict(enumerate(problem.demand)))
    for p in choices:
        spare.subtract(problem.choices[p].parts)
    there = (
        sheet.available is None or used[size] <= sheet.available for size, sheet in enumerate(problem.sheets)
    )
    return min(spare.values(), default=0) >= 0 and all(there)


def seams_between(problem: Problem, choices: Iterable[int]) -> int:
    """Seams that these choices make."""
    chosen = set(choices)
    begun = sum(not chosen.isdisjoint((*run.one_hand, *run.other_hand)) for run in problem.runs)
    return begun + sum(problem.choices[p].seams for p in chosen)


def decision_cost(problem: Problem, aim: Aim, choices: Iterable[int], sheets: Mapping[Column, int]) -> float:
    """What choices and sheets cost by the aim, whether they make a decision or not."""
    chosen = tuple(choices)
    cost = sum(problem.sheets[size].price * count for (size, _), count in sheets.items())
    if aim.seams_count:
        cost += problem.seam_cost * seams_between(problem, chosen)
        cost += sum(problem.choices[p].seam_cost for p in chosen)
    return cost


def counted_cost(
    problem: Problem, aim: Aim, choices: tuple[int, ...], sheets: Mapping[Column, int]
) -> float | None:
    """What a decision costs by the aim; None where it is none, or has more seams than the aim allows."""
    if not (closes_all(problem, choices) and carries_all(problem, choices, sheets)):
        return None
    if aim.seam_cap is not None and seams_between(problem, choices) > aim.seam_cap:
        return None
    return decision_cost(problem, aim, choices, sheets)


def closed_one_by_one(problem: Problem, worth: list[float]) -> tuple[int, ...] | None:
    """Choices that close every cell, found cell by cell, the one of least ``worth`` for a cell first.

    A plain search that needs no solver, for when there is none to be trusted; None where it finds nothing.
    """
    at: list[list[int]] = [[] for _ in range(problem.cells)]
    for p, choice in enumerate(problem.choices):
        for cell in choice.cells:
            at[cell].append(p)
    for options in at:
        options.sort(key=lambda p: (worth[p] / len(problem.choices[p].cells), p))
    taken: list[int] = []
    closed: set[int] = set()
    waiting = [iter(at[0])] if problem.cells else []
    for _ in range(NODES):
        if len(closed) == problem.cells:
            return tuple(sorted(taken))
        suited = next((p for p in waiting[-1] if closed.isdisjoint(problem.choices[p].cells)), None)
        if suited is None:
            waiting.pop()
            if not waiting:
                return None
            closed.difference_update(problem.choices[taken.pop()].cells)
            continue
        taken.append(suited)
        closed.update(problem.choices[suited].cells)
        open_cell = next((cell for cell in range(problem.cells) if cell not in closed), None)
        waiting.append(iter(() if open_cell is None else at[open_cell]))
    return None
