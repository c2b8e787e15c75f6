"""Readings of a four-sided bay that no opening has, and doubts about readings, in words for the builder."""

from __future__ import annotations

from math import isfinite

from nesting.readings import SPANS, Adjusted, Suspect, TapeReadings
from nesting.taping.accuracy import reading_error
from nesting.taping.adjusting import closest_shape, ranked_suspects
from nesting.taping.quadrilaterals import inward_corners
from shared.units import format_length

SIDES = ("top", "bottom", "left", "right")
TRIANGLES = {
    "diagonal_rising": (("bottom", "right"), ("left", "top")),
    "diagonal_falling": (("left", "bottom"), ("top", "right")),
}
"""The sides that close a triangle with each diagonal."""


def impossible(readings: TapeReadings) -> tuple[tuple[str, str], ...]:
    """What no opening can have: the reading's key, and in words why, and what to do.

    Nothing where a reading is missing (``nan``) or not more than zero: that is told elsewhere.
    """
    lengths = readings.lengths()
    if not all(isfinite(length) and length > 0 for length in lengths.values()):
        return ()
    return (
        _sides_that_do_not_close(lengths, readings.units)
        or _diagonals_that_do_not_close(lengths, readings.units)
        or _inward(lengths, readings.units)
    )


def doubt_text(adjusted: Adjusted) -> str | None:
    """Which reading disagrees, as far as that can be told, in the units of the tape; None without a doubt."""
    doubt, units = adjusted.doubt, adjusted.readings.units
    if doubt is None:
        return None
    text = "its six readings disagree by more than the tape explains"
    if doubt.named is not None:
        likely = _suspect_text(doubt.named, units)
        return f"{text}; most likely wrong is {likely}, for without it the bay is even: measure it again before cutting"
    if doubt.near == len(SPANS):
        return f"{text}; which one is wrong cannot be told: measure this bay again before cutting"
    listed = ", or ".join(_suspect_text(suspect, units) for suspect in doubt.suspects)
    return (
        f"{text}; one of these is wrong, it cannot be told which: {listed}: measure them again before cutting"
    )


def _suspect_text(suspect: Suspect, units: str) -> str:
    read, should = (
        format_length(length, units, with_unit=True) for length in (suspect.read, suspect.should_read)
    )
    return f"{suspect.key}, {read} (about {should} by the others)"


def _sides_that_do_not_close(lengths: dict[str, float], units: str) -> tuple[tuple[str, str], ...]:
    longest = max(SIDES, key=lambda key: lengths[key])
    others = sum(lengths[key] for key in SIDES if key != longest)
    if lengths[longest] < others:
        return ()
    shown = format_length(others, units, with_unit=True, direction="down")
    return (
        (longest, f"too long: the three other sides together reach only {shown}; measure all four again"),
    )


def _diagonals_that_do_not_close(lengths: dict[str, float], units: str) -> tuple[tuple[str, str], ...]:
    found = []
    for key, pairs in TRIANGLES.items():
        for one, other in pairs if key in lengths else ():
            most, least = lengths[one] + lengths[other], abs(lengths[one] - lengths[other])
            if lengths[key] >= most:
                limit = format_length(most, units, with_unit=True, direction="down")
                text = f"too long: {one} and {other} together reach only {limit}"
            elif lengths[key] <= least:
                limit = format_length(least, units, with_unit=True, direction="up")
                text = f"too short: {one} and {other} alone differ by {limit}"
            else:
                continue
            found.append((key, f"{text}; measure all three again"))
            break
    return tuple(found)


def _inward(lengths: dict[str, float], units: str) -> tuple[tuple[str, str], ...]:
    """Readings that close, but only around a corner that points inwards or is no corner."""
    errors = {key: reading_error(length, units) for key, length in lengths.items()}
    shape = closest_shape(lengths, errors)
    corners = inward_corners(shape) if shape is not None else ()
    if shape is not None and not corners:
        return ()
    diagonals = [key for key in TRIANGLES if key in lengths]
    if not diagonals:
        return (("top", "these four sides would lie nearly in a line; measure this bay again"),)
    if len(diagonals) == 1:
        which = f"the {' and '.join(corners)} corner{'s' if len(corners) > 1 else ''} would point inwards or be flat"
        return ((diagonals[0], f"with this diagonal {which}; measure this bay again"),)
    text = "the six readings make no opening together"
    ranked = ranked_suspects(lengths)
    if not ranked:
        return ((diagonals[0], f"{text}; measure this bay again"),)
    should = format_length(ranked[0].should_read, units, with_unit=True)
    return ((ranked[0].key, f"{text}; by the five others this is about {should}; measure this bay again"),)
