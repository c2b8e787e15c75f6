"""Sheets filled without any waste: which parts make up one sheet exactly, and how they lie."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from math import pi
from typing import Any

import numpy as np
from numpy.typing import NDArray

from nesting.shaping.kernels_angles import HAIR, TURN
from nesting.shaping.kernels_gaps import ANGLE, DIRECTION, KIND, OF, X, Y
from nesting.shaping.kernels_jigsaw import fill_without_waste
from nesting.shaping.kernels_nofit import EPS
from nesting.shaping.nofit import NoFits

Laid = tuple[int, int, float, float]
"""A part that lies on a sheet: its kind, its pose, x and y of the pose."""


@dataclass
class Jigsaw:
    """What the search for sheets without waste reads: ``first[k]`` is the first pose of kind k, and one more."""

    nofits: NoFits
    first: NDArray[np.int64]
    areas: NDArray[np.float64]
    sides: Any = field(init=False)
    corners: Any = field(init=False)
    orders: Any = field(init=False)

    def __post_init__(self) -> None:
        self.sides, self.corners = _angles(self.nofits, self.first)
        self.orders = _orders(self.corners)

    def roots(self, length: float, width: float, left: Sequence[int]) -> NDArray[np.int64]:
        """Corners that can lie at the lower left corner of a sheet, as rows of ``corners``."""
        sizes = self.nofits.shapes[3][self.corners[:, OF].astype(int)]
        fits = (sizes[:, 0] <= length + EPS) & (sizes[:, 1] <= width + EPS)
        level = self.corners[:, DIRECTION] < HAIR
        at_corner = (self.corners[:, X] < EPS) & (self.corners[:, Y] < EPS)
        there = np.array(left)[self.corners[:, KIND].astype(int)] > 0
        return np.flatnonzero(fits & level & at_corner & there)

    def sheet(
        self, length: float, width: float, left: Sequence[int], root: int, nodes: int, seed: int
    ) -> tuple[Laid, ...] | None:
        """The parts of a sheet that has no waste, the corner ``root`` at its lower left; None where none was found."""
        most = sum(left)
        load = (
            np.zeros(1, np.int64),
            np.zeros((1, most), np.int64),
            np.full(most, -1, np.int64),
            np.zeros((most, 2)),
            np.full(most, -1, np.int64),
        )
        rng = np.array([seed * 7919 % 1_000_003 + 1], np.int64)
        self.nofits.tables, whole = fill_without_waste(
            self.nofits.shapes,
            self.nofits.tables,
            self.corners,
            self.orders,
            self.sides,
            self.areas,
            np.array(left, np.int64),
            load,
            np.array([length, width]),
            root,
            nodes,
            rng,
        )
        return tuple(self._laid(load)) if whole else None

    def _laid(self, load: Any) -> Iterator[Laid]:
        for k in range(int(load[0][0])):
            pose = int(load[2][k])
            kind = int(np.searchsorted(self.first, pose, side="right")) - 1
            yield kind, pose, float(load[3][k, 0]), float(load[3][k, 1])


def _angles(nofits: NoFits, first: NDArray[np.int64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Sides and corners of all poses, as nesting.shaping.kernels_gaps reads them."""
    sides, corners = [], []
    for number, pose in enumerate(nofits.poses):
        kind = int(np.searchsorted(first, number, side="right")) - 1
        for ring in pose.rings:
            leaves = np.roll(ring, -1, axis=0) - ring
            direction = np.arctan2(leaves[:, 1], leaves[:, 0]) % TURN
            direction[direction > TURN - HAIR] = 0.0
            # from the side that leaves counter-clockwise to the side that arrives, seen from the corner
            metal = (np.roll(direction, 1) + pi - direction) % TURN
            sides.append(np.stack([direction, metal], axis=1))
            sharp = metal < pi - HAIR
            rows = np.empty((int(sharp.sum()), 6))
            rows[:, 0], rows[:, 1] = direction[sharp], metal[sharp]
            rows[:, 2], rows[:, 3] = kind, number
            rows[:, 4:] = ring[sharp]
            corners.append(rows)
    return np.concatenate(sides), np.concatenate(corners)


def _orders(corners: NDArray[np.float64]) -> tuple[NDArray[Any], ...]:
    """The corners by the directions of their two sides, and those directions in order."""
    leaves = corners[:, DIRECTION]
    arrives = (leaves + corners[:, ANGLE]) % TURN
    arrives[arrives > TURN - HAIR] = 0.0
    orders = [np.argsort(each, kind="stable") for each in (leaves, arrives)]
    return orders[0], orders[1], leaves[orders[0]], arrives[orders[1]]
