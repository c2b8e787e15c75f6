"""`reskin raise`: what each raise of the roof takes, as a table, a plot and a page."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
from collections.abc import Iterator
from concurrent.futures import BrokenExecutor, Executor, ProcessPoolExecutor, ThreadPoolExecutor
from contextlib import contextmanager
from multiprocessing.connection import wait
from pathlib import Path
from time import perf_counter
from typing import TYPE_CHECKING

import click

from cli.interrupt import stop_on_interrupt
from cli.mistakes import mistakes_in
from cli.params import ANY_PATH, JOB_FILE, OFFCUT_LISTS, seed_option, time_limit_option
from cli.rowprogress import RowProgress
from shared.errors import LengthError, PlannerError
from shared.units import parse_length

if TYPE_CHECKING:
    from nesting.documents.raises.words import Headroom
    from nesting.job import Job

DEFAULT_RUN_LIMIT = 10.0
BROKEN = "a process that planned was ended from outside, perhaps for want of memory: give fewer --jobs"
_USUAL = {"in": ("0", "24", "1"), "mm": ("0", "600", "25")}
"""First raise, last one and step where they are not given, by the job's units."""


@click.command("raise")
@click.argument("job_file", metavar="JOB", type=JOB_FILE)
@click.option("--from", "first", metavar="RAISE", help="The lowest raise: 0 unless given, the body as built.")
@click.option("--to", "last", metavar="RAISE", help="The highest raise: 24 in or 600 mm unless given.")
@click.option("--step", metavar="LENGTH", help="From one raise to the next: 1 in or 25 mm unless given.")
@click.option("--height", metavar="LENGTH", help="Overall height of the vehicle before the raise.")
@click.option("--limit", metavar="LENGTH", help="The most that the overall height may be; needs --height.")
@click.option("--out", type=ANY_PATH, metavar="DIR", help="Folder for raise.csv, raise.svg and raise.html.")
@time_limit_option(DEFAULT_RUN_LIMIT, "Stop searching after this long at each raise.")
@seed_option("Where each search starts.")
@click.option(
    "--jobs",
    type=click.IntRange(1, 256),
    metavar="N",
    help="How many raises are planned at once: as many as there are processors unless given.",
)
@click.option(
    "--cluster", metavar="ADDRESS", help="Plan on the Dask cluster whose scheduler is at this address."
)
@OFFCUT_LISTS
def raising(
    job_file: Path,
    first: str | None,
    last: str | None,
    step: str | None,
    height: str | None,
    limit: str | None,
    out: Path | None,
    time_limit: float,
    seed: int,
    jobs: int | None,
    cluster: str | None,
    offcuts: tuple[Path, ...],
) -> None:
    """Plan the job at one raise after another and say what each takes.

    The job is the body as measured; what lies above its cut goes up or down with the roof. Bare numbers are in the
    job's units. Ctrl-C once: no further raise is begun, the table shows those that are done. Ctrl-C again: leave.
    """
    clock = perf_counter()
    if cluster is not None and jobs is not None:
        raise click.UsageError(
            "--jobs is for this machine; a cluster has its own workers: give only one of them"
        )
    with stop_on_interrupt() as stop, mistakes_in(job_file):
        from nesting.filefolder import check_output_folder
        from nesting.jobfile import read_job
        from nesting.limits import SolveLimits
        from nesting.raisetable import check_can_be_raised, sweep

        job = read_job(job_file, offcuts)
        raises = _raises(job, first, last, step)
        headroom = _headroom(job, height, limit)
        check_can_be_raised(job)
        if out is not None:
            check_output_folder(out)
        display = RowProgress(sys.stderr, sys.stderr.isatty(), len(raises), stop.asked)
        with _executor(cluster, jobs, len(raises)) as executor, display:
            try:
                rows = sweep(job, raises, SolveLimits(time_limit, seed), executor, display.count, stop.asked)
            except BrokenExecutor as error:
                raise PlannerError(BROKEN) from error
    if not rows:
        raise KeyboardInterrupt

    from cli.raisesummary import raise_summary
    from nesting.documents.raises.files import raise_files
    from nesting.filefolder import text_file, write_files

    files: tuple[Path, ...] = ()
    if out is not None:
        texts = raise_files(job, rows, headroom)
        files = write_files({name: text_file(text) for name, text in texts.items()}, out)
    seconds = perf_counter() - clock
    click.echo("\n".join(raise_summary(job, rows, headroom, len(raises), files, seconds)))


def _raises(job: Job, first: str | None, last: str | None, step: str | None) -> tuple[float, ...]:
    from nesting.raisetable import raises_between

    usual = _USUAL[job.units.value]
    low, high, stride = (
        _length(job, option, given or text)
        for option, given, text in zip(("--from", "--to", "--step"), (first, last, step), usual, strict=True)
    )
    try:
        return raises_between(low, high, stride)
    except PlannerError as error:
        raise click.UsageError(f"--from, --to, --step: {error}") from error


def _headroom(job: Job, height: str | None, limit: str | None) -> Headroom | None:
    from nesting.documents.raises.words import Headroom

    if height is None:
        if limit is not None:
            raise click.UsageError(
                "--limit needs --height, the overall height of the vehicle before the raise"
            )
        return None
    most = None if limit is None else _length(job, "--limit", limit)
    return Headroom(_length(job, "--height", height), most)


def _length(job: Job, option: str, text: str) -> float:
    try:
        return parse_length(text, job.units.value)
    except LengthError as error:
        raise click.BadParameter(str(error), param_hint=option) from error


@contextmanager
def _executor(cluster: str | None, jobs: int | None, runs: int) -> Iterator[Executor]:
    """What plans: a cluster, a thread of this process for one job at a time, else processes of their own."""
    if cluster is not None:
        from cli.cluster import cluster_executor

        with cluster_executor(cluster) as executor:
            yield executor
        return
    workers = min(jobs or os.cpu_count() or 1, runs)
    if workers == 1:
        with ThreadPoolExecutor(1) as threads:
            yield threads
        return
    # spawned, not forked: the solver's threads do not survive a fork
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(workers, mp_context=context, initializer=_begin_work) as processes:
        yield processes


def _begin_work() -> None:
    """In a worker: Ctrl-C is for the command to hear, and a worker ends with it."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    if parent is not None:
        threading.Thread(target=_end_with, args=(parent.sentinel,), daemon=True).start()


def _end_with(sentinel: int) -> None:
    wait([sentinel])
    os._exit(1)
