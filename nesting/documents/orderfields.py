"""The rest of the order in plan.json: lengths in mm, areas in mm2, volumes in ml, masses in kg, money as in the job.

``null`` means that no price or no mass is told, which is not the same as 0.
"""

from __future__ import annotations

from typing import Any

from nesting.barstock import CutBar
from nesting.orderneeds import MassAdded, Order, SectionPlan

_DECIMALS = 6
_MM3_PER_ML = 1000.0


def order_fields(order: Order | None) -> dict[str, Any] | None:
    """The field ``order``, None where a plan has none."""
    if order is None:
        return None
    sealing, labour = order.sealing, order.labour
    return {
        "framing": [_section(section) for section in order.sections],
        "sealant": sealing
        and {
            "seams": _number(sealing.laps),
            "edges": _number(sealing.lands),
            "volume_ml": _number(sealing.volume / _MM3_PER_ML),
            "cartridges": sealing.cartridges,
            "unit_price": _told(sealing.price),
        },
        "paint": [
            {
                "name": need.name,
                "area": _number(need.area),
                "volume_ml": _number(need.volume / _MM3_PER_ML),
                "tin_ml": _number(need.tin / _MM3_PER_ML),
                "tins": need.tins,
                "unit_price": _told(need.price),
            }
            for need in order.paints
        ],
        "mass": _mass(order.mass),
        "labour": labour and {"hours": _number(labour.hours), "money": _told(labour.money)},
        "hands": {
            "one_person": list(order.hands.one),
            "two_people": list(order.hands.two),
            "more_hands_or_lifting_gear": list(order.hands.more),
        },
        "holders": order.holders,
        "cautions": list(order.cautions),
    }


def _section(section: SectionPlan) -> dict[str, Any]:
    plan = section.plan
    return {
        "section": section.section,
        "status": plan.status.value,
        "cost": _number(plan.cost),
        "bound": _number(plan.bound),
        "cost_unit": "money" if section.priced else "bars",
        "bars": [_bar(bar) for bar in plan.bars],
    }


def _bar(bar: CutBar) -> dict[str, Any]:
    return {
        "length": _number(bar.stock.length),
        "price": _told(bar.stock.price),
        "pieces": [
            {"name": piece.name, "at": _number(at), "length": _number(piece.length)} for piece, at in bar.cuts
        ],
        "left_over": _number(bar.left_over),
    }


def _mass(mass: MassAdded) -> dict[str, Any]:
    return {
        "skin_kg": _number(mass.skin),
        "rivets_kg": _number(mass.rivets),
        "framing_kg": _told(mass.framing),
        "added_kg": _number(mass.added),
        "weighed_kg": _told(mass.weighed),
        "in_all_kg": _told(mass.in_all),
        "rating_kg": _told(mass.rating),
        "left_kg": _told(mass.left),
    }


def _told(value: float | None) -> float | None:
    return None if value is None else _number(value)


def _number(value: float) -> float:
    return round(float(value), _DECIMALS) + 0.0
