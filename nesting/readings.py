"""What a tape read at a four-sided bay, and how well the readings agree: values only."""

from __future__ import annotations

from dataclasses import dataclass
from math import hypot
from typing import TypeAlias

Point: TypeAlias = tuple[float, float]

Corners: TypeAlias = tuple[Point, Point, Point, Point]

SPANS: dict[str, tuple[int, int]] = {
    "top": (2, 3),
    "bottom": (0, 1),
    "left": (3, 0),
    "right": (1, 2),
    "diagonal_rising": (0, 2),
    "diagonal_falling": (3, 1),
}
"""The corners between which each reading runs."""


def length_of(key: str, corners: Corners) -> float:
    """The named length of a shape."""
    start, end = SPANS[key]
    return hypot(corners[end][0] - corners[start][0], corners[end][1] - corners[start][1])


@dataclass(frozen=True)
class TapeReadings:
    """What was read at one bay, in mm; ``units`` ("in" or "mm") says which divisions the tape has."""

    top: float
    bottom: float
    left: float
    right: float
    diagonal_rising: float | None = None
    diagonal_falling: float | None = None
    units: str = "in"

    def lengths(self) -> dict[str, float]:
        """The readings that were taken, by name, sides first."""
        every = {key: getattr(self, key) for key in SPANS}
        return {key: length for key, length in every.items() if length is not None}


@dataclass(frozen=True)
class Beside:
    """Heights of the neighbouring bays next to the posts that they share with this one, in mm."""

    left: float | None = None
    right: float | None = None


ALONE = Beside()


@dataclass(frozen=True)
class Suspect:
    """A reading that may be wrong: what the five others say it should be, and how uneven the bay then is.

    ``uneven`` is in mm: 0 for a rectangle that runs on level from its neighbours.
    """

    key: str
    read: float
    should_read: float
    uneven: float


@dataclass(frozen=True)
class Doubt:
    """Readings that disagree by more than the tape explains.

    ``candidates`` are all readings that could be the wrong one, the most plausible first; the first ``near``
    of them cannot be told apart.
    """

    candidates: tuple[Suspect, ...]
    near: int

    @property
    def suspects(self) -> tuple[Suspect, ...]:
        """The readings among which the wrong one most likely is."""
        return self.candidates[: self.near]

    @property
    def named(self) -> Suspect | None:
        """The reading most likely wrong, None where that cannot be told."""
        return self.candidates[0] if self.near == 1 else None


@dataclass(frozen=True)
class Fit:
    """How one reading agrees with the adjusted shape; lengths in mm.

    ``residual``: adjusted length less reading.  ``standardised``: the residual over the largest that the tape
    explains; with one check these are all alike in size, so they cannot tell which reading is wrong.
    ``shows_from``: the least slip in this reading that would be noticed if all others were exact, None
    without a check.
    """

    key: str
    read: float
    residual: float
    standardised: float = 0.0
    shows_from: float | None = None


@dataclass(frozen=True)
class Adjusted:
    """The shape that agrees best with the readings; lengths in mm.

    ``corners``: lower left (0, 0), lower right, upper right, upper left, the lower edge along x.
    ``redundancy``: 1 with both diagonals, else 0.  ``excess``: 1 is just what the tape explains.
    ``lean_errors``: how far the upper end of the left and right post may be off sideways; None where no
    diagonal was measured, for the lean is then assumed.
    """

    readings: TapeReadings
    corners: Corners
    fits: tuple[Fit, ...]
    redundancy: int
    excess: float
    doubt: Doubt | None
    assumption: str | None
    unchecked: str | None
    lean_errors: tuple[float, float] | None

    @property
    def exceeds(self) -> bool:
        """Whether the readings disagree by more than the tape explains."""
        return self.doubt is not None

    def length(self, key: str) -> float:
        """The adjusted length of a side or diagonal, measured or not."""
        return length_of(key, self.corners)
