"""The plan check, third part: every part once, whole, in its sheet, clear of the others; stock; offcuts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from math import cos, pi, sin

from shapely import STRtree
from shapely.geometry import Polygon, box

from nesting.checking.cover import rounded_box
from nesting.checking.linework import same_ring
from nesting.checking.shapes import HAIR, TRACE, extent, metal, rings_apart, turning_left
from nesting.job import CutMethod, Job, Turn
from nesting.outline import Ring
from nesting.plan import PlacedPart, Plan, SheetLayout

SMALLEST_OFFCUT = 12 * 25.4 - 0.01
"""mm: a rectangle is worth keeping from a foot square up, give or take a hundredth."""

FINE = 1e-4
"""mm: how finely arcs are traced where parts could overlap."""

Shape = tuple[Ring, tuple[Ring, ...]]


def sheet_faults(job: Job, plan: Plan) -> Iterator[str]:
    """What is wrong with the sheets: parts missing or changed, too close, over the edge; stock; offcuts."""
    shapes = wanted_shapes(job, plan)
    there = cut_before(job, plan)
    strips = {name for strip in plan.backing for name in (strip.patch, f"{strip.patch}#1")}
    laid = Counter(part.part for sheet in plan.sheets for part in sheet.parts)
    for name in shapes:
        if name in there and laid[name]:
            yield f"part {name}: it is cut already and is on a sheet all the same"
        elif name not in there and laid[name] != 1:
            yield f"part {name}: it is on the sheets {laid[name]} times"
    for name, times in laid.items():
        if name not in shapes and (name not in strips or times > 1):
            yield (
                f"part {name}: nothing of that name is needed"
                if times == 1
                else f"part {name}: it is there twice"
            )
    for strip in plan.backing:
        times = laid[strip.patch] + laid[f"{strip.patch}#1"]
        if strip.cut and times:
            yield f"part {strip.patch}: the backing strip is cut already and is on a sheet all the same"
        elif not strip.cut and not times:
            yield f"part {strip.patch}: the backing strip is on no sheet"
    yield from _stock_faults(job, plan)
    for number, sheet in enumerate(plan.sheets, start=1):
        for part in sheet.parts:
            yield from _turn_faults(job, number, part)
            if part.part in shapes:
                yield from _shape_faults(number, part, shapes[part.part])
        yield from _room_faults(job, number, sheet)
        yield from _offcut_faults(job, number, sheet)


def wanted_shapes(job: Job, plan: Plan) -> dict[str, Shape]:
    """Every part of the job, by its name on the sheet, as drawn: panels, and each copy of a patch."""
    shapes: dict[str, Shape] = {panel.name: (panel.outline, panel.holes) for panel in plan.panels}
    for patch in job.patches:
        outline = patch.outline or rounded_box(0.0, 0.0, patch.width, patch.height, patch.corner_radius)
        for copy in range(1, patch.quantity + 1):
            shapes[f"{patch.name}#{copy}"] = (outline, patch.holes)
    return shapes


def cut_before(job: Job, plan: Plan) -> set[str]:
    """Names of panels and copies of patches that are there already."""
    copies = {f"{cut.patch}#{copy}" for cut in job.fixed.patches for copy in cut.copies}
    return copies | {panel.name for panel in plan.panels if panel.cut}


def _stock_faults(job: Job, plan: Plan) -> Iterator[str]:
    for stock, used in Counter(sheet.stock for sheet in plan.sheets).items():
        offers = [offer for offer in job.stock if offer == stock]
        if not offers:
            yield f"stock {stock.name}: no stock of the job has this size and price"
        elif stock.available is not None and used > stock.available * len(offers):
            yield f"stock {stock.name}: {used} sheets are used, {stock.available} are available"


def _turn_faults(job: Job, number: int, part: PlacedPart) -> Iterator[str]:
    step = {Turn.NONE: 360.0, Turn.HALF: 180.0, Turn.QUARTER: 90.0, Turn.ANY: 0.0}[job.cutting.turn]
    if step and min(part.turn % step, -part.turn % step) > 1e-9:
        yield f"sheet {number}, part {part.part}: a turn of {part.turn:g} degrees is not allowed"
    if part.flipped and not job.cutting.flip:
        yield f"sheet {number}, part {part.part}: it is cut face down, which is not allowed"


def _shape_faults(number: int, part: PlacedPart, shape: Shape) -> Iterator[str]:
    outline, holes = (_laid(shape[0], part), [_laid(hole, part) for hole in shape[1]])
    place = turning_left(part.outline)
    if len(place) != len(outline):
        corners = f"{len(place)} corners instead of {len(outline)}"
        yield f"sheet {number}, part {part.part}: the outline has {corners}"
        return
    shift = tuple(
        sum(v[axis] for v in place) / len(place) - sum(v[axis] for v in outline) / len(outline)
        for axis in (0, 1)
    )
    if not same_ring(outline, place, shift):
        yield f"sheet {number}, part {part.part}: the outline is not that of the part"
        return
    left_over = [turning_left(hole) for hole in part.holes]
    for hole in holes:
        match = next((i for i, ring in enumerate(left_over) if same_ring(hole, ring, shift)), None)
        if match is None:
            yield f"sheet {number}, part {part.part}: a hole is missing or is not where it should be"
        else:
            left_over.pop(match)
    if left_over:
        yield f"sheet {number}, part {part.part}: it has a hole too many"


def _laid(ring: Ring, part: PlacedPart) -> Ring:
    """The ring as seen on the sheet, flipped left for right and turned, not shifted; counter-clockwise."""
    if part.flipped:
        ring = tuple((-x, y, -bulge) for x, y, bulge in ring)
    angle = part.turn * pi / 180
    c, s = cos(angle), sin(angle)
    return turning_left(tuple((x * c - y * s, x * s + y * c, bulge) for x, y, bulge in ring))


def _room_faults(job: Job, number: int, sheet: SheetLayout) -> Iterator[str]:
    margin, spacing = job.cutting.edge_margin, max(job.cutting.gap, job.cutting.kerf)
    for part in sheet.parts:
        x0, y0, x1, y1 = extent(part.outline)
        room = min(x0, y0, sheet.stock.length - x1, sheet.stock.width - y1)
        if not room >= margin - HAIR:
            yield f"sheet {number}, part {part.part}: {room:.3f} from the edge instead of {margin:.3f}"
    if not sheet.parts:
        yield f"sheet {number}: it carries no part"
        return
    shapes = [metal(part.outline, part.holes, grow=True) for part in sheet.parts]
    if not all(shape.is_valid for shape in shapes):
        bad = [part.part for part, shape in zip(sheet.parts, shapes, strict=True) if not shape.is_valid]
        yield f"sheet {number}: the outline of {', '.join(bad)} crosses itself"
        return
    # What is cut edge to edge is cut as rectangles, and trimmed afterwards.
    cut_square = job.cutting.method is CutMethod.SHEAR or bool(sheet.cuts)
    boxes = [box(*extent(part.outline)) for part in sheet.parts]
    tree = STRtree(boxes if cut_square else shapes)
    for i, j in tree.query(tree.geometries, predicate="dwithin", distance=spacing).T.tolist():
        if i >= j:
            continue
        one, other = sheet.parts[i], sheet.parts[j]
        names = f"{one.part} and {other.part}"
        clear = (
            _boxes_apart(boxes[i], boxes[j]) if cut_square else _clearance(one, other, shapes[i], shapes[j])
        )
        if clear < 0:
            yield f"sheet {number}: parts {names} overlap"
        elif clear < spacing - HAIR:
            yield f"sheet {number}: parts {names} are {clear:.4f} apart instead of {spacing:.4f}"
    if job.cutting.method is not CutMethod.PROFILE:
        yield from _nested_faults(number, sheet)


def _nested_faults(number: int, sheet: SheetLayout) -> Iterator[str]:
    """Parts that lie in a hole of another, which only a profile cutter can cut out."""
    for part in sheet.parts:
        holes = [box(*extent(hole)) for hole in part.holes]
        for inner in sheet.parts:
            if any(hole.covers(box(*extent(inner.outline))) for hole in holes):
                yield f"sheet {number}, part {inner.part}: it lies in a hole of {part.part}, which is not allowed"


def _boxes_apart(one: Polygon, other: Polygon) -> float:
    """Distance between two level rectangles; negative where they overlap by more than a hair."""
    return -1.0 if one.buffer(-HAIR, join_style="mitre").intersects(other) else float(one.distance(other))


def _clearance(one: PlacedPart, other: PlacedPart, grown: Polygon, other_grown: Polygon) -> float:
    """Least distance between the metal of two parts, arcs exact; negative where they overlap."""
    rounded = any(v[2] for part in (one, other) for ring in (part.outline, *part.holes) for v in ring)
    apart = float(grown.distance(other_grown))
    if apart == 0:
        first, second = (metal(part.outline, part.holes, tolerance=FINE) for part in (one, other))
        # Touching parts share a line, which is no area; a real overlap is a hair wide along some length.
        shared = first.intersection(second)
        if shared.area > 0 and shared.buffer(-HAIR / 2).area > 0:
            return -1.0
    if not rounded:
        return apart
    return rings_apart((one.outline, *one.holes), (other.outline, *other.holes))


def _offcut_faults(job: Job, number: int, sheet: SheetLayout) -> Iterator[str]:
    parts = [metal(part.outline, part.holes) for part in sheet.parts]
    spacing = max(job.cutting.gap, job.cutting.kerf)
    boxes: list[Polygon] = []
    for i, offcut in enumerate(sheet.offcuts, start=1):
        where = f"sheet {number}, offcut {i}"
        right, top = offcut.x + offcut.length, offcut.y + offcut.width
        if not min(offcut.x, offcut.y, sheet.stock.length - right, sheet.stock.width - top) >= -HAIR:
            yield f"{where}: it runs over the edge of the sheet"
        if not min(offcut.length, offcut.width) >= SMALLEST_OFFCUT:
            yield f"{where}: {offcut.length:.1f} x {offcut.width:.1f} is too small to keep"
        shape = box(offcut.x, offcut.y, right, top).buffer(-HAIR, join_style="mitre")
        for part, outline in zip(sheet.parts, parts, strict=True):
            if shape.intersects(outline):
                yield f"{where}: it overlaps part {part.part}"
            elif not sheet.cuts and (apart := float(shape.distance(outline))) < spacing - TRACE:
                # what a cut removes is replayed where there are cuts; elsewhere it lies within the gap
                yield f"{where}: it is {apart:.3f} from part {part.part} instead of {spacing:.3f}"
        for j, earlier in enumerate(boxes, start=1):
            if shape.intersects(earlier):
                yield f"{where}: it overlaps offcut {j}"
        boxes.append(shape)
