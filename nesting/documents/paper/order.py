"""The rest of the order on the buy pages: sealant, paint, labour, and the vehicle's mass."""

from __future__ import annotations

from nesting.documents.paper.grid import Column
from nesting.documents.paper.sheet import Flow
from nesting.documents.wording import length_text, mass_text, money_text
from nesting.ordering.orderlines import area_text, run_text, volume_text
from nesting.orderneeds import MassAdded, Order
from nesting.plan import PlannedJob

PAINTABLE = "Take a sealant that can be painted (polyurethane or MS): silicone cannot."


def order_sections(flow: Flow, planned: PlannedJob) -> None:
    """What follows the buy list; nothing where there is no order."""
    order = planned.order
    if order is None:
        return
    _sealant(flow, planned, order)
    _paint(flow, planned, order)
    _labour(flow, planned, order)
    _mass(flow, planned, order.mass)


def _sealant(flow: Flow, planned: PlannedJob, order: Order) -> None:
    need, units, rules = order.sealing, planned.job.units, planned.job.order.sealant
    if need is None:
        return
    flow.section("Sealant")
    flow.text(
        f"{run_text(need.laps, units)} of seams and {run_text(need.lands, units)} of outer edges, windows and riveted "
        f"patches, a bead of {length_text(rules.bead, units)} {units.value}, in one line over the rivet holes, never "
        f"rings around them. With {100 * rules.waste:g} % waste {need.volume / 1000:,.0f} ml."
    )
    if not rules.told:
        flow.text("The job has no [sealant]: usual values are taken.")
    if order.paints:
        flow.text(PAINTABLE)


def _paint(flow: Flow, planned: PlannedJob, order: Order) -> None:
    if not order.paints:
        return
    flow.section("Paint")
    columns = (
        *(Column(head) for head in ("paint", "where")),
        *(Column(head, number=True) for head in ("area", "coats", "needed", "tins")),
    )
    units = planned.job.units
    rows = [
        (
            need.name,
            f"{rules.kind.value}{', both faces' if rules.inside else ''}",
            area_text(need.area, units),
            str(rules.coats),
            volume_text(need.volume, units),
            str(need.tins),
        )
        for need, rules in zip(order.paints, planned.job.order.paints, strict=True)
    ]
    flow.table(columns, rows)
    flow.text(
        "Primer: the outer face of every part, and both faces of each lap before it is closed. Topcoat: what is "
        "seen after hanging. New skin only: the rest of the vehicle is not in it."
    )


def _labour(flow: Flow, planned: PlannedJob, order: Order) -> None:
    if order.labour is None:
        return
    flow.section("Labour")
    costs, plan = planned.job.costs, planned.plan
    money = (
        "" if order.labour.money is None else f": {money_text(order.labour.money)}, not in the total above"
    )
    flow.text(
        f"{order.labour.hours:,.1f} hours for {len(plan.seams)} seams at {costs.hours_per_seam:g} and "
        f"{len(plan.panels)} panels at {costs.hours_per_panel:g} hours{money}."
    )


def _mass(flow: Flow, planned: PlannedJob, mass: MassAdded) -> None:
    units = planned.job.units
    framing = "framing not told" if mass.framing is None else f"framing {mass_text(mass.framing, units)}"
    flow.section("Mass added")
    flow.text(
        f"{mass_text(mass.added, units)}: finished skin {mass_text(mass.skin, units)}, rivets about "
        f"{mass_text(mass.rivets, units)}, {framing}. What was taken off is not counted."
    )
    if mass.weighed is None or mass.in_all is None:
        return
    flow.text(f"Weighed {mass_text(mass.weighed, units)} before, {mass_text(mass.in_all, units)} with it.")
    if mass.rating is not None and mass.left is not None:
        rest = (
            f"leaves {mass_text(mass.left, units)} for everything else"
            if mass.left >= 0
            else f"is exceeded by {mass_text(-mass.left, units)}"
        )
        flow.text(f"The rating of {mass_text(mass.rating, units)} {rest}.", bold=mass.left < 0)
