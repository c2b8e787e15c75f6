"""Random sets of rectangles for one sheet size, and what the library rectpack makes of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product
from math import ceil
from random import Random

import rectpack

from nesting.sizing.problem import Problem, SheetSize
from tests.small_problems import packing, part

ALGORITHMS = (
    rectpack.MaxRectsBaf,
    rectpack.MaxRectsBl,
    rectpack.MaxRectsBlsf,
    rectpack.MaxRectsBssf,
    rectpack.SkylineBl,
    rectpack.SkylineBlWm,
    rectpack.SkylineMwf,
    rectpack.SkylineMwfl,
    rectpack.GuillotineBssfSas,
    rectpack.GuillotineBafMinas,
    rectpack.GuillotineBlsfLlas,
)
SORTS = (rectpack.SORT_AREA, rectpack.SORT_LSIDE, rectpack.SORT_SSIDE, rectpack.SORT_PERI)
BINS = (rectpack.PackingBin.BBF, rectpack.PackingBin.BFF, rectpack.PackingBin.Global)


@dataclass(frozen=True)
class RectangleSet:
    """Rectangles that may turn, cut from sheets of one size with a gap between them."""

    length: int
    width: int
    gap: int
    sizes: tuple[tuple[int, int], ...]

    @property
    def grown(self) -> tuple[tuple[int, int], ...]:
        """Each rectangle with the gap added; the sheet grows by it too, so what touches keeps the gap."""
        return tuple((a + self.gap, b + self.gap) for a, b in self.sizes)

    @property
    def area_bound(self) -> int:
        """No fewer sheets have the area."""
        area = sum(a * b for a, b in self.grown)
        return ceil(area / ((self.length + self.gap) * (self.width + self.gap)))


def random_set(seed: int, gap: int = 1) -> RectangleSet:
    """10 to 30 rectangles of all shapes on sheets of 120 x 60."""
    random = Random(seed)
    sizes = tuple((random.randint(8, 70), random.randint(6, 40)) for _ in range(random.randint(10, 30)))
    return RectangleSet(120, 60, gap, sizes)


def as_problem(rectangles: RectangleSet) -> Problem:
    """Our problem: a sheet costs 1, so the cost is the number of sheets."""
    sheet = SheetSize(rectangles.length + rectangles.gap, rectangles.width + rectangles.gap, 1.0)
    return packing([sheet], [(part(a, b, True), 1) for a, b in rectangles.grown])


def least_sheets_by_rectpack(rectangles: RectangleSet) -> int:
    """The fewest sheets that any setting takes: each rule, order and way to choose among open sheets."""
    settings: Sequence[tuple[object, object, object]] = list(product(ALGORITHMS, SORTS, BINS))
    return min(_sheets(rectangles, *setting) for setting in settings)


def _sheets(rectangles: RectangleSet, algorithm: object, order: object, bins: object) -> int:
    packer = rectpack.newPacker(
        mode=rectpack.PackingMode.Offline, pack_algo=algorithm, sort_algo=order, bin_algo=bins, rotation=True
    )
    for number, (a, b) in enumerate(rectangles.grown):
        packer.add_rect(a, b, number)
    packer.add_bin(rectangles.length + rectangles.gap, rectangles.width + rectangles.gap, count=float("inf"))
    packer.pack()
    assert len(packer.rect_list()) == len(rectangles.sizes)
    return len(packer)
