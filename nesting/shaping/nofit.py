"""No-fit polygons: where one shape may lie beside another, and inside a sheet, so that they touch and no more."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from nesting.outline import Box
from nesting.shapes import Points, Pose
from nesting.shaping.kernels_nofit import EPS, no_tables, overlaps, with_pair


@dataclass(frozen=True)
class NoFit:
    """Where the corner of a shape may not lie when the other one's corner lies at (0, 0).

    They overlap exactly where the place lies inside one of ``polygons``, all convex.  ``segments`` (x0, y0, x1, y1)
    are the places where they touch: a single point where the shape fills a slot of the other one.
    """

    polygons: tuple[Points, ...]
    segments: NDArray[np.float64]


@dataclass
class NoFits:
    """Poses side by side in the arrays that the compiled loops read; what is found for a pair is kept."""

    poses: Sequence[Pose]
    shapes: Any = field(init=False)
    tables: Any = field(init=False)

    def __post_init__(self) -> None:
        self.shapes = shape_arrays(self.poses)
        self.tables = no_tables(len(self.poses))

    def between(self, fixed: int, moving: int) -> NoFit:
        """The no-fit polygon of two poses, by their numbers."""
        number = self._number(fixed, moving)
        _, heads, _, ranges, _, sides, segments, _ = self.tables
        first, last, s0, s1 = heads[number]
        polygons = tuple(sides[a:b, 3:].copy() for a, b in ranges[first:last])
        return NoFit(polygons, segments[s0:s1].copy())

    def overlap(self, fixed: int, moving: int, x: float, y: float) -> bool:
        """Whether a pose overlaps another when its corner lies at (x, y) from the other one's."""
        return bool(overlaps(self.tables, self._number(fixed, moving), x, y))

    def _number(self, fixed: int, moving: int) -> int:
        self.tables = with_pair(self.shapes, self.tables, fixed, moving)
        return int(self.tables[0][fixed, moving])


def inner_fit(length: float, width: float, pose: Pose) -> Box | None:
    """Where the corner of a pose may lie on a sheet: least x, y, greatest x, y; None where it is too large."""
    x, y = length - pose.size[0], width - pose.size[1]
    return (0.0, 0.0, max(0.0, x), max(0.0, y)) if min(x, y) >= -EPS else None


def shape_arrays(poses: Sequence[Pose]) -> Any:
    """The poses as nesting.shaping.kernels_nofit reads them."""
    parts = [part for pose in poses for part in pose.parts]
    sides = [
        np.concatenate([np.hstack([ring, np.roll(ring, -1, axis=0)]) for ring in pose.rings])
        for pose in poses
    ]
    return (
        _starts([len(pose.parts) for pose in poses]),
        _starts([len(part) for part in parts]),
        np.concatenate([*parts, np.zeros((0, 2))]),
        np.array([pose.size for pose in poses], float).reshape(-1, 2),
        _starts([len(each) for each in sides]),
        np.concatenate([*sides, np.zeros((0, 4))]),
    )


def _starts(counts: Sequence[int]) -> NDArray[np.int64]:
    """Where each of several runs begins, and where the last one ends."""
    return np.concatenate([[0], np.cumsum(counts, dtype=np.int64)]).astype(np.int64)
