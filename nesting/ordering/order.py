"""The rest of the order from a job and its plan: bars, sealant, paint, mass, labour, hands."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import dist, pi

from nesting.barcutting import cut_bars
from nesting.budget import Budget
from nesting.framing.pieces import asked_pieces
from nesting.job import Job, SeamKind, Units
from nesting.limits import SolveLimits
from nesting.ordering.buylist import part_masses
from nesting.ordering.coatings import Coat, coated_areas, paint_needed
from nesting.ordering.lifting import Hands, panel_lifts
from nesting.ordering.sealing import Bead, BeadShape, Sealed, lap_bead, sealant_needed
from nesting.orderneeds import (
    HandsNeeded,
    LabourNeed,
    MassAdded,
    Order,
    PaintNeed,
    SealingNeed,
    SectionPlan,
)
from nesting.orderrules import CoatKind, PaintRules
from nesting.plan import Fasteners, Plan, RivetLine
from nesting.rivets.holders import holders_needed
from nesting.status import Status
from shared.tables import LB_PER_KG, material_row

SEALED_KINDS = ("edge", "patch", "window")
"""Rivet lines along the edge of a sheet; seams have their own lengths, and under posts and rails nothing is sealed."""

USUAL_RIVET = "steel"
DENSITIES = {"nickel-copper": 8800.0}
"""kg/m3 of rivet materials that no sheet is of (b)."""

HEAD_IN_DIAMETERS = 1.2
"""A domed head twice as wide as the rivet and 0.3 diameters high, as so much more of its length (c)."""

_MM2_PER_M2 = 1e6
_MM3_PER_M3 = 1e9
_UNLIMITED = SolveLimits()


def section_plans(job: Job, limits: SolveLimits = _UNLIMITED) -> tuple[SectionPlan, ...]:
    """The bars of each section in the order in which its pieces come, each with its proof.

    Raises NothingFits where a piece is longer than every bar or the bars available do not do.
    """
    rules = job.order.framing
    pieces = asked_pieces(job)
    sections = [*dict.fromkeys(piece.section for piece in pieces)]
    budget = Budget.of(limits)
    plans = []
    for number, section in enumerate(sections):
        stocks = [stock for stock in rules.stocks if stock.section == section]
        share = budget.share(1 / (len(sections) - number)).seconds
        plan = cut_bars(
            [piece for piece in pieces if piece.section == section],
            stocks,
            kerf=rules.kerf,
            limits=SolveLimits(
                None if limits.time_limit is None else share, limits.seed, None, limits.should_stop
            ),
            units=job.units.value,
        )
        plans.append(SectionPlan(section, plan, all(stock.price is not None for stock in stocks)))
    return tuple(plans)


def order_for(
    job: Job, plan: Plan, fasteners: Fasteners, sections: tuple[SectionPlan, ...] | None = None
) -> Order:
    """What the job takes besides sheets and rivets; ``sections`` are its bars where they are planned already.

    Sealant, paint, labour and mass are those of the whole body, panels cut before included.
    Raises NothingFits as `section_plans`.
    """
    sections = section_plans(job) if sections is None else sections
    masses = part_masses(job, plan)
    mass = MassAdded(
        skin=sum(masses.values()),
        rivets=_rivet_mass(job, fasteners),
        framing=_framing_mass(job, sections),
        weighed=job.order.vehicle.scale_weight,
        rating=job.order.vehicle.weight_rating,
    )
    lifts = panel_lifts(masses)
    hands = {who: tuple(lift.name for lift in lifts if lift.hands is who) for who in Hands}
    order = Order(
        sections=sections,
        sealing=_sealing(job, plan, fasteners),
        paints=_paints(job, plan, masses),
        mass=mass,
        labour=_labour(job, plan),
        hands=HandsNeeded(hands[Hands.ONE], hands[Hands.TWO], hands[Hands.MORE]),
        holders=holders_needed(fasteners),
    )
    return _with_cautions(job, order)


def line_length(line: RivetLine) -> float:
    """From the first rivet to the last in mm, and back to the first where the line closes on itself."""
    points = line.points
    along = sum(dist(a, b) for a, b in pairwise(points))
    back = dist(points[-1], points[0]) if len(points) > 2 else 0.0
    return along + (back if back <= line.pitch * (1 + 1e-6) else 0.0)


def _sealing(job: Job, plan: Plan, fasteners: Fasteners) -> SealingNeed | None:
    """A lap gets its bead over the line of the rivet holes, a butt seam one behind each of its edges."""
    rules = job.order.sealant
    of_seam = lap_bead(2 * job.seam.reach, rules.bead)
    if job.seam.kind is SeamKind.BUTT:
        of_seam = Bead(BeadShape.ROUND, rules.bead, 2)
    laps = sum(seam.length for seam in plan.seams)
    lands = sum(line_length(line) for line in fasteners.lines if line.kind in SEALED_KINDS)
    if not laps + lands:
        return None
    runs = (Sealed(laps, of_seam), Sealed(lands, Bead(BeadShape.ROUND, rules.bead)))
    need = sealant_needed(runs, cartridge=rules.cartridge, waste=rules.waste)
    return SealingNeed(laps, lands, need.volume, need.cartridges, rules.price)


def _paints(job: Job, plan: Plan, masses: dict[str, float]) -> tuple[PaintNeed, ...]:
    strips = {strip.patch for strip in plan.backing}
    areas = {name: mass / job.skin.mass_per_area * _MM2_PER_M2 for name, mass in masses.items()}
    parts = sum(areas.values())
    # backing strips lie behind the skin: primed like it, never painted
    skin = sum(area for name, area in areas.items() if name not in strips)
    lapped = job.seam.kind is SeamKind.LAP
    laps = 2 * job.seam.reach * sum(seam.length for seam in plan.seams) if lapped else 0.0
    return tuple(_paint(rules, parts, skin, laps) for rules in job.order.paints)


def _paint(rules: PaintRules, parts: float, skin: float, laps: float) -> PaintNeed:
    if rules.kind is CoatKind.PRIMER:
        area = coated_areas(parts, laps, inside=rules.inside).primer
    else:
        area = coated_areas(skin, laps, inside=False).topcoat * (2 if rules.inside else 1)
    coat = Coat(rules.name, rules.solids, rules.film, rules.transfer, rules.coats, rules.waste)
    need = paint_needed(max(0.0, area), coat, tin=rules.tin)
    return PaintNeed(rules.name, need.area, need.volume, rules.tin, need.tins, rules.price)


def _rivet_mass(job: Job, fasteners: Fasteners) -> float:
    """Estimated: a solid pin of each rivet's length, or of twice its grip where no length is told, and its head."""
    material = job.rivets.material or USUAL_RIVET
    density = DENSITIES.get(material) or material_row(material).density
    d = job.rivets.diameter
    if fasteners.lengths:
        length = sum(each.rivets * each.length for each in fasteners.lengths)
    else:
        length = sum(2 * line.grip * line.counted for line in fasteners.lines)
    length += fasteners.total * HEAD_IN_DIAMETERS * d
    return pi / 4 * d * d * length / _MM3_PER_M3 * density


def _framing_mass(job: Job, sections: tuple[SectionPlan, ...]) -> float | None:
    """The mass of the pieces, None where that of some section is not told; nothing where there is no framing."""
    per_mm = dict(job.order.framing.masses)
    if any(section.section not in per_mm for section in sections):
        return None
    return sum(per_mm[section.section] * bar.used for section in sections for bar in section.plan.bars)


def _labour(job: Job, plan: Plan) -> LabourNeed | None:
    costs = job.costs
    hours = costs.hours_per_seam * len(plan.seams) + costs.hours_per_panel * len(plan.panels)
    if not hours:
        return None
    return LabourNeed(hours, None if costs.labour_rate is None else hours * costs.labour_rate)


def _with_cautions(job: Job, order: Order) -> Order:
    cautions = []
    mass = order.mass
    if mass.left is not None and mass.left < 0:
        over = _mass(job, -mass.left)
        cautions.append(f"the vehicle would be {over} over its weight rating, before anything else goes in")
    if mass.weighed is not None and mass.framing is None:
        cautions.append(
            "the framing is not in the mass added: write mass_per_length for each section in [[bar_stock]]"
        )
    for section in order.sections:
        if section.plan.status is not Status.OPTIMAL:
            gap = 100 * section.plan.gap
            cautions.append(
                f"bars of '{section.section}': a cheaper way to cut them may exist, by {gap:.1f} % at most"
            )
    return replace(order, cautions=tuple(cautions))


def _mass(job: Job, kg: float) -> str:
    return f"{kg * LB_PER_KG:,.0f} lb" if job.units is Units.INCH else f"{kg:,.0f} kg"
