"""How a branch of the programme is split in two or three that together hold every whole-number decision of it.

All splits leave pricing as it is: they bound numbers of sheets, shut out choices, or bound how many parts of a class
come from one sheet size.
"""

from __future__ import annotations

from dataclasses import replace
from math import floor

import numpy as np
from numpy.typing import NDArray

from nesting.programme.relaxation import Bounds, Relaxed
from nesting.sizing.problem import CellEdge, Problem

WHOLE = 1e-5
"""How near a value must be to a whole number to count as one."""

MANY = 10**6


def sheets_used(problem: Problem, relaxed: Relaxed) -> NDArray[np.float64]:
    """How many sheets of each size the relaxed solution cuts."""
    used = np.zeros(len(problem.sheets))
    for (size, _), value in relaxed.y.items():
        used[size] += value
    return used


def split_fractions(problem: Problem, bounds: Bounds, relaxed: Relaxed) -> list[Bounds] | None:
    """A split on what is not whole yet: sheets in all, sheets of one size, one seam; None where all of these are."""
    used = sheets_used(problem, relaxed)
    total = float(used.sum())
    if _fraction(total) > WHOLE:
        low, high = bounds.total
        cut = floor(total)
        return [replace(bounds, total=(low, cut)), replace(bounds, total=(cut + 1, high))]
    parted = max(range(len(used)), key=lambda size: _fraction(float(used[size])))
    if _fraction(float(used[parted])) > WHOLE:
        low, high = bounds.sheets[parted]
        cut = floor(used[parted])
        return [_with_sheets(bounds, parted, (low, cut)), _with_sheets(bounds, parted, (cut + 1, high))]
    worst, edge = WHOLE, None
    for candidate in problem.edges:
        value = _fraction(float(sum(relaxed.x[p] for p in candidate.across)))
        if value > worst:
            worst, edge = value, candidate
    return None if edge is None else _split_edge(bounds, edge)


def split_parts(bounds: Bounds, relaxed: Relaxed) -> list[Bounds] | None:
    """A split on how many parts of one class come from one sheet size; None where all these numbers are whole."""
    taken: dict[tuple[int, int], float] = {}
    for (size, pattern), value in relaxed.y.items():
        for k, n in pattern:
            taken[k, size] = taken.get((k, size), 0.0) + n * value
    parted = [(abs(_fraction(v) - 0.5), key) for key, v in taken.items() if _fraction(v) > WHOLE]
    if not parted:
        return None
    _, key = min(parted)
    rest = tuple(entry for entry in bounds.on_sheet if entry[0] != key)
    low, high = next(((a, b) for k, a, b in bounds.on_sheet if k == key), (0, MANY))
    cut = floor(taken[key])
    return [
        replace(bounds, on_sheet=(*rest, (key, low, cut))),
        replace(bounds, on_sheet=(*rest, (key, cut + 1, high))),
    ]


def split_unfixed(problem: Problem, bounds: Bounds, relaxed: Relaxed) -> list[Bounds] | None:
    """A split on a number of sheets or a seam that is whole but not fixed; None where everything is fixed."""
    for size, n in enumerate(sheets_used(problem, relaxed).round().astype(int)):
        low, high = bounds.sheets[size]
        if low < high:
            spans = [(low, int(n) - 1), (int(n), int(n)), (int(n) + 1, high)]
            return [_with_sheets(bounds, size, span) for span in spans if span[0] <= span[1]]
    for edge in problem.edges:
        sides = _split_edge(bounds, edge)
        if all(side.shut != bounds.shut for side in sides):
            return sides
    return None


def _split_edge(bounds: Bounds, edge: CellEdge) -> list[Bounds]:
    """With a seam on the edge nothing runs across it; without one nothing ends or starts there."""
    return [
        replace(bounds, shut=bounds.shut | set(edge.across)),
        replace(bounds, shut=bounds.shut | set(edge.ending) | set(edge.starting)),
    ]


def _with_sheets(bounds: Bounds, size: int, span: tuple[int, int]) -> Bounds:
    sheets = list(bounds.sheets)
    sheets[size] = span
    return replace(bounds, sheets=tuple(sheets))


def _fraction(value: float) -> float:
    return abs(value - round(value))
