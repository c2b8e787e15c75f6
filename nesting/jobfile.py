"""A job file to a `Job`: TOML text in, values in millimetres out, or every mistake in it at once."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from nesting.job import (
    Costs,
    CutMethod,
    Cutting,
    Hand,
    Job,
    Land,
    Patch,
    RivetRules,
    SeamKind,
    SeamRules,
    Side,
    Skin,
    Turn,
    Units,
    Window,
)
from nesting.reading.checks import check_amounts, check_land, check_patches, check_pitches
from nesting.reading.fixed import check_against_job, read_fixed
from nesting.reading.keys import MAX_MISTAKES
from nesting.reading.offcutlist import read_offcuts
from nesting.reading.order import check_framing, read_order, with_labour
from nesting.reading.reader import Fields, JobReader
from nesting.reading.rivets import check_grips, read_rivets, with_strength
from nesting.reading.schema import job_schema
from nesting.reading.shapechecks import check_shapes
from nesting.reading.shapes import Source, read_bays, read_drawn_side, read_patch_shape
from nesting.reading.sidechecks import bays_are_sure, check_side
from nesting.reading.stock import offcut_stocks, read_stocks
from nesting.reading.tables import JOB
from nesting.reading.text import parsed, text_of
from shared.errors import JobMistakes, Mistake
from shared.tables import material_row, skin_row

__all__ = ["job_from_text", "job_schema", "read_job"]

DEFAULT_MATERIAL = "galvannealed steel"
DEFAULT_GAUGE = 18

SMALL_DISTANCE = {Units.INCH: 6.35, Units.MILLIMETRE: 6.0}
"""Gap and edge margin in mm where the job says nothing, 1/4 in or 6 mm: sheets are not quite square."""

MM_PER_COST_LENGTH = {Units.INCH: 304.8, Units.MILLIMETRE: 1000.0}
"""What `cost_per_length` counts by: a foot or a metre."""


def read_job(path: Path, offcuts: Sequence[Path] = ()) -> Job:
    """The job in a file; ``offcuts`` are lists of offcuts on hand besides those that the job names.

    Raises `PlannerError` for a file that cannot be read as text, `JobMistakes` for what is wrong in it.
    """
    return job_from_text(text_of(path), path.name, path.parent, offcuts)


def job_from_text(text: str, source: str, folder: Path | None = None, offcuts: Sequence[Path] = ()) -> Job:
    """The job in a text of TOML; ``source`` is what messages call it.

    The lists of offcuts that the job names lie in ``folder``, or where the program runs.
    Raises `JobMistakes` with everything that is wrong, each with its place.
    """
    raw = parsed(text, source)
    units = Units(raw["units"]) if raw.get("units") in ("in", "mm") else Units.INCH
    reader = JobReader(units.value)
    fields = reader.read(raw, JOB, "")
    lists = [(f"offcuts, item {i}", (folder or Path()) / name, name) for i, name in _named_lists(fields)]
    lists += [("--offcuts", path, path.name) for path in offcuts]
    job = _job(fields, lists, Source(reader, folder or Path()), units, source)
    if len(reader.mistakes) >= MAX_MISTAKES:
        more = Mistake(source, "", f"only the first {MAX_MISTAKES} mistakes are told; mend these first")
        raise JobMistakes((*reader.mistakes, more))
    if reader.mistakes:
        raise JobMistakes(reader.mistakes)
    return replace(job, warnings=tuple(reader.warnings))


def _named_lists(fields: Fields) -> list[tuple[int, str]]:
    return list(enumerate(fields.texts("offcuts"), 1))


def _job(
    fields: Fields, lists: Sequence[tuple[str, Path, str]], drawn: Source, units: Units, source: str
) -> Job:
    reader = drawn.reader
    cutting = _cutting(fields.table("cutting"), units)
    rivets = read_rivets(fields.table("rivets"), units, reader)
    seam = _seam(fields.table("seam"), rivets, units)
    land = _land(fields.table("land"))
    skin = with_strength(_skin(fields.table("skin"), reader), fields.table("skin"), units, reader)
    stock, priced = read_stocks(fields, units, cutting, seam, reader)
    offcuts = [read_offcuts(path, shown, place, cutting, reader) for place, path, shown in lists]
    stock = (*offcut_stocks(offcuts, stock, units, skin, reader), *stock)
    entries = fields.tables("side")
    sides = tuple(_side(entry, seam, rivets, land, drawn) for entry in entries)
    patches = tuple(_patch(entry, drawn) for entry in fields.tables("patch"))
    check_pitches(fields.table("rivets"), rivets, reader)
    check_grips(fields.table("rivets"), rivets, skin, seam, sides, reader)
    check_land(fields, land, seam, reader)
    sure = [side for entry, side in zip(entries, sides, strict=True) if bays_are_sure(entry)]
    decided = read_fixed(fields.tables("fixed"), sides, sure, patches, reader)
    check_patches(fields.tables("patch"), patches, decided.fixed, stock, cutting, reader)
    check_amounts(fields, sides, patches, reader)
    job = Job(
        title=fields.text("title") or Path(source).stem,
        units=units,
        skin=skin,
        cutting=cutting,
        seam=seam,
        land=land,
        rivets=rivets,
        stock=stock,
        sides=sides,
        patches=patches,
        costs=with_labour(_costs(fields.table("costs")), fields.table("costs"), reader),
        fixed=decided.fixed,
        priced=priced,
        order=read_order(fields, units, reader),
    )
    check_framing(fields, job, reader)
    if not reader.mistakes:
        check_against_job(decided, job, reader)
    return job


def _skin(fields: Fields, reader: JobReader) -> Skin:
    material, gauge = fields.text("material"), fields.whole("gauge")
    thickness, density = fields.optional("thickness"), fields.optional("density")
    unread = Skin(material or "", 0.0, 0.0)
    if any(fields.is_wrong(key) for key in fields.values):
        return unread
    if gauge is not None and thickness is not None:
        remedy = "write gauge or thickness, not both"
        reader.reject(fields.at("thickness"), fields.written("thickness"), remedy)
        return unread
    if gauge is None and thickness is None:
        if density is not None or (material or DEFAULT_MATERIAL).lower() != DEFAULT_MATERIAL:
            remedy = "is missing; write thickness, or gauge for a material of the table"
            reader.reject(fields.at("thickness"), "", remedy)
            return unread
        gauge = DEFAULT_GAUGE
    if density is None:
        return _skin_of_table(fields, material or DEFAULT_MATERIAL, gauge, thickness, reader) or unread
    source = f"thickness x {density:g} kg/m3 as the job says"
    if thickness is not None:
        return Skin(material or "own material", thickness, thickness / 1000 * density, source=source)
    skin = _skin_of_table(fields, material or DEFAULT_MATERIAL, gauge, None, reader) or unread
    return replace(skin, mass_per_area=skin.thickness / 1000 * density, source=source)


def _skin_of_table(
    fields: Fields, material: str, gauge: int | None, thickness: float | None, reader: JobReader
) -> Skin | None:
    key = "material"
    try:
        material_row(material)
        key = "gauge" if thickness is None else "thickness"
        row = skin_row(material, gauge, thickness)
    except LookupError as error:
        own = "; or write thickness and a density of your own" if key == "material" else ""
        reader.reject(fields.at(key), fields.written(key), f"{error.args[0]}{own}")
        return None
    return Skin(row.material, row.thickness_mm, row.mass_per_area, row.gauge, row.source)


def _cutting(fields: Fields, units: Units) -> Cutting:
    method = CutMethod(fields.text("method") or CutMethod.PROFILE.value)
    kerf = fields.number("kerf")
    small = SMALL_DISTANCE[units]
    usual = {CutMethod.PROFILE: (small, small), CutMethod.SHEAR: (0.0, 0.0), CutMethod.HAND: (kerf, small)}
    gap, margin = usual[method]
    return Cutting(
        method=method,
        kerf=kerf,
        gap=fields.number("gap") if fields.has("gap") else gap,
        edge_margin=fields.number("edge_margin") if fields.has("edge_margin") else margin,
        turn=Turn(fields.text("turn") or Turn.QUARTER.value),
        flip=fields.flag("flip"),
        shear_length=fields.optional("shear_length"),
    )


def _seam(fields: Fields, rivets: RivetRules, units: Units) -> SeamRules:
    spacing = fields.optional("row_spacing")
    return SeamRules(
        kind=SeamKind(fields.text("kind") or SeamKind.LAP.value),
        edge_distance=fields.number("edge_distance"),
        rows=fields.whole("rows") or 1,
        row_spacing=3 * rivets.diameter if spacing is None else spacing,
        butt_gap=fields.number("butt_gap"),
        cost=fields.number("cost"),
        cost_per_length=fields.number("cost_per_length") / MM_PER_COST_LENGTH[units],
    )


def _land(fields: Fields) -> Land:
    return Land(fields.number("top"), fields.number("bottom"), fields.number("ends"))


def _side(fields: Fields, seam: SeamRules, rivets: RivetRules, land: Land, source: Source) -> Side:
    reader = source.reader
    drawn_posts = None
    if fields.has("drawing"):
        bays, drawn_posts = read_drawn_side(fields, source)
    else:
        bays = read_bays(fields, source)
    if not fields.has("forward"):
        left = "forward is not given and taken as left; laps and the arrows on the parts depend on it"
        reader.doubt(fields.place, left)
    posts = _posts(fields, len(bays)) if drawn_posts is None else drawn_posts
    side = Side(
        name=fields.text("name") or "",
        forward=Hand(fields.text("forward") or Hand.LEFT.value),
        bays=bays,
        posts=posts,
        rails=tuple(sorted(fields.numbers("rails") or ())),
        rail_width=_rail_width(fields, posts),
        raise_height=fields.number("raise"),
        cut_height=fields.optional("cut_height"),
        windows=tuple(_window(entry) for entry in fields.tables("window")),
        overall=fields.optional("overall"),
    )
    check_side(fields, side, seam, rivets, reader)
    check_shapes(fields, side, land, reader)
    return side


def _posts(fields: Fields, bays: int) -> tuple[float, ...]:
    """The posts as given, or the one width for all; their number is checked later."""
    if fields.has("posts"):
        return fields.numbers("posts") or ()
    return (fields.number("post_width"),) * max(0, bays - 1)


def _rail_width(fields: Fields, posts: tuple[float, ...]) -> float:
    if fields.has("rail_width"):
        return fields.number("rail_width")
    return max(posts, default=fields.number("post_width") if fields.has("post_width") else 0.0)


def _window(fields: Fields) -> Window:
    return Window(
        bay=fields.whole("bay") or 0,
        from_left=fields.number("from_left"),
        from_bottom=fields.number("from_bottom"),
        width=fields.number("width"),
        height=fields.number("height"),
        corner_radius=fields.number("corner_radius"),
        riveted=fields.flag("riveted"),
    )


def _patch(fields: Fields, source: Source) -> Patch:
    width, height, outline, holes = read_patch_shape(fields, source)
    return Patch(
        name=fields.text("name") or "",
        width=width,
        height=height,
        corner_radius=fields.number("corner_radius"),
        quantity=fields.whole("quantity") or 1,
        riveted=fields.flag("riveted"),
        outline=outline,
        holes=holes,
    )


def _costs(fields: Fields) -> Costs:
    return Costs(fields.number("cut_per_sheet"), fields.number("delivery"), fields.number("tax") / 100)
