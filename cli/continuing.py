"""`reskin continue`: after some sheets are cut, a job file for the rest."""

from __future__ import annotations

import re
from pathlib import Path

import click

from cli.mistakes import mistakes_in
from cli.params import ANY_PATH, JOB_FILE, OFFCUT_LISTS
from shared.errors import OutputRefused

MOST_SHEETS = 100_000
"""No plan has more sheets; a longer range is a slip of the pen."""


def sheet_numbers(ctx: click.Context, param: click.Parameter, text: str) -> tuple[int, ...] | str:
    """``all``, ``none``, or the numbers in a text like ``1-3,5``; a usage error for anything else."""
    wanted = text.strip().lower()
    if wanted in ("all", "none"):
        return wanted
    numbers: list[int] = []
    for piece in wanted.split(","):
        match = re.fullmatch(r"\s*([0-9]{1,6})\s*(?:-\s*([0-9]{1,6})\s*)?", piece)
        first, last = (int(match[1]), int(match[2] or match[1])) if match else (1, 0)
        if not 0 < first <= last <= MOST_SHEETS:
            raise click.BadParameter(f"{text!r}: write sheet numbers like 1-3,5, or all, or none", ctx, param)
        numbers += range(first, last + 1)
    return tuple(numbers)


@click.command("continue")
@click.argument("job_file", metavar="JOB", type=JOB_FILE)
@click.argument("folder", metavar="DIR", type=ANY_PATH)
@click.option(
    "--cut",
    "sheets",
    callback=sheet_numbers,
    metavar="SHEETS",
    required=True,
    help="Sheets of the plan that are cut: numbers like 1-3,5, or all, or none.",
)
@click.option(
    "--spoiled",
    metavar="PART",
    multiple=True,
    help="A part that is cut and cannot be used, by its name; may be given more than once.",
)
@click.option("--out", type=ANY_PATH, metavar="FILE", required=True, help="The new job file.")
@OFFCUT_LISTS
def continuing(
    job_file: Path,
    folder: Path,
    sheets: tuple[int, ...] | str,
    spoiled: tuple[str, ...],
    out: Path,
    offcuts: tuple[Path, ...],
) -> None:
    """Write a job file that goes on from the plan in DIR, made from JOB.

    Parts on the sheets that are cut stay as they are, spoiled ones are planned anew. The other sheets of the plan
    are taken as bought; they and the offcuts of the cut ones are on hand.
    """
    with mistakes_in(job_file):
        from nesting.continuing import continued
        from nesting.jobfile import read_job
        from nesting.reading.planrecord import read_plan
        from nesting.reading.text import text_of

        if out.exists():
            raise OutputRefused(f"{out} is there already; give another name, or move it away")
        job, plan = read_job(job_file, offcuts), read_plan(folder)
        numbers = range(1, len(plan.sheets) + 1) if sheets == "all" else () if sheets == "none" else sheets
        result = continued(
            text_of(job_file), job_file.name, job, plan, [int(number) for number in numbers], spoiled
        )
    try:
        out.write_text(result.text, encoding="utf-8")
    except OSError as error:
        raise OutputRefused(f"{out}: the job file cannot be written here: {error.strerror}") from error

    from cli.summary import labelled

    on_hand = [f"{count} of {name}" for count, name in result.on_hand]
    click.echo(
        "\n".join(
            [
                *labelled("Cut", ", ".join(result.cut) or "nothing"),
                *labelled("Spoiled", ", ".join(result.spoiled) or "nothing"),
                *labelled("On hand", "; ".join(on_hand) or "nothing"),
                *labelled("Written", str(out)),
                *labelled(
                    "Next",
                    "read it through (sheets that you have not bought after all are not on hand: lower "
                    f"on_hand), then: reskin plan {out} --out another folder. The sheets of the earlier plan that "
                    "are not cut are planned anew: do not cut them by its drawings any more.",
                ),
            ]
        )
    )
