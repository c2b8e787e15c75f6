"""The table that goes with a measuring sheet, as CSV text: the same numbers, an empty column for the values."""

from __future__ import annotations

import csv
import io

from nesting.documents.lists import words
from nesting.starting.sheet import SHEET, SheetPlan, asked_at, readings_in_order

HEADING = ("number", "side", "place", "reading", "value", "note")


def measuring_table(plan: SheetPlan) -> str:
    """readings.csv: a row for the units, then one for each reading in the order of the sheet."""
    text = io.StringIO()
    writer = csv.writer(text, lineterminator="\r\n")
    writer.writerow(HEADING)
    units = asked_at(SHEET, "units")
    writer.writerow(("", "", SHEET, units.name, plan.units.value, units.note))
    for reading in readings_in_order(plan):
        side, value = words(reading.side), words(reading.value)
        writer.writerow((reading.number, side, reading.place, reading.asked.name, value, reading.note))
    # spreadsheets take a file for UTF-8 by its mark; plain text needs none
    return text.getvalue() if text.getvalue().isascii() else "\ufeff" + text.getvalue()
