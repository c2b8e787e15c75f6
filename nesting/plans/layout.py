"""Parts placed on sheets in millimetres so that the largest usable offcut remains, with cuts in order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from nesting.job import CutMethod, Cutting, Job, Stock
from nesting.outline import Box, Ring, bounds, moved, rectangle
from nesting.placing.cuttrees import inside_corners
from nesting.placing.offcuts import AREA_STEP, OFFCUT_LEAST, area, free_offcuts, left_over_offcuts
from nesting.plan import PlacedPart, Point, SheetLayout
from nesting.plans.arrangements import MOST_PARTS, arrangements, freer, laid_size, pattern_of, peelings
from nesting.plans.cutorder import CutUp, cut_order, halves, settings
from nesting.sizing.partshapes import AS_DRAWN, Orientation
from nesting.sizing.problem import PartClass, ShapePlace, SheetSize, Spot
from nesting.sizing.sizes import sheet_size
from shared.units import from_solver, to_solver_up


@dataclass(frozen=True)
class Part:
    """A part as it is cut, in its own position: a panel in side coordinates, or a patch."""

    name: str
    outline: Ring
    holes: tuple[Ring, ...] = ()
    orientation: Orientation = AS_DRAWN
    """How it comes to lie as its class does."""

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
    one that can be cut edge to edge comes first where the method asks for it, then the largest offcut counts, the
    next ones, and how few lines and cuts there are.  Sheets of one size with equal loads are laid out alike.
    """
    kinds = sorted({spot[0] for spot in spots})
    kinds_of = tuple(classes[k] for k in kinds)
    sheet = sheet_size(job, stock)
    # only the size of a sheet decides, so that sheets of one size are laid out alike whatever they cost
    arrangement = _best_arrangement(
        job.cutting,
        Stock("", stock.width, stock.length, 0.0),
        replace(sheet, price=0.0, available=None),
        tuple(sorted((kinds.index(k), x, y, turn) for k, x, y, turn in spots)),
        kinds_of,
    )
    waiting: dict[int, list[Part]] = {}
    for spot, part in zip(spots, parts, strict=True):
        waiting.setdefault(kinds.index(spot[0]), []).append(part)
    own = [waiting[spot[0]].pop(0) for spot in arrangement]
    return _laid(job.cutting, stock, sheet, arrangement, own, kinds_of, thorough=True)


@lru_cache(maxsize=1000)
def _best_arrangement(
    cutting: Cutting, stock: Stock, sheet: SheetSize, spots: tuple[Spot, ...], classes: tuple[PartClass, ...]
) -> tuple[Spot, ...]:
    """The arrangement of most worth, judged on rectangles of the classes' sizes."""
    spacing = to_solver_up(cutting.spacing)
    shapes = [
        Part("", rectangle(0.0, 0.0, from_solver(kind.length - spacing), from_solver(kind.width - spacing)))
        for kind in classes
    ]

    def worth(arrangement: tuple[Spot, ...]) -> _Worth:
        layout = _laid(cutting, stock, sheet, arrangement, [shapes[spot[0]] for spot in arrangement], classes)
        return _worth(cutting, layout)

    found = {arrangement: worth(arrangement) for arrangement in arrangements(cutting, sheet, spots, classes)}
    if len(spots) <= MOST_PARTS:
        pattern = pattern_of(spots)
        more = peelings(cutting, sheet, pattern, classes, max(found.values()).largest)
        found |= {arrangement: worth(arrangement) for arrangement in more}
        free = freer(cutting, sheet, pattern, classes, max(found.values()).largest)
        if free is not None:
            found[free] = worth(free)
    return max(found, key=lambda arrangement: found[arrangement])


@dataclass(frozen=True, order=True)
class _Worth:
    """What makes one layout of a sheet better than another, what counts most first."""

    cut_edge_to_edge: bool
    less_inside_corners: int
    offcuts: tuple[int, ...]
    less_cuts: int
    less_settings: int
    less_lines: int
    near_datum: int

    @property
    def largest(self) -> float:
        """Area of the largest offcut in mm2."""
        return self.offcuts[0] * AREA_STEP if self.offcuts else 0.0


def _worth(cutting: Cutting, layout: SheetLayout) -> _Worth:
    boxes = [bounds(part.outline) for part in layout.parts]
    corners = 0
    if cutting.method is CutMethod.HAND and not layout.cuts:
        sheet = (0.0, 0.0, layout.stock.length, layout.stock.width)
        corners = inside_corners(sheet, boxes, cutting.kerf)
    lines = {(i % 2, round(edge, 3)) for box in boxes for i, edge in enumerate(box)}
    return _Worth(
        cut_edge_to_edge=bool(layout.cuts),
        less_inside_corners=-corners,
        offcuts=tuple(round(area(offcut) / AREA_STEP) for offcut in layout.offcuts),
        less_cuts=-len(layout.cuts),
        # without a stop every cut is measured anew
        less_settings=-settings(layout.cuts) if cutting.method is CutMethod.SHEAR else 0,
        less_lines=-len(lines),
        near_datum=-round(sum((x1 - x0) * (y1 - y0) * (x0 + y0) for x0, y0, x1, y1 in boxes)),
    )


def _laid(
    cutting: Cutting,
    stock: Stock,
    sheet: SheetSize,
    spots: Sequence[Spot],
    parts: Sequence[Part],
    classes: Sequence[PartClass],
    thorough: bool = False,
) -> SheetLayout:
    """The sheet as arranged; cut edge to edge where that is wanted and can be done, else free."""
    orientations = [
        _orientation(spot, part, classes[spot[0]]) for spot, part in zip(spots, parts, strict=True)
    ]
    sizes = [
        part.size if orientation.degrees % 180 == 0.0 else (part.size[1], part.size[0])
        for part, orientation in zip(parts, orientations, strict=True)
    ]
    if cutting.method is not CutMethod.PROFILE:
        corners = _cut_corners(cutting, sheet, spots, classes, sizes)
        if corners is not None:
            placed = _placed(parts, orientations, corners)
            boxes = [bounds(part.outline) for part in placed]
            longest = cutting.shear_length if cutting.method is CutMethod.SHEAR else None
            cut_up = cut_order(
                stock.length,
                stock.width,
                boxes,
                longest,
                kerf=cutting.kerf,
                keep=OFFCUT_LEAST,
                thorough=thorough,
            )
            if cut_up is not None:
                return SheetLayout(stock, placed, cut_up.cuts, left_over_offcuts(cut_up.left_over))
    margin = cutting.edge_margin
    placed = _placed(
        parts, orientations, [(margin + from_solver(x), margin + from_solver(y)) for _, x, y, _ in spots]
    )
    free = free_offcuts(stock, [bounds(part.outline) for part in placed], cutting.spacing)
    return SheetLayout(stock, placed, (), free)


def _cut_corners(
    cutting: Cutting,
    sheet: SheetSize,
    spots: Sequence[Spot],
    classes: Sequence[PartClass],
    sizes: Sequence[Point],
) -> list[Point] | None:
    """Lower left corners in mm of parts drawn together between their cuts; None where no cuts free them."""
    grown = []
    for spot in spots:
        a, b = laid_size(spot, classes)
        grown.append((float(spot[1]), float(spot[2]), float(spot[1] + a), float(spot[2] + b)))
    found = cut_order(sheet.length, sheet.width, grown, sheet.longest_cut)
    if found is None:
        return None
    whole = (0.0, 0.0, sheet.length, sheet.width)
    corners = _drawn_to_datum(cutting, whole, found, dict(zip(grown, sizes, strict=True)))
    return [corners[box] for box in grown]


def _drawn_to_datum(
    cutting: Cutting, sheet: Box, found: CutUp, sizes: Mapping[Box, Point]
) -> dict[Box, Point]:
    """Lower left corner of each part in mm: the pieces of the cut order shrunk to what their parts need.

    Parts are whole solver units in the cut order and a hair less in steel: here what meets really touches.
    """
    spacing, margin = cutting.spacing, cutting.edge_margin
    needs = dict.fromkeys(found.left_over, (0.0, 0.0)) | dict(sizes)
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


def lay_out_shapes(
    job: Job, stock: Stock, places: Sequence[ShapePlace], parts: Sequence[Part]
) -> SheetLayout:
    """One sheet that carries ``parts`` by their true shapes, ``parts[i]`` of the class of ``places[i]``.

    What is left over is told by the rectangles around the parts.
    """
    margin = job.cutting.edge_margin
    orientations = [
        part.orientation.then(place.degrees, place.flipped) for place, part in zip(places, parts, strict=True)
    ]
    placed = _placed(parts, orientations, [(margin + place.x, margin + place.y) for place in places])
    boxes = [bounds(part.outline) for part in placed]
    return SheetLayout(stock, placed, (), free_offcuts(stock, boxes, job.cutting.spacing))


def _placed(
    parts: Sequence[Part], orientations: Sequence[Orientation], corners: Sequence[Point]
) -> tuple[PlacedPart, ...]:
    """The parts flipped, turned and moved to their lower left corners, from the left and from below."""
    placed = []
    for part, orientation, corner in zip(parts, orientations, corners, strict=True):
        ring = orientation.of(part.outline)
        left, low, _, _ = bounds(ring)
        dx, dy = corner[0] - left, corner[1] - low
        holes = tuple(moved(orientation.of(hole), dx, dy) for hole in part.holes)
        placed.append(
            PlacedPart(part.name, moved(ring, dx, dy), holes, orientation.degrees, orientation.flipped)
        )
    return tuple(sorted(placed, key=lambda part: (part.x, part.y, part.part)))


def _orientation(spot: Spot, part: Part, kind: PartClass) -> Orientation:
    """The orientation that makes a part lie as its spot says; a rectangle's class may name the longer way first."""
    if kind.shape is not None:
        return part.orientation.then(90.0 if spot[3] else 0.0, flipped=False)
    along, across = part.size
    stands = kind.turnable and along < across
    return Orientation(0.0 if stands == spot[3] else 90.0)
