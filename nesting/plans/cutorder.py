"""The order of edge-to-edge cuts that frees every part of a sheet, or none where there is no such order.

A cut that runs through no part never spoils the rest: what could be cut edge to edge before can be cut so in
each of the two pieces, by cuts no longer than before.  So every allowed cut is a right one, and taking them
by their use alone finds an order whenever there is one.  What they are chosen for is nesting.placing.cuttrees' matter.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from nesting.outline import Box
from nesting.placing.cuttrees import CutTree, best_tree, quick_tree, stop_at
from nesting.plan import Cut


@dataclass(frozen=True)
class CutUp:
    """A sheet in pieces: the cuts in order, and the pieces without a part that are left over."""

    cuts: tuple[Cut, ...]
    left_over: tuple[Box, ...]


def cut_order(
    length: float,
    width: float,
    parts: Sequence[Box],
    longest: float | None,
    *,
    kerf: float = 0.0,
    keep: float = 0.0,
    thorough: bool = False,
) -> CutUp | None:
    """Cuts, each through the whole of one piece, that leave every part's rectangle as a piece of its own.

    ``parts`` are (x0, y0, x1, y1) on a sheet of ``length`` by ``width``; no cut is longer than ``longest``.  A cut
    runs along the edge of a part, and the ``kerf`` that it removes lies outside the part: past the line, or before it
    where a part begins on the line.  With ``keep`` the cuts leave the largest pieces that measure so much both ways,
    where the parts are few enough to look into that; if ``thorough``, also with few different distances from the
    edge of the piece.  Cuts at the same distance follow one another where they can.  None when no sequence of such
    cuts frees all parts.
    """
    sheet = (0.0, 0.0, length, width)
    tree = quick_tree(sheet, parts, longest, kerf, keep)
    if tree is None:
        return None
    if keep > 0:
        found = best_tree(sheet, parts, longest, kerf, keep, thorough=thorough)
        if found is None and thorough:
            found = best_tree(sheet, parts, longest, kerf, keep, thorough=False)
        tree = tree if found is None else found
    left_over = [
        piece
        for step in tree.values()
        for piece, own in ((step.low, step.low_parts), (step.high, step.high_parts))
        if piece is not None and not own
    ]
    if not parts:
        left_over.append(sheet)
    return CutUp(_in_order(tree, sheet), tuple(sorted(left_over)))


def settings(cuts: Sequence[Cut]) -> int:
    """How often the stop has to be set anew while the cuts are made in their order."""
    stops = [stop_at(cut.from_datum) for cut in cuts]
    return sum(1 for i, stop in enumerate(stops) if not i or stop != stops[i - 1])


def halves(piece: Box, axis: str, at: float) -> tuple[Box, Box]:
    """The two pieces that a cut without a kerf makes of one, the left or lower one first."""
    x0, y0, x1, y1 = piece
    if axis == "x":
        return (x0, y0, at, y1), (at, y0, x1, y1)
    return (x0, y0, x1, at), (x0, at, x1, y1)


def _in_order(tree: CutTree, sheet: Box) -> tuple[Cut, ...]:
    """The cuts, each after the one that makes its piece, with few changes of the stop between them."""
    waiting = Counter(stop_at(step.from_datum(piece)) for piece, step in tree.items())
    ready = [sheet] if sheet in tree else []
    cuts: list[Cut] = []
    stop: float | None = None
    while ready:
        stops = [stop_at(tree[piece].from_datum(piece)) for piece in ready]
        if stop not in stops:
            # a stop that is never needed again afterwards first, else one that most cuts now use
            now = Counter(stops)
            stop = max(stops, key=lambda s: (now[s] + _follow(tree, ready, s) == waiting[s], now[s]))
        piece = ready.pop(stops.index(stop))
        step = tree[piece]
        waiting[stop] -= 1
        cuts.append(Cut(len(cuts) + 1, step.axis, step.at, piece))
        ready = [half for half in (step.low, step.high) if half in tree] + ready
    return tuple(cuts)


def _follow(tree: CutTree, ready: Sequence[Box], stop: float) -> int:
    """Cuts at this stop that become possible by making those at this stop alone."""
    found = 0
    steps = [tree[piece] for piece in ready if stop_at(tree[piece].from_datum(piece)) == stop]
    while steps:
        step = steps.pop()
        for half in (step.low, step.high):
            if half in tree and stop_at(tree[half].from_datum(half)) == stop:
                found += 1
                steps.append(tree[half])
    return found
