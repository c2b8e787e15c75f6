"""Elevations and sheet views say what was planned, where it lies, and can be read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.documents.drawing import Drawing, Layer, one_line
from nesting.documents.elevation import elevation
from nesting.documents.placement import placement
from nesting.documents.sheetview import all_sheets, sheet_view
from nesting.job import Hand, Patch
from nesting.outline import as_polygon, bounds, polygon_ring, rectangle
from nesting.plan import BackingStrip, PlannedJob, SheetLayout
from tests.drawn import all_ends, arrow_angle, ends, on_layer, overlapping, planned, texts, words_area
from tests.hand_plans import (
    ALL,
    BIG,
    DRIVER,
    HandPlan,
    base_job,
    butted,
    flipped_step,
    four_corners,
    one_panel,
    placed,
    planned_two_panels,
    railed,
    sheared,
    stepped,
    two_panels,
    windowed,
)
from tests.long_plan import long_plan, renamed

LONG_NAME = "a rather long name for so small a side of the body, with many words in it, more than fit"


def every_view(plan: PlannedJob) -> list[Drawing]:
    sheets = [sheet_view(plan, i, drill=True) for i in range(len(plan.plan.sheets))]
    return [*sheets, *(elevation(plan, side) for side in plan.job.sides)]


@pytest.mark.parametrize("hand", ALL)
def test_no_words_run_into_one_another(hand: Callable[[], HandPlan]) -> None:
    for view in every_view(planned(hand())):
        assert overlapping(view) == []


@pytest.mark.parametrize("names", [{}, {"D1": LONG_NAME, "D2": "#", "D3": "W" * 40}])
def test_no_words_run_into_one_another_on_a_long_body(names: dict[str, str]) -> None:
    for view in every_view(renamed(long_plan(), names)):
        assert overlapping(view) == []


@pytest.mark.parametrize("hand", ALL)
def test_words_of_a_part_stay_inside_its_outline(hand: Callable[[], HandPlan]) -> None:
    plan = planned(hand())
    for index, sheet in enumerate(plan.plan.sheets):
        view = sheet_view(plan, index)
        for part in sheet.parts:
            metal = as_polygon(part.outline, part.holes)
            about = [label for label in view.labels if label.about == part.part]
            assert about
            assert all(metal.covers(words_area(label)) for label in about)


@pytest.mark.parametrize("hand", ALL)
def test_every_part_is_named_and_its_arrows_drawn(hand: Callable[[], HandPlan]) -> None:
    plan = planned(hand())
    view = sheet_view(plan, 0)
    for part in plan.plan.sheets[0].parts:
        said = texts(view, part.part)
        assert part.part in " ".join(said)
        assert "UP" in said
        assert ("FWD" in said) == any(panel.name == part.part for panel in plan.plan.panels)
        assert f"outside face {'down' if part.flipped else 'up'}" in said


@pytest.mark.parametrize(
    ("turn", "flipped", "forward", "up_angle", "forward_angle"),
    [
        (0.0, False, Hand.LEFT, 90, 180),
        (0.0, False, Hand.RIGHT, 90, 0),
        (90.0, False, Hand.LEFT, 180, 270),
        (180.0, False, Hand.RIGHT, 270, 180),
        (0.0, True, Hand.LEFT, 90, 0),
        (90.0, True, Hand.LEFT, 180, 90),
        (270.0, True, Hand.RIGHT, 0, 90),
    ],
)
def test_arrows_follow_the_part_as_it_lies(
    turn: float, flipped: bool, forward: Hand, up_angle: float, forward_angle: float
) -> None:
    job, plan = one_panel()
    panel = replace(plan.panels[0], forward=forward)
    sheet = SheetLayout(
        replace(BIG, width=1400.0), (placed("D1", panel.outline, 10, 10, turn=turn, flipped=flipped),)
    )
    view = sheet_view(planned(HandPlan(job, replace(plan, panels=(panel,), sheets=(sheet,)))), 0)
    assert arrow_angle(view, "UP") == up_angle
    assert arrow_angle(view, "FWD") == forward_angle


STEPS = polygon_ring([(-25, -25), (1265, -25), (1265, 455), (640, 455), (600, 425), (-25, 425)])
ROUNDED = rectangle(3, -7, 300, 120, 40)


@given(
    st.sampled_from([STEPS, ROUNDED]),
    st.sampled_from([0.0, 90.0, 180.0, 270.0]),
    st.booleans(),
    st.integers(0, 500),
    st.integers(0, 500),
)
@settings(deadline=None, max_examples=60)
def test_placement_takes_a_panel_onto_its_placed_outline(
    outline: tuple[tuple[float, float, float], ...], turn: float, flipped: bool, x: int, y: int
) -> None:
    part = placed("D1", outline, x, y, turn=turn, flipped=flipped)
    laid = placement(outline, part).ring(outline)
    for ours, given_vertex in zip(laid, part.outline, strict=True):
        assert ours == pytest.approx(given_vertex, abs=1e-6)


def test_placement_at_any_angle_keeps_distances_and_extents() -> None:
    part = placed("D1", STEPS, 40, 60, turn=33.0, flipped=True)
    onto = placement(STEPS, part)
    laid = onto.ring(STEPS)
    assert bounds(laid)[:2] == pytest.approx((40, 60), abs=1e-6)
    (x0, y0), (x1, y1) = onto.point(0, 0), onto.point(300, 400)
    assert ((x1 - x0) ** 2 + (y1 - y0) ** 2) ** 0.5 == pytest.approx(500)


def test_lap_is_scribed_where_its_rivets_sit_on_either_panel() -> None:
    # the post's centre line is at 625: 650 from the left edge of D1 (at 10), 15 from that of D2 (at 685)
    view = sheet_view(planned(two_panels()), 0)
    assert all_ends(on_layer(view, Layer.MARK, "D1")) == {((660.0, 10.0), (660.0, 560.0))}
    assert all_ends(on_layer(view, Layer.MARK, "D2")) == {((700.0, 10.0), (700.0, 560.0))}


def test_butt_seam_is_scribed_one_edge_distance_inside_each_panel() -> None:
    view = sheet_view(planned(butted()), 0)
    # D1 is 649 wide from 10, D2 starts at 685
    assert all_ends(on_layer(view, Layer.MARK, "D1")) == {((644.0, 10.0), (644.0, 560.0))}
    assert all_ends(on_layer(view, Layer.MARK, "D2")) == {((700.0, 10.0), (700.0, 560.0))}


def test_two_rows_are_scribed_as_two_lines() -> None:
    job, plan = two_panels()
    rows = replace(job.seam, rows=2, row_spacing=20.0)
    view = sheet_view(planned(HandPlan(replace(job, seam=rows), plan)), 0)
    assert [path[0][0] for path in sorted(all_ends(on_layer(view, Layer.MARK, "D1")))] == [650.0, 670.0]


def test_post_under_a_panel_is_scribed_up_to_its_slanting_edge() -> None:
    # the post's centre line is at 620, halfway up the step: from -25 to 440
    view = sheet_view(planned(stepped()), 0)
    ((start, end),) = all_ends(on_layer(view, Layer.MARK, "D1"))
    assert start == (655.0, 10.0)
    assert end[0] == 655.0
    # the edge lies 25 square to the 3-4-5 step, which is 25 x 5/4 upright above the step's middle at 415
    assert end[1] == pytest.approx(10 + 25 + 415 + 31.25, abs=0.01)


def test_scribe_lines_follow_a_flipped_and_turned_part() -> None:
    view = sheet_view(planned(flipped_step()), 0)
    (line,) = all_ends(on_layer(view, Layer.MARK, "D1"))
    # mirrored, the post is 1265 - 620 = 645 from the left; turned by 90 degrees that is 645 up from 10
    assert {line[0][1], line[1][1]} == {655.0}
    # the bottom of the panel lies at the right, 480 from the left edge
    assert line[1][0] == 490.0


def test_scribe_line_stops_at_a_window() -> None:
    job, plan = windowed()
    outline = plan.panels[0].outline
    over_post = rectangle(500, 100, 750, 400)
    panel = replace(plan.panels[0], holes=(over_post,))
    sheet = SheetLayout(BIG, (placed("D1", outline, 10, 10),))
    view = sheet_view(planned(HandPlan(job, replace(plan, panels=(panel,), sheets=(sheet,)))), 0)
    lines = all_ends(on_layer(view, Layer.MARK, "D1"))
    assert lines == {((660.0, 10.0), (660.0, 135.0)), ((660.0, 435.0), (660.0, 560.0))}


def test_rail_seam_is_scribed_across_both_panels() -> None:
    view = sheet_view(planned(railed()), 0)
    # the rail at 500 is 525 above the lower edge of D1, 15 above that of D2
    assert all_ends(on_layer(view, Layer.MARK, "D1")) == {((10.0, 535.0), (660.0, 535.0))}
    assert all_ends(on_layer(view, Layer.MARK, "D2")) == {((670.0, 25.0), (1320.0, 25.0))}


def test_holes_are_drilled_only_when_asked_for() -> None:
    plan = planned(two_panels())
    assert not sheet_view(plan, 0).dots
    assert {dot.layer for dot in sheet_view(plan, 0, drill=True).dots} == {Layer.DRILL}


def test_the_sheet_under_a_lap_is_not_drilled_on_the_bench() -> None:
    view = sheet_view(planned_two_panels(), 0, drill=True)
    on_seam = [dot for dot in view.dots if dot.about == "D1" and abs(dot.x - 660) < 0.01]
    assert len(on_seam) == 14
    # D2 starts at 685 on the sheet and at 610 on the side: the lap takes its first 30
    assert [dot for dot in view.dots if dot.about == "D2" and dot.x < 685 + 30] == []


@pytest.mark.parametrize("hand", [one_panel, two_panels, butted, railed, four_corners, stepped, flipped_step])
def test_every_rivet_is_drilled_in_exactly_one_sheet(hand: Callable[[], HandPlan]) -> None:
    plan = planned(hand())
    view = sheet_view(plan, 0, drill=True)
    assert len(view.dots) == plan.fasteners.total
    spots = {(round(dot.x, 2), round(dot.y, 2)) for dot in view.dots}
    assert len(spots) == plan.fasteners.total


def test_holes_are_wider_than_the_rivet_and_lie_in_the_metal() -> None:
    plan = planned(flipped_step())
    metal = as_polygon(plan.plan.sheets[0].parts[0].outline)
    for dot in sheet_view(plan, 0, drill=True).dots:
        assert plan.job.rivets.diameter + 0.1 <= dot.diameter <= plan.job.rivets.diameter + 0.2
        assert metal.contains(as_polygon(rectangle(dot.x - 1, dot.y - 1, dot.x + 1, dot.y + 1)))


def test_riveted_patch_is_drilled_along_its_edge() -> None:
    patch = Patch("lid", 300.0, 200.0, quantity=1, riveted=True)
    job = base_job(sides=(), patches=(patch,))
    _, plan = one_panel()
    sheet = SheetLayout(BIG, (placed("lid#1", rectangle(0, 0, 300, 200), 50, 60, turn=90.0),))
    plan = replace(plan, panels=(), sheets=(sheet,))
    view = sheet_view(planned(HandPlan(job, plan)), 0, drill=True)
    # turned, the lid is 200 long and 300 high on the sheet; its rivets sit 15 inside
    xs, ys = [dot.x for dot in view.dots], [dot.y for dot in view.dots]
    assert (min(xs), max(xs)) == pytest.approx((65, 235))
    assert (min(ys), max(ys)) == pytest.approx((75, 345))


def test_cut_contours_are_the_placed_outlines_and_holes() -> None:
    plan = planned(windowed())
    view = sheet_view(plan, 0)
    part, patch = plan.plan.sheets[0].parts
    assert [path.vertices for path in on_layer(view, Layer.CUT)] == [
        part.outline,
        part.holes[0],
        patch.outline,
    ]
    assert all(path.closed for path in on_layer(view, Layer.CUT))


def test_sheet_and_offcuts_are_drawn_with_their_sizes() -> None:
    view = sheet_view(planned(two_panels()), 0)
    (sheet,) = on_layer(view, Layer.SHEET)
    assert bounds(sheet.vertices) == (0, 0, 2000, 1000)
    assert len(on_layer(view, Layer.OFFCUT)) == 2
    assert {"offcut 1980 x 420", "offcut 630 x 550"} <= set(texts(view))


def test_sheared_sheet_shows_the_cuts_in_their_order() -> None:
    view = sheet_view(planned(sheared()), 0)
    numbers = [label.text for label in view.labels if label.layer is Layer.SHEAR]
    assert numbers == ["1", "2", "3", "4"]
    assert ends(on_layer(view, Layer.SHEAR, "cut 3")[0])[1] == (800.0, 800.0)
    rings = [dot for dot in view.dots if dot.layer is Layer.SHEAR]
    for label, ring in zip((la for la in view.labels if la.layer is Layer.SHEAR), rings, strict=True):
        assert (label.x, label.y) == (ring.x, ring.y)


def test_all_sheets_stand_side_by_side_with_titles() -> None:
    plan = long_plan()
    view = all_sheets(plan)
    outlines = [as_polygon(path.vertices) for path in on_layer(view, Layer.SHEET)]
    assert len(outlines) == len(plan.plan.sheets)
    assert all(not a.intersects(b) for i, a in enumerate(outlines) for b in outlines[:i])
    assert [text for text in texts(view) if text.startswith("Sheet ")] == [
        f"Sheet {i} of 3: 4x10, 48 x 120 in" for i in (1, 2, 3)
    ]
    assert overlapping(view) == []


def test_many_sheets_stand_in_rows_without_touching() -> None:
    job, plan = two_panels()
    many = replace(plan, sheets=(*plan.sheets, SheetLayout(BIG, ())) * 6)
    view = all_sheets(planned(HandPlan(job, many)))
    outlines = [as_polygon(path.vertices) for path in on_layer(view, Layer.SHEET)]
    assert len(outlines) == 12
    assert all(not a.intersects(b) for i, a in enumerate(outlines) for b in outlines[:i])
    assert overlapping(view) == []


def test_doubtful_part_says_measure_again_on_sheet_and_side() -> None:
    plan = long_plan()
    assert "MEASURE AGAIN" in texts(sheet_view(plan, 1), "D2")
    assert "MEASURE AGAIN" not in texts(sheet_view(plan, 0))
    assert texts(elevation(plan, plan.job.sides[0])).count("MEASURE AGAIN") == 1


def test_extents_hold_everything_that_is_drawn() -> None:
    for view in every_view(long_plan()):
        x0, y0, x1, y1 = view.extents
        for path in view.paths:
            px0, py0, px1, py1 = bounds(path.vertices)
            assert x0 - 1e-6 <= px0
            assert y0 - 1e-6 <= py0
            assert px1 <= x1 + 1e-6
            assert py1 <= y1 + 1e-6


def test_names_become_one_printable_line() -> None:
    assert one_line("roof\x07 hatch\r\n\u202ecover\u2028  x") == "roof hatch cover x"
    assert one_line("Ü-Profil £ 板") == "Ü-Profil £ 板"


def test_tiny_part_keeps_its_name_inside() -> None:
    job = base_job(sides=(), patches=(Patch("a cover with a very long name indeed", 12.0, 9.0),))
    _, plan = one_panel()
    name = "a cover with a very long name indeed#1"
    sheet = SheetLayout(BIG, (placed(name, rectangle(0, 0, 12, 9), 50, 60),))
    view = sheet_view(planned(HandPlan(job, replace(plan, panels=(), sheets=(sheet,)))), 0)
    about = [label for label in view.labels if label.about == name]
    assert " ".join(label.text for label in about) == name
    assert all(rectangle_holds(label) for label in about)


def rectangle_holds(label: object) -> bool:
    area = words_area(label)  # type: ignore[arg-type]
    return bool(as_polygon(rectangle(50, 60, 62, 69)).covers(area))


def test_same_plan_gives_the_same_drawing() -> None:
    assert every_view(long_plan()) == every_view(long_plan())


def test_panel_over_a_backing_strip_is_scribed_on_its_centre_line() -> None:
    job, plan = one_panel()
    other = BackingStrip(DRIVER, 200.0, "backing strip 1")
    panel = replace(plan.panels[0], last_row=2)
    view = sheet_view(planned(HandPlan(job, replace(plan, panels=(panel,), backing=(other,)))), 0)
    level = {line for line in all_ends(on_layer(view, Layer.MARK)) if line[0][1] == line[1][1]}
    assert level == {((10.0, 235.0), (1310.0, 235.0))}
