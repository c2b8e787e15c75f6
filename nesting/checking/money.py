"""The plan check, last part: costs added up again, bounds and trade-off free of contradictions."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from nesting.checking.shapes import metal_area
from nesting.checking.sheets import wanted_shapes
from nesting.checking.structure import frame_of, strip_size_of
from nesting.job import Job
from nesting.plan import BuyList, Fasteners, Plan, Status

CENT = 0.005
"""Money may be off by half a cent, since it is printed to a cent."""

PROVED = 1e-6
"""Share of the cost by which a proved bound may lie below it."""


def cost_faults(job: Job, plan: Plan) -> Iterator[str]:
    """What is wrong with the plan's cost, its bound, its status and its trade-off."""
    sheets = sum(sheet.stock.price for sheet in plan.sheets)
    cost = sheets + plan.seam_cost
    slack = PROVED * max(1.0, abs(cost))
    # Comparisons are written so that a value that is no number fails them.
    if not abs(plan.sheet_cost - sheets) <= slack:
        yield f"sheet cost: {plan.sheet_cost:.4f} is given, the sheets come to {sheets:.4f}"
    if not abs(plan.objective - cost) <= slack:
        yield f"objective: {plan.objective:.4f} is given, sheets and seams come to {cost:.4f}"
    if not plan.bound <= cost + slack:
        yield f"bound: {plan.bound:.4f} is more than the plan costs, {cost:.4f}"
    if plan.status is Status.OPTIMAL and not plan.bound >= cost - slack:
        yield f"status: called optimal with a bound of {plan.bound:.4f} for a cost of {cost:.4f}"
    yield from _trade_faults(job, plan, sheets, cost, slack)


def _trade_faults(job: Job, plan: Plan, sheets: float, cost: float, slack: float) -> Iterator[str]:
    for one, after in pairwise(plan.tradeoff):
        if after.seams <= one.seams:
            yield f"trade-off: {after.seams} seams come after {one.seams}"
        if after.sheet_cost > one.sheet_cost + slack:
            yield f"trade-off at {after.seams} seams: the sheets cost more than with {one.seams} seams"
    count = len(plan.seams)
    for point in plan.tradeoff:
        where = f"trade-off at {point.seams} seams"
        if not point.bound <= point.sheet_cost + slack:
            yield f"{where}: the bound {point.bound:.4f} is more than the cost {point.sheet_cost:.4f}"
        if point.seams >= count and point.bound > sheets + slack:
            yield f"{where}: the bound {point.bound:.4f} is beaten by the plan itself, {sheets:.4f}"
        if plan.status is Status.OPTIMAL and job.seam.cost_per_length == 0:
            there = point.sheet_cost + point.seams * job.seam.cost
            if there < cost - slack:
                yield f"{where}: it costs {there:.4f}, less than the plan called optimal, {cost:.4f}"


def buying_faults(job: Job, plan: Plan, fasteners: Fasteners | None, buying: BuyList) -> Iterator[str]:
    """What is wrong with the sums and masses of the buy list."""
    # where no sheet has a price the plan counts areas, and these are no money
    sheets = sum(sheet.stock.price for sheet in plan.sheets) if job.priced else 0.0
    to_buy = [sheet for sheet in plan.sheets if not sheet.stock.on_hand]
    cutting = job.costs.cut_per_sheet * len(plan.sheets)
    sums = [
        ("sheets", buying.sheets, sheets),
        ("cutting", buying.cutting, cutting),
        ("delivery", buying.delivery, job.costs.delivery if to_buy else 0.0),
    ]
    if fasteners is not None:
        sums.append(("rivets", buying.rivets, sum(boxes * price for _, boxes, price in fasteners.packs)))
    net = buying.sheets + buying.cutting + buying.rivets + buying.delivery
    # the three are judged in `check_order`
    net += buying.framing + buying.sealant + buying.paint
    sums += [("tax", buying.tax, net * job.costs.tax), ("total", buying.total, net + buying.tax)]
    sums.append(("all lines", buying.total, sum(line.price for line in buying.lines)))
    for word, given, added in sums:
        if not abs(given - added) <= CENT:
            yield f"buy list, {word}: {given:.2f} is given, it comes to {added:.2f}"
    for line in buying.lines:
        if not abs(line.price - line.quantity * line.unit_price) <= CENT:
            asked = f"{line.quantity:g} at {line.unit_price:.2f}"
            yield f"buy list, {line.item}: {asked} do not cost {line.price:.2f}"
    for stock in {sheet.stock for sheet in plan.sheets if sheet.stock.on_hand}:
        count = sum(sheet.stock == stock for sheet in plan.sheets)
        named = [line for line in buying.lines if line.item == f"{stock.name}, on hand"]
        if [line.quantity for line in named] != [count]:
            yield f"buy list: {count} of {stock.name} are on hand, which is not what it says"
    yield from _mass_faults(job, plan, buying)


def _mass_faults(job: Job, plan: Plan, buying: BuyList) -> Iterator[str]:
    per_mm2 = job.skin.mass_per_area * 1e-6
    shapes = wanted_shapes(job, plan)
    skin = sum(metal_area(*shape) for shape in shapes.values())
    frames = {side.name: frame_of(job, side, plan) for side in job.sides}
    for strip in plan.backing:
        if strip.cut and strip.side in frames:
            length, width = strip_size_of(job, frames[strip.side], strip.bay, strip.height)
            skin += length * width
    strips = {name for strip in plan.backing for name in (strip.patch, f"{strip.patch}#1")} - set(shapes)
    skin += sum(
        metal_area(part.outline, part.holes)
        for sheet in plan.sheets
        for part in sheet.parts
        if part.part in strips
    )
    bought = sum(sheet.stock.width * sheet.stock.length for sheet in plan.sheets)
    masses = (
        ("mass of the parts", buying.skin_mass, skin * per_mm2),
        ("mass of the sheets", buying.sheet_mass, bought * per_mm2),
    )
    for word, given, weighed in masses:
        if not abs(given - weighed) <= 1e-3 + 1e-4 * weighed:
            yield f"buy list, {word}: {given:.3f} kg is given, it comes to {weighed:.3f} kg"
