"""Parts placed on their sheets in millimetres: pushed to the datum corner, cuts in order, offcuts worth keeping."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nesting.cutorder import cut_order
from nesting.fitting import Spot
from nesting.job import CutMethod, Job, Stock
from nesting.outline import Box, Ring, bounds, moved, turned
from nesting.plan import Offcut, PlacedPart, SheetLayout
from nesting.problem import PartClass
from shared.units import from_solver, to_solver_up

OFFCUT_LEAST = 304.8
"""mm: an offcut smaller than 12 in either way is not worth keeping (common practice, no source)."""


@dataclass(frozen=True)
class Part:
    """A part as it is cut, in its own position: a panel in side coordinates, or a patch."""

    name: str
    outline: Ring
    holes: tuple[Ring, ...] = ()

    @property
    def size(self) -> tuple[float, float]:
        """(along, across) of the enclosing rectangle at turn 0, in mm."""
        x0, y0, x1, y1 = bounds(self.outline)
        return x1 - x0, y1 - y0


def lay_out(
    job: Job, stock: Stock, spots: Sequence[Spot], parts: Sequence[Part], classes: Sequence[PartClass]
) -> SheetLayout:
    """One sheet: ``parts[i]`` lies at ``spots[i]`` (solver units from the margin corner)."""
    boxes = pushed_to_datum([_footprint(spot, classes[spot[0]]) for spot in spots])
    placed = [_place(job, part, box) for part, box in zip(parts, boxes, strict=True)]
    placed.sort(key=lambda part: (part.x, part.y, part.part))
    occupied = [bounds(part.outline) for part in placed]
    cuts = None
    if job.cutting.method in (CutMethod.SHEAR, CutMethod.HAND):
        longest = job.cutting.shear_length if job.cutting.method is CutMethod.SHEAR else None
        cuts = cut_order(stock.length, stock.width, occupied, longest)
    return SheetLayout(stock, tuple(placed), cuts or (), offcuts(job, stock, occupied))


def _footprint(spot: Spot, kind: PartClass) -> tuple[int, int, int, int]:
    _, x, y, quarter = spot
    a, b = (kind.width, kind.length) if quarter else (kind.length, kind.width)
    return x, y, x + a, y + b


def pushed_to_datum(boxes: list[tuple[int, int, int, int]]) -> list[tuple[int, int, int, int]]:
    """The same rectangles, each moved left and down until it meets another or the edge."""
    boxes = list(boxes)
    moving = True
    while moving:
        moving = False
        for axis in (0, 1):
            for i in sorted(range(len(boxes)), key=lambda i: boxes[i][axis]):
                box = boxes[i]
                beside = [
                    other[axis + 2]
                    for j, other in enumerate(boxes)
                    if j != i
                    and other[axis + 2] <= box[axis]
                    and other[1 - axis] < box[3 - axis]
                    and other[3 - axis] > box[1 - axis]
                ]
                step = box[axis] - max(beside, default=0)
                if step > 0:
                    moving = True
                    shift = [0, 0, 0, 0]
                    shift[axis] = shift[axis + 2] = -step
                    boxes[i] = (box[0] + shift[0], box[1] + shift[1], box[2] + shift[2], box[3] + shift[3])
    return boxes


def _place(job: Job, part: Part, box: tuple[int, int, int, int]) -> PlacedPart:
    along, across = part.size
    spacing = to_solver_up(job.cutting.spacing)
    lies_along = to_solver_up(along) + spacing == box[2] - box[0] and to_solver_up(across) + spacing == box[3] - box[1]
    degrees = 0.0 if lies_along else 90.0
    ring = turned(part.outline, degrees)
    left, low, _, _ = bounds(ring)
    dx = job.cutting.edge_margin + from_solver(box[0]) - left
    dy = job.cutting.edge_margin + from_solver(box[1]) - low
    holes = tuple(moved(turned(hole, degrees), dx, dy) for hole in part.holes)
    return PlacedPart(part.name, moved(ring, dx, dy), holes, degrees, flipped=False)


def offcuts(job: Job, stock: Stock, occupied: Sequence[Box]) -> tuple[Offcut, ...]:
    """Rectangles left over, largest first, none smaller than 12 in either way, clear of every part by the spacing."""
    taken = [_grown(box, job.cutting.spacing) for box in occupied]
    found: list[Offcut] = []
    while True:
        best = _largest_empty(stock, taken)
        if best is None:
            return tuple(found)
        found.append(best)
        taken.append((best.x, best.y, best.x + best.length, best.y + best.width))


def _grown(box: Box, by: float) -> Box:
    return box[0] - by, box[1] - by, box[2] + by, box[3] + by


def _largest_empty(stock: Stock, taken: Sequence[Box]) -> Offcut | None:
    """The largest rectangle of the sheet that overlaps nothing taken; None when none is worth keeping."""
    lefts = sorted({0.0} | {min(max(box[2], 0.0), stock.length) for box in taken})
    rights = sorted({stock.length} | {min(max(box[0], 0.0), stock.length) for box in taken})
    best: tuple[float, Offcut] | None = None
    for x0 in lefts:
        for x1 in rights:
            if x1 - x0 < OFFCUT_LEAST:
                continue
            if best is not None and (x1 - x0) * stock.width <= best[0]:
                continue
            floor = 0.0
            between = sorted(
                (max(box[1], 0.0), box[3]) for box in taken if box[0] < x1 - 1e-9 and box[2] > x0 + 1e-9
            )
            for low, high in [*between, (stock.width, stock.width)]:
                height = low - floor
                if height >= OFFCUT_LEAST and (best is None or (x1 - x0) * height > best[0] + 1e-6):
                    best = ((x1 - x0) * height, Offcut(x0, floor, x1 - x0, height))
                floor = max(floor, high)
    return best[1] if best else None
