"""What prices on the rows of the master prove by themselves, wherever they come from.

A solver's duals are taken as nothing but prices: those of a wrong sign are cut to zero, the reduced costs of choices
and seams are worked out anew, and what these could still gain is taken off.  The value is then no more than that of
the relaxation for any prices at all (weak duality), so that a wrong answer of a solver makes a weak bound, not a false
one.  The numbers of the rows are those of nesting.programme.master.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nesting.programme.relaxation import Aim, Bounds, choice_cost
from nesting.sizing.problem import Column, Problem
from nesting.sizing.solverguard import all_finite

NOISE = 1e-9
"""Smaller prices are rounding: on a row whose bound is a million they would add up."""

COUNTED = 1e-3
"""How far off a row a solution may be: well beyond any solver's rounding."""

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class RowPrices:
    """A price for each row: cells (1), classes (2), sheets of each size and in all (3), runs (4), seams (5).

    ``runs`` has one for each hand of each run; ``on_sheet`` those of the rows that branching has added.
    """

    cells: Sequence[float]
    classes: Sequence[float]
    sizes: Sequence[float]
    total: float
    runs: Sequence[float]
    seams: float
    on_sheet: Mapping[tuple[int, int], float]


@dataclass(frozen=True)
class Proved:
    """The value that prices prove for a branch, and the worth of parts and sheets and cost of choices by them."""

    value: float
    worth: Floats
    size_dual: Floats
    x_cost: Floats


class FixedRows:
    """The part of the model that does not grow: which rows each choice and each run stand in."""

    def __init__(self, problem: Problem, aim: Aim) -> None:
        self._problem = problem
        choices = problem.choices
        self._costs = np.array([choice_cost(problem, aim, p) for p in range(len(choices))], np.float64)
        self._seam_cost = problem.seam_cost if aim.seams_count else 0.0
        self._seams = np.array([choice.seams for choice in choices], np.float64)
        self._demand = np.array(problem.demand, np.float64)
        self._cells = _entries([choice.cells for choice in choices])
        self._parts = _entries([choice.parts for choice in choices])
        self._hands = _entries([hand for run in problem.runs for hand in (run.one_hand, run.other_hand)])

    def proved(self, bounds: Bounds, prices: RowPrices) -> Proved:
        """What these prices prove for a branch."""
        cells, runs = _clean(prices.cells), np.maximum(0.0, _clean(prices.runs))
        classes = np.maximum(0.0, _clean(prices.classes))
        sizes, for_sizes = _within(prices.sizes, bounds.sheets)
        (total, seams), for_ends = _within((prices.total, prices.seams), (bounds.total, bounds.seams))
        x_cost = self._costs - seams * self._seams
        np.subtract.at(x_cost, self._cells[0], cells[self._cells[1]])
        np.add.at(x_cost, self._parts[0], classes[self._parts[1]])
        np.add.at(x_cost, self._hands[1], runs[self._hands[0]])
        u_cost = self._seam_cost - seams - runs.reshape(-1, 2).sum(axis=1)
        free = np.ones(len(x_cost))
        free[list(bounds.shut)] = 0.0
        value = cells.sum() + classes @ self._demand + for_sizes + for_ends
        # a choice is made once, and at a run begins one seam at the most
        value += np.minimum(0.0, x_cost) @ free + np.minimum(0.0, u_cost).sum()
        worth = np.tile(classes, (len(sizes), 1))
        for key, low, high in bounds.on_sheet:
            price, for_row = _within((prices.on_sheet.get(key, 0.0),), ((low, high),))
            worth[key[1], key[0]] += price[0]
            value += for_row
        return Proved(float(value), worth, sizes + total, x_cost)

    def add_up(self, bounds: Bounds, x: Floats, used: Mapping[Column, float], missed: float) -> bool:
        """True where a solution closes the cells and carries the parts, but for what it says it missed."""
        if not all_finite([missed, float(x.sum()), *used.values()]) or missed < -COUNTED:
            return False
        spare = -self._demand
        for (_, pattern), amount in used.items():
            for k, n in pattern:
                spare[k] += n * amount
        np.subtract.at(spare, self._parts[1], x[self._parts[0]])
        closed = np.zeros(self._problem.cells)
        np.add.at(closed, self._cells[1], x[self._cells[0]])
        off = np.abs(closed - 1).max(initial=0.0)
        over = sum(used.values()) - bounds.total[1]
        beyond = max(-x.min(initial=0.0), x.max(initial=0.0) - 1)
        return bool(max(-spare.min(initial=0.0), off, over) <= missed + COUNTED and beyond <= COUNTED)


def _entries(rows: Sequence[Sequence[int]]) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Number of the list and the number in it, for every entry of these lists."""
    owners = [i for i, row in enumerate(rows) for _ in row]
    return np.array(owners, np.int64), np.array([entry for row in rows for entry in row], np.int64)


def _clean(prices: Sequence[float]) -> Floats:
    """The prices without those that are no numbers or only rounding."""
    found = np.nan_to_num(np.array(prices, np.float64), nan=0.0, posinf=0.0, neginf=0.0)
    found[np.abs(found) < NOISE] = 0.0
    return found


def _within(prices: Sequence[float], bounds: Sequence[tuple[float, float]]) -> tuple[Floats, float]:
    """Prices of rows with two bounds, and what they are worth: each at the bound that it pushes against."""
    cleaned = _clean(prices)
    low, high = np.array(bounds, np.float64).T
    return cleaned, float(cleaned @ np.where(cleaned > 0, low, high))
