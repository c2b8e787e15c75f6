"""framing.csv, the bar cut list: every piece on its bar, measured from one end; and what its lists share on paper."""

from __future__ import annotations

from collections.abc import Iterator

from nesting.barstock import BarPiece, CutBar
from nesting.documents.lists import length_headings, lengths, words, written
from nesting.orderneeds import Order, SectionPlan
from nesting.plan import PlannedJob

LEFT_OVER = "left over"
CutPlace = tuple[BarPiece, float]


def bar_cut_list(planned: PlannedJob) -> str:
    """framing.csv: a row for each piece in the order in which it is cut, then one for what is left of its bar.

    ``from`` and ``to`` are distances from the bar's left end; the saw cuts past ``to``, a kerf wide.
    """
    units = planned.job.units
    heading = ("bar", "section", "piece", *length_headings(units, "length", "bar length", "from", "to"))
    rows = []
    for number, _, bar in numbered_bars(planned.order):
        for piece, at in bar.cuts:
            sizes, places = (piece.length, bar.stock.length), (at, at + piece.length)
            rows.append((number, words(bar.stock.section), words(piece.name), *lengths(units, sizes, places)))
        if bar.left_over > 0:
            sizes = (bar.left_over, bar.stock.length)
            places = (bar.stock.length - bar.left_over, bar.stock.length)
            rows.append((number, words(bar.stock.section), LEFT_OVER, *lengths(units, sizes, places)))
    return written(heading, rows)


def numbered_bars(order: Order | None) -> Iterator[tuple[int, SectionPlan, CutBar]]:
    """Every bar with its number, counted on through all sections."""
    bars = ((section, bar) for section in (order.sections if order else ()) for bar in section.plan.bars)
    for number, (section, bar) in enumerate(bars, start=1):
        yield number, section, bar


def alike_bars(order: Order | None) -> list[list[tuple[int, SectionPlan, CutBar]]]:
    """Bars together that are cut at the same places into pieces of the same names, in order of the first."""
    groups: dict[object, list[tuple[int, SectionPlan, CutBar]]] = {}
    for number, section, bar in numbered_bars(order):
        key = (bar.stock, tuple((piece.name, at) for piece, at in bar.cuts))
        groups.setdefault(key, []).append((number, section, bar))
    return [*groups.values()]
