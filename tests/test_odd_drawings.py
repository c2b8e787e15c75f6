"""Drawings of what is no rectangle: true outlines, sizes that can be read, lines to trim along, no line twice."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from math import hypot, pi
from pathlib import Path as File

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import union_all
from shapely.geometry import LineString

from nesting.documents.corners import circle, corner_radius, corners, onward_text, place_texts
from nesting.documents.cutlines import cut_paths
from nesting.documents.drawing import Drawing, Layer
from nesting.documents.elevation import elevation
from nesting.documents.lists import cut_list
from nesting.documents.overlap import lapped_outlines
from nesting.documents.screen.page import page_html
from nesting.documents.sheetview import sheet_view
from nesting.job import Units
from nesting.outline import Ring, as_polygon, bounds, polygon_ring, rectangle
from nesting.plan import Cut, PlacedPart, PlannedJob, Seam, SheetLayout
from nesting.skin.panels import Block
from tests.drawn import ends, on_layer, overlapping, planned, texts, words_area
from tests.hand_plans import BIG, DRIVER, HandPlan, panel, placed, sheared, two_panels, windowed
from tests.odd_sides import (
    ARCHED,
    GUSSET,
    LEANING,
    LID,
    ROUNDED,
    SLOPED,
    laid,
    odd_bays,
    odd_job,
    odd_plan,
    odd_side,
    panels_of,
    trimmed_plan,
)


def seen(*rings: Ring, **side: object) -> Drawing:
    """The bare side with these openings."""
    job = odd_job(odd_side(rings, **side))
    plan = planned(HandPlan(job, replace(two_panels().plan, panels=(), seams=(), sheets=())))
    return elevation(plan, job.sides[0])


def length(view: list[tuple[tuple[float, float, float], ...]]) -> float:
    return sum(LineString([v[:2] for v in line]).length for line in view)


@pytest.mark.parametrize("made", [odd_plan, trimmed_plan])
def test_no_words_run_into_one_another(made: Callable[[], HandPlan]) -> None:
    plan = planned(made())
    views = [sheet_view(plan, i, drill=True) for i in range(len(plan.plan.sheets))]
    for view in (*views, elevation(plan, plan.job.sides[0])):
        assert overlapping(view) == []


def test_openings_and_posts_keep_their_arcs_and_leans() -> None:
    view = seen(ROUNDED, ARCHED, LEANING)
    openings = {path.about: path.vertices for path in on_layer(view, Layer.OPENING)}
    assert openings["bay 1"] == ROUNDED
    assert [round(b, 6) for _, _, b in openings["bay 2"]] == [0, -1, 0, 0, 0, 0]
    # the post between bays 2 and 3 stands plumb on its left, and leans by 8 on its right
    post = next(path for path in on_layer(view, Layer.STRUCTURE) if path.about == "post 2")
    assert {(x, y) for x, y, _ in post.vertices} == {(1860, 0), (1920, 0), (1928, 984), (1860, 1000)}


def test_a_post_beside_a_curved_edge_has_the_curve() -> None:
    # the right edge of the first bay bulges by 40 towards the post
    bowed: Ring = ((0.0, 0.0, 0.0), (700.0, 0.0, -0.08), (700.0, 1000.0, 0.0), (0.0, 1000.0, 0.0))
    (post,) = on_layer(seen(bowed, LEANING), Layer.STRUCTURE)
    assert sorted(b for _, _, b in post.vertices) == pytest.approx([0, 0, 0, 0.08])
    # the rise of the arc is bulge times half the chord: 0.08 x 500
    assert bounds(post.vertices)[0] == pytest.approx(700 - 40)


def test_a_rail_is_cut_at_the_true_edge_of_a_wheel_arch() -> None:
    view = seen(ARCHED, rails=(200.0,), rail_width=60.0)
    left, right = sorted(on_layer(view, Layer.STRUCTURE, "rail"), key=lambda path: bounds(path.vertices)[0])
    assert bounds(left.vertices) == pytest.approx((0, 170, 550 - (350**2 - 230**2) ** 0.5, 230))
    assert bounds(right.vertices) == pytest.approx((550 + (350**2 - 230**2) ** 0.5, 170, 1100, 230))
    assert any(bulge for _, _, bulge in left.vertices)


def test_heights_and_leans_stand_beside_the_posts() -> None:
    said = texts(seen(LEANING))
    assert {"984 high, top 8 to the right", "1000 high, top 12 to the right"} <= set(said)
    # the top edge climbs by 16 over 704
    assert "704" in said
    assert "700" in said


def test_a_round_corner_a_slope_and_an_arch_have_their_sizes() -> None:
    said = set(texts(seen(ROUNDED, ARCHED, SLOPED)))
    assert {"R 300", "300, 1000", "700 high", "R 350", "200, 0", "900, 0", "450, 1000", "900 high"} <= said
    assert "269.5" in said  # 250 across and 100 down: 269.26


def test_bays_of_one_height_have_no_heights_of_their_own() -> None:
    plan = planned(two_panels())
    assert not any("high" in text for text in texts(elevation(plan, plan.job.sides[0])))


def test_corners_are_told_from_the_datum_of_their_part() -> None:
    view = sheet_view(planned(trimmed_plan()), 0)
    # the slope with its land of 25: 100 x + 250 y = 301731.5 meets x = 725 at 916.93 and y = 1025 at 454.81
    assert {"1: 0, 0", "2: 750, 0", "3: 750, 942", "4: 480, 1050", "5: 0, 1050"} <= set(
        texts(view, "sizes of D1")
    )
    assert "291" in texts(view, "sizes of D1")  # hypot(270.19, 108.07)
    assert "250" in texts(view, "sizes of gusset#1")


def test_every_corner_of_an_odd_part_is_marked_and_numbered() -> None:
    plan = planned(odd_plan())
    for index, sheet in enumerate(plan.plan.sheets):
        view = sheet_view(plan, index)
        for part in sheet.parts:
            if circle(part.outline):
                continue
            about = f"sizes of {part.part}"
            numbers = [
                int(text.split(":")[0]) for text in texts(view, about) if ": " in text or text.isdigit()
            ]
            assert set(range(1, len(part.outline) + 1)) <= set(numbers)
            marks = [path for path in on_layer(view, Layer.DIMENSION, about) if path.closed]
            assert len(marks) == len(part.outline)


def test_sizes_stand_on_the_layer_that_a_cut_file_leaves_out() -> None:
    view = sheet_view(planned(odd_plan()), 0)
    about = [label for label in view.labels if label.about.startswith("sizes of")]
    assert about
    assert {label.layer for label in about} == {Layer.DIMENSION}


def test_words_of_a_corner_stand_on_the_part_or_beside_all_parts() -> None:
    plan = planned(odd_plan())
    for index, sheet in enumerate(plan.plan.sheets):
        view = sheet_view(plan, index)
        metal = {part.part: as_polygon(part.outline) for part in sheet.parts}
        for label in view.labels:
            name = label.about.removeprefix("sizes of ")
            if label.about != name:
                others = union_all([shape for other, shape in metal.items() if not shape.covers(metal[name])])
                assert metal[name].covers(words_area(label)) or not others.intersects(words_area(label))


def test_an_arc_is_told_by_radius_and_centre() -> None:
    view = sheet_view(planned(odd_plan()), 0)
    said = texts(view, "sizes of D1")
    # turned by half: the round corner lies at the lower right, its centre 325 from either edge
    assert "R 325, centre 1605, 325" in said
    found = {c.number: c for c in corners(ARCHED, (0.0, 0.0))}
    assert onward_text(found[2], Units.MILLIMETRE) == "arc bulging inward, radius 350, centre at 550, 0"
    assert found[2].length == pytest.approx(350 * pi)
    assert onward_text(found[1], Units.MILLIMETRE) == "straight"
    slope = corners(SLOPED, (0.0, 0.0))[2]
    assert onward_text(slope, Units.INCH) == "slope, 10 5/8 long"  # 269.26 mm = 10.6 in


def test_the_far_end_of_a_part_is_printed_as_its_size_is() -> None:
    # 500 mm is 19.685 in: the size of a part is never printed larger than it is, other places to the nearest
    ring = polygon_ring([(0, 0), (500, 0), (500, 200), (0, 300)])
    said = [place_texts(corner, Units.INCH) for corner in corners(ring, (0.0, 0.0))]
    assert said == [("0", "0"), ("19 5/8", "0"), ("19 5/8", "7 7/8"), ("0", "11 3/4")]
    inside = corners(ring, (-100.0, -100.0))
    assert place_texts(inside[1], Units.INCH) == ("23 5/8", "3 15/16")


def test_a_hole_is_told_by_size_radius_and_place() -> None:
    said = texts(sheet_view(planned(windowed()), 0), "sizes of D1")
    # from the panel's corner at (-25, -25) to the window at (750, 100)
    assert said == ["hole 400 x 300", "corners R 50", "at 775, 125"]


def test_words_of_a_hole_keep_off_a_part_that_lies_in_it() -> None:
    plan = planned(odd_plan())
    view = sheet_view(plan, 1)
    lid = as_polygon(plan.plan.sheets[1].parts[2].outline)
    about = [label for label in view.labels if label.about == "sizes of D3" and "hole" in label.text]
    assert [label.text for label in about] == ["hole 350 x 400"]
    assert not any(lid.intersects(words_area(label)) for label in about)
    assert {"lid#1", "diameter 200"} <= set(texts(view))


def test_a_part_face_down_is_scribed_as_it_lies() -> None:
    view = sheet_view(planned(odd_plan()), 1)
    # D3 is 764 wide from 900; its seam is on its left hand, face down on the right, 15 from the edge
    (seam,) = on_layer(view, Layer.MARK, "D3")
    assert ends(seam)[0][0] == ends(seam)[1][0] == pytest.approx(900 + 764.815 - 15, abs=1)
    assert "outside face down" in texts(view, "D3")


def test_a_sheared_part_is_cut_as_its_rectangle_and_trimmed_along_its_outline() -> None:
    view = sheet_view(planned(trimmed_plan()), 0)
    (cut,) = on_layer(view, Layer.CUT, "D1")
    assert cut.closed
    assert bounds(cut.vertices) == pytest.approx((0, 0, 750, 1050))
    assert len(cut.vertices) == 4
    (trim,) = on_layer(view, Layer.MARK, "D1")
    assert not trim.closed
    (x0, y0), (x1, y1) = ends(trim)
    assert hypot(x1 - x0, y1 - y0) == pytest.approx(291, abs=0.1)
    (word,) = [label for label in view.labels if label.text == "trim" and label.about == "D1"]
    assert word.layer is Layer.MARK
    # it stands on the piece that comes off
    assert not as_polygon(planned(trimmed_plan()).plan.sheets[0].parts[0].outline).intersects(
        words_area(word)
    )


def test_round_corners_of_a_sheared_part_are_trimmed_too() -> None:
    job, plan = sheared()
    cover = placed("cover#1", rectangle(0, 0, 800, 400, 60), 0, 0)
    sheet = replace(plan.sheets[0], parts=(cover,))
    view = sheet_view(planned(HandPlan(job, replace(plan, sheets=(sheet,)))), 0)
    (cut,) = on_layer(view, Layer.CUT)
    assert cut.closed
    assert [v for x, y, b in cut.vertices for v in (x, y, b)] == pytest.approx(
        [v for vertex in rectangle(0, 0, 800, 400) for v in vertex], abs=1e-9
    )
    arcs = on_layer(view, Layer.MARK)
    assert [round(path.vertices[0][2], 6) for path in arcs] == [0.414214] * 4
    assert "trim" in texts(view)


def test_a_profile_cut_follows_the_true_outline() -> None:
    plan = planned(odd_plan())
    view = sheet_view(plan, 0)
    assert [path.vertices for path in on_layer(view, Layer.CUT)] == [
        p.outline for p in plan.plan.sheets[0].parts
    ]
    assert all(path.closed for path in on_layer(view, Layer.CUT))
    assert "trim" not in texts(view)


def test_lists_and_page_tell_corners_and_trims() -> None:
    plan = planned(trimmed_plan())
    assert cut_list(plan).count("not a rectangle; trim to its outline when its rectangle is cut") == 2
    assert "not a rectangle" not in cut_list(planned(sheared()))
    page = page_html(plan)
    assert "Trim along the chain lines" in page
    assert "<td>slope, 291 long</td>" in page
    assert "Trim along" not in page_html(planned(odd_plan()))


def total(sheet: SheetLayout) -> tuple[float, float]:
    """The length of all lines to cut, and of all places where one runs."""
    lines = [
        LineString([v[:2] for v in (*path.vertices, *path.vertices[: int(path.closed)])])
        for path in cut_paths(sheet)
    ]
    return sum(line.length for line in lines), union_all(lines).length


def test_covers_that_touch_share_one_line() -> None:
    sheet = sheared().plan.sheets[0]
    drawn, covered = total(sheet)
    # 800 x 400 twice, the second without its foot, and 300 x 1000 without what it shares: 800
    assert drawn == pytest.approx(covered) == pytest.approx(2400 + 1600 + 1800)


def test_gussets_that_touch_along_their_slopes_share_that_line() -> None:
    other = placed("gusset#2", GUSSET, 0, 0, turn=180.0)
    sheet = SheetLayout(BIG, (placed("gusset#1", GUSSET, 0, 0), other))
    drawn, covered = total(sheet)
    assert drawn == pytest.approx(covered) == pytest.approx(200 + 150 + 250 + 200 + 150)


@given(st.lists(st.tuples(*(st.integers(1, 4),) * 2), min_size=1, max_size=12), st.integers(3, 8))
@settings(deadline=None, max_examples=50)
def test_no_line_is_cut_twice_however_parts_touch(sizes: list[tuple[int, int]], wide: int) -> None:
    parts: list[PlacedPart] = []
    x = y = row = 0
    for number, (w, h) in enumerate(sizes):
        if x + w > wide:
            x, y, row = 0, y + row, 0
        # rounding up to solver units leaves parts that touch a hair apart
        at = (100.0 * x + 0.0005 * number, 100.0 * y)
        parts.append(placed(f"p{number}", rectangle(0, 0, 100.0 * w - 0.001, 100.0 * h), *at))
        x, row = x + w, max(row, h)
    lines = [
        LineString(
            [(round(v[0], 1), round(v[1], 1)) for v in (*path.vertices, *path.vertices[: int(path.closed)])]
        )
        for path in cut_paths(SheetLayout(BIG, tuple(parts)))
    ]
    covered = union_all(
        [as_polygon(rectangle(*(round(v, 1) for v in bounds(part.outline)))).boundary for part in parts]
    )
    assert sum(line.length for line in lines) == pytest.approx(covered.length, abs=0.01)
    assert all(line.length > 0 for line in lines)


def test_an_arc_that_runs_under_another_sheet_is_dashed_there() -> None:
    job, plan = two_panels()
    # a half circle of radius 300 about (300, 0), of which the sheet over it covers what lies beyond x = 450
    domed: Ring = ((0.0, 0.0, 0.0), (600.0, 0.0, 1.0))
    under = panel("D2", (2, 2), domed)
    over = panel("D1", (1, 1), rectangle(450, -50, 900, 400))
    seam = Seam(DRIVER, 1, None, (525.0, 0.0), (525.0, 300.0), over="D1", under="D2")
    whole: PlannedJob = planned(HandPlan(job, replace(plan, panels=(), seams=(), sheets=())))
    whole = replace(whole, plan=replace(whole.plan, panels=(over, under), seams=(seam,)))
    lines = [path for path in lapped_outlines((over, under), whole) if path.about == "D2"]
    (hidden,) = [path for path in lines if path.layer is Layer.UNDERLAP]
    # cos 60 degrees = 0.5: sixty of the hundred and eighty degrees lie under
    x, y, _ = hidden.vertices[-1]
    assert (x, y) == pytest.approx((450, 300 * 3**0.5 / 2), abs=0.2)
    assert any(bulge for _, _, bulge in hidden.vertices)
    (shown,) = [path for path in lines if path.layer is Layer.PANEL]
    assert any(bulge for _, _, bulge in shown.vertices)


def test_a_circle_is_known_by_its_arcs() -> None:
    assert circle(LID) == ((100.0, 100.0), 100.0)
    disc = circle(rectangle(0, 0, 200, 200, 100))
    assert disc is not None
    assert (*disc[0], disc[1]) == pytest.approx((100, 100, 100))
    assert circle(rectangle(0, 0, 200, 100, 50)) is None
    assert circle(polygon_ring([(0, 0), (10, 0), (0, 10)])) is None


def test_a_packet_of_odd_parts_can_be_written(tmp_path: File) -> None:
    from nesting.documents.paper.packet import write_packet

    write_packet(planned(odd_plan()), tmp_path / "packet.pdf")
    assert (tmp_path / "packet.pdf").stat().st_size > 10_000


@given(
    st.lists(odd_bays(), min_size=1, max_size=3),
    st.sampled_from([0.0, 90.0, 180.0, 270.0]),
    st.booleans(),
    st.booleans(),
)
@settings(deadline=None, max_examples=15)
def test_sizes_of_any_odd_part_can_be_read(
    rings: list[Ring], turn: float, flipped: bool, sheared_off: bool
) -> None:
    job = odd_job(odd_side(rings), stock=(replace(BIG, width=3100.0, length=3100.0),))
    panels, seams, _ = panels_of(job, [Block(1, len(rings), 1, 1)])
    part = laid(panels[0], 0, 0, turn=turn, flipped=flipped)
    cut = Cut(1, "x", bounds(part.outline)[2], (0.0, 0.0, 3100.0, 3100.0))
    sheet = SheetLayout(job.stock[0], (part,), cuts=(cut,) if sheared_off else ())
    plan = planned(HandPlan(job, replace(two_panels().plan, panels=panels, seams=seams, sheets=(sheet,))))
    view = sheet_view(plan, 0)
    for drawing in (view, elevation(plan, job.sides[0])):
        assert overlapping(drawing) == []
    numbers = {text.split(":")[0] for text in texts(view, "sizes of D1") if ": " in text}
    odd = corner_radius(part.outline) is None
    assert numbers >= {str(number) for number in range(1, len(part.outline) + 1) if odd}
    closed = [path for path in on_layer(view, Layer.CUT) if path.closed]
    assert len(closed) == 1
    assert ("trim" in texts(view)) == (odd and sheared_off)
