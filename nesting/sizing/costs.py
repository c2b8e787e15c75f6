"""Which costs a plan can have at all: sums of sheet prices and seams, so that a bound rounds up to the next of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, gcd

import numpy as np
from numpy.typing import NDArray

HAIR = 1e-6
"""In steps: how near to a whole number of them a cost must be to count as one.  Where there is no step, a share."""

MOST_STEPS = 2_000_000
"""Sums are listed up to so many steps; beyond these every multiple of the step counts as possible."""


@dataclass(frozen=True)
class Costs:
    """``step``: all costs are whole multiples of it, 0 where they are not; ``sums``: which multiples, ascending."""

    step: float
    sums: NDArray[np.int64]

    @classmethod
    def of(cls, amounts: Sequence[float], ceiling: float) -> Costs:
        """Every sum of these amounts, each taken any number of times, up to a ceiling."""
        cents = [round(amount * 100) for amount in amounts]
        whole = all(abs(c - a * 100) <= 1e-7 for c, a in zip(cents, amounts, strict=True))
        step = gcd(*cents)
        most = ceil(ceiling * 100 / step) + 1 if whole and step else 0
        if not 0 < most <= MOST_STEPS:
            return cls(step / 100 if whole else 0.0, np.zeros(0, np.int64))
        mask = (1 << (most + 1)) - 1
        reached = 1
        for amount in {c // step for c in cents if c}:
            shift = amount
            while shift <= most:
                # doubling the shift takes the amount once, twice, four times: every number of times in few turns
                reached |= (reached << shift) & mask
                shift *= 2
        raw = np.frombuffer(reached.to_bytes(most // 8 + 1, "little"), np.uint8)
        return cls(step / 100, np.flatnonzero(np.unpackbits(raw, bitorder="little")))

    def up(self, bound: float) -> float:
        """The least possible cost that is no less than a bound."""
        if self.step <= 0 or bound == float("inf"):
            return bound
        steps = bound / self.step - HAIR
        at = int(np.searchsorted(self.sums, steps))
        return self.step * (int(self.sums[at]) if at < len(self.sums) else ceil(steps))

    def below(self, cost: float) -> float:
        """The largest possible cost that is less.  Without a step, costs nearer than a millionth count as equal."""
        if self.step <= 0:
            return cost - HAIR * max(1.0, cost)
        steps = ceil(cost / self.step - HAIR)
        at = int(np.searchsorted(self.sums, steps))
        if at > len(self.sums) - 1:
            return self.step * (steps - 1)
        return self.step * int(self.sums[at - 1]) if at else -self.step
