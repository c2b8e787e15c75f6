"""Published lists of bars: how many are proved, and how long that takes; the optima are those of the sources.

Sources: Falkenauer 1996, Scholl, Klein & Juergens 1997, Waescher & Gau 1996, Belov & Scheithauer 2006 (28 hard lists);
their optima as listed by Delorme, Iori & Martello 2018.  See the README of the data.
"""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import cache

from nesting.barcutting import cut_bars
from nesting.barstock import BarPiece, BarPlan, BarStock
from nesting.limits import SolveLimits
from nesting.plan import Status
from tests.bench.data import Instance, instances
from tests.bench.packing_runs import in_order
from tests.bench.setting import Setting
from tests.bench.table import Table, milliseconds

FILE = "oned_cutting_stock.json"
SECTION = "bar"
SECONDS = 10.0
"""Processor time that one list may take: the figures then depend less on what else the machine does."""

HAIR = 1e-6


@dataclass(frozen=True)
class BarRun:
    """One list cut: the published number of bars, ours, whether it is proved, and processor seconds."""

    name: str
    group: str
    published: float
    bars: float
    proved: bool
    seconds: float
    faults: tuple[str, ...]


def table(setting: Setting, pool: ProcessPoolExecutor, faults: list[str]) -> Iterator[Table]:
    """A row for each set of lists."""
    lists = instances(FILE)[:: setting.pick(6, 1)]
    runs = in_order(pool, "bars", cut, [one.name for one in lists])
    faults += [f"bars: {run.name}: {fault}" for run in runs for fault in run.faults]
    groups = dict.fromkeys(run.group for run in runs)
    rows = [_row(group, [run for run in runs if run.group == group]) for group in groups]
    yield Table(
        "bars",
        f"Published lists of bars, {SECONDS:g} s of processor time each at the most",
        ("set", "lists", "proved", "published number", "mean ms", "slowest ms", "slowest list"),
        (*rows, _row("all", runs)),
    )


def _row(group: str, runs: Sequence[BarRun]) -> tuple[str, int, int, int, int | None, int | None, str]:
    slowest = max(runs, key=lambda run: run.seconds)
    return (
        group,
        len(runs),
        sum(run.proved for run in runs),
        sum(run.bars == run.published for run in runs),
        milliseconds(sum(run.seconds for run in runs) / len(runs)),
        milliseconds(slowest.seconds),
        slowest.name,
    )


def cut(name: str, seconds: float = SECONDS) -> BarRun:
    """Cuts the list of this name and judges the plan by what it says itself."""
    _warm()
    one = next(one for one in instances(FILE) if one.name == name)
    pieces = [BarPiece(f"{piece.length:g}", SECTION, piece.length, piece.quantity) for piece in one.pieces]
    stock = BarStock(SECTION, one.sheets[0].length)
    began = time.process_time()
    limits = SolveLimits(should_stop=lambda: time.process_time() - began > seconds)
    plan = cut_bars(pieces, [stock], limits=limits)
    taken = time.process_time() - began
    published = one.known["OF"].value
    assert published is not None
    proved = plan.status is Status.OPTIMAL
    return BarRun(
        name, _group(one), published, plan.cost, proved, taken, tuple(_wrong(plan, pieces, published))
    )


def _group(one: Instance) -> str:
    """The source, and the kind of list where it has several."""
    kind = one.name.split("_")[1] if one.name.startswith("Falkenauer") else ""
    return f"{one.group} {kind}".strip()


@cache
def _warm() -> None:
    """Leaves the kernels compiled, so that no measurement holds the compiling."""
    cut_bars(
        [BarPiece(str(size), SECTION, size, 3) for size in (41.0, 37.0, 29.0)], [BarStock(SECTION, 100.0)]
    )


def _wrong(plan: BarPlan, pieces: Sequence[BarPiece], published: float) -> Iterator[str]:
    if Counter(piece for bar in plan.bars for piece, _ in bar.cuts) != {p: p.quantity for p in pieces}:
        yield "not every piece is cut as often as asked"
    if any(bar.used > bar.stock.length + HAIR for bar in plan.bars):
        yield "a bar is cut into more than it has"
    if len(plan.bars) != plan.cost:
        yield f"{len(plan.bars)} bars are told as {plan.cost:g}"
    if plan.bound > published:
        yield f"a bound of {plan.bound:g} above the published {published:g}"
    if plan.cost < published:
        yield f"{plan.cost:g} bars, fewer than the published {published:g}"
