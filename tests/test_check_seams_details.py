"""The check of seams and panels in detail: where they must run and end, on walls of cells counted by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nesting.checking.cover import cover_faults
from nesting.checking.seams import seam_faults
from nesting.checking.structure import frame_of
from nesting.job import Bay, Hand, Job
from nesting.outline import rectangle
from nesting.plan import Panel, Plan, Seam
from tests.hand_plans import DRIVER, base_job, panel, side, two_panels

TALL, LOW = Bay(600.0, 500.0), Bay(600.0, 250.0)
HOLLOW = base_job(sides=(side(bays=(TALL, LOW, TALL), posts=(50.0, 50.0), rails=(300.0,), rail_width=60.0),))
"""Posts at 625 and 1275; a rail at 300 that passes over the low bay in the middle: five cells."""

TWO_RAILS = base_job(sides=(side(rails=(200.0, 350.0), rail_width=60.0),))
"""Two bays, a post at 625, six cells."""


def block(name: str, bays: tuple[int, int], rows: tuple[int, int]) -> Panel:
    """A panel of cells; its outline is judged elsewhere."""
    return panel(name, bays, rectangle(0, 0, 1, 1), rows=rows)


def upright(post: int, x: float, low: float, high: float, over: str, under: str) -> Seam:
    return Seam(DRIVER, post, None, (x, low), (x, high), over, under)


def level(rail: int, y: float, left: float, right: float, over: str, under: str) -> Seam:
    return Seam(DRIVER, None, rail, (left, y), (right, y), over, under)


def faults(job: Job, panels: tuple[Panel, ...], seams: tuple[Seam, ...]) -> list[str]:
    plan: Plan = replace(
        two_panels().plan, panels=panels, seams=seams, seam_cost=12.0 * len(seams), sheets=()
    )
    frames = {own.name: frame_of(job, own, plan) for own in job.sides}
    return list(seam_faults(job, plan, frames))


FIVE = (
    block("A", (1, 1), (1, 1)),
    block("B", (1, 1), (2, 2)),
    block("C", (2, 2), (1, 1)),
    block("D", (3, 3), (1, 1)),
    block("E", (3, 3), (2, 2)),
)


def five_seams(left: float = 625.0, right: float = 1275.0, up: float = 300.0) -> tuple[Seam, ...]:
    return (
        upright(1, 625.0, -25.0, up, "A", "C"),
        upright(2, 1275.0, -25.0, up, "C", "D"),
        level(1, 300.0, -25.0, left, "B", "A"),
        level(1, 300.0, right, 1925.0, "E", "D"),
    )


@pytest.mark.parametrize("past", [0.0, 7.0, 15.0])
def test_a_rail_that_does_not_pass_the_next_bay_ends_on_the_post_or_a_lap_past_it(past: float) -> None:
    assert faults(HOLLOW, FIVE, five_seams(625.0 + past, 1275.0 - past)) == []


@pytest.mark.parametrize(
    ("left", "right", "told"),
    [
        (624.9, 1275.0, "seam on rail 1: it ends at 624.900 instead of 632.500"),
        (640.1, 1275.0, "seam on rail 1: it ends at 640.100 instead of 632.500"),
        (625.0, 1275.1, "seam on rail 1: it starts at 1275.100 instead of 1267.500"),
        (625.0, 1259.9, "seam on rail 1: it starts at 1259.900 instead of 1267.500"),
    ],
)
def test_it_ends_nowhere_else(left: float, right: float, told: str) -> None:
    assert faults(HOLLOW, FIVE, five_seams(left, right)) == [f"side {DRIVER!r}, {told}"]


def test_a_post_seam_beside_a_step_ends_between_the_rail_and_the_slope_over_the_post() -> None:
    # from (600, 500) to (650, 250) the edge falls 5 in 1: 25 square to it are 25 x sqrt(26) = 127.5 straight up
    for up, sound in ((300.0, True), (450.0, True), (502.0, True), (503.0, False), (299.9, False)):
        told = faults(HOLLOW, FIVE, five_seams(up=up))
        assert (told == []) is sound, up


def test_two_panels_may_meet_in_two_stretches_of_a_rail() -> None:
    panels = (block("P", (1, 3), (1, 1)), block("Q", (1, 3), (2, 2)))
    left, right = level(1, 300.0, -25.0, 625.0, "Q", "P"), level(1, 300.0, 1275.0, 1925.0, "Q", "P")
    assert faults(HOLLOW, panels, (left, right)) == faults(HOLLOW, panels, (right, left)) == []
    assert faults(HOLLOW, panels, (left,)) == [f"side {DRIVER!r}: Q and P meet on rail 1, and 0 seams say so"]
    assert faults(HOLLOW, panels, (left, left)) == [
        f"side {DRIVER!r}: Q and P meet on rail 1, and 2 seams say so",
        f"side {DRIVER!r}: Q and P meet on rail 1, and 0 seams say so",
    ]


STAIRS = (
    block("L1", (1, 1), (1, 2)),
    block("L2", (1, 1), (3, 3)),
    block("R1", (2, 2), (1, 1)),
    block("R2", (2, 2), (2, 3)),
)
STAIR_SEAMS = (
    upright(1, 625.0, -25.0, 200.0, "L1", "R1"),
    upright(1, 625.0, 200.0, 350.0, "L1", "R2"),
    upright(1, 625.0, 350.0, 525.0, "L2", "R2"),
    level(2, 350.0, -25.0, 625.0, "L2", "L1"),
    level(1, 200.0, 625.0, 1275.0, "R2", "R1"),
)


def test_seams_between_panels_of_several_rows_end_on_the_rails_between_them() -> None:
    assert faults(TWO_RAILS, STAIRS, STAIR_SEAMS) == []


@pytest.mark.parametrize(
    ("index", "changes", "told"),
    [
        (0, {"end": (625.0, 350.0)}, "seam on the post after bay 1: it ends at 350.000 instead of 200.000"),
        (
            1,
            {"start": (625.0, -25.0)},
            "seam on the post after bay 1: it starts at -25.000 instead of 200.000",
        ),
        (1, {"end": (625.0, 525.0)}, "seam on the post after bay 1: it ends at 525.000 instead of 350.000"),
        (
            2,
            {"start": (625.0, 200.0)},
            "seam on the post after bay 1: it starts at 200.000 instead of 350.000",
        ),
        (3, {"end": (640.0, 350.0)}, "seam on rail 2: it ends at 640.000 instead of 625.000"),
        (3, {"start": (0.0, 350.0)}, "seam on rail 2: it starts at 0.000 instead of -25.000"),
        (4, {"start": (610.0, 200.0)}, "seam on rail 1: it starts at 610.000 instead of 625.000"),
        (4, {"end": (1250.0, 200.0)}, "seam on rail 1: it ends at 1250.000 instead of 1275.000"),
        (3, {"over": "L1", "under": "L2"}, "seam on rail 2: L1 lies over L2, it should lie under"),
    ],
)
def test_a_seam_that_ends_elsewhere_is_told_with_where_it_should(
    index: int, changes: dict[str, object], told: str
) -> None:
    seams = (*STAIR_SEAMS[:index], replace(STAIR_SEAMS[index], **changes), *STAIR_SEAMS[index + 1 :])  # type: ignore[arg-type]
    assert faults(TWO_RAILS, STAIRS, seams) == [f"side {DRIVER!r}, {told}"]


def test_on_a_side_that_faces_right_the_right_panel_lies_over_the_left_one() -> None:
    faces = replace(TWO_RAILS.sides[0], forward=Hand.RIGHT, rails=())
    job = replace(TWO_RAILS, sides=(faces,))
    panels = (block("L", (1, 1), (1, 1)), block("R", (2, 2), (1, 1)))
    assert faults(job, panels, (upright(1, 625.0, -25.0, 525.0, "R", "L"),)) == []
    assert faults(job, panels, (upright(1, 625.0, -25.0, 525.0, "L", "R"),)) == [
        f"side {DRIVER!r}, seam on the post after bay 1: L lies over R, it should lie under"
    ]


def test_seams_in_three_places_are_told_apart() -> None:
    panels = (block("L", (1, 1), (1, 3)), block("R", (2, 2), (1, 3)))
    assert faults(TWO_RAILS, panels, (upright(1, 625.0, -25.0, 525.0, "L", "R"),)) == []
    assert len(faults(TWO_RAILS, STAIRS, STAIR_SEAMS[:3])) == 2


OUTLINES = {
    "L1": (-25.0, -25.0, 640.0, 365.0),
    "L2": (-25.0, 335.0, 640.0, 525.0),
    "R1": (610.0, -25.0, 1275.0, 215.0),
    "R2": (610.0, 185.0, 1275.0, 525.0),
}
"""Each panel of the stairs runs 15 past the post and the rails that it ends on, and 25 past the openings."""


def panel_faults(changes: dict[str, tuple[float, float, float, float]]) -> list[str]:
    outlines = {**OUTLINES, **changes}
    panels = tuple(replace(own, outline=rectangle(*outlines[own.name])) for own in STAIRS)
    plan = replace(two_panels().plan, panels=panels)
    return list(cover_faults(TWO_RAILS, plan, {DRIVER: frame_of(TWO_RAILS, TWO_RAILS.sides[0], plan)}))


def test_panels_run_past_the_rails_that_they_end_on() -> None:
    assert panel_faults({}) == []


@pytest.mark.parametrize(
    ("name", "edge", "off", "told"),
    [
        ("L1", 3, 1.0, "top 366.000 instead of 365.000"),
        ("L2", 1, 1.0, "bottom 336.000 instead of 335.000"),
        ("R1", 3, -1.0, "top 214.000 instead of 215.000"),
        ("R2", 1, -1.0, "bottom 184.000 instead of 185.000"),
        ("L2", 2, -1.0, "right 639.000 instead of 640.000"),
        ("R2", 0, 1.0, "left 611.000 instead of 610.000"),
        ("R1", 2, 1.0, "right 1276.000 instead of 1275.000"),
        ("R2", 3, -1.0, "top 524.000 instead of 525.000"),
    ],
)
def test_a_panel_of_some_rows_that_runs_too_far_or_not_far_enough_is_told(
    name: str, edge: int, off: float, told: str
) -> None:
    outline = list(OUTLINES[name])
    outline[edge] += off
    x0, y0, x1, y1 = outline
    assert panel_faults({name: (x0, y0, x1, y1)}) == [f"panel {name}: the outline is wrong: {told}"]
