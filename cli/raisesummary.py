"""The table of raises on the terminal: the answer in words, a row to each raise, what to mind."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from textwrap import wrap

from cli.summary import WIDTH, labelled, titled
from nesting.documents.raises.words import (
    ADVISED_AGAINST,
    OVER_LIMIT,
    WITH_STRIPS,
    Headroom,
    answer,
    height_text,
    marks,
    notes,
    proof_word,
    stock_text,
)
from nesting.documents.wording import length_text, money_text, worth_text
from nesting.job import Job, Units
from nesting.raisetable import RaiseRow
from shared.tables import LB_PER_KG

_LEAST_STOCK = 10
"""Characters that the sheets keep, however wide the rest is."""
_TIED = "\u00a0x\u00a0"
"""Between a number of sheets and their name, where no line may end."""
SIGNS = {OVER_LIMIT: "!", ADVISED_AGAINST: "*", WITH_STRIPS: "+"}
"""Before a raise that has something against it."""


def raise_summary(
    job: Job,
    rows: Sequence[RaiseRow],
    headroom: Headroom | None,
    asked: int,
    files: Iterable[Path] = (),
    seconds: float = 0.0,
) -> list[str]:
    """Lines of at most 79 characters (long names apart); ``asked`` is how many raises were asked for."""
    lines = titled(f"How high: {job.title}")
    said = answer(job, rows)
    for number, sentence in enumerate(said):
        lines += labelled("" if number else "Answer", sentence)
    lines += ["", *_table(job, rows, headroom), "", *_mind(job, rows, headroom), ""]
    done = f"{len(rows)} raises in {seconds:.0f} s"
    if len(rows) < asked:
        done = f"stopped: {len(rows)} of {asked} raises in {seconds:.0f} s, the others are left out"
    lines += labelled("Planned", done)
    written = ", ".join(str(path) for path in files)
    return [*lines, *(labelled("Written", written) if written else [])]


def _mind(job: Job, rows: Sequence[RaiseRow], headroom: Headroom | None) -> list[str]:
    lines = ["What to mind"]
    for note in notes(job, rows, headroom):
        lines += wrap(note, WIDTH, initial_indent="  - ", subsequent_indent="    ")
    return lines


def _table(job: Job, rows: Sequence[RaiseRow], headroom: Headroom | None) -> list[str]:
    """Columns as wide as they need; the sheets take what is left and run over several lines."""
    heads = ["raise", *(["overall"] if headroom else []), "post", "level"]
    heads += ["price", "to pay"] if job.priced else ["area"]
    heads += ["rivets", "lb" if job.units is Units.INCH else "kg", "proof"]
    leads = [_lead(job, row, headroom) for row in rows]
    numbers = [_numbers(job, row) for row in rows]
    cells = [lead + values for lead, values in zip(leads, numbers, strict=True)]
    widths = [
        max([len(head), *(len(row[i]) for row in cells if i < len(row))]) for i, head in enumerate(heads)
    ]
    before = 2 if headroom else 1
    room = max(_LEAST_STOCK, WIDTH - sum(widths) - len(widths) - 1)

    def line(values: Sequence[str], stock: str) -> str:
        padded = [value.rjust(width) for value, width in zip(values, widths, strict=False)]
        return " ".join([*padded[:before], "", stock.ljust(room), *padded[before:]]).rstrip()

    lines = [line(heads, "sheets"), "-" * WIDTH]
    for row, values in zip(rows, cells, strict=True):
        if row.taken is None:
            lines.append(line(values, row.outcome.value))
            continue
        first, *rest = wrap(stock_text(row.taken).replace(" x ", _TIED), room) or [""]
        lines.append(line(values, first.replace(_TIED, " x ")))
        lines += [line([""] * before, more.replace(_TIED, " x ")) for more in rest]
    return [*lines, *_signs_used(rows, headroom)]


def _signs_used(rows: Sequence[RaiseRow], headroom: Headroom | None) -> list[str]:
    used = {mark for row in rows for mark in marks(row, headroom)}
    said = [f"{sign} {mark}" for mark, sign in SIGNS.items() if mark in used]
    return ["", *wrap("   ".join(said), WIDTH)] if said else []


def _lead(job: Job, row: RaiseRow, headroom: Headroom | None) -> list[str]:
    signs = "".join(SIGNS[mark] for mark in marks(row, headroom))
    lead = [f"{signs}{length_text(row.raise_height, job.units)}"]
    return lead + ([height_text(job, headroom.at(row.raise_height), up=True)] if headroom else [])


def _numbers(job: Job, row: RaiseRow) -> list[str]:
    """The numbers of a row, without its sheets; empty where there is no plan."""
    taken = row.taken
    if taken is None:
        return []
    mass = taken.skin_mass * (LB_PER_KG if job.units is Units.INCH else 1.0)
    money = [money_text(taken.sheet_cost), money_text(taken.total)]
    return [
        str(taken.post_seams),
        str(taken.level_seams),
        *(money if job.priced else [worth_text(job, taken.sheet_cost)]),
        f"{taken.rivets:,}",
        f"{mass:.0f}",
        proof_word(taken),
    ]
