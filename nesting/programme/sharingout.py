"""Parts shared out over sheets one by one: the question of nesting.programme.assigning once more, without a solver."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from nesting.programme.pricing import Pricer
from nesting.sizing.problem import Column, Pattern
from nesting.sizing.sheetbounds import SCALE

STEPS = 3_000
"""Parts put on a sheet or taken off again, all in all."""


def share_out(
    pricer: Pricer, parts: Mapping[int, int], bins: Sequence[int]
) -> list[Column] | Literal[False] | None:
    """Loads of these sheets that meet every row and every cut known; False when there are none.

    None where that would take too many steps.
    """
    return _Sharing(pricer, parts, bins).run()


class _Sharing:
    """One search: what lies on each sheet so far, and the weight of it in each row."""

    def __init__(self, pricer: Pricer, parts: Mapping[int, int], bins: Sequence[int]) -> None:
        self.pricer, self.bins = pricer, list(bins)
        self.weights: list[NDArray[np.int64]] = [
            np.zeros(pricer.rows[size].weight.shape[1], np.int64) for size in self.bins
        ]
        self.held: list[Counter[int]] = [Counter() for _ in self.bins]
        kinds = pricer.problem.classes
        order = sorted(parts, key=lambda k: (-kinds[k].length * kinds[k].width, k))
        self.waiting = [k for k in order for _ in range(parts[k])]
        self.steps = 0

    def run(self) -> list[Column] | Literal[False] | None:
        """Goes on from part to part; steps back where one fits on no sheet."""
        tries = [self._ways(0)] if self.waiting else []
        put: list[tuple[int, NDArray[np.int64]]] = []
        while tries and len(put) < len(self.waiting):
            if len(put) == len(tries):
                self._take_off(self.waiting[len(put) - 1], *put.pop())
            self.steps += 1
            if self.steps > STEPS:
                return None
            way = next(tries[-1], None)
            if way is None:
                tries.pop()
                continue
            self._put_on(self.waiting[len(put)], *way)
            put.append(way)
            if len(put) < len(self.waiting):
                tries.append(self._ways(len(put)))
        if len(put) < len(self.waiting):
            return False
        return [(size, _pattern(held)) for size, held in zip(self.bins, self.held, strict=True)]

    def _ways(self, number: int) -> Iterator[tuple[int, NDArray[np.int64]]]:
        """Sheets that carry one part more, with its weight there; sheets that are alike are tried once."""
        k = self.waiting[number]
        seen: set[tuple[int, Pattern, bytes]] = set()
        for place, size in enumerate(self.bins):
            rows = self.pricer.rows[size]
            state = (size, _pattern(self.held[place]), self.weights[place].tobytes())
            if state in seen:
                continue
            seen.add(state)
            if self.pricer.is_misfit(size, _pattern(self.held[place] + Counter([k]))):
                continue
            for i in np.flatnonzero(rows.owner == k):
                if (self.weights[place] + rows.weight[i] <= SCALE).all():
                    yield place, rows.weight[i]

    def _put_on(self, k: int, place: int, weight: NDArray[np.int64]) -> None:
        self.weights[place] = self.weights[place] + weight
        self.held[place][k] += 1

    def _take_off(self, k: int, place: int, weight: NDArray[np.int64]) -> None:
        self.weights[place] = self.weights[place] - weight
        self.held[place][k] -= 1


def _pattern(held: Counter[int]) -> Pattern:
    return tuple(sorted((k, n) for k, n in held.items() if n))
