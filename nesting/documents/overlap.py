"""Which edges of a panel lie hidden under its neighbours."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from shapely import union_all
from shapely.geometry import LineString
from shapely.geometry import Point as Spot
from shapely.geometry.base import BaseGeometry

from nesting.documents.drawing import Layer, Path
from nesting.job import SeamKind
from nesting.outline import Ring, Vertex, as_polygon, edges
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
            # rounded corners are not cut: one is hidden when its middle is
            middle = as_polygon(((*start[:2], start[2]), (*end[:2], 0.0))).representative_point()
            yield start, end[:2], cover.contains(Spot(middle))
            continue
        yield from _straight(start, end, cover)


def _straight(start: Vertex, end: Vertex, cover: BaseGeometry) -> Iterable[Piece]:
    line = LineString([start[:2], end[:2]])
    hidden = line.intersection(cover)
    stops = {0.0, line.length}
    for part in getattr(hidden, "geoms", (hidden,)):
        if not part.is_empty:
            stops.update(_at(line, x, y) for x, y in part.coords)
    ordered = sorted(stops)
    for first, last in pairwise(ordered):
        if last - first <= 2 * _INSIDE:
            continue
        a, b = line.interpolate(first), line.interpolate(last)
        middle = line.interpolate((first + last) / 2)
        yield (a.x, a.y, 0.0), (b.x, b.y), cover.contains(middle)


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
