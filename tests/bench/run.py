"""Measures the planner and prints plain tables beside the published values: `python -m tests.bench.run`.

`--quick` measures a fixed part of everything, `--only NAME` one bench (again for more), `--out DIR` also writes
the tables as CSV and JSON there, and the plot.  Figures are for the machine at hand.  It ends with status 1 where
something is wrong rather than slow: a layout that the check of its own refuses, a bound above a known layout, a
plan that costs more with more time.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from contextlib import ExitStack
from importlib import import_module
from pathlib import Path
from subprocess import CalledProcessError

from tests.bench.data import DataMissing
from tests.bench.measured import measure as measure_job
from tests.bench.packing_runs import workers
from tests.bench.setting import Setting
from tests.bench.table import Table, as_text, write_table

OWN_PROCESS = {
    "start": "starts.start_tables",
    "samples": "bodies.sample_tables",
    "order": "bodies.order_table",
    "together": "bodies.together_table",
    "growth": "growth.table",
    "stops": "starts.stop_table",
}
"""Benches that plan one job at a time in a fresh process: by name, their function."""

SEVERAL = {
    "repeat": "repeat.table",
    "zero-waste": "zero_waste.table",
    "random": "random_sets.table",
    "published": "published500.tables",
    "several-sizes": "several_sizes.priced_tables",
    "no-waste": "several_sizes.no_waste_table",
    "bars": "bar_sets.table",
    "shaped-jobs": "shaped.table",
    "jigsaws": "jigsaws.table",
    "strips": "strips.tables",
}
"""Benches that take many sets or jobs, several at a time."""

NAMES = (*OWN_PROCESS, *SEVERAL)


def main(arguments: Sequence[str] | None = None) -> int:
    """Reads the options, prints one table after the other, and says what was wrong at the end."""
    setting, names = read_options(arguments)
    faults: list[str] = []
    with ExitStack() as stack:
        warm = False
        pool: ProcessPoolExecutor | None = None
        for name in names:
            began = time.monotonic()
            if name in SEVERAL and pool is None:
                pool = stack.enter_context(workers(setting.jobs))
            if name in OWN_PROCESS and not warm:
                warm_up()
                warm = True
            try:
                for table in bench(name, setting, pool, faults):
                    print("\n" + as_text(table), flush=True)
                    if setting.out is not None:
                        write_table(table, setting.out, setting.told())
            except DataMissing as missing:
                print(f"\n{name}: left out. {missing}", flush=True)
                continue
            except (CalledProcessError, BrokenProcessPool) as broken:
                # the traceback stands above, from the process it happened in; the other benches go on
                faults.append(f"{name}: broke off: {broken}")
                pool = None
            print(f"  ({name}: {time.monotonic() - began:.0f} s)", flush=True)
    if faults:
        print(f"\nWrong, not slow ({len(faults)}):", *faults, sep="\n  ", flush=True)
    return 1 if faults else 0


def bench(
    name: str, setting: Setting, pool: ProcessPoolExecutor | None, faults: list[str]
) -> Iterator[Table]:
    """The tables of one bench; it is loaded only now, so that each works without what the others need."""
    module, function = (OWN_PROCESS | SEVERAL)[name].split(".")
    measure: Callable[..., Iterator[Table]] = getattr(import_module(f"tests.bench.{module}"), function)
    return measure(setting) if name in OWN_PROCESS else measure(setting, pool, faults)


def warm_up() -> None:
    """Short runs that leave every kernel compiled, so that no measurement holds the compiling."""
    for name in ("metric-van", "short-body"):
        measure_job(name, 30.0)


def read_options(arguments: Sequence[str] | None = None) -> tuple[Setting, tuple[str, ...]]:
    """The setting and the benches to run, in the usual order."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.run", description="Measure the planner.")
    parser.add_argument("--quick", action="store_true", help="a fixed part of everything, in about 3 minutes")
    parser.add_argument(
        "--only", action="append", choices=NAMES, metavar="NAME", help=f"one of {', '.join(NAMES)}"
    )
    parser.add_argument("--jobs", type=_whole, default=2, metavar="N", help="processes at a time (2)")
    parser.add_argument("--limit", type=_seconds, metavar="S", help="seconds for a set of rectangles (12)")
    parser.add_argument("--job-limit", type=_seconds, metavar="S", help="seconds for a whole job (60)")
    parser.add_argument("--out", type=Path, metavar="DIR", help="write the tables and the plot there, too")
    given = parser.parse_args(arguments)
    setting = Setting(given.quick, given.jobs, given.limit, given.job_limit, given.out)
    return setting, tuple(name for name in NAMES if not given.only or name in given.only)


def _whole(text: str) -> int:
    number = int(text)
    if number < 1:
        raise ValueError("1 or more")
    return number


def _seconds(text: str) -> float:
    seconds = float(text)
    if not 0 < seconds < float("inf"):
        raise ValueError("more than 0")
    return seconds


if __name__ == "__main__":
    sys.exit(main())
