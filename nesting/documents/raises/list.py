"""raise.csv: the table of raises for spreadsheets and other programs, a row to each."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence

from nesting.documents.lists import words
from nesting.documents.raises.words import Headroom
from nesting.job import Job, Units
from nesting.raisetable import RaiseRow, Taken
from shared.tables import LB_PER_KG, MM_PER_INCH


def raise_list(job: Job, rows: Sequence[RaiseRow], headroom: Headroom | None = None) -> str:
    """The rows as CSV with one heading line; lengths in mm, before that in decimal inches where the job is in inches.

    Without a plan the numbers are empty and ``note`` says why.  ``within limit`` is empty where no limit is given.
    """
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(_headings(job))
    for row in rows:
        writer.writerow(
            (
                *_lengths(job, row.raise_height),
                *_lengths(job, headroom.at(row.raise_height) if headroom else None),
                _within(row, headroom),
                row.outcome.value,
                *(_numbers(job, row.taken) if row.taken else ("",) * len(_NUMBERS)),
                words(row.why),
            )
        )
    return text.getvalue()


_NUMBERS = (
    "stock",
    "sheets",
    "seams",
    "seams over posts",
    "level seams",
    "sheet cost",
    "seam cost",
    "to pay",
    "rivets",
    "rivets to buy",
    "skin mass (kg)",
    "skin mass (lb)",
    "backing strips",
    "proved",
    "gap (%)",
)


def _headings(job: Job) -> tuple[str, ...]:
    units = ("mm",) if job.units is Units.MILLIMETRE else ("in", "mm")
    lengths = [f"{name} ({unit})" for name in ("raise", "overall height") for unit in units]
    area = "sheet area (sq ft)" if job.units is Units.INCH else "sheet area (m2)"
    numbers = [name if job.priced or name != "sheet cost" else area for name in _NUMBERS]
    return (*lengths, "within limit", "result", *numbers, "note")


def _lengths(job: Job, mm: float | None) -> tuple[str, ...]:
    if mm is None:
        return ("",) if job.units is Units.MILLIMETRE else ("", "")
    exact = _plain(mm, 3)
    return (exact,) if job.units is Units.MILLIMETRE else (_plain(mm / MM_PER_INCH, 4), exact)


def _within(row: RaiseRow, headroom: Headroom | None) -> str:
    if headroom is None or headroom.most is None:
        return ""
    return "no" if headroom.too_high(row.raise_height) else "yes"


def _numbers(job: Job, taken: Taken) -> tuple[object, ...]:
    return (
        words("; ".join(f"{count} x {name}" for name, count in taken.stock)),
        taken.sheets,
        taken.seams,
        taken.post_seams,
        taken.level_seams,
        f"{taken.sheet_cost:.2f}",
        f"{taken.seam_cost:.2f}",
        f"{taken.total:.2f}",
        taken.rivets,
        taken.rivets_to_buy,
        _plain(taken.skin_mass, 2),
        _plain(taken.skin_mass * LB_PER_KG, 2),
        taken.strips,
        "yes" if taken.proved else "no",
        _plain(100 * taken.gap, 3),
    )


def _plain(value: float, decimals: int) -> str:
    text = f"{round(value, decimals) + 0.0:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if decimals else text
