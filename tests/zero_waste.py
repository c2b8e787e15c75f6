"""Sets of rectangles that come out of so many sheets without any waste: sheets cut edge to edge at random.

Lengths are whole quarter inches.  A sheet's price is its area, so no plan costs less than the area of the parts, and
the one from which they were cut costs just that, whether parts are placed freely or cut edge to edge.
"""

from __future__ import annotations

from dataclasses import dataclass
from random import Random

SIZES = ((384, 192), (480, 192), (480, 240), (576, 240), (384, 144))
"""8 x 4, 10 x 4, 10 x 5, 12 x 5 and 8 x 3 feet in quarter inches, length first."""

LEAST = 8
"""No part is narrower: 2 inches."""

Size = tuple[int, int]


@dataclass(frozen=True)
class ZeroWaste:
    """``sizes`` may be bought in any number; ``pieces`` in no order, each as (along, across) once lay."""

    sizes: tuple[Size, ...]
    cut_up: tuple[Size, ...]
    """The sheets that were cut."""
    pieces: tuple[Size, ...]

    @property
    def area(self) -> int:
        """The least cost there is."""
        return sum(length * width for length, width in self.cut_up)


def zero_waste(
    seed: int, parts: int, *, sheets: int, kinds: int = 1, turn: bool = False, least: int = LEAST
) -> ZeroWaste:
    """Cuts ``sheets`` sheets of ``kinds`` sizes into so many parts; with ``turn`` some parts are told turned."""
    random = Random(f"{seed} {parts} {sheets} {kinds} {turn}")
    sizes = tuple(random.sample(SIZES, kinds))
    cut_up = tuple(random.choice(sizes) for _ in range(min(sheets, parts)))
    pieces = list(cut_up)
    while len(pieces) < parts:
        length, width = pieces.pop(_drawn(random, pieces, least))
        lengthwise = random.random() * (length + width) < length
        if width < 2 * least or (lengthwise and length >= 2 * least):
            at = random.randint(least, length - least)
            pieces += [(at, width), (length - at, width)]
        else:
            at = random.randint(least, width - least)
            pieces += [(length, at), (length, width - at)]
    random.shuffle(pieces)
    told = [(b, a) if turn and random.random() < 0.5 else (a, b) for a, b in pieces]
    return ZeroWaste(sizes, cut_up, tuple(told))


def _drawn(random: Random, pieces: list[Size], least: int) -> int:
    """A piece that can be cut in two, the larger the likelier."""
    weights = [a * b if max(a, b) >= 2 * least else 0 for a, b in pieces]
    return random.choices(range(len(pieces)), weights)[0]
