"""How soon the command answers, what the first run after installing costs, and how soon a stop is obeyed."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory

from tests.bench.jobs import FULL
from tests.bench.measured import command_seconds, measure
from tests.bench.setting import Setting
from tests.bench.table import Table, milliseconds


def start_tables(setting: Setting) -> Iterator[Table]:
    """Help, and a first plan with nothing compiled."""
    taken = [command_seconds("--help") for _ in range(5)]
    yield Table(
        "start",
        "Start of the command",
        ("command", "ms", "bound ms"),
        (
            ("reskin --help, middle of 5", milliseconds(median(taken)), 400),
            ("reskin --help, slowest", milliseconds(max(taken)), 400),
        ),
    )
    if setting.quick:
        return
    with TemporaryDirectory() as folder:
        cold = [measure("metric-van", 60.0, cache=Path(folder)) for _ in range(2)]
    yield Table(
        "first-run",
        "First run after installing (metric van): the kernels are compiled and kept",
        ("run", "ms"),
        (
            ("nothing compiled yet", milliseconds(cold[0].seconds)),
            ("again", milliseconds(cold[1].seconds)),
        ),
    )


def stop_table(setting: Setting) -> Iterator[Table]:
    """How long a run goes on after it was asked to stop, and past a time limit."""
    rows: list[tuple[str, int, int | None, int | None]] = []
    for asked in setting.pick((4.0,), (2.0, 4.0, 6.0)):
        run = measure(FULL, 600.0, stop_after=asked)
        late = milliseconds(run.seconds - asked)
        rows.append(("asked to stop", round(1000 * asked), milliseconds(run.seconds), late))
    for limit in setting.pick((3.0,), (3.0, 10.0)):
        run = measure(FULL, limit)
        late = milliseconds(run.inside - limit)
        rows.append(("time limit", round(1000 * limit), milliseconds(run.inside), late))
    yield Table(
        "stops",
        "Full-size sample stopped early",
        ("stop", "at ms", "ended ms", "later by ms"),
        tuple(rows),
        (
            "a stop counts from the start of the process, a limit from the start of planning;"
            " a run that is proved before then ends early",
        ),
    )
