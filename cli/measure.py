"""`reskin measure`: a blank sheet for the tape readings, and the table to type them into."""

from __future__ import annotations

from functools import partial
from pathlib import Path

import click

from cli.params import ANY_PATH
from shared.errors import LengthError
from shared.units import parse_length

SHEET_NAME, TABLE_NAME = "measuring-sheet.pdf", "readings.csv"


@click.command()
@click.option(
    "--bays",
    type=click.IntRange(1),
    metavar="N",
    multiple=True,
    required=True,
    help="How many bays the side has; once for all sides, or once for each.",
)
@click.option(
    "--sides",
    metavar="NAME",
    multiple=True,
    help="Name of a side, 'driver side' unless given; may be given more than once.",
)
@click.option(
    "--posts",
    default="each",
    show_default=True,
    metavar="each|alike|WIDTH",
    help="Measure each post, or one for all; or the width of all posts, known already.",
)
@click.option(
    "--units",
    type=click.Choice(["in", "mm"]),
    default="in",
    show_default=True,
    help="What the tape reads in.",
)
@click.option(
    "--paper", type=click.Choice(["letter", "a4"]), help="Letter for inches and A4 for mm unless given."
)
@click.option("--four-sided", is_flag=True, help="Four sides and both diagonals of each bay.")
@click.option("--out", type=ANY_PATH, metavar="DIR", required=True, help="Folder for the two files.")
def measure(
    bays: tuple[int, ...],
    sides: tuple[str, ...],
    posts: str,
    units: str,
    paper: str | None,
    four_sided: bool,
    out: Path,
) -> None:
    """Write a blank measuring sheet, and the table that `reskin read` reads.

    The sheet is printed and filled in by the vehicle; the table has the same numbers. Files that are there already
    stay as they are.
    """
    names = sides or ("driver side",)
    if len(bays) not in (1, len(names)):
        raise click.UsageError(
            f"--bays is given {len(bays)} times for {len(names)} sides: once, or once for each"
        )
    counts = bays * len(names) if len(bays) == 1 else bays
    width = _post_width(posts, units)

    from nesting.documents.measuringtable import measuring_table
    from nesting.documents.paper.measuring import write_measuring_sheet
    from nesting.filefolder import text_file
    from nesting.job import Units
    from nesting.starting.newfiles import refuse_existing, write_new
    from nesting.starting.sheet import Posts, SheetPlan, SideToMeasure

    plan = SheetPlan(
        sides=tuple(SideToMeasure(" ".join(name.split()), n) for name, n in zip(names, counts, strict=True)),
        units=Units(units),
        four_sided=four_sided,
        posts=Posts.EACH if posts.lower() == "each" else Posts.ALIKE,
        post_width=width,
    )
    sheet, table = out / SHEET_NAME, out / TABLE_NAME
    refuse_existing([sheet, table])
    on_a4 = paper == "a4" if paper else units == "mm"
    write_new(
        {
            sheet: partial(write_measuring_sheet, plan, on_a4),
            table: text_file(measuring_table(plan)),
        }
    )

    from cli.summary import labelled

    click.echo(
        "\n".join(
            [
                *labelled("Written", f"{sheet} and {table}"),
                *labelled(
                    "Next",
                    f"print the sheet and fill it in by the vehicle, type the values into {table}, "
                    f"then: reskin read {table} --out my-bus.toml",
                ),
            ]
        )
    )


def _post_width(posts: str, units: str) -> str:
    """The width that is known already, empty where posts are measured; a usage error for what is no length."""
    if posts.lower() in ("each", "alike"):
        return ""
    said = " ".join(posts.split())
    try:
        if parse_length(said, units) > 0:
            return said
    except LengthError as error:
        raise click.BadParameter(f"{error}; or write each or alike", param_hint="--posts") from error
    raise click.BadParameter("a post is wider than zero", param_hint="--posts")
