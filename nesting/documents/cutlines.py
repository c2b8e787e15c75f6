"""What is cut on a sheet, no line twice; on a sheared sheet rectangles, with the true outlines to trim to."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import hypot

from shapely import STRtree
from shapely.geometry import box

from nesting.documents.corners import corner_radius
from nesting.documents.drawing import Layer, Path
from nesting.outline import Ring, Vertex, bounds, edges, rectangle
from nesting.plan import PlacedPart, SheetLayout

_SAME = 0.01
"""mm: edges this near to one another are cut as one line; parts that touch stand a rounding apart."""

Span = tuple[float, float]
"""From here to there along an edge, in mm."""


def cut_paths(sheet: SheetLayout) -> list[Path]:
    """The outlines of the parts and their holes on the CUT layer, and what is trimmed afterwards on MARK.

    Outlines are closed, but where a part touches one before it the line they share is drawn once: the second part's
    own line is open there.  A part of a sheared sheet is freed as its enclosing rectangle.
    """
    # a part may touch the edge of a hole that it lies in
    rings = [(part, ring) for part in sheet.parts for ring in (_freed(sheet, part), *part.holes)]
    reach = [box(*bounds(ring)).buffer(_SAME, join_style="mitre") for _, ring in rings]
    tree = STRtree(reach)
    paths: list[Path] = []
    for number, (part, ring) in enumerate(rings):
        near = sorted(i for i in tree.query(reach[number]).tolist() if i < number)
        before = [rings[i][1] for i in near if rings[i][0] is not part]
        paths += _drawn(ring, before, Layer.CUT, part.part)
    return [*paths, *(trim for part in sheet.parts for trim in trim_paths(sheet, part))]


def is_trimmed(sheet: SheetLayout, part: PlacedPart) -> bool:
    """True where cuts from edge to edge free only the rectangle around a part."""
    return bool(sheet.cuts) and corner_radius(part.outline) != 0.0


def trim_paths(sheet: SheetLayout, part: PlacedPart) -> list[Path]:
    """The stretches of a part's outline that do not lie on the rectangle that is cut; none for a rectangle."""
    if not is_trimmed(sheet, part):
        return []
    return _drawn(part.outline, [rectangle(*bounds(part.outline))], Layer.MARK, part.part)


def _freed(sheet: SheetLayout, part: PlacedPart) -> Ring:
    return rectangle(*bounds(part.outline)) if is_trimmed(sheet, part) else part.outline


def _drawn(ring: Ring, others: Sequence[Ring], layer: Layer, about: str) -> list[Path]:
    """A ring without what of its straight edges lies on others: closed where that is nothing, else in runs."""
    lines = [(a, b) for other in others for a, b in edges(other) if a[2] == 0.0]
    pieces: list[tuple[Vertex, Vertex]] = []
    whole = True
    for start, end in edges(ring):
        shared = (
            _joined(span for line in lines for span in _on_line(start, end, line)) if start[2] == 0.0 else []
        )
        whole = whole and not shared
        pieces += _left(start, end, shared)
    if whole:
        return [Path(ring, True, layer, about)]
    first = next((i for i in range(len(pieces)) if not _follows(pieces[i - 1], pieces[i])), 0)
    runs: list[list[Vertex]] = []
    ordered = [*pieces[first:], *pieces[:first]]
    for number, (start, end) in enumerate(ordered):
        if number == 0 or not _follows(ordered[number - 1], (start, end)):
            runs.append([])
        else:
            runs[-1].pop()
        runs[-1] += [start, (end[0], end[1], 0.0)]
    return [Path(tuple(run), False, layer, about) for run in runs]


def _follows(before: tuple[Vertex, Vertex], after: tuple[Vertex, Vertex]) -> bool:
    return before[1][:2] == after[0][:2]


def _on_line(start: Vertex, end: Vertex, line: tuple[Vertex, Vertex]) -> list[Span]:
    """The stretch of a straight edge that lies on another; none where it is no longer than a rounding."""
    length = hypot(end[0] - start[0], end[1] - start[1])
    ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length
    along, off = [], []
    for x, y, _ in line:
        dx, dy = x - start[0], y - start[1]
        along.append(dx * ux + dy * uy)
        off.append(dx * uy - dy * ux)
    low, high = max(0.0, min(along)), min(length, max(along))
    if high - low <= 2 * _SAME or max(map(abs, off)) > _SAME:
        return []
    return [(low, high)]


def _joined(spans: Iterable[Span]) -> list[Span]:
    found: list[Span] = []
    for low, high in sorted(spans):
        if found and low <= found[-1][1] + _SAME:
            found[-1] = (found[-1][0], max(found[-1][1], high))
        else:
            found.append((low, high))
    return found


def _left(start: Vertex, end: Vertex, shared: Sequence[Span]) -> list[tuple[Vertex, Vertex]]:
    """What of an edge is not shared, crumbs left out."""
    if not shared:
        return [(start, end)]
    length = hypot(end[0] - start[0], end[1] - start[1])

    def at(along: float) -> Vertex:
        if along < _SAME:
            return start[0], start[1], 0.0
        share = 1.0 if along > length - _SAME else along / length
        return start[0] + (end[0] - start[0]) * share, start[1] + (end[1] - start[1]) * share, 0.0

    stops = [0.0, *(stop for span in shared for stop in span), length]
    gaps = zip(stops[::2], stops[1::2], strict=True)
    return [(at(low), at(high)) for low, high in gaps if high - low > 2 * _SAME]
