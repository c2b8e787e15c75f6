"""True shapes on one sheet, for the questions that rectangles around them leave open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

from nesting.outline import Ring, bounds, moved, rectangle
from nesting.shapes import ShapePiece
from nesting.shaping.placeset import place_in
from nesting.shaping.shapefilling import ShapeSet
from nesting.sizing.partshapes import Orientation
from nesting.sizing.problem import PartClass, Pattern, ShapePlace, SheetSize
from shared.units import from_solver, to_solver_up


@dataclass(frozen=True)
class ShapeFitter:
    """Places parts of a problem's classes by their true shapes; remembers what it knows of each pair of them."""

    classes: tuple[PartClass, ...]
    spacing: float

    @cached_property
    def _set(self) -> ShapeSet:
        return ShapeSet([_piece(kind, self.spacing) for kind in self.classes], self.spacing)

    def places(self, sheet: SheetSize, pattern: Pattern, rounds: int) -> tuple[ShapePlace, ...] | None:
        """A place for each part, classes ascending; None where none were found in so many rounds: no proof."""
        numbers = [0] * len(self.classes)
        for k, count in pattern:
            numbers[k] = count
        spacing = from_solver(to_solver_up(self.spacing))
        length, width = from_solver(sheet.length) - spacing, from_solver(sheet.width) - spacing
        found = place_in(self._set, length, width, numbers, rounds=rounds)
        if found is None:
            return None
        places = []
        for place in found:
            orientation = Orientation(place.degrees, place.flip)
            ring = orientation.of(self._set.pieces[place.piece].outline)
            x, y, _, _ = bounds(moved(ring, place.x, place.y))
            places.append(ShapePlace(place.piece, x, y, place.degrees, place.flip))
        return tuple(sorted(places, key=lambda place: place.kind))


def cores_of(classes: Sequence[PartClass]) -> tuple[PartClass, ...]:
    """The classes with each shape's largest core in its place, its holes filled.

    What these cannot do, shapes that are too large for any hole cannot.
    """
    return _cores(tuple(classes))


@lru_cache(maxsize=10)
def _cores(classes: tuple[PartClass, ...]) -> tuple[PartClass, ...]:
    return tuple(
        kind if kind.shape is None else PartClass(*kind.shape.filled[0][0], kind.turnable) for kind in classes
    )


def _piece(kind: PartClass, spacing: float) -> ShapePiece:
    """A class as a piece to place; a rectangle has its spacing in its size."""
    if kind.shape is not None:
        shape = kind.shape
        return ShapePiece(shape.outline, shape.holes, turns=shape.turns, flip=shape.flip)
    ring: Ring = rectangle(0.0, 0.0, from_solver(kind.length) - spacing, from_solver(kind.width) - spacing)
    return ShapePiece(ring, turns=(0.0, 90.0) if kind.turnable else (0.0,))
