"""The lines of a DXF drawing in millimetres, whatever kind of entity drew them; the rest is counted."""

from __future__ import annotations

import codecs
import io
import logging
import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from math import isfinite
from pathlib import Path
from typing import Any

from ezdxf.document import Drawing as Document
from ezdxf.filemanagement import dxf_stream_info, read
from ezdxf.lldxf.const import DXFError
from ezdxf.lldxf.encoding import decode_dxf_unicode

from nesting.reading.chains import Stroke
from nesting.reading.drawnlines import KINDS, OutOfPlane, strokes_of
from nesting.reading.outlinechecks import OutlineProblem
from shared.errors import JobMistakes, Mistake, as_written
from shared.units import LONGEST_MM

MAX_DRAWING_BYTES = 10_000_000
MAX_ENTITIES = 20_000
MAX_RECORDS = 3 * MAX_ENTITIES
MAX_VERTICES = 50_000
MAX_BLOCK_DEPTH = 16
"""Limits of one drawing: far above any body, low enough that reading ends in seconds: records are all that
a file keeps, styles and blocks never used included; entities are what is drawn in model space, and what a
block draws counts for each place that it is put at."""

UNIT_MM = {"in": 25.4, "ft": 304.8, "mm": 1.0, "cm": 10.0, "m": 1000.0}
"""Units that a drawing may be in, by the word that a job file has for them."""

_HEADER_UNITS = {1: "in", 2: "ft", 4: "mm", 5: "cm", 6: "m"}
"""$INSUNITS, the unit that a drawing says it is in."""

_ONLY_OUTLINES = "save only the outlines, in a new file"

_HEADER_BYTES = 20_000
"""The encoding of the text is told near the beginning."""

_R13 = "AC1012"
_SINCE_R13 = frozenset((b"LWPOLYLINE", b"ELLIPSE", b"SPLINE"))
"""Kinds of entity that no release before this one has, as a file names them."""

_FULLEST_BULGE = 1000.0
"""An arc of 359.8 degrees."""

_DAMAGE = (ValueError, TypeError, IndexError, AttributeError, ArithmeticError, DXFError)
"""What the reading library raises over numbers that make no line, and what comes of a place that is missing."""

# Without this a fault in a drawing is also printed by the reading library, past whoever reports it.
logging.getLogger("ezdxf").addHandler(logging.NullHandler())


@dataclass(frozen=True)
class DrawnLine:
    """One line as drawn: ``kind`` as DXF names it, open ends at both ends of ``stroke`` unless ``closed``."""

    layer: str
    kind: str
    stroke: Stroke
    closed: bool


@dataclass(frozen=True)
class DrawingContent:
    """What a drawing holds in model space, in mm.

    ``unit`` is the one it was read in, one of `UNIT_MM`; ``ignored`` counts entities that draw no line, by
    kind; ``layers`` are those that lines were found on, hidden ones included.
    """

    lines: tuple[DrawnLine, ...]
    unit: str
    ignored: tuple[tuple[str, int], ...]
    layers: tuple[str, ...]
    problems: tuple[OutlineProblem, ...]


def drawing_content(path: Path, layer: str | None = None, units: str | None = None) -> DrawingContent:
    """Every line on a layer, or on all layers that are shown where none is named.

    ``units`` stands above what the drawing says of itself.  Lines that no outline can have (out of the plane,
    a mile away) are problems.  Raises `JobMistakes` where the file is no DXF drawing in text, too large, or
    says no unit and none is given.
    """
    document = _document(path)
    unit = units or _own_unit(document, path)
    reading = _Reading(path, layer, UNIT_MM[unit], _hidden_layers(document))
    for entity in document.modelspace():
        reading.take(entity, _layer_of(entity), 0)
    return DrawingContent(
        lines=tuple(reading.lines),
        unit=unit,
        ignored=tuple(sorted(reading.ignored.items())),
        layers=tuple(reading.layers),
        problems=tuple(reading.problems.values()),
    )


def refused(path: Path, *remedies: str) -> JobMistakes:
    """What is wrong with a drawing, by the name of its file."""
    return JobMistakes(Mistake(path.name, "", remedy) for remedy in remedies)


def _document(path: Path) -> Document:
    data = _bytes_of(path)
    remedy = "save the drawing as DXF in text (ASCII), release R12 or later"
    if data.startswith(b"AutoCAD Binary DXF"):
        raise refused(path, f"this is a binary DXF; {remedy}")
    if re.match(rb"AC[0-9]{4}|AC[12]\.[0-9]", data):
        raise refused(path, f"this is a DWG, which cannot be read; {remedy}")
    if not re.search(rb"(?:^|\n)[ \t]*0[ \t]*\r?\n[ \t]*SECTION\b", data):
        raise refused(path, f"this is no DXF drawing; {remedy}")
    if not re.search(rb"\n[ \t]*0[ \t]*\r?\n[ \t]*EOF\s*\Z", data):
        raise refused(path, "the drawing breaks off before its end; save or copy it again")
    records = Counter(re.findall(rb"\n[ \t]*0[ \t]*\r?\n[ \t]*([A-Z]+)", data))
    points = records.pop(b"VERTEX", 0)
    if records.total() > MAX_RECORDS or points > MAX_VERTICES:
        raise refused(path, f"the drawing holds more than is read; {_ONLY_OUTLINES}")
    try:
        about = dxf_stream_info(io.StringIO(_text(data[:_HEADER_BYTES], "latin-1")))
        text = _text(data, about.encoding)
        if about.version < _R13 and records.keys() & _SINCE_R13:
            text = _without_false_release(text)
        document = read(io.StringIO(text))
        # A damaged table of layouts shows here only.
        document.modelspace()
        return document
    # A damaged file can make the reading library stumble anywhere, so nothing narrower would hold.  It is not
    # mended by leaving out what cannot be read: an opening might be missing then, and nobody would know.
    except Exception as error:
        reason = f" ({_in_short(error)})" if isinstance(error, DXFError) and str(error) else ""
        raise refused(
            path, f"the drawing is damaged and cannot be read{reason}; save it again as DXF"
        ) from error


def _text(data: bytes, encoding: str) -> str:
    """The text of a drawing, its lines ended as Python ends them, its escaped letters as they are."""
    text = data.decode(encoding, "surrogateescape")
    return decode_dxf_unicode(text.replace("\r\n", "\n").replace("\r", "\n"))


def _without_false_release(text: str) -> str:
    """The text of a drawing that says it is older than what it holds, with a release that has it.

    Simple programs write so, and read as what it says it is a polyline would lose its layer and stay open.
    """
    release = "  9\n$ACADVER\n  1\nAC1015\n"
    for pattern, instead in (
        (r"(\$ACADVER[ \t]*\n[ \t]*1[ \t]*\n[ \t]*)AC\w+", r"\g<1>AC1015"),
        (r"(\n[ \t]*2[ \t]*\n[ \t]*HEADER[ \t]*\n)", r"\g<1>" + release),
    ):
        lifted, count = re.subn(pattern, instead, text, count=1)
        if count:
            return lifted
    return f"  0\nSECTION\n  2\nHEADER\n{release}  0\nENDSEC\n{text}"


def _in_short(error: Exception) -> str:
    return as_written(str(error).removeprefix("DXFStructureError: ").rstrip(".")).strip("'")


def _bytes_of(path: Path) -> bytes:
    try:
        with path.open("rb") as file:
            data = file.read(MAX_DRAWING_BYTES + 1)
    except FileNotFoundError as error:
        raise refused(path, "there is no such drawing; check the name and the folder") from error
    except IsADirectoryError as error:
        raise refused(path, "this is a folder; name the drawing in it") from error
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise refused(path, f"the drawing cannot be read: {reason}") from error
    if len(data) > MAX_DRAWING_BYTES:
        most = f"{MAX_DRAWING_BYTES // 1_000_000} MB"
        raise refused(path, f"the drawing is larger than {most}; {_ONLY_OUTLINES}")
    if not data.strip():
        raise refused(path, "the file is empty; save the drawing again")
    return data.removeprefix(codecs.BOM_UTF8)


def _own_unit(document: Document, path: Path) -> str:
    code = document.header.get("$INSUNITS", 0)
    unit = _HEADER_UNITS.get(code)
    if unit is None:
        says = "does not say its unit" if code == 0 else "is in a unit that is not read here"
        words = ", ".join(f'"{word}"' for word in UNIT_MM)
        raise refused(path, f"the drawing {says}; write drawing_units, one of {words}")
    return unit


def _layer_of(entity: Any) -> str:
    # Kinds of entity that the reading library does not know have no layer there.
    return str(entity.dxf.get("layer", "0")) if entity.dxf.is_supported("layer") else "0"


def _hidden_layers(document: Document) -> frozenset[str]:
    return frozenset(
        entry.dxf.name.casefold() for entry in document.layers if entry.is_off() or entry.is_frozen()
    )


@dataclass
class _Reading:
    """What has been gathered of one drawing so far."""

    path: Path
    wanted: str | None
    scale: float
    hidden: frozenset[str]
    lines: list[DrawnLine] = field(default_factory=list)
    ignored: Counter[str] = field(default_factory=Counter)
    layers: dict[str, None] = field(default_factory=dict)
    problems: dict[str, OutlineProblem] = field(default_factory=dict)
    entities: int = 0
    vertices: int = 0

    def take(self, entity: Any, layer: str, depth: int) -> None:
        """Add what an entity draws; ``layer`` is where it lies, in a block perhaps that of the block."""
        self.entities += 1
        if self.entities > MAX_ENTITIES:
            raise self._too_much(f"{MAX_ENTITIES} lines and blocks")
        kind = entity.dxftype()
        if not re.fullmatch(r"(?:3D)?[A-Z][A-Z0-9_]*", kind):
            # What stood here may have been a line.
            self._reject(f"entity {as_written(kind)}", "that no drawing has", "save the drawing again")
        elif kind == "INSERT" and not entity.dxf.invisible:
            self._take_block(entity, layer, depth)
        elif kind not in KINDS:
            self.ignored[kind] += 1
        elif entity.dxf.invisible:
            self.ignored[f"hidden {kind}"] += 1
        else:
            self.layers[layer] = None
            if self._is_wanted(layer):
                self._take_line(entity, layer, kind)

    def _is_wanted(self, layer: str) -> bool:
        if self.wanted is None:
            return layer.casefold() not in self.hidden
        return layer.casefold() == self.wanted.casefold()

    def _take_block(self, insert: Any, layer: str, depth: int) -> None:
        if depth >= MAX_BLOCK_DEPTH:
            raise refused(
                self.path, f"blocks lie in blocks more than {MAX_BLOCK_DEPTH} deep; explode them first"
            )
        # places on top of one another count too: the reading library goes through all of them
        if insert.mcount > 1 and insert.dxf.row_count * insert.dxf.column_count > MAX_ENTITIES:
            raise self._too_much(f"{MAX_ENTITIES} lines and blocks")
        contents = self._contents(insert)
        while True:
            try:
                entity = next(contents, None)
            except _DAMAGE:
                self._reject("INSERT", "that is damaged", "explode the block, or put it in again")
                return
            if entity is None:
                return
            own = _layer_of(entity)
            # By the rules of DXF what is drawn on layer 0 of a block lies where the block is put.
            self.take(entity, layer if own == "0" else own, depth + 1)

    def _contents(self, insert: Any) -> Iterator[Any]:
        """What a block draws where it is put, for each of its places; nothing of other drawings."""
        block = insert.block()
        if block is None or block.block.is_xref or block.block.is_xref_overlay:
            self.ignored["INSERT of nothing" if block is None else "reference to another drawing"] += 1
            return
        for single in insert.multi_insert() if insert.mcount > 1 else (insert,):
            yield from single.virtual_entities()

    def _take_line(self, entity: Any, layer: str, kind: str) -> None:
        try:
            strokes = list(strokes_of(entity, kind, self.scale))
        except OutOfPlane:
            self._reject(kind, "that does not lie flat in the drawing", "draw outlines in the XY plane")
            return
        except _DAMAGE:
            self._reject(kind, "that is damaged", "delete it and draw it again")
            return
        for stroke, closed in strokes:
            if not all(isfinite(value) for vertex in stroke for value in vertex):
                self._reject(kind, "with a number that is none", "delete it and draw it again")
            elif any(abs(bulge) > _FULLEST_BULGE for _, _, bulge in stroke):
                self._reject(kind, "with an arc that is almost a full circle", "draw it as a circle, or anew")
            elif any(abs(value) > LONGEST_MM for x, y, _ in stroke for value in (x, y)):
                remedy = "move the drawing to its origin, or write drawing_units if its unit is another"
                self._reject(kind, "more than a mile from its origin", remedy)
            else:
                self.vertices += len(stroke)
                if self.vertices > MAX_VERTICES:
                    raise self._too_much(f"{MAX_VERTICES} points")
                self.lines.append(DrawnLine(layer, kind, stroke, closed))

    def _reject(self, kind: str, what: str, remedy: str) -> None:
        article = "an" if kind[0] in "AEIe" else "a"
        self.problems.setdefault(f"{kind} {what}", OutlineProblem(f"has {article} {kind} {what}", remedy))

    def _too_much(self, most: str) -> JobMistakes:
        return refused(self.path, f"the drawing holds more than {most}; {_ONLY_OUTLINES}")
