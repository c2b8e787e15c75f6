"""Cutting bars in whole numbers: lengths with their kerf, how many of each, and the bars they come from."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from nesting.sizing.costs import Costs

Counts = tuple[int, ...]
"""How many pieces of each length, the longest first."""

DUAL_STEPS = 10**9
"""Values that the dearest bar's price is divided into."""


@dataclass(frozen=True)
class Bar:
    """A length of bar to buy: capacity in whole units with one kerf, ``available`` None for any number."""

    capacity: int
    price: float
    available: int | None = None


@dataclass(frozen=True)
class Load:
    """What one bar carries: the number of its `Bar`, and how many pieces of each length."""

    bar: int
    counts: Counts


@dataclass(frozen=True)
class BarProblem:
    """Lengths, the longest first, each with its kerf; ``demand`` of each; the bars.  One section only."""

    sizes: Counts
    demand: Counts
    bars: tuple[Bar, ...]

    @cached_property
    def size_array(self) -> NDArray[np.int64]:
        return np.array(self.sizes, np.int64)

    @cached_property
    def dearest(self) -> float:
        """No plan that makes sense costs more: each piece on the dearest bar of its own."""
        return sum(self.demand) * max(bar.price for bar in self.bars)

    @cached_property
    def by_length(self) -> float:
        """No plan costs less: all lengths together, at the bar that is cheapest for its length."""
        whole = sum(size * number for size, number in zip(self.sizes, self.demand, strict=True))
        return whole * min(bar.price / bar.capacity for bar in self.bars) * (1 - 1e-12)

    @cached_property
    def scale(self) -> int:
        """Values are whole shares of the unit of money, so that bounds add up exactly: so many to the unit."""
        return max(1, round(DUAL_STEPS / max(bar.price for bar in self.bars)))

    @cached_property
    def costs(self) -> Costs:
        """What plans can cost at all."""
        return Costs.of([bar.price for bar in self.bars], self.dearest)

    @cached_property
    def limited(self) -> bool:
        """Whether any bar is limited, so that there may be no plan at all."""
        return any(bar.available is not None for bar in self.bars)

    def cost(self, loads: Sequence[Load]) -> float:
        """What these bars cost together."""
        return sum(self.bars[load.bar].price for load in loads)


@dataclass(frozen=True)
class Rest:
    """What is still to be cut, and how many bars are left of each kind (None: any number)."""

    demand: Counts
    available: tuple[int | None, ...]

    @classmethod
    def whole(cls, problem: BarProblem) -> Rest:
        """Everything, before the first bar."""
        return cls(problem.demand, tuple(bar.available for bar in problem.bars))

    @property
    def done(self) -> bool:
        return not any(self.demand)

    def times(self, load: Load) -> int:
        """How often this load can be cut without a piece too many."""
        least = min(left // count for left, count in zip(self.demand, load.counts, strict=True) if count)
        available = self.available[load.bar]
        return least if available is None else min(least, available)

    def after(self, load: Load, times: int = 1) -> Rest:
        """What is left when this load has been cut a number of times."""
        demand = tuple(left - times * count for left, count in zip(self.demand, load.counts, strict=True))
        available = tuple(
            left - times if bar == load.bar and left is not None else left
            for bar, left in enumerate(self.available)
        )
        return Rest(demand, available)
