"""Other ways to lay the same parts on a sheet: pushed to the datum corner, or drawn together at one end."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

import numpy as np

from nesting.fitting import Fitter, Spot
from nesting.job import CutMethod, Job
from nesting.offcuts import OFFCUT_LEAST
from nesting.problem import PartClass, SheetSize
from nesting.sizes import longest_cut
from shared.units import to_solver_down

MOST_PARTS = 150
"""A sheet with more parts than this is only pushed together: its offcuts are not worth a search."""

HALVINGS = 7
"""How often the stretch in question is halved in search of the shortest end that holds everything."""


def arrangements(
    job: Job, sheet: SheetSize, spots: Sequence[Spot], classes: Sequence[PartClass]
) -> Iterator[tuple[Spot, ...]]:
    """Ways to lay the parts of ``spots`` on their sheet, each in solver units from the margin corner.

    The last is the given one; only that is sure to keep what the cutting method asks for.
    """
    yield pushed_to_datum(spots, classes, (0, 1))
    if job.cutting.method is CutMethod.HAND:
        straight = _placed_anew(job, sheet.length, sheet.width, spots, classes)
        if straight:
            yield straight
    if len(spots) <= MOST_PARTS:
        yield pushed_to_datum(spots, classes, (1, 0))
        for axis in (0, 1):
            drawn = _drawn_together(job, sheet, spots, classes, axis)
            if drawn is not None:
                yield pushed_to_datum(drawn, classes, (axis, 1 - axis))
                yield drawn
    yield tuple(spots)


def laid_size(spot: Spot, classes: Sequence[PartClass]) -> tuple[int, int]:
    """Size along and across of a part as it lies, spacing included."""
    kind = classes[spot[0]]
    return (kind.width, kind.length) if spot[3] else (kind.length, kind.width)


def pushed_to_datum(
    spots: Sequence[Spot], classes: Sequence[PartClass], axes: tuple[int, int]
) -> tuple[Spot, ...]:
    """The same parts, each moved left and down (in the order of ``axes``) until it meets something."""
    near = np.array([(x, y) for _, x, y, _ in spots], np.int64)
    size = np.array([laid_size(spot, classes) for spot in spots], np.int64)
    moving = True
    while moving:
        moving = False
        for axis in axes:
            other = 1 - axis
            for i in np.argsort(near[:, axis], kind="stable"):
                far = near + size
                before = far[:, axis] <= near[i, axis]
                beside = (near[:, other] < far[i, other]) & (far[:, other] > near[i, other])
                stop = far[before & beside, axis].max(initial=0)
                moving |= bool(stop < near[i, axis])
                near[i, axis] = stop
    return tuple((k, int(x), int(y), turn) for (k, _, _, turn), (x, y) in zip(spots, near, strict=True))


def _drawn_together(
    job: Job, sheet: SheetSize, spots: Sequence[Spot], classes: Sequence[PartClass], axis: int
) -> tuple[Spot, ...] | None:
    """The parts on the shortest end of the sheet, along an axis, that quick placing finds enough."""
    whole, across = (sheet.length, sheet.width) if axis == 0 else (sheet.width, sheet.length)
    covered = sum(a * b for a, b in (laid_size(spot, classes) for spot in spots))
    least = -(-covered // across)
    if whole - least < to_solver_down(OFFCUT_LEAST):
        return None
    found = None
    for _ in range(HALVINGS):
        middle = (least + whole) // 2
        length, width = (middle, across) if axis == 0 else (across, middle)
        placed = _placed_anew(job, length, width, spots, classes)
        if placed:
            found, whole = placed, middle
        else:
            least = middle
    return found


def _placed_anew(
    job: Job, length: int, width: int, spots: Sequence[Spot], classes: Sequence[PartClass]
) -> tuple[Spot, ...] | None:
    """The same parts on a sheet of this size by quick placing, edge to edge unless free outlines are cut."""
    pattern = tuple(sorted(Counter(spot[0] for spot in spots).items()))
    edge_to_edge = job.cutting.method is not CutMethod.PROFILE
    fitter = Fitter((SheetSize(length, width, 0.0),), classes, edge_to_edge, longest_cut(job))
    return fitter.quick_places(0, pattern)
