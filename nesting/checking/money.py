"""The plan check, last part: costs added up again, bounds and trade-off free of contradictions."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
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
    if not plan.bound >= -slack:
        yield f"bound: {plan.bound:.4f} is less than nothing"
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
        if point.seams >= count and point.sheet_cost > sheets + slack:
            yield f"{where}: {point.sheet_cost:.4f} is said to be the least, the plan's own sheets cost {sheets:.4f}"
        if job.seam.cost_per_length == 0:
            there = point.sheet_cost + point.seams * job.seam.cost
            if there < plan.bound - slack:
                yield f"{where}: it costs {there:.4f}, less than the bound {plan.bound:.4f}"
            if plan.status is Status.OPTIMAL and there < cost - slack:
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
    yield from _sheet_line_faults(job, plan, buying)
    if fasteners is not None:
        yield from _rivet_line_faults(job, fasteners, buying)
    yield from _mass_faults(job, plan, buying)


def _sheet_line_faults(job: Job, plan: Plan, buying: BuyList) -> Iterator[str]:
    """Sizes that are listed more or less often than they are used, or at another price."""
    used: Counter[tuple[str, float]] = Counter()
    for sheet in plan.sheets:
        stock = sheet.stock
        if stock.on_hand:
            used[f"{stock.name}, on hand", 0.0] += 1
        else:
            used[f"sheet {stock.name}", round(stock.price, 6) if job.priced else 0.0] += 1
    names = {name for name, _ in used}
    listed: Counter[tuple[str, float]] = Counter()
    for line in buying.lines:
        if line.item in names:
            listed[line.item, round(line.unit_price, 6)] += line.quantity  # type: ignore[assignment]
    for name, price in sorted(set(used) | set(listed)):
        if listed[name, price] != used[name, price]:
            count = f"{listed[name, price]:g} at {price:.2f} are listed"
            yield f"buy list, {name}: {count}, {used[name, price]} are used"


def _rivet_line_faults(job: Job, fasteners: Fasteners, buying: BuyList) -> Iterator[str]:
    """Boxes of rivets that are not those reckoned with, and rivets without boxes."""
    by_length = bool(fasteners.lengths) and any(pack.length is not None for pack in job.rivets.packs)
    needs = (
        [(each.packs, each.to_buy) for each in fasteners.lengths]
        if by_length
        else [(fasteners.packs, fasteners.to_buy)]
    )
    boxes = Counter(
        (str(count), float(number), price) for packs, _ in needs for count, number, price in packs
    )
    loose = sum(to_buy for packs, to_buy in needs if not packs)
    lines = [line for line in buying.lines if line.item.startswith("rivets")]
    boxed = [line for line in lines if "box of " in line.item]
    listed = Counter((line.item.rpartition("box of ")[2], line.quantity, line.unit_price) for line in boxed)
    for count, number, price in sorted((boxes - listed) + (listed - boxes)):
        yield f"buy list, rivets: {number:g} boxes of {count} at {price:.2f} are not what is reckoned with"
    single = sum(line.quantity for line in lines if line not in boxed)
    if single != loose:
        yield f"buy list, rivets: {single:g} without a box are listed, {loose} are to be bought"


def part_mass_faults(job: Job, plan: Plan, masses: Mapping[str, float]) -> Iterator[str]:
    """Parts whose mass is missing or wrong, and masses of parts that there are not; in kg."""
    per_mm2 = job.skin.mass_per_area * 1e-6
    areas = part_areas(job, plan)
    for name in sorted(set(areas) | set(masses)):
        if name not in masses or name not in areas:
            yield f"part {name}: a mass is {'given for no such part' if name in masses else 'missing'}"
        elif not abs(masses[name] - areas[name] * per_mm2) <= 1e-4 + 1e-4 * areas[name] * per_mm2:
            yield f"part {name}: {masses[name]:.4f} kg is given, it weighs {areas[name] * per_mm2:.4f} kg"


def part_areas(job: Job, plan: Plan) -> dict[str, float]:
    """mm2 of every part, backing strips as they lie on their sheet or as long as their seam where they are cut."""
    areas = {name: metal_area(*shape) for name, shape in wanted_shapes(job, plan).items()}
    strips = {name for strip in plan.backing for name in (strip.patch, f"{strip.patch}#1")} - set(areas)
    frames = {side.name: frame_of(job, side, plan) for side in job.sides}
    for strip in plan.backing:
        if strip.cut and strip.side in frames:
            length, width = strip_size_of(job, frames[strip.side], strip.bay, strip.height)
            areas[strip.patch] = length * width
    for sheet in plan.sheets:
        for part in sheet.parts:
            if part.part in strips:
                areas[part.part] = metal_area(part.outline, part.holes)
    return areas


def _mass_faults(job: Job, plan: Plan, buying: BuyList) -> Iterator[str]:
    per_mm2 = job.skin.mass_per_area * 1e-6
    skin = sum(part_areas(job, plan).values())
    bought = sum(sheet.stock.width * sheet.stock.length for sheet in plan.sheets)
    masses = (
        ("mass of the parts", buying.skin_mass, skin * per_mm2),
        ("mass of the sheets", buying.sheet_mass, bought * per_mm2),
    )
    for word, given, weighed in masses:
        if not abs(given - weighed) <= 1e-3 + 1e-4 * weighed:
            yield f"buy list, {word}: {given:.3f} kg is given, it comes to {weighed:.3f} kg"
