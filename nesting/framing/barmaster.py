"""The relaxation of cutting bars: loads in fractions, with a bound that rounding cannot make wrong.

Data
    d_i     pieces of length i still wanted, lengths from the longest down
    c_b     price of a bar of kind b, n_b how many there are (where limited)
    a_pi    places of length i in load p, which is cut from a bar of kind b(p)
Variables
    y_p     how many bars are cut by load p
    e_i     places of length i that carry a piece of the next shorter length
    m_i     pieces missed (only where bars are limited)
Model
    minimise  sum c_b(p) y_p + penalty sum m_i
    (1)  sum a_pi y_p + e_(i-1) - e_i + m_i >= d_i    for each length
    (2)  sum of y_p over the loads of bar b <= n_b    for each limited bar

The variables e make the value of a length never fall with the length: that steadies the duals (dual cuts of
Valerio de Carvalho 2005, INFORMS Journal on Computing 17:175; from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import isfinite

import numpy as np
from numpy.typing import NDArray
from ortools.linear_solver import pywraplp

from nesting.framing.barproblem import BarProblem, Counts, Load, Rest
from nesting.sizing.solverguard import all_finite, answered

HAIR = 1e-6
INFINITY = pywraplp.Solver.infinity()


@dataclass(frozen=True)
class Duals:
    """What a piece of each length is worth, and one more bar of each kind, in whole shares of money."""

    values: NDArray[np.int64]
    bars: Counts


class BarMaster:
    """The relaxation as a growing model: loads are added, what is wanted changes, nothing is rebuilt."""

    def __init__(self, problem: BarProblem) -> None:
        self.problem = problem
        self.loads: dict[Load, pywraplp.Variable] = {}
        self._solved = False
        self._solver = pywraplp.Solver.CreateSolver("GLOP")
        self._cost = self._solver.Objective()
        self._cost.SetMinimization()
        self._wanted = [self._solver.Constraint(float(d), INFINITY) for d in problem.demand]
        self._bars = [self._solver.Constraint(-INFINITY, INFINITY) for _ in problem.bars]
        for longer, shorter in zip(self._wanted[:-1], self._wanted[1:], strict=True):
            moved = self._variable(0.0)
            longer.SetCoefficient(moved, -1.0)
            shorter.SetCoefficient(moved, 1.0)
        if problem.limited:
            for row in self._wanted:
                row.SetCoefficient(self._variable(2.0 * problem.dearest + 1.0), 1.0)

    def _variable(self, cost: float) -> pywraplp.Variable:
        variable = self._solver.NumVar(0.0, INFINITY, "")
        self._cost.SetCoefficient(variable, cost)
        return variable

    def add(self, load: Load) -> bool:
        """Adds a load; False when it is there already."""
        if load in self.loads:
            return False
        variable = self._variable(self.problem.bars[load.bar].price)
        for row, count in zip(self._wanted, load.counts, strict=True):
            if count:
                row.SetCoefficient(variable, float(count))
        self._bars[load.bar].SetCoefficient(variable, 1.0)
        self.loads[load] = variable
        return True

    def ask_for(self, rest: Rest, nudge: Sequence[float] | None = None) -> None:
        """Makes the model that of what is left: loads with more pieces of a length than that are shut out.

        ``nudge`` is added to what is wanted: another of several equally good sets of duals comes out.
        """
        for row, demand, more in zip(
            self._wanted, rest.demand, nudge or [0.0] * len(self._wanted), strict=True
        ):
            row.SetBounds(demand + more, INFINITY)
        for row, left in zip(self._bars, rest.available, strict=True):
            row.SetBounds(-INFINITY, INFINITY if left is None else float(left))
        counts = np.array([load.counts for load in self.loads], np.int64).reshape(-1, len(self._wanted))
        over = np.count_nonzero(counts > np.array(rest.demand, np.int64), axis=1)
        for variable, too_many in zip(self.loads.values(), over, strict=True):
            variable.SetUb(0.0 if too_many else INFINITY)

    def solve(self) -> Duals:
        """Solves and gives the duals; should the solver fail they are zero, which is a valid if useless answer."""
        self._solved = answered(self._solver.Solve, None) == pywraplp.Solver.OPTIMAL
        worth = (
            np.array([max(0.0, row.dual_value()) for row in self._wanted]) if self._solved else np.zeros(0)
        )
        bars = [max(0.0, -row.dual_value()) for row in self._bars] if self._solved else []
        if not self._solved or not all_finite([*worth, *bars]):
            self._solved = False
            return Duals(np.zeros(len(self._wanted), np.int64), (0,) * len(self._bars))
        # no piece is worth more than what missing it costs, and larger numbers would overflow
        dearest = 2.0 * self.problem.dearest + 1.0
        values = np.floor(np.minimum(worth, dearest) * self.problem.scale).astype(np.int64)
        values = np.maximum.accumulate(values[::-1])[::-1].copy()
        return Duals(values, tuple(round(min(bar, dearest) * self.problem.scale) for bar in bars))

    @property
    def value(self) -> float:
        """The cost of the solution."""
        return float(self._cost.Value())

    def solution(self) -> list[tuple[float, Load]]:
        """The loads in use, those used most first; none where the solver failed."""
        if not self._solved:
            return []
        used = [(variable.solution_value(), load) for load, variable in self.loads.items()]
        return sorted(
            ((times, load) for times, load in used if isfinite(times) and times > HAIR),
            key=lambda entry: (-round(entry[0], 6), entry[1].bar, entry[1].counts),
        )


@dataclass(frozen=True)
class Bound:
    """No plan for the rest costs less than ``value``, and a plan with a load costs that much more as the load loses.

    ``share`` scales the values of pieces so that no bar without limit is worth more than its price.
    """

    value: Fraction
    values: NDArray[np.int64]
    share: Fraction
    extra: tuple[Fraction, ...]
    prices: tuple[Fraction, ...]
    scale: int

    def least_worth(self, bar: int, room: Fraction) -> int:
        """Worth that a load must have for a plan with it to cost no more than the bound and ``room``."""
        if not self.share:
            return 0
        least = (self.prices[bar] + self.extra[bar] - room) * self.scale / self.share
        return max(0, int(least) - 1)


def proved_bound(problem: BarProblem, rest: Rest, values: NDArray[np.int64], most: Sequence[int]) -> Bound:
    """The bound that these values give when no load of bar b is worth more than ``most[b]``; all exact."""
    prices = [Fraction(bar.price) for bar in problem.bars]
    worth = [Fraction(m, problem.scale) for m in most]
    share = min(
        (
            price / own
            for price, own, left in zip(prices, worth, rest.available, strict=True)
            if left is None and own
        ),
        default=Fraction(1),
    )
    share = min(Fraction(1), share)
    extra = [max(Fraction(0), share * own - price) for price, own in zip(prices, worth, strict=True)]
    total = share * Fraction(sum(int(v) * d for v, d in zip(values, rest.demand, strict=True)), problem.scale)
    total -= sum(more * (left or 0) for more, left in zip(extra, rest.available, strict=True))
    return Bound(total, values, share, tuple(extra), tuple(prices), problem.scale)
