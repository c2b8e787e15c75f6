"""Hours of hard use in one command: `python -m tests.soak.run`.

Damaged job files, tables and drawings are read, runs are killed, samples planned twice, random jobs planned, and the
claims that hold for all jobs are tried on ten thousand more.  `--seconds` is the time for each kind (the claims get six
times as much), `--inputs N` how many of a kind are taken at most, `--only NAME` takes one kind (again for more),
`--first N` starts at another number, and `--out DIR` keeps the inputs that something was wrong with.  It ends with
status 1 where anything was.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from pathlib import Path
from random import Random

from tests.conftest import TWO_BAYS
from tests.soak.jobs import CLAIMED_JOBS, FIRST_SEED, JobTried, claims_tried, jobs_tried
from tests.soak.killing import killed_runs
from tests.soak.reading import READERS, SAMPLES, read_damaged
from tests.soak.rerunning import reruns

KILLED, RERUN, JOBS, CLAIMS = "killed", "same bytes", "jobs", "claims"
NAMES = (*READERS, KILLED, RERUN, JOBS, CLAIMS)
CLAIMS_TIMES = 6
"""How many times as long as the other kinds the claims may take, for they are that many jobs."""
_KILLS = 50
_RERUN_SECONDS = 120.0


def main(arguments: Sequence[str] | None = None) -> int:
    """Reads the options, prints a line for each kind and one for each fault."""
    options = _options(arguments)
    faults = 0
    for name in options.only or NAMES:
        if name == KILLED:
            faults += _kill(options.kills)
        elif name == RERUN:
            faults += _rerun(options.seconds)
        elif name == JOBS:
            faults += _plan(name, jobs_tried(_until(options.seconds), FIRST_SEED + options.first))
        elif name == CLAIMS:
            most = options.inputs or CLAIMED_JOBS
            until = _until(CLAIMS_TIMES * options.seconds)
            faults += _plan(name, claims_tried(until, options.first, most))
        else:
            faults += _read(name, options)
    print("nothing found" if not faults else f"{faults} faults")
    return 1 if faults else 0


def _options(arguments: Sequence[str] | None) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.soak.run", description=__doc__)
    parser.add_argument("--seconds", type=float, default=600.0, help="time for each kind")
    parser.add_argument("--inputs", type=int, help="how many inputs of a kind are read at most")
    parser.add_argument("--kills", type=int, default=_KILLS, help="how many runs are killed")
    parser.add_argument(
        "--first", type=int, default=0, help="number of the first input: another one tries others"
    )
    parser.add_argument("--only", action="append", choices=NAMES, help="only this kind; again for more")
    parser.add_argument("--out", type=Path, help="folder for inputs that something was wrong with")
    return parser.parse_args(arguments)


def _read(kind: str, options: argparse.Namespace) -> int:
    tried = read_damaged(kind, time.monotonic() + options.seconds, options.first, options.inputs)
    out: Path | None = options.out
    print(
        f"{kind}: {tried.inputs} read, {tried.refused} of them refused, slowest {tried.slowest:.2f} s, "
        f"{tried.megabytes:.0f} MB, {len(tried.faults)} faults",
        flush=True,
    )
    for fault in tried.faults:
        print(f"  input {fault.number}: {fault.what}\n{fault.trace}", flush=True)
        if out is not None:
            out.mkdir(parents=True, exist_ok=True)
            (out / f"{kind.replace(' ', '-')}-{fault.number}").write_bytes(fault.data)
    return len(tried.faults)


def _kill(times: int) -> int:
    with tempfile.TemporaryDirectory() as folder:
        job_file = Path(folder) / "two-bays.toml"
        job_file.write_text(TWO_BAYS, encoding="utf-8")
        runs = list(killed_runs(job_file, Path(folder), times, Random("soak")))
    found = {what: sum(run.found == what for run in runs) for what in ("old", "new", "nothing")}
    wrong = [run for run in runs if not run.sound]
    told = ", ".join(f"{what} {count}" for what, count in found.items())
    print(f"{KILLED}: {len(runs)} runs, left in the folder: {told}; {len(wrong)} faults", flush=True)
    for run in wrong:
        print(f"  {run}")
    return len(wrong)


def _until(seconds: float) -> float:
    return time.monotonic() + seconds


def _rerun(seconds: float) -> int:
    with tempfile.TemporaryDirectory() as folder:
        done = list(reruns(sorted(SAMPLES.glob("*.toml")), Path(folder), min(seconds, _RERUN_SECONDS)))
    open_ones = [name for name, files in done if files is None]
    wrong = {name: files for name, files in done if files}
    told = f"{len(done) - len(open_ones)} samples planned twice, {len(open_ones)} not proved"
    print(f"{RERUN}: {told}, {len(wrong)} faults", flush=True)
    for name, files in wrong.items():
        print(f"  {name}: {', '.join(files)}")
    return len(wrong)


def _plan(kind: str, jobs: Iterator[JobTried]) -> int:
    tried = list(jobs)
    wrong = [job for job in tried if job.fault]
    slowest = max((job.seconds for job in tried), default=0.0)
    print(f"{kind}: {len(tried)} planned, slowest {slowest:.1f} s, {len(wrong)} faults", flush=True)
    for job in wrong:
        print(f"  seed {job.seed}: {job.fault}\n{job.trace}")
    return len(wrong)


if __name__ == "__main__":
    sys.exit(main())
