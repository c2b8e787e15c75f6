"""`reskin schema`: the job file's keys for editors and programs."""

from __future__ import annotations

import json
from pathlib import Path

import click

from cli.params import ANY_PATH
from shared.errors import OutputRefused


@click.command()
@click.option("--out", type=ANY_PATH, metavar="FILE", help="Write to this file instead of the terminal.")
def schema(out: Path | None) -> None:
    """Write the JSON Schema of the job file, for editors that check while one types."""
    from nesting.jobfile import job_schema

    text = json.dumps(job_schema(), indent=2) + "\n"
    if out is None:
        click.echo(text, nl=False)
        return
    try:
        out.write_text(text, encoding="utf-8")
    except OSError as error:
        raise OutputRefused(f"{out}: the schema cannot be written here: {error.strerror}") from error
    click.echo(f"Schema of the job file written to {out}", err=True)
