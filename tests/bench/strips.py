"""Published sets of irregular parts on a strip: how dense we get, beside the densest that is known.

Densities are the area of the parts by that of the strip they take, in per cent.  The small sets have a least length
that was proved for whole-number places only, by an exact run of our own: places in between may do better.
"""

from __future__ import annotations

import json
import os
import time
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from pathlib import Path

from shapely.geometry import Polygon

from nesting.limits import Progress, SolveLimits
from nesting.strip import StripPart, place_on_strip
from tests.bench.data import ROOT, USUAL, VARIABLE, DataMissing
from tests.bench.packing_runs import BREAKS
from tests.bench.setting import Setting
from tests.bench.table import Cell, Table, mean
from tests.strip_layouts import strip_faults

LARGE = (
    "albano",
    "dagli",
    "fu",
    "jakobs1",
    "jakobs2",
    "mao",
    "marques",
    "shapes0",
    "shapes1",
    "shirts",
    "swim",
    "trousers",
)
SMALL = (
    "blazewicz1",
    "shapes2x",
    "shapes4-small",
    "shapes8",
    "shirts1_2",
    "three",
    "threep2",
    "threep2w9",
    "threep3",
    "threep3w9",
)
QUICK = ("albano", "fu", "jakobs1", "shapes1")

LARGE_SECONDS, SMALL_SECONDS = {False: 60.0, True: 10.0}, {False: 10.0, True: 3.0}
"""Limits, by whether the run is quick."""

LOOKS = (5.0, 15.0, 30.0)
"""Seconds after which the density so far is told."""


@dataclass(frozen=True)
class StripSet:
    """One set: the strip's width, the parts, and the published best (density in per cent, or a proved length)."""

    name: str
    width: float
    parts: tuple[StripPart, ...]
    area: float
    density: float | None
    length: float | None


@dataclass(frozen=True)
class StripRun:
    """What came of it; ``looks`` are densities after some seconds, not a number before the first layout."""

    name: str
    length: float
    density: float
    seconds: float
    looks: tuple[float, ...]
    faults: tuple[str, ...] = ()


def strip_file(folder: str, name: str) -> Path:
    """The file of a set; raises DataMissing."""
    given = os.environ.get(VARIABLE)
    base = Path(given) if given else ROOT / USUAL
    path = base / "polygons" / folder / f"{name}.json"
    if not path.is_file():
        where = f"{given} (from {VARIABLE})" if given else f"{USUAL.as_posix()} beside the repository"
        raise DataMissing(
            f"polygons/{folder}/{name}.json is missing: looked in {where}. "
            f"Set {VARIABLE} to the folder that holds polygons/{folder}/{name}.json."
        )
    return path


def strip_set(folder: str, name: str) -> StripSet:
    """A set as it is told in its file; raises DataMissing."""
    told = json.loads(strip_file(folder, name).read_text(encoding="utf-8"))
    parts = tuple(
        StripPart(
            tuple((x, y) for x, y in part["outline"]),
            part["qty"],
            tuple(float(turn) for turn in part["rotations"]),
            holes=tuple(tuple((x, y) for x, y in hole) for hole in part["holes"]),
        )
        for part in told["parts"]
    )
    known = told["best_known"] or {"metric": "", "value": None}
    return StripSet(
        name,
        float(told["sheet"]["w"]),
        parts,
        sum(Polygon(part.outline).area * part.quantity for part in parts),
        known["value"] if known["metric"] == "density" else None,
        known["value"] if known["metric"] == "length" else None,
    )


def tables(setting: Setting, pool: ProcessPoolExecutor, faults: list[str]) -> Iterator[Table]:
    """Densities of the large sets, then lengths of the small ones; one set after the other, as each takes all cores."""
    names = setting.pick(QUICK, LARGE)
    seconds = LARGE_SECONDS[setting.quick] if setting.limit is None else setting.limit
    rows: list[tuple[Cell, ...]] = []
    gaps: list[float] = []
    for name in names:
        one = strip_set("strip", name)
        run = _measured(pool, one, seconds, faults)
        gaps.append(run.density - one.density if one.density is not None else float("nan"))
        rows.append((name, _count(one), *run.looks, run.density, one.density, gaps[-1]))
    rows.append(("mean", None, *([None] * len(LOOKS)), None, None, mean([gap for gap in gaps if gap == gap])))
    yield Table(
        "strips",
        f"Irregular parts on a strip, {seconds:g} s each, density in %",
        (
            "set",
            "parts",
            *(f"after {look:g} s" for look in LOOKS),
            "at the end",
            "published best",
            "difference",
        ),
        tuple(rows),
        (
            "published best: Gardeyn, Vanden Berghe & Wauters 2025, table 3, the best of all their runs (20 minutes"
            " on 3 threads each); they widened the strip by 0.01 % for fu, jakobs1, jakobs2, shapes0 and shapes1",
        ),
    )
    seconds = SMALL_SECONDS[setting.quick] if setting.limit is None else setting.limit
    rows = []
    for name in SMALL:
        one = strip_set("strip_small", name)
        run = _measured(pool, one, seconds, faults)
        reached = None if one.length is None else run.length <= one.length * (1 + 1e-6)
        rows.append((name, _count(one), run.length, one.length, reached))
    yield Table(
        "strips-small",
        f"Small sets, {seconds:g} s each: length beside the least on whole-number places",
        ("set", "parts", "our length", "least on whole numbers", "reached"),
        tuple(rows),
        (
            "proved by an exact run of our own, no published values; places in between may give a shorter strip",
        ),
    )


def measure(one: StripSet, seconds: float) -> StripRun:
    """Places one set and judges the layout."""
    started = time.perf_counter()
    news: list[tuple[float, float]] = []

    def told(progress: Progress) -> None:
        if progress.best is not None:
            news.append((time.perf_counter() - started, progress.best))

    limits = SolveLimits(time_limit=seconds, on_progress=told)
    try:
        placing = place_on_strip(one.width, one.parts, limits=limits)
    except BREAKS as error:
        nothing = (float("nan"),) * len(LOOKS)
        fault = f"{one.name}: {type(error).__name__}: {error}"
        return StripRun(one.name, float("nan"), float("nan"), 0.0, nothing, (fault,))
    spent = time.perf_counter() - started
    fault_lines = tuple(f"{one.name}: {fault}" for fault in strip_faults(one.width, one.parts, placing))
    looks = tuple(
        max(
            (_density(one, length) for moment, length in news if moment <= look),
            default=float("nan"),
        )
        for look in LOOKS
    )
    return StripRun(one.name, placing.length, _density(one, placing.length), spent, looks, fault_lines)


def _measured(pool: ProcessPoolExecutor, one: StripSet, seconds: float, faults: list[str]) -> StripRun:
    # the first set of a process pays for loading the kernels, so a glance comes before
    pool.submit(measure, one, 0.5).result()
    run = pool.submit(measure, one, seconds).result()
    faults += run.faults
    return run


def _density(one: StripSet, length: float) -> float:
    return 100 * one.area / (one.width * length)


def _count(one: StripSet) -> int:
    return sum(part.quantity for part in one.parts)
