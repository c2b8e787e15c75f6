"""The 500 published sets of Berkey and Wang and of Martello and Vigo: as few equal sheets as can be, in four ways.

Published sums, ours and the plain reference side by side.  Published are sums of ten only (class and number of
pieces), so a part of the sets stands beside known layouts instead, which were computed: see the README of the data.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace

from tests.bench.data import Instance, instances, rows
from tests.bench.packing_runs import (
    Packed,
    Task,
    in_order,
    mean_milliseconds,
    pack,
    slowest_milliseconds,
)
from tests.bench.reference import Answer, Ask, least_sheets
from tests.bench.setting import Setting
from tests.bench.table import Cell, Table, mean, milliseconds

FILE = "bpp500.json"
TARGETS = "bpp500_targets.csv"
SUMS = "bpp500_published_sums.csv"

GROUPS = 50
"""Ten classes, five numbers of pieces each."""

QUICK_SIZES = (60,)
"""A quick run takes the first set of each class with so many pieces."""


@dataclass(frozen=True)
class Variant:
    """One of the four ways to cut, with what the project set out to reach over all 500."""

    code: str
    words: str
    turn: bool
    edge_to_edge: bool
    aim: int


VARIANTS = (
    Variant("OF", "placed freely, not turned", False, False, 7240),
    Variant("RF", "placed freely, quarter turns", True, False, 6990),
    Variant("OG", "cut edge to edge, not turned", False, True, 7245),
    Variant("RG", "cut edge to edge, quarter turns", True, True, 6995),
)


@dataclass(frozen=True)
class Published:
    """The best published sums of a class and the papers that reach them, and the least sum anyone reached."""

    total: int
    least: int
    papers: tuple[str, ...]


@dataclass(frozen=True)
class Measured:
    """A set with what we made of it and what the reference did."""

    instance: Instance
    packed: Packed
    reference: Answer


def tables(setting: Setting, pool: ProcessPoolExecutor, faults: list[str]) -> Iterator[Table]:
    """A table by class for each variant, then the totals."""
    chosen = chosen_instances(instances(FILE), setting.quick)
    totals = []
    for variant in VARIANTS:
        tasks = [task(one, variant, setting.packing_seconds) for one in chosen]
        packed = in_order(pool, f"500 sets, {variant.code}", pack, tasks)
        asks = [Ask(t.sheets[0], t.pieces, variant.turn, variant.edge_to_edge) for t in tasks]
        reference = in_order(pool, f"500 sets, {variant.code}, reference", least_sheets, asks)
        measured = [Measured(*found) for found in zip(chosen, packed, reference, strict=True)]
        faults += [f"500 sets, {variant.code}: {fault}" for one in packed for fault in one.faults]
        yield by_class(variant, measured, published(variant.code), setting)
        totals.append(total_row(variant, measured, setting))
    yield Table(
        "published-500",
        f"Published sets, all classes: sheets in all ({len(chosen)} sets, {setting.packing_seconds:g} s each"
        " at the most)",
        (
            "variant",
            "ours",
            "aim",
            "best published",
            "least known",
            "our bound",
            "bound told",
            "proved best",
            "rectpack",
            "mean ms",
            "slowest ms",
            "rectpack mean ms",
        ),
        tuple(totals),
        (
            "aim: what the project set out to stay at or below, over all 500.  least known: of the sets packed here,"
            " the least that a published sum or a computed layout shows (kind by kind in the README of the data).",
            "bound told: the sum of the bounds that come with the data.  rectpack: the best of fifteen settings."
            "  ms: wall clock of one set, several sets being packed at a time.",
            "best published adds up whoever was best in each group of ten sets.  The best of one paper: "
            + "; ".join(best_of_one_paper(variant) for variant in VARIANTS),
        ),
    )


def chosen_instances(every: Sequence[Instance], quick: bool) -> list[Instance]:
    """All, or for a quick run a fixed part."""
    return [one for one in every if not quick or (one.name.endswith("_01") and one.size in QUICK_SIZES)]


def task(one: Instance, variant: Variant, seconds: float) -> Task:
    """A set as it is packed: a sheet costs 1, so costs are numbers of sheets."""
    known = one.known[variant.code]
    return Task(
        one.name,
        tuple(replace(sheet, price=1.0) for sheet in one.sheets),
        tuple(replace(piece, turn=variant.turn) for piece in one.pieces),
        seconds,
        variant.edge_to_edge,
        known.value,
        known.bound,
    )


def published(code: str) -> dict[str, Published]:
    """Per class the sum of the best published sums of ten."""
    found: dict[str, list[dict[str, str]]] = {}
    for row in rows(TARGETS):
        if row["variant"] == code:
            found.setdefault(f"class {row['class']}", []).append(row)
    return {
        group: Published(
            sum(int(row["best_published_sum"]) for row in own),
            sum(int(row["target_bins_sum_of_10"]) for row in own),
            fewest_covering([_papers(row["best_published_source"]) for row in own]),
        )
        for group, own in found.items()
    }


def single_papers(code: str) -> dict[str, int]:
    """What each paper reached over all 500 sets, the best of its methods; papers that tell only a part are left out."""
    sums: dict[tuple[str, str], list[int]] = {}
    for row in rows(SUMS):
        if row["variant"] == code:
            sums.setdefault((row["paper"], row["method_label"]), []).append(int(row["bins_sum_of_10"]))
    found: dict[str, int] = {}
    for (paper, _), own in sums.items():
        if len(own) == GROUPS:
            found[paper] = min(sum(own), found.get(paper, sum(own)))
    return found


def best_of_one_paper(variant: Variant) -> str:
    """The paper that alone reached the least over all 500 sets, in words."""
    total, paper = min((total, paper) for paper, total in single_papers(variant.code).items())
    return f"{variant.words} {total} ({paper})"


def fewest_covering(groups: Sequence[Sequence[str]]) -> tuple[str, ...]:
    """All that stand in every group; else few of which each group has one, the most frequent first."""
    everywhere = [paper for paper in groups[0] if all(paper in group for group in groups)]
    if everywhere:
        return tuple(everywhere)
    waiting = list(groups)
    taken: list[str] = []
    while waiting:
        names = dict.fromkeys(name for group in waiting for name in group)
        taken.append(max(names, key=lambda name: sum(name in group for group in waiting)))
        waiting = [group for group in waiting if taken[-1] not in group]
    return (" with ".join(taken),)


def by_class(
    variant: Variant, measured: Sequence[Measured], best: dict[str, Published], setting: Setting
) -> Table:
    """One row for each class: sums over its sets."""
    papers = dict.fromkeys(paper for own in best.values() for paper in own.papers)
    letters = {paper: "abcdefghijklmnopqrstuvwxyz"[i] for i, paper in enumerate(papers)}
    found: list[tuple[Cell, ...]] = []
    for group in dict.fromkeys(one.instance.group for one in measured):
        own = [one for one in measured if one.instance.group == group]
        beside = best[group]
        found.append(
            (
                group,
                len(own),
                *_sums(variant, own, beside.total if not setting.quick else None),
                " ".join(letters[paper] for paper in beside.papers),
                *_proof(own),
                mean_milliseconds([one.packed for one in own]),
            )
        )
    return Table(
        f"published-{variant.code}",
        f"Published sets, {variant.words}: sheets by class, {setting.packing_seconds:g} s a set at the most",
        (
            "class",
            "sets",
            "ours",
            "best published",
            "least known",
            "papers",
            "our bound",
            "proved best",
            "rectpack",
            "mean ms",
        ),
        tuple(found),
        ("papers that reach the best published sums: " + "; ".join(f"{s} {p}" for p, s in letters.items()),)
        + (("published are sums of ten sets: a part of the sets has none",) if setting.quick else ()),
    )


def total_row(variant: Variant, measured: Sequence[Measured], setting: Setting) -> tuple[Cell, ...]:
    """The whole variant in one row."""
    best = published(variant.code)
    whole = not setting.quick
    ours, _, known = _sums(variant, measured, None)
    bound, proved, reference = _proof(measured)
    told = round(sum(one.instance.known[variant.code].bound or 0.0 for one in measured))
    packed = [one.packed for one in measured]
    return (
        variant.words,
        ours,
        variant.aim if whole else None,
        sum(own.total for own in best.values()) if whole else None,
        sum(own.least for own in best.values()) if whole else known,
        bound,
        told,
        proved,
        reference,
        mean_milliseconds(packed),
        slowest_milliseconds(packed),
        milliseconds(mean([one.reference.seconds for one in measured])),
    )


def _sums(
    variant: Variant, own: Sequence[Measured], total: int | None
) -> tuple[int | None, int | None, int | None]:
    """Our sum (none where a set broke), the published one as given, and the sum of the best layouts known."""
    known = [one.instance.known[variant.code].value for one in own]
    ours = sum(one.packed.cost for one in own)
    return (
        None if ours != ours else round(ours),
        total,
        None if None in known else round(sum(value for value in known if value is not None)),
    )


def _proof(own: Sequence[Measured]) -> tuple[int, int, int]:
    """The sum of our bounds in whole sheets, how many are proved by them, and the reference's sum."""
    return (
        round(sum(one.packed.bound for one in own)),
        sum(one.packed.proved for one in own),
        sum(one.reference.sheets for one in own),
    )


def _papers(told: str) -> list[str]:
    """The papers of a row, without the remark that follows them."""
    return [paper.strip() for paper in told.split(" (")[0].split(";") if paper.strip()]
