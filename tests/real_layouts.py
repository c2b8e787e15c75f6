"""Sheets cut up at random: parts that are known to fit together, because they were cut from one sheet."""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import numpy as np
from hypothesis import strategies as st
from numpy.typing import NDArray

from nesting.sizing.problem import PartClass, Pattern, SheetSize
from nesting.sizing.sheetbounds import SheetRows
from tests.small_problems import part

Box = tuple[int, int, int, int]
"""Left, bottom, length and width."""


@dataclass(frozen=True)
class RealLayout:
    """A sheet and what was cut from it: the class of each part and how it lay (along, across)."""

    sheet: SheetSize
    classes: tuple[PartClass, ...]
    lies: tuple[tuple[int, int, int], ...]

    @property
    def pattern(self) -> Pattern:
        """The parts as the optimiser counts them."""
        return tuple(sorted(Counter(k for k, _, _ in self.lies).items()))

    def counts(self, rows: SheetRows) -> NDArray[np.int64]:
        """How many parts lie in each of the ways that the rows know."""
        counts = np.zeros(len(rows.owner), np.int64)
        ways = list(zip(rows.owner.tolist(), rows.along.tolist(), rows.across.tolist(), strict=True))
        for way in self.lies:
            counts[ways.index(way)] += 1
        return counts


@st.composite
def real_layouts(
    draw: st.DrawFn, most_side: int = 400, depth: int = 3, edge_to_edge: bool = False
) -> RealLayout:
    """A sheet cut up by straight cuts and, unless ``edge_to_edge``, by pinwheels; some classes beside what was cut."""
    sheet = SheetSize(draw(st.integers(2, most_side)), draw(st.integers(2, most_side)), 1.0)
    boxes = draw(cut_up((0, 0, sheet.length, sheet.width), depth, edge_to_edge))
    classes: list[PartClass] = []
    lies = []
    for _, _, a, b in boxes:
        kind = part(a, b, draw(st.booleans()))
        if kind not in classes:
            classes.append(kind)
        lies.append((classes.index(kind), a, b))
    for _ in range(draw(st.integers(0, 2))):
        other = part(draw(st.integers(1, most_side)), draw(st.integers(1, most_side)), draw(st.booleans()))
        if other not in classes:
            classes.append(other)
    return RealLayout(sheet, tuple(classes), tuple(lies))


@st.composite
def cut_up(draw: st.DrawFn, box: Box, depth: int, edge_to_edge: bool) -> list[Box]:
    """A piece left as it is, trimmed, thrown away, or cut up further."""
    x, y, a, b = box
    kinds = ["whole", "whole", "trimmed"] if depth == 0 else ["along", "across", "along", "across", "whole"]
    if depth and a >= 3 and b >= 3 and not edge_to_edge:
        kinds.append("pinwheel")
    kind = draw(st.sampled_from(kinds))
    pieces: list[Box] = []
    if kind == "across" and a >= 2:
        at = draw(st.integers(1, a - 1))
        pieces = [(x, y, at, b), (x + at, y, a - at, b)]
    elif kind == "along" and b >= 2:
        at = draw(st.integers(1, b - 1))
        pieces = [(x, y, a, at), (x, y + at, a, b - at)]
    elif kind == "pinwheel":
        left, right = sorted(draw(st.lists(st.integers(1, a - 1), min_size=2, max_size=2, unique=True)))
        low, high = sorted(draw(st.lists(st.integers(1, b - 1), min_size=2, max_size=2, unique=True)))
        return [
            (x, y, right, low),
            (x + right, y, a - right, high),
            (x + left, y + high, a - left, b - high),
            (x, y + low, left, b - low),
            (x + left, y + low, right - left, high - low),
        ]
    elif kind == "trimmed":
        return [(x, y, draw(st.integers(1, a)), draw(st.integers(1, b)))]
    if not pieces:
        return [box]
    return [cut for piece in pieces for cut in draw(cut_up(piece, depth - 1, edge_to_edge))]
