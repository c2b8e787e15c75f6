"""What a measuring tape may be off by: in one reading, in a sum of readings, and against an overall length."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import Enum
from math import ceil, sqrt

from shared.units import SNAP_MM

DIVISION_MM = {"in": 25.4 / 16, "mm": 1.0}
"""What reading a tape to its divisions of 1/16 in or 1 mm may leave: half a division at either end (c)."""

FAR_OFF_MM = {"in": 12.7, "mm": 12.0}
"""A sum that misses the overall length by more than 1/2 in or 12 mm is a wrong reading, no tape's error."""


class TapeClass(Enum):
    """Classes of tapes: mm off however short, mm more for each metre, mm more from a hook or a closed end.

    Source: Directive 2004/22/EC, now 2014/32/EU, annex MI-008, as quoted in the trade (a).
    """

    FIRST = (0.1, 0.1, 0.1)
    SECOND = (0.3, 0.2, 0.2)
    THIRD = (0.6, 0.4, 0.3)


def tape_error(length: float, tape: TapeClass = TapeClass.SECOND, *, hook: bool = False) -> float:
    """Largest error in mm of a tape over ``length`` mm: a + b L, L in metres rounded up, + c from a hook."""
    at_once, each_metre, at_hook = tape.value
    metres = ceil((length - SNAP_MM) / 1000)
    return at_once + each_metre * metres + (at_hook if hook else 0.0)


def reading_error(length: float, units: str, tape: TapeClass = TapeClass.SECOND) -> float:
    """Largest error in mm of one reading: the tape's, and what its divisions leave (`DIVISION_MM`)."""
    return sqrt(tape_error(length, tape) ** 2 + DIVISION_MM[units] ** 2)


def sum_error(readings: Iterable[float], units: str, tape: TapeClass = TapeClass.SECOND) -> float:
    """How far a sum of readings (mm) may be off: their errors are independent, so their squares add."""
    return sqrt(sum(reading_error(reading, units, tape) ** 2 for reading in readings))


@dataclass(frozen=True)
class ClosingCheck:
    """Bays and posts added up beside the overall length, in mm.

    ``explained`` is what the tape may leave between the two, every reading counted; ``far`` is from where on
    the difference is a wrong reading for sure.
    """

    total: float
    overall: float
    explained: float
    far: float

    @property
    def off(self) -> float:
        """The overall length less the sum: positive where something is missing in the sum."""
        return self.overall - self.total

    @property
    def closes(self) -> bool:
        """Whether the tape explains the difference."""
        return abs(self.off) <= self.explained + SNAP_MM

    @property
    def far_off(self) -> bool:
        """Whether the difference is a wrong reading, a bay or a post left out, and no error of a tape."""
        return not self.closes and abs(self.off) > self.far + SNAP_MM


def closing(
    widths: Sequence[float],
    posts: Sequence[float],
    overall: float,
    units: str,
    tape: TapeClass = TapeClass.SECOND,
) -> ClosingCheck:
    """The sum of bays (along their lower edges) and posts against the overall reading; all in mm."""
    readings = [*widths, *posts]
    return ClosingCheck(
        total=sum(readings),
        overall=overall,
        explained=sum_error([*readings, overall], units, tape),
        far=FAR_OFF_MM[units],
    )
