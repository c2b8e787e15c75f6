"""What to buy, what it costs, and what it weighs: sheets, cutting, rivets, delivery and tax."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from nesting.job import Job, Stock, Units
from nesting.ordering.lifting import Hands, hands_for
from nesting.ordering.orderlines import framing_lines, paint_lines, sealant_lines
from nesting.orderneeds import Order
from nesting.outline import net_area
from nesting.plan import BackingStrip, BuyLine, BuyList, Fasteners, Plan, RivetLength
from nesting.skin.patches import patch_ring
from nesting.skin.seams import seam_lines, strip_size
from shared.tables import LB_PER_KG, MM_PER_INCH

NOT_BOUGHT = "on hand, not to buy"
WHOLE_BODY = "for the whole body, panels cut before included: less what you have"
_MM2_PER_M2 = 1e6
_SAME = 0.005
"""mm: thicknesses this near are printed as one."""


def buy_list(job: Job, plan: Plan, fasteners: Fasteners, rest: Order | None = None) -> BuyList:
    """Every line to order, in the job's money, with the mass of the finished skin and of the sheets in kg.

    Sheets are grouped by size in the job's order; those on hand cost nothing.  Tax is on the sum of all other
    lines, unrounded.  Rivets without packs in the job, and sheets of a job without prices, are listed without
    a price; where packs name lengths there are boxes of each length.  Rivets are those of the whole body, and
    its mass is, whether panels are cut already or not.  Bars, sealant and paint come from ``rest``; those without a
    price in the job are listed without one.
    """
    sheets = Counter(sheet.stock for sheet in plan.sheets)
    order = {stock: place for place, stock in enumerate(job.stock)}
    stocks = sorted(sheets, key=lambda stock: (order.get(stock, len(order)), stock.name))
    sheet_lines = [_sheet_line(job, stock, sheets[stock]) for stock in stocks]
    backing_lines = [
        BuyLine(strip.patch, 1, "piece", 0.0, 0.0, f"cut {_from_what(strip)}, not bought", priced=False)
        for strip in plan.backing
    ]
    cutting_lines = _charge("cutting", len(plan.sheets), "sheet", job.costs.cut_per_sheet)
    rivet_lines = _rivet_lines(job, fasteners, any(panel.cut for panel in plan.panels))
    rest = rest or Order()
    framing, sealant, paint = (
        [_for_whole_body(plan, line) for line in lines_of(job, rest)]
        for lines_of in (framing_lines, sealant_lines, paint_lines)
    )
    to_bring = any(not sheet.stock.on_hand for sheet in plan.sheets)
    delivery_lines = _charge("delivery", 1, "trip", job.costs.delivery) if to_bring else []
    lines = [
        *sheet_lines,
        *backing_lines,
        *cutting_lines,
        *rivet_lines,
        *framing,
        *sealant,
        *paint,
        *delivery_lines,
    ]
    before_tax = sum(line.price for line in lines)
    tax = before_tax * job.costs.tax
    if tax:
        lines.append(BuyLine(f"tax, {job.costs.tax * 100:.6g} per cent", 1, "sum", tax, tax))
    return BuyList(
        lines=tuple(lines),
        sheets=sum(line.price for line in sheet_lines),
        cutting=sum(line.price for line in cutting_lines),
        rivets=sum(line.price for line in rivet_lines),
        delivery=sum(line.price for line in delivery_lines),
        tax=tax,
        total=before_tax + tax,
        skin_mass=sum(part_masses(job, plan).values()),
        sheet_mass=sum(_sheet_mass(job, sheet.stock) for sheet in plan.sheets),
        framing=sum(line.price for line in framing),
        sealant=sum(line.price for line in sealant),
        paint=sum(line.price for line in paint),
    )


def part_masses(job: Job, plan: Plan) -> dict[str, float]:
    """Mass in kg of each part by its name, holes cut out: those on the sheets, then what was cut before."""
    areas = {part.part: net_area(part.outline, part.holes) for sheet in plan.sheets for part in sheet.parts}
    areas |= {panel.name: net_area(panel.outline, panel.holes) for panel in plan.panels if panel.cut}
    for patch in job.patches:
        each = net_area(patch_ring(patch), patch.holes)
        for copy in sorted(job.fixed.copies_cut(patch.name)):
            areas[f"{patch.name}#{copy}"] = each
    for strip in plan.backing:
        if strip.cut:
            side = next(side for side in job.sides if side.name == strip.side)
            along, across = strip_size(
                job.seam, seam_lines(job, side, (strip.height,)), strip.height, strip.bay
            )
            areas[strip.patch] = along * across
    return {name: area / _MM2_PER_M2 * job.skin.mass_per_area for name, area in areas.items()}


def lifting_note(mass_kg: float) -> str:
    """How many hands a piece asks for, in words; "" where one person will do (nesting.ordering.lifting)."""
    hands = hands_for(mass_kg)
    return "" if hands is Hands.ONE else hands.value


def _sheet_line(job: Job, stock: Stock, count: int) -> BuyLine:
    mass = _sheet_mass(job, stock)
    told = f"{mass * LB_PER_KG:.1f} lb ({mass:.1f} kg)" if job.units is Units.INCH else f"{mass:.1f} kg"
    note = f"{told} each; {job.skin.material} {_thickness(job)}"
    if hands := lifting_note(mass):
        note = f"{note}; {hands}"
    if stock.on_hand:
        return BuyLine(f"{stock.name}, on hand", count, "sheet", 0.0, 0.0, f"{NOT_BOUGHT}; {note}")
    if not job.priced:
        return BuyLine(
            f"sheet {stock.name}", count, "sheet", 0.0, 0.0, f"no price given; {note}", priced=False
        )
    return BuyLine(f"sheet {stock.name}", count, "sheet", stock.price, count * stock.price, note)


def _from_what(strip: BackingStrip) -> str:
    return "already" if strip.cut else "from the sheets above"


def _for_whole_body(plan: Plan, line: BuyLine) -> BuyLine:
    """The line, with a word on what may be there already where panels were cut before."""
    if not any(panel.cut for panel in plan.panels):
        return line
    return replace(line, note="; ".join(filter(None, (line.note, WHOLE_BODY))))


def _rivet_lines(job: Job, fasteners: Fasteners, some_cut: bool) -> list[BuyLine]:
    if not fasteners.to_buy:
        return []
    size = _fraction_or_mm(job, job.rivets.diameter)
    note = (
        f"{fasteners.total} rivets and {job.rivets.spare * 100:.6g} per cent spare; {_grips(job, fasteners)}"
    )
    if some_cut:
        note = f"{WHOLE_BODY}; {note}"
    if any(pack.length is not None for pack in job.rivets.packs) and fasteners.lengths:
        lines = [line for each in fasteners.lengths for line in _lines_of_length(job, size, each)]
    elif fasteners.packs:
        lines = [
            BuyLine(f"rivets {size}, box of {count}", boxes, "box", price, boxes * price)
            for count, boxes, price in fasteners.packs
        ]
    else:
        lines = [_unpriced_rivets(f"rivets {size}", fasteners.to_buy)]
    first = lines[0]
    return [replace(first, note=f"{first.note}; {note}" if first.note else note), *lines[1:]]


def _lines_of_length(job: Job, size: str, each: RivetLength) -> list[BuyLine]:
    """What to buy of one length: its boxes, or where there are none the rivets without a price."""
    item = f"rivets {size} of {_length_name(job, each)}"
    if not each.packs:
        return [_unpriced_rivets(item, each.to_buy)]
    return [
        BuyLine(f"{item}, box of {count}", boxes, "box", price, boxes * price)
        for count, boxes, price in each.packs
    ]


def _unpriced_rivets(item: str, count: int) -> BuyLine:
    return BuyLine(item, count, "rivet", 0.0, 0.0, "no price given", priced=False)


def _grips(job: Job, fasteners: Fasteners) -> str:
    """How many rivets close which thickness, and how many of which length that asks for."""
    counts: Counter[float] = Counter()
    if fasteners.lengths:
        each = [
            f"{length.to_buy} of {_length_name(job, length)} for {_grip_range(job, length)}"
            for length in fasteners.lengths
        ]
        return f"with the spare ones {', '.join(each)}"
    for line in fasteners.lines:
        counts[round(line.grip, 6)] += line.counted
    each = [f"{count} at {_thin(job, grip)}" for grip, count in sorted(counts.items())]
    return f"grip {', '.join(each)}"


def _grip_range(job: Job, length: RivetLength) -> str:
    if length.most - length.least < _SAME:
        return f"a grip of {_thin(job, length.least)}"
    return f"grips from {_thin(job, length.least)} to {_thin(job, length.most)}"


def _thin(job: Job, mm: float) -> str:
    return f"{mm / MM_PER_INCH:.3f} in" if job.units is Units.INCH else f"{mm:.2f} mm"


def _length_name(job: Job, each: RivetLength) -> str:
    """The length, with what the trade calls such a rivet."""
    length = f"{each.length / MM_PER_INCH:.3f} in" if job.units is Units.INCH else f"{each.length:.4g} mm"
    return f"{length} ({each.name})" if each.name else length


def _charge(item: str, quantity: int, unit: str, price: float) -> list[BuyLine]:
    return [BuyLine(item, quantity, unit, price, quantity * price)] if quantity and price else []


def _sheet_mass(job: Job, stock: Stock) -> float:
    return stock.width * stock.length / _MM2_PER_M2 * job.skin.mass_per_area


def _thickness(job: Job) -> str:
    if job.skin.gauge is not None:
        return f"{job.skin.gauge} ga"
    mm = job.skin.thickness
    return f"{mm / MM_PER_INCH:.4g} in" if job.units is Units.INCH else f"{mm:.4g} mm"


def _fraction_or_mm(job: Job, mm: float) -> str:
    """A rivet's diameter as it is sold: 3/16 in, 4.8 mm."""
    if job.units is Units.INCH:
        over_32 = mm / MM_PER_INCH * 32
        if abs(over_32 - round(over_32)) < 1e-6:
            numerator, denominator = round(over_32), 32
            while numerator % 2 == 0 and denominator > 1:
                numerator, denominator = numerator // 2, denominator // 2
            return f"{numerator}/{denominator} in"
        return f"{mm / MM_PER_INCH:.4g} in"
    return f"{mm:.4g} mm"
