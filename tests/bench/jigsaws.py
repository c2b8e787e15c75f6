"""Published jigsaws: straight-sided parts that fill their sheets to the brim, so that the least number is known.

Sources, kind (a): the sets jp1 and jp2 of the ESICUP collection (CC0), made by Terashima-Marin et al. 2010 and
Lopez-Camacho et al. 2013; their sheet counts equal the area bound.  Parts may lie in quarter turns, as usual.
"""

from __future__ import annotations

import json
import time
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import cache

from nesting.limits import SolveLimits
from nesting.outline import polygon_ring
from nesting.packer import Sheet
from nesting.shapepacker import pack_shapes
from nesting.shapes import ShapePiece
from tests.bench.data import data_file
from tests.bench.packing_runs import BREAKS, in_order
from tests.bench.setting import Setting
from tests.bench.shape_check import shape_faults
from tests.bench.table import Table, milliseconds

SETS = ("jp1", "jp2")
SECONDS = {False: 20.0, True: 4.0}
EVERY = {False: 10, True: 60}
"""Of the jigsaws in their order, by whether the run is quick."""


@dataclass(frozen=True)
class Jigsaw:
    """One puzzle: parts for ``least`` sheets, which they fill."""

    name: str
    sheet: Sheet
    pieces: tuple[ShapePiece, ...]
    least: int


@dataclass(frozen=True)
class Solved:
    """What came of one: sheets (0 where it broke), the bound, time, and mistakes of ours."""

    jigsaw: Jigsaw
    sheets: int
    bound: float
    seconds: float
    faults: tuple[str, ...] = ()


@cache
def jigsaws(name: str) -> tuple[Jigsaw, ...]:
    """Every jigsaw of a set whose least number of sheets is known, in its order; raises DataMissing."""
    told = json.loads(data_file(f"polygons/bins/{name}.json").read_text(encoding="utf-8"))
    usual = told["defaults"]["part"]
    return tuple(
        Jigsaw(
            one["name"],
            Sheet(one["sheet"]["w"], one["sheet"]["h"], price=1.0),
            tuple(
                ShapePiece(
                    polygon_ring(part["outline"]),
                    quantity=part["qty"],
                    turns=tuple(float(turn) for turn in part["rotations"]),
                )
                for part in ({**usual, **own} for own in one["parts"])
            ),
            one["best_known"]["value"],
        )
        for one in told["instances"]
        if one["best_known"]
    )


def solve(task: tuple[Jigsaw, float]) -> Solved:
    """Packs one within some seconds and judges the layout."""
    jigsaw, seconds = task
    started = time.perf_counter()
    try:
        packing = pack_shapes([jigsaw.sheet], jigsaw.pieces, limits=SolveLimits(time_limit=seconds))
    except BREAKS as error:
        fault = f"{jigsaw.name}: {type(error).__name__}: {error}"
        return Solved(jigsaw, 0, 0.0, time.perf_counter() - started, (fault,))
    taken = time.perf_counter() - started
    faults = list(shape_faults([jigsaw.sheet], jigsaw.pieces, packing))
    if packing.bound > jigsaw.least:
        faults.append(f"the bound {packing.bound:g} lies above the known {jigsaw.least}")
    named = tuple(f"{jigsaw.name}: {fault}" for fault in faults)
    return Solved(jigsaw, len(packing.sheets), packing.bound, taken, named)


def table(setting: Setting, pool: ProcessPoolExecutor, faults: list[str]) -> Iterator[Table]:
    """A row for each set: how many reach the least number of sheets, one more, or more than that."""
    seconds = SECONDS[setting.quick] if setting.limit is None else setting.limit
    rows = []
    for name in SETS:
        every = EVERY[setting.quick]
        solved = in_order(pool, f"jigsaws {name}", solve, [(one, seconds) for one in jigsaws(name)[::every]])
        faults += [fault for one in solved for fault in one.faults]
        more = [one.sheets - one.jigsaw.least for one in solved if one.sheets]
        times = [one.seconds for one in solved]
        rows.append(
            (
                name,
                len(solved),
                sum(m == 0 for m in more),
                sum(m == 1 for m in more),
                sum(m > 1 for m in more),
                sum(one.bound == one.jigsaw.least for one in solved),
                milliseconds(sum(times) / len(times)),
                milliseconds(max(times)),
            )
        )
    yield Table(
        "jigsaws",
        f"Published jigsaws, {seconds:g} s each at the most",
        ("set", "jigsaws", "least", "1 more", "2 or more", "bound is the least", "mean ms", "slowest ms"),
        tuple(rows),
        ("every sheet is to be filled to the brim; parts may lie in quarter turns",),
    )
