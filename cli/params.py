"""Kinds of values on the command line."""

from __future__ import annotations

from collections.abc import Callable
from math import isfinite
from pathlib import Path
from typing import Any, TypeVar

import click

F = TypeVar("F", bound=Callable[..., Any])

# Whether the file is there and readable is the job reader's to say, in the same words for every caller.
JOB_FILE = click.Path(path_type=Path)
ANY_PATH = click.Path(path_type=Path)

OFFCUT_LISTS = click.option(
    "--offcuts",
    type=ANY_PATH,
    metavar="FILE",
    multiple=True,
    help="A list of offcuts on hand, such as the offcuts.csv of an earlier plan; may be given more than once.",
)
"""The same for every command that reads a job."""


def time_limit_option(default: float, help_text: str) -> Callable[[F], F]:
    """The seconds that a search may take."""
    return click.option(
        "--time-limit",
        type=float,
        callback=time_to_plan,
        metavar="SECONDS",
        default=default,
        show_default=True,
        help=help_text,
    )


def seed_option(help_text: str) -> Callable[[F], F]:
    """Where a search starts."""
    return click.option(
        "--seed",
        type=click.IntRange(0, 2**31 - 1),
        metavar="N",
        default=0,
        show_default=True,
        help=help_text,
    )


def time_to_plan(_ctx: click.Context, _param: click.Parameter, seconds: float) -> float:
    """The seconds as given; a usage error when they leave no time to plan, or never end."""
    if not (isfinite(seconds) and seconds > 0):
        raise click.BadParameter(f"{seconds:g} leaves no time to plan: give a number of seconds above 0")
    return seconds
