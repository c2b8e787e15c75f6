"""What is scribed and drilled on a panel before it is hung, in side coordinates."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import dist, floor

from shapely import line_merge, union_all
from shapely.geometry import LineString
from shapely.geometry import Point as Spot

from nesting.job import SeamKind, SeamRules, Side
from nesting.outline import as_polygon, bounds
from nesting.plan import Panel, PlannedJob, Point, RivetLine, Seam
from nesting.skin.openings import outline_openings, post_centres

Stroke = tuple[Point, Point]

CELL = 0.01
"""Centres of rivets nearer than this (mm) are one."""


def levels_of(planned: PlannedJob, side: Side) -> tuple[float, ...]:
    """Heights at which the rows of a side meet, lowest first: its rails and the backing strips to add."""
    added = {strip.height for strip in planned.plan.backing if strip.side == side.name}
    return tuple(sorted({*side.rails, *added}))


def crossed_lines(panel: Panel, side: Side, levels: Sequence[float]) -> tuple[Stroke, ...]:
    """The centre lines of all posts and rails that the panel covers, cut off at its outline and windows.

    ``levels`` as from `levels_of`.
    """
    x0, y0, x1, y1 = bounds(panel.outline)
    posts = post_centres(outline_openings(side))[panel.first_bay - 1 : panel.last_bay - 1]
    rails = levels[panel.first_row - 1 : panel.last_row - 1]
    lines = [LineString([(x, y0 - 1), (x, y1 + 1)]) for x in posts]
    lines += [LineString([(x0 - 1, y), (x1 + 1, y)]) for y in rails]
    return _on_panel(panel, lines)


def seam_lines(panel: Panel, seams: Iterable[Seam], rules: SeamRules) -> tuple[Stroke, ...]:
    """The scribe lines of the panel's seams: where the rivet centres lie.

    On a lap that is the centre line of the post or rail (two lines with two rows), on a butt seam a line
    one edge distance inside the panel's own edge.
    """
    x0, y0, x1, y1 = bounds(panel.outline)
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    lines = []
    for seam in seams:
        if seam.side != panel.side or panel.name not in (seam.over, seam.under):
            continue
        across = 0 if seam.after_bay is not None else 1
        inward = 1.0 if middle[across] > seam.start[across] else -1.0
        for distance in _row_distances(rules):
            ends = [list(seam.start), list(seam.end)]
            for end in ends:
                end[across] += inward * distance
            lines.append(LineString(ends))
    return _on_panel(panel, lines)


def _row_distances(rules: SeamRules) -> tuple[float, ...]:
    """How far each row lies from the seam's centre line, towards the panel."""
    first = 0.0 if rules.kind is SeamKind.LAP else rules.butt_gap / 2 + rules.edge_distance
    if rules.rows != 2:
        return (first,)
    if rules.kind is SeamKind.LAP:
        return (-rules.row_spacing / 2, rules.row_spacing / 2)
    return (first, first + rules.row_spacing)


def _on_panel(panel: Panel, lines: list[LineString]) -> tuple[Stroke, ...]:
    """The parts of the lines that lie on the panel's metal, none drawn twice."""
    if not lines:
        return ()
    metal = as_polygon(panel.outline, panel.holes)
    drawn = []
    # one direction at a time: joined ends must not turn a corner
    for upright in (True, False):
        same = [line for line in lines if (line.coords[0][0] == line.coords[-1][0]) == upright]
        merged = line_merge(union_all(same).intersection(metal)) if same else LineString()
        for part in getattr(merged, "geoms", (merged,)):
            if isinstance(part, LineString) and part.length > 1.0:
                first, last = sorted((part.coords[0][:2], part.coords[-1][:2]))
                drawn.append(((first[0], first[1]), (last[0], last[1])))
    return tuple(sorted(drawn))


def drill_points(panel: Panel, planned: PlannedJob) -> tuple[Point, ...]:
    """Centres of the rivet holes to drill in this panel before it is hung, each once.

    Where panels lie over one another only the outermost is drilled on the bench: the others are drilled
    through it in place, so that the holes meet.
    """
    lines = [line for line in planned.fasteners.lines if line.side == panel.side and line.side]
    metal = as_polygon(panel.outline, panel.holes)
    others = [
        as_polygon(other.outline, other.holes)
        for other in planned.plan.panels
        if (panel.name, other.name) in _laps(planned)
    ]
    return tuple(
        (x, y)
        for x, y in _distinct(lines)
        if metal.contains(Spot(x, y)) and not any(other.contains(Spot(x, y)) for other in others)
    )


def _laps(planned: PlannedJob) -> frozenset[tuple[str, str]]:
    """(under, over) for each lap seam."""
    if planned.job.seam.kind is SeamKind.BUTT:
        return frozenset()
    return frozenset((seam.under, seam.over) for seam in planned.plan.seams)


def patch_points(part: str, planned: PlannedJob) -> tuple[Point, ...]:
    """Centres of the rivet holes of a patch (named with #1, #2 ...), from its own lower left corner."""
    names = {part, part.rpartition("#")[0]}
    return _distinct(
        [line for line in planned.fasteners.lines if line.kind == "patch" and names & set(line.panels)]
    )


def _distinct(lines: Iterable[RivetLine]) -> tuple[Point, ...]:
    """Each centre once, whichever lines share it."""
    points: dict[tuple[int, int], Point] = {}
    for line in lines:
        for x, y in line.points:
            # the same centre on two lines may differ in its last digits, and lie on two hands of a cell's edge
            column, row = floor(x / CELL), floor(y / CELL)
            near = (points.get((column + i, row + j)) for i in (-1, 0, 1) for j in (-1, 0, 1))
            if not any(other and dist(other, (x, y)) < CELL for other in near):
                points[column, row] = (x, y)
    return tuple(points.values())


def hole_diameter(rivet: float) -> float:
    """The hole for a blind rivet of this diameter, both in mm.

    0.1 mm more and a little for size, which lies inside every published hole range from 3/32 to 1/4 in
    (seen) and from 2.4 to 6.4 mm (from memory of the ISO tables): the rivet maker's sheet goes first.
    """
    return rivet + 0.1 + 0.013 * rivet
