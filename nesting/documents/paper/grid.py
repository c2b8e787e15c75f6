"""Tables on paper: columns as wide as their words, as far as the page has room."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from reportlab.lib.colors import black, whitesmoke
from reportlab.platypus import Table

from nesting.documents.paper.type import BOLD, CELL, FONT, clipped, paragraph, printable, text_length

_PADDING = 3.5
_SHORTEST_COLUMN = 36.0


@dataclass(frozen=True)
class Column:
    """A column of a table: numbers stand right and never wrap, words stand left and may.

    Names are cut off where they are very long; ``whole`` words never are.
    """

    title: str
    number: bool = False
    whole: bool = False


def table_block(columns: Sequence[Column], rows: Sequence[Sequence[str]], room: float, plain: bool) -> Any:
    """The table as a block that breaks between rows; ``plain`` has neither heading line nor rules."""
    cells = [
        [
            printable(cell) if column.whole else clipped(cell)
            for cell, column in zip(row, columns, strict=True)
        ]
        for row in rows
    ]
    titles = [printable(column.title) for column in columns]
    widths = _widths(columns, [titles, *cells], room)
    body = [[_cell(cell, column) for cell, column in zip(row, columns, strict=True)] for row in cells]
    heads = [[_cell(title, column, BOLD) for title, column in zip(titles, columns, strict=True)]]
    style: list[tuple[Any, ...]] = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), _PADDING),
        ("RIGHTPADDING", (0, 0), (-1, -1), _PADDING),
        ("TOPPADDING", (0, 0), (-1, -1), 1.6),
        ("BOTTOMPADDING", (0, 0), (-1, -1), 2.2),
    ]
    if not plain:
        style += [
            ("LINEBELOW", (0, 0), (-1, 0), 0.8, black),
            ("LINEBELOW", (0, 1), (-1, -1), 0.2, black),
            ("BACKGROUND", (0, 0), (-1, 0), whitesmoke),
            ("VALIGN", (0, 0), (-1, 0), "BOTTOM"),
        ]
    return Table(
        body if plain else heads + body,
        colWidths=widths,
        repeatRows=0 if plain else 1,
        hAlign="LEFT",
        style=style,
    )


def table_height(rows: int) -> float:
    """About how high a table of so many rows comes out, its heading line included, no cell wrapped."""
    return (rows + 1) * (CELL * 1.18 + 3.8) + 7.0


def _cell(text: str, column: Column, font: str = FONT) -> Any:
    return paragraph(text, CELL, font, right=column.number)


def _widths(columns: Sequence[Column], rows: Sequence[Sequence[str]], room: float) -> list[float]:
    """Widths that show every number on one line; columns of words give way when the page is too narrow."""
    padding = 2 * _PADDING + 1.0
    wanted = [
        max(text_length(row[i], CELL, BOLD if row is rows[0] else FONT) for row in rows) + padding
        for i in range(len(columns))
    ]
    spare = room - sum(wanted)
    flexible = [i for i, column in enumerate(columns) if not column.number]
    while spare < -0.01 and flexible:
        widest = max(flexible, key=lambda i: wanted[i])
        others = [wanted[i] for i in flexible if i != widest]
        step = max(min(-spare, wanted[widest] - max([*others, _SHORTEST_COLUMN])), 4.0)
        if wanted[widest] - step < _SHORTEST_COLUMN:
            break
        wanted[widest] -= step
        spare += step
    if spare < -0.01:
        share = room / sum(wanted)
        wanted = [width * share for width in wanted]
    return wanted
