"""Whole jobs: the samples, the order of four bodies, and what planning everything together is worth."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from tests.bench.jobs import FULL, ORDER, SAMPLES, job_named
from tests.bench.measured import Measured, command_seconds, measure
from tests.bench.orders import four_bodies
from tests.bench.setting import Setting
from tests.bench.table import Cell, Table, milliseconds

MIB = 2.0**20

ANSWER = ("status", "cost", "bound", "gap %", "sheets", "seams")


def answer(run: Measured) -> tuple[Cell, ...]:
    """The plan of a run in the columns of ANSWER."""
    return (run.status, run.cost, run.bound, 100 * run.gap, run.sheets, run.seams)


def sample_tables(setting: Setting) -> Iterator[Table]:
    """The three samples; for the full-size one the whole command, too, with everything written."""
    rows: list[tuple[Cell, ...]] = []
    for name in SAMPLES:
        runs = [measure(name, setting.job_seconds) for _ in range(setting.pick(1, 3))]
        rows.append(
            (
                name,
                milliseconds(median(run.first for run in runs)),
                milliseconds(median(run.proof for run in runs)),
                milliseconds(median(run.inside for run in runs)),
                milliseconds(median(run.seconds for run in runs)),
                round(max(run.memory for run in runs) / MIB),
                *answer(runs[0]),
            )
        )
    rows.append(("promised, full body", 2000, 10000, None, None, 1024, *[None] * 6))
    yield Table(
        "samples",
        "Samples: ms from the start of the process, the middle of several runs; memory in MiB at the most",
        ("job", "first plan", "proof", "planning alone", "whole process", "memory", *ANSWER),
        tuple(rows),
    )
    with TemporaryDirectory() as folder:
        taken = [
            command_seconds(
                "plan",
                f"samples/{FULL}.toml",
                "--out",
                str(Path(folder) / f"{number}"),
                "--time-limit",
                f"{setting.job_seconds:g}",
            )
            for number in range(setting.pick(1, 3))
        ]
    yield Table(
        "full-command",
        "Full-size sample, the whole command with all files written",
        ("command", "ms", "bound ms"),
        ((f"reskin plan {FULL}.toml, middle of {len(taken)}", milliseconds(median(taken)), 10000),),
    )


def order_table(setting: Setting) -> Iterator[Table]:
    """The order of four bodies, after a limited time."""
    if setting.out is not None:
        setting.out.mkdir(parents=True, exist_ok=True)
        (setting.out / f"{ORDER}.toml").write_text(four_bodies(), encoding="utf-8")
    run = measure(ORDER, setting.job_seconds)
    job = job_named(ORDER)
    yield Table(
        "order",
        f"Four bodies in one order: {len(job.sides)} sides, {sum(len(side.bays) for side in job.sides)} bays,"
        f" {sum(patch.quantity for patch in job.patches)} patches, {len(job.stock)} stock sizes,"
        f" {setting.job_seconds:g} s",
        ("run", "first plan ms", "planning ms", "memory MiB", "branches", *ANSWER),
        (
            (
                "measured",
                milliseconds(run.first),
                milliseconds(run.inside),
                round(run.memory / MIB),
                run.branches,
                *answer(run),
            ),
            ("to reach in 60 s", None, None, 2048, None, None, None, None, 1.0, None, None),
        ),
    )


def together_table(setting: Setting) -> Iterator[Table]:
    """Everything planned together, against each side alone and the patches alone."""
    yield _together("together", FULL, setting.pick(3.0, 20.0), setting)
    if not setting.quick:
        yield _together("together-order", ORDER, 20.0, setting)


def _together(slug: str, name: str, most: float, setting: Setting) -> Table:
    limit = min(most, setting.job_seconds)
    job = job_named(name)
    alone = [(side.name, f"{name}/side:{i}") for i, side in enumerate(job.sides)]
    runs = [(words, measure(part, limit)) for words, part in [*alone, ("patches", f"{name}/patches")]]
    joint = measure(name, min(setting.job_seconds, limit * 3))
    rows = [(f"{words} alone", *answer(run)) for words, run in runs]
    rows.append(("all these", *added_up([run for _, run in runs])))
    rows.append(("planned together", *answer(joint)))
    return Table(
        slug,
        f"{name}: every side alone and the patches alone ({limit:g} s each) against all planned together"
        f" ({min(setting.job_seconds, limit * 3):g} s)",
        ("planned", *ANSWER),
        tuple(rows),
        ("the bound of 'all these' is one for planning apart only: together can cost less",),
    )


def added_up(runs: Sequence[Measured]) -> tuple[Cell, ...]:
    """Several runs as if they were one plan, in the columns of ANSWER."""
    cost, bound = sum(run.cost for run in runs), sum(run.bound for run in runs)
    return (
        "optimal" if all(run.status == "optimal" for run in runs) else "feasible",
        cost,
        bound,
        100 * (cost - bound) / cost if cost else 0.0,
        sum(run.sheets for run in runs),
        sum(run.seams for run in runs),
    )
