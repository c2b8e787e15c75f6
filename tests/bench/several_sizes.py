"""Several sheet sizes at a price: the published sets of Pisinger and Sigurd, and those of Ortmann and others.

The first come with prices that are not the areas, and no published price: our own bound is the yardstick.  Papers
tell only which share of the sheets' area was used when the least area was asked for, cut edge to edge; so that
question is put, too.  The second were made by cutting up sheets: the best plan wastes nothing.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace

from tests.bench.data import Instance, instances, rows
from tests.bench.layout_check import HAIR
from tests.bench.packing_runs import Packed, Task, in_order, mean_milliseconds, pack, slowest_milliseconds
from tests.bench.setting import Setting
from tests.bench.table import Cell, Table, mean

PRICED = "vsbpp_pisinger_sigurd.json"
NO_WASTE = "vsbpp_ortmann_nice_path.json"
AVERAGES = "vsbpp_targets.csv"

QUICK_SIZES = (60,)


def priced_tables(setting: Setting, pool: ProcessPoolExecutor, faults: list[str]) -> Iterator[Table]:
    """Least price with free placing: gap to our bound; least area edge to edge: use beside the published averages."""
    chosen = [
        one
        for one in instances(PRICED)
        if not setting.quick or (one.name.endswith("_01") and one.size in QUICK_SIZES)
    ]
    seconds = setting.packing_seconds
    tasks = [Task(one.name, one.sheets, one.pieces, seconds, least=one.known["OF"].bound) for one in chosen]
    found = in_order(pool, "several sizes, price", pack, tasks)
    faults += [f"several sizes, price: {fault}" for one in found for fault in one.faults]
    yield Table(
        "several-sizes-price",
        f"Several sheet sizes at a price (Pisinger & Sigurd 2005), placed freely, {seconds:g} s each at the most",
        (
            "class",
            "sets",
            "our price",
            "our bound",
            "mean gap %",
            "worst gap %",
            "proved best",
            "use of area %",
            "mean ms",
            "slowest ms",
        ),
        tuple(
            (
                group,
                len(own),
                sum(one.cost for one in own),
                sum(one.bound for one in own),
                100 * mean([one.gap for one in own]),
                100 * max(one.gap for one in own),
                sum(one.proved for one in own),
                100 * mean([one.use for one in own]),
                mean_milliseconds(own),
                slowest_milliseconds(own),
            )
            for group, own in by_group([one.group for one in chosen], found)
        ),
        ("no price is published; the bound holds for free placing and for edge-to-edge cutting alike",),
    )
    tasks = [
        replace(
            task, sheets=tuple(replace(s, price=None) for s in task.sheets), edge_to_edge=True, least=None
        )
        for task in tasks
    ]
    found = in_order(pool, "several sizes, area", pack, tasks)
    faults += [f"several sizes, area: {fault}" for one in found for fault in one.faults]
    averages = published_use("PisingerSigurd2005")
    yield Table(
        "several-sizes-area",
        f"The same sets, least sheet area, cut edge to edge, {seconds:g} s each at the most",
        (
            "class",
            "sets",
            "use of area %",
            "published %",
            "mean gap %",
            "worst gap %",
            "proved best",
            "mean ms",
            "slowest ms",
        ),
        tuple(
            (
                group,
                len(own),
                100 * mean([one.use for one in own]),
                averages.get(group, averages.get("all classes") if group == "all" else None),
                100 * mean([one.gap for one in own]),
                100 * max(one.gap for one in own),
                sum(one.proved for one in own),
                mean_milliseconds(own),
                slowest_milliseconds(own),
            )
            for group, own in by_group([one.group for one in chosen], found)
        ),
        (
            "published: mean use over the fifty sets of a class, least area, not turned, cut edge to edge (Gardeyn &"
            " Wauters 2022, table 4)"
            + ("; here over a part of them, so the two do not quite compare" if setting.quick else ""),
        ),
    )


def no_waste_table(setting: Setting, pool: ProcessPoolExecutor, faults: list[str]) -> Iterator[Table]:
    """How many of the sets made by cutting up sheets are packed without waste, by kind and number of pieces."""
    every = instances(NO_WASTE)
    chosen = every if not setting.quick else first_of_each(every)
    seconds = setting.packing_seconds
    tasks = [
        Task(
            one.name,
            one.sheets,
            one.pieces,
            seconds,
            known=one.known["OF"].value if one.known["OF"].proved else None,
        )
        for one in chosen
    ]
    found = in_order(pool, "sets without waste", pack, tasks)
    faults += [f"sets without waste: {fault}" for one in found for fault in one.faults]
    averages = published_use("Ortmann2010_Nice") | published_use("Ortmann2010_Path")
    areas = {one.name: one.area for one in chosen}
    kinds = [kind_of(one) for one in chosen]
    found_rows: list[tuple[Cell, ...]] = []
    for group, own in by_group(kinds, found):
        found_rows.append(
            (
                group,
                len(own),
                sum(one.cost <= areas[one.name] * (1 + HAIR) for one in own),
                sum(one.proved for one in own),
                100 * mean([one.use for one in own]),
                averages.get(group),
                100 * mean([one.gap for one in own]),
                mean_milliseconds(own),
                slowest_milliseconds(own),
            )
        )
    return iter(
        [
            Table(
                "no-waste",
                "Sets made by cutting up sheets (Ortmann et al. 2010), placed freely, several sizes,"
                f" {seconds:g} s each at the most",
                (
                    "kind",
                    "sets",
                    "without waste",
                    "proved best",
                    "use of area %",
                    "published %",
                    "mean gap %",
                    "mean ms",
                    "slowest ms",
                ),
                tuple(found_rows),
                (
                    "published: mean use of area when cut edge to edge (Gardeyn & Wauters 2022, table 5), which these"
                    " sets do not always allow without waste; placed freely 100 % can be had in every set",
                ),
            )
        ]
    )


def by_group(groups: Sequence[str], found: Sequence[Packed]) -> Iterator[tuple[str, list[Packed]]]:
    """The results of each group in order of appearance, then all of them."""
    for group in dict.fromkeys(groups):
        yield group, [one for own, one in zip(groups, found, strict=True) if own == group]
    yield "all", list(found)


def published_use(name: str) -> dict[str, float]:
    """Published mean use of area in per cent, by class, for cutting edge to edge."""
    return {
        row["group"]: float(row["average_utilisation_percent"])
        for row in rows(AVERAGES)
        if row["set"] == name and row["variant"] == "oriented guillotine"
    }


def kind_of(one: Instance) -> str:
    """Nice25i for Nice25i2b1: the kind of set with its number of pieces."""
    kind = re.match(r"[A-Za-z]+\d+i", one.name)
    return kind[0] if kind else one.name


def first_of_each(every: Sequence[Instance], count: int = 1) -> list[Instance]:
    """The first few sets of each kind."""
    seen: dict[str, int] = {}
    chosen = []
    for one in every:
        kind = kind_of(one)
        seen[kind] = seen.get(kind, 0) + 1
        if seen[kind] <= count:
            chosen.append(one)
    return chosen
