"""Words that must fit: how much room they take, and a free place for them inside a shape.

All lengths in drawing millimetres; the height of letters is their cap height.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from math import cos, hypot, radians, sin

from shapely.affinity import rotate
from shapely.geometry import MultiPolygon, Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.prepared import prep

from nesting.documents.drawing import Anchor, Dot, Label, Layer, Path, one_line
from nesting.outline import Box, Ring, bounds

LINE_GAP = 0.8
"""Between two lines of words, as a share of the letter height: tails and accents need about a third."""

_LONG_WORD = 8
"""A word of so many letters to a line may be broken."""

_NARROW = frozenset("ijlI.,:;'|!`")
_SLIM = frozenset(' frt()[]{}/\\-"^*')
_BROAD = frozenset("mwMW@%—")


def text_width(text: str, height: float) -> float:
    """About how long a line of words is in a plain sans serif face, rather too long than too short."""
    return height * sum(map(_advance, text))


def _advance(character: str) -> float:
    if character in _NARROW:
        return 0.42
    if character in _SLIM:
        return 0.55
    if character in _BROAD:
        return 1.3
    if unicodedata.east_asian_width(character) in "WF":
        return 1.45
    return 1.0 if character.isupper() else 0.8


def label_area(label: Label) -> Polygon:
    """The rectangle that a label covers, turned as the label is."""
    width = text_width(label.text, label.height)
    start = {Anchor.START: 0.0, Anchor.MIDDLE: -width / 2, Anchor.END: -width}[label.anchor]
    left, middle = label.x + start, label.y
    area = box(left, middle - label.height / 2, left + width, middle + label.height / 2)
    return rotate(area, label.turn, origin=(label.x, label.y)) if label.turn else area


def extents_of(paths: Iterable[Path], dots: Iterable[Dot], labels: Iterable[Label]) -> Box:
    """Least x, y and greatest x, y of all that is drawn, words included (all 0 when there is nothing)."""
    boxes = [bounds(path.vertices) if path.closed else _open_bounds(path.vertices) for path in paths]
    boxes += [
        (d.x - d.diameter / 2, d.y - d.diameter / 2, d.x + d.diameter / 2, d.y + d.diameter / 2) for d in dots
    ]
    boxes += [label_area(label).bounds for label in labels if label.text]
    if not boxes:
        return 0.0, 0.0, 0.0, 0.0
    lowest_x, lowest_y, highest_x, highest_y = zip(*boxes, strict=True)
    return min(lowest_x), min(lowest_y), max(highest_x), max(highest_y)


def _open_bounds(vertices: Ring) -> Box:
    # the edge from the last vertex back to the first is not there: the last bulge must not count
    return bounds((*vertices[:-1], (*vertices[-1][:2], 0.0)))


@dataclass(frozen=True)
class Block:
    """Words and lines that stay together, drawn about (0, 0) inside ``extents``."""

    extents: Box
    labels: tuple[Label, ...] = ()
    paths: tuple[Path, ...] = ()

    @property
    def width(self) -> float:
        return self.extents[2] - self.extents[0]

    @property
    def height(self) -> float:
        return self.extents[3] - self.extents[1]

    def moved(self, dx: float, dy: float) -> Block:
        """The block shifted."""
        x0, y0, x1, y1 = self.extents
        return Block(
            (x0 + dx, y0 + dy, x1 + dx, y1 + dy),
            tuple(label.moved(dx, dy) for label in self.labels),
            tuple(path.moved(dx, dy) for path in self.paths),
        )

    def centred(self) -> Block:
        """The block with the middle of its extents at (0, 0)."""
        x0, y0, x1, y1 = self.extents
        if x0 + x1 == 0.0 and y0 + y1 == 0.0:
            return self
        return self.moved(-(x0 + x1) / 2, -(y0 + y1) / 2)


@dataclass(frozen=True)
class Place:
    """Where a centred block goes, and how far it is turned counter-clockwise (degrees)."""

    x: float
    y: float
    turn: float = 0.0

    def point(self, x: float, y: float) -> tuple[float, float]:
        """Where a point of the block lies in the drawing."""
        c, s = _cos_sin(self.turn)
        return self.x + x * c - y * s, self.y + x * s + y * c

    def labels(self, block: Block) -> tuple[Label, ...]:
        """The block's words in the drawing."""
        placed = []
        for label in block.labels:
            x, y = self.point(label.x, label.y)
            placed.append(replace(label, x=x, y=y, turn=label.turn + self.turn))
        return tuple(placed)

    def paths(self, block: Block) -> tuple[Path, ...]:
        """The block's lines in the drawing."""
        return tuple(replace(path, vertices=self._ring(path.vertices)) for path in block.paths)

    def _ring(self, ring: Ring) -> Ring:
        return tuple((*self.point(x, y), bulge) for x, y, bulge in ring)


def words(lines: Sequence[tuple[str, float]], layer: Layer = Layer.LABEL, about: str = "") -> Block:
    """Lines of words one under the other, each with its letter height, middles above each other."""
    labels: list[Label] = []
    top = 0.0
    width = 0.0
    for text, height in lines:
        text = one_line(text)
        if labels:
            top -= height * LINE_GAP
        labels.append(Label(0.0, top - height / 2, text, height, layer, about=about))
        top -= height
        width = max(width, text_width(text, height))
    return Block((-width / 2, top, width / 2, 0.0), tuple(labels)).centred()


def under(upper: Block, lower: Block, gap: float) -> Block:
    """One block below the other, middles above each other."""
    shift = -(upper.height / 2 + gap + lower.height / 2)
    return _joined(upper.centred(), lower.centred().moved(0.0, shift)).centred()


def beside(left: Block, right: Block, gap: float) -> Block:
    """One block to the right of the other."""
    shift = left.width / 2 + gap + right.width / 2
    return _joined(left.centred(), right.centred().moved(shift, 0.0)).centred()


def _joined(a: Block, b: Block) -> Block:
    extents = (
        min(a.extents[0], b.extents[0]),
        min(a.extents[1], b.extents[1]),
        max(a.extents[2], b.extents[2]),
        max(a.extents[3], b.extents[3]),
    )
    return Block(extents, a.labels + b.labels, a.paths + b.paths)


def wrapped(text: str, count: int) -> tuple[str, ...] | None:
    """Words broken into ``count`` lines as even as they come; None if there are too few words.

    A single long word is broken where it must be.
    """
    parts = one_line(text).split(" ")
    if count == 1:
        return (" ".join(parts),)
    if len(parts) == 1 and len(text) >= _LONG_WORD * count:
        step = -(-len(parts[0]) // count)
        return tuple(parts[0][i : i + step] for i in range(0, len(parts[0]), step))
    if count > len(parts):
        return None
    best: tuple[str, ...] | None = None
    for first in range(1, len(parts) - count + 2):
        rest = wrapped(" ".join(parts[first:]), count - 1)
        if rest is not None:
            lines = (" ".join(parts[:first]), *rest)
            if best is None or _longest(lines) < _longest(best):
                best = lines
    return best


def _longest(lines: Iterable[str]) -> float:
    return max(text_width(line, 1.0) for line in lines)


class Room:
    """A shape in which words may stand, and the pieces of it that no line crosses."""

    def __init__(self, shape: BaseGeometry, lines: BaseGeometry | None = None, clear: float = 0.0) -> None:
        self._whole = _pieces(shape)
        self._free = self._whole
        if lines is not None and not lines.is_empty:
            self._free = _pieces(shape.difference(lines.buffer(clear)))

    def may_hold(self, wide: float, high: float, turn: float, crossing: bool = False) -> bool:
        """False where nothing as wide and high as this can stand: asked before words are set for it."""
        return any(
            wide <= x1 - x0 and high <= y1 - y0
            for piece in (self._whole if crossing else self._free)
            for x0, y0, x1, y1 in [_level(piece, turn).bounds]
        )

    def place(self, block: Block, turns: Sequence[float], crossing: bool = False) -> Place | None:
        """Where the block (with (0, 0) at its middle) fits; None if it does not.

        ``turns`` are tried in order; ``crossing`` allows it to lie across lines.
        """
        for piece in self._whole if crossing else self._free:
            for turn in turns:
                place = _place_in(piece, block, turn)
                if place is not None:
                    return place
        return None


def _pieces(shape: BaseGeometry) -> tuple[Polygon, ...]:
    if isinstance(shape, Polygon):
        found = [shape]
    elif isinstance(shape, MultiPolygon):
        found = list(shape.geoms)
    else:
        found = [part for part in getattr(shape, "geoms", ()) if isinstance(part, Polygon)]
    full = [piece for piece in found if not piece.is_empty]
    roomy = 0.75 * max((piece.area for piece in full), default=0.0)
    middle = shape.centroid
    # of the roomy pieces that nearest the middle first, so that words stand where they are looked for
    return tuple(
        sorted(
            full,
            key=lambda p: (
                p.area < roomy,
                0.0 if p.area >= roomy else -round(p.area, -2),
                round(hypot(p.centroid.x - middle.x, p.centroid.y - middle.y), 3),
                p.bounds,
            ),
        )
    )


_SHARES = (0.5, 0.35, 0.65, 0.2, 0.8, 0.08, 0.92, 0.0, 1.0)
"""Where in the play of a piece to try the block: the middle first."""


def _place_in(piece: Polygon, block: Block, turn: float) -> Place | None:
    level = _level(piece, turn)
    x0, y0, x1, y1 = level.bounds
    wide, high = block.width, block.height
    if wide > x1 - x0 or high > y1 - y0 or wide * high > piece.area:
        return None
    inside = prep(level)
    c, s = _cos_sin(turn)
    for x, y in _centres(level, wide, high):
        if inside.covers(box(x - wide / 2, y - high / 2, x + wide / 2, y + high / 2)):
            return Place(x * c - y * s, x * s + y * c, turn)
    return None


def _level(piece: Polygon, turn: float) -> Polygon:
    """The piece turned back, so that a block lies level in it and its extents are those along the block."""
    return rotate(piece, -turn, origin=(0, 0)) if turn else piece


def _centres(piece: Polygon, wide: float, high: float) -> Iterator[tuple[float, float]]:
    x0, y0, x1, y1 = piece.bounds
    spots = [
        (x0 + wide / 2 + share_x * (x1 - x0 - wide), y0 + high / 2 + share_y * (y1 - y0 - high))
        for share_y in _SHARES
        for share_x in _SHARES
    ]
    spots.sort(key=lambda spot: _away(spot, piece.bounds))
    yield from spots
    inner = piece.representative_point()
    yield inner.x, inner.y


def _away(spot: tuple[float, float], extents: Sequence[float]) -> float:
    x0, y0, x1, y1 = extents
    return round(hypot(spot[0] - (x0 + x1) / 2, spot[1] - (y0 + y1) / 2), 3)


def _cos_sin(turn: float) -> tuple[float, float]:
    if turn % 90 == 0:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(turn // 90) % 4]
    return cos(radians(turn)), sin(radians(turn))
