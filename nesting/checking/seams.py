"""The plan check, second part: each seam once, over metal that is wide enough, the right sheet outside."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from shapely.geometry import LineString, Polygon

from nesting.checking.cover import FIT, window_ring
from nesting.checking.shapes import HAIR, extent, level_stretches, traced
from nesting.checking.structure import (
    Cell,
    Frame,
    post_width_needed,
    reach_of,
    strip_size_of,
)
from nesting.job import Hand, Job
from nesting.plan import Panel, Plan, Seam

Range = tuple[float, float]


class Meeting(NamedTuple):
    """Two panels along one post or rail: ``line`` is its centre; its ends lie in ``starts``, ``ends``."""

    over: str
    under: str
    after_bay: int | None
    rail: int | None
    line: float
    starts: Range
    ends: Range
    bays: tuple[int, ...] = ()
    """The bays that a seam on a rail runs through."""

    @property
    def place(self) -> str:
        return f"the post after bay {self.after_bay}" if self.after_bay else f"rail {self.rail}"


def seam_faults(job: Job, plan: Plan, frames: dict[str, Frame]) -> Iterator[str]:
    """What is wrong with the seams of all sides, the metal behind them, and their cost."""
    for seam in plan.seams:
        if seam.side not in frames:
            yield f"seam {seam.over} over {seam.under}: there is no side {seam.side!r}"
    for frame in frames.values():
        panels = [panel for panel in plan.panels if panel.side == frame.side.name]
        seams = [seam for seam in plan.seams if seam.side == frame.side.name]
        meetings = [*_on_posts(job, frame, panels), *_on_rails(job, frame, panels)]
        yield from _compared(frame, meetings, seams)
        yield from _support_faults(job, plan, frame, meetings)
        yield from _window_faults(job, frame, seams)
        yield from _strip_faults(job, plan, frame, seams)
    length = sum(abs(s.end[0] - s.start[0]) + abs(s.end[1] - s.start[1]) for s in plan.seams)
    cost = len(plan.seams) * job.seam.cost + length * job.seam.cost_per_length
    if not abs(cost - plan.seam_cost) <= 1e-4:
        yield f"seam cost: {plan.seam_cost:.4f} is given, {len(plan.seams)} seams come to {cost:.4f}"


def _owners(frame: Frame, panels: list[Panel]) -> dict[Cell, str]:
    return {cell: panel.name for panel in panels for cell in frame.cells_of(panel)}


def _pairs(
    owners: dict[Cell, str], cells: list[tuple[Cell, Cell, int]]
) -> Iterator[tuple[tuple[str, str], list[int]]]:
    """Pairs of different panels in neighbouring cells, each with an unbroken run of shared rows or bays."""
    runs: dict[tuple[str, str], list[list[int]]] = {}
    for one, other, number in cells:
        first, second = owners.get(one), owners.get(other)
        if first and second and first != second:
            several = runs.setdefault((first, second), [])
            if several and several[-1][-1] == number - 1:
                several[-1].append(number)
            else:
                several.append([number])
    for pair, several in runs.items():
        yield from ((pair, run) for run in several)


def _on_posts(job: Job, frame: Frame, panels: list[Panel]) -> Iterator[Meeting]:
    owners = _owners(frame, panels)
    for post, line in enumerate(frame.posts, start=1):
        touching = [((post, row), (post + 1, row), row) for row in range(1, len(frame.rails) + 2)]
        for (left, right), rows in _pairs(owners, touching):
            over, under = (left, right) if frame.side.forward is Hand.LEFT else (right, left)
            low, high = frame.skin.reach(0, line)
            # A butt seam ends on either side of its gap, at two heights where the edge climbs.
            half = max(0.0, -reach_of(job.seam))
            beside = [frame.skin.reach(0, line - half), frame.skin.reach(0, line + half)]
            off = FIT + max(max(abs(a - low), abs(b - high)) for a, b in beside)
            starts, ends = (low - off, low + off), (high - off, high + off)
            if rows[0] > 1:
                starts = _cut(frame, post, rows[0] - 1, frame.rail_under(rows[0]), starts)
            if rows[-1] <= len(frame.rails):
                ends = _cut(frame, post, rows[-1] + 1, frame.rail_over(rows[-1]), ends)
            yield Meeting(over, under, post, None, line, starts, ends)


def _cut(frame: Frame, post: int, beyond: int, rail: float, edge: Range) -> Range:
    """A post seam ends on the rail if skin goes on beyond it on both hands, at the land if on neither."""
    goes_on = [(bay, beyond) in frame.cells for bay in (post, post + 1)]
    if not any(goes_on):
        return edge
    if all(goes_on):
        return rail - FIT, rail + FIT
    return min(rail - FIT, edge[0]), max(rail + FIT, edge[1])


def _on_rails(job: Job, frame: Frame, panels: list[Panel]) -> Iterator[Meeting]:
    owners = _owners(frame, panels)
    for number, line in enumerate(frame.rails, start=1):
        touching = [((bay, number + 1), (bay, number), bay) for bay in range(1, len(frame.bays) + 1)]
        for (upper, lower), bays in _pairs(owners, touching):
            starts = _rail_end(job, frame, number, bays[0], -1)
            ends = _rail_end(job, frame, number, bays[-1], 1)
            yield Meeting(upper, lower, None, number, line, starts, ends, tuple(bays))


def _rail_end(job: Job, frame: Frame, rail: int, bay: int, way: int) -> Range:
    """A rail seam ends on the post's centre line if the rail parts the next bay too, else at the land.

    At an end of the side that is where the rail's height meets the outer edge of the skin.
    """
    span = frame.bays[bay - 1]
    after = bay + way
    if not 1 <= after <= len(frame.bays):
        edge = frame.skin.reach(1, frame.rails[rail - 1])[0 if way < 0 else 1]
        return edge - FIT, edge + FIT
    edge = span.left - job.land.ends if way < 0 else span.right + job.land.ends
    post = frame.posts[bay - 2] if way < 0 else frame.posts[bay - 1]
    if all((after, row) in frame.cells for row in (rail, rail + 1)):
        return post - FIT, post + FIT
    # The rail does not cross the next bay: the panels end on the post, one perhaps past its centre.
    laps = [edge, post, post + way * reach_of(job.seam)]
    return min(laps) - FIT, max(laps) + FIT


def _compared(frame: Frame, meetings: list[Meeting], seams: tuple[Seam, ...] | list[Seam]) -> Iterator[str]:
    where = f"side {frame.side.name!r}"
    left_over = list(seams)
    for meeting in meetings:
        pair = {meeting.over, meeting.under}
        alike = [other for other in meetings if other[:4] == meeting[:4]]
        same = [
            s
            for s in left_over
            if {s.over, s.under} == pair and (s.after_bay, s.rail) == (meeting.after_bay, meeting.rail)
        ]
        if len(alike) > 1:
            # The pair meets in several stretches of the line: the seam of this one begins where it does.
            same = [s for s in same if min(alike, key=lambda other: _off(other, s)) is meeting]
        if len(same) != 1:
            meet = f"{meeting.over} and {meeting.under} meet on {meeting.place}"
            yield f"{where}: {meet}, and {len(same)} seams say so"
        for seam in same:
            left_over.remove(seam)
            yield from (f"{where}, seam on {meeting.place}: {fault}" for fault in _seam_faults(meeting, seam))
    for seam in left_over:
        place = f"the post after bay {seam.after_bay}" if seam.after_bay else f"rail {seam.rail}"
        yield f"{where}: seam {seam.over} over {seam.under} on {place}, where these do not meet"


def _off(meeting: Meeting, seam: Seam) -> float:
    """How far from a meeting's start a seam begins."""
    return abs(seam.start[1 if meeting.after_bay else 0] - sum(meeting.starts) / 2)


def _seam_faults(meeting: Meeting, seam: Seam) -> Iterator[str]:
    across, along = (0, 1) if meeting.after_bay else (1, 0)
    if seam.over != meeting.over:
        yield f"{seam.over} lies over {seam.under}, it should lie under"
    for point in (seam.start, seam.end):
        if not abs(point[across] - meeting.line) <= HAIR:
            yield f"it runs at {point[across]:.3f}, the centre line at {meeting.line:.3f}"
    ends = (("starts", seam.start, meeting.starts), ("ends", seam.end, meeting.ends))
    for word, point, (least, most) in ends:
        if not least <= point[along] <= most:
            yield f"it {word} at {point[along]:.3f} instead of {(least + most) / 2:.3f}"


def _support_faults(job: Job, plan: Plan, frame: Frame, meetings: list[Meeting]) -> Iterator[str]:
    needed = post_width_needed(job)
    for meeting in meetings:
        post = meeting.after_bay
        width = frame.face(post) if post else _rail_width(job, plan, frame, meeting.line)
        if width < needed - HAIR:
            yield (
                f"side {frame.side.name!r}: {meeting.place} is {width:.2f} wide, "
                f"a seam of {meeting.over} over {meeting.under} needs {needed:.2f}"
            )
        for bay in meeting.bays:
            opening = frame.openings[bay - 1]
            if opening.drawn and (count := len(level_stretches(opening.ring, meeting.line))) > 1:
                yield (
                    f"side {frame.side.name!r}: a seam of {meeting.over} over {meeting.under} on "
                    f"{meeting.place} crosses bay {bay} in {count} stretches"
                )


def backing_half(job: Job, plan: Plan, frame: Frame, height: float) -> float:
    """Half of the face of a rail or of the backing strips at a height."""
    return _rail_width(job, plan, frame, height) / 2


def _rail_width(job: Job, plan: Plan, frame: Frame, height: float) -> float:
    if height in frame.side.rails:
        # A rail without a width of its own is as wide as the posts.
        return frame.side.rail_width or min(frame.side.posts, default=0.0)
    return min([strip[1] for strip in _strips(job, plan, frame, height)], default=0.0)


def _strips(job: Job, plan: Plan, frame: Frame, height: float) -> list[tuple[float, float]]:
    """Length and width of each backing strip at a height, as it is cut or was before."""
    parts = {part.part.removesuffix("#1"): part for sheet in plan.sheets for part in sheet.parts}
    own = [strip for strip in plan.backing if strip.side == frame.side.name and strip.height == height]
    boxes = [extent(parts[strip.patch].outline) for strip in own if strip.patch in parts]
    sizes = [(max(x1 - x0, y1 - y0), min(x1 - x0, y1 - y0)) for x0, y0, x1, y1 in boxes]
    return sizes + [strip_size_of(job, frame, strip.bay, height) for strip in own if strip.cut]


def _strip_faults(job: Job, plan: Plan, frame: Frame, seams: list[Seam]) -> Iterator[str]:
    """Backing strips that do not reach along the whole of the seams over them."""
    for number, height in enumerate(frame.rails, start=1):
        if height in frame.side.rails:
            continue
        run = sum(abs(seam.end[0] - seam.start[0]) for seam in seams if seam.rail == number)
        strips = sum(length for length, _ in _strips(job, plan, frame, height))
        if strips < run - FIT:
            yield (
                f"side {frame.side.name!r}: the backing strips at {height:.2f} are {strips:.2f} long "
                f"together, the seams over them {run:.2f}"
            )
        if run == 0:
            yield f"side {frame.side.name!r}: no seam lies on the backing strip at {height:.2f}"


def _window_faults(job: Job, frame: Frame, seams: list[Seam]) -> Iterator[str]:
    """Windows that a seam runs through or too close to: both sheets of a lap must stay clear of the hole."""
    clear = abs(reach_of(job.seam))
    for number, window in enumerate(frame.side.windows, start=1):
        hole = Polygon(traced(window_ring(frame, window), True))
        for seam in seams:
            if LineString([seam.start, seam.end]).distance(hole) < clear - FIT:
                yield (
                    f"seam {seam.over} over {seam.under}: it cuts window {number} in bay {window.bay} "
                    f"of side {frame.side.name!r}, or runs too close to it"
                )
