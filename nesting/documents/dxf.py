"""Drawings as DXF (release 2000, or 12 for old machines): full size in the job's units, closed outlines, true arcs.

A cut file holds what a cutting shop wants and nothing else: no frame, no title block, no dimensions, no line
twice.  Release 12 cannot say its units to a machine: they stand in a comment at the head of the file.
"""

from __future__ import annotations

import io
import pathlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from enum import Enum

from ezdxf import options, zoom  # type: ignore[attr-defined]
from ezdxf.document import Drawing as Document
from ezdxf.enums import TextEntityAlignment
from ezdxf.layouts.layout import Modelspace

from nesting.documents.drawing import Anchor, Dot, Drawing, Label, Layer, Path, one_line
from nesting.job import Units

MM_PER_UNIT = {Units.INCH: 25.4, Units.MILLIMETRE: 1.0}
_INSUNITS = {Units.INCH: 1, Units.MILLIMETRE: 4}
_UNIT_NAMES = {Units.INCH: "inches", Units.MILLIMETRE: "millimetres"}
_PLACES = 9
"""Digits kept after the point: finer than any machine, coarse enough to hide float dust."""


@dataclass(frozen=True)
class _Ink:
    """A layer's colour number, which reads on black and on white, and its dashes in mm (drawn, blank ...)."""

    colour: int
    dashes: tuple[float, ...] = ()


_INKS = {
    Layer.SHEET: _Ink(8),
    Layer.CUT: _Ink(7),
    Layer.MARK: _Ink(150),
    Layer.DRILL: _Ink(6),
    Layer.LABEL: _Ink(30),
    Layer.OPENING: _Ink(253, (12.0, -8.0)),
    Layer.STRUCTURE: _Ink(9),
    Layer.PANEL: _Ink(7),
    Layer.UNDERLAP: _Ink(152, (24.0, -12.0)),
    Layer.SEAM: _Ink(150, (60.0, -10.0, 0.0, -10.0)),
    Layer.RIVET: _Ink(6),
    Layer.DIMENSION: _Ink(8),
    Layer.OFFCUT: _Ink(42),
    Layer.SHEAR: _Ink(140),
}

_COMMENT = 999
"""The group code of a line that every reader passes over."""
_WIDTH_FACTOR = 0.75
"""The stroke faces of drawing programs run wider than print: this keeps words where there is room."""


class Release(Enum):
    """Which readers a file is made for, by the version that stands in its header."""

    R2000 = "AC1015"
    R12 = "AC1009"


@dataclass(frozen=True)
class DxfStyle:
    """How drawings are written; ``words`` False keeps words and arrows out of cut files."""

    release: Release = Release.R2000
    words: bool = True


def write_dxf(drawing: Drawing, path: pathlib.Path, units: Units, style: DxfStyle | None = None) -> None:
    """Write the drawing 1:1 in the job's units, the same bytes for the same drawing; release 2000 unless told.

    From a drawing of sheets (one with a SHEET layer) the DIMENSION layer is left out, and without words the
    LABEL layer and the words of every other.
    """
    style = style or DxfStyle()
    with _no_clock():
        document = _document(_to_write(drawing, style), units, style.release)
        text = io.StringIO(newline="\n")
        if style.release is Release.R12:
            text.write(f"{_COMMENT}\nAll lengths are in {_UNIT_NAMES[units]}, full size\n")
        document.write(text)
    path.write_bytes(document.encode(text.getvalue()))


def _to_write(drawing: Drawing, style: DxfStyle) -> Drawing:
    """The drawing without what does not go into the file."""
    if all(path.layer is not Layer.SHEET for path in drawing.paths):
        return drawing
    dropped = {Layer.DIMENSION} if style.words else {Layer.DIMENSION, Layer.LABEL}
    return replace(
        drawing,
        paths=tuple(path for path in drawing.paths if path.layer not in dropped),
        dots=tuple(dot for dot in drawing.dots if dot.layer not in dropped),
        labels=tuple(label for label in drawing.labels if style.words and label.layer not in dropped),
    )


@contextmanager
def _no_clock() -> Iterator[None]:
    """Keep date, time and random marks out of the file."""
    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield
    finally:
        options.write_fixed_meta_data_for_testing = before


def _document(drawing: Drawing, units: Units, release: Release) -> Document:
    document = Document.new(release.value)
    if release is Release.R2000:
        document.header["$INSUNITS"] = _INSUNITS[units]
    document.header["$MEASUREMENT"] = int(units is Units.MILLIMETRE)
    document.header["$LUNITS"] = 2
    scale = 1.0 / MM_PER_UNIT[units]
    x0, y0, x1, y1 = (round(side * scale, _PLACES) for side in drawing.extents)
    _add_layers(document, drawing, scale)
    space = document.modelspace()
    # both places: the library copies the second to the first only when no corner is the origin
    document.header["$EXTMIN"], document.header["$EXTMAX"] = (x0, y0, 0.0), (x1, y1, 0.0)
    space.reset_extents((x0, y0, 0.0), (x1, y1, 0.0))
    zoom.window(space, (x0, y0), (x1, y1))
    for path in drawing.paths:
        _add_path(space, path, scale, release)
    for dot in drawing.dots:
        _add_dot(space, dot, scale)
    for label in drawing.labels:
        _add_label(space, label, scale)
    return document


def _add_layers(document: Document, drawing: Drawing, scale: float) -> None:
    """The layers in use, with their dashes."""
    used = {path.layer for path in drawing.paths} | {dot.layer for dot in drawing.dots}
    used |= {label.layer for label in drawing.labels}
    for layer, ink in _INKS.items():
        if layer not in used:
            continue
        line = "CONTINUOUS"
        if ink.dashes:
            line = f"{layer.value}_DASH"
            pattern = [dash * scale for dash in ink.dashes]
            document.linetypes.add(line, [sum(map(abs, pattern)), *pattern])
        document.layers.add(layer.value, color=ink.colour, linetype=line)


def _add_path(space: Modelspace, path: Path, scale: float, release: Release) -> None:
    rounded = [
        (round(x * scale, _PLACES), round(y * scale, _PLACES), round(bulge, 12))
        for x, y, bulge in path.vertices
    ]
    # no edge without length: of vertices that come to lie on one another the last one keeps its bulge
    after = [*rounded[1:], rounded[0] if path.closed else (None, None)]
    points = [vertex for vertex, following in zip(rounded, after, strict=True) if vertex[:2] != following[:2]]
    if len(points) < 2:
        return
    attributes = {"layer": path.layer.value}
    # the light polyline is younger than release 12
    add = space.add_polyline2d if release is Release.R12 else space.add_lwpolyline
    add(points, format="xyb", close=path.closed, dxfattribs=attributes)


def _add_dot(space: Modelspace, dot: Dot, scale: float) -> None:
    centre = (round(dot.x * scale, _PLACES), round(dot.y * scale, _PLACES))
    space.add_circle(centre, round(dot.diameter / 2 * scale, _PLACES), dxfattribs={"layer": dot.layer.value})


def _add_label(space: Modelspace, label: Label, scale: float) -> None:
    words = plain_words(label.text)
    if not words:
        return
    text = space.add_text(
        words,
        height=round(label.height * scale, _PLACES),
        rotation=label.turn % 360,
        dxfattribs={"layer": label.layer.value, "width": _WIDTH_FACTOR},
    )
    alignments = {
        Anchor.START: TextEntityAlignment.MIDDLE_LEFT,
        Anchor.MIDDLE: TextEntityAlignment.MIDDLE_CENTER,
        Anchor.END: TextEntityAlignment.MIDDLE_RIGHT,
    }
    position = (round(label.x * scale, _PLACES), round(label.y * scale, _PLACES))
    text.set_placement(position, align=alignments[label.anchor])


def plain_words(text: str) -> str:
    """Words of a user that no reader takes for a control code.

    A doubled per cent sign, a caret and ``\\U+`` begin codes in DXF text; a blank inside makes them words.
    """
    # the escape for letters beyond the code page has four digits
    words = "".join(c if ord(c) <= 0xFFFF else "?" for c in one_line(text)).replace("^", "^ ")
    while "%%" in words:
        words = words.replace("%%", "% %")
    return words.replace("\\U+", "\\ U+").replace("\\M+", "\\ M+")
