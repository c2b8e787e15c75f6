"""Parts of any shape put on given sheets: filled, thinned out and filled again until all of them lie there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import product
from operator import itemgetter
from typing import Any, NamedTuple

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from nesting.budget import Budget
from nesting.shapes import ARC_TOLERANCE, Looks, Pose, ShapePiece, looks, poses
from nesting.shaping.jigsaws import Jigsaw
from nesting.shaping.kernels_places import TOUCHING
from nesting.shaping.kernels_shapefill import LARGE, LONG, copy_load, fill, rounds
from nesting.shaping.nofit import NoFits, inner_fit

ROUNDS_AT_ONCE = 10
"""Rounds between two looks at the budget."""

SLACK, LEAST_SLACK = 0.06, 0.004
"""Share of what waits by which a round may be worse and still count: at the beginning, and in the end."""

ROOT_NODES = 120
"""Steps that a first part is given in a search for a sheet without waste; twice as many in each turn."""

MOST_NODES = 4_000
"""But no more than this: the budget is looked at only in between."""

HAIR = 1e-9


@dataclass(frozen=True)
class PiecePlace:
    """One piece, by its number from 0 in the list given: mirrored about x = 0 where ``flip``, then turned
    counter-clockwise about (0, 0), then moved by x and y."""

    piece: int
    x: float
    y: float
    degrees: float
    flip: bool


class Laid(NamedTuple):
    """A part on a sheet: number of the sheet, kind of the part, its pose, and where the pose's corner lies."""

    sheet: int
    kind: int
    pose: int
    x: float
    y: float


@dataclass
class ShapeSet:
    """Kinds of parts with all that is known of them: poses grown for the spacing, and where two of them touch.

    Keep it for as long as the same parts are asked about: it remembers the no-fit polygons.
    """

    pieces: Sequence[ShapePiece]
    spacing: float = 0.0
    tolerance: float = ARC_TOLERANCE
    kinds: tuple[int, ...] = field(init=False)
    """Kind of each piece: pieces that look the same are of one kind."""
    own: tuple[tuple[Pose, ...], ...] = field(init=False)
    """Poses of each piece, in the order of those of its kind."""
    nofits: NoFits = field(init=False)
    first: NDArray[np.int64] = field(init=False)
    """The first pose of each kind, and one more at the end."""
    areas: NDArray[np.float64] = field(init=False)
    """Of the grown polygons of each kind."""
    jigsaw: Jigsaw = field(init=False)

    def __post_init__(self) -> None:
        known: dict[tuple[Looks, ...], tuple[int, tuple[Pose, ...]]] = {}
        kinds, own = [], []
        for piece in self.pieces:
            by_looks = dict(
                sorted(
                    ((looks(pose), pose) for pose in poses(piece, self.spacing, self.tolerance)),
                    key=itemgetter(0),
                )
            )
            kind, _ = known.setdefault(tuple(by_looks), (len(known), tuple(by_looks.values())))
            kinds.append(kind)
            own.append(tuple(by_looks.values()))
        self.kinds, self.own = tuple(kinds), tuple(own)
        each = [group for _, group in known.values()]
        self.nofits = NoFits([pose for group in each for pose in group])
        self.first = np.concatenate([[0], np.cumsum([len(group) for group in each])]).astype(np.int64)
        self.areas = np.array([_area(group[0]) for group in each])
        self.jigsaw = Jigsaw(self.nofits, self.first, self.areas)

    def numbers(self, of_pieces: Sequence[int]) -> list[int]:
        """How many of each kind, from how many of each piece."""
        numbers = [0] * len(self.areas)
        for kind, number in zip(self.kinds, of_pieces, strict=True):
            numbers[kind] += number
        return numbers

    def placed(self, laid: Laid, piece: int, margin: float) -> PiecePlace:
        """A piece of the kind that lies there, in the caller's lengths, ``margin`` from the edges of the sheet."""
        pose = self.own[piece][laid.pose - int(self.first[laid.kind])]
        inset = margin - self.spacing / 2
        x, y = laid.x + pose.shift[0] + inset, laid.y + pose.shift[1] + inset
        return PiecePlace(piece, x, y, pose.degrees, pose.flip)

    def named(self, laid: Iterable[Laid], of_pieces: Sequence[int], margin: float) -> Iterator[PiecePlace]:
        """The pieces that lie there, ``of_pieces`` as many of each piece."""
        waiting: list[list[int]] = [[] for _ in self.areas]
        for piece, (kind, number) in reversed(list(enumerate(zip(self.kinds, of_pieces, strict=True)))):
            waiting[kind] += [piece] * number
        return (self.placed(one, waiting[one.kind].pop(), margin) for one in laid)

    def fits(self, kind: int, length: float, width: float) -> bool:
        """Whether a part fits alone, in some pose."""
        own = self.nofits.poses[self.first[kind] : self.first[kind + 1]]
        return any(inner_fit(length, width, pose) is not None for pose in own)


def _area(pose: Pose) -> float:
    return float(shapely.area(Polygon(pose.rings[0], list(pose.rings[1:]))))


class Filling:
    """Parts (a kind for each) and sheets (length and width of each), and the best that is known of them."""

    def __init__(
        self,
        shapes: ShapeSet,
        sheets: Sequence[tuple[float, float]],
        kinds: Sequence[int],
        seed: int,
        start: Sequence[Laid] = (),
    ) -> None:
        count = len(kinds)
        self.shapes, self.kinds = shapes, list(kinds)
        numbers = np.array(kinds, np.int64)
        weights = shapes.areas[numbers]
        self.given = (
            np.array(sheets, float).reshape(-1, 2),
            np.stack([shapes.first[numbers], shapes.first[numbers + 1]], axis=1),
            weights,
        )
        self.load, self.spare, self.best = (_no_load(len(sheets), count) for _ in range(3))
        rng = np.array([(seed * 2_654_435_761 + 12_345) % 4_294_967_291 + 1], np.int64)
        self.run: Any = (
            rng,
            np.array([weights.sum(), weights.sum()]),
            weights.copy(),
            np.zeros(count, np.int64),
            np.zeros(count),
        )
        self.rules = list(product((LARGE, LONG), range(TOUCHING + 1)))
        self._begin(start)

    def _begin(self, start: Sequence[Laid]) -> None:
        """Lays out parts that lie somewhere already."""
        waiting: dict[int, list[int]] = {}
        for part, kind in reversed(list(enumerate(self.kinds))):
            waiting.setdefault(kind, []).append(part)
        count, members, pose, place, sheet = self.load
        for laid in start:
            part = waiting[laid.kind].pop()
            members[laid.sheet, count[laid.sheet]] = part
            count[laid.sheet] += 1
            pose[part], sheet[part] = laid.pose, laid.sheet
            place[part] = laid.x, laid.y
        self.run[1][:] = self.given[2][sheet < 0].sum()
        copy_load(self.load, self.best)

    @property
    def waits(self) -> float:
        """Area of the parts that lie nowhere in the best load."""
        return float(self.given[2][self.best[4] < 0].sum())

    @property
    def laid(self) -> tuple[Laid, ...]:
        """The best load."""
        _, _, pose, place, sheet = self.best
        return tuple(
            Laid(int(sheet[part]), kind, int(pose[part]), float(place[part, 0]), float(place[part, 1]))
            for part, kind in enumerate(self.kinds)
            if sheet[part] >= 0
        )

    def fill(self, sheet: int, order: int = LARGE, rule: int = TOUCHING, blink: float = 0.0) -> None:
        """Puts parts that wait on one sheet, in an order and by a rule (nesting.shaping.kernels_places)."""
        nofits = self.shapes.nofits
        nofits.tables, _ = fill(
            nofits.shapes,
            nofits.tables,
            self.given,
            self.load,
            self.run,
            np.array([sheet]),
            order,
            rule,
            blink,
        )
        left = self.given[2][self.load[4] < 0].sum()
        self.run[1][0] = left
        if left < self.run[1][1] or not self.kinds:
            self.run[1][1] = left
            copy_load(self.load, self.best)

    def search(self, most: int, budget: Budget) -> bool:
        """Thins out and fills again, in ``most`` rounds at most; whether all parts lie there."""
        nofits, made = self.shapes.nofits, 0
        while made < most and self.run[1][1] > 0 and not budget.over:
            count = min(ROUNDS_AT_ONCE, most - made)
            slack = SLACK + (LEAST_SLACK - SLACK) * made / most
            nofits.tables = rounds(
                nofits.shapes,
                nofits.tables,
                self.given,
                self.load,
                self.spare,
                self.best,
                self.run,
                count,
                slack,
            )
            made += count
        return bool(self.run[1][1] <= 0)


def _no_load(sheets: int, parts: int) -> Any:
    """Sheets with nothing on them (nesting.shaping.kernels_places)."""
    return (
        np.zeros(sheets, np.int64),
        np.zeros((sheets, max(parts, 1)), np.int64),
        np.full(parts, -1, np.int64),
        np.zeros((parts, 2)),
        np.full(parts, -1, np.int64),
    )


def filled_without_waste(
    shapes: ShapeSet, size: tuple[float, float], left: Sequence[int], budget: Budget, seed: int, most: int
) -> tuple[Laid, ...] | None:
    """Parts that fill one sheet without any waste, out of ``left`` of each kind; None where none are found.

    ``most`` is about how many steps it may take.
    """
    draw = np.random.default_rng(seed)
    roots = shapes.jigsaw.roots(*size, left)
    nodes, made = ROOT_NODES, 0
    while len(roots) and made < most:
        for root in draw.permutation(roots):
            if budget.over or made >= most:
                return None
            found = shapes.jigsaw.sheet(*size, left, int(root), nodes, int(draw.integers(1 << 30)))
            if found is not None:
                return tuple(Laid(0, *one) for one in found)
            made += nodes
        nodes = min(2 * nodes, MOST_NODES)
    return None
