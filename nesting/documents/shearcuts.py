"""The cuts of a sheared sheet, edge to edge of the piece, each with the number that says when it is made."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from shapely.geometry import Point as Spot
from shapely.geometry import Polygon

from nesting.documents.dimensions import stroke
from nesting.documents.drawing import Dot, Label, Layer, Path
from nesting.documents.lettering import label_area, text_width
from nesting.plan import Cut, SheetLayout

_RING = 1.15
"""Radius of the ring around a number, in letter heights."""


def shear_cuts(
    sheet: SheetLayout, labels: Iterable[Label], letter: float
) -> tuple[tuple[Path, ...], tuple[Dot, ...], tuple[Label, ...]]:
    """A line for each cut, a ring and the cut's number, clear of ``labels``.

    A cut that starts at the edge of the sheet has its number outside the sheet, any other beside its line.
    """
    taken = [label_area(label) for label in labels]
    paths: list[Path] = []
    dots: list[Dot] = []
    numbers: list[Label] = []
    for cut in sorted(sheet.cuts, key=lambda cut: cut.order):
        text = str(cut.order)
        about = f"cut {text}"
        size = min(letter, letter * 1.6 / text_width(text, 1.0))
        x, y, radius = _spot(cut, sheet, letter * _RING, taken)
        taken.append(Spot(x, y).buffer(radius))
        start, end = _ends(cut)
        paths.append(stroke([_led(start, (x, y), radius, sheet), end], Layer.SHEAR, about))
        dots.append(Dot(x, y, 2 * radius, Layer.SHEAR, about))
        numbers.append(Label(x, y, text, size * radius / (letter * _RING), Layer.SHEAR, about=about))
    return tuple(paths), tuple(dots), tuple(numbers)


def _ends(cut: Cut) -> tuple[tuple[float, float], tuple[float, float]]:
    """The ends of a cut, that nearer the top or the left edge first."""
    x0, y0, x1, y1 = cut.piece
    if cut.axis == "x":
        return (cut.at, y1), (cut.at, y0)
    return (x0, cut.at), (x1, cut.at)


def _led(
    start: tuple[float, float], ring: tuple[float, float], radius: float, sheet: SheetLayout
) -> tuple[float, float]:
    """Where the line begins: at the ring if that stands outside the sheet, in line with the cut."""
    x, y = ring
    if x == start[0] and y > sheet.stock.width:
        return x, y - radius
    if y == start[1] and x < 0:
        return x + radius, y
    return start


def _spot(cut: Cut, sheet: SheetLayout, radius: float, taken: list[Polygon]) -> tuple[float, float, float]:
    """Centre and radius of the first free ring; the ring shrinks if there is no place."""
    while radius > 0.1:
        for x, y in _candidates(cut, sheet, radius):
            ring = Spot(x, y).buffer(radius)
            if not any(ring.intersects(other) for other in taken):
                return x, y, radius
        radius *= 0.8
    return (*_ends(cut)[0], radius)


def _candidates(cut: Cut, sheet: SheetLayout, radius: float) -> Iterator[tuple[float, float]]:
    (sx, sy), (ex, ey) = _ends(cut)
    steps = [1.5 * radius + 2.4 * radius * tier for tier in range(2)]
    if cut.axis == "x" and abs(sy - sheet.stock.width) < 1e-6:
        yield from ((sx, sy + step) for step in steps)
    if cut.axis == "y" and abs(sx) < 1e-6:
        yield from ((sx - step, sy) for step in steps)
    across = (radius * 1.4, 0.0) if cut.axis == "x" else (0.0, radius * 1.4)
    for share in (0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9):
        x, y = sx + share * (ex - sx), sy + share * (ey - sy)
        for hand in (1, -1):
            spot = (x + hand * across[0], y + hand * across[1])
            if _inside(spot, radius, sheet):
                yield spot


def _inside(spot: tuple[float, float], radius: float, sheet: SheetLayout) -> bool:
    x, y = spot
    return radius <= x <= sheet.stock.length - radius and radius <= y <= sheet.stock.width - radius
