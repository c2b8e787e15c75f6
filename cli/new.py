"""`reskin new`: a job file from a few questions, or as a form to fill in."""

from __future__ import annotations

import io
import sys
from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, TypeVar

import click

from cli.params import ANY_PATH
from shared.errors import PlannerError

if TYPE_CHECKING:
    from nesting.job import Hand, Units
    from nesting.starting.newjob import NewJob, NewSheet, NewSide

T = TypeVar("T")


@click.command()
@click.argument("job_file", metavar="JOB", type=ANY_PATH)
@click.option("--template", is_flag=True, help="Ask nothing: write a job file to fill in, with comments.")
@click.option(
    "--units",
    type=click.Choice(["in", "mm"]),
    help="Units of the template, inches unless given; else they are asked.",
)
def new(job_file: Path, template: bool, units: str | None) -> None:
    """Write a new job file from the answers to a few questions.

    An answer that will not do is asked for again. The file is written when all are answered.
    """
    from nesting.filefolder import text_file
    from nesting.job import Units
    from nesting.starting.jobtemplate import template_text
    from nesting.starting.newfiles import refuse_existing, write_new
    from nesting.starting.newjob import new_job_text

    refuse_existing([job_file])
    if template:
        text = template_text(Units(units or "in"))
    else:
        if isinstance(sys.stdin, io.TextIOWrapper):
            # answers may be piped in from a file in another code
            sys.stdin.reconfigure(errors="replace")
        try:
            text = new_job_text(_asked_job(job_file.stem, units))
        except EOFError as error:
            click.echo()
            raise PlannerError("the answers ended before the last question; nothing was written") from error
    write_new({job_file: text_file(text)})

    from cli.summary import labelled

    advice = "fill it in" if template else "read it through"
    click.echo(
        "\n".join(
            [
                "",
                *labelled("Written", str(job_file)),
                *labelled("Next", f"{advice}, then: reskin check {job_file}"),
            ]
        )
    )


def _ask(question: str, answer: Callable[[str], T], otherwise: str | None = None) -> T:
    """The answer to a question, asked again until it will do; Enter alone gives ``otherwise``."""
    shown = f"{question} [{otherwise}]: " if otherwise else f"{question}: "
    while True:
        said = input(shown)
        if not sys.stdin.isatty():
            click.echo(said)
        if not said.strip() and otherwise is not None:
            said = otherwise
        try:
            return answer(said)
        except PlannerError as error:
            click.echo(f"  {error}")


def _asked_job(stem: str, units: str | None) -> NewJob:
    """All answers, one question after another."""
    from nesting.reading.keys import MAX_BAYS
    from nesting.starting.answers import money_answer, name_answer, units_answer
    from nesting.starting.newjob import NewJob

    click.echo("Enter takes what stands in brackets. Ctrl-C leaves, and nothing is written.\n")
    title = _ask("Title", name_answer, stem.strip() or "New job")
    unit = units_answer(units) if units else _ask("Units, in or mm", units_answer, "in")
    sides = [_asked_side(unit, "driver side", [])]
    while sum(len(side.bays) for side in sides) < MAX_BAYS:
        taken = tuple(side.name for side in sides)
        name = _ask("\nAnother side? Its name, or Enter for none", partial(_new_name, taken=taken), "")
        if not name:
            break
        sides.append(_asked_side(unit, name, sides))
    stock = _asked_stock(unit)
    cost = _ask("\nWhat is one seam worth avoiding, in money (rivets, sealant, an hour)", money_answer, "0")
    return NewJob(title, unit, stock, tuple(sides), cost)


def _new_name(said: str, taken: tuple[str, ...]) -> str:
    """A name, or nothing for no more sides."""
    from nesting.starting.answers import name_answer

    name = name_answer(said) if said.strip() else ""
    if name.casefold() in {other.casefold() for other in taken}:
        raise PlannerError("there is a side of this name already; give another")
    return name


def _asked_side(units: Units, name: str, before: Sequence[NewSide]) -> NewSide:
    """One side, asked once more where its answers do not go together; the first is asked for its name here."""
    from nesting.reading.keys import MAX_BAYS
    from nesting.starting.answers import name_answer, side_answer

    click.echo()
    if not before:
        name = _ask("Name of the side", name_answer, name)
    room = MAX_BAYS - sum(len(side.bays) for side in before)
    while True:
        side = _asked_readings(units, name, room)
        try:
            return side_answer(side, units)
        except PlannerError as error:
            click.echo(f"  {error}\n  This side once more.")


def _asked_readings(units: Units, name: str, room: int) -> NewSide:
    """What is measured at a side of at most ``room`` bays."""
    from nesting.starting.answers import (
        count_answer,
        hand_answer,
        length_answer,
        overall_answer,
        posts_answer,
    )
    from nesting.starting.newjob import NewSide

    forward: Hand = _ask(f"{name}: front of the vehicle on the left or right, seen from outside", hand_answer)
    count = _ask("How many bays", partial(count_answer, most=room))
    height = _ask(
        "Height of every bay, or Enter if they differ",
        lambda said: length_answer(said, units) if said.strip() else "",
        "",
    )
    bays = _asked_bays(units, count, height)
    posts: tuple[str, ...] = ()
    if count > 1:
        posts = _ask(
            "Face width of the posts, one for all or one for each with semicolons between",
            lambda said: posts_answer(said, units, count),
        )
    overall = _ask(
        "Overall, first left edge to last right edge, or Enter if not measured",
        lambda said: overall_answer(said, units, bays, posts) if said.strip() else "",
        "",
    )
    return NewSide(name, forward, bays, posts, overall)


def _asked_bays(units: Units, count: int, height: str) -> tuple[tuple[str, str], ...]:
    """The bays as they are dictated, one or several at a time."""
    from nesting.starting.answers import bays_answer

    what = "width" if height else "width x height"
    click.echo(
        f"Now each {what} from the left; several with semicolons between; Enter is the same once more."
    )
    bays: list[tuple[str, str]] = []
    while len(bays) < count:
        understood = partial(
            bays_answer, units=units, height=height, before=bays[-1] if bays else None, room=count - len(bays)
        )
        bays += _ask(f"  bay {len(bays) + 1}", understood)
    return tuple(bays)


def _asked_stock(units: Units) -> tuple[NewSheet, ...]:
    """The usual sizes with their prices, then others; at least one."""
    from nesting.documents.wording import unit_word
    from nesting.starting.answers import price_answer, sheet_answer, stock_answer
    from nesting.starting.newjob import usual_sheets

    click.echo(
        f"\nSheets that can be bought, in {unit_word(units)}. For each: its price, or yes without a price, "
        "or Enter if there is none.\nPrices for all of them, or for none."
    )
    while True:
        stock: list[NewSheet] = []
        for sheet in usual_sheets(units):
            size = f"  {sheet.name}" + (f" ({sheet.width} x {sheet.length})" if units.value == "in" else "")
            if priced := _ask(size, partial(price_answer, sheet=sheet), ""):
                stock.append(priced)
        while True:
            other = _ask(
                "  another size, width x length, or Enter for none",
                lambda said: sheet_answer(said, units) if said.strip() else None,
                "",
            )
            if other is None:
                break
            if priced := _ask(f"  {other.name}", partial(price_answer, sheet=other), ""):
                stock.append(priced)
        try:
            return stock_answer(stock, units)
        except PlannerError as error:
            click.echo(f"  {error}")
