"""The rivets and the strength of the sheet as a job file tells them, and what must hold between their keys.

Values that could not be read are ``nan`` here and pass every check, as in `nesting.reading.checks`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from nesting.job import Pack, RivetRules, SeamRules, Side, Skin, Units
from nesting.reading.reader import Fields, JobReader
from nesting.rivets.griptable import SAME_LENGTH, closed_by, most_sheets, row_for
from shared.rivettables import MPA_PER_KSI, N_PER_LBF, GripRow
from shared.units import SNAP_MM

_STRONGEST = 3000.0
"""MPa: no sheet is stronger; more than this is a figure in other units."""


def read_rivets(fields: Fields, units: Units, reader: JobReader) -> RivetRules:
    """The rivets asked for, in mm and N, their table of lengths in order of the grip."""
    shear = fields.optional("shear_strength")
    rivets = RivetRules(
        diameter=fields.number("diameter"),
        seam_pitch=fields.number("seam_pitch"),
        edge_pitch=fields.number("edge_pitch"),
        post_pitch=fields.number("post_pitch"),
        spare=fields.number("spare") / 100,
        packs=tuple(
            Pack(pack.whole("count") or 1, pack.number("price"), pack.optional("length"))
            for pack in fields.tables("packs")
        ),
        post_thickness=fields.number("post_thickness"),
        lengths=_lengths(fields.tables("lengths"), reader),
        material=fields.text("material") or "",
        shear_strength=shear if shear is None or units is Units.MILLIMETRE else shear * N_PER_LBF,
    )
    _check_packs(fields, rivets, reader)
    return rivets


def with_strength(skin: Skin, fields: Fields, units: Units, reader: JobReader) -> Skin:
    """The skin with the strengths that the job tells, in MPa."""
    factor = MPA_PER_KSI if units is Units.INCH else 1.0
    told: dict[str, float | None] = {}
    for key in ("tensile_strength", "yield_strength"):
        value = fields.optional(key)
        told[key] = None if value is None else value * factor
        if value is not None and value * factor > _STRONGEST:
            remedy = (
                "is more than any sheet has; it is in ksi in an inch job, as 45, and in MPa in a metric one"
            )
            reader.reject(fields.at(key), fields.written(key), remedy)
    tensile, yields = told["tensile_strength"], told["yield_strength"]
    if tensile is not None and yields is not None and yields > tensile:
        remedy = "must not be more than the tensile strength"
        reader.reject(fields.at("yield_strength"), fields.written("yield_strength"), remedy)
    return replace(skin, tensile=tensile, yield_strength=yields)


def check_grips(
    fields: Fields, rivets: RivetRules, skin: Skin, seam: SeamRules, sides: Sequence[Side], reader: JobReader
) -> None:
    """A length for what rivets close wherever there are sides: one sheet, and the two of a lap.

    Corners where more sheets meet are only doubtful: the plan may have none, or relieve them.
    """
    rows = rivets.length_table
    # what could not be read, or is refused already, says nothing of what lengths close
    sure = skin.thickness > 0 and all(row.grip_min < row.grip_max < row.length for row in rows)
    if not rows or not sides or not sure:
        return
    lapped = most_sheets(
        seam,
        posts=any(len(side.bays) > 1 for side in sides),
        levels=any(side.rails for side in sides),
    )
    where = fields.at("lengths" if rivets.lengths else "post_thickness")
    read = "" if rivets.lengths else fields.written("post_thickness")
    named = {1: "one sheet", 2: "the two sheets of a lap"}
    for sheets in range(1, lapped + 1):
        grip = closed_by(sheets, skin, rivets)
        if not grip > 0 or row_for(rows, grip) is not None:
            continue
        closed = (
            f"{named.get(sheets, f'a corner of {sheets} sheets')} and the post close {_thin(grip, reader)}"
        )
        table = "no row of lengths" if rivets.lengths else "no row of the built-in table of lengths"
        if sheets <= 2:
            remedy = f"{closed}, and {table} does; write a row for it from the maker's table in lengths"
            reader.reject(where, read, remedy)
        else:
            reader.doubt(where, f"{closed}, and {table} does; add one in case the plan has such a corner")


def _lengths(entries: Sequence[Fields], reader: JobReader) -> tuple[GripRow, ...]:
    rows: list[GripRow] = []
    before = 0.0
    for entry in sorted(entries, key=lambda entry: entry.number("grip_max")):
        low = entry.number("grip_min") if entry.has("grip_min") else before
        row = GripRow(low, entry.number("grip_max"), entry.number("length"), source="the job file")
        if rows and row.grip_max - rows[-1].grip_max < SNAP_MM:
            remedy = "two lengths have this grip_max; leave the longer one out"
            reader.reject(entry.at("grip_max"), entry.written("grip_max"), remedy)
        if row.grip_min >= row.grip_max:
            remedy = f"must be less than grip_max, {_thin(row.grip_max, reader)}"
            reader.reject(entry.at("grip_min"), entry.written("grip_min"), remedy)
        if row.length <= row.grip_max:
            remedy = f"must be more than what it closes, {_thin(row.grip_max, reader)}"
            reader.reject(entry.at("length"), entry.written("length"), remedy)
        rows.append(row)
        before = row.grip_max
    return tuple(rows)


def _check_packs(fields: Fields, rivets: RivetRules, reader: JobReader) -> None:
    """A box has a length of the table, else its rivets would never be bought."""
    rows = rivets.length_table
    for entry, pack in zip(fields.tables("packs"), rivets.packs, strict=True):
        if pack.length is None or any(not abs(row.length - pack.length) > SAME_LENGTH for row in rows):
            continue
        known = ", ".join(_thin(row.length, reader) for row in rows) or "none for this diameter"
        remedy = f"is no length of the table; known are {known}; write lengths in [rivets] for others"
        reader.reject(entry.at("length"), entry.written("length"), remedy)


def _thin(mm: float, reader: JobReader) -> str:
    """Finer than a tape: thousandths of an inch or hundredths of a mm."""
    return f"{mm / 25.4:.3f} in" if reader.units == Units.INCH.value else f"{mm:.4g} mm"
