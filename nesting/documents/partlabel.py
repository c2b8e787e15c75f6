"""What stands on a part: its name, size, which face is up, and arrows to the roof and to the front.

The words are as large as the part allows; a small part gets a shorter form, its name always.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from shapely.geometry.base import BaseGeometry

from nesting.documents.dimensions import arrow
from nesting.documents.drawing import Label, Layer, Path, one_line
from nesting.documents.lettering import (
    LINE_GAP,
    Block,
    Place,
    Room,
    beside,
    text_width,
    under,
    words,
    wrapped,
)
from nesting.documents.placement import direction
from nesting.outline import as_polygon, bounds
from nesting.plan import PlacedPart

_SMALL = 0.62
"""Letters of everything but the name, as a share of the name's."""


@dataclass(frozen=True)
class PartWords:
    """What to say on a part; angles in degrees counter-clockwise, ``forward`` None for a patch."""

    name: str
    size: str
    face_down: bool
    up: float
    forward: float | None
    warning: str = ""


def part_label(
    part: PlacedPart, say: PartWords, lines: BaseGeometry, largest: float
) -> tuple[tuple[Label, ...], tuple[Path, ...]]:
    """The labels and arrows of a placed part, inside its outline.

    They keep off its marks (``lines``) where there is room.  ``largest`` is the letter
    height of a name where the part is big enough.
    """
    x0, y0, x1, y1 = bounds(part.outline)
    clear = min(0.25 * largest, 0.06 * min(x1 - x0, y1 - y0))
    room = Room(as_polygon(part.outline, part.holes, tolerance=0.1).buffer(-clear), lines, clear=clear)
    turns = _turns(part)
    # the longest line of the name when it is broken as often as it may be, in letters of height 1
    narrowest = min(
        max(text_width(line, 1.0) for line in broken)
        for count in (1, 2, 3)
        for broken in [wrapped(say.name, count)]
        if broken is not None
    )
    for form, shares, crossing in _ATTEMPTS:
        for turn in turns:
            for share in shares:
                height = largest * share
                if not room.may_hold(narrowest * height, height, turn, crossing):
                    continue
                for block in form(say, height, turn):
                    place = room.place(block, (turn,), crossing)
                    if place is not None:
                        return _set(block, place, part.part)
    return _last_resort(part, say)


def _turns(part: PlacedPart) -> tuple[float, ...]:
    """Ways to turn the words: level, along a part that lies askew, and upright (read from the right)."""
    askew = (part.turn + 90.0) % 180.0 - 90.0
    return (0.0, 90.0) if part.turn % 90 == 0 else (0.0, askew, 90.0)


class _Form:
    """A way to put the same facts: blocks to try, the best first."""

    def __init__(self, arrows: bool, letters: bool, face: str, size: bool) -> None:
        self.arrows, self.letters, self.face, self.size = arrows, letters, face, size

    def __call__(self, say: PartWords, height: float, turn: float) -> Iterator[Block]:
        small = height * _SMALL
        rest = [words([(say.size, small)], Layer.DIMENSION)] if self.size and say.size else []
        if self.face:
            rest.append(words([(f"{self.face} {'down' if say.face_down else 'up'}", small)]))
        elif say.face_down:
            rest.append(words([("face down", small)]))
        if say.warning:
            rest.append(words([(say.warning, small)]))
        symbol = _symbol(say, small, turn, self.letters) if self.arrows else None
        for count in (1, 2, 3):
            name = wrapped(say.name, count)
            if name is None:
                break
            block = words([(line, height) for line in name])
            for line in rest:
                block = under(block, line, small * LINE_GAP)
            if symbol is None:
                yield block
            else:
                yield under(block, symbol, small)
                yield beside(block, symbol, small)
        if symbol is not None and self.letters:
            # one line and the arrows beside it, for long narrow parts
            row = words([(one_line(say.name), height)])
            for line in rest:
                row = beside(row, line, height)
            yield beside(row, symbol, height)


_full = _Form(arrows=True, letters=True, face="outside face", size=True)
_short = _Form(arrows=True, letters=True, face="face", size=False)
_arrow_only = _Form(arrows=True, letters=False, face="", size=False)
_name_only = _Form(arrows=False, letters=False, face="", size=False)


_ATTEMPTS: tuple[tuple[_Form, tuple[float, ...], bool], ...] = (
    (_full, (1.0, 0.8, 0.64, 0.5), False),
    (_full, (1.0, 0.8, 0.64, 0.5), True),
    (_full, (0.4, 0.32), False),
    (_short, (0.5, 0.4), False),
    (_arrow_only, (0.5, 0.4), False),
    (_short, (0.32, 0.25), True),
    (_arrow_only, (0.5, 0.4, 0.32), True),
    (_arrow_only, (0.25,), True),
    (_name_only, (0.4, 0.32), True),
    (_arrow_only, (0.2, 0.16), True),
    (_name_only, tuple(0.4 * 0.8**step for step in range(20)), True),
)
"""Forms, letter heights as shares of the largest, and whether words may lie across marks; the best first."""


def _symbol(say: PartWords, letter: float, turn: float, letters: bool) -> Block:
    """Arrows from one corner: up, and forward for a panel; without letters the one arrow means up."""
    arms = [(say.up, "UP")]
    if say.forward is not None and letters:
        arms.append((say.forward, "FWD"))
    paths: list[Path] = []
    labels: list[Label] = []
    xs, ys = [0.0], [0.0]
    for angle, text in arms:
        ux, uy = direction(angle - turn)
        reach = (3.2 if letters else 2.4) * letter
        shaft, head = arrow(0.0, 0.0, (ux, uy), reach, Layer.LABEL)
        paths += (shaft, head)
        for path in (shaft, head):
            xs += [x for x, _, _ in path.vertices]
            ys += [y for _, y, _ in path.vertices]
        if letters:
            wide = text_width(text, letter)
            out = reach + 0.4 * letter + abs(ux) * wide / 2 + abs(uy) * letter / 2
            labels.append(Label(ux * out, uy * out, text, letter))
            xs += [ux * out - wide / 2, ux * out + wide / 2]
            ys += [uy * out - letter / 2, uy * out + letter / 2]
    return Block((min(xs), min(ys), max(xs), max(ys)), tuple(labels), tuple(paths)).centred()


def _set(block: Block, place: Place, part: str) -> tuple[tuple[Label, ...], tuple[Path, ...]]:
    labels = tuple(replace(label, about=part) for label in place.labels(block))
    return labels, tuple(replace(path, about=part) for path in place.paths(block))


def _last_resort(part: PlacedPart, say: PartWords) -> tuple[tuple[Label, ...], tuple[Path, ...]]:
    """The name, however small, at a point that lies in the part."""
    inner = as_polygon(part.outline, part.holes).representative_point()
    x0, y0, x1, y1 = bounds(part.outline)
    height = 0.1 * min(x1 - x0, y1 - y0) / max(1.0, text_width(say.name, 1.0))
    return (Label(inner.x, inner.y, one_line(say.name), height, about=part.part),), ()
