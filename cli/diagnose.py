"""`reskin diagnose`: what to send along with the report of a problem, and nothing that is private."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import click

from cli.installation import installation
from cli.jobcounts import job_counts
from cli.params import JOB_FILE

WIDTH = 24
"""Columns of the labels."""

LEFT_OUT = "names of people, machines and folders; of a job its title, words, lengths and messages"


@click.command()
@click.argument("job_file", metavar="[JOB]", type=JOB_FILE, required=False)
@click.option("--json", "as_json", is_flag=True, help="Print the report as one JSON object.")
def diagnose(job_file: Path | None, as_json: bool) -> None:
    """Print what helps to find a fault in reskin: send it with your report.

    Versions, what kind of machine this is, and whether a tiny job is planned soundly here; with JOB also how
    many sides, bays and the like the job has, and the places of its mistakes. Read it before you send it.
    """
    report: dict[str, Any] = installation()
    if job_file is not None:
        report["job"] = job_counts(job_file)
    report["left out"] = LEFT_OUT
    click.echo(json.dumps(report, indent=2) if as_json else "\n".join(_lines(report)))


def _lines(report: dict[str, Any], indent: str = "") -> list[str]:
    lines = []
    for label, value in report.items():
        if isinstance(value, dict):
            lines += [f"{indent}{label}", *_lines(value, indent + "  ")]
        elif isinstance(value, list):
            lines += [f"{indent}{label}", *(f"{indent}  {entry}" for entry in value)]
        else:
            lines.append(f"{indent}{label}".ljust(WIDTH) + f" {value}")
    return lines
