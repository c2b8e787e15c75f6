"""Sheets on hand spared: they cost nothing, so that a plan may cut into more of them than it needs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import islice

from nesting.budget import Budget
from nesting.programme.search import Decision, Search
from nesting.sizing.problem import Problem

MOST_ASKED = 12
"""How many other sets of sheets are tried before the one at hand is good enough."""

MOST_SETS = 20_000
"""How many sets of sheets are looked at: with many sizes of offcuts there are more than anybody can try."""


def spare_on_hand(search: Search, best: Decision, budget: Budget) -> Decision:
    """The same panels and the same sheets to buy, cutting into less area of what is on hand where that is found.

    No more pieces are taken than before.  The cost stays as it is, and so does every proof.
    """
    used = Counter(dict.fromkeys(range(len(search.problem.sheets)), 0))
    for (size, _), count in best.sheets.items():
        used[size] += count
    for counts in islice(_smaller_sets(search, best, used), MOST_ASKED):
        loads = search.assigned(best.choices, counts, budget)
        if loads:
            return replace(best, sheets=loads)
    return best


def _smaller_sets(search: Search, best: Decision, used: Counter[int]) -> Iterator[tuple[int, ...]]:
    """Numbers of sheets of each size with as many to buy and less area on hand, the least area first."""
    problem = search.problem
    free = [size for size, sheet in enumerate(problem.sheets) if sheet.price == 0]
    pieces = sum(used[size] for size in free)
    if not pieces:
        return
    parts = search.parts(best.choices)
    needed = sum(problem.classes[k].length * problem.classes[k].width * n for k, n in parts.items())
    needed -= sum(_area(problem, size) * used[size] for size in used if size not in free)
    now = sum(_area(problem, size) * used[size] for size in free)
    sets = [
        (area, some)
        for some in islice(_chosen(problem, free, pieces), MOST_SETS)
        for area in [sum(_area(problem, size) * count for size, count in zip(free, some, strict=True))]
        if needed <= area < now
    ]
    for _, some in sorted(sets):
        counts = dict(used) | dict(zip(free, some, strict=True))
        yield tuple(counts[size] for size in range(len(problem.sheets)))


def _chosen(problem: Problem, sizes: Sequence[int], pieces: int) -> Iterator[tuple[int, ...]]:
    """Every way to take at most so many pieces of these sizes."""
    if not sizes:
        yield ()
        return
    available = problem.sheets[sizes[0]].available
    for count in range(pieces + 1 if available is None else min(pieces, available) + 1):
        for rest in _chosen(problem, sizes[1:], pieces - count):
            yield (count, *rest)


def _area(problem: Problem, size: int) -> int:
    return problem.sheets[size].length * problem.sheets[size].width
