"""Measures the planner and prints plain tables: `python -m tests.bench.run`, with --quick the short ones only.

Figures are for the machine at hand; the bounds beside them are what the project promises on two cores.
"""

from __future__ import annotations

import argparse
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from tests.bench.jobs import FULL
from tests.bench.measured import Measured, help_seconds, measure
from tests.bench.rectangles import print_rectangles
from tests.bench.table import print_table

GIB = 2.0**30
MIB = 2.0**20


def main() -> None:
    """Reads the options and prints one table after the other."""
    parser = argparse.ArgumentParser(description="Measure the planner.")
    parser.add_argument("--quick", action="store_true", help="a few minutes less: short limits, fewer sizes")
    quick = parser.parse_args().quick
    taken = help_seconds()
    print_table(
        "Start of the command",
        ["", "seconds", "bound"],
        [["reskin --help, middle of 5", median(taken), 0.4], ["reskin --help, slowest", max(taken), 0.4]],
    )
    with TemporaryDirectory() as folder:
        cache = Path(folder)
        cold = measure("metric-van", 60.0, cache)
        print_table(
            "First run after installing (metric van): the kernels are compiled and kept",
            ["", "seconds"],
            [["nothing compiled yet", cold.seconds], ["again", measure("metric-van", 60.0, cache).seconds]],
        )
        print_samples(cache, quick)
        print_sides(cache, 20.0 if quick else 60.0)
        print_growth(cache, [13] if quick else [13, 26, 52], 20.0 if quick else 60.0)
        print_stops(cache)
    print_rectangles(8 if quick else 40, 2.0 if quick else 5.0)


def print_samples(cache: Path, quick: bool) -> None:
    """Seconds and memory of the three samples, with what is promised for the full-size one."""
    rows: list[list[object]] = []
    for name in (FULL, "short-body", "metric-van"):
        runs = [measure(name, 60.0, cache) for _ in range(1 if quick else 3)]
        rows.append(
            [
                name,
                median(run.first for run in runs),
                median(run.proof for run in runs),
                median(run.seconds for run in runs),
                max(run.memory for run in runs) / MIB,
                runs[0].branches,
                *_answer(runs[0]),
            ]
        )
    rows.append(["promised for the full body", 2.0, 20.0, "", 1024.0, "", *[""] * 6])
    print_table(
        "Samples: seconds from the start of the process, middle of several; memory in MiB at the most",
        ["job", "first plan", "proof", "whole run", "memory", "branches", *ANSWER],
        rows,
    )


ANSWER = ["status", "cost", "bound", "gap %", "sheets", "seams"]


def _answer(run: Measured) -> list[object]:
    return [run.status, run.cost, run.bound, 100 * run.gap, run.sheets, run.seams]


def print_sides(cache: Path, limit: float) -> None:
    """The two sides planned together, and each alone with the patches on either."""
    joint = measure(FULL, limit, cache)
    rows: list[list[object]] = [["both sides together", *_answer(joint)]]
    for holder, other in ((0, 1), (1, 0)):
        pair = [measure(name, limit, cache) for name in (f"side:{holder}:patches", f"side:{other}")]
        rows.append(
            [
                f"each alone, patches with the {('driver', 'passenger')[holder]} side",
                "optimal" if all(run.status == "optimal" for run in pair) else "feasible",
                sum(run.cost for run in pair),
                sum(run.bound for run in pair),
                100 * (1 - sum(run.bound for run in pair) / sum(run.cost for run in pair)),
                sum(run.sheets for run in pair),
                sum(run.seams for run in pair),
            ]
        )
    print_table("Full-size body: one plan against two", ["", *ANSWER], rows)


def print_growth(cache: Path, sizes: list[int], limit: float) -> None:
    """How time and gap grow with the number of bays."""
    rows = []
    for bays in sizes:
        run = measure(f"bays:{bays}", limit, cache)
        rows.append([bays, run.first, run.proof, run.seconds, run.memory / MIB, run.branches, *_answer(run)])
    print_table(
        f"Unequal bays, the full body's patches and stock, limit {limit:.0f} s",
        ["bays", "first plan", "proof", "whole run", "memory", "branches", *ANSWER],
        rows,
    )


def print_stops(cache: Path) -> None:
    """How long a run goes on after it was asked to stop, and past a time limit."""
    rows: list[list[object]] = []
    for asked in (2.0, 4.0, 6.0):
        run = measure(FULL, 600.0, cache, stop_after=asked)
        rows.append([f"asked to stop after {asked:.0f} s", asked, run.seconds, run.seconds - asked])
    for limit in (3.0, 10.0):
        run = measure(FULL, limit, cache)
        rows.append(
            [
                f"time limit of {limit:.0f} s (loading not counted in it)",
                limit,
                run.seconds,
                run.seconds - limit,
            ]
        )
    print_table("Full-size body stopped early: seconds", ["", "asked", "ended", "later by"], rows)


if __name__ == "__main__":
    main()
