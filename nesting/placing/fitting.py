"""Does this set of parts fit on this sheet?  Places when it does, and what cannot fit together when it does not."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import combinations
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from nesting.placing.cuttrees import quick_tree
from nesting.placing.edgefitting import edge_places
from nesting.placing.freefitting import free_places
from nesting.placing.kernels_filling import place_parts
from nesting.shaping.shapefitting import ShapeFitter, cores_of
from nesting.shaping.shapepairs import ShapePairs
from nesting.sizing.problem import Answer as Answer
from nesting.sizing.problem import PartClass, Pattern, ShapePlace, SheetSize, cut_within, small_classes
from nesting.sizing.problem import Spot as Spot
from shared.units import to_solver_down

P = TypeVar("P")

SHAPE_ROUNDS, LONG_SHAPE_ROUNDS = 40, 600
"""Rounds of placing true shapes: in general, and to settle a question."""

MOST_IN_ROW = 4
"""Shapes whose every order in a row is looked into at the most."""

FIRST_TRIES = 16
QUICK_TRIES = 160
LONG_TRIES = 4000

WORK, LONG_WORK = 3_000_000, 100_000_000
"""Steps of the exact answer for edge-to-edge cutting: in general, and to settle a question."""


def parts_of(pattern: Pattern) -> list[int]:
    """The class of each part in a pattern."""
    return [k for k, count in pattern for _ in range(count)]


@dataclass
class Fitter:
    """Answers with a memory, so that no question is worked out twice.

    ``effort`` limits the exact search in conflicts met, not in seconds, so that equal questions get equal answers on
    any machine.  With ``edge_to_edge`` only layouts count that cuts from edge to edge, none longer than
    ``longest_cut``, can free.  ``spacing`` is the distance in mm that true shapes keep from one another.
    """

    sheets: Sequence[SheetSize]
    classes: Sequence[PartClass]
    edge_to_edge: bool = False
    longest_cut: int | None = None
    effort: int = 60
    long_effort: int = 15_000
    spacing: float = 0.0
    known: dict[tuple[int, Pattern], Answer] = field(default_factory=dict)
    _shaped: dict[tuple[int, Pattern], tuple[ShapePlace, ...]] = field(default_factory=dict)
    _given_up: set[tuple[int, Pattern]] = field(default_factory=set)

    def __post_init__(self) -> None:
        if self.edge_to_edge:
            self.sheets = cut_within(self.sheets, self.longest_cut)
        self._shapes = ShapeFitter(tuple(self.classes), self.spacing)
        self._pairs = ShapePairs(tuple(self.classes), self.spacing)
        self._small = small_classes(self.classes)

    def places(self, sheet: int, pattern: Pattern) -> Answer:
        """Where the parts of a pattern go on a sheet size."""
        key = (sheet, pattern)
        if key not in self.known:
            self.known[key] = self._work_out(self.sheets[sheet], pattern)
            if self.known[key] is None and self._has_shapes(pattern):
                self.known[key] = self._by_shape(sheet, pattern, SHAPE_ROUNDS)
        return self.known[key]

    def _has_shapes(self, pattern: Pattern) -> bool:
        return any(self.classes[k].shape is not None for k, _ in pattern)

    def _by_shape(self, sheet: int, pattern: Pattern, rounds: int) -> Answer:
        """Places by the true shapes; never a proof that there are none."""
        found = self._shapes.places(self.sheets[sheet], pattern, rounds)
        if found is None:
            return None
        self._shaped[sheet, pattern] = found
        return tuple(_spot_of(place) for place in found)

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
        """Places of a pattern known to fit, by itself or as what remains of a fuller one.

        Where `shaped_places` has places of true shapes, these are what counts.
        """
        spots = self.places(sheet, pattern)
        if spots:
            return spots
        for (size, fuller), known in self.known.items():
            if size == sheet and known and _holds(fuller, pattern):
                if (size, fuller) in self._shaped:
                    self._shaped[size, pattern] = tuple(_only(self._shaped[size, fuller], pattern, _kind))
                self.known[size, pattern] = tuple(_only(known, pattern, _first))
                return self.placed(sheet, pattern)
        raise LookupError(f"pattern {pattern} was never placed on sheet {sheet}")

    def shaped_places(self, sheet: int, pattern: Pattern) -> tuple[ShapePlace, ...] | None:
        """Where true shapes lie, in the order of `placed`; None where the pattern is placed by rectangles."""
        return self._shaped.get((sheet, pattern))

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
        if self.edge_to_edge:
            # for the few parts of a sheet of panels this takes less time than free placing, and it ends the question
            answer = edge_places(sheet, self.classes, pattern, WORK)
            if answer is not None:
                return answer
        if self._has_shapes(pattern):
            # what their cores cannot do, the shapes cannot; what rectangles around them cannot do says nothing
            large = [k for k in parts if k not in self._small]
            if not large:
                return None
            if any(
                self._pairs.refuted(sheet, one, other) for one, other in sorted(set(combinations(large, 2)))
            ):
                return False
            if 2 < len(large) <= MOST_IN_ROW and self._pairs.row_refuted(sheet, large):
                return False
            cores = free_places(sheet, cores_of(self.classes), large, self.effort, count_areas=True)
            return False if cores is False else None
        exact = free_places(sheet, self.classes, parts, self.effort, count_areas=True)
        if exact is False or (exact and not self.edge_to_edge):
            return exact
        return self._try_rules(sheet, parts, LONG_TRIES)

    def settled(self, sheet: int, pattern: Pattern) -> Answer:
        """As `places`, with much more effort: for patterns that a plan would really use."""
        key = (sheet, pattern)
        if self.places(sheet, pattern) is None and key not in self._given_up:
            size, parts = self.sheets[sheet], parts_of(pattern)
            if self._has_shapes(pattern):
                self.known[key] = self._by_shape(sheet, pattern, LONG_SHAPE_ROUNDS)
                self._given_up.add(key)
                return self.known[key]
            exact = edge_places(size, self.classes, pattern, LONG_WORK) if self.edge_to_edge else None
            if exact is None:
                exact = free_places(size, self.classes, parts, self.long_effort, count_areas=False)
                if exact and self.edge_to_edge:
                    # free placing, which no cuts from edge to edge need free
                    exact = None
            if exact is not None:
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
            if not sheet.frees(a, b):
                return False
            boxes.append((float(x), float(y), float(x + a), float(y + b)))
        whole = (0.0, 0.0, float(sheet.length), float(sheet.width))
        return quick_tree(whole, boxes, sheet.longest_cut, 0.0, 0.0) is not None


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


def _only(placed: Iterable[P], pattern: Pattern, kind: Callable[[P], int]) -> Iterator[P]:
    """Of what is placed, as many of each class as the pattern has."""
    wanted = dict(pattern)
    for place in placed:
        if wanted.get(kind(place), 0):
            wanted[kind(place)] -= 1
            yield place


def _first(spot: Spot) -> int:
    return spot[0]


def _kind(place: ShapePlace) -> int:
    return place.kind


def _spot_of(place: ShapePlace) -> Spot:
    """The corner of the rectangle around a shape; such rectangles may overlap."""
    return place.kind, to_solver_down(place.x), to_solver_down(place.y), place.degrees % 180 != 0
