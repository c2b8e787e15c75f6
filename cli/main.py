"""The `reskin` command: its commands by name, and errors turned into exit codes.

Nothing here imports `nesting`: geometry and solver libraries take seconds to load, and help must not.
"""

from __future__ import annotations

from importlib import metadata
from typing import Any

import click

from cli.check import check
from cli.continuing import continuing
from cli.diagnose import diagnose
from cli.interrupt import INTERRUPTED
from cli.measure import measure
from cli.new import new
from cli.plan import plan
from cli.raising import raising
from cli.read import read
from cli.schema import schema
from shared.errors import PlannerError


class PlannerGroup(click.Group):
    """Reports what the user can mend in a few words with exit code 1; a bug of ours keeps its traceback."""

    def invoke(self, ctx: click.Context) -> Any:
        try:
            return super().invoke(ctx)
        except PlannerError as error:
            click.echo(f"reskin: {error}", err=True)
            ctx.exit(1)
        except KeyboardInterrupt:
            click.echo("reskin: stopped; what was there before is untouched", err=True)
            ctx.exit(INTERRUPTED)


def show_version(ctx: click.Context, _param: click.Parameter, wanted: bool) -> None:
    """Print the installed version and leave."""
    if not wanted or ctx.resilient_parsing:
        return
    try:
        version = metadata.version("reskin-planner")
    except metadata.PackageNotFoundError:
        version = "(not installed: run from its source folder)"
    click.echo(f"reskin {version}")
    ctx.exit()


@click.group(cls=PlannerGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=show_version,
    help="Show the version and exit.",
)
def main() -> None:
    """Plan how to re-skin a raised bus body with sheet steel.

    Measure the openings on the sheet of `reskin measure` and make a job file of them with `reskin read`, or
    answer the questions of `reskin new`; then run `reskin check` on it, and `reskin plan`.
    """


main.add_command(check)
main.add_command(continuing)
main.add_command(diagnose)
main.add_command(measure)
main.add_command(new)
main.add_command(plan)
main.add_command(raising)
main.add_command(read)
main.add_command(schema)
