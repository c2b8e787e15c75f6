"""Framing, sealant and paint as lines of the buy list, in the job's money."""

from __future__ import annotations

from collections import Counter

from nesting.barstock import BarStock
from nesting.job import Job, Units
from nesting.orderneeds import Order, PaintNeed, SealingNeed, SectionPlan
from nesting.plan import BuyLine
from nesting.status import Status
from shared.units import format_length

NO_PRICE = "no price given"
_MM3_PER_ML = 1000.0
_MM3_PER_LITRE = 1e6
_MM3_PER_US_GALLON = 231 * 25.4**3
_MM2_PER_FT2 = 304.8**2
_MM2_PER_M2 = 1e6


def framing_lines(job: Job, order: Order) -> list[BuyLine]:
    """A line for each length of bar of each section."""
    return [line for section in order.sections for line in _bars(job, section)]


def sealant_lines(job: Job, order: Order) -> list[BuyLine]:
    """The cartridges, or nothing where nothing is sealed."""
    return [_cartridges(job, order.sealing)] if order.sealing else []


def paint_lines(job: Job, order: Order) -> list[BuyLine]:
    """A line for each paint."""
    return [_tins(job, paint) for paint in order.paints]


def volume_text(mm3: float, units: Units) -> str:
    """A volume of paint: US gallons in an inch job, litres in a metric one."""
    if units is Units.INCH:
        return f"{mm3 / _MM3_PER_US_GALLON:.2f} US gal"
    return f"{mm3 / _MM3_PER_LITRE:.2f} l"


def area_text(mm2: float, units: Units) -> str:
    """An area to paint: square feet in an inch job, square metres in a metric one."""
    return f"{mm2 / _MM2_PER_FT2:,.0f} sq ft" if units is Units.INCH else f"{mm2 / _MM2_PER_M2:,.1f} m2"


def run_text(mm: float, units: Units) -> str:
    """A length of sealant: feet in an inch job, metres in a metric one."""
    return f"{mm / 304.8:,.0f} ft" if units is Units.INCH else f"{mm / 1000:,.1f} m"


def _bars(job: Job, section: SectionPlan) -> list[BuyLine]:
    counts: Counter[BarStock] = Counter(bar.stock for bar in section.plan.bars)
    proof = "proved" if section.plan.status is Status.OPTIMAL else "not proved"
    least = "the cheapest" if section.priced else "the fewest"
    pieces = sum(len(bar.cuts) for bar in section.plan.bars)
    note = f"for {pieces} pieces, see the bar cut list; {least} that do, {proof}"
    lines = []
    for stock, count in counts.items():
        length = format_length(stock.length, job.units.value, with_unit=True)
        lines.append(_line(f"{section.section}, bar of {length}", count, "bar", stock.price, note))
        note = ""
    return lines


def _cartridges(job: Job, need: SealingNeed) -> BuyLine:
    rules, units = job.order.sealant, job.units
    bead = format_length(rules.bead, units.value, with_unit=True)
    usual = "" if rules.told else "; usual values, write [sealant] for your own"
    note = (
        f"for {run_text(need.laps, units)} of seams and {run_text(need.lands, units)} of edges, bead of {bead}, "
        f"{100 * rules.waste:.6g} per cent waste{usual}"
    )
    item = f"sealant, cartridge of {rules.cartridge / _MM3_PER_ML:.6g} ml"
    return _line(item, need.cartridges, "cartridge", need.price, note)


def _tins(job: Job, need: PaintNeed) -> BuyLine:
    note = f"{volume_text(need.volume, job.units)} for {area_text(need.area, job.units)}, coats and waste counted"
    tin = need.tin / (_MM3_PER_US_GALLON if job.units is Units.INCH else _MM3_PER_LITRE)
    size = f"{tin:.4g} {'US gal' if job.units is Units.INCH else 'l'}"
    return _line(f"{need.name}, tin of {size}", need.tins, "tin", need.price, note)


def _line(item: str, count: int, unit: str, price: float | None, note: str) -> BuyLine:
    if price is None:
        return BuyLine(item, count, unit, 0.0, 0.0, f"{NO_PRICE}; {note}" if note else NO_PRICE, priced=False)
    return BuyLine(item, count, unit, price, count * price, note)
