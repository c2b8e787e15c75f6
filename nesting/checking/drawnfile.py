"""A written DXF file read back as values in mm, for the check of drawings; it shares nothing with the writer."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import ezdxf

from nesting.checking.linework import Drawn, Line, Round, Words, without_dust

UNIT_OF_CODE = {1: 25.4, 4: 1.0}
"""mm of a unit by the code in a header: 1 inch, 4 millimetre (a, DXF reference)."""

UNIT_OF_NAME = {"inches": 25.4, "millimetres": 1.0}
"""mm of a unit by its name in the comment at the head of a file whose release has no code for it."""

_BEFORE_CODES = "AC1009"
"""Release 12: its header cannot say a unit."""

_ESCAPE = re.compile(r"\\U\+([0-9A-Fa-f]{4})")
"""How a letter beyond the code page of a file stands in it."""

Entity = Any


def read_drawn(path: Path) -> Drawn:
    """Everything that stands in the drawing's model space, scaled to mm by the unit that the file itself names.

    Where it names none, numbers are left as they are.  Raises what the reading library raises on a broken file.
    """
    document = ezdxf.readfile(path)  # type: ignore[attr-defined]
    unit = _unit_in_head(path) if document.dxfversion == _BEFORE_CODES else _unit_in_header(document)
    scale = unit or 1.0
    lines, rounds, words, others = [], [], [], []
    for entity in document.modelspace():
        kind, layer = entity.dxftype(), str(entity.dxf.get("layer", "0"))
        if _leaves_the_plane(entity):
            others.append((f"{kind} that is mirrored or out of the plane", layer))
        elif kind in ("LWPOLYLINE", "POLYLINE"):
            line = _line(entity, kind, layer, scale)
            if len(line.ring) < 2:
                others.append((f"{kind} without length", layer))
            else:
                lines.append(line)
        elif kind == "CIRCLE":
            centre = entity.dxf.center
            rounds.append(Round(layer, centre.x * scale, centre.y * scale, 2 * entity.dxf.radius * scale))
        elif kind == "TEXT":
            words.append(_words(entity, layer, scale))
        else:
            others.append((kind, layer))
    return Drawn(unit, tuple(lines), tuple(rounds), tuple(words), tuple(others))


def _line(entity: Entity, kind: str, layer: str, scale: float) -> Line:
    if kind == "LWPOLYLINE":
        points, closed = [(x, y, b) for x, y, b in entity.get_points("xyb")], bool(entity.closed)
    else:
        places = [(v.dxf.location, v.dxf.get("bulge", 0.0)) for v in entity.vertices]
        points, closed = [(at.x, at.y, bulge) for at, bulge in places], bool(entity.is_closed)
    ring = tuple((x * scale, y * scale, bulge) for x, y, bulge in points)
    return Line(layer, without_dust(ring, closed) if ring else ring, closed)


def _words(entity: Entity, layer: str, scale: float) -> Words:
    place = entity.get_placement()[1]
    text = _ESCAPE.sub(lambda code: chr(int(code[1], 16)), str(entity.dxf.text))
    return Words(layer, place.x * scale, place.y * scale, text)


def _leaves_the_plane(entity: Entity) -> bool:
    """A direction of extrusion other than straight up mirrors or tilts what is drawn."""
    return tuple(entity.dxf.get("extrusion", (0, 0, 1))) != (0, 0, 1)


def _unit_in_header(document: Any) -> float | None:
    return UNIT_OF_CODE.get(int(document.header.get("$INSUNITS", 0)))


def _unit_in_head(path: Path) -> float | None:
    """The unit that the comment in the first lines of a file names."""
    with path.open(encoding="ascii", errors="replace") as file:
        code, comment = file.readline().strip(), file.readline()
    named = [unit for name, unit in UNIT_OF_NAME.items() if name in comment.replace(",", " ").split()]
    return named[0] if code == "999" and len(named) == 1 else None
