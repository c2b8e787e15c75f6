"""What makes no sense in a list of bars, and pieces that no bar carries, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import isfinite

from nesting.barstock import BarPiece, BarStock
from shared.errors import Mistake, as_written
from shared.units import LONGEST_MM, format_length, to_solver_down, to_solver_up

MOST_PIECES = 10_000
"""More pieces than this in all are a slip of the pen."""

DEAREST = 1e9
"""No bar costs so much."""


def bar_mistakes(pieces: Sequence[BarPiece], stocks: Sequence[BarStock], kerf: float) -> Iterator[Mistake]:
    """Every value that will not do, each with its place."""
    if not (isfinite(kerf) and 0 <= kerf <= LONGEST_MM):
        yield Mistake("kerf", as_written(kerf), "write a width of 0 or more")
    for piece in pieces:
        place = f"bar '{piece.name}'"
        if not _is_length(piece.length):
            yield Mistake(f"{place}, length", as_written(piece.length), "write a length above 0")
        if piece.quantity < 1:
            yield Mistake(f"{place}, quantity", as_written(piece.quantity), "write 1 or more")
        if not any(stock.section == piece.section for stock in stocks):
            known = ", ".join(dict.fromkeys(f"'{stock.section}'" for stock in stocks))
            remedy = "add a bar_stock of this section" + (f", or take one of {known}" if known else "")
            yield Mistake(f"{place}, section", as_written(piece.section), remedy)
    if sum(max(0, piece.quantity) for piece in pieces) > MOST_PIECES:
        yield Mistake("bar", "", f"more than {MOST_PIECES} pieces in all; look at the quantities again")
    priced = any(stock.price is not None for stock in stocks)
    for number, stock in enumerate(stocks, 1):
        place = f"bar_stock {number} ('{stock.section}')"
        if not _is_length(stock.length):
            yield Mistake(f"{place}, length", as_written(stock.length), "write a length above 0")
        if stock.price is None and priced:
            yield Mistake(f"{place}, price", "", "give every bar a price, or none to use the fewest bars")
        elif stock.price is not None and not (isfinite(stock.price) and 0 <= stock.price <= DEAREST):
            yield Mistake(f"{place}, price", as_written(stock.price), "write a price of 0 or more")
        if stock.available is not None and stock.available < 0:
            yield Mistake(
                f"{place}, available", as_written(stock.available), "write 0 or more, or leave it out"
            )


def _is_length(length: float) -> bool:
    return isfinite(length) and 0 < length <= LONGEST_MM


def too_long(pieces: Sequence[BarPiece], stocks: Sequence[BarStock], units: str) -> Iterator[str]:
    """A line for each piece that is longer than every bar of its section that can be had."""
    for piece in pieces:
        lengths = [
            stock.length for stock in stocks if stock.section == piece.section and stock.available != 0
        ]
        if any(to_solver_up(piece.length) <= to_solver_down(length) for length in lengths):
            continue
        has = f"the longest bar is {format_length(max(lengths), units)}" if lengths else "there are no bars"
        yield (
            f"bar '{piece.name}': it is {format_length(piece.length, units, with_unit=True, direction='up')} long and"
            f" {has}; add a bar_stock of '{piece.section}' at least as long, or make it of two pieces"
        )
