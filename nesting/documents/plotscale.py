"""Paper for plots of a table of raises: where raises lie, scales in round numbers, lines and words so far."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import ceil, floor, log10

from nesting.documents.drawing import Anchor, Label, Layer, Path
from nesting.outline import Ring
from nesting.raisetable import RaiseRow, Taken
from shared.tables import MM_PER_INCH
from shared.units import SNAP_MM

LEFT, RIGHT = 24.0, 276.0
"""Where the scale of raises begins and ends on the paper."""
WORDS = 2.6
"""Usual cap height."""
_CLOSEST_NUMBERS = 5.0
"""mm: steps narrower than this have their numbers left out, but for every few."""


@dataclass(frozen=True)
class Scale:
    """Raises in mm along the paper: every row is a step of ``step`` about its own raise."""

    first: float
    last: float
    step: float

    @classmethod
    def over(cls, rows: Sequence[RaiseRow]) -> Scale:
        heights = sorted(row.raise_height for row in rows) or [0.0]
        apart = [high - low for low, high in pairwise(heights)]
        step = min(apart, default=MM_PER_INCH)
        return cls(heights[0] - step / 2, heights[-1] + step / 2, step)

    def x(self, raise_height: float) -> float:
        """Where a raise lies on the paper, the ends of the scale at the most."""
        share = (raise_height - self.first) / (self.last - self.first)
        return LEFT + (RIGHT - LEFT) * min(1.0, max(0.0, share))

    def span(self, row: RaiseRow) -> tuple[float, float]:
        """Left and right end of a row's step."""
        return self.x(row.raise_height - self.step / 2), self.x(row.raise_height + self.step / 2)

    def after(self, most: float) -> float:
        """Where the last step ends that is not over ``most``: whole steps are within a limit or past it."""
        steps = floor((most - self.first - self.step / 2 + SNAP_MM) / self.step) + 1
        return self.x(self.first + steps * self.step)

    def holds(self, raise_height: float) -> bool:
        return self.first <= raise_height < self.last - self.step / 2

    @property
    def stride(self) -> int:
        """Every which step has room for its number."""
        width = (RIGHT - LEFT) * self.step / (self.last - self.first)
        return max(1, ceil(_CLOSEST_NUMBERS / width))


@dataclass(frozen=True)
class Frame:
    """One picture: where it stands on the paper."""

    foot: float
    height: float

    @property
    def top(self) -> float:
        return self.foot + self.height


class Drawn:
    """Lines and words so far."""

    def __init__(self) -> None:
        self.paths: list[Path] = []
        self.labels: list[Label] = []

    def line(self, layer: Layer, *points: tuple[float, float]) -> None:
        self.paths.append(Path(tuple((x, y, 0.0) for x, y in points), False, layer))

    def area(self, layer: Layer, ring: Ring) -> None:
        self.paths.append(Path(ring, True, layer))

    def words(
        self,
        x: float,
        y: float,
        text: str,
        height: float = WORDS,
        anchor: Anchor = Anchor.MIDDLE,
        turn: float = 0.0,
        layer: Layer = Layer.LABEL,
    ) -> None:
        self.labels.append(Label(x, y, text, height, layer, anchor, turn))


def unbroken(rows: Iterable[RaiseRow], scale: Scale) -> Iterable[list[tuple[RaiseRow, Taken]]]:
    """Runs of neighbouring rows that have a plan."""
    run: list[tuple[RaiseRow, Taken]] = []
    for row in rows:
        if run and (row.taken is None or row.raise_height - run[-1][0].raise_height > 1.5 * scale.step):
            yield run
            run = []
        if row.taken is not None:
            run.append((row, row.taken))
    if run:
        yield run


def money_scale(least: float, most: float) -> tuple[float, float, float]:
    """Foot, top and tick of a scale in round numbers: from nothing, or nearer where the steps would be hard to see."""
    spread = most - least
    low = 0.0 if spread > 0.25 * most or most <= 0 else max(0.0, least - max(spread, 0.05 * most))
    step = round_step((max(most, 1.0) - low) / 6)
    low = floor(low / step) * step
    return low, max(low + step, ceil(most / step - 1e-9) * step), step


def round_step(rough: float) -> float:
    """1, 2 or 5 times a power of ten, not less than ``rough``."""
    power = 10.0 ** floor(log10(rough))
    return next(times * power for times in (1.0, 2.0, 5.0, 10.0) if times * power >= rough - 1e-9)
