"""Where rivet lines run: along seams, outer edges, posts, rails, windows and patches, in side coordinates.

Everything follows from the panels' outlines set inwards by the edge distance: on a lap that inset edge is a
row of the seam, on a land it is the edge line, and lines end where inset edges meet.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import hypot

from shapely import union_all
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from nesting.insets import Points, chords
from nesting.job import Job, Patch, RivetRules, SeamKind, Side, Window
from nesting.openings import outline_openings, post_centres
from nesting.outline import Box, bounds, flattened, rectangle
from nesting.plan import Panel, Point, Seam
from nesting.rivetedges import (
    HAIR,
    ON_LINE,
    InsetEdge,
    RivetSheet,
    around,
    from_below,
    rivet_sheet,
    seam_axis,
    seam_rows,
    window_box,
)
from shared.tables import EDGE_LEAST, PITCH_LEAST
from shared.units import format_length

KINDS = ("seam", "edge", "post", "rail", "window", "patch")
"""In the order in which rivets that lines share are counted."""


@dataclass(frozen=True)
class LinePath:
    """A rivet line before its rivets are set; ``pitch`` is the widest spacing asked for.

    A closed path repeats its first point.  The second row of a two-row lap is staggered by half a space
    wherever that is at least ``stagger_from`` (mm): nearer to the end of a stretch no rivet may be.
    """

    kind: str
    side: str
    where: str
    panels: tuple[str, ...]
    path: Points
    pitch: float
    stagger_from: float | None = None

    @property
    def closed(self) -> bool:
        return self.path[0] == self.path[-1]


def side_paths(job: Job, side: Side, panels: Sequence[Panel], seams: Sequence[Seam]) -> list[LinePath]:
    """The rivet lines of one side in counting order: seams, edges, posts, rails, windows."""
    sheets = {panel.name: rivet_sheet(job, side, panel, seams) for panel in panels}
    clear = _stagger_from(job, seams)
    paths = [path for seam in seams for path in _seam_paths(job, side, seam, sheets, clear)]
    for sheet in sheets.values():
        paths += _edge_paths(sheet, job.rivets)
    for sheet in sheets.values():
        paths += _post_paths(side, sheet, job.rivets)
    for sheet in sheets.values():
        paths += _rail_paths(job, side, sheet)
    for window in side.windows:
        if window.riveted:
            paths += _window_paths(job, side, window, sheets.values())
    return paths


def patch_paths(job: Job, patch: Patch, copy: str) -> list[LinePath]:
    """The closed rivet line of one copy of a patch, its lower left corner at (0, 0)."""
    e = job.seam.edge_distance
    if min(patch.width, patch.height) <= 2 * e:
        return []
    ring = rectangle(e, e, patch.width - e, patch.height - e, max(0.0, patch.corner_radius - e))
    path = from_below(flattened(ring))
    return [LinePath("patch", "", f"edge of {copy}", (copy,), path, job.rivets.edge_pitch)]


def _stagger_from(job: Job, seams: Sequence[Seam]) -> float:
    """How far a staggered rivet must stay from the rivets at the ends of its row.

    Where seams cross, a third sheet's edge lies one edge distance past the crossing row: clear of that too.
    """
    pitch_least, edge_least = PITCH_LEAST.value * job.rivets.diameter, EDGE_LEAST.value * job.rivets.diameter
    crossing = len({seam_axis(seam) for seam in seams}) > 1
    return max(pitch_least, job.seam.edge_distance + edge_least) if crossing else pitch_least


def _seam_paths(
    job: Job, side: Side, seam: Seam, sheets: dict[str, RivetSheet], clear: float
) -> Iterable[LinePath]:
    """One row that holds both panels, two such rows, or on a butt seam a row in each panel."""
    rules, pitch = job.seam, job.rivets.seam_pitch
    place = _place(job, side, seam)
    over, under = sheets[seam.over], sheets[seam.under]
    if rules.kind is SeamKind.BUTT:
        for sheet in (over, under):
            where = f"{place}, {sheet.panel.name} at its butt seam"
            yield from _lines("seam", where, (sheet,), seam_rows(seam, sheet, None), pitch)
        return
    where = f"{place}, {seam.over} over {seam.under}"
    if rules.rows != 2:
        yield from _lines("seam", where, (over, under), seam_rows(seam, over, under), pitch)
        return
    # the row nearer the exposed edge is the over panel's own inset edge; the hidden row is staggered
    for number, owner, other in ((1, over, under), (2, under, over)):
        rows = seam_rows(seam, owner, other)
        said = f"{where}, row {number} of 2"
        for path in _lines("seam", said, (over, under), rows, pitch):
            yield path if number == 1 else replace(path, stagger_from=clear)


def _place(job: Job, side: Side, seam: Seam) -> str:
    """What the seam lies on; a height that is no rail of the side's is that of a strip to be added."""
    if seam.after_bay is not None:
        return f"post {seam.after_bay}"
    height = seam.start[1]
    for number, rail in enumerate(sorted(side.rails), start=1):
        if abs(rail - height) < ON_LINE:
            return f"rail {number}"
    return f"backing strip at {format_length(height, job.units.value, with_unit=True)}"


def _edge_paths(sheet: RivetSheet, rivets: RivetRules) -> Iterable[LinePath]:
    """A line for each run of outer edge that keeps to one hand, from corner to corner."""
    runs: list[tuple[str, list[Point]]] = []
    for ring in sheet.edges:
        first = next((i for i in range(len(ring)) if _turns(ring[i - 1], ring[i])), 0)
        before: InsetEdge | None = None
        for edge in (*ring[first:], *ring[:first]):
            if edge.seam is None:
                if before is None or _turns(before, edge):
                    runs.append((edge.hand, [edge.start]))
                runs[-1][1].append(edge.end)
            before = edge
    for hand in ("bottom", "top", "left", "right"):
        rows = [_upwards(tuple(points)) for name, points in runs if name == hand]
        where = f"{hand} edge of {sheet.panel.name}"
        yield from _lines("edge", where, (sheet,), sorted(rows), rivets.edge_pitch)


def _turns(before: InsetEdge, after: InsetEdge) -> bool:
    return before.seam is not None or after.seam is not None or before.hand != after.hand


def _upwards(points: Points) -> Points:
    return points if points[0] <= points[-1] else points[::-1]


def _post_paths(side: Side, sheet: RivetSheet, rivets: RivetRules) -> Iterable[LinePath]:
    centres = post_centres(outline_openings(side))
    for post in range(sheet.panel.first_bay, sheet.panel.last_bay):
        x = centres[post - 1]
        rows: list[Points] = [((x, a), (x, b)) for ring in sheet.rings for a, b in chords(ring, 0, x)]
        where = f"post {post} in {sheet.panel.name}"
        yield from _lines("post", where, (sheet,), sorted(rows), rivets.post_pitch)


def _rail_paths(job: Job, side: Side, sheet: RivetSheet) -> Iterable[LinePath]:
    panel = sheet.panel
    _, low, _, high = bounds(panel.outline)
    # a rail that the panel ends on is a seam's, and so is nothing that lies within the seam's reach
    end = max(job.seam.reach, 0.0) + ON_LINE
    bays = outline_openings(side)[panel.first_bay - 1 : panel.last_bay]
    for rail, y in enumerate(sorted(side.rails), start=1):
        if not (low + end < y < high - end and any(bay.y0 < y < bay.y1 for bay in bays)):
            continue
        rows: list[Points] = [((a, y), (b, y)) for ring in sheet.rings for a, b in chords(ring, 1, y)]
        where = f"rail {rail} in {panel.name}"
        yield from _lines("rail", where, (sheet,), sorted(rows), job.rivets.post_pitch)


def _window_paths(job: Job, side: Side, window: Window, sheets: Iterable[RivetSheet]) -> Iterable[LinePath]:
    """The closed line around a riveted window, cut short where it would leave the panels."""
    box = window_box(side, window)
    holders = [sheet for sheet in sheets if any(_inside(bounds(hole), box) for hole in sheet.panel.holes)]
    if not holders:
        return
    path = around(box, window.corner_radius, job.seam.edge_distance)
    line = LineString(path)
    room = union_all([Polygon(ring).buffer(HAIR) for sheet in holders for ring in sheet.rings])
    rows = [path] if room.covers(line) else _pieces(line.intersection(room))
    where = f"window in bay {window.bay}"
    yield from _lines("window", where, holders, rows, job.rivets.edge_pitch, own=box)


def _inside(inner: Box, outer: Box) -> bool:
    return (
        inner[0] >= outer[0] - ON_LINE
        and inner[1] >= outer[1] - ON_LINE
        and inner[2] <= outer[2] + ON_LINE
        and inner[3] <= outer[3] + ON_LINE
    )


def _lines(
    kind: str,
    where: str,
    sheets: Sequence[RivetSheet],
    rows: Sequence[Points],
    pitch: float,
    *,
    own: Box | None = None,
) -> Iterable[LinePath]:
    """A line for each row, cut where it comes within the edge distance of a hole (other than its ``own``)."""
    pieces = [
        piece for row in rows for piece in _clear_of_holes(row, sheets, own) if _length(piece) > ON_LINE
    ]
    names = tuple(sheet.panel.name for sheet in sheets)
    for number, piece in enumerate(pieces, start=1):
        said = where if len(pieces) == 1 else f"{where}, stretch {number} of {len(pieces)}"
        yield LinePath(kind, sheets[0].panel.side, said, names, piece, pitch)


def _clear_of_holes(row: Points, sheets: Sequence[RivetSheet], own: Box | None) -> list[Points]:
    xs, ys = [x for x, _ in row], [y for _, y in row]
    near = []
    for zone in (zone for sheet in sheets for zone in sheet.zones):
        x0, y0, x1, y1 = zone.bounds
        if own is not None and _inside(own, (x0, y0, x1, y1)):
            continue
        if x0 <= max(xs) and x1 >= min(xs) and y0 <= max(ys) and y1 >= min(ys):
            near.append(zone)
    if not near:
        return [row]
    return _pieces(LineString(row).difference(union_all(near)))


def _pieces(cut: BaseGeometry) -> list[Points]:
    """What is left of a path as open paths in their order; a closed path's two ends are joined again."""
    parts = getattr(cut, "geoms", (cut,))
    found = [tuple((x, y) for x, y in part.coords) for part in parts if part.geom_type == "LineString"]
    found = [piece for piece in found if len(piece) > 1]
    if len(found) > 1 and found[0][0] == found[-1][-1]:
        found = [found[-1] + found[0][1:], *found[1:-1]]
    return found


def _length(path: Points) -> float:
    return sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise(path))
