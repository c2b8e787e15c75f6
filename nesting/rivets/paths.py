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

from nesting.job import Job, Patch, RivetRules, SeamKind, Side, Window
from nesting.outline import Box, bounds
from nesting.plan import Panel, Seam
from nesting.rivets.edges import (
    HAIR,
    ON_LINE,
    InsetEdge,
    RivetSheet,
    around,
    from_below,
    hole_zone,
    rivet_sheet,
    seam_axis,
    seam_rows,
    window_box,
)
from nesting.rivets.insets import Points, chords, inset
from nesting.skin.openings import outline_openings, post_centres
from nesting.skin.patches import patch_ring
from shared.tables import EDGE_LEAST, PITCH_LEAST
from shared.units import format_length

_BEND = 20.0
"""Degrees: a greater turn between two hands is a corner, where two lines meet; a lesser one is a bend in a curve."""

_SHARP = 60.0
"""Degrees: a greater turn is a corner even where both edges lie on the same hand."""

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
    """The closed rivet lines of one copy of a patch, the lower left corner of its extent at (0, 0).

    More than one where a neck is too narrow for a line, or where a hole lies across the line.
    """
    e = job.seam.edge_distance
    rows = [from_below(_lowest_first(ring)) for ring in inset(patch_ring(patch), e)]
    zones = [hole_zone(hole, e) for hole in patch.holes]
    pieces = [piece for row in rows for piece in _clear_of(row, zones) if _length(piece) > ON_LINE]
    where = f"edge of {copy}"
    return [
        LinePath("patch", "", said, (copy,), piece, job.rivets.edge_pitch)
        for said, piece in zip(_stretches(where, len(pieces)), pieces, strict=True)
    ]


def _lowest_first(ring: Points) -> Points:
    """The ring begun with its lowest edge, of several the one farthest left."""
    ends = (*ring[1:], ring[0])
    first = min(range(len(ring)), key=lambda i: (round(ring[i][1] + ends[i][1], 6), ring[i][0] + ends[i][0]))
    return (*ring[first:], *ring[:first])


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
    """A line for each run of outer edge without a corner between two hands, named by the hand of most of it."""
    runs: list[list[InsetEdge]] = []
    for ring in sheet.edges:
        first = next((i for i in range(len(ring)) if _parts(ring[i - 1], ring[i])), 0)
        before: InsetEdge | None = None
        for edge in (*ring[first:], *ring[:first]):
            if edge.seam is None:
                if before is None or _parts(before, edge):
                    runs.append([])
                runs[-1].append(edge)
            before = edge
    found: dict[str, list[Points]] = {}
    for run in runs:
        points = (run[0].start, *(edge.end for edge in run))
        if points[0] == points[-1]:
            found.setdefault("whole", []).append(from_below(points[:-1]))
        else:
            found.setdefault(_hand(run), []).append(_upwards(points))
    for hand in ("bottom", "top", "left", "right", "whole"):
        where = f"{hand} edge of {sheet.panel.name}"
        yield from _lines("edge", where, (sheet,), sorted(found.get(hand, [])), rivets.edge_pitch)


def _parts(before: InsetEdge, after: InsetEdge) -> bool:
    """Whether one line ends and another begins between two edges: at a seam, or at a corner.

    Where the edge bends smoothly from one hand to another, the line runs on.
    """
    if before.seam is not None or after.seam is not None:
        return True
    turn = before.turn_to(after)
    return turn > _SHARP or (turn > _BEND and before.hand != after.hand)


def _hand(run: Sequence[InsetEdge]) -> str:
    """The hand on which most of a run lies."""
    lengths: dict[str, float] = {}
    for edge in run:
        lengths[edge.hand] = lengths.get(edge.hand, 0.0) + hypot(*edge.way)
    return max(lengths, key=lambda hand: lengths[hand])


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
    for said, piece in zip(_stretches(where, len(pieces)), pieces, strict=True):
        yield LinePath(kind, sheets[0].panel.side, said, names, piece, pitch)


def _stretches(where: str, count: int) -> list[str]:
    """What each of so many pieces of a line is called."""
    if count == 1:
        return [where]
    return [f"{where}, stretch {number} of {count}" for number in range(1, count + 1)]


def _clear_of_holes(row: Points, sheets: Sequence[RivetSheet], own: Box | None) -> list[Points]:
    zones = [zone for sheet in sheets for zone in sheet.zones]
    return _clear_of(row, [zone for zone in zones if own is None or not _inside(own, zone.bounds)])


def _clear_of(row: Points, zones: Iterable[Polygon]) -> list[Points]:
    """The pieces of a path outside of some zones."""
    xs, ys = [x for x, _ in row], [y for _, y in row]
    near = []
    for zone in zones:
        x0, y0, x1, y1 = zone.bounds
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
