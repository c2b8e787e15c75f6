"""The elevation shows a side as it is seen from outside, and which sheet lies over which."""

from __future__ import annotations

from dataclasses import replace
from math import atan2, degrees

import pytest

from nesting.documents.drawing import Drawing, Layer
from nesting.documents.elevation import elevation
from nesting.documents.sheetview import sheet_view
from nesting.job import Hand
from nesting.outline import bounds, rectangle
from nesting.plan import BackingStrip, PlannedJob
from tests.drawn import all_ends, arrow_angle, ends, on_layer, overlapping, planned, texts
from tests.hand_plans import (
    DRIVER,
    HandPlan,
    butted,
    four_corners,
    one_panel,
    placed,
    railed,
    two_panels,
    windowed,
)


def seen(plan: PlannedJob) -> Drawing:
    return elevation(plan, plan.job.sides[0])


def test_hidden_edge_of_the_under_sheet_is_dashed_and_no_longer_solid() -> None:
    view = seen(planned(two_panels()))
    (hidden,) = on_layer(view, Layer.UNDERLAP)
    assert hidden.about == "D2"
    # its top and bottom edges run on in line with those of the sheet over it, so these stay solid
    assert ends(hidden) == ((610.0, -25.0), (610.0, 525.0))
    (over,) = on_layer(view, Layer.PANEL, "D1")
    assert over.closed
    assert all(not path.closed for path in on_layer(view, Layer.PANEL, "D2"))
    assert "D1 over D2" in texts(view)


def test_butt_seam_hides_nothing() -> None:
    view = seen(planned(butted()))
    assert on_layer(view, Layer.UNDERLAP) == []
    assert all(path.closed for path in on_layer(view, Layer.PANEL))


def test_elevation_shows_each_rivet_once() -> None:
    plan = planned(four_corners())
    dots = [dot for dot in seen(plan).dots if dot.layer is Layer.RIVET]
    assert len(dots) == plan.fasteners.total


def test_elevation_shows_structure_openings_windows_and_words() -> None:
    plan = planned(windowed())
    view = seen(plan)
    assert len(on_layer(view, Layer.OPENING)) == 2
    (post,) = on_layer(view, Layer.STRUCTURE)
    assert bounds(post.vertices) == (600, 0, 650, 500)
    assert any(bounds(p.vertices) == (750, 100, 1150, 400) for p in on_layer(view, Layer.PANEL))
    said = texts(view)
    assert {
        "D1",
        "1300 x 550",
        "bay 1",
        "bay 2",
        "600",
        "openings 1250 mm",
        "skin 1300 mm",
        "skin 550",
    } <= set(said)
    assert any("kg" in text for text in said)


@pytest.mark.parametrize(("forward", "angle"), [(Hand.LEFT, 180), (Hand.RIGHT, 0)])
def test_forward_arrow_of_a_side_points_to_the_front(forward: Hand, angle: float) -> None:
    plan = planned(one_panel())
    view = elevation(plan, replace(plan.job.sides[0], forward=forward))
    assert arrow_angle(view, "UP") == 90
    front = max if forward is Hand.RIGHT else min
    heads = [path for path in on_layer(view, Layer.LABEL) if len(path.vertices) == 2]
    level = next(path for path in heads if path.vertices[0][1] == path.vertices[1][1])
    assert degrees(atan2(0.0, level.vertices[1][0] - level.vertices[0][0])) == angle
    tip = front(level.vertices[0][0], level.vertices[1][0])
    assert level.vertices[1][0] == tip
    assert tip == pytest.approx(bounds(plan.plan.panels[0].outline)[0 if forward is Hand.LEFT else 2])


def test_side_without_panels_still_has_an_elevation() -> None:
    job, plan = one_panel()
    other = replace(job.sides[0], name="passenger side")
    whole = planned(HandPlan(job, plan))
    both = replace(whole, job=replace(job, sides=(*job.sides, other)))
    view = elevation(both, other)
    assert on_layer(view, Layer.PANEL) == []
    assert overlapping(view) == []


def test_side_name_is_the_drawing_name() -> None:
    assert seen(planned(two_panels())).name == DRIVER


def test_backing_strip_is_drawn_behind_its_seam_and_scribed() -> None:
    job, plan = railed()
    bare = replace(job.sides[0], rails=(), rail_width=0.0)
    strip = placed("backing strip 1", rectangle(0, 0, 600, 30), 1340, 10, turn=90.0)
    sheet = replace(plan.sheets[0], parts=(*plan.sheets[0].parts, strip))
    backed = replace(plan, sheets=(sheet,), backing=(BackingStrip(DRIVER, 500.0, "backing strip 1"),))
    both = planned(HandPlan(replace(job, sides=(bare,)), backed))
    view = seen(both)
    (behind,) = on_layer(view, Layer.STRUCTURE, "backing strip")
    # twice the reach of 15 high, about the seam at 500
    assert bounds(behind.vertices) == (-25, 485, 625, 515)
    assert "backing strip at 500, upper over lower" in texts(view)
    sheet_words = texts(sheet_view(both, 0), "backing strip 1")
    assert "backing strip 1" in " ".join(sheet_words)
    assert all_ends(on_layer(sheet_view(both, 0), Layer.MARK, "D1")) == {((10.0, 535.0), (660.0, 535.0))}
