"""What the drawing of a sheet must show, worked out from the plan: outlines, trims, scribe lines, holes to drill."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from math import cos, pi, sin

import shapely
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from nesting.checking.linework import Piece, Wanted
from nesting.checking.rivets import Place, single_rivets
from nesting.checking.shapes import HAIR, Edge, Point, extent, metal, ring_edges, turning_left
from nesting.checking.sheets import Shape, wanted_shapes
from nesting.checking.structure import Frame, frame_of
from nesting.job import Job, SeamKind
from nesting.outline import Ring
from nesting.plan import Cut, Fasteners, Panel, PlacedPart, Plan, SheetLayout

DOUBTFUL = 0.05
"""mm: a rivet this near to the edge of a sheet may be taken to hold it or not."""

ON_EDGE = 0.011
"""mm: an edge this near to the side of a sheared rectangle is cut with it."""

Stroke = tuple[Point, Point]


@dataclass(frozen=True)
class Drill:
    """A hole that is to be drilled in a part, on the sheet; ``sure`` False where an edge leaves it open."""

    part: str
    at: Point
    sure: bool


@dataclass(frozen=True)
class OnSheet:
    """One sheet as it must be drawn, in sheet coordinates; ``forward`` and ``up`` are directions of each part.

    A patch has no front, and neither has a backing strip.
    """

    number: int
    length: float
    width: float
    cuts: tuple[Wanted, ...]
    trims: tuple[Piece, ...]
    scribes: tuple[Piece, ...]
    drills: tuple[Drill, ...]
    offcuts: tuple[Wanted, ...]
    shears: tuple[Cut, ...]
    parts: tuple[PlacedPart, ...]
    up: tuple[Point, ...]
    forward: tuple[Point | None, ...]


def on_sheets(job: Job, plan: Plan, fasteners: Fasteners, drill: bool) -> tuple[OnSheet, ...]:
    """Every sheet of a plan as it must be drawn; without ``drill`` no holes for rivets."""
    shapes = wanted_shapes(job, plan)
    frames = {side.name: frame_of(job, side, plan) for side in job.sides}
    panels = {panel.name: panel for panel in plan.panels}
    rivets = single_rivets(fasteners) if drill else {}
    found = []
    for number, sheet in enumerate(plan.sheets, start=1):
        scribes: list[Piece] = []
        drills: list[Drill] = []
        for part in sheet.parts:
            panel = panels.get(part.part)
            if part.part not in shapes:
                continue
            onto = onto_sheet(shapes[part.part][0], part)
            if panel is not None:
                strokes = _strokes(job, plan, frames[panel.side], panel)
                what = f"part {part.part}: its scribe line"
                scribes += [Piece(what, Edge(onto(start), onto(end))) for start, end in strokes]
            drills += [
                Drill(part.part, onto(point), sure)
                for point, sure in _holes(job, plan, part.part, panel, shapes, rivets)
            ]
        found.append(
            OnSheet(
                number,
                sheet.stock.length,
                sheet.stock.width,
                tuple(_cut_rings(sheet)),
                tuple(_trims(sheet)),
                tuple(scribes),
                tuple(drills),
                tuple(_offcut_rings(sheet)),
                sheet.cuts,
                sheet.parts,
                tuple(laid_direction((0.0, 1.0), part) for part in sheet.parts),
                tuple(_forward(panels.get(part.part), part) for part in sheet.parts),
            )
        )
    return tuple(found)


def onto_sheet(own: Ring, part: PlacedPart) -> Callable[[Point], Point]:
    """What takes a point of a part as drawn to its place on the sheet: flipped left for right, turned, shifted."""
    laid = [laid_direction((x, y), part) for x, y, _ in own]
    count = len(own)
    dx = sum(v[0] for v in part.outline) / count - sum(x for x, _ in laid) / count
    dy = sum(v[1] for v in part.outline) / count - sum(y for _, y in laid) / count

    def onto(point: Point) -> Point:
        x, y = laid_direction(point, part)
        return x + dx, y + dy

    return onto


def laid_direction(along: Point, part: PlacedPart) -> Point:
    """A direction of a part as drawn, seen on the sheet."""
    x, y = (-along[0] if part.flipped else along[0]), along[1]
    c, s = cos(part.turn * pi / 180), sin(part.turn * pi / 180)
    return x * c - y * s, x * s + y * c


def _forward(panel: Panel | None, part: PlacedPart) -> Point | None:
    if panel is None:
        return None
    return laid_direction((-1.0 if panel.forward.value == "left" else 1.0, 0.0), part)


def _cut_rings(sheet: SheetLayout) -> Iterator[Wanted]:
    """True outlines and holes; a sheet that is cut edge to edge gives every part as its enclosing rectangle."""
    for part in sheet.parts:
        outline = _box(*extent(part.outline)) if sheet.cuts else part.outline
        yield Wanted(f"part {part.part}: its outline", outline)
        for number, hole in enumerate(part.holes, start=1):
            yield Wanted(f"part {part.part}: its hole {number}", hole)


def _trims(sheet: SheetLayout) -> Iterator[Piece]:
    """What of the outlines does not lie on the rectangles that the shear frees."""
    for part in sheet.parts if sheet.cuts else ():
        x0, y0, x1, y1 = extent(part.outline)
        for edge in ring_edges(turning_left(part.outline)):
            (ax, ay), (bx, by) = edge.start, edge.end
            level = any(max(abs(ay - y), abs(by - y)) <= ON_EDGE for y in (y0, y1))
            upright = any(max(abs(ax - x), abs(bx - x)) <= ON_EDGE for x in (x0, x1))
            if edge.radius or not (level or upright):
                yield Piece(f"part {part.part}: the line to trim it to", edge)


def _offcut_rings(sheet: SheetLayout) -> Iterator[Wanted]:
    for number, offcut in enumerate(sheet.offcuts, start=1):
        ring = _box(offcut.x, offcut.y, offcut.x + offcut.length, offcut.y + offcut.width)
        yield Wanted(f"offcut {number}: its outline", ring)


def _box(x0: float, y0: float, x1: float, y1: float) -> Ring:
    return ((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0))


def _strokes(job: Job, plan: Plan, frame: Frame, panel: Panel) -> Iterator[Stroke]:
    """Lines to scribe on a panel, in side coordinates: posts and rails that it covers, rivet rows of its seams."""
    solid = metal(panel.outline, panel.holes)
    x0, y0, x1, y1 = extent(panel.outline)
    for post in range(panel.first_bay, panel.last_bay):
        x = frame.posts[post - 1]
        yield from _within(solid, (x, y0 - 1), (x, y1 + 1))
    for rail in range(panel.first_row, panel.last_row):
        y = frame.rails[rail - 1]
        yield from _within(solid, (x0 - 1, y), (x1 + 1, y))
    middle = (x0 + x1) / 2, (y0 + y1) / 2
    for seam in plan.seams:
        if seam.side != panel.side or panel.name not in (seam.over, seam.under):
            continue
        across = 0 if seam.after_bay is not None else 1
        inward = 1.0 if middle[across] > seam.start[across] else -1.0
        for off in _rows(job):
            dx, dy = (inward * off, 0.0) if across == 0 else (0.0, inward * off)
            start, end = ((x + dx, y + dy) for x, y in (seam.start, seam.end))
            yield from _within(solid, start, end)


def _rows(job: Job) -> tuple[float, ...]:
    """How far each row of rivets lies from the centre line of a seam, towards the panel."""
    rules = job.seam
    if rules.kind is SeamKind.BUTT:
        first = rules.butt_gap / 2 + rules.edge_distance
        return (first, first + rules.row_spacing) if rules.rows == 2 else (first,)
    return (-rules.row_spacing / 2, rules.row_spacing / 2) if rules.rows == 2 else (0.0,)


def _within(solid: BaseGeometry, start: Point, end: Point) -> Iterator[Stroke]:
    inside = LineString([start, end]).intersection(solid)
    for part in getattr(inside, "geoms", (inside,)):
        if isinstance(part, LineString) and part.length > HAIR:
            (ax, ay), (bx, by) = part.coords[0][:2], part.coords[-1][:2]
            yield (ax, ay), (bx, by)


def _holes(
    job: Job,
    plan: Plan,
    name: str,
    panel: Panel | None,
    shapes: dict[str, Shape],
    rivets: dict[Place, list[Point]],
) -> Iterator[tuple[Point, bool]]:
    """Rivets of a part, but those under the sheet of another: that is drilled, and this one through it in place."""
    if panel is None:
        yield from ((point, True) for point in rivets.get(("", name), ()))
        return
    points: Sequence[Point] = rivets.get((panel.side, ""), ())
    if not points:
        return
    cloud = shapely.points(points)
    lapped = job.seam.kind is SeamKind.LAP
    above = {seam.over for seam in plan.seams if lapped and seam.under == panel.name}
    own = metal(*shapes[name])
    over = [metal(*shapes[other]) for other in sorted(above & set(shapes))]
    surely = shapely.contains(own.buffer(-DOUBTFUL), cloud)
    perhaps = shapely.contains(own.buffer(DOUBTFUL), cloud)
    for sheet in over:
        surely &= ~shapely.contains(sheet.buffer(DOUBTFUL), cloud)
        perhaps &= ~shapely.contains(sheet.buffer(-DOUBTFUL), cloud)
    for point, sure, may in zip(points, surely.tolist(), perhaps.tolist(), strict=True):
        if may:
            yield point, sure
