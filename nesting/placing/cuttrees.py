"""Which cut is made in which piece of a sheet: quickly, or so that the largest pieces are left over."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from nesting.outline import Box
from nesting.placing.offcuts import AREA_STEP

HAIR = 1e-6
"""mm (or solver units): coordinates nearer than this are one."""

PIECES_MOST, PIECES_THOROUGH = 400, 1500
"""Most pieces looked into in search of the best cuts; where there are more the quick ones are taken."""

WAYS_MOST = 5
"""Equally good ways to cut up a piece that are remembered."""


@dataclass(frozen=True)
class Step:
    """A cut through a whole piece: what it leaves on either side (None: nothing) and the parts there."""

    axis: str
    at: float
    low: Box | None
    high: Box | None
    low_parts: tuple[Box, ...]
    high_parts: tuple[Box, ...]

    def from_datum(self, piece: Box) -> float:
        """The distance of the cut from the piece's left or lower edge."""
        return self.at - piece[0 if self.axis == "x" else 1]


CutTree = dict[Box, Step]
"""The cut to make in each piece that is not a part yet and not left over."""


@dataclass(frozen=True)
class _Line:
    """Where a piece may be cut: the kerf lies between ``low_end`` and ``high_start``, a rim on the side named."""

    axis: str
    at: float
    low_end: float
    high_start: float
    rim: str = ""


def quick_tree(
    sheet: Box, parts: Sequence[Box], longest: float | None, kerf: float, keep: float
) -> CutTree | None:
    """Cuts that free every part: what is worth keeping comes off first, then rims, then parts are separated.

    None when no cuts free all parts.
    """
    tree, stuck = _cut_up(sheet, parts, longest, kerf, keep)
    return None if stuck else tree


def inside_corners(sheet: Box, parts: Sequence[Box], kerf: float) -> int:
    """Corners that are left to cut out of the inside of a piece once no cut from edge to edge is left; 0 at best."""
    _, stuck = _cut_up(sheet, parts, None, kerf, 0.0)
    return sum(
        piece[0] + HAIR < x < piece[2] - HAIR and piece[1] + HAIR < y < piece[3] - HAIR
        for piece, own in stuck
        for x0, y0, x1, y1 in own
        for x, y in ((x0, y0), (x1, y0), (x0, y1), (x1, y1))
    )


def _cut_up(
    sheet: Box, parts: Sequence[Box], longest: float | None, kerf: float, keep: float
) -> tuple[CutTree, list[tuple[Box, tuple[Box, ...]]]]:
    """The cuts of `quick_tree` as far as they go, and the pieces with parts that nothing parts."""
    tree: CutTree = {}
    stuck: list[tuple[Box, tuple[Box, ...]]] = []
    waiting: list[tuple[Box | None, tuple[Box, ...]]] = [(sheet, tuple(parts))]
    while waiting:
        piece, own = waiting.pop()
        if piece is None or not own or _freed(piece, own):
            continue
        line = _most_useful(piece, list(_lines(piece, own, longest, kerf)), keep)
        if line is None:
            stuck.append((piece, own))
            continue
        step = tree[piece] = _step(piece, own, line)
        waiting += [(step.high, step.high_parts), (step.low, step.low_parts)]
    return tree, stuck


def _most_useful(piece: Box, lines: Sequence[_Line], keep: float) -> _Line | None:
    """Of all lines the one by the rules of `quick_tree`; between parts, one across the longer way of the piece."""
    if not lines:
        return None
    rims = [(box_area(rim), rim, line) for line in lines if line.rim for rim in [_rim(piece, line)]]
    worth = [entry for entry in rims if _least_way(entry[1]) >= keep - HAIR]
    if rims:
        return max(worth or rims, key=lambda entry: entry[0])[2]
    along, across = piece[2] - piece[0], piece[3] - piece[1]
    return min(lines, key=lambda line: (-along if line.axis == "x" else -across, line.axis, line.at))


def best_tree(
    sheet: Box, parts: Sequence[Box], longest: float | None, kerf: float, keep: float, *, thorough: bool
) -> CutTree | None:
    """Cuts that leave the largest piece that measures ``keep`` both ways, then the next ones, with fewest cuts.

    If ``thorough``, few different distances from the edge of the piece come next, else pieces in which nothing can be
    kept are cut as `quick_tree` does.  None where no cuts free all parts, or too many pieces have to be looked into.
    """
    search = _Search(longest, kerf, keep, thorough)
    try:
        best = search.best(sheet, tuple(parts))
    except _TooMany:
        return None
    if best is None:
        return None
    tree: CutTree = {}
    waiting = [(sheet, best.ways[0])]
    while waiting:
        piece, way = waiting.pop()
        if way.step is not None:
            tree[piece] = way.step
            halves = ((way.step.low, way.low), (way.step.high, way.high))
            waiting += [(half, then) for half, then in halves if half is not None and then is not None]
    return tree


def stop_at(distance: float) -> float:
    """A distance from the edge of a piece such that equal ones are equal numbers."""
    return round(distance, 5)


@dataclass(frozen=True)
class _Way:
    """One way to cut up a piece: its first step, the ways to go on, and all distances that are used."""

    stops: frozenset[float] = frozenset()
    step: Step | None = None
    low: _Way | None = None
    high: _Way | None = None


@dataclass(frozen=True)
class _Best:
    """What can be made of a piece: areas worth keeping, largest first, less the number of cuts, and ways to do it."""

    offcuts: tuple[int, ...] = ()
    less_cuts: int = 0
    ways: tuple[_Way, ...] = (_Way(),)


_NOTHING = _Best()


class _TooMany(Exception):
    """More pieces than are worth the time."""


class _Search:
    """The best that can be made of each piece, worked out once."""

    def __init__(self, longest: float | None, kerf: float, keep: float, thorough: bool) -> None:
        self.longest, self.kerf, self.keep, self.thorough = longest, kerf, keep, thorough
        self.known: dict[Box, _Best | None] = {}

    def best(self, piece: Box | None, own: tuple[Box, ...]) -> _Best | None:
        """The best that can be made of a piece; None where its parts cannot be freed."""
        if piece is None or (own and _freed(piece, own)):
            return _NOTHING
        if not own:
            kept = _least_way(piece) >= self.keep - HAIR
            return _Best((round(box_area(piece) / AREA_STEP),)) if kept else _NOTHING
        if piece not in self.known:
            if len(self.known) > (PIECES_THOROUGH if self.thorough else PIECES_MOST):
                raise _TooMany
            self.known[piece] = None
            self.known[piece] = self._of_all_lines(piece, own)
        return self.known[piece]

    def _of_all_lines(self, piece: Box, own: tuple[Box, ...]) -> _Best | None:
        lines = sorted(_lines(piece, own, self.longest, self.kerf), key=lambda line: not line.rim)
        if not self.thorough and _least_way(piece) < self.keep - HAIR:
            line = _most_useful(piece, lines, self.keep)
            lines = [] if line is None else [line]
        worth: tuple[tuple[int, ...], int] | None = None
        ways: list[_Way] = []
        for line in lines:
            step = _step(piece, own, line)
            low = self.best(step.low, step.low_parts)
            high = None if low is None else self.best(step.high, step.high_parts)
            if low is None or high is None:
                return None
            offcuts = tuple(sorted(low.offcuts + high.offcuts, reverse=True))
            found = offcuts, low.less_cuts + high.less_cuts - 1
            if worth is None or found > worth:
                worth, ways = found, []
            if found == worth:
                stop = stop_at(step.from_datum(piece))
                ways += [
                    _Way(one.stops | other.stops | {stop}, step, one, other)
                    for one in low.ways
                    for other in high.ways
                ]
        if worth is None:
            return None
        return _Best(*worth, _fewest_stops(ways, WAYS_MOST if self.thorough else 1))


def _fewest_stops(ways: Sequence[_Way], most: int) -> tuple[_Way, ...]:
    """Ways with few different distances, none that uses all that another one does."""
    kept: list[_Way] = []
    for way in sorted(ways, key=lambda way: len(way.stops)):
        if len(kept) < most and not any(other.stops <= way.stops for other in kept):
            kept.append(way)
    return tuple(kept)


def _lines(piece: Box, own: tuple[Box, ...], longest: float | None, kerf: float) -> Iterator[_Line]:
    """Every line along the edge of a part that a cut can follow through no part, across the piece before along it.

    Where the piece is too long to be cut along, also the line that makes it just short enough.
    """
    for axis, near in (("x", 0), ("y", 1)):
        start, end = piece[near], piece[near + 2]
        if longest is not None and piece[3 - near] - piece[1 - near] > longest + HAIR:
            continue
        spans = sorted((part[near], part[near + 2]) for part in own)
        first, reached = spans[0]
        if first > start + HAIR:
            yield _Line(axis, first, max(start, first - kerf), first, "low")
        for low, high in spans[1:]:
            if low >= reached + kerf - HAIR:
                yield _Line(axis, reached, reached, min(low, reached + kerf))
                if low > reached + kerf + HAIR:
                    yield _Line(axis, low, low - kerf, low)
            reached = max(reached, high)
        if reached < end - HAIR:
            yield _Line(axis, reached, reached, min(end, reached + kerf), "high")
            if longest is not None and end - start > longest + HAIR and start + longest > reached + HAIR:
                yield _Line(axis, start + longest, start + longest, min(end, start + longest + kerf), "high")


def _step(piece: Box, own: tuple[Box, ...], line: _Line) -> Step:
    near = 0 if line.axis == "x" else 1
    return Step(
        line.axis,
        line.at,
        _moved(piece, near + 2, line.low_end) if line.low_end > piece[near] + HAIR else None,
        _moved(piece, near, line.high_start) if line.high_start < piece[near + 2] - HAIR else None,
        tuple(part for part in own if part[near] < line.at - HAIR),
        tuple(part for part in own if part[near] >= line.at - HAIR),
    )


def _rim(piece: Box, line: _Line) -> Box:
    """What a cut along a rim takes off."""
    near = 0 if line.axis == "x" else 1
    if line.rim == "low":
        return _moved(piece, near + 2, line.low_end)
    return _moved(piece, near, line.high_start)


def _moved(piece: Box, edge: int, at: float) -> Box:
    """The piece with one edge put elsewhere."""
    edges = [at if i == edge else value for i, value in enumerate(piece)]
    return (edges[0], edges[1], edges[2], edges[3])


def _freed(piece: Box, own: Sequence[Box]) -> bool:
    """True where the piece is its only part."""
    return len(own) == 1 and all(abs(p - q) <= HAIR for p, q in zip(piece, own[0], strict=True))


def box_area(box: Box) -> float:
    """Area of a rectangle."""
    return (box[2] - box[0]) * (box[3] - box[1])


def _least_way(box: Box) -> float:
    return min(box[2] - box[0], box[3] - box[1])
