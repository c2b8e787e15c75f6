"""The load worth most on a bar, found quickly or exactly; every load worth so much; and loads in order of length."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from nesting.framing.barproblem import BarProblem, Counts, Load, Rest
from nesting.framing.kernels_bars import best_load, best_load_by_length, loads_worth

NODES = 3_000_000
"""Search nodes before the lengths that can be reached are listed instead."""

APART, CHEAP = 3, 1_000_000
"""How many loads are priced at a time, each without the lengths of those before it, while the table is so small."""

Values = NDArray[np.int64]


def better_loads(
    sizes: Values, values: Values, most: Values, capacity: int, floor: int
) -> tuple[list[Counts], int]:
    """The load worth most and others that share no length with it, all worth more than ``floor``.

    The second answer is what no load is worth more than; no loads means that there are none, and it is the floor.
    """
    usable = np.flatnonzero((most > 0) & (values > 0) & (sizes <= capacity))
    order = usable[np.lexsort((-sizes[usable], -values[usable] / sizes[usable]))]
    loads: list[Counts] = []
    worth = floor
    for _ in range(APART if capacity * len(order) <= CHEAP else 1):
        if not len(order):
            break
        best, counts = _best(sizes[order], values[order], most[order], capacity, floor)
        if best <= floor:
            break
        if not loads:
            worth = best
        loads.append(_in_place(counts, order, len(sizes)))
        order = order[counts == 0]
    return loads, worth


def _best(sizes: Values, values: Values, most: Values, capacity: int, floor: int) -> tuple[int, Values]:
    finished, best, counts = best_load(capacity, sizes, values, most, floor, NODES)
    if not finished:
        best, counts = best_load_by_length(capacity, sizes, values, most)
    return int(best), counts


def _in_place(counts: Values, order: NDArray[np.int64], kinds: int) -> Counts:
    whole = np.zeros(kinds, np.int64)
    whole[order] = counts
    return tuple(int(count) for count in whole)


def all_loads(
    problem: BarProblem, bar: int, values: Values, floor: int, most_loads: int, nodes: int
) -> list[Load] | None:
    """Every full load of a bar worth ``floor`` or more, None where there are too many to list.

    A load that could be made longer anywhere is left out: a longer piece may stand for a shorter one.
    """
    finished, found = loads_worth(
        problem.bars[bar].capacity,
        problem.size_array,
        values,
        np.array(problem.demand, np.int64),
        floor,
        most_loads,
        nodes,
    )
    return [Load(bar, tuple(row)) for row in found.tolist()] if finished else None


def filled_in_order(problem: BarProblem, rest: Rest) -> list[Load] | None:
    """A plan by rule, None where the bars do not do: the longest piece first wherever it still fits.

    Each bar is the one that costs least for the length it carries, the last one the cheapest that carries the rest.
    """
    loads: list[Load] = []
    while not rest.done:
        tries = [
            Load(bar, _longest_first(problem.sizes, rest.demand, problem.bars[bar].capacity))
            for bar, left in enumerate(rest.available)
            if left != 0
        ]
        tries = [load for load in tries if any(load.counts)]
        if not tries:
            return None
        last = [load for load in tries if load.counts == rest.demand]
        if last:
            chosen = min(last, key=lambda load: problem.bars[load.bar].price)
        else:
            chosen = min(tries, key=lambda load: problem.bars[load.bar].price / _carried(problem, load))
        times = 1 if last else max(1, rest.times(chosen))
        loads += [chosen] * times
        rest = rest.after(chosen, times)
    return loads


def _carried(problem: BarProblem, load: Load) -> int:
    return sum(count * size for count, size in zip(load.counts, problem.sizes, strict=True))


def _longest_first(sizes: Counts, demand: Counts, room: int) -> Counts:
    counts = []
    for size, left in zip(sizes, demand, strict=True):
        count = min(left, room // size)
        room -= count * size
        counts.append(count)
    return tuple(counts)


def without_surplus(problem: BarProblem, loads: Sequence[Load]) -> list[Load]:
    """The same bars with exactly the pieces asked for, where a longer place may have stood for a shorter piece.

    The places together must be enough, counted from the longest down.
    """
    left = list(problem.demand)
    result = []
    for load in loads:
        counts = [0] * len(left)
        for kind, places in enumerate(load.counts):
            for _ in range(places):
                piece = next((k for k in range(kind, len(left)) if left[k]), None)
                if piece is not None:
                    left[piece] -= 1
                    counts[piece] += 1
        if any(counts):
            result.append(Load(load.bar, tuple(counts)))
    assert not any(left), "the places do not carry all pieces"
    return result
