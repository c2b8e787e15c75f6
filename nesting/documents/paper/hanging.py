"""The packet's pages for whoever hangs the skin: steps with their reasons, corners, holders; what a seam holds."""

from __future__ import annotations

from nesting.documents.findings import joined, sides_in_order
from nesting.documents.hangingsteps import (
    BUTT_RULES,
    LAP_RULES,
    RULES,
    crowded_corners,
    hanging_steps,
)
from nesting.documents.lists import part_note
from nesting.documents.paper.grid import Column
from nesting.documents.paper.sheet import Flow
from nesting.documents.paper.tables import span_text
from nesting.documents.wording import counted, length_text, mass_text, thin_text
from nesting.job import SeamKind, Units
from nesting.plan import PlannedJob, Seam
from nesting.rivets.galvanic import pairing
from nesting.rivets.holders import HOLDER_SOURCE, holder_colour, panel_holders
from nesting.rivets.strength import (
    JOINT_RULE_SOURCE,
    NO_APPROVAL,
    Strength,
    missing_inputs,
    seam_strengths,
    strength_inputs,
)

_N_PER_MM_PER_LBF_PER_INCH = 4.4482216152605 / 25.4


def hanging_pages(flow: Flow, planned: PlannedJob) -> None:
    """In which order the panels go up and why, what lies over what, and what it takes to hold them."""
    sides = sides_in_order(planned)
    if not sides:
        return
    flow.page("Hanging order")
    flow.points((*(LAP_RULES if planned.job.seam.kind is SeamKind.LAP else BUTT_RULES), *RULES))
    columns = (
        *(Column(head, number=True) for head in ("step",)),
        *(Column(head) for head in ("panel", "bays", "rows", "laps over")),
        Column("why", whole=True),
        *(Column(head, number=True) for head in ("mass", "holders")),
        Column("note", whole=True),
    )
    notes = {
        part.part: part_note(planned, sheet, part) for sheet in planned.plan.sheets for part in sheet.parts
    }
    notes |= {panel.name: "cut already" for panel in planned.plan.panels if panel.cut}
    holders = {each.panel: each.holders for each in panel_holders(planned.fasteners)}
    for side in sides:
        flow.section(side.name)
        rows = [
            (
                str(number),
                step.panel.name,
                span_text(step.panel.first_bay, step.panel.last_bay),
                span_text(step.panel.first_row, step.panel.last_row),
                joined(step.over),
                step.why,
                mass_text(planned.masses.get(step.panel.name, 0.0), planned.job.units),
                str(holders.get(step.panel.name, "")),
                notes.get(step.panel.name, ""),
            )
            for number, step in enumerate(hanging_steps(planned, side), start=1)
        ]
        flow.table(columns, rows)
        for words in crowded_corners(planned, side):
            flow.text(words)
    _hands_and_holders(flow, planned)


def _hands_and_holders(flow: Flow, planned: PlannedJob) -> None:
    order = planned.order
    if order is None:
        return
    panels = {panel.name for panel in planned.plan.panels}
    for words, names in (("two people", order.hands.two), ("more hands or lifting gear", order.hands.more)):
        own = [name for name in names if name in panels]
        if own:
            flow.text(f"For {words}: {joined(own)}.")
    if order.holders:
        colour = holder_colour(planned.job.rivets.diameter)
        known = f" ({colour})" if colour else ""
        flow.text(
            f"{counted(order.holders, 'holder')}{known} do for every panel, one hung at a time: {HOLDER_SOURCE}."
        )


def strength_pages(flow: Flow, planned: PlannedJob) -> None:
    """What each seam holds beside the sheet, and how skin and rivets get on: information, never an approval."""
    job = planned.job
    strengths = seam_strengths(job, planned.plan, planned.fasteners)
    metals = pairing(job.skin.material, job.rivets.material) if job.rivets.material else None
    if not planned.plan.seams and metals is None:
        return
    flow.page("Seams and metals: a yardstick")
    flow.text(NO_APPROVAL, bold=True)
    if missing := missing_inputs(job):
        flow.text(f"No strengths can be told: write {joined(missing)} in the job.")
    if strengths:
        _inputs(flow, planned)
        _seams(flow, planned, strengths)
    if metals is not None:
        flow.section("Metals side by side outdoors")
        flow.text(f"{metals.skin} beside {metals.rivet}: {metals.verdict}. Source: {metals.source}.")


def _inputs(flow: Flow, planned: PlannedJob) -> None:
    flow.section("Taken as")
    columns = (Column("figure"), Column("value", number=True), Column("from", whole=True))
    flow.table(
        columns,
        [
            (given.name, f"{given.value:,.0f} {given.unit}", given.source)
            for given in strength_inputs(planned.job)
        ],
    )


def _seams(flow: Flow, planned: PlannedJob, strengths: tuple[Strength, ...]) -> None:
    units = planned.job.units
    unit = "lbf/in" if units is Units.INCH else "N/mm"
    flow.section("Seam by seam")
    flow.text(
        f"In {unit}, characteristic strengths without a safety factor. The joint is the least of rivets, holes and "
        f"net section. Beside it the 60 % rule: {JOINT_RULE_SOURCE}; no duty for a conversion."
    )
    columns = (
        Column("seam"),
        *(
            Column(head, number=True)
            for head in ("pitch", "rivets", "holes", "net sheet", "joint", "whole sheet", "share")
        ),
        Column("gives way first"),
        Column("60 % at a pitch of", number=True),
    )
    groups: dict[tuple[str, ...], list[Seam]] = {}
    for strength in strengths:
        row = (
            length_text(strength.pitch, units, "down"),
            *(
                _load(load, units)
                for load in (strength.shear, strength.bearing, strength.net, strength.joint, strength.sheet)
            ),
            f"{strength.share:.0%}",
            strength.governs,
            "reached" if strength.meets_joint_rule else thin_text(strength.pitch_for_rule, units),
        )
        groups.setdefault(row, []).append(strength.seam)
    flow.table(columns, [(joined(map(_seam_name, seams)), *row) for row, seams in groups.items()])


def _load(n_per_mm: float, units: Units) -> str:
    return f"{n_per_mm / (_N_PER_MM_PER_LBF_PER_INCH if units is Units.INCH else 1.0):,.0f}"


def _seam_name(seam: Seam) -> str:
    return f"{seam.over}/{seam.under}"
