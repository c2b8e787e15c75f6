"""One side of the body as seen from outside: structure, panels, and which of them lies over which."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from shapely import union_all
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from nesting.documents.dimensions import stroke
from nesting.documents.drawing import Dot, Drawing, Label, Layer, Path, one_line
from nesting.documents.findings import doubts
from nesting.documents.lettering import LINE_GAP, Block, Room, extents_of, label_area, under, words, wrapped
from nesting.documents.marking import crossed_lines, levels_of, seam_lines
from nesting.documents.openingsizes import opening_sizes
from nesting.documents.overlap import lapped_outlines
from nesting.documents.postfaces import post_ring
from nesting.documents.sheetview import MEASURE_AGAIN
from nesting.documents.sidesizes import lap_words, side_arrows, side_sizes
from nesting.documents.wording import mass_text
from nesting.job import SeamKind, Side
from nesting.outline import Box, as_polygon, bounds, flattened, rectangle
from nesting.plan import Panel, PlannedJob
from nesting.skin.openings import Opening, outline_openings
from nesting.skin.ringcuts import Line, cut_along
from nesting.skin.seams import strip_width
from shared.units import format_length

_HEAD = 2.0
"""A rivet's head is about twice as wide as its body (facts: domed heads of 1/8 to 1/4 in)."""


def elevation(planned: PlannedJob, side: Side) -> Drawing:
    """The side with its openings, posts, rails, panels, seams, rivets, dimensions and bay numbers.

    Side coordinates in mm.  The edge of a sheet that lies under another is dashed.
    """
    panels = [panel for panel in planned.plan.panels if panel.side == side.name]
    seams = [seam for seam in planned.plan.seams if seam.side == side.name]
    openings = outline_openings(side)
    paths = [*_structure(side, openings), *_backing(planned, side), *_openings(openings)]
    paths += lapped_outlines(panels, planned)
    paths += [Path(hole, True, Layer.PANEL, panel.name) for panel in panels for hole in panel.holes]
    paths += [
        stroke([seam.start, seam.end], Layer.SEAM, f"seam {seam.over} over {seam.under}") for seam in seams
    ]
    dots = _rivets(planned, side)
    skin = _skin_box(panels, openings)
    letter = max(12.0, (skin[2] - skin[0]) / 140)
    units = planned.job.units
    rows = [
        line.points for line in planned.fasteners.lines if line.side == side.name and len(line.points) > 1
    ]
    rows += [tuple(flattened(path.vertices, 0.1)) for path in paths if path.about == "rail"]
    windows = union_all([as_polygon(hole, tolerance=0.1) for panel in panels for hole in panel.holes])
    inner_paths, inner_labels = opening_sizes(
        openings, units, 0.85 * letter, union_all([LineString(row) for row in rows]), windows
    )
    paths += inner_paths
    said = union_all([label_area(label).buffer(0.3 * label.height) for label in inner_labels])
    labels = [*inner_labels]
    labels += [label for panel in panels for label in _panel_words(planned, side, panel, letter, said)]
    for more_paths, more_labels in (
        side_sizes(side, openings, _named_levels(planned, side), skin, units, letter),
        side_arrows(side.forward, skin, letter),
    ):
        paths += more_paths
        labels += more_labels
    labels += lap_words(seams, planned.job.seam.kind, skin, letter)
    return Drawing(
        name=side.name,
        title=f"{one_line(side.name)}, seen from outside",
        extents=extents_of(paths, dots, labels),
        paths=tuple(paths),
        dots=tuple(dots),
        labels=tuple(labels),
    )


def _openings(openings: Sequence[Opening]) -> list[Path]:
    return [Path(o.ring, True, Layer.OPENING, f"bay {o.bay}") for o in openings]


def _structure(side: Side, openings: Sequence[Opening]) -> list[Path]:
    """The faces of posts between openings, and of rails across these as far as their true edges."""
    paths = [
        Path(post_ring(left, right), True, Layer.STRUCTURE, f"post {left.bay}")
        for left, right in pairwise(openings)
    ]
    half = side.rail_width / 2
    for height in side.rails:
        low, high = Line(1, height - half, 1), Line(1, height + half, -1)
        for opening in openings:
            for above in cut_along(opening.ring, low) if half else ():
                paths += [Path(ring, True, Layer.STRUCTURE, "rail") for ring in cut_along(above, high)]
    return paths


def _backing(planned: PlannedJob, side: Side) -> list[Path]:
    """The strips of metal to add behind seams where the side has no rail."""
    levels = levels_of(planned, side)
    added = {strip.height for strip in planned.plan.backing if strip.side == side.name}
    half = strip_width(planned.job.seam) / 2
    return [
        Path(
            rectangle(seam.start[0], levels[seam.rail - 1] - half, seam.end[0], levels[seam.rail - 1] + half),
            True,
            Layer.STRUCTURE,
            "backing strip",
        )
        for seam in planned.plan.seams
        if seam.side == side.name and seam.rail is not None and levels[seam.rail - 1] in added
    ]


def _named_levels(planned: PlannedJob, side: Side) -> list[tuple[str, float, str]]:
    """Rails and backing strips: what to call each, its height, and how the sheets lap there."""
    lapped = {
        seam.rail
        for seam in planned.plan.seams
        if seam.side == side.name and planned.job.seam.kind is SeamKind.LAP
    }
    named = []
    rail = 0
    for level, height in enumerate(levels_of(planned, side), start=1):
        rail += height in side.rails
        name = f"rail {rail}" if height in side.rails else "backing strip"
        named.append((name, height, ", upper over lower" if level in lapped else ""))
    return named


def _rivets(planned: PlannedJob, side: Side) -> list[Dot]:
    """One dot for each rivet of the side, where lines cross only one."""
    head = _HEAD * planned.job.rivets.diameter
    dots: dict[tuple[float, float], Dot] = {}
    for line in planned.fasteners.lines:
        if line.side == side.name:
            for x, y in line.points:
                dots.setdefault((round(x, 2), round(y, 2)), Dot(x, y, head, Layer.RIVET))
    return list(dots.values())


def _skin_box(panels: Sequence[Panel], openings: Sequence[Opening]) -> Box:
    """The least box around panels and openings."""
    boxes = [bounds(panel.outline) for panel in panels] + [(o.x0, o.y0, o.x1, o.y1) for o in openings]
    lowest_x, lowest_y, highest_x, highest_y = zip(*boxes, strict=True)
    return min(lowest_x), min(lowest_y), max(highest_x), max(highest_y)


def _panel_words(
    planned: PlannedJob, side: Side, panel: Panel, letter: float, said: BaseGeometry
) -> tuple[Label, ...]:
    """Name, size and mass on the panel, off what is ``said`` there, clear of its laps, posts, rails and windows."""
    unit = planned.job.units.value
    x0, y0, x1, y1 = bounds(panel.outline)
    wide, high = (format_length(length, unit, direction="down") for length in (x1 - x0, y1 - y0))
    lines = [f"{wide} x {high}"]
    if panel.name in planned.masses:
        lines.append(mass_text(planned.masses[panel.name], planned.job.units))
    if panel.cut:
        lines.append("cut already")
    if doubts(planned, panel.name):
        lines.append(MEASURE_AGAIN)
    room = Room(
        as_polygon(panel.outline, panel.holes, tolerance=0.1).buffer(-0.3 * letter).difference(said),
        _metal_behind(planned, side, panel),
        clear=0.3 * letter,
    )
    shares = tuple(1.5 * 0.85**step for step in range(21))
    for turn, some, crossing in (
        (0.0, shares[:5], False),
        (90.0, shares[:5], False),
        (0.0, shares[:9], True),
        (90.0, shares, True),
    ):
        for share in some:
            for block in _forms(panel.name, lines, share * letter):
                place = room.place(block, (turn,), crossing)
                if place is not None:
                    return place.labels(block)
    return (Label((x0 + x1) / 2, (y0 + y1) / 2, one_line(panel.name), 0.05 * letter, about=panel.name),)


def _forms(name: str, lines: Sequence[str], size: float) -> Iterable[Block]:
    small = 0.66 * size
    rest = words([(line, small) for line in lines], about=name)
    for count in (1, 2, 3):
        broken = wrapped(name, count)
        if broken is None:
            return
        yield under(words([(line, size) for line in broken], about=name), rest, small * LINE_GAP)


def _metal_behind(planned: PlannedJob, side: Side, panel: Panel) -> BaseGeometry:
    """What words on a panel should stay off: the faces of posts and rails, and the laps."""
    strips = [LineString(line) for line in crossed_lines(panel, side, levels_of(planned, side))]
    post = max(side.posts, default=0.0) / 2
    upright = [line for line in strips if line.coords[0][0] == line.coords[-1][0]]
    level = [line for line in strips if line.coords[0][0] != line.coords[-1][0]]
    seams = [LineString(line) for line in seam_lines(panel, planned.plan.seams, planned.job.seam)]
    lap = max(planned.job.seam.reach, planned.job.seam.edge_distance, post)
    return union_all(
        [
            *(line.buffer(max(post, 1.0)) for line in upright),
            *(line.buffer(max(side.rail_width / 2, 1.0)) for line in level),
            *(line.buffer(lap) for line in seams),
        ]
    )
