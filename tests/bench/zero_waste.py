"""Our own sets without waste (tests/zero_waste.py): how often the plan that wastes nothing is found and proved."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from itertools import product

from nesting.packer import Piece, Sheet
from tests.bench.layout_check import HAIR
from tests.bench.packing_runs import Packed, Task, in_order, mean_milliseconds, pack, slowest_milliseconds
from tests.bench.setting import Setting
from tests.bench.table import Cell, Table, mean
from tests.zero_waste import zero_waste

PARTS = (10, 20, 40, 60)
MANY_SIZES = 3


def table(setting: Setting, pool: ProcessPoolExecutor, faults: list[str]) -> Iterator[Table]:
    """A row for each number of parts, one or several sheet sizes, placed freely or cut edge to edge."""
    each = setting.pick(2, 12)
    cases = list(product(PARTS, (1, MANY_SIZES), (False, True)))
    tasks = [
        zero_waste_task(seed, parts, kinds, edge_to_edge, setting.packing_seconds)
        for parts, kinds, edge_to_edge in cases
        for seed in range(each)
    ]
    packed = in_order(pool, "zero waste", pack, tasks)
    faults += [f"zero waste: {fault}" for one in packed for fault in one.faults]
    rows = []
    for i, (parts, kinds, edge_to_edge) in enumerate(cases):
        own = slice(i * each, (i + 1) * each)
        placed = "edge to edge" if edge_to_edge else "free"
        rows.append((parts, kinds, placed, *zero_waste_row(tasks[own], packed[own])))
    yield Table(
        "zero-waste",
        "Sheets cut edge to edge at random into parts and put together again,"
        f" {setting.packing_seconds:g} s each at the most",
        (
            "parts",
            "sheet sizes",
            "placed",
            "sets",
            "found %",
            "proved %",
            "mean use of area %",
            "worst use %",
            "mean ms",
            "slowest ms",
        ),
        tuple(rows),
        (
            "1 to 4 sheets; parts may be turned in every second set; found: a plan without waste;"
            " a sheet's price is its area, so that a plan without waste proves itself",
        ),
    )


def zero_waste_task(seed: int, parts: int, kinds: int, edge_to_edge: bool, seconds: float) -> Task:
    """A set with 1 to 4 sheets by its seed, parts turnable where the seed is odd."""
    turn = seed % 2 == 1
    made = zero_waste(seed, parts, sheets=sheets_of(seed), kinds=kinds, turn=turn)
    return Task(
        f"{parts} parts, {kinds} sizes, seed {seed}",
        tuple(Sheet(a, b) for a, b in made.sizes),
        tuple(Piece(a, b, turn=turn) for a, b in made.pieces),
        seconds,
        edge_to_edge,
        known=float(made.area),
        least=float(made.area),
    )


def sheets_of(seed: int) -> int:
    """1 to 4: over eight seeds each number comes with an even and with an odd one."""
    return 1 + (seed + seed // 4) % 4


def zero_waste_row(tasks: list[Task], packed: list[Packed]) -> tuple[Cell, ...]:
    """What became of the sets of one case."""
    found = [
        one.cost <= task.known * (1 + HAIR)
        for task, one in zip(tasks, packed, strict=True)
        if task.known is not None
    ]
    return (
        len(packed),
        100 * mean(found),
        100 * mean([one.proved for one in packed]),
        100 * mean([one.use for one in packed]),
        100 * min(one.use for one in packed),
        mean_milliseconds(packed),
        slowest_milliseconds(packed),
    )
