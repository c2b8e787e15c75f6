"""`reskin plan`: job file in, results folder out."""

from __future__ import annotations

import json
import os
import sys
from concurrent.futures import ThreadPoolExecutor, wait
from datetime import UTC, datetime
from pathlib import Path
from time import perf_counter
from typing import TYPE_CHECKING

import click

from cli.interrupt import StopRequest, stop_on_interrupt
from cli.look import Look
from cli.mistakes import mistakes_in
from cli.params import ANY_PATH, JOB_FILE, OFFCUT_LISTS, seed_option, time_limit_option
from cli.progress import ProgressLine

if TYPE_CHECKING:
    from nesting.job import Job
    from nesting.limits import SolveLimits
    from nesting.plan import PlannedJob

DEFAULT_TIME_LIMIT = 60.0
R2000, R12 = "r2000", "r12"
SECONDS_BETWEEN_LOOKS = 0.2


@click.command()
@click.argument("job_file", metavar="JOB", type=JOB_FILE)
@click.option(
    "--out",
    type=ANY_PATH,
    metavar="DIR",
    required=True,
    help="Folder for the results; one written by an earlier run is replaced.",
)
@time_limit_option(
    DEFAULT_TIME_LIMIT, "Stop searching after this long, with the best plan found and how far it is proved."
)
@seed_option("Where the search starts: the same seed gives the same plan once it is proved.")
@OFFCUT_LISTS
@click.option(
    "--drill", is_flag=True, help="Draw rivet holes on the sheets, in the sheet on top of each lap only."
)
@click.option(
    "--dxf",
    "release",
    type=click.Choice([R2000, R12], case_sensitive=False),
    default=R2000,
    show_default=True,
    help="Release of the DXF files: r12 for old machines, with the units in a comment only.",
)
@click.option("--no-text", is_flag=True, help="Leave words and arrows (LABEL) out of the sheets' DXF files.")
@click.option(
    "--json", "as_json", is_flag=True, help="Print the plan as one JSON object, with its timing, on stdout."
)
def plan(
    job_file: Path,
    out: Path,
    time_limit: float,
    seed: int,
    offcuts: tuple[Path, ...],
    drill: bool,
    release: str,
    no_text: bool,
    as_json: bool,
) -> None:
    """Plan the job and write sheets, drawings and lists to a folder.

    Ctrl-C once: stop searching and write the best plan found so far. Ctrl-C again: leave without writing.
    """
    started, clock = datetime.now(UTC), perf_counter()
    with stop_on_interrupt() as stop, mistakes_in(job_file):
        from nesting.documents.dxf import DxfStyle, Release
        from nesting.filefolder import check_output_folder
        from nesting.jobfile import read_job
        from nesting.limits import SolveLimits
        from nesting.output import write_results

        job = read_job(job_file, offcuts)
        check_output_folder(out)
        display = ProgressLine(sys.stderr, live=sys.stderr.isatty())
        limits = SolveLimits(time_limit, seed, display.note, stop.asked)
        planned = _plan_while_shown(job, limits, display, stop, clock)
    planning = perf_counter() - clock
    files = write_results(planned, out, drill=drill, dxf=DxfStyle(Release[release.upper()], not no_text))
    total = perf_counter() - clock

    if as_json:
        from nesting.documents.planfile import plan_document

        timing = {
            "started": started.isoformat(timespec="seconds"),
            "planning_seconds": round(planning, 3),
            "writing_seconds": round(total - planning, 3),
        }
        click.echo(json.dumps({**plan_document(planned), "timing": timing}, indent=2))
        click.echo(f"{len(files)} files written to {out}", err=True)
    else:
        from cli.summary import plan_summary

        look = Look.of(sys.stdout, os.environ)
        click.echo(look.shown("\n".join(plan_summary(planned, out, files, planning, look))))


def _plan_while_shown(
    job: Job, limits: SolveLimits, display: ProgressLine, stop: StopRequest, clock: float
) -> PlannedJob:
    """The planned job, found in a thread of its own so that this one can show progress and hear Ctrl-C."""
    from nesting.planning import plan_job

    told = False
    with ThreadPoolExecutor(max_workers=1) as planner:
        work = planner.submit(plan_job, job, limits)
        while wait([work], timeout=SECONDS_BETWEEN_LOOKS).not_done:
            if stop.asked() and not told:
                display.say(
                    "Stopping with the best plan found; Ctrl-C again leaves at once and writes nothing."
                )
                told = True
            display.show(perf_counter() - clock)
    display.clear()
    return work.result()
