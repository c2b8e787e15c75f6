"""Measured four-sided bays: each reading beside the length that agrees best with all of them."""

from __future__ import annotations

from collections.abc import Iterator

from nesting.job import Side, Units
from nesting.readings import Adjusted, Fit
from shared.units import format_length

HEADS = ("Bay", "Reading", "Read", "Taken as", "Difference")

WORDS = {
    "top": "top",
    "bottom": "bottom",
    "left": "left",
    "right": "right",
    "diagonal_rising": "rising diagonal",
    "diagonal_falling": "falling diagonal",
}

NOTHING = 0.05
"""mm: a difference that no tape shows."""


def has_measured(side: Side) -> bool:
    """Whether any bay of a side was measured on four sides."""
    return any(bay.measured is not None for bay in side.bays)


def measured_rows(side: Side, units: Units) -> Iterator[tuple[str, ...]]:
    """A row for each reading: bay, what was read, the reading, the length taken, the difference in mm."""
    for number, bay in enumerate(side.bays, start=1):
        if bay.measured is not None:
            for fit in bay.measured.fits:
                yield (str(number), WORDS[fit.key], *_lengths(fit, units))


def agreement(measured: Adjusted) -> str:
    """How the readings of one bay agree, in words."""
    if measured.assumption is not None:
        return "no diagonal: taken as square as its sides allow"
    if measured.unchecked is not None:
        return "one diagonal: nothing checks the readings"
    if measured.exceeds:
        return "the readings disagree by more than a tape explains: measure again"
    return "the readings agree as well as a tape lets them"


def _lengths(fit: Fit, units: Units) -> tuple[str, str, str]:
    read, taken = (format_length(mm, units.value) for mm in (fit.read, fit.read + fit.residual))
    off = f"{fit.residual:+.1f} mm" if abs(fit.residual) > NOTHING else "none"
    return read, taken, off
