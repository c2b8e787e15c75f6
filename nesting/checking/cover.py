"""The plan check, first part: every opening closed once, by panels of the right shape, windows left open."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from math import hypot

from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from nesting.checking.shapes import covers, metal, same_shape, traced
from nesting.checking.skin import FINE
from nesting.checking.structure import FAR, Frame, reach_of
from nesting.job import Job, Window
from nesting.outline import Ring
from nesting.plan import Panel, Plan

FIT = 0.01
"""mm by which a panel may differ from what the structure asks for."""


def cover_faults(job: Job, plan: Plan, frames: dict[str, Frame]) -> Iterator[str]:
    """What is wrong with the panels: names, cells, outlines, windows."""
    for name, times in Counter(panel.name for panel in plan.panels).items():
        if times > 1:
            yield f"panel {name}: the name is used {times} times"
    for panel in plan.panels:
        if panel.side not in frames:
            yield f"panel {panel.name}: there is no side {panel.side!r}"
    for frame in frames.values():
        panels = [panel for panel in plan.panels if panel.side == frame.side.name]
        sound = []
        for panel in panels:
            faults = list(_block_faults(frame, panel))
            yield from faults
            if not faults:
                sound.append(panel)
        yield from _cell_faults(frame, sound)
        for panel in sound:
            yield from _outline_faults(job, frame, panel)
        yield from _window_faults(frame, panels)


def _block_faults(frame: Frame, panel: Panel) -> Iterator[str]:
    bays, rows = len(frame.bays), len(frame.rails) + 1
    if not 1 <= panel.first_bay <= panel.last_bay <= bays:
        yield f"panel {panel.name}: bays {panel.first_bay} to {panel.last_bay} are not among 1 to {bays}"
        return
    if not 1 <= panel.first_row <= panel.last_row <= rows:
        yield f"panel {panel.name}: rows {panel.first_row} to {panel.last_row} are not among 1 to {rows}"
        return
    if panel.forward is not frame.side.forward:
        yield f"panel {panel.name}: its front is on the {panel.forward.value}, the side's is not"
    held = {bay for bay, _ in frame.cells_of(panel)}
    for bay in range(panel.first_bay, panel.last_bay + 1):
        if bay not in held:
            yield f"panel {panel.name}: it closes nothing in bay {bay}"
    if len(panel.outline) < 3 or not Polygon(traced(panel.outline, False)).is_valid:
        yield f"panel {panel.name}: the outline crosses itself"


def _cell_faults(frame: Frame, panels: list[Panel]) -> Iterator[str]:
    closed = Counter(cell for panel in panels for cell in frame.cells_of(panel))
    for bay, row in sorted(frame.cells):
        times = closed[bay, row]
        if times != 1:
            how = "is not covered" if times == 0 else f"is covered {times} times"
            yield f"side {frame.side.name!r}: bay {bay}, row {row} {how}"


def _outline_faults(job: Job, frame: Frame, panel: Panel) -> Iterator[str]:
    actual = Polygon(traced(panel.outline, False, FINE))
    least, most = _asked(job, frame, panel)
    if least is most:
        if not same_shape(least, actual, FIT):
            yield f"panel {panel.name}: {_difference(least, actual)}"
    elif not covers(actual, least, FIT) or not covers(most, actual, FIT):
        missing, extra = least.difference(actual).area, actual.difference(most).area
        yield f"panel {panel.name}: the outline is wrong: {missing:.1f} mm2 missing, {extra:.1f} mm2 too much"
    yield from _support_faults(job, frame, panel, actual)


def _asked(job: Job, frame: Frame, panel: Panel) -> tuple[BaseGeometry, BaseGeometry]:
    """The least and the most that a panel may be: one shape, unless a rail passes only some of its bays.

    It is the side's skin cut along the posts and rails round the panel's block, by the reach past each line.
    A rail that does not divide a bay does not cut its land either; over the post next to such a bay the edge
    may go either way.
    """
    reach = reach_of(job.seam)
    rows = range(panel.first_row, panel.last_row + 1)
    left, widest_left, right, widest_right = -FAR, -FAR, FAR, FAR
    if panel.first_bay > 1:
        left = widest_left = frame.posts[panel.first_bay - 2] - reach
        if not _meets(frame, panel.first_bay - 1, rows):
            # Nothing stands beside it in these rows: the edge is an outer one, on the post or at the land.
            land = frame.bays[panel.first_bay - 1].left - job.land.ends
            left, widest_left = max(left, land), min(left, land)
    if panel.last_bay < len(frame.bays):
        right = widest_right = frame.posts[panel.last_bay - 1] + reach
        if not _meets(frame, panel.last_bay, rows):
            land = frame.bays[panel.last_bay - 1].right + job.land.ends
            right, widest_right = min(right, land), max(right, land)
    least = most = frame.skin.area.intersection(box(left, -FAR, right, FAR))
    if (left, right) != (widest_left, widest_right):
        most = frame.skin.area.intersection(box(widest_left, -FAR, widest_right, FAR))
    ends = (
        (panel.first_row - 1, box(-FAR, frame.rail_under(panel.first_row) - reach, FAR, FAR)),
        (panel.last_row + 1, box(-FAR, -FAR, FAR, frame.rail_over(panel.last_row) + reach)),
    )
    for beyond, kept in ends:
        bays = range(panel.first_bay, panel.last_bay + 1)
        parted = [bay for bay in bays if (bay, beyond) in frame.cells]
        beside = any((bay, beyond) in frame.cells for bay in (panel.first_bay - 1, panel.last_bay + 1))
        if len(parted) == len(bays):
            same = least is most
            least = least.intersection(kept)
            most = least if same else most.intersection(kept)
        elif parted or beside:
            whole = unary_union([_before(frame, bay) for bay in bays if bay not in parted])
            cut = unary_union([_before(frame, bay) for bay in parted])
            # Where a post leans, what lies before one bay may lie before the next one too.
            least = least.intersection(kept.union(whole.difference(cut)))
            most = most.difference(cut.difference(kept).difference(whole))
    return least, most


def _meets(frame: Frame, post: int, rows: range) -> bool:
    """Whether bays stand on both sides of a post somewhere in these rows."""
    return any((post, row) in frame.cells and (post + 1, row) in frame.cells for row in rows)


def _before(frame: Frame, bay: int) -> BaseGeometry:
    """Everything above and below an opening, and beside it at an end of the side."""
    span = frame.bays[bay - 1]
    return box(span.left if bay > 1 else -FAR, -FAR, span.right if bay < len(frame.bays) else FAR, FAR)


def _support_faults(job: Job, frame: Frame, panel: Panel, actual: Polygon) -> Iterator[str]:
    """Whatever the shape of the edges, openings must be closed and the sides of a panel held by rivets."""
    rows = range(panel.first_row, panel.last_row + 1)
    x0, _, x1, _ = actual.bounds
    # A butt seam on a rail leaves its gap open in front of the rail.
    gap = max(0.0, -reach_of(job.seam))
    grown = actual.buffer(FIT + gap)
    least = job.seam.edge_distance - FIT
    for bay in range(panel.first_bay, panel.last_bay + 1):
        span = frame.span(bay, rows[0], rows[-1])
        if span is None:
            continue
        opening = frame.openings[bay - 1]
        if opening.between(span.low, span.high).difference(grown).area > 0:
            yield f"panel {panel.name}: it leaves part of bay {bay} open"
        if opening.drawn:
            # Its land is measured square to edges that may not be plumb, and its outline has been judged.
            continue
        if bay == panel.first_bay and span.left - x0 < least:
            yield f"panel {panel.name}: it runs only {span.left - x0:.2f} past the left of bay {bay}"
        if bay == panel.last_bay and x1 - span.right < least:
            yield f"panel {panel.name}: it runs only {x1 - span.right:.2f} past the right of bay {bay}"


def _difference(asked: BaseGeometry, actual: BaseGeometry) -> str:
    names = ("left", "bottom", "right", "top")
    off = [
        f"{name} {have:.3f} instead of {want:.3f}"
        for name, have, want in zip(names, actual.bounds, asked.bounds, strict=True)
        if abs(have - want) > FIT
    ]
    if off:
        return "the outline is wrong: " + ", ".join(off)
    missing, extra = asked.difference(actual).area, actual.difference(asked).area
    return f"the outline is wrong: {missing:.1f} mm2 missing, {extra:.1f} mm2 too much"


def window_ring(frame: Frame, window: Window) -> Ring:
    """The hole that a window needs, corners as arcs, measured from the lower left corner of its bay."""
    left, low = frame.openings[window.bay - 1].origin
    x0, y0 = left + window.from_left, low + window.from_bottom
    return rounded_box(x0, y0, window.width, window.height, window.corner_radius)


def rounded_box(x0: float, y0: float, width: float, height: float, radius: float) -> Ring:
    """A rectangle with its corners rounded, as far as half of the shorter side allows."""
    r = max(0.0, min(radius, width / 2, height / 2))
    x1, y1 = x0 + width, y0 + height
    if r == 0:
        return ((x0, y0, 0.0), (x1, y0, 0.0), (x1, y1, 0.0), (x0, y1, 0.0))
    quarter = 2**0.5 - 1
    corners = (
        ((x0 + r, y0), (x1 - r, y0)), ((x1, y0 + r), (x1, y1 - r)),
        ((x1 - r, y1), (x0 + r, y1)), ((x0, y1 - r), (x0, y0 + r)),
    )  # fmt: skip
    ring: list[tuple[float, float, float]] = []
    for (ax, ay), (bx, by) in corners:
        if hypot(bx - ax, by - ay) > 1e-9:
            ring.append((ax, ay, 0.0))
        ring.append((bx, by, quarter))
    return tuple(ring)


def _window_faults(frame: Frame, panels: list[Panel]) -> Iterator[str]:
    claimed: set[tuple[str, int]] = set()
    for number, window in enumerate(frame.side.windows, start=1):
        hole = Polygon(traced(window_ring(frame, window), True))
        found = 0
        for panel in panels:
            for i, ring in enumerate(panel.holes):
                if same_shape(hole, Polygon(traced(ring, True)), FIT):
                    found += 1
                    claimed.add((panel.name, i))
                    if not metal(panel.outline).contains(hole):
                        yield f"panel {panel.name}: the window in bay {window.bay} is not inside the panel"
            closed = metal(panel.outline, panel.holes)
            if closed.intersection(hole).area > FIT * hole.length:
                yield f"panel {panel.name}: it closes window {number} in bay {window.bay}"
        if found != 1:
            yield (
                f"side {frame.side.name!r}: window {number} in bay {window.bay} is a hole in {found} panels, "
                "it should be one in 1"
            )
    for panel in panels:
        for i in range(len(panel.holes)):
            if (panel.name, i) not in claimed:
                yield f"panel {panel.name}: hole {i + 1} belongs to no window"
