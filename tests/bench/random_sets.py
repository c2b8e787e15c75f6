"""Random sets of rectangles, the sheets of all rules and orders of the library rectpack beside ours."""

from __future__ import annotations

from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from time import perf_counter

from nesting.limits import SolveLimits
from nesting.packer import Piece, Sheet, pack_rectangles
from tests.bench.layout_check import packing_faults
from tests.bench.packing_runs import in_order
from tests.bench.setting import Setting
from tests.bench.table import Table, milliseconds
from tests.rectangle_sets import least_sheets_by_rectpack, random_set

Row = tuple[int, int, int, int, int, int, float, float, bool]


def table(setting: Setting, pool: ProcessPoolExecutor, faults: list[str]) -> Iterator[Table]:
    """One row for each set and a row of sums."""
    seeds = [(seed, setting.packing_seconds) for seed in range(setting.pick(8, 40))]
    rows: list[Row] = []
    for row, own in in_order(pool, "random sets", _measured, seeds):
        rows.append(row)
        faults += own
    sums = [sum(row[i] for row in rows) for i in range(1, 9)]
    told = [(*row[:6], milliseconds(row[6]), milliseconds(row[7]), int(row[8])) for row in rows]
    total = (None, *map(round, sums[:5]), milliseconds(sums[5]), milliseconds(sums[6]), round(sums[7]))
    yield Table(
        "random-sets",
        "Random rectangles on sheets of 120 x 60, gap 1, quarter turns,"
        f" {setting.packing_seconds:g} s each at the most",
        (
            "set",
            "parts",
            "sheets by area",
            "our bound",
            "rectpack",
            "ours",
            "rectpack ms",
            "our ms",
            "proved",
        ),
        (*told, total),
        ("rectpack: the best of all settings listed in tests/rectangle_sets.py; the last row sums up",),
    )


def _measured(asked: tuple[int, float]) -> tuple[Row, list[str]]:
    seed, seconds = asked
    rectangles = random_set(seed)
    started = perf_counter()
    theirs = least_sheets_by_rectpack(rectangles)
    their_seconds = perf_counter() - started
    sheets = (Sheet(rectangles.length, rectangles.width, price=1.0),)
    pieces = tuple(Piece(a, b) for a, b in rectangles.sizes)
    started = perf_counter()
    packing = pack_rectangles(sheets, pieces, gap=rectangles.gap, limits=SolveLimits(time_limit=seconds))
    our_seconds = perf_counter() - started
    faults = packing_faults(sheets, pieces, packing, gap=rectangles.gap)
    row = (
        seed,
        len(rectangles.sizes),
        rectangles.area_bound,
        round(packing.bound),
        theirs,
        len(packing.sheets),
        their_seconds,
        our_seconds,
        packing.bound >= packing.cost - 1e-6,
    )
    return row, [f"random set {seed}: {fault}" for fault in faults]
