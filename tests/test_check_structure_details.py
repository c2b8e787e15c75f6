"""The check in detail: what it reads from the job; seams on posts and rails, panels on bays, parts in sheets."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import pi

import pytest

from nesting.checking.check import plan_faults
from nesting.checking.cover import rounded_box
from nesting.checking.shapes import area_with_sign
from nesting.checking.sheets import sheet_faults
from nesting.checking.structure import FAR, Frame, frame_of, post_width_needed, reach_of, strip_size_of
from nesting.job import Bay, SeamKind, SeamRules
from nesting.outline import rectangle
from nesting.plan import BackingStrip, Offcut
from tests.damages import assert_found, item, job_changed, recut, side_changed
from tests.hand_plans import DRIVER, HandPlan, base_job, four_corners, panel, railed, side, two_panels

LAP = SeamRules(edge_distance=15.0)
TWO_ROWS = SeamRules(edge_distance=15.0, rows=2, row_spacing=20.0)
BUTT = SeamRules(SeamKind.BUTT, edge_distance=15.0, butt_gap=4.0)
TOUCHING = SeamRules(SeamKind.BUTT, edge_distance=15.0, butt_gap=0.0)

THREE_BAYS = side(bays=(Bay(600.0, 500.0), Bay(400.0, 500.0), Bay(300.0, 500.0)), posts=(50.0, 30.0))
"""From 0 to 600, 650 to 1050 and 1080 to 1380; centres of the posts at 625 and 1065; lands reach 25 farther."""


def frame(rules: SeamRules = LAP, rails: tuple[float, ...] = (), strips: tuple[float, ...] = ()) -> Frame:
    own = replace(THREE_BAYS, rails=rails)
    _, plan = two_panels()
    backing = tuple(BackingStrip(DRIVER, height, "strip") for height in strips)
    return frame_of(base_job(sides=(own,), seam=rules), own, replace(plan, backing=backing))


@pytest.mark.parametrize(
    ("rules", "reach", "post"),
    [
        (LAP, 15, 30),
        (replace(LAP, row_spacing=20.0), 15, 30),
        (TWO_ROWS, 25, 50),
        (BUTT, -2, 39),
        (TOUCHING, 0, 35),
    ],
)
def test_what_a_seam_reaches_and_needs_behind_it(rules: SeamRules, reach: float, post: float) -> None:
    assert reach_of(rules) == reach
    # a butt seam: its gap, twice the edge distance, and a hole of 5
    assert post_width_needed(base_job(seam=rules)) == post


@pytest.mark.parametrize(("rules", "width"), [(LAP, 30), (TWO_ROWS, 50), (BUTT, 64), (TOUCHING, 60)])
def test_a_strip_runs_from_post_to_post_and_is_as_wide_as_its_seam(rules: SeamRules, width: float) -> None:
    job = base_job(sides=(THREE_BAYS,), seam=rules)
    sizes = [strip_size_of(job, frame(rules), bay, 250.0) for bay in (1, 2, 3)]
    assert sizes == [(650, width), (440, width), (340, width)]


def test_bays_posts_rails_and_cells_are_where_the_job_says() -> None:
    made = frame(rails=(300.0, 200.0), strips=(400.0, 200.0))
    assert [(span.left, span.right, span.low, span.high) for span in made.bays] == [
        (0, 600, 0, 500),
        (650, 1050, 0, 500),
        (1080, 1380, 0, 500),
    ]
    assert list(made.posts) == [625, 1065]
    assert list(made.rails) == [200, 300, 400]
    assert made.cells == {(bay, row) for bay in (1, 2, 3) for row in (1, 2, 3, 4)}
    assert [made.rail_under(row) for row in (1, 2, 3, 4)] == [-FAR, 200, 300, 400]
    assert [made.rail_over(row) for row in (1, 2, 3, 4)] == [200, 300, 400, FAR]
    assert [made.face(1), made.face(2)] == [50, 30]
    span = made.span(2, 2, 3)
    assert span is not None
    assert list(span) == [650, 1050, 200, 400]
    assert made.cells_of(panel("D1", (2, 3), rectangle(0, 0, 1, 1), rows=(3, 4))) == [
        (2, 3),
        (2, 4),
        (3, 3),
        (3, 4),
    ]
    assert made.skin.reach(1, 250.0) == pytest.approx((-25, 1405))
    assert made.skin.reach(0, 625.0) == pytest.approx((-25, 525))
    # beside and above the side as far as it goes at all
    assert made.skin.reach(0, 5000.0) == pytest.approx((-25, 525))
    assert made.skin.reach(1, 5000.0) == pytest.approx((-25, 1405))


def test_a_rail_above_an_opening_leaves_it_no_cell_there() -> None:
    low = replace(THREE_BAYS, bays=(*THREE_BAYS.bays[:2], Bay(300.0, 200.0, sill=50.0)), rails=(250.0,))
    made = frame_of(base_job(sides=(low,)), low, two_panels().plan)
    assert made.cells == {(1, 1), (1, 2), (2, 1), (2, 2), (3, 1)}
    assert made.span(3, 2, 2) is None
    assert [opening.drawn for opening in made.openings] == [False, False, False]
    assert made.openings[2].origin == (1080, 50)


def test_what_lies_of_an_opening_between_two_heights() -> None:
    triangle = Bay(600.0, 400.0, sill=100.0, outline=((0.0, 0.0, 0.0), (600.0, 0.0, 0.0), (0.0, 400.0, 0.0)))
    own = replace(THREE_BAYS, bays=(triangle, *THREE_BAYS.bays[1:]))
    opening = frame_of(base_job(sides=(own,)), own, two_panels().plan).openings[0]
    assert opening.drawn
    assert list(opening.span) == [0, 600, 100, 500]
    # halfway up it is half as wide: three quarters of 120000 lie below
    assert opening.between(100.0, 300.0).area == pytest.approx(90_000)
    assert opening.between(300.0, 500.0).area == pytest.approx(30_000)
    assert opening.between(-FAR, FAR).area == pytest.approx(120_000)


@pytest.mark.parametrize(
    ("radius", "corners", "area"),
    [
        (0.0, 4, 6000),
        (-1.0, 4, 6000),
        (10.0, 8, 6000 - (4 - pi) * 100),
        (30.0, 6, 6000 - (4 - pi) * 900),
        (99.0, 6, 6000 - (4 - pi) * 900),
    ],
)
def test_a_window_is_rounded_as_far_as_half_of_its_shorter_side(
    radius: float, corners: int, area: float
) -> None:
    ring = rounded_box(5.0, 7.0, 100.0, 60.0, radius)
    assert len(ring) == corners
    assert area_with_sign(ring) == pytest.approx(area)
    assert min(x for x, _, _ in ring) == 5
    assert max(y for _, y, _ in ring) == 67


# Panels


@pytest.mark.parametrize(
    ("index", "outline", "told"),
    [
        (0, (-25, -25, 590, 525), "panel D1: it leaves part of bay 1 open"),
        (0, (1, -25, 640, 525), "panel D1: it leaves part of bay 1 open"),
        (0, (-25, -25, 640, 499), "panel D1: it leaves part of bay 1 open"),
        (1, (610, -25, 1249, 525), "panel D2: it leaves part of bay 2 open"),
        (0, (-25, -25, 610, 525), "panel D1: it runs only 10.00 past the right of bay 1"),
        (0, (-5, -25, 640, 525), "panel D1: it runs only 5.00 past the left of bay 1"),
        (1, (640, -25, 1275, 525), "panel D2: it runs only 10.00 past the left of bay 2"),
        (1, (610, -25, 1255, 525), "panel D2: it runs only 5.00 past the right of bay 2"),
    ],
)
def test_a_panel_must_close_its_bays_and_be_held_beside_them(
    index: int, outline: tuple[float, float, float, float], told: str
) -> None:
    assert_found(told, recut(index, rectangle(*outline))(two_panels()))


def test_a_tall_window_is_rounded_as_far_as_half_of_its_width() -> None:
    ring = rounded_box(0.0, 0.0, 60.0, 100.0, 99.0)
    assert area_with_sign(ring) == pytest.approx(6000 - (4 - pi) * 900)


def test_a_panel_that_closes_its_bays_is_told_nothing_of_the_kind() -> None:
    outline = rectangle(-15, -1, 615, 501)
    told = list(plan_faults(*recut(0, outline)(two_panels())))
    assert not [fault for fault in told if "runs only" in fault or "open" in fault]


# Seams


def wider(hand: HandPlan) -> tuple[object, ...]:
    """Seams that need 60 behind them."""
    return job_changed(seam=replace(hand.job.seam, edge_distance=30.0))(hand)


def test_a_rail_without_a_width_is_as_wide_as_the_narrowest_post() -> None:
    job, plan = side_changed(rail_width=0.0)(four_corners())
    assert not [fault for fault in plan_faults(job, plan) if "wide" in fault]
    assert_found("rail 1 is 50.00 wide, a seam of D3 over D1 needs 60.00", wider(HandPlan(job, plan)))
    assert_found(
        "the post after bay 1 is 50.00 wide, a seam of D1 over D2 needs 60.00", wider(HandPlan(job, plan))
    )
    bare = side_changed(rail_width=0.0)(railed())
    assert_found("rail 1 is 0.00 wide, a seam of D2 over D1 needs 30.00", bare)


def test_a_rail_as_wide_as_it_needs_to_be_is_enough() -> None:
    for width, told in ((30.0, False), (29.99, True)):
        faults = plan_faults(*side_changed(rail_width=width)(railed()))
        assert any("wide" in fault for fault in faults) is told


@pytest.mark.parametrize(
    ("index", "start", "end", "told"),
    [
        (0, (625.0, -25.0), (625.0, 525.0), "ends at 525.000 instead of 500.000"),
        (1, (625.0, 490.0), (625.0, 1025.0), "starts at 490.000 instead of 500.000"),
        (1, (625.0, 500.0), (625.0, 1015.0), "ends at 1015.000 instead of 1025.000"),
        (2, (-35.0, 500.0), (625.0, 500.0), "starts at -35.000 instead of -25.000"),
        (2, (-25.0, 500.0), (640.0, 500.0), "ends at 640.000 instead of 625.000"),
        (3, (610.0, 500.0), (1275.0, 500.0), "starts at 610.000 instead of 625.000"),
        (3, (625.0, 500.0), (1265.0, 500.0), "ends at 1265.000 instead of 1275.000"),
        (3, (625.0, 501.0), (1275.0, 500.0), "runs at 501.000, the centre line at 500.000"),
    ],
)
def test_seams_that_meet_in_a_corner_end_there(
    index: int, start: tuple[float, float], end: tuple[float, float], told: str
) -> None:
    job, plan = four_corners()
    changed = replace(plan, seams=item(plan.seams, index, start=start, end=end))
    assert_found(told, (job, changed))


def test_what_seams_cost_is_so_much_each_and_so_much_a_length() -> None:
    job, plan = four_corners()
    # 525 + 525 + 650 + 650 long
    dear = replace(job, seam=replace(job.seam, cost_per_length=0.01))
    for cost, sound in ((4 * 12 + 23.5, True), (4 * 12 + 23.4, False), (float("nan"), False)):
        faults = list(plan_faults(dear, replace(plan, seam_cost=cost)))
        assert (not any(fault.startswith("seam cost") for fault in faults)) is sound


# Sheets


def parts_moved(dx: float, dy: float) -> list[str]:
    job, plan = two_panels()
    sheet = plan.sheets[0]
    parts = tuple(
        replace(part, outline=tuple((x + dx, y + dy, bulge) for x, y, bulge in part.outline))
        for part in sheet.parts
    )
    return list(sheet_faults(job, replace(plan, sheets=(replace(sheet, parts=parts, offcuts=()),))))


@pytest.mark.parametrize(
    ("dx", "dy", "told"),
    [
        # the two lie from 10 to 1350 along a sheet of 2000, and from 10 to 560 across its 1000
        (-1.0, 0.0, "part D1: 9.000 from the edge instead of 10.000"),
        (0.0, -1.0, "part D1: 9.000 from the edge instead of 10.000"),
        (641.0, 0.0, "part D2: 9.000 from the edge instead of 10.000"),
        (0.0, 431.0, "part D1: 9.000 from the edge instead of 10.000"),
        (700.0, 0.0, "part D2: -50.000 from the edge instead of 10.000"),
    ],
)
def test_parts_keep_the_margin_on_every_hand(dx: float, dy: float, told: str) -> None:
    assert any(told in fault for fault in parts_moved(dx, dy))


def test_parts_may_lie_just_at_the_margin_on_every_hand() -> None:
    assert parts_moved(640.0, 0.0) == parts_moved(0.0, 430.0) == []


@pytest.mark.parametrize(
    ("offcut", "told"),
    [
        (Offcut(1000.0, 600.0, 304.8, 304.8), ""),
        (Offcut(1000.0, 600.0, 304.795, 304.8), ""),
        (Offcut(1000.0, 600.0, 304.7, 304.8), "offcut 1: 304.7 x 304.8 is too small to keep"),
        (Offcut(1000.0, 600.0, 400.0, 304.7), "offcut 1: 400.0 x 304.7 is too small to keep"),
        (Offcut(1695.2, 600.0, 304.8, 400.0), ""),
        (Offcut(1696.0, 600.0, 304.8, 400.0), "offcut 1: it runs over the edge of the sheet"),
        (Offcut(1000.0, 601.0, 304.8, 400.0), "offcut 1: it runs over the edge of the sheet"),
        (Offcut(1400.0, -0.1, 304.8, 400.0), "offcut 1: it runs over the edge of the sheet"),
        (Offcut(1000.0, 559.0, 304.8, 400.0), "offcut 1: it overlaps part D2"),
    ],
)
def test_an_offcut_is_a_foot_square_free_and_on_the_sheet(offcut: Offcut, told: str) -> None:
    job, plan = two_panels()
    faults = list(sheet_faults(job, replace(plan, sheets=(replace(plan.sheets[0], offcuts=(offcut,)),))))
    assert any(told in fault for fault in faults) if told else faults == []


def test_a_fault_of_a_sheet_names_it() -> None:
    job, plan = two_panels()
    empty = replace(plan.sheets[0], parts=(), offcuts=())
    assert "sheet 2: it carries no part" in list(
        sheet_faults(job, replace(plan, sheets=(plan.sheets[0], empty)))
    )


@pytest.mark.parametrize("build", [two_panels, four_corners, railed])
def test_the_same_plans_are_sound_as_they_are(build: Callable[[], HandPlan]) -> None:
    assert list(plan_faults(*build())) == []
