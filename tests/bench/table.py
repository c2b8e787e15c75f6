"""Tables: printed as plain text in 100 columns, and written as CSV and JSON."""

from __future__ import annotations

import csv
import json
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from textwrap import fill, wrap

COLUMNS = 100
LEAST_TEXT = 8
"""A column of words gets no narrower than this, whatever stands beside it."""

Cell = str | int | float | bool | None


@dataclass(frozen=True)
class Table:
    """What one bench measured; ``name`` is that of its files, None in a row stands for what does not apply."""

    name: str
    title: str
    head: tuple[str, ...]
    rows: tuple[tuple[Cell, ...], ...]
    notes: tuple[str, ...] = ()


def as_text(table: Table, columns: int = COLUMNS) -> str:
    """The table with its title above and its notes below; words in the head and long cells are stacked."""
    cells = [[_said(value) for value in row] for row in table.rows]
    numbers = [
        all(row[i] is None or isinstance(row[i], int | float) for row in table.rows)
        for i in range(len(table.head))
    ]
    widths = _widths(table.head, cells, numbers, columns)
    lines = [fill(table.title, columns)]
    lines += _stacked(table.head, widths, numbers)
    lines.append("  " + "  ".join("-" * width for width in widths))
    for row in cells:
        lines += _stacked(row, widths, numbers)
    lines += [fill(note, columns, initial_indent="  ", subsequent_indent="  ") for note in table.notes]
    return "\n".join(lines)


def write_table(table: Table, folder: Path, about: dict[str, Cell]) -> None:
    """NAME.csv with the bare rows, NAME.json with title, notes and under what setting they were measured."""
    folder.mkdir(parents=True, exist_ok=True)
    with (folder / f"{table.name}.csv").open("w", encoding="utf-8", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(table.head)
        writer.writerows([["" if _is_blank(value) else value for value in row] for row in table.rows])
    told = {
        "title": table.title,
        "setting": about,
        "head": table.head,
        "rows": [[None if _is_blank(value) else value for value in row] for row in table.rows],
        "notes": table.notes,
    }
    text = json.dumps(told, indent=1, ensure_ascii=False, allow_nan=False)
    (folder / f"{table.name}.json").write_text(text + "\n", encoding="utf-8")


def milliseconds(seconds: float) -> int | None:
    """Whole milliseconds; None for what was never reached."""
    return None if seconds != seconds else round(1000 * seconds)


def mean(values: Sequence[float]) -> float:
    """The arithmetic mean; not a number where there is nothing."""
    return sum(values) / len(values) if values else float("nan")


def _widths(
    head: Sequence[str], cells: Sequence[Sequence[str]], numbers: Sequence[bool], columns: int
) -> list[int]:
    """As wide as the cells and the longest word of the head need; then columns of words give way."""
    widths = [
        max([len(word) for word in name.split()] + [len(row[i]) for row in cells] + [1])
        for i, name in enumerate(head)
    ]
    while sum(widths) + 2 * len(widths) > columns:
        widest = max((i for i, number in enumerate(numbers) if not number), key=widths.__getitem__, default=0)
        if numbers[widest] or widths[widest] <= LEAST_TEXT:
            break
        widths[widest] -= 1
    return widths


def _stacked(texts: Sequence[str], widths: Sequence[int], numbers: Sequence[bool]) -> list[str]:
    """One row as so many lines as its fullest cell needs; numbers stand on the right."""
    blocks = [wrap(text, width) or [""] for text, width in zip(texts, widths, strict=True)]
    lines = []
    for i in range(max(map(len, blocks))):
        parts = [
            text.rjust(width) if number else text.ljust(width)
            for text, width, number in zip(
                [block[i] if i < len(block) else "" for block in blocks], widths, numbers, strict=True
            )
        ]
        lines.append(("  " + "  ".join(parts)).rstrip())
    return lines


def _is_blank(value: Cell) -> bool:
    return value is None or value != value


def _said(value: Cell) -> str:
    if _is_blank(value):
        return "-"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.2f}" if isinstance(value, float) else str(value)
