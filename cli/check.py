"""`reskin check`: read the job, find its mistakes, and say what was understood."""

from __future__ import annotations

from pathlib import Path

import click

from cli.mistakes import mistakes_in
from cli.params import JOB_FILE, OFFCUT_LISTS


@click.command()
@click.argument("job_file", metavar="JOB", type=JOB_FILE)
@OFFCUT_LISTS
def check(job_file: Path, offcuts: tuple[Path, ...]) -> None:
    """Read the job, report every mistake, and describe what was understood, without planning."""
    with mistakes_in(job_file):
        from cli.description import job_description
        from nesting.jobfile import read_job

        job = read_job(job_file, offcuts)
        click.echo("\n".join(job_description(job)))
