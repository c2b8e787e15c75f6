"""The stock of a job: sizes to buy, sheets on hand, offcuts of earlier jobs, and what cannot be right about them."""

from __future__ import annotations

from collections.abc import Sequence
from math import isfinite

from nesting.job import CutMethod, Cutting, SeamRules, Skin, Stock, Units
from nesting.reading.checks import check_names
from nesting.reading.keys import MAX_STOCKS
from nesting.reading.offcutlist import OffcutList, OffcutSize
from nesting.reading.reader import Fields, JobReader
from shared.units import format_length

AREA_UNIT = {Units.INCH: (304.8**2, "square feet"), Units.MILLIMETRE: (1000.0**2, "square metres")}
"""What a sheet counts by where no sheet has a price: mm2 in one, and its name."""

SMALLEST_STOCK_MM = 150.0
"""Sheets are wider than this: where none is, inches were probably read as millimetres."""


def read_stocks(
    fields: Fields, units: Units, cutting: Cutting, seam: SeamRules, reader: JobReader
) -> tuple[tuple[Stock, ...], bool]:
    """Every size that can be had, those on hand first, and whether they have prices or count by their area."""
    entries = fields.tables("stock")
    to_buy = [entry for entry in entries if _can_be_bought(entry)]
    unpriced = [entry for entry in to_buy if not entry.has("price")]
    priced = not to_buy or len(unpriced) < len(to_buy)
    area, area_name = AREA_UNIT[units]
    if not priced:
        text = f"no stock has a price, so the plan saves sheet area, in {area_name}"
        if seam.cost or seam.cost_per_length:
            text += "; the cost of a seam counts in them too"
        reader.doubt("", text)
    else:
        for entry in unpriced:
            remedy = "is missing while other sheets have one; write a price for every stock or for none"
            reader.reject(entry.at("price"), "", remedy)
    on_hand, bought = [], []
    for entry in entries:
        width, length = entry.number("width"), entry.number("length")
        name = entry.text("name") or size_name(width, length, units)
        if there := entry.whole("on_hand"):
            on_hand.append(Stock(name, width, length, 0.0, there, on_hand=True))
        if not there or entry in to_buy:
            price = entry.number("price") if entry.has("price") else width * length / area
            # a limited number without a price was on hand before there was a key for that
            free = priced and price == 0
            bought.append(Stock(name, width, length, price, entry.whole("available"), on_hand=free))
    stocks = (*on_hand, *bought)
    _check(entries, stocks, cutting, units, reader)
    return stocks, priced


def size_name(width: float, length: float, units: Units) -> str:
    """What a size without a name is called."""
    if not (isfinite(width) and isfinite(length)):
        return ""
    down = [format_length(size, units.value, direction="down") for size in (width, length)]
    return " x ".join(down)


def offcut_stocks(
    lists: Sequence[OffcutList], taken: Sequence[Stock], units: Units, skin: Skin, reader: JobReader
) -> tuple[Stock, ...]:
    """Offcuts as sizes on hand at no cost, equal ones together, in the order of their lists."""
    counts: dict[OffcutSize, int] = {}
    for offcuts in lists:
        for size in offcuts.sizes:
            counts[size] = counts.get(size, 0) + 1
        if offcuts.sizes:
            pieces = "1 offcut is" if len(offcuts.sizes) == 1 else f"{len(offcuts.sizes)} offcuts are"
            gauge = f"{skin.gauge} gauge" if skin.gauge else f"{skin.thickness:g} mm"
            text = (
                f"{pieces} taken to be {skin.material}, {gauge}; check material and thickness before cutting"
            )
            reader.doubt(offcuts.shown, text)
    if len(counts) > MAX_STOCKS:
        remedy = f"at most {MAX_STOCKS} are allowed; leave the smallest out"
        reader.reject("offcuts", f"{len(counts)} different sizes", remedy)
        return ()
    names = {stock.name.casefold() for stock in taken}
    stocks = []
    for size, count in counts.items():
        plain = f"offcut {size_name(size.width, size.length, units)}"
        name, number = plain, 1
        while name.casefold() in names:
            number += 1
            name = f"{plain} ({number})"
        names.add(name.casefold())
        stocks.append(Stock(name, size.width, size.length, 0.0, count, on_hand=True))
    return tuple(stocks)


def _can_be_bought(entry: Fields) -> bool:
    return not (entry.whole("on_hand") and entry.whole("available") == 0)


def _check(
    entries: Sequence[Fields], stocks: Sequence[Stock], cutting: Cutting, units: Units, reader: JobReader
) -> None:
    """Names differ, something is left inside the margins, and something can be had."""
    sizes = [(entry.number("width"), entry.number("length")) for entry in entries]
    names = [
        entry.text("name") or size_name(*size, units) for entry, size in zip(entries, sizes, strict=True)
    ]
    check_names(entries, names, "stocks", reader)
    for entry, (width, length) in zip(entries, sizes, strict=True):
        if entry.has("price") and entry.number("price") == 0:
            _check_free(entry, reader)
        if min(width, length) <= 2 * cutting.edge_margin:
            key = "width" if width <= 2 * cutting.edge_margin else "length"
            remedy = f"nothing is left inside an edge_margin of {reader.length(cutting.edge_margin)}"
            reader.reject(entry.at(key), entry.written(key), remedy)
    if max((width for width, _ in sizes), default=SMALLEST_STOCK_MM) < SMALLEST_STOCK_MM:
        widest = reader.length(max(width for width, _ in sizes))
        reader.doubt("stock", f"no sheet is wider than {widest}; check that units is what you measured in")
    if entries and all(stock.available == 0 for stock in stocks):
        remedy = "no sheet is left; write how many there are, or leave available out for as many as wanted"
        reader.reject("stock", "available = 0", remedy)
    if cutting.shear_length is not None and cutting.method is not CutMethod.SHEAR:
        reader.doubt("cutting, shear_length", f"not used, since the method is {cutting.method.value}")


def _check_free(entry: Fields, reader: JobReader) -> None:
    """A price of nothing is for sheets on hand, as many as there are."""
    if entry.whole("on_hand") and entry.whole("available") != 0:
        remedy = "this is the price of more sheets to buy; write it, or available = 0 if none are bought"
    elif not entry.has("on_hand") and not entry.has("available"):
        remedy = "must be more than zero; for sheets on hand write on_hand = how many there are instead"
    else:
        return
    reader.reject(entry.at("price"), entry.written("price"), remedy)
