"""Exact free placing by constraint programming: do these parts fit, and how do they leave most room in a corner?"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache, partial
from itertools import combinations, pairwise
from typing import cast

from ortools.sat.python import cp_model

from nesting.placing.edgefitting import edge_places
from nesting.sizing.problem import Answer, PartClass, SheetSize, Spot
from nesting.sizing.solverguard import answered
from shared.units import UNITS_PER_MM

STEP = UNITS_PER_MM
"""Steps in which the sides of an offcut are looked for, in solver units."""

FOUND = (cp_model.OPTIMAL, cp_model.FEASIBLE)

EDGE_WORK = 300_000
"""Steps of asking for edge-to-edge cuts what the solver says cannot be placed: a moment."""

MOST_CUT_FREE = 3
"""So few parts can always be cut edge to edge, however they lie."""


@dataclass(frozen=True)
class _Box:
    """One part in the constraint programme: where it lies, and ``turn`` (a variable where both ways fit)."""

    kind: int
    area: int
    x: cp_model.IntVar
    y: cp_model.IntVar
    turn: cp_model.IntVar | bool
    along: cp_model.IntervalVar
    across: cp_model.IntervalVar


def _box(model: cp_model.CpModel, sheet: SheetSize, k: int, part: PartClass) -> _Box:
    """A part that may lie in any way that fits the sheet alone (there must be one)."""
    ways = part.placings(sheet)
    x = model.new_int_var(0, sheet.length - min(a for a, _ in ways), "")
    y = model.new_int_var(0, sheet.width - min(b for _, b in ways), "")
    area = part.length * part.width
    if len(ways) == 1:
        (a, b) = ways[0]
        along = model.new_fixed_size_interval_var(x, a, "")
        across = model.new_fixed_size_interval_var(y, b, "")
        return _Box(k, area, x, y, (a, b) != (part.length, part.width), along, across)
    turn = model.new_bool_var("")
    sizes = cp_model.Domain.from_values([part.length, part.width])
    a_var, b_var = (model.new_int_var_from_domain(sizes, "") for _ in range(2))
    model.add(a_var == part.length + (part.width - part.length) * turn)
    model.add(b_var == part.width + (part.length - part.width) * turn)
    along = model.new_interval_var(x, a_var, model.new_int_var(0, sheet.length, ""), "")
    across = model.new_interval_var(y, b_var, model.new_int_var(0, sheet.width, ""), "")
    return _Box(k, area, x, y, turn, along, across)


def _alike(boxes: Sequence[_Box]) -> Iterator[tuple[_Box, _Box]]:
    """Equal parts that follow one another: any layout can rename them from left to right."""
    return ((one, other) for one, other in pairwise(boxes) if one.kind == other.kind)


def _largest_in_corner(model: cp_model.CpModel, sheet: SheetSize, boxes: Sequence[_Box]) -> None:
    """The first largest part's middle in the lower left quarter: any layout can be mirrored until it is there."""
    largest = max(boxes, key=lambda box: box.area)
    model.add(largest.x + _ends(largest.along) <= sheet.length)
    model.add(largest.y + _ends(largest.across) <= sheet.width)


def _ends(interval: cp_model.IntervalVar) -> cp_model.LinearExpr:
    return cast(cp_model.LinearExpr, interval.end_expr())


def _sizes(intervals: list[cp_model.IntervalVar]) -> list[cp_model.LinearExprT]:
    # what the library returns here is declared as a plain object
    return [cast(cp_model.LinearExprT, interval.size_expr()) for interval in intervals]


def free_places(
    sheet: SheetSize, classes: Sequence[PartClass], parts: Sequence[int], effort: int, *, count_areas: bool
) -> Answer:
    """Places for parts of these classes: no two overlap, and along any line they fit the sheet.

    False where it is proved that there are none; None where ``effort``, a number of conflicts, was spent first.
    """
    if not all(classes[k].placings(sheet) for k in parts):
        return False
    model = cp_model.CpModel()
    boxes = [_box(model, sheet, k, classes[k]) for k in parts]
    for one, other in _alike(boxes):
        model.add(one.x <= other.x)
    _largest_in_corner(model, sheet, boxes)
    _apart(model, sheet, [box.along for box in boxes], [box.across for box in boxes])
    solver = _solver()
    solver.parameters.max_number_of_conflicts = effort
    if count_areas:
        # many nearly full sheets are refuted at once by counting the area that parts must cover in some window
        solver.parameters.use_energetic_reasoning_in_no_overlap_2d = True
        solver.parameters.use_area_energetic_reasoning_in_no_overlap_2d = True
        solver.parameters.use_timetabling_in_no_overlap_2d = True
    else:
        # measured on patterns left open by the above: quick restarts without linear relaxation settle most of them
        solver.parameters.linearization_level = 0
        solver.parameters.search_branching = cp_model.PORTFOLIO_WITH_QUICK_RESTART_SEARCH
    status = _ended(solver, model)
    if status == cp_model.INFEASIBLE:
        return _refuted(sheet, classes, parts)
    return _spots(solver, boxes, sheet, classes, parts) if status in FOUND else None


def _refuted(sheet: SheetSize, classes: Sequence[PartClass], parts: Sequence[int]) -> Answer:
    """What becomes of the solver's word that parts do not go together.

    Cutting edge to edge is asked of tables that share nothing with the solver: what these can do, free placing can.
    For three parts their no is a proof by itself, since any layout of three can be cut edge to edge.
    """
    cut = edge_places(sheet, classes, tuple(sorted(Counter(parts).items())), EDGE_WORK)
    if cut:
        return cut if lies_well(cut, sheet, classes, parts) else None
    few = cut is False and len(parts) <= MOST_CUT_FREE and sheet.longest_cut is None
    return False if few or knows_small_answers() else None


@cache
def knows_small_answers() -> bool:
    """True where the solver is right about two small sets of parts: a pinwheel that just fits, squares that do not.

    Asked once: a solver that fails here is broken as a whole, and no refusal of it counts.
    """
    pinwheel = _small_answer(SheetSize(5, 5, 0.0), (PartClass(3, 2, True),), (0, 0, 0, 0))
    squares = _small_answer(SheetSize(3, 3, 0.0), (PartClass(2, 2, False),), (0, 0))
    return bool(pinwheel) and squares is False


def _small_answer(sheet: SheetSize, classes: Sequence[PartClass], parts: Sequence[int]) -> Answer:
    model = cp_model.CpModel()
    boxes = [_box(model, sheet, k, classes[k]) for k in parts]
    _apart(model, sheet, [box.along for box in boxes], [box.across for box in boxes])
    solver = _solver()
    status = _ended(solver, model)
    if status == cp_model.INFEASIBLE:
        return False
    return _spots(solver, boxes, sheet, classes, parts) if status in FOUND else None


def roomiest_free(
    sheet: SheetSize,
    classes: Sequence[PartClass],
    parts: Sequence[int],
    effort: float,
    *,
    least: int,
    beyond: int,
    floor: int,
) -> tuple[Spot, ...] | None:
    """Places that leave the largest rectangle found in the upper right corner; None where none is over ``floor``.

    The rectangle measures at least ``least`` both ways and goes on by ``beyond`` past the usable sheet.  ``effort`` is
    in deterministic seconds of the solver.  Solver units.
    """
    if not all(classes[k].placings(sheet) for k in parts):
        return None
    model = cp_model.CpModel()
    boxes = [_box(model, sheet, k, classes[k]) for k in parts]
    for one, other in _alike(boxes):
        model.add(one.x <= other.x)
    # whole millimetres are fine enough for an offcut, and keep the product of its sides small
    steps = []
    corner = []
    for end in (sheet.length, sheet.width):
        count = model.new_int_var(
            -(-(least - beyond) // STEP), max(end // STEP, -(-(least - beyond) // STEP)), ""
        )
        start = model.new_int_var(0, end, "")
        corner.append(model.new_interval_var(start, STEP * count, end, ""))
        steps.append(count)
    _apart(
        model, sheet, [*(box.along for box in boxes), corner[0]], [*(box.across for box in boxes), corner[1]]
    )
    covered = sum(box.area for box in boxes)
    most = (sheet.length * sheet.width - covered) // STEP**2
    area = model.new_int_var(0, max(0, most), "")
    model.add_multiplication_equality(area, steps)
    over = round(beyond / STEP)
    gain = area + over * (steps[0] + steps[1]) + over * over
    model.add(gain >= floor // STEP**2 + 1)
    model.maximize(gain)
    solver = _solver()
    solver.parameters.max_deterministic_time = effort
    return _spots(solver, boxes, sheet, classes, parts) if _ended(solver, model) in FOUND else None


def _ended(solver: cp_model.CpSolver, model: cp_model.CpModel) -> object:
    """How the solver ended; a breakdown is an open end."""
    return answered(partial(solver.solve, model), cp_model.UNKNOWN)


def _solver() -> cp_model.CpSolver:
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 0
    solver.parameters.catch_sigint_signal = False
    return solver


def _apart(
    model: cp_model.CpModel,
    sheet: SheetSize,
    alongs: list[cp_model.IntervalVar],
    acrosses: list[cp_model.IntervalVar],
) -> None:
    """No two overlap, and along any line they fit the sheet."""
    model.add_no_overlap_2d(alongs, acrosses)
    model.add_cumulative(alongs, _sizes(acrosses), sheet.width)
    model.add_cumulative(acrosses, _sizes(alongs), sheet.length)


def _spots(
    solver: cp_model.CpSolver,
    boxes: Sequence[_Box],
    sheet: SheetSize,
    classes: Sequence[PartClass],
    parts: Sequence[int],
) -> tuple[Spot, ...] | None:
    """The places that the solver found, measured over; None where they are none."""
    spots = tuple(
        (
            box.kind,
            solver.value(box.x),
            solver.value(box.y),
            bool(box.turn if isinstance(box.turn, bool) else solver.value(box.turn)),
        )
        for box in boxes
    )
    return spots if lies_well(spots, sheet, classes, parts) else None


def lies_well(
    spots: Sequence[Spot], sheet: SheetSize, classes: Sequence[PartClass], parts: Sequence[int]
) -> bool:
    """True where these places are of just these parts, each turned only as it may be, on the sheet, and apart."""
    if Counter(k for k, _, _, _ in spots) != Counter(parts):
        return False
    boxes = []
    for k, x, y, turned in spots:
        a, b = (classes[k].width, classes[k].length) if turned else (classes[k].length, classes[k].width)
        if (a, b) not in classes[k].placings(sheet):
            return False
        boxes.append((x, y, x + a, y + b))
    inside = all(x >= 0 and y >= 0 and r <= sheet.length and t <= sheet.width for x, y, r, t in boxes)
    return inside and not any(
        one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]
        for one, other in combinations(boxes, 2)
    )
