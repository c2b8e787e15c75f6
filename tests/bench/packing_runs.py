"""Sets of rectangles packed on several processes, each layout judged by tests.bench.layout_check on the spot."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from contextlib import contextmanager
from dataclasses import dataclass, replace
from multiprocessing import get_context
from typing import TypeVar

from nesting.limits import SolveLimits
from nesting.packer import Piece, Sheet, pack_rectangles
from nesting.plan import Status
from nesting.shapepacker import pack_shapes
from nesting.shapes import ShapePiece
from nesting.shaping.placeset import place_set
from shared.errors import PlannerError, PlanRejected
from tests.bench.layout_check import HAIR, packing_faults
from tests.bench.table import milliseconds

T = TypeVar("T")
R = TypeVar("R")

BREAKS = (
    PlannerError,
    PlanRejected,
    ArithmeticError,
    AssertionError,
    LookupError,
    RuntimeError,
    TypeError,
    ValueError,
)
"""What one set or job may end in without costing the figures of all the others: it is told as a fault."""

NEWS_EVERY = 30.0
"""Seconds between two lines of progress."""


@dataclass(frozen=True)
class Task:
    """What to pack; ``known`` is a cost that some layout is known to reach, ``least`` one that none can beat."""

    name: str
    sheets: tuple[Sheet, ...]
    pieces: tuple[Piece, ...]
    seconds: float
    edge_to_edge: bool = False
    known: float | None = None
    least: float | None = None


@dataclass(frozen=True)
class Packed:
    """What came of it; ``faults`` are mistakes of ours, never of the data."""

    name: str
    seconds: float
    cost: float = float("nan")
    bound: float = 0.0
    proved: bool = False
    use: float = float("nan")
    """The share of the sheets' area that the pieces take."""
    faults: tuple[str, ...] = ()

    @property
    def gap(self) -> float:
        return (self.cost - self.bound) / self.cost if self.cost else 0.0


@contextmanager
def workers(jobs: int) -> Iterator[ProcessPoolExecutor]:
    """Processes that have the compiled kernels loaded, so that no measurement holds the loading."""
    # a fork would copy a solver's threads and locks in whatever state they are
    with ProcessPoolExecutor(jobs, mp_context=get_context("spawn"), initializer=_warm) as pool:
        yield pool


def in_order(pool: ProcessPoolExecutor, what: str, do: Callable[[T], R], tasks: Sequence[T]) -> list[R]:
    """The result of each task, in the order of the tasks; a line on standard error now and then."""
    told = time.monotonic()
    done: list[R] = []
    for result in pool.map(do, tasks):
        done.append(result)
        if time.monotonic() - told > NEWS_EVERY:
            told = time.monotonic()
            print(f"  {what}: {len(done)} of {len(tasks)}", file=sys.stderr, flush=True)
    return done


def pack(task: Task) -> Packed:
    """Packs one set and judges the layout."""
    started = time.perf_counter()
    try:
        packing = pack_rectangles(
            task.sheets,
            task.pieces,
            edge_to_edge=task.edge_to_edge,
            limits=SolveLimits(time_limit=task.seconds),
        )
    except BREAKS as error:
        return Packed(
            task.name,
            time.perf_counter() - started,
            faults=(f"{task.name}: {type(error).__name__}: {error}",),
        )
    seconds = time.perf_counter() - started
    faults = list(packing_faults(task.sheets, task.pieces, packing, edge_to_edge=task.edge_to_edge))
    if task.known is not None and packing.bound > task.known + HAIR * max(1.0, task.known):
        faults.append(f"the bound {packing.bound:g} lies above a layout that costs {task.known:g}")
    if task.least is not None and packing.cost < task.least - HAIR * max(1.0, task.least):
        faults.append(f"costs {packing.cost:g}, less than the {task.least:g} that is told to be the least")
    taken = sum(task.sheets[own.sheet].length * task.sheets[own.sheet].width for own in packing.sheets)
    area = sum(piece.length * piece.width * piece.quantity for piece in task.pieces)
    return Packed(
        task.name,
        seconds,
        packing.cost,
        packing.bound,
        packing.status is Status.OPTIMAL,
        area / taken if taken else float("nan"),
        tuple(f"{task.name}: {fault}" for fault in faults),
    )


def mean_milliseconds(packed: Sequence[Packed]) -> int | None:
    """Whole milliseconds that one set took on average."""
    return milliseconds(sum(one.seconds for one in packed) / len(packed)) if packed else None


def slowest_milliseconds(packed: Sequence[Packed]) -> int | None:
    """Whole milliseconds that the slowest took."""
    return milliseconds(max(one.seconds for one in packed)) if packed else None


def _warm() -> None:
    for edge_to_edge in (False, True):
        sheets = (Sheet(10, 7, price=1.0), Sheet(8, 6, price=0.8))
        pieces = (Piece(6, 4, 3), Piece(5, 3, 4), Piece(3, 3, 3, turn=False), Piece(2, 1, 5))
        pack_rectangles(sheets, pieces, edge_to_edge=edge_to_edge, limits=SolveLimits(time_limit=60.0))
    half = ShapePiece(((0.0, 0.0, 0.0), (6.0, 0.0, 0.0), (0.0, 4.0, 0.0)))
    place_set(6.0, 4.0, [replace(half, quantity=2)])
    pack_shapes([Sheet(10, 7)], [replace(half, quantity=3)], limits=SolveLimits(time_limit=10.0))
