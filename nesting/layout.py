"""Parts placed on sheets in millimetres so that the largest usable offcut remains, with cuts in order."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nesting.arrangements import arrangements, laid_size
from nesting.cutorder import CutUp, cut_order, halves
from nesting.fitting import Spot
from nesting.job import CutMethod, Job, Stock
from nesting.offcuts import OFFCUT_LEAST, area, free_offcuts, left_over_offcuts
from nesting.outline import Box, Ring, bounds, moved, turned
from nesting.plan import PlacedPart, Point, SheetLayout
from nesting.problem import PartClass
from nesting.sizes import longest_cut, part_class, sheet_size
from shared.units import from_solver


@dataclass(frozen=True)
class Part:
    """A part as it is cut, in its own position: a panel in side coordinates, or a patch."""

    name: str
    outline: Ring
    holes: tuple[Ring, ...] = ()

    @property
    def size(self) -> Point:
        """(along, across) of the enclosing rectangle at turn 0, in mm."""
        x0, y0, x1, y1 = bounds(self.outline)
        return x1 - x0, y1 - y0


def lay_out(
    job: Job, stock: Stock, spots: Sequence[Spot], parts: Sequence[Part], classes: Sequence[PartClass]
) -> SheetLayout:
    """One sheet that carries ``parts``, ``parts[i]`` of the class of ``spots[i]``.

    ``spots`` are places known to be good, in solver units from the margin corner.  Of all arrangements tried,
    one that can be cut edge to edge comes first where the method asks for it, then the largest offcut counts.
    """
    layouts = []
    for arrangement in arrangements(job, sheet_size(job, stock), spots, classes):
        waiting: dict[int, list[Part]] = {}
        for spot, part in zip(spots, parts, strict=True):
            waiting.setdefault(spot[0], []).append(part)
        own = [waiting[spot[0]].pop(0) for spot in arrangement]
        layouts.append(_laid(job, stock, arrangement, own, classes))
    return max(layouts, key=_worth)


def _worth(layout: SheetLayout) -> tuple[bool, float, float]:
    areas = [area(offcut) for offcut in layout.offcuts]
    return bool(layout.cuts), round(max(areas, default=0.0)), round(sum(areas))


def _laid(
    job: Job, stock: Stock, spots: Sequence[Spot], parts: Sequence[Part], classes: Sequence[PartClass]
) -> SheetLayout:
    """The sheet as arranged; cut edge to edge where that is wanted and can be done, else free."""
    if job.cutting.method is not CutMethod.PROFILE:
        edge_to_edge = _edge_to_edge(job, stock, spots, parts, classes)
        if edge_to_edge is not None:
            return edge_to_edge
    margin = job.cutting.edge_margin
    corners = [(margin + from_solver(x), margin + from_solver(y)) for _, x, y, _ in spots]
    placed = _placed(job, spots, parts, classes, corners)
    free = free_offcuts(stock, [bounds(part.outline) for part in placed], job.cutting.spacing)
    return SheetLayout(stock, placed, (), free)


def _edge_to_edge(
    job: Job, stock: Stock, spots: Sequence[Spot], parts: Sequence[Part], classes: Sequence[PartClass]
) -> SheetLayout | None:
    """The sheet with cuts in order, its parts drawn together between them; None where no cuts free them."""
    sheet = sheet_size(job, stock)
    grown = []
    for spot in spots:
        a, b = laid_size(spot, classes)
        grown.append((float(spot[1]), float(spot[2]), float(spot[1] + a), float(spot[2] + b)))
    found = cut_order(sheet.length, sheet.width, grown, longest_cut(job))
    if found is None:
        return None
    sizes = [
        size if _degrees(job, spot, part, classes) == 0.0 else (size[1], size[0])
        for spot, part in zip(spots, parts, strict=True)
        for size in [part.size]
    ]
    corners = _drawn_to_datum(
        job, (0.0, 0.0, sheet.length, sheet.width), found, dict(zip(grown, sizes, strict=True))
    )
    placed = _placed(job, spots, parts, classes, [corners[box] for box in grown])
    longest = job.cutting.shear_length if job.cutting.method is CutMethod.SHEAR else None
    boxes = [bounds(part.outline) for part in placed]
    kerf = job.cutting.kerf
    cut_up = cut_order(stock.length, stock.width, boxes, longest, kerf=kerf, keep=OFFCUT_LEAST)
    if cut_up is None:
        return None
    return SheetLayout(stock, placed, cut_up.cuts, left_over_offcuts(stock, cut_up.left_over, kerf))


def _drawn_to_datum(job: Job, sheet: Box, found: CutUp, sizes: dict[Box, Point]) -> dict[Box, Point]:
    """Lower left corner of each part in mm: the pieces of the cut order shrunk to what their parts need.

    Parts are whole solver units in the cut order and a hair less in steel: here what meets really touches.
    """
    spacing, margin = job.cutting.spacing, job.cutting.edge_margin
    needs = dict.fromkeys(found.left_over, (0.0, 0.0)) | sizes
    for cut in reversed(found.cuts):
        (a, b), (c, d) = (needs[piece] for piece in halves(cut.piece, cut.axis, cut.at))
        between = spacing if min(a, c) > 0 else 0.0
        needs[cut.piece] = (a + between + c, max(b, d)) if cut.axis == "x" else (max(a, c), b + between + d)
    corners = {sheet: (margin, margin)}
    for cut in found.cuts:
        low, high = halves(cut.piece, cut.axis, cut.at)
        x, y = corners[low] = corners[cut.piece]
        a, b = (need + spacing if need > 0 else 0.0 for need in needs[low])
        corners[high] = (x + a, y) if cut.axis == "x" else (x, y + b)
    return corners


def _placed(
    job: Job,
    spots: Sequence[Spot],
    parts: Sequence[Part],
    classes: Sequence[PartClass],
    corners: Sequence[Point],
) -> tuple[PlacedPart, ...]:
    """The parts turned and moved to their lower left corners, from the left and from below."""
    placed = []
    for spot, part, corner in zip(spots, parts, corners, strict=True):
        degrees = _degrees(job, spot, part, classes)
        ring = turned(part.outline, degrees)
        left, low, _, _ = bounds(ring)
        dx, dy = corner[0] - left, corner[1] - low
        holes = tuple(moved(turned(hole, degrees), dx, dy) for hole in part.holes)
        placed.append(PlacedPart(part.name, moved(ring, dx, dy), holes, degrees, flipped=False))
    return tuple(sorted(placed, key=lambda part: (part.x, part.y, part.part)))


def _degrees(job: Job, spot: Spot, part: Part, classes: Sequence[PartClass]) -> float:
    """The turn that makes a part lie as its spot says; its class may name the longer way first."""
    along, across = part.size
    stands = part_class(job, along, across).turnable and along < across
    return 0.0 if stands == spot[3] else 90.0
