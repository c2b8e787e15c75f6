"""The rest of the order as a job file tells it, in mm, kg and fractions, and what must hold between its keys.

Values that could not be read are ``nan`` here and pass every check, as in `nesting.reading.checks`.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import isfinite

from nesting.barstock import BarPiece, BarStock
from nesting.framing.pieces import asked_pieces
from nesting.job import Costs, Job, Units
from nesting.orderrules import CoatKind, FramingRules, OrderRules, PaintRules, SealantRules, VehicleRules
from nesting.reading.checks import check_names
from nesting.reading.orderkeys import MAX_BAR_PIECES
from nesting.reading.reader import Fields, JobReader
from shared.tables import LB_PER_KG
from shared.units import to_solver_down, to_solver_up

MM_PER_FOOT = 304.8
MM_PER_MIL = 0.0254
MM3_PER_ML = 1000.0
MM3_PER_LITRE = 1e6
MM3_PER_US_GALLON = 231 * 25.4**3


def read_order(fields: Fields, units: Units, reader: JobReader) -> OrderRules:
    """What the job asks for besides sheets and rivets; sections and lengths are checked with the whole job later."""
    paints = fields.tables("paint")
    check_names(paints, [paint.text("name") or "" for paint in paints], "paints", reader)
    return OrderRules(
        framing=_framing(fields, units),
        sealant=_sealant(fields.table("sealant"), fields.has("sealant")),
        paints=tuple(_paint(entry, units) for entry in paints),
        vehicle=_vehicle(fields.table("vehicle"), units, reader),
    )


def with_labour(costs: Costs, fields: Fields, reader: JobReader) -> Costs:
    """The costs with what an hour costs and how many hours the work takes."""
    hours = (fields.number("hours_per_seam"), fields.number("hours_per_panel"))
    rate = fields.optional("labour_rate")
    if rate is not None and hours == (0.0, 0.0):
        reader.doubt(fields.at("labour_rate"), "not used without hours_per_seam or hours_per_panel")
    return replace(costs, labour_rate=rate, hours_per_seam=hours[0], hours_per_panel=hours[1])


def check_framing(fields: Fields, job: Job, reader: JobReader) -> None:
    """Each piece has a section that can be bought and a bar as long as itself; prices are given for all or none."""
    rules = job.order.framing
    _check_prices(fields.tables("bar_stock"), reader)
    for entry, piece in zip(fields.tables("bar"), rules.pieces, strict=True):
        if piece.section and _section_is_sold(rules, piece.section, entry, "section", reader):
            _check_length(rules, piece, entry.at("length"), entry.written("length"), reader)
    framing = fields.table("framing")
    following: list[BarPiece] = []
    for key, section, none in (
        (
            "post_section",
            rules.post_section,
            "no side has a raise and a cut_height, so no post is lengthened",
        ),
        ("frame_section", rules.frame_section, "no side has a window, so there is nothing to frame"),
    ):
        if not section or not _section_is_sold(rules, section, framing, key, reader):
            continue
        own = _following(job, key)
        following += own
        if not own:
            reader.doubt(framing.at(key), none)
        for piece in own:
            _check_length(rules, piece, framing.at(key), framing.written(key), reader)
    count = sum(piece.quantity for piece in (*rules.pieces, *following))
    if count > MAX_BAR_PIECES:
        reader.reject(
            "bar", f"{count} pieces", f"one job may hold {MAX_BAR_PIECES}; look at the quantities again"
        )
    _doubt_unused(fields.tables("bar_stock"), (*rules.pieces, *following), reader)


def _following(job: Job, key: str) -> tuple[BarPiece, ...]:
    """The pieces that follow from the body by one of the keys alone: both may name the same section."""
    rules = replace(job.order.framing, pieces=())
    alone = replace(rules, frame_section="") if key == "post_section" else replace(rules, post_section="")
    return asked_pieces(replace(job, order=replace(job.order, framing=alone)))


def _framing(fields: Fields, units: Units) -> FramingRules:
    framing = fields.table("framing")
    stocks, masses = [], {}
    for entry in fields.tables("bar_stock"):
        section = entry.text("section") or ""
        stocks.append(
            BarStock(section, entry.number("length"), entry.optional("price"), entry.whole("available"))
        )
        if (mass := entry.optional("mass_per_length")) is not None:
            masses[section] = mass / LB_PER_KG / MM_PER_FOOT if units is Units.INCH else mass / 1000
    return FramingRules(
        pieces=tuple(
            BarPiece(
                entry.text("name") or "",
                entry.text("section") or "",
                entry.number("length"),
                entry.whole("quantity") or 1,
            )
            for entry in fields.tables("bar")
        ),
        stocks=tuple(stocks),
        kerf=framing.number("kerf"),
        post_section=framing.text("post_section") or "",
        frame_section=framing.text("frame_section") or "",
        frame_face=framing.number("frame_face"),
        end_posts=framing.flag("end_posts"),
        masses=tuple(masses.items()),
    )


def _sealant(fields: Fields, told: bool) -> SealantRules:
    return SealantRules(
        bead=fields.number("bead"),
        cartridge=fields.number("cartridge") * MM3_PER_ML,
        price=fields.optional("price"),
        waste=fields.number("waste") / 100,
        told=told,
    )


def _paint(fields: Fields, units: Units) -> PaintRules:
    inch = units is Units.INCH
    return PaintRules(
        name=fields.text("name") or "",
        kind=CoatKind(fields.text("kind") or CoatKind.TOPCOAT.value),
        solids=fields.number("solids") / 100,
        film=fields.number("film") * (MM_PER_MIL if inch else 1e-3),
        coats=fields.whole("coats") or 1,
        transfer=fields.number("transfer") / 100,
        waste=fields.number("waste") / 100,
        tin=fields.number("tin") * (MM3_PER_US_GALLON if inch else MM3_PER_LITRE),
        price=fields.optional("price"),
        inside=fields.flag("inside"),
    )


def _vehicle(fields: Fields, units: Units, reader: JobReader) -> VehicleRules:
    weighed, rating = fields.optional("scale_weight"), fields.optional("weight_rating")
    if weighed is not None and rating is not None and weighed > rating:
        reader.doubt(fields.at("scale_weight"), "is more than weight_rating before anything is added")
    kg = 1 / LB_PER_KG if units is Units.INCH else 1.0
    return VehicleRules(*(None if mass is None else mass * kg for mass in (weighed, rating)))


def _check_prices(entries: Sequence[Fields], reader: JobReader) -> None:
    """Within a section all bars have a price or none: a bar without one would always be the cheapest."""
    for entry in entries:
        section = entry.text("section")
        alike = [other for other in entries if other.text("section") == section]
        if section and not entry.has("price") and any(other.has("price") for other in alike):
            remedy = f"is missing while other bars of '{section}' have one; write a price for all of them or for none"
            reader.reject(entry.at("price"), "", remedy)
        masses = {other.number("mass_per_length") for other in alike if other.has("mass_per_length")}
        if len(masses) > 1:
            remedy = f"bars of '{section}' have different ones; a section has one mass"
            reader.reject(entry.at("mass_per_length"), entry.written("mass_per_length"), remedy)


def _section_is_sold(rules: FramingRules, section: str, entry: Fields, key: str, reader: JobReader) -> bool:
    sold = dict.fromkeys(stock.section for stock in rules.stocks if stock.section)
    if section in sold:
        return True
    names = ", ".join(f"'{name}'" for name in sold)
    known = f", or write one of {names}" if sold else ""
    reader.reject(
        entry.at(key), entry.written(key), f"there is no [[bar_stock]] of this section; add one{known}"
    )
    return False


def _check_length(rules: FramingRules, piece: BarPiece, place: str, read: str, reader: JobReader) -> None:
    lengths = [
        stock.length for stock in rules.stocks if stock.section == piece.section and stock.available != 0
    ]
    if not all(map(isfinite, (*lengths, piece.length))):
        return
    if not any(to_solver_up(piece.length) <= to_solver_down(length) for length in lengths):
        longest = f"the longest bar is {reader.length(max(lengths))}" if lengths else "no bar is available"
        remedy = (
            f"'{piece.name}' is {reader.length(piece.length)} long and {longest}; "
            f"add a [[bar_stock]] of '{piece.section}' that is long enough, or make it of two pieces"
        )
        reader.reject(place, read, remedy)


def _doubt_unused(entries: Sequence[Fields], pieces: Sequence[BarPiece], reader: JobReader) -> None:
    wanted = {piece.section for piece in pieces}
    for section in _unused(entries, wanted):
        reader.doubt("bar_stock", f"nothing is cut from '{section}'")


def _unused(entries: Sequence[Fields], wanted: set[str]) -> Iterator[str]:
    sections = dict.fromkeys(entry.text("section") or "" for entry in entries)
    return (section for section in sections if section and section not in wanted)
