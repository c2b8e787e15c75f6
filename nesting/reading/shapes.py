"""The shapes of bays and patches in a job file: measured sides, outlines as points, outlines in drawings."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from math import isfinite, nan
from pathlib import Path
from typing import TYPE_CHECKING

from nesting.job import Bay
from nesting.outline import Ring, bounds, moved, polygon_ring, rectangle
from nesting.reading.bodykeys import BAY, SIDE
from nesting.reading.outlinechecks import checked_ring, holes_inside
from nesting.reading.reader import Fields, JobReader
from nesting.reading.words import missing, repeats
from nesting.readings import Beside, TapeReadings
from nesting.taping.adjusting import adjust
from nesting.taping.faults import doubt_text, impossible
from nesting.taping.quadrilaterals import tidy
from shared.errors import JobMistakes, PlannerError

if TYPE_CHECKING:
    from nesting.reading.drawings import DrawnOutline

MEASURED = ("top", "bottom", "left", "right")
DIAGONALS = ("diagonal_rising", "diagonal_falling")
WAYS = {
    "width": ("width", "height"),
    "top": (*MEASURED, *DIAGONALS),
    "outline": ("outline", "holes"),
    "drawing": ("drawing", "layer", "drawing_units"),
}
"""Ways to tell a shape, by the key that stands for each."""

UNREAD = Bay(nan, nan, nan)


@dataclass(frozen=True)
class Source:
    """Where drawings lie, and what is read from them and from tapes goes wrong by."""

    reader: JobReader
    folder: Path

    def drawn(self, fields: Fields) -> DrawnOutline | None:
        """The one outline of a drawing that an entry names; None where it cannot be read."""
        # the library that reads drawings takes as long to load as all else: only for a job that names one
        from nesting.reading.drawings import outline_in_drawing

        name = fields.text("drawing")
        if name is None:
            return None
        try:
            found = outline_in_drawing(self.folder / name, fields.text("layer"), fields.text("drawing_units"))
        except PlannerError as error:
            self.refuse(fields, error)
            return None
        return found

    def refuse(self, fields: Fields, error: PlannerError) -> None:
        """Every fault of a drawing as a mistake of the entry that names it."""
        texts = (
            [str(mistake) for mistake in error.mistakes] if isinstance(error, JobMistakes) else [str(error)]
        )
        for text in texts:
            self.reader.reject(fields.at("drawing"), "", text)


@dataclass(frozen=True)
class _BayEntry:
    """A bay entry with how it is told, and what its tape read where it has four sides."""

    fields: Fields
    way: str
    readings: TapeReadings | None = None

    @property
    def left(self) -> float | None:
        """Height at its left post, where a tape read it."""
        return self._height("left")

    @property
    def right(self) -> float | None:
        """Height at its right post."""
        return self._height("right")

    def _height(self, key: str) -> float | None:
        height = self.fields.number(key if self.way == "top" else "height") if self.way != "outline" else nan
        return height if isfinite(height) and height > 0 else None


def read_bays(fields: Fields, source: Source) -> tuple[Bay, ...]:
    """The bays of a side from the left; entries that cannot be read have ``nan`` for lengths."""
    described = SIDE.key("bay")
    if fields.given.get("bay", []) == [] and described is not None:
        source.reader.reject(
            fields.at("bay"), "" if "bay" not in fields.given else "a list", missing(described)
        )
    entries = [
        _BayEntry(entry, way, _readings(entry, source.reader) if way == "top" else None)
        for entry in fields.tables("bay")
        for way in [_way(entry, source.reader)]
    ]
    bays: list[Bay] = []
    for i, entry in enumerate(entries):
        sill = entry.fields.number("sill")
        # heights compare only where the lower edges run on level
        before = entries[i - 1].right if i and entries[i - 1].fields.number("sill") == sill else None
        after = None
        if i + 1 < len(entries) and entries[i + 1].fields.number("sill") == sill:
            after = entries[i + 1].left
        bay = _bay(entry, Beside(before, after), source)
        bays += [bay] * repeats(entry.fields.given, BAY)
    return tuple(bays)


def read_drawn_side(fields: Fields, source: Source) -> tuple[tuple[Bay, ...], tuple[float, ...]]:
    """Bays and posts of a side that is one drawing; nothing where it cannot be read."""
    from nesting.reading.drawings import openings_in_drawing

    name = fields.text("drawing")
    if name is None:
        return (), ()
    try:
        side = openings_in_drawing(source.folder / name, fields.text("layer"), fields.text("drawing_units"))
    except PlannerError as error:
        source.refuse(fields, error)
        return (), ()
    for number, opening in enumerate(side.openings, 1):
        if opening.holes:
            _no_holes(fields.at("drawing"), f"opening {number}", source.reader)
    bays = [_drawn_bay(opening.ring, tidy(bounds(opening.ring)[1])) for opening in side.openings]
    return tuple(bays), tuple(map(tidy, side.posts))


def _drawn_bay(ring: Ring, sill: float) -> Bay:
    """A bay with this outline, free of the noise of arithmetic; an upright rectangle is a plain bay."""
    x0, y0, _, _ = bounds(ring)
    outline = tuple((tidy(x), tidy(y), bulge) for x, y, bulge in moved(ring, -x0, -y0))
    _, _, width, height = bounds(outline)
    plain = set(outline) == set(rectangle(0.0, 0.0, width, height))
    return Bay(width, height, sill, None if plain else outline)


def read_patch_shape(fields: Fields, source: Source) -> tuple[float, float, Ring | None, tuple[Ring, ...]]:
    """Width, height, outline (None for a rectangle) and holes of a patch."""
    way = _way(fields, source.reader)
    if way == "width":
        return fields.number("width"), fields.number("height"), None, ()
    rings: tuple[Ring, ...] = ()
    if way == "outline":
        rings = tuple(_typed(fields, source.reader))
    elif way == "drawing" and (drawn := source.drawn(fields)) is not None:
        rings = (drawn.ring, *drawn.holes)
    if not rings:
        return nan, nan, None, ()
    x0, y0, x1, y1 = bounds(rings[0])
    outline, *holes = (moved(ring, -x0, -y0) for ring in rings)
    return x1 - x0, y1 - y0, outline, tuple(holes)


def _way(fields: Fields, reader: JobReader) -> str:
    """How a shape is told; more than one way, or only a part of one, is a mistake."""
    told = {
        way: [key for key in keys if key in fields.values and fields.has(key)] for way, keys in WAYS.items()
    }
    ways = [way for way, keys in told.items() if keys]
    if len(ways) > 1:
        first, second = (told[way][0] for way in ways[:2])
        remedy = f"{first} tells the shape already; write one or the other"
        if ways[:2] == ["width", "top"]:
            remedy = "write top, bottom, left and right in place of width and height, or leave this out"
        reader.reject(fields.at(second), fields.written(second), remedy)
        return "nothing"
    way = ways[0] if ways else "width"
    table_keys = {
        "width": ("width", "height"),
        "top": MEASURED,
        "outline": ("outline",),
        "drawing": ("drawing",),
    }
    for key in table_keys[way]:
        if not fields.has(key):
            _missing(fields, key, reader)
    return way


def _missing(fields: Fields, key: str, reader: JobReader) -> None:
    described = BAY.key(key)
    assert described is not None
    reader.reject(fields.at(key), "", missing(described))


def _readings(fields: Fields, reader: JobReader) -> TapeReadings | None:
    """What the tape read; None where something is missing or impossible."""
    sides = [fields.number(key) if fields.has(key) else nan for key in MEASURED]
    diagonals = [fields.optional(key) for key in DIAGONALS]
    given = [*sides, *(diagonal for diagonal in diagonals if diagonal is not None)]
    if not all(isfinite(length) for length in given):
        return None
    top, bottom, left, right = sides
    readings = TapeReadings(top, bottom, left, right, diagonals[0], diagonals[1], reader.units)
    faults = impossible(readings)
    for key, text in faults:
        reader.reject(fields.at(key), fields.written(key), text)
    return None if faults else readings


def _bay(entry: _BayEntry, beside: Beside, source: Source) -> Bay:
    fields, sill = entry.fields, entry.fields.number("sill")
    if entry.way == "width":
        return Bay(fields.number("width"), fields.number("height"), sill)
    if entry.way == "top" and entry.readings is not None:
        return _measured(entry, beside, source.reader)
    outline = None
    if entry.way == "outline":
        outline = next(_typed(fields, source.reader), None)
    elif entry.way == "drawing":
        drawn = source.drawn(fields)
        outline = None if drawn is None else drawn.ring
        if drawn is not None and drawn.holes:
            _no_holes(fields.at("drawing"), "the opening", source.reader)
    if outline is None:
        return replace(UNREAD, sill=sill)
    return _drawn_bay(outline, sill)


def _measured(entry: _BayEntry, beside: Beside, reader: JobReader) -> Bay:
    assert entry.readings is not None
    adjusted = adjust(entry.readings, beside=beside)
    for text in (doubt_text(adjusted), adjusted.assumption, adjusted.unchecked):
        if text:
            reader.doubt(entry.fields.place, text)
    ring = polygon_ring(adjusted.corners)
    height = max(y for _, y, _ in ring)
    return Bay(adjusted.corners[1][0], height, entry.fields.number("sill"), ring, adjusted)


def _typed(fields: Fields, reader: JobReader) -> Iterator[Ring]:
    """The outline of an entry and then its holes; nothing where some of it is no outline."""
    outline = fields.points("outline")
    if outline is None:
        return
    ring = checked_ring(outline, reader.units)
    rings = [ring]
    places = [fields.at("outline")]
    for i, points in enumerate(fields.outlines("holes"), 1):
        rings.append(checked_ring(points, reader.units))
        places.append(f"{fields.at('holes')}, item {i}")
    good: list[Ring] = []
    for place, found in zip(places, rings, strict=True):
        if isinstance(found, list):
            for problem in found:
                reader.reject(place, "", str(problem))
        else:
            good.append(found)
    if len(good) < len(rings):
        return
    problems = holes_inside(good[0], good[1:])
    for problem in problems:
        reader.reject(fields.at("holes"), "", str(problem))
    if not problems:
        yield from good


def _no_holes(place: str, what: str, reader: JobReader) -> None:
    text = f"a contour lies inside {what}; write a window as [[side.window]] and leave it out of the drawing"
    reader.reject(place, "", text)
