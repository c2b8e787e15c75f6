"""Room on a rivet line: the spans that rivets of other lines leave free, and rivets fitted into them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import dist, sqrt
from typing import TypeAlias

from nesting.plan import Point
from nesting.rivets.insets import Points
from nesting.rivets.polylines import MEET

Span: TypeAlias = tuple[float, float]
"""From here to there, both included, in mm along a line."""

_NOISE = 1e-9
"""mm: spans that touch but for float noise do touch."""

_CLEAR = 1e-6
"""mm: how much farther than the least distance a fitted rivet stands, since positions are rounded to this."""


def free_spans(
    path: Points, marks: Sequence[float], within: Span, others: Sequence[Point], apart: float
) -> list[Span]:
    """The spans of a path that stand at least ``apart`` from every one of ``others``, in order.

    A rivet of another line that lies on the path itself can be shared: its place is a span without length.
    ``marks`` is what `marks_along` gives for the path; on a closed path ``within`` may run past its end.
    """
    start, end = within
    blocked: list[Span] = []
    shared: list[Span] = []
    for lap in (0.0, marks[-1]):
        for (a, b), (from_a, from_b) in zip(pairwise(path), pairwise(marks), strict=True):
            if from_a + lap > end or from_b + lap < start:
                continue
            for other in others:
                low, high, foot = _covered(a, b, other, apart + _CLEAR)
                if high > low:
                    blocked.append((from_a + lap + low, from_a + lap + high))
                if foot is not None:
                    shared.append((from_a + lap + foot, from_a + lap + foot))
    free: list[Span] = []
    reached = start
    for low, high in sorted(blocked):
        if low > reached:
            free.append((reached, min(low, end)))
        reached = max(reached, high)
        if reached > end:
            break
    if reached <= end:
        free.append((reached, end))
    return sorted([*free, *(span for span in shared if start <= span[0] <= end)])


def fitted(
    ends: Span, free: Sequence[Span], least: float, widest: float, *, held: tuple[bool, bool] = (True, True)
) -> list[float] | None:
    """The fewest places between two ends that lie in free spans with every space from least to widest.

    As near to equal spaces as that allows.  ``held`` says at which ends there is a rivet: where there is
    none, a rivet may come as near to the end as it likes.  None where no such places exist.
    """
    start, end = ends
    first, last = (least if has_rivet else 0.0 for has_rivet in held)
    reached: list[list[Span]] = [[(start, start)]]
    closing = [(end - widest, end - last)]
    while not _common(reached[-1], closing):
        gap = first if len(reached) == 1 else least
        onwards = _common([(a + gap, b + widest) for a, b in reached[-1]], free)
        if not onwards:
            return None
        reached.append(onwards)
    places: list[float] = []
    count = len(reached) - 1
    for number in range(count, 0, -1):
        wanted = start + (end - start) * number / (count + 1)
        spans = _common(reached[number], closing)
        place = min((min(max(wanted, a), b) for a, b in spans), key=lambda x: abs(x - wanted))
        places.append(place)
        closing = [(place - widest, place - least)]
    return places[::-1]


def _covered(a: Point, b: Point, centre: Point, reach: float) -> tuple[float, float, float | None]:
    """From where to where a segment lies within reach of a centre, and where the centre lies if it is on it."""
    length = dist(a, b)
    dx, dy = (b[0] - a[0]) / length, (b[1] - a[1]) / length
    along = (centre[0] - a[0]) * dx + (centre[1] - a[1]) * dy
    off = abs((centre[0] - a[0]) * dy - (centre[1] - a[1]) * dx)
    if off >= reach:
        return 0.0, 0.0, None
    half = sqrt(reach * reach - off * off)
    on_it = off < MEET and -MEET < along < length + MEET
    return max(0.0, along - half), min(length, along + half), along if on_it else None


def _common(first: Sequence[Span], second: Iterable[Span]) -> list[Span]:
    """What two sets of spans have in common, overlaps joined."""
    found = []
    for a, b in second:
        for c, d in first:
            low, high = max(a, c), min(b, d)
            if low <= high + _NOISE:
                found.append((low, max(low, high)))
    joined: list[Span] = []
    for low, high in sorted(found):
        if joined and low <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], high))
        else:
            joined.append((low, high))
    return joined
