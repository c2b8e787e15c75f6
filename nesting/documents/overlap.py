"""Which edges of a panel lie hidden under its neighbours."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import atan, atan2, cos, sin, tan

from shapely import union_all
from shapely.geometry import LineString
from shapely.geometry import Point as Spot
from shapely.geometry.base import BaseGeometry

from nesting.documents.drawing import Layer, Path
from nesting.job import SeamKind
from nesting.outline import Ring, Vertex, arc_centre, as_polygon, edges, flattened
from nesting.plan import Panel, PlannedJob

_INSIDE = 0.05
"""mm that an edge must lie within the sheet over it to be hidden: edges that only touch stay visible."""

Piece = tuple[Vertex, tuple[float, float], bool]
"""Where a piece of outline starts (with its bulge), where it ends, and whether it is hidden."""


def lapped_outlines(panels: Sequence[Panel], planned: PlannedJob) -> tuple[Path, ...]:
    """The outline of each panel: what can be seen on the PANEL layer, what lies under another on UNDERLAP.

    A panel with nothing over it is one closed path; otherwise its outline is cut where it goes under.
    """
    over = _over(planned)
    paths: list[Path] = []
    for panel in panels:
        above = [other for other in panels if (panel.name, other.name) in over]
        cover = union_all([as_polygon(other.outline, other.holes) for other in above]).buffer(-_INSIDE)
        pieces = list(_pieces(panel.outline, cover))
        if not any(hidden for _, _, hidden in pieces):
            paths.append(Path(panel.outline, True, Layer.PANEL, panel.name))
            continue
        for run, hidden in _runs(pieces):
            layer = Layer.UNDERLAP if hidden else Layer.PANEL
            paths.append(Path(run, False, layer, panel.name))
    return tuple(paths)


def _over(planned: PlannedJob) -> frozenset[tuple[str, str]]:
    """(under, over) pairs of panels whose sheets lie on one another."""
    if planned.job.seam.kind is SeamKind.BUTT:
        return frozenset()
    return frozenset((seam.under, seam.over) for seam in planned.plan.seams)


def _pieces(ring: Ring, cover: BaseGeometry) -> Iterable[Piece]:
    for start, end in edges(ring):
        if start[2] != 0.0:
            yield from _curved(start, end, cover)
            continue
        yield from _straight(start, end, cover)


def _curved(start: Vertex, end: Vertex, cover: BaseGeometry) -> Iterable[Piece]:
    """An arc cut where it goes under; how far along it that is, is measured on fine chords."""
    open_ring = ((start[0], start[1], start[2]), (end[0], end[1], 0.0))
    line = LineString(flattened(open_ring, tolerance=1e-3))
    cx, cy, radius = arc_centre(start, end)
    first, sweep = atan2(start[1] - cy, start[0] - cx), 4 * atan(start[2])

    def at(share: float) -> tuple[float, float]:
        if share in (0.0, 1.0):
            return (start, end)[int(share)][:2]
        return cx + radius * cos(first + share * sweep), cy + radius * sin(first + share * sweep)

    for low, high, hidden in _stretches(line, cover):
        share = (high - low) / line.length
        bulge = start[2] if share == 1.0 else tan(sweep * share / 4)
        yield (*at(low / line.length), bulge), at(high / line.length), hidden


def _straight(start: Vertex, end: Vertex, cover: BaseGeometry) -> Iterable[Piece]:
    line = LineString([start[:2], end[:2]])
    for low, high, under in _stretches(line, cover):
        a, b = line.interpolate(low), line.interpolate(high)
        yield (a.x, a.y, 0.0), (b.x, b.y), under


def _stretches(line: LineString, cover: BaseGeometry) -> Iterable[tuple[float, float, bool]]:
    """From where to where along a line it can be seen or lies under; crumbs are left out."""
    hidden = line.intersection(cover)
    stops = {0.0, line.length}
    for part in getattr(hidden, "geoms", (hidden,)):
        if not part.is_empty:
            stops.update(_at(line, x, y) for x, y in (part.coords[0], part.coords[-1]))
    for first, last in pairwise(sorted(stops)):
        if last - first > 2 * _INSIDE:
            yield first, last, cover.contains(line.interpolate((first + last) / 2))


def _at(line: LineString, x: float, y: float) -> float:
    """Distance along the line, snapped to its ends so that the shrunk cover leaves no crumbs."""
    distance = float(line.project(Spot(x, y)))
    if distance < 2 * _INSIDE:
        return 0.0
    return line.length if distance > line.length - 2 * _INSIDE else distance


def _runs(pieces: Sequence[Piece]) -> Iterable[tuple[Ring, bool]]:
    """Pieces that follow one another in the same state as one open line each."""
    first = next((i for i in range(len(pieces)) if pieces[i][2] != pieces[i - 1][2]), 0)
    ordered = [*pieces[first:], *pieces[:first]]
    run: list[Vertex] = []
    end: tuple[float, float] = (0.0, 0.0)
    state = ordered[0][2]
    for start, stop, hidden in ordered:
        if hidden != state:
            yield (*run, (*end, 0.0)), state
            run, state = [], hidden
        run.append(start)
        end = stop
    yield (*run, (*end, 0.0)), state
