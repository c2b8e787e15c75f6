"""Other ways to lay the same parts on a sheet: peeled off its edges, pushed to the datum corner, or drawn together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

import numpy as np

from nesting.job import CutMethod, Cutting
from nesting.placing.edgefitting import edge_places, roomiest
from nesting.placing.fitting import Fitter, Spot, parts_of
from nesting.placing.freefitting import roomiest_free
from nesting.placing.offcuts import OFFCUT_LEAST
from nesting.sizing.problem import PartClass, Pattern, SheetSize
from shared.units import UNITS_PER_MM, to_solver_down, to_solver_up

MOST_PARTS = 150
"""A sheet with more parts than this is only pushed together: its offcuts are not worth a search."""

HALVINGS = 7
"""How often the stretch in question is halved in search of the shortest end that holds everything."""

EXACT_WORK, PEELING_WORK = 1_000_000, 400_000
"""Steps to find out whether cuts from edge to edge will do, and to find the largest offcut they can leave."""

PEELINGS = 16
"""How many of the roomiest layouts are looked at: the next offcuts and the cuts decide among them."""

FREE_PARTS, FREE_EFFORT = 9, 0.05
"""Most parts for which constraint programming looks for a larger offcut still, and its deterministic seconds."""

ABOUT_EQUAL, WORTH_MORE = 0.98, 1.01
"""Offcuts looked at again for what else their layouts leave; how much larger one must be to be worth an untidy one."""


def arrangements(
    cutting: Cutting, sheet: SheetSize, spots: Sequence[Spot], classes: Sequence[PartClass]
) -> Iterator[tuple[Spot, ...]]:
    """Ways to lay the parts of ``spots`` on their sheet, each in solver units from the margin corner.

    The last is the given one; only that is sure to keep what the cutting method asks for.
    """
    pattern = pattern_of(spots)
    yield pushed_to_datum(spots, classes, (0, 1))
    if cutting.method is CutMethod.HAND:
        straight = edge_places(sheet, classes, pattern, EXACT_WORK)
        if straight:
            yield straight
    if len(spots) <= MOST_PARTS:
        yield pushed_to_datum(spots, classes, (1, 0))
        for axis in (0, 1):
            drawn = _drawn_together(cutting, sheet, spots, classes, axis)
            if drawn is not None:
                yield pushed_to_datum(drawn, classes, (axis, 1 - axis))
                yield drawn
    yield tuple(spots)


def peelings(
    cutting: Cutting, sheet: SheetSize, pattern: Pattern, classes: Sequence[PartClass], known: float
) -> tuple[tuple[Spot, ...], ...]:
    """Layouts cut edge to edge that leave about as large an offcut as is ``known`` (in mm2), or a larger one."""
    return roomiest(
        sheet,
        classes,
        pattern,
        PEELING_WORK,
        least=to_solver_up(OFFCUT_LEAST),
        beyond=_beyond(cutting),
        floor=round(ABOUT_EQUAL * known * UNITS_PER_MM**2),
        wanted=PEELINGS,
    )


def freer(
    cutting: Cutting, sheet: SheetSize, pattern: Pattern, classes: Sequence[PartClass], known: float
) -> tuple[Spot, ...] | None:
    """A layout for free outlines that leaves a clearly larger offcut than is ``known`` (in mm2), if one is found."""
    parts = parts_of(pattern)
    if cutting.method is not CutMethod.PROFILE or len(parts) > FREE_PARTS:
        return None
    found = roomiest_free(
        sheet,
        classes,
        parts,
        FREE_EFFORT,
        least=to_solver_up(OFFCUT_LEAST),
        beyond=_beyond(cutting),
        floor=round(WORTH_MORE * known * UNITS_PER_MM**2),
    )
    return pushed_to_datum(found, classes, (0, 1)) if found else None


def _beyond(cutting: Cutting) -> int:
    """What an offcut in the far corner has more than the usable sheet, which ends one spacing past the last part."""
    beside = cutting.spacing if cutting.method is CutMethod.PROFILE else cutting.kerf
    return round((cutting.edge_margin - beside) * UNITS_PER_MM)


def pattern_of(spots: Sequence[Spot]) -> Pattern:
    """How many parts of each class these are."""
    return tuple(sorted(Counter(spot[0] for spot in spots).items()))


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
    cutting: Cutting, sheet: SheetSize, spots: Sequence[Spot], classes: Sequence[PartClass], axis: int
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
        placed = _placed_anew(cutting, sheet, length, width, spots, classes)
        if placed:
            found, whole = placed, middle
        else:
            least = middle
    return found


def _placed_anew(
    cutting: Cutting,
    sheet: SheetSize,
    length: int,
    width: int,
    spots: Sequence[Spot],
    classes: Sequence[PartClass],
) -> tuple[Spot, ...] | None:
    """The same parts on an end of the sheet by quick placing, edge to edge unless free outlines are cut."""
    edge_to_edge = cutting.method is not CutMethod.PROFILE
    fitter = Fitter((SheetSize(length, width, 0.0),), classes, edge_to_edge, sheet.longest_cut)
    return fitter.quick_places(0, pattern_of(spots))
