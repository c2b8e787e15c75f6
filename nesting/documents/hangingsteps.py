"""The hanging order as steps: each panel with the reason why it goes up then, and the corners where sheets pile up."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from nesting.documents.findings import hanging_order, joined
from nesting.job import Hand, SeamKind, Side
from nesting.plan import Panel, PlannedJob, Point, Seam

FACE_OUT = (
    "The face on which the part's name, up and forward are marked goes outside; a part whose sheet says that it is "
    "cut with the outside face down is turned over first."
)
LAP_RULES = (
    "Lower panels before upper ones: the upper sheet lies outside the lower, so that water runs off the lap.",
    "Aft before forward: the forward panel laps over the one behind it, so that the exposed edge faces rearward and "
    "wind does not lift it.",
    "Drill the panel on top of a lap and drill the one below through it in place.",
)
BUTT_RULES = ("Butt seams: lower panels before upper ones, from the rear forward.",)
RULES = (
    "The bottom land lies over the skin below, the top land goes under the roof skin, unless the job says "
    "otherwise: free the roof skin's lower edge before the first panel goes up.",
    "Fit and hold with holders, drill, take down, deburr and clear the chips, clean, lay the sealant over the holes, "
    "hang again and rivet from the middle outwards, with the skin at least as warm as the body, or it buckles later.",
    FACE_OUT,
)
"""Shingled laps, the sealant over the line of the holes and warm skin: builders' advice and a cladding code (a); the
rest common practice (c)."""

_SAME = 0.5
"""mm: seams that end this close together end at one corner; a land or a lap is far wider."""


@dataclass(frozen=True)
class HangingStep:
    """One panel to hang: ``over`` are the panels that it lies over, ``why`` the reason for its turn."""

    panel: Panel
    over: tuple[str, ...]
    why: str


def hanging_steps(planned: PlannedJob, side: Side) -> tuple[HangingStep, ...]:
    """The panels of a side in the order in which they go up."""
    panels = hanging_order(planned, side.name)
    steps = []
    for number, panel in enumerate(panels, start=1):
        seams = [seam for seam in planned.plan.seams if seam.over == panel.name and seam.side == side.name]
        lapped = planned.job.seam.kind is SeamKind.LAP
        over = tuple(dict.fromkeys(seam.under for seam in seams)) if lapped else ()
        by_name = {other.name: other for other in panels}
        reasons = [_lap_reason(seam, panel, by_name[seam.under]) for seam in seams] if lapped else []
        if not reasons:
            reasons = ["first: it lies over no other panel" if number == 1 else "it lies over no other panel"]
        steps.append(HangingStep(panel, over, "; ".join((*dict.fromkeys(reasons), *_lands(panel, panels)))))
    return tuple(steps)


def _lap_reason(seam: Seam, panel: Panel, under: Panel) -> str:
    if seam.after_bay is None:
        return f"over {under.name} below it"
    ahead = panel.first_bay < under.first_bay
    if (panel.forward is Hand.LEFT) == ahead:
        return f"over {under.name} behind it, edge to the rear"
    return f"over {under.name}"


def _lands(panel: Panel, panels: tuple[Panel, ...]) -> Iterator[str]:
    """Where no panel of the plan stands above or below it, its land meets the skin that is there."""
    beside = [
        other
        for other in panels
        if other.first_bay <= panel.last_bay and panel.first_bay <= other.last_bay and other is not panel
    ]
    if all(other.first_row > panel.first_row for other in beside):
        yield "bottom over the skin below"
    if all(other.last_row < panel.last_row for other in beside):
        yield "top under the roof skin"


def crowded_corners(planned: PlannedJob, side: Side) -> tuple[str, ...]:
    """Where three or four sheets of lap seams would lie on one another, and what to do about it."""
    if planned.job.seam.kind is not SeamKind.LAP:
        return ()
    seams = [seam for seam in planned.plan.seams if seam.side == side.name]
    found = []
    for corner in _ends(seams):
        meeting = [seam for seam in seams if _near(corner, seam.start) or _near(corner, seam.end)]
        posts = [seam for seam in meeting if seam.after_bay is not None]
        levels = [seam for seam in meeting if seam.rail is not None]
        sheets = sorted({name for seam in meeting for name in (seam.over, seam.under)})
        if posts and levels and len(sheets) > 2:
            found.append(
                f"Over post {posts[0].after_bay} at rail {levels[0].rail} the sheets {joined(sheets)} meet: "
                f"{_remedy(len(sheets))}"
            )
    return tuple(found)


def _remedy(sheets: int) -> str:
    relieve = "cut a corner off the inner ones so that no more than two lie on one another (relieve them)"
    if sheets > 3:
        return f"stagger the seams, or {relieve}, else four sheets pile up and ask for a longer rivet."
    return f"{relieve}, or take the longer rivet there."


def _ends(seams: list[Seam]) -> list[Point]:
    ends: list[Point] = []
    for seam in seams:
        for point in (seam.start, seam.end):
            if not any(_near(point, other) for other in ends):
                ends.append(point)
    return sorted(ends)


def _near(a: Point, b: Point) -> bool:
    return abs(a[0] - b[0]) <= _SAME and abs(a[1] - b[1]) <= _SAME
