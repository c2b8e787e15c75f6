"""The plan check, fifth part: every rivet in metal, clear of edges and others, counted once; enough boxes."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator
from itertools import pairwise
from math import ceil, dist, inf

import numpy as np
import shapely
from shapely import STRtree
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from nesting.checking.lengths import length_faults
from nesting.checking.shapes import HAIR, crossings, metal, point_to_edge, point_to_ring, ring_edges, traced
from nesting.checking.sheets import Shape, wanted_shapes
from nesting.checking.structure import frame_of
from nesting.job import Job, Patch, SeamKind
from nesting.outline import Ring
from nesting.plan import Fasteners, Panel, Plan, Point, RivetLine, Seam

SAME = 1e-3
"""mm: two points this near to one another are one rivet."""

BEND = 0.02
"""mm: rivets along a curve may stand on chords of it."""

_MORE = re.compile(r" and (\d+) more lines")

Place = tuple[str, str]
"""Where points can be compared: a side, or one copy of a patch."""


def rivet_faults(job: Job, plan: Plan, fasteners: Fasteners) -> Iterator[str]:
    """What is wrong with the rivet lines, the counts and the boxes."""
    shapes = wanted_shapes(job, plan)
    for line in fasteners.lines:
        for name in line.panels:
            if name not in shapes:
                yield f"rivet line {line.where}: there is no part {name}"
        if not line.points:
            yield f"rivet line {line.where}: it has no rivets"
    yield from _pitch_faults(job, shapes, fasteners)
    yield from _metal_faults(job, shapes, fasteners)
    yield from _missing_lines(job, plan, fasteners)
    places = single_rivets(fasteners)
    if not any("nearer than" in warning for warning in fasteners.warnings):
        yield from _crowding_faults(job, places)
    yield from _count_faults(fasteners, places)
    yield from _held_faults(plan, fasteners, places)
    yield from _box_faults(job, fasteners)
    yield from length_faults(job, plan, fasteners, places)


def single_rivets(fasteners: Fasteners) -> dict[Place, list[Point]]:
    """Every rivet once, however many lines it is on, side by side and patch by patch."""
    points: dict[Place, list[Point]] = defaultdict(list)
    for line in fasteners.lines:
        copy = line.panels[0] if line.kind == "patch" and line.panels else ""
        points[line.side, copy] += line.points
    places = {}
    for place, several in points.items():
        if several:
            cloud = shapely.points(several)
            near = STRtree(cloud).query(cloud, predicate="dwithin", distance=SAME).T.tolist()
            later = {max(i, j) for i, j in near if i != j}
            places[place] = [point for i, point in enumerate(several) if i not in later]
    return places


def _pitch_faults(job: Job, shapes: dict[str, Shape], fasteners: Fasteners) -> Iterator[str]:
    """Lines with rivets too wide apart, unless a warning says that rivets found no room there."""
    warnings = [w for w in fasteners.warnings if "left out" in w or "wider than the pitch" in w]
    uncounted: dict[str, int] = {}
    for line in fasteners.lines:
        side = f"side {line.side!r}" if line.side else "patches"
        own = [warning for warning in warnings if warning.startswith(side)]
        more = sum(int(count) for warning in own for count in _MORE.findall(warning))
        fault = _too_wide(job, shapes, line)
        # one name may be the beginning of another: a line is named from mark to mark
        named = re.compile(rf"[,;] {re.escape(line.where)}(; |: | and \d+ more lines)")
        if fault is None or any(named.search(warning) for warning in own):
            continue
        uncounted[side] = uncounted.get(side, 0) + 1
        if uncounted[side] > more:
            yield fault


def _too_wide(job: Job, shapes: dict[str, Shape], line: RivetLine) -> str | None:
    """What is wrong where rivets of a line stand wider than asked with no hole between them."""
    points, rules = line.points, job.rivets
    pitches = {"seam": rules.seam_pitch, "post": rules.post_pitch, "rail": rules.post_pitch}
    # A pitch under 3 D gives way to that rule.
    asked = max(pitches.get(line.kind, rules.edge_pitch), 3 * rules.diameter)
    steps = list(pairwise(points))
    if line.kind == "patch" and len(points) > 2:
        steps.append((points[-1], points[0]))
    holes = [hole for name in line.panels if name in shapes for hole in shapes[name][1]]
    for a, b in steps:
        apart = dist(a, b)
        if apart <= asked + SAME:
            continue
        over = LineString([a, b])
        if not any(over.distance(Polygon(traced(hole, True))) < job.seam.edge_distance for hole in holes):
            return f"rivet line {line.where}: rivets {apart:.3f} apart, {asked:.3f} is asked for"
    return None


def _metal_faults(job: Job, shapes: dict[str, Shape], fasteners: Fasteners) -> Iterator[str]:
    """Rivets outside their panel, or nearer to an edge or a hole than the edge distance."""
    least = job.seam.edge_distance
    for name, (outline, holes) in shapes.items():
        lines = [line for line in fasteners.lines if name in line.panels and line.points]
        if not lines:
            continue
        # Drawn small and with its holes drawn large, so that only points near a curve need an exact look.
        solid = Polygon(traced(outline, False), [traced(hole, True) for hole in holes])
        shapely.prepare(solid)
        for line in lines:
            cloud = shapely.points(line.points)
            inside = shapely.contains(solid, cloud)
            room = shapely.distance(solid.boundary, cloud)
            for point, held, near in zip(line.points, inside.tolist(), room.tolist(), strict=True):
                where = f"rivet line {line.where}: the rivet at ({point[0]:.2f}, {point[1]:.2f})"
                if not held:
                    yield f"{where} is not in the metal of {name}"
                elif near < least - HAIR:
                    straight, bent = _room(point, outline)
                    to_hole = min((point_to_ring(point, hole) for hole in holes), default=least)
                    if straight < least - HAIR or min(bent, to_hole) < least - BEND:
                        short = f"{min(straight, bent, to_hole):.3f} from the edge"
                        yield f"{where} is {short} of {name}, not {least:.3f}"


def _room(point: Point, outline: Ring) -> tuple[float, float]:
    """Distance to the nearest straight edge of an outline, and to its nearest arc."""
    found = {True: inf, False: inf}
    for edge in ring_edges(outline):
        found[edge.radius > 0] = min(found[edge.radius > 0], point_to_edge(point, edge))
    return found[False], found[True]


def _missing_lines(job: Job, plan: Plan, fasteners: Fasteners) -> Iterator[str]:
    """Panels, seams and riveted patches that no line holds, though they have room for one."""
    held = {name for line in fasteners.lines for name in line.panels}
    for panel in plan.panels:
        if panel.name not in held and not _inner(panel, job.seam.edge_distance + BEND).is_empty:
            yield f"panel {panel.name}: no rivet line holds it"
    yield from _missing_post_lines(job, plan, fasteners)
    seam_lines = [line for line in fasteners.lines if line.kind == "seam"]
    each = {name for line in seam_lines for name in line.panels}
    # A row of a lap lies on the very edge of this room.
    inner = {panel.name: _inner(panel, job.seam.edge_distance - BEND) for panel in plan.panels}
    for seam in plan.seams:
        pair = {seam.over, seam.under}
        rooms = [inner.get(name, Polygon()) for name in (seam.over, seam.under)]
        if job.seam.kind is SeamKind.BUTT:
            named = zip((seam.over, seam.under), rooms, strict=True)
            missing = any(name not in each and _room_beside(job, seam, room) for name, room in named)
        else:
            missing = not any(pair <= set(line.panels) for line in seam_lines)
            missing = missing and _room_beside(job, seam, rooms[0].intersection(rooms[1]))
        if missing:
            yield f"seam {seam.over} over {seam.under}: no rivet line holds both"
    patched = {name for line in fasteners.lines if line.kind == "patch" for name in line.panels}
    for patch in job.patches:
        if patch.riveted and _has_room(job, patch):
            for copy in range(1, patch.quantity + 1):
                if f"{patch.name}#{copy}" not in patched:
                    yield f"part {patch.name}#{copy}: it is riveted, and has no rivet line"


def _inner(panel: Panel, distance: float) -> BaseGeometry:
    """What of a panel lies farther than the distance from every edge."""
    return _inside(metal(panel.outline, panel.holes), distance)


def _inside(shape: Polygon, distance: float) -> BaseGeometry:
    """A shape moved inwards: past an inward corner lines meet in a point, so that no more is asked than they reach."""
    return shape.buffer(-distance, join_style="mitre", mitre_limit=20.0)


def _room_beside(job: Job, seam: Seam, room: BaseGeometry) -> bool:
    """Whether some row of a seam lies in a room for longer than two rivets need."""
    axis = 0 if seam.after_bay is not None else 1
    off = job.seam.reach - job.seam.edge_distance
    for way in (off, -off):
        shift = (way, 0.0) if axis == 0 else (0.0, way)
        row = LineString([(x + shift[0], y + shift[1]) for x, y in (seam.start, seam.end)])
        if row.intersection(room).length > 3 * job.rivets.diameter:
            return True
    return False


def _has_room(job: Job, patch: Patch) -> bool:
    """Whether some of a patch lies farther from its edge than the edge distance."""
    distance = job.seam.edge_distance
    if patch.outline is None:
        return min(patch.width, patch.height) > 2 * (distance + BEND)
    return not _inside(metal(patch.outline), distance + BEND).is_empty


def _missing_post_lines(job: Job, plan: Plan, fasteners: Fasteners) -> Iterator[str]:
    """Posts that a panel crosses without a line of rivets; a panel with a hole may have no room for one."""
    frames = {side.name: frame_of(job, side, plan) for side in job.sides}
    upright = [line for line in fasteners.lines if line.kind == "post" and line.points]
    # On less than this the rivets along the panel's edges may crowd out the post's own, and hold it within a pitch.
    rows = 2 * job.seam.row_spacing if job.seam.rows == 2 else 0.0
    least = 2 * job.seam.edge_distance + rows + 6 * job.rivets.diameter + job.rivets.post_pitch
    for panel in plan.panels:
        if panel.holes or panel.side not in frames:
            continue
        for post in range(panel.first_bay, panel.last_bay):
            x = frames[panel.side].posts[post - 1]
            if any(panel.name in line.panels and abs(line.points[0][0] - x) < SAME for line in upright):
                continue
            heights = sorted(y for edge in ring_edges(panel.outline) for y in crossings(edge, 0, x))
            if heights and heights[-1] - heights[0] > least:
                yield f"panel {panel.name}: it has no line of rivets on the post after bay {post}"


def _crowding_faults(job: Job, places: dict[Place, list[Point]]) -> Iterator[str]:
    least = 3 * job.rivets.diameter
    if job.seam.rows == 2 and job.seam.row_spacing > 0:
        least = min(least, job.seam.row_spacing)
    for (side, copy), points in places.items():
        cloud = shapely.points(points)
        pairs = STRtree(cloud).query(cloud, predicate="dwithin", distance=least).T.tolist()
        # Positions are given to a millionth, so a distance may be two of these short.
        close = [(i, j) for i, j in pairs if i < j and dist(points[i], points[j]) < least - 2 * HAIR]
        if close:
            (x, y), (u, v) = (points[i] for i in close[0])
            apart = dist((x, y), (u, v))
            yield (
                f"rivets of {side or copy} at ({x:.2f}, {y:.2f}) and ({u:.2f}, {v:.2f}) "
                f"are {apart:.2f} apart, less than {least:.2f} (3 D), and so are {len(close) - 1} more pairs"
            )


def _count_faults(fasteners: Fasteners, places: dict[Place, list[Point]]) -> Iterator[str]:
    total = sum(len(points) for points in places.values())
    if fasteners.total != total:
        yield f"rivets in all: {fasteners.total} are given, {total} are on the lines"
    counted = sum(line.counted for line in fasteners.lines)
    if counted != fasteners.total:
        yield f"rivets in all: {fasteners.total} are given, the lines count {counted}"
    for line in fasteners.lines:
        if not 0 <= line.counted <= len(line.points):
            yield f"rivet line {line.where}: it counts {line.counted} of its {len(line.points)} rivets"


def _held_faults(plan: Plan, fasteners: Fasteners, places: dict[Place, list[Point]]) -> Iterator[str]:
    """Rivets that go through each panel, and through another one too, by where they stand."""
    told = {held.panel: held for held in fasteners.panels}
    copies = {copy: len(points) for (_, copy), points in places.items() if copy}
    for name in sorted(set(told) - {panel.name for panel in plan.panels} | set(copies)):
        given = (told[name].rivets, told[name].shared) if name in told else (0, 0)
        if given != (copies.get(name, 0), 0):
            yield f"rivets of {name}: {given[0]} are given, {given[1]} of them shared; {copies.get(name, 0)} hold it"
    for (side, copy), points in places.items():
        panels = [panel for panel in plan.panels if panel.side == side and not copy]
        if not panels:
            continue
        cloud = shapely.points(points)
        # A rivet on a sheet's very edge does not hold it.
        sheets = [metal(panel.outline, panel.holes).buffer(-SAME) for panel in panels]
        through = np.array([shapely.contains(sheet, cloud) for sheet in sheets])
        shared = through.sum(axis=0) > 1
        for panel, held in zip(panels, through, strict=True):
            counts = int(held.sum()), int((held & shared).sum())
            own = told.get(panel.name)
            if own is None:
                yield f"rivets of {panel.name}: {counts[0]} hold it, none are given"
            elif (own.rivets, own.shared) != counts:
                yield (
                    f"rivets of {panel.name}: {own.rivets} are given, {own.shared} of them shared; "
                    f"{counts[0]} hold it, {counts[1]} of them shared"
                )


def _box_faults(job: Job, fasteners: Fasteners) -> Iterator[str]:
    needed = ceil(fasteners.total * (1 + job.rivets.spare) - HAIR)
    if fasteners.to_buy < needed:
        yield f"rivets to buy: {fasteners.to_buy} do not cover {fasteners.total} and the spare ones, {needed}"
    offered = {(pack.count, pack.price) for pack in job.rivets.packs}
    for count, boxes, price in fasteners.packs:
        if (count, price) not in offered:
            yield f"boxes of {count} rivets: no such box at {price:.2f} in the job"
        if boxes < 1:
            yield f"boxes of {count} rivets: {boxes} boxes"
    if any(pack.length is not None for pack in job.rivets.packs):
        return  # boxes of each length are judged with that length
    held = sum(count * boxes for count, boxes, _ in fasteners.packs)
    if offered and held < fasteners.to_buy:
        yield f"boxes of rivets: they hold {held}, {fasteners.to_buy} are to be bought"
