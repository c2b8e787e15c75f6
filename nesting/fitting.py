"""Does this set of parts fit on this sheet?  Places when it does, and what cannot fit together when it does not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal, cast

import numpy as np
from numpy.typing import NDArray
from ortools.sat.python import cp_model

from nesting.cutorder import cut_order
from nesting.kernels import place_parts
from nesting.problem import PartClass, Pattern, SheetSize

FIRST_TRIES = 16
QUICK_TRIES = 160
LONG_TRIES = 4000

Spot = tuple[int, int, int, bool]
"""Class, x, y and whether turned a quarter, in solver units."""

Answer = tuple[Spot, ...] | Literal[False] | None
"""Places of all parts; False when proved that they do not fit; None when neither was found."""


def parts_of(pattern: Pattern) -> list[int]:
    """The class of each part in a pattern."""
    return [k for k, count in pattern for _ in range(count)]


@dataclass
class Fitter:
    """Answers with a memory, so that no question is worked out twice.

    ``effort`` limits the exact search in conflicts met, not in seconds, so that equal questions get equal answers on
    any machine.  With ``edge_to_edge`` only layouts that can be cut edge to edge count.
    """

    sheets: Sequence[SheetSize]
    classes: Sequence[PartClass]
    edge_to_edge: bool = False
    longest_cut: int | None = None
    effort: int = 60
    long_effort: int = 15_000
    known: dict[tuple[int, Pattern], Answer] = field(default_factory=dict)
    _given_up: set[tuple[int, Pattern]] = field(default_factory=set)

    def places(self, sheet: int, pattern: Pattern) -> Answer:
        """Where the parts of a pattern go on a sheet size."""
        key = (sheet, pattern)
        if key not in self.known:
            self.known[key] = self._work_out(self.sheets[sheet], pattern)
        return self.known[key]

    def quick_places(self, sheet: int, pattern: Pattern) -> tuple[Spot, ...] | None:
        """Places found at once by simple rules, None where these find none."""
        known = self.known.get((sheet, pattern))
        if known is not None:
            return known or None
        spots = self._try_rules(self.sheets[sheet], parts_of(pattern), FIRST_TRIES)
        if spots:
            self.known[sheet, pattern] = spots
        return spots

    def placed(self, sheet: int, pattern: Pattern) -> tuple[Spot, ...]:
        """Places of a pattern known to fit, by itself or as what remains of a fuller one."""
        spots = self.places(sheet, pattern)
        if spots:
            return spots
        for (size, fuller), known in self.known.items():
            if size == sheet and known and _holds(fuller, pattern):
                return _only(known, pattern)
        raise LookupError(f"pattern {pattern} was never placed on sheet {sheet}")

    def least_misfit(self, sheet: int, pattern: Pattern) -> Pattern:
        """A smallest part of a pattern that still cannot fit: parts left out one by one, least first."""
        counts = dict(pattern)
        for k in sorted(counts, key=lambda k: self.classes[k].length * self.classes[k].width):
            while counts.get(k, 0) and sum(counts.values()) > 2:
                fewer = {**counts, k: counts[k] - 1}
                smaller = tuple(sorted((c, n) for c, n in fewer.items() if n))
                if self.places(sheet, smaller) is not False:
                    break
                counts = dict(smaller)
        return tuple(sorted(counts.items()))

    def _work_out(self, sheet: SheetSize, pattern: Pattern) -> Answer:
        parts = parts_of(pattern)
        quick = self._try_rules(sheet, parts, QUICK_TRIES)
        if quick:
            return quick
        exact = _search(sheet, [self.classes[k] for k in parts], parts, self.effort, count_areas=True)
        if exact is False or (exact and not self.edge_to_edge):
            return exact
        return self._try_rules(sheet, parts, LONG_TRIES)

    def settled(self, sheet: int, pattern: Pattern) -> Answer:
        """As `places`, with much more effort: for patterns that a plan would really use."""
        key = (sheet, pattern)
        if self.places(sheet, pattern) is None and key not in self._given_up:
            parts = parts_of(pattern)
            exact = _search(
                self.sheets[sheet],
                [self.classes[k] for k in parts],
                parts,
                self.long_effort,
                count_areas=False,
            )
            if exact is False or (exact and not self.edge_to_edge):
                self.known[key] = exact
            else:
                self._given_up.add(key)
        return self.known[key]

    def repaired(self, sheet: int, pattern: Pattern, worth: NDArray[np.float64]) -> Pattern:
        """The most of a pattern that quick placing finds room for, parts of most worth taken first."""
        taken: Counter[int] = Counter()
        for k, count in sorted(pattern, key=lambda entry: -worth[entry[0]]):
            for _ in range(count):
                more = tuple(sorted((taken + Counter([k])).items()))
                if not self.quick_places(sheet, more):
                    break
                taken[k] += 1
        return tuple(sorted(taken.items()))

    def _try_rules(self, sheet: SheetSize, parts: list[int], tries: int) -> tuple[Spot, ...] | None:
        along = np.array([self.classes[k].length for k in parts], np.int64)
        across = np.array([self.classes[k].width for k in parts], np.int64)
        turnable = np.array([self.classes[k].turnable for k in parts], np.bool_)
        found, x, y, turned = place_parts(
            sheet.length,
            sheet.width,
            along,
            across,
            turnable,
            _orders(along, across),
            tries,
            self.edge_to_edge,
        )
        if not found:
            return None
        spots = tuple((k, int(x[i]), int(y[i]), bool(turned[i])) for i, k in enumerate(parts))
        if self.edge_to_edge and not self._can_be_cut(sheet, spots):
            return None
        return spots

    def _can_be_cut(self, sheet: SheetSize, spots: tuple[Spot, ...]) -> bool:
        """True where cuts no longer than the shear free every part."""
        boxes = []
        for k, x, y, turned in spots:
            kind = self.classes[k]
            a, b = (kind.width, kind.length) if turned else (kind.length, kind.width)
            boxes.append((float(x), float(y), float(x + a), float(y + b)))
        longest = None if self.longest_cut is None else float(self.longest_cut)
        return cut_order(float(sheet.length), float(sheet.width), boxes, longest) is not None


def _orders(along: NDArray[np.int64], across: NDArray[np.int64]) -> NDArray[np.int64]:
    """Orders worth trying: by area, by longer side, by shorter side, by both sides together, largest first."""
    longer, shorter = np.maximum(along, across), np.minimum(along, across)
    return np.array(
        [
            np.argsort(-along.astype(float) * across, kind="stable"),
            np.argsort(-longer, kind="stable"),
            np.lexsort((-longer, -shorter)),
            np.argsort(-(along + across), kind="stable"),
        ]
    )


def _holds(fuller: Pattern, pattern: Pattern) -> bool:
    counts = dict(fuller)
    return all(counts.get(k, 0) >= n for k, n in pattern)


def _only(spots: tuple[Spot, ...], pattern: Pattern) -> tuple[Spot, ...]:
    wanted = dict(pattern)
    kept = []
    for spot in spots:
        if wanted.get(spot[0], 0):
            wanted[spot[0]] -= 1
            kept.append(spot)
    return tuple(kept)


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


def _break_symmetry(model: cp_model.CpModel, sheet: SheetSize, boxes: list[_Box]) -> None:
    """Equal parts from left to right, and the first largest part's middle in the lower left quarter.

    Any layout can be mirrored and its equal parts renamed until it is like that.
    """
    for before, after in pairwise(boxes):
        if before.kind == after.kind:
            model.add(before.x <= after.x)
    largest = max(boxes, key=lambda box: box.area)
    model.add(largest.x + _ends(largest.along) <= sheet.length)
    model.add(largest.y + _ends(largest.across) <= sheet.width)


def _ends(interval: cp_model.IntervalVar) -> cp_model.LinearExpr:
    return cast(cp_model.LinearExpr, interval.end_expr())


def _sizes(intervals: list[cp_model.IntervalVar]) -> list[cp_model.LinearExprT]:
    # what the library returns here is declared as a plain object
    return [cast(cp_model.LinearExprT, interval.size_expr()) for interval in intervals]


def _search(
    sheet: SheetSize, kinds: list[PartClass], parts: list[int], effort: int, count_areas: bool
) -> Answer:
    """Exact placing by constraint programming: no two parts overlap, and along any line they fit the sheet.

    ``effort`` is the number of conflicts after which the search gives up.
    """
    if not all(part.placings(sheet) for part in kinds):
        return False
    model = cp_model.CpModel()
    boxes = [_box(model, sheet, k, part) for k, part in zip(parts, kinds, strict=True)]
    _break_symmetry(model, sheet, boxes)
    alongs, acrosses = [box.along for box in boxes], [box.across for box in boxes]
    model.add_no_overlap_2d(alongs, acrosses)
    model.add_cumulative(alongs, _sizes(acrosses), sheet.width)
    model.add_cumulative(acrosses, _sizes(alongs), sheet.length)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = 0
    solver.parameters.max_number_of_conflicts = effort
    solver.parameters.catch_sigint_signal = False
    if count_areas:
        # many nearly full sheets are refuted at once by counting the area that parts must cover in some window
        solver.parameters.use_energetic_reasoning_in_no_overlap_2d = True
        solver.parameters.use_area_energetic_reasoning_in_no_overlap_2d = True
        solver.parameters.use_timetabling_in_no_overlap_2d = True
    else:
        # measured on patterns left open by the above: quick restarts without linear relaxation settle most of them
        solver.parameters.linearization_level = 0
        solver.parameters.search_branching = cp_model.PORTFOLIO_WITH_QUICK_RESTART_SEARCH
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return False
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    return tuple(
        (
            box.kind,
            solver.value(box.x),
            solver.value(box.y),
            bool(box.turn if isinstance(box.turn, bool) else solver.value(box.turn)),
        )
        for box in boxes
    )
