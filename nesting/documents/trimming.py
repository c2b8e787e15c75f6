"""The word on a line along which a part is trimmed after the shear has freed its rectangle."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from nesting.documents.cutlines import is_trimmed, trim_paths
from nesting.documents.drawing import Label, Layer
from nesting.documents.lettering import Room, label_area, words
from nesting.outline import as_polygon, bounds, rectangle
from nesting.plan import PlacedPart, SheetLayout

TRIM = "trim"


def trim_word(
    sheet: SheetLayout, part: PlacedPart, said: Iterable[Label], letter: float
) -> tuple[Label, ...]:
    """The word "trim" for each piece that comes off a sheared part, on the piece where it has room, else beside.

    ``said`` are words that stand on the part already.
    """
    if not is_trimmed(sheet, part):
        return ()
    whole = as_polygon(rectangle(*bounds(part.outline)))
    metal = as_polygon(part.outline, part.holes, tolerance=0.1)
    off = whole.difference(as_polygon(part.outline, tolerance=0.1))
    taken: list[BaseGeometry] = [label_area(label) for label in said]
    found: list[Label] = []
    for piece in getattr(off, "geoms", (off,)):
        if piece.area < 1.0:
            continue
        label = _placed(piece, letter) or _near(piece, metal, taken, letter)
        if label is not None:
            label = replace(label, layer=Layer.MARK, about=part.part)
            found.append(label)
            taken.append(label_area(label))
    if not found:
        # many small pieces, such as round corners: one word in the metal beside the line
        lines = [LineString([v[:2] for v in path.vertices]) for path in trim_paths(sheet, part)]
        for line in lines:
            label = _near(line.buffer(letter), metal, taken, 0.5 * letter)
            if label is not None:
                return (replace(label, layer=Layer.MARK, about=part.part),)
    return tuple(found)


def _placed(room: BaseGeometry, letter: float) -> Label | None:
    """The word in a shape, as large as it comes."""
    for share in (1.0, 0.8, 0.64, 0.5):
        block = words([(TRIM, share * letter)])
        place = Room(room.buffer(-0.1 * letter)).place(block, (0.0, 90.0))
        if place is not None:
            return place.labels(block)[0]
    return None


def _near(
    piece: BaseGeometry, metal: BaseGeometry, taken: Iterable[BaseGeometry], letter: float
) -> Label | None:
    """The word in the metal beside a piece that is too small for it."""
    room = metal.intersection(piece.buffer(3 * letter)).buffer(-0.1 * letter)
    for area in taken:
        room = room.difference(area)
    return _placed(room, letter)
