"""Rectangles inside an outline: what of a part surely takes room, whatever its true shape."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import numpy as np
from numpy.typing import NDArray
from shapely import box, prepare
from shapely.geometry import Polygon

from nesting.outline import Ring, as_polygon, flattened

Size = tuple[float, float]

MOST_LINES = 40
"""Grid lines one way: of more corners than that only some are used."""

COARSE = 2.0
"""mm: between the points of an arc through which grid lines run."""

FLATTENING = 0.01
"""mm: what flattened arcs may be off; rectangles of outlines with arcs are made smaller by as much on every side."""

SLANTED = 20.0
"""mm: an edge that runs and rises more than this gets grid lines along it."""

SAME = 1e-6


def inner_rectangles(outline: Ring, holes: Sequence[Ring] = (), most: int = 4) -> tuple[Size, ...]:
    """Sizes in mm (along x, along y) of upright rectangles in the metal, none over another, the largest first.

    Every one is the largest there is on lines through the outline's corners and points of its slanted edges, once
    those before it are taken.
    """
    metal = as_polygon(outline, holes, FLATTENING)
    rings = [outline, *holes]
    smaller = 2 * FLATTENING if any(bulge for ring in rings for _, _, bulge in ring) else 0.0
    points = [point for ring in rings for point in _grid_points(ring)]
    xs, ys = _lines(x for x, _ in points), _lines(y for _, y in points)
    free = _inside(metal, xs, ys)
    found: list[Size] = []
    while len(found) < most and free.any():
        i0, i1, j0, j1 = _largest(free, np.diff(xs), np.diff(ys))
        free[i0:i1, j0:j1] = False
        along, across = xs[i1] - xs[i0] - smaller, ys[j1] - ys[j0] - smaller
        if min(along, across) > 0:
            found.append((float(along), float(across)))
    return tuple(found)


def _grid_points(ring: Ring) -> Iterator[tuple[float, float]]:
    """Points through which grid lines run: corners, and some along every slanted edge."""
    points = flattened(ring, COARSE)
    for (x0, y0), (x1, y1) in zip(points, [*points[1:], points[0]], strict=True):
        yield x0, y0
        if abs(x1 - x0) > SLANTED and abs(y1 - y0) > SLANTED:
            yield from ((x0 + (x1 - x0) * share, y0 + (y1 - y0) * share) for share in (0.25, 0.5, 0.75))


def _lines(values: Iterable[float]) -> NDArray[np.float64]:
    """The values ascending, each once, and no more than a grid can have; the ends always."""
    kept: list[float] = []
    for value in sorted(values):
        if not kept or value - kept[-1] > SAME:
            kept.append(value)
    if len(kept) > MOST_LINES:
        kept = [kept[round(i * (len(kept) - 1) / (MOST_LINES - 1))] for i in range(MOST_LINES)]
    return np.array(kept)


def _inside(metal: Polygon, xs: NDArray[np.float64], ys: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Which cells of the grid lie in the metal."""
    x, y = np.meshgrid(xs, ys, indexing="ij")
    cells = box(x[:-1, :-1] + SAME, y[:-1, :-1] + SAME, x[1:, 1:] - SAME, y[1:, 1:] - SAME)
    prepare(metal)
    return (
        np.asarray(np.vectorize(metal.covers, otypes=[bool])(cells)) if cells.size else np.zeros((0, 0), bool)
    )


def _largest(
    free: NDArray[np.bool_], wide: NDArray[np.float64], high: NDArray[np.float64]
) -> tuple[int, int, int, int]:
    """The largest block of free cells as ranges of both indices."""
    best, found = 0.0, (0, 0, 0, 0)
    for i0 in range(len(wide)):
        open_ = np.ones(len(high), bool)
        for i1 in range(i0, len(wide)):
            open_ &= free[i1]
            if not open_.any():
                break
            along = float(wide[i0 : i1 + 1].sum())
            for j0, j1 in _runs(open_):
                area = along * float(high[j0:j1].sum())
                if area > best:
                    best, found = area, (i0, i1 + 1, j0, j1)
    return found


def _runs(open_: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Ranges of consecutive free cells."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], open_, [False]]).astype(np.int8)))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]
