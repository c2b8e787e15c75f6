"""What travels between the master and those that use it: what is minimised, a branch, and its relaxation solved."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nesting.sizing.problem import Column, Problem

HAIR = 1e-6


@dataclass(frozen=True)
class Aim:
    """What is minimised: with ``seams_count`` False only the sheets cost; ``seam_cap`` bounds the seams."""

    seams_count: bool = True
    seam_cap: int | None = None


@dataclass(frozen=True)
class Bounds:
    """A branch: how many sheets of each size and in all, how many seams, and which choices are shut out."""

    sheets: tuple[tuple[int, int], ...]
    total: tuple[int, int]
    seams: tuple[int, int]
    on_sheet: tuple[tuple[tuple[int, int], int, int], ...] = ()
    """((class, sheet size), low, high): how many parts of a class come from a sheet size."""
    shut: frozenset[int] = frozenset()


@dataclass(frozen=True)
class Relaxed:
    """The relaxation solved: the value that its duals prove, these duals for pricing, and the solution."""

    value: float
    worth: NDArray[np.float64]
    """What one part of each class is worth on each sheet size: [size, class]."""
    size_dual: NDArray[np.float64]
    """Worth of opening one more sheet of each size (rows (3))."""
    x: NDArray[np.float64]
    y: dict[Column, float]
    missed: float
    x_cost: NDArray[np.float64]
    """Reduced cost of each choice: what a solution with it costs more than the value, at least."""

    def gains(self, problem: Problem, column: Column) -> bool:
        """True where the solution would change for the better with one sheet more by this pattern."""
        size, pattern = column
        worth = sum(self.worth[size][k] * n for k, n in pattern) + self.size_dual[size]
        return bool(worth > problem.sheets[size].price + HAIR)


def choice_cost(problem: Problem, aim: Aim, p: int) -> float:
    """What a choice costs by the aim, but for what is counted at runs."""
    choice = problem.choices[p]
    return choice.seam_cost + problem.seam_cost * choice.seams if aim.seams_count else 0.0
