"""`reskin read`: a filled table of tape readings to a job file."""

from __future__ import annotations

from pathlib import Path

import click

from cli.mistakes import mistakes_in
from cli.params import ANY_PATH


@click.command()
@click.argument("table", metavar="SHEET", type=ANY_PATH)
@click.option("--out", type=ANY_PATH, metavar="JOB", required=True, help="The new job file.")
def read(table: Path, out: Path) -> None:
    """Make a job file from the readings in SHEET, the table that `reskin measure` wrote.

    Every row that is wrong and every reading that is missing is told, and then nothing is written. The prices of
    sheets are for you to fill in.
    """
    with mistakes_in(table):
        from nesting.filefolder import text_file
        from nesting.reading.csvtext import table_text
        from nesting.starting.measuredjob import job_from_readings
        from nesting.starting.newfiles import refuse_existing, write_new

        refuse_existing([out])
        measured = job_from_readings(table_text(table), table.name)
    write_new({out: text_file(measured.text)})

    from cli.summary import labelled, warning_lines

    found = [
        f"{side.name} with {len(side.bays)} bay{'s' * (len(side.bays) > 1)}" for side in measured.job.sides
    ]
    click.echo(
        "\n".join(
            [
                *labelled("Read", ", ".join(found)),
                *labelled("Written", str(out)),
                *labelled(
                    "Next",
                    f"write the prices of your sheets into it, then: reskin check {out}",
                ),
                *warning_lines((*measured.doubts, *measured.job.warnings)),
            ]
        )
    )
