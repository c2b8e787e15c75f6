"""Rectangles inside an outline: what of a part surely takes room, whatever its true shape."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

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
    grid = _Grid.of(outline, holes)
    free = grid.free.copy()
    found: list[Size] = []
    while len(found) < most and free.any():
        block = _largest(free, np.diff(grid.xs), np.diff(grid.ys))
        i0, i1, j0, j1 = block
        free[i0:i1, j0:j1] = False
        found += grid.sizes([block])
    return tuple(found)


def slabs(outline: Ring, holes: Sequence[Ring] = ()) -> tuple[tuple[Size, ...], tuple[Size, ...]]:
    """Sizes in mm of rectangles in the metal that stand beside one another, and of others that lie on one another.

    Each set is free of overlaps; they tell how tall the part is along its length, and how long over its height.
    """
    grid = _Grid.of(outline, holes)
    upright = [(i0, i1, j0, j1) for i0, i1, runs in _alike(grid.free) for j0, j1 in runs]
    level = [(i0, i1, j0, j1) for j0, j1, runs in _alike(grid.free.T) for i0, i1 in runs]
    return tuple(grid.sizes(upright)), tuple(grid.sizes(level))


@dataclass(frozen=True)
class _Grid:
    """Lines through the corners of an outline, and which cells between them lie in the metal."""

    xs: NDArray[np.float64]
    ys: NDArray[np.float64]
    free: NDArray[np.bool_]
    smaller: float

    @classmethod
    def of(cls, outline: Ring, holes: Sequence[Ring]) -> _Grid:
        rings = [outline, *holes]
        points = [point for ring in rings for point in _grid_points(ring)]
        xs, ys = _lines(x for x, _ in points), _lines(y for _, y in points)
        curved = any(bulge for ring in rings for _, _, bulge in ring)
        free = _inside(as_polygon(outline, holes, FLATTENING), xs, ys)
        return cls(xs, ys, free, 2 * FLATTENING if curved else 0.0)

    def sizes(self, blocks: Iterable[tuple[int, int, int, int]]) -> list[Size]:
        """Sizes of blocks of cells, those that flattening could leave nothing of left out."""
        sizes = [
            (float(self.xs[i1] - self.xs[i0]) - self.smaller, float(self.ys[j1] - self.ys[j0]) - self.smaller)
            for i0, i1, j0, j1 in blocks
        ]
        return [size for size in sizes if min(size) > 0]


def _alike(free: NDArray[np.bool_]) -> Iterator[tuple[int, int, list[tuple[int, int]]]]:
    """Ranges of the first index over which the same cells are free, with the runs of free cells there."""
    start = 0
    for i in range(1, len(free) + 1):
        if i == len(free) or (free[i] != free[start]).any():
            yield start, i, _runs(free[start])
            start = i


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
    total = float(high.sum())
    for i0 in range(len(wide)):
        open_ = np.ones(len(high), bool)
        for i1 in range(i0, len(wide)):
            open_ &= free[i1]
            if not open_.any():
                break
            along = float(wide[i0 : i1 + 1].sum())
            # where the next column is as free as this block, the wider one is larger
            goes_on = i1 + 1 < len(wide) and not (open_ & ~free[i1 + 1]).any()
            if goes_on or along * total <= best:
                continue
            for j0, j1 in _runs(open_):
                area = along * float(high[j0:j1].sum())
                if area > best:
                    best, found = area, (i0, i1 + 1, j0, j1)
    return found


def _runs(open_: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Ranges of consecutive free cells."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], open_, [False]]).astype(np.int8)))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]
