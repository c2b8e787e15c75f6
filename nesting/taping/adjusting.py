"""Tape readings of a four-sided bay adjusted to one shape, and whether they agree as well as a tape lets them.

A four-sided opening has five degrees of freedom.  Four sides leave one open, one diagonal settles the shape, the
second diagonal checks it.  Every reading counts by the largest error that tape and eye leave in it; errors of
several readings are independent, so their squares add.
"""

from __future__ import annotations

from collections.abc import Mapping
from math import hypot, sqrt

import numpy as np
from numpy.typing import NDArray

from nesting.readings import (
    ALONE,
    SPANS,
    Adjusted,
    Beside,
    Corners,
    Doubt,
    Fit,
    Suspect,
    TapeReadings,
    length_of,
)
from nesting.taping.accuracy import TapeClass, reading_error
from nesting.taping.quadrilaterals import is_convex, nearest_to_square, on_its_lower_edge, shape_without
from shared.units import SNAP_MM

ASSUMED = (
    "no diagonal was measured: the opening is taken with its corners as near to square as its four sides allow; "
    "measure one diagonal, better both"
)
UNCHECKED = "only one diagonal was measured: a wrong reading would not show; measure the other one too"

UNEVEN_MM = 12.7
"""Nothing unusual in a bay: opposite sides that differ, and posts that lean, by 1/2 in altogether (c)."""

_ROUNDS = 60
"""Steps of the adjustment; two or three are enough where the readings nearly agree."""


def adjust(readings: TapeReadings, tape: TapeClass = TapeClass.SECOND, beside: Beside = ALONE) -> Adjusted:
    """The shape of a bay from its readings, by least squares weighted with each reading's largest error.

    ``beside`` helps to tell which reading is wrong.  Raises `ValueError` for readings that no opening has:
    ask `nesting.taping.faults.impossible` first.
    """
    lengths = readings.lengths()
    errors = {key: reading_error(length, readings.units, tape) for key, length in lengths.items()}
    corners = closest_shape(lengths, errors)
    if corners is None or not is_convex(corners):
        raise ValueError("no four-sided opening has these readings")
    assumed, checked = len(lengths) == 4, len(lengths) == 6
    slopes = _slopes(corners, errors)
    spread = None if assumed else np.asarray(np.linalg.inv(slopes.T @ slopes), dtype=np.float64)
    play = _play(slopes, spread) if checked and spread is not None else None
    fits = tuple(
        _fit(key, length, errors[key], length_of(key, corners), None if play is None else play[number])
        for number, (key, length) in enumerate(lengths.items())
    )
    excess = sqrt(sum((fit.residual / errors[fit.key]) ** 2 for fit in fits))
    return Adjusted(
        readings,
        corners,
        fits,
        redundancy=1 if checked else 0,
        excess=excess,
        doubt=_doubt(lengths, errors, beside) if checked and excess > 1 + SNAP_MM else None,
        assumption=ASSUMED if assumed else None,
        unchecked=UNCHECKED if len(lengths) == 5 else None,
        lean_errors=None if spread is None else _lean_errors(spread),
    )


def _fit(key: str, read: float, error: float, adjusted: float, play: float | None) -> Fit:
    residual = adjusted - read
    if abs(residual) < SNAP_MM / 10:
        residual = 0.0  # only float arithmetic is left
    if play is None:
        return Fit(key, read, residual)
    return Fit(key, read, residual, residual / (error * play), error / play)


def closest_shape(lengths: Mapping[str, float], errors: Mapping[str, float]) -> Corners | None:
    """The shape nearest to the readings, weighted; None where they do not close.  May point inwards."""
    if len(lengths) == 4:
        return nearest_to_square(lengths)
    if len(lengths) == 5:
        return shape_without(next(key for key in SPANS if key not in lengths), lengths)
    starts = exact_without_one(lengths)
    if not starts:
        return None
    # The reading whose change would be the smallest in proportion leaves the nearest of the exact shapes.
    key = min(starts, key=lambda key: abs(length_of(key, starts[key]) - lengths[key]) / errors[key])
    return _least_squares(starts[key], lengths, errors)


def exact_without_one(lengths: Mapping[str, float]) -> dict[str, Corners]:
    """By the reading that is left out: the opening that the five others give exactly, where there is one."""
    shapes = {key: shape_without(key, lengths) for key in SPANS}
    return {key: shape for key, shape in shapes.items() if shape is not None and is_convex(shape)}


def _least_squares(start: Corners, lengths: Mapping[str, float], errors: Mapping[str, float]) -> Corners:
    """Gauss and Newton's steps from a start nearby, each halved until it brings the readings nearer."""
    unknown = np.array([start[1][0], *start[2], *start[3]])
    misfit = _misfit(unknown, lengths, errors)
    for _ in range(_ROUNDS):
        step = np.linalg.lstsq(_slopes(_corners(unknown), errors), -misfit, rcond=None)[0]
        while float(np.abs(step).max()) > 1e-12:
            moved = _misfit(unknown + step, lengths, errors)
            if float(moved @ moved) <= float(misfit @ misfit):
                break
            step = step / 2
        else:
            break
        unknown, misfit = unknown + step, moved
    return on_its_lower_edge(_corners(unknown))


def _corners(unknown: NDArray[np.float64]) -> Corners:
    x1, x2, y2, x3, y3 = (float(value) for value in unknown)
    return (0.0, 0.0), (x1, 0.0), (x2, y2), (x3, y3)


def _misfit(
    unknown: NDArray[np.float64], lengths: Mapping[str, float], errors: Mapping[str, float]
) -> NDArray[np.float64]:
    corners = _corners(unknown)
    return np.array([(length_of(key, corners) - lengths[key]) / errors[key] for key in lengths])


def _slopes(corners: Corners, errors: Mapping[str, float]) -> NDArray[np.float64]:
    """How each reading, in units of its error, grows with the five free coordinates."""
    rows = []
    for key, error in errors.items():
        start, end = SPANS[key]
        whole = length_of(key, corners)
        row = np.zeros(8)
        for axis in (0, 1):
            along = (corners[end][axis] - corners[start][axis]) / whole / error
            row[2 * end + axis], row[2 * start + axis] = along, -along
        rows.append(row[[2, 4, 5, 6, 7]])
    return np.array(rows)


def _play(slopes: NDArray[np.float64], spread: NDArray[np.float64]) -> list[float]:
    """The largest residual of each reading that the tape explains, in units of that reading's error."""
    left = 1 - np.diag(slopes @ spread @ slopes.T)
    return [sqrt(max(float(part), 1e-18)) for part in left]


def _lean_errors(spread: NDArray[np.float64]) -> tuple[float, float]:
    """Of the upper left corner sideways, and of the upper right one against the lower right one."""
    right = spread[0, 0] + spread[1, 1] - 2 * spread[0, 1]
    return sqrt(max(0.0, float(spread[3, 3]))), sqrt(max(0.0, float(right)))


def ranked_suspects(lengths: Mapping[str, float], beside: Beside = ALONE) -> tuple[Suspect, ...]:
    """Every reading that may be the wrong one of six, first the one whose correction leaves the most even bay.

    One check shows that a reading is wrong, never which: each can be changed so that all agree.  But bays are
    built even: opposite sides alike, diagonals alike, heights running on past the posts.
    """
    found = []
    for key, shape in exact_without_one(lengths).items():
        should = length_of(key, shape)
        found.append(Suspect(key, lengths[key], should, _unevenness({**lengths, key: should}, beside)))
    return tuple(sorted(found, key=lambda suspect: suspect.uneven))


def _doubt(lengths: Mapping[str, float], errors: Mapping[str, float], beside: Beside) -> Doubt:
    found = ranked_suspects(lengths, beside)
    noise = sqrt(sum(error * error for error in errors.values()))
    # A bay a little less even than the best is as likely, and so is any whose unevenness is nothing unusual.
    within = max(2 * found[0].uneven + noise, UNEVEN_MM)
    return Doubt(found, sum(suspect.uneven <= within for suspect in found))


def _unevenness(lengths: Mapping[str, float], beside: Beside) -> float:
    """How far six readings that agree are from a rectangle that runs on from its neighbours, in mm."""
    top, bottom, left, right, rising, falling = (lengths[key] for key in SPANS)
    # Both posts' lean together, nearly: what the diagonals differ by beyond what unlike heights ask for.
    lean = (rising**2 - falling**2 - right**2 + left**2) / (top + bottom)
    off = [top - bottom, lean]
    if beside.left is None or beside.right is None:
        off.append(left - right)
    off += [own - known for own, known in ((left, beside.left), (right, beside.right)) if known is not None]
    return hypot(*off)
