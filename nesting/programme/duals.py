"""Prices that a relaxation puts on its rows, and the bound for all plans that any such prices prove.

Prices need not come from one relaxation: a mean of those of several proves a bound too, for what is lost on the way is
a concave function of the prices.  Pricing at a mean between the best prices so far and the latest ones keeps column
generation from swinging (Wentges 1997, International Transactions in Operational Research 4:151; from memory).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nesting.programme.relaxation import Relaxed


@dataclass(frozen=True)
class Duals:
    """``value``: what the rows are worth at least, were no pattern worth more than its sheet."""

    value: float
    worth: NDArray[np.float64]
    """What one part of each class is worth on each sheet size: [size, class]."""
    size_dual: NDArray[np.float64]
    """Worth of opening one more sheet of each size."""

    @classmethod
    def of(cls, relaxed: Relaxed) -> Duals:
        return cls(relaxed.value, relaxed.worth, relaxed.size_dual)

    def toward(self, other: Duals, share: float) -> Duals:
        """The mean, with this share of the other; both must stem from the same bounds of the branch."""
        return Duals(
            (1 - share) * self.value + share * other.value,
            (1 - share) * self.worth + share * other.worth,
            (1 - share) * self.size_dual + share * other.size_dual,
        )


@dataclass(frozen=True)
class Excess:
    """How much the best pattern of a sheet size is worth beyond its price by the duals, at most, and how many there
    can be."""

    amount: float
    price: float
    most: int


def proved_bound(value: float, excesses: Sequence[Excess], spend: float) -> float:
    """No plan whose sheets cost up to ``spend`` costs less than this, nor does any other plan cost less than that.

    Each sheet of a plan can lower its cost below the duals' value by its excess at most.  The sheets are worth their
    money together, so what they can lower is a knapsack over the sizes; beside that, no plan spends more on sheets
    than it costs (Farley 1990, Operations Research 38:922; from memory).
    """
    free = sum(e.amount * e.most for e in excesses if e.price <= 0)
    bought = sorted((e for e in excesses if e.price > 0 and e.amount > 0), key=lambda e: -e.amount / e.price)
    if not bought:
        return value - free
    lowered, left = 0.0, spend
    for excess in bought:
        number = min(excess.most, left / excess.price)
        lowered += number * excess.amount
        left -= number * excess.price
    steepest = bought[0].amount / bought[0].price
    return max(value - free - lowered, (value - free) / (1 + steepest))
