"""The same body at another raise: what lies above the cut goes up or down with the roof, the rest stays.

The heights of a job contain the raise of their side already.  For another raise everything above the cut moves by
the difference: upper edges of bays, corners of outlines, rails, and windows whose lower edge lies above it.  Posts
grow between.  Heights in mm above the datum, as in `nesting.job`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import combinations
from math import asin, atan, atan2, cos, pi, tan

from nesting.job import Bay, Job, Side, Units, Window
from nesting.outline import Ring, Vertex, arc_centre, as_polygon, bounds, edges, rectangle, without_repeats
from nesting.skin.openings import outline_openings, skin_outline
from shared.errors import PlannerError
from shared.units import SNAP_MM, format_length

_SAME_POINT = 1e-6
"""mm: windows and rails that come this near to an edge or to one another touch it."""


class ImpossibleRaise(PlannerError):
    """No body has this raise: the message names the side, the bay and what would come of it."""


def raised_job(job: Job, raise_height: float) -> Job:
    """The job as it would be with the roof ``raise_height`` mm above where it was built.

    The sides that move are those of `moving_sides`.  Doubts about readings stay with the job as it was measured.
    Raises ImpossibleRaise where an opening would have no height, or a window would stand out of its opening.
    """
    moving = {side.name for side in moving_sides(job)}
    sides = tuple(
        _raised_side(job, side, raise_height) if side.name in moving else side for side in job.sides
    )
    return replace(job, sides=sides, warnings=())


def moving_sides(job: Job) -> tuple[Side, ...]:
    """The sides that go up with the roof: those with a raise, or all where none says one."""
    return tuple(side for side in job.sides if side.raise_height > 0) or job.sides


def bay_cut(side: Side, bay: Bay) -> float:
    """Where the posts of a bay are cut, above the datum: the middle of the bay where the side does not say."""
    return bay.sill + bay.height / 2 if side.cut_height is None else side.cut_height


def side_cut(side: Side) -> float:
    """The cut that parts rails which move from rails which stay: of the bay that reaches highest."""
    return bay_cut(side, max(side.bays, key=lambda bay: bay.sill + bay.height))


def _raised_side(job: Job, side: Side, raise_height: float) -> Side:
    move = raise_height - side.raise_height
    if abs(move) <= SNAP_MM:
        return side
    bays = tuple(_raised_bay(job, side, number, move) for number in range(1, len(side.bays) + 1))
    windows = tuple(_raised_window(job, side, bays, window, move) for window in side.windows)
    for one, other in combinations(windows, 2):
        if _overlap(one, other):
            raise ImpossibleRaise(f"{_place(side, one.bay)}: two of its windows would overlap")
    rails = _raised_rails(side, bays, move)
    return replace(side, bays=bays, rails=rails, windows=windows, raise_height=raise_height)


def _raised_bay(job: Job, side: Side, number: int, move: float) -> Bay:
    """The bay grown or lowered; one that lies above the cut as a whole moves, one below it stays."""
    bay = side.bays[number - 1]
    cut = bay_cut(side, bay)
    if bay.sill > cut + SNAP_MM:
        if bay.sill + move < -SNAP_MM:
            raise ImpossibleRaise(f"{_place(side, number)}: its lower edge would lie below the datum")
        return replace(bay, sill=max(0.0, bay.sill + move))
    if bay.sill + bay.height <= cut + SNAP_MM:
        return bay
    height = bay.height + move
    if height <= _SAME_POINT:
        said = format_length(height, job.units.value, with_unit=True)
        raise ImpossibleRaise(f"{_place(side, number)}: its height would be {said}, so no opening is left")
    if bay.outline is None:
        return replace(bay, height=height)
    ring = stretched(bay.outline, cut - bay.sill, move)
    x0, y0, x1, y1 = bounds(bay.outline)
    if ring is None or any(
        abs(is_at - should) > _SAME_POINT
        for is_at, should in zip(bounds(ring), (x0, y0, x1, y1 + move), strict=True)
    ):
        how = "lowered this far" if move < 0 else "drawn out"
        raise ImpossibleRaise(f"{_place(side, number)}: its outline cannot be {how} at the cut")
    return replace(bay, height=height, outline=ring, measured=None)


def stretched(ring: Ring, cut: float, move: float) -> Ring | None:
    """The outline with every corner above the level ``cut`` moved up by ``move`` mm; None where it would cross itself.

    Arcs keep their shape: one that runs through the cut is parted there, a plumb edge between its halves.
    It cannot be lowered.  Straight edges through the cut run from corner to corner as before.
    """
    parts: list[Vertex] = []
    for start, end in edges(ring):
        x, y, bulge = start
        above, end_above = y > cut + SNAP_MM, end[1] > cut + SNAP_MM
        parts.append((x, y + move if above else y, bulge))
        if bulge and above is not end_above:
            if move < 0:
                return None
            at, first, second = _parted(start, end, cut)
            low, high = (at, cut), (at, cut + move)
            leave, arrive = (high, low) if above else (low, high)
            parts[-1] = (x, parts[-1][1], first)
            parts += [(*leave, 0.0), (*arrive, second)]
    result = without_repeats(tuple(parts))
    return result if len(result) > 1 and as_polygon(result).is_valid else None


def _parted(start: Vertex, end: Vertex, level: float) -> tuple[float, float, float]:
    """Where an arc with its ends on both hands of a level crosses it, and the bulges of its two parts."""
    cx, cy, radius = arc_centre(start, end)
    sweep = 4 * atan(start[2])
    first = atan2(start[1] - cy, start[0] - cx)
    rising = asin(max(-1.0, min(1.0, (level - cy) / radius)))
    shares = []
    for angle in (rising, pi - rising):
        turned = (angle - first) % (2 * pi) if sweep > 0 else (first - angle) % (2 * pi)
        # an end that lies on the level may come out as a whole turn
        shares += [turned / abs(sweep), (turned - 2 * pi) / abs(sweep)]
    share = min(shares, key=lambda value: max(-value, value - 1.0, 0.0))
    share = min(1.0, max(0.0, share))
    x = cx + radius * cos(first + sweep * share)
    return x, tan(sweep * share / 4), tan(sweep * (1 - share) / 4)


def _raised_rails(side: Side, bays: Iterable[Bay], move: float) -> tuple[float, ...]:
    """The rails where they come to lie, from below.

    A rail in the new part of the posts is none where it would come under the cut: the old metal there has no rail.
    Nor is one that crosses no bay any more, or meets another.
    """
    cut = side_cut(side)
    heights = [rail for rail in side.rails if rail <= cut + SNAP_MM]
    heights += [
        rail + move for rail in side.rails if rail > cut + SNAP_MM and rail + move > cut - _SAME_POINT
    ]
    spans = [(bay.sill, bay.sill + bay.height) for bay in bays]
    kept: list[float] = []
    for rail in sorted(heights):
        crosses = any(low + _SAME_POINT < rail < high - _SAME_POINT for low, high in spans)
        if crosses and not any(abs(rail - other) <= _SAME_POINT for other in kept):
            kept.append(rail)
    return tuple(kept)


def _raised_window(job: Job, side: Side, bays: tuple[Bay, ...], window: Window, move: float) -> Window:
    """The window, still measured from its bay's lower left corner."""
    before, after = side.bays[window.bay - 1], bays[window.bay - 1]
    foot = before.sill + window.from_bottom
    if foot > bay_cut(side, before) + SNAP_MM:
        foot += move
    from_bottom = foot - after.sill
    if not _stands_in(after, window, from_bottom):
        unit = job.units.value
        at = f"at {format_length(from_bottom, unit, with_unit=True)} above its lower edge"
        raise ImpossibleRaise(f"{_place(side, window.bay)}: its window {at} would stand out of the opening")
    return replace(window, from_bottom=max(0.0, from_bottom))


def _overlap(one: Window, other: Window) -> bool:
    return (
        one.bay == other.bay
        and one.from_left < other.from_left + other.width + _SAME_POINT
        and other.from_left < one.from_left + one.width + _SAME_POINT
        and one.from_bottom < other.from_bottom + other.height + _SAME_POINT
        and other.from_bottom < one.from_bottom + one.height + _SAME_POINT
    )


def _stands_in(bay: Bay, window: Window, from_bottom: float) -> bool:
    """Whether a window at this height keeps within its bay."""
    if from_bottom < -_SAME_POINT or from_bottom + window.height > bay.height + _SAME_POINT:
        return False
    if bay.outline is None:
        return True
    hole = rectangle(
        window.from_left, from_bottom, window.from_left + window.width, from_bottom + window.height
    )
    return bool(as_polygon(bay.outline).buffer(0.1).contains(as_polygon(hole)))


@dataclass(frozen=True)
class Reach:
    """How far the roof can go up while sheets of one width still close every bay from land to land.

    ``names`` are the stock sizes of that width; ``most`` is the greatest raise in mm, None where they are too
    narrow even with the roof where it was built.  ``usable`` is the width less its edge margins.
    """

    width: float
    usable: float
    names: tuple[str, ...]
    most: float | None


def one_piece_reaches(job: Job) -> tuple[Reach, ...]:
    """For each width of sheet that can be had, widest first, up to which raise one piece covers the height.

    The panel lies along the sheet, its height across the sheet's width.  Sides that do not move count as they are.
    """
    names: dict[float, list[str]] = {}
    for stock in job.stock:
        if stock.available != 0 and stock.name not in names.setdefault(stock.width, []):
            names[stock.width].append(stock.name)
    return tuple(
        _reach(job, width, tuple(names[width])) for width in sorted(names, reverse=True) if names[width]
    )


def _reach(job: Job, width: float, names: tuple[str, ...]) -> Reach:
    usable = width - 2 * job.cutting.edge_margin
    moving = {side.name for side in moving_sides(job)}
    most = float("inf")
    for side in job.sides:
        for bay, opening in zip(side.bays, outline_openings(side), strict=True):
            skin = skin_outline((opening,), job.land)
            _, low, _, high = bounds(skin) if skin else (0.0, 0.0, 0.0, opening.y1 - opening.y0)
            needed = high - low if skin else high + job.land.top + job.land.bottom
            cut = bay_cut(side, bay)
            grows = side.name in moving and bay.sill <= cut + SNAP_MM < bay.sill + bay.height
            if grows:
                most = min(most, side.raise_height + usable - needed)
            elif needed > usable + SNAP_MM:
                most = -1.0
    return Reach(width, usable, names, None if most < -SNAP_MM else max(0.0, most))


def raise_notes(job: Job) -> tuple[str, ...]:
    """What was taken for granted about the cut, in sentences: where the job does not say it, and what moves with it."""
    notes = []
    unsaid = [side.name for side in moving_sides(job) if side.cut_height is None]
    if unsaid:
        notes.append(
            f"{', '.join(unsaid)}: no cut_height, so the posts are taken as cut in the middle of each bay as it "
            "stands in the job; rails and windows above that go up with the roof."
        )
    if not any(side.raise_height > 0 for side in job.sides):
        notes.append("No side says a raise, so the heights are taken as those before the roof went up.")
    for side in moving_sides(job):
        notes += _new_metal(side, job.units)
    return tuple(notes)


def _new_metal(side: Side, units: Units) -> Iterable[str]:
    """Rails and windows in the part of the posts that the raise of the job put in: lower raises cannot hold them."""
    for rail in side.rails:
        least = side.raise_height - (rail - side_cut(side))
        if rail > side_cut(side) + SNAP_MM and least > SNAP_MM:
            yield (
                f"{side.name}, rail at {_length(rail, units)}: it is in the new part of the posts and keeps its "
                f"distance from the roof. Below a raise of {_length(least, units)} there is no new part that could "
                "hold it, so it is left out there."
            )
    for window in side.windows:
        bay = side.bays[window.bay - 1]
        foot, cut = bay.sill + window.from_bottom, bay_cut(side, bay)
        least = side.raise_height - (foot - cut)
        if foot > cut + SNAP_MM and least > SNAP_MM:
            yield (
                f"{side.name}, window in bay {window.bay}, {_length(foot, units)} up: it begins in the new part of "
                f"the posts and keeps its distance from the roof. Below a raise of {_length(least, units)} it "
                "comes under the cut: look whether it can be there."
            )


def _length(mm: float, units: Units) -> str:
    return format_length(mm, units.value, with_unit=True)


def _place(side: Side, number: int) -> str:
    return f"{side.name}, bay {number}"
