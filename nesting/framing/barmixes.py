"""Which mixes of bars a cheaper plan could buy, the cheapest first: the question that is left is whether they do."""

from __future__ import annotations

from dataclasses import replace

from nesting.framing.barproblem import BarProblem, Counts

MOST_MIXES = 3_000
"""More mixes than this are not gone through one by one."""

HAIR = 1e-6


def mixes(problem: BarProblem, low: float, high: float) -> list[tuple[float, Counts]] | None:
    """(cost, number of each bar) for every mix long enough for all pieces that costs ``low`` to ``high``.

    None where there are too many.  Of bars that cost nothing a mix has as many as there are.
    """
    pieces = sum(problem.demand)
    needed = sum(size * count for size, count in zip(problem.sizes, problem.demand, strict=True))
    found: list[tuple[float, Counts]] = []

    def extend(chosen: Counts, cost: float, length: int) -> bool:
        """Adds the mixes that begin with these numbers; False when there are too many."""
        if len(chosen) == len(problem.bars):
            if length >= needed and cost >= low - HAIR:
                found.append((cost, chosen))
            return len(found) <= MOST_MIXES
        bar = problem.bars[len(chosen)]
        most = pieces if bar.available is None else min(pieces, bar.available)
        if bar.price > 0:
            most = min(most, int((high - cost + HAIR) / bar.price))
        return all(
            extend((*chosen, count), cost + count * bar.price, length + count * bar.capacity)
            for count in range(most if bar.price == 0 else 0, most + 1)
        )

    return sorted(found) if extend((), 0.0, 0) else None


def with_bars(problem: BarProblem, mix: Counts) -> BarProblem:
    """The same pieces from just these bars, the price of a bar its length as a share of the longest.

    The least length used is then asked for, which tells best whether the bars do: what may be wasted is little.
    """
    longest = max(bar.capacity for bar in problem.bars)
    bars = tuple(
        replace(bar, price=bar.capacity / longest, available=count)
        for bar, count in zip(problem.bars, mix, strict=True)
    )
    return replace(problem, bars=bars)
