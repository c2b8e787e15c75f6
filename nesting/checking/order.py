"""The plan check, the rest of the order: bars judged against the job, sealant and paint worked out a second time."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from itertools import pairwise
from math import dist, pi

from nesting.barstock import BarStock, CutBar
from nesting.checking.money import part_areas
from nesting.checking.shapes import metal_area
from nesting.checking.sheets import wanted_shapes
from nesting.checking.structure import frame_of, strip_size_of
from nesting.job import Job, SeamKind
from nesting.orderneeds import Order, SectionPlan
from nesting.orderrules import CoatKind, PaintRules
from nesting.plan import BuyLine, BuyList, Fasteners, Plan, RivetLine
from nesting.status import Status

CENT = 0.005
SHORT = 0.01
"""mm by which a cut may look short: the planner rounds to 1/1600 mm, and sums of floats drift."""
VOLUME = 2e-4
"""Share by which volumes may differ: arcs are flattened for areas."""
WIDEST_ONE_BEAD = 25.0
"""mm of lap that one bead seals; New Zealand metal roof and wall cladding code of practice (a)."""

_Wanted = Counter[tuple[str, str, float]]


def order_faults(job: Job, plan: Plan, fasteners: Fasteners, buying: BuyList, order: Order) -> Iterator[str]:
    """What is wrong with bars, sealant and paint, and with their lines of the buy list."""
    yield from _bar_faults(job, order)
    yield from _bar_line_faults(job, buying, order)
    yield from _sealant_faults(job, plan, fasteners, buying)
    yield from _paint_faults(job, plan, buying)
    yield from _need_values(job, plan, buying, order)
    yield from _hands_faults(job, plan, order)


def _need_values(job: Job, plan: Plan, buying: BuyList, order: Order) -> Iterator[str]:
    """Counts that are told beside the buy list: cartridges, tins, masses and hours."""
    counts = [("cartridges", order.sealing.cartridges if order.sealing else 0, _lines(buying, "cartridge"))]
    tins = _lines(buying, "tin")
    if len(tins) == len(order.paints):
        counts += [(f"tins of {p.name}", p.tins, [t]) for p, t in zip(order.paints, tins, strict=True)]
    for word, given, lines in counts:
        listed = sum(line.quantity for line in lines)
        if given != listed:
            yield f"{word}: {given} are given, {listed:g} are on the buy list"
    rules, costs = job.order.framing, job.costs
    weights = dict(rules.masses)
    used = [
        (weights.get(piece.section), piece.length)
        for s in order.sections
        for b in s.plan.bars
        for piece, _ in b.cuts
    ]
    framing = (
        None if any(weight is None for weight, _ in used) else sum((w or 0.0) * length for w, length in used)
    )
    told = order.mass.framing
    if (told is None) is not (framing is None) or abs((told or 0.0) - (framing or 0.0)) > 1e-3:
        yield f"mass of the framing: {told} kg is given, it comes to {framing} kg"
    if abs(order.mass.skin - buying.skin_mass) > 1e-3:
        yield f"mass of the skin: {order.mass.skin:.3f} kg is given, the buy list says {buying.skin_mass:.3f} kg"
    hours = costs.hours_per_seam * len(plan.seams) + costs.hours_per_panel * len(plan.panels)
    given_hours = order.labour.hours if order.labour else 0.0
    if not abs(given_hours - hours) <= 1e-6:
        yield f"labour: {given_hours:.3f} hours are given, it comes to {hours:.3f}"
    if order.labour and costs.labour_rate is not None:
        money = hours * costs.labour_rate
        if order.labour.money is None or not abs(order.labour.money - money) <= CENT:
            yield f"labour: {order.labour.money} is given, it comes to {money:.2f}"


def _hands_faults(job: Job, plan: Plan, order: Order) -> Iterator[str]:
    """Parts that nobody lifts, and parts that fewer people lift than a lighter one."""
    areas = part_areas(job, plan)
    groups = (order.hands.one, order.hands.two, order.hands.more)
    lifted = Counter(name for group in groups for name in group)
    for name in sorted(set(areas) | set(lifted)):
        if lifted[name] != (name in areas):
            yield f"part {name}: it is lifted {lifted[name]} times"
            return
    for few, many in ((0, 1), (1, 2), (0, 2)):
        if groups[few] and groups[many]:
            heavy, light = max(groups[few], key=areas.__getitem__), min(groups[many], key=areas.__getitem__)
            if areas[heavy] > areas[light] * (1 + VOLUME):
                yield f"part {light}: it takes more hands than {heavy}, which is heavier"


def _bar_faults(job: Job, order: Order) -> Iterator[str]:
    bars = [bar for section in order.sections for bar in section.plan.bars]
    wanted = _wanted(job)
    cut: _Wanted = Counter(
        (bar.stock.section, piece.name, round(piece.length, 3)) for bar in bars for piece, _ in bar.cuts
    )
    for of, name, length in sorted(set(wanted) | set(cut)):
        asked, there = wanted[of, name, length], cut[of, name, length]
        if asked != there:
            yield f"bars of {of}: {name}, {length} mm, is asked for {asked} times and cut {there} times"
    for number, bar in enumerate(bars, start=1):
        yield from _one_bar(job, f"bar {number} of {bar.stock.section}", bar)
    for stock, used in Counter(bar.stock for bar in bars).items():
        offers = [offer for offer in job.order.framing.stocks if offer == stock]
        if not offers:
            yield f"bars of {stock.section}: no bar_stock of the job has this length and price"
        elif stock.available is not None and used > stock.available * len(offers):
            yield f"bars of {stock.section}: {used} are used, {stock.available} are available"
    for section in order.sections:
        yield from _proof_faults(section)


def _wanted(job: Job) -> _Wanted:
    """Pieces by section, name and length, worked out from the body itself."""
    rules = job.order.framing
    wanted: _Wanted = Counter()
    for piece in rules.pieces:
        wanted[piece.section, piece.name, round(piece.length, 3)] += piece.quantity
    for side in job.sides:
        posts = len(side.bays) - 1 + (2 if rules.end_posts else 0)
        if rules.post_section and side.cut_height is not None and side.raise_height > 0 and posts:
            name = f"post extension, {side.name}"
            wanted[rules.post_section, name, round(side.raise_height, 3)] += posts
        for number, window in enumerate(side.windows if rules.frame_section else (), start=1):
            where = f"window {number} in bay {window.bay}, {side.name}"
            level = round(window.width + 2 * rules.frame_face, 3)
            wanted[rules.frame_section, f"frame above and below, {where}", level] += 2
            wanted[rules.frame_section, f"frame upright, {where}", round(window.height, 3)] += 2
    return wanted


def _one_bar(job: Job, place: str, bar: CutBar) -> Iterator[str]:
    kerf, free = job.order.framing.kerf, 0.0
    for piece, at in bar.cuts:
        if piece.section != bar.stock.section:
            yield f"{place}: {piece.name} is of {piece.section}"
        if not at >= free - SHORT:
            yield f"{place}: {piece.name} begins at {at:.3f} mm, before {free:.3f} mm where the cut ends"
        free = at + piece.length + kerf
    end = free - kerf
    if not end <= bar.stock.length + SHORT:
        yield f"{place}: the last piece ends at {end:.3f} mm, the bar at {bar.stock.length:.3f} mm"
    if not abs(bar.left_over - max(0.0, bar.stock.length - free)) <= SHORT:
        yield f"{place}: {bar.left_over:.3f} mm are said to be left over"


def _proof_faults(section: SectionPlan) -> Iterator[str]:
    plan, place = section.plan, f"bars of {section.section}"
    cost = sum(1.0 if bar.stock.price is None else bar.stock.price for bar in plan.bars)
    slack = 1e-6 * max(1.0, abs(cost))
    if not abs(plan.cost - cost) <= slack:
        yield f"{place}: a cost of {plan.cost:.4f} is given, they come to {cost:.4f}"
    if not plan.bound <= cost + slack:
        yield f"{place}: the bound {plan.bound:.4f} is more than they cost, {cost:.4f}"
    if plan.status is Status.OPTIMAL and not plan.bound >= cost - slack:
        yield f"{place}: called optimal with a bound of {plan.bound:.4f} for a cost of {cost:.4f}"


def _bar_line_faults(job: Job, buying: BuyList, order: Order) -> Iterator[str]:
    counts: Counter[BarStock] = Counter(bar.stock for section in order.sections for bar in section.plan.bars)
    asked = Counter((stock.section, float(count), stock.price) for stock, count in counts.items())
    listed = Counter(
        (line.item.rpartition(", bar of ")[0], line.quantity, line.unit_price if line.priced else None)
        for line in _lines(buying, "bar")
    )
    for section, count, price in sorted((asked - listed) + (listed - asked), key=str):
        yield f"buy list: {count:g} bars of {section} at {price} are not what is cut"
    spent = sum(count * (stock.price or 0.0) for stock, count in counts.items())
    if not abs(buying.framing - spent) <= CENT:
        yield f"buy list, framing: {buying.framing:.2f} is given, the bars come to {spent:.2f}"


def _sealant_faults(job: Job, plan: Plan, fasteners: Fasteners, buying: BuyList) -> Iterator[str]:
    rules, seam = job.order.sealant, job.seam
    bead = pi * rules.bead**2 / 4
    width = 2 * seam.edge_distance + (seam.row_spacing if seam.rows == 2 else 0.0)
    beads = 2 if seam.kind is SeamKind.BUTT or width > WIDEST_ONE_BEAD + 1e-6 else 1
    length = beads * sum(dist(run.start, run.end) for run in plan.seams)
    length += sum(_around(line) for line in fasteners.lines if line.kind not in ("seam", "post", "rail"))
    volume = length * bead * (1 + rules.waste)
    lines = _lines(buying, "cartridge")
    yield from _need_faults("sealant", volume / rules.cartridge, rules.price, lines, buying.sealant)


def _around(line: RivetLine) -> float:
    """Along the rivets, and once more from the last to the first where these are neighbours too."""
    points = list(line.points)
    if len(points) > 2 and dist(points[0], points[-1]) <= line.pitch + 1e-3:
        points.append(points[0])
    return sum(dist(a, b) for a, b in pairwise(points))


def _paint_faults(job: Job, plan: Plan, buying: BuyList) -> Iterator[str]:
    lines = _lines(buying, "tin")
    if len(lines) != len(job.order.paints):
        yield f"buy list: {len(lines)} paints are listed, the job asks for {len(job.order.paints)}"
        return
    skin = sum(metal_area(*shape) for shape in wanted_shapes(job, plan).values())
    laps = 0.0
    if job.seam.kind is SeamKind.LAP:
        width = 2 * job.seam.edge_distance + (job.seam.row_spacing if job.seam.rows == 2 else 0.0)
        laps = width * sum(dist(run.start, run.end) for run in plan.seams)
    strips = _strip_area(job, plan)
    spent = 0.0
    for rules, line in zip(job.order.paints, lines, strict=True):
        tins = _paint_volume(rules, _area(rules, skin, strips, laps)) / rules.tin
        spent += line.price
        yield from _need_faults(rules.name, tins, rules.price, [line], line.price)
    if not abs(buying.paint - spent) <= CENT:
        yield f"buy list, paint: {buying.paint:.2f} is given, the lines come to {spent:.2f}"


def _area(rules: PaintRules, skin: float, strips: float, laps: float) -> float:
    """Primer: all parts on one face and both faces of the laps, or both faces; topcoat: what is seen."""
    if rules.kind is CoatKind.PRIMER:
        return 2 * (skin + strips) if rules.inside else skin + strips + laps
    return (skin - laps) * (2 if rules.inside else 1)


def _paint_volume(rules: PaintRules, area: float) -> float:
    wet = rules.film / rules.solids
    return area * rules.coats * wet / rules.transfer * (1 + rules.waste)


def _strip_area(job: Job, plan: Plan) -> float:
    frames = {side.name: frame_of(job, side, plan) for side in job.sides}
    area = 0.0
    for strip in plan.backing:
        if strip.side in frames:
            length, width = strip_size_of(job, frames[strip.side], strip.bay, strip.height)
            area += length * width
    return area


def _need_faults(
    what: str, packs: float, price: float | None, lines: list[BuyLine], spent: float
) -> Iterator[str]:
    """Whole packs on the lines, neither too few nor one too many, at the job's price or at none."""
    count = sum(line.quantity for line in lines)
    if not (packs * (1 - VOLUME) - 1e-6 <= count < max(packs * (1 + VOLUME), 0.0) + 1 or packs == count == 0):
        yield f"buy list, {what}: {count:g} are listed, it takes {packs:.3f}"
    for line in lines:
        if line.priced is (price is None) or not abs(line.unit_price - (price or 0.0)) <= CENT:
            yield f"buy list, {what}: {line.unit_price:.2f} is not the price of the job"
    if not abs(spent - count * (price or 0.0)) <= CENT:
        yield f"buy list, {what}: {spent:.2f} is given, it comes to {count * (price or 0.0):.2f}"


def _lines(buying: BuyList, unit: str) -> list[BuyLine]:
    return [line for line in buying.lines if line.unit == unit]
