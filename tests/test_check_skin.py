"""The check's own geometry: corners, lands and crossings of real shapes, by hand and beside the planner's."""

from __future__ import annotations

from math import asin, pi, sqrt, tan

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from shapely import symmetric_difference
from shapely.geometry import Polygon

from nesting.checking.shapes import edge_to_edge, level_stretches, ring_edges, rings_apart, same_shape
from nesting.checking.skin import corners_of, outer_edges, skin_over
from nesting.job import Bay, Land
from nesting.outline import Ring, as_polygon, bounds, moved, polygon_ring, turned
from nesting.reading.outlinechecks import checked_ring
from nesting.skin.openings import outline_openings, skin_outline
from tests.plain_sides import side_of
from tests.shaped_plans import ARCHED, LEANING, QUARTER, ROUNDED, SLOPED, UPRIGHT

EVEN = Land(top=25.0, bottom=25.0, ends=25.0)


def test_rounded_corner_belongs_to_the_edge_over_it() -> None:
    """The two ends of a corner's arc lie equally far to the upper right; the one farther right is the corner."""
    assert corners_of(ROUNDED) == (0, 1, 2, 4)
    assert corners_of(SLOPED) == (0, 1, 2, 4)


def test_edge_runs_straight_over_the_post_from_corner_to_corner() -> None:
    around = outer_edges([LEANING, moved(UPRIGHT, 660.0, 20.0)])
    corners = [(0, 0), (600, 0), (660, 20), (1260, 20), (1250, 830), (672, 820), (620, 800), (-15, 790)]
    assert [edge.start for edge in around] == corners
    assert around[-1].end == (0.0, 0.0)


def test_skin_over_the_arch_has_the_area_worked_out_by_hand() -> None:
    """A square of 1050, less what lies over y = -25 of a circle of radius 175 about (500, 0)."""
    upper_half, wedges, triangles = 175**2 * pi / 2, 175**2 * asin(25 / 175), 25 * sqrt(175**2 - 25**2)
    area = skin_over([ARCHED], EVEN).area.area
    assert area == pytest.approx(1050**2 - upper_half - wedges - triangles, rel=1e-6)


def test_land_square_to_a_slope_of_three_to_four() -> None:
    """A 3-4-5 slope falls from (0, 400) to (400, 100): 25 square to it is 25 x 5 / 4 straight up."""
    skin = skin_over([polygon_ring([(0, 0), (400, 0), (400, 100), (0, 400)])], EVEN)
    low, high = skin.reach(0, 200.0)
    assert (low, high) == pytest.approx((-25.0, 250.0 + 25 * 5 / 4))


def test_plain_step_where_an_arc_goes_over_into_an_edge_with_another_land() -> None:
    skin = skin_over([ROUNDED], Land(top=25.0, bottom=20.0, ends=30.0))
    assert skin.reach(0, 600.001)[1] == pytest.approx(1030.0)
    assert skin.reach(0, 599.999)[1] == pytest.approx(1025.0)
    assert skin.reach(1, 1027.0) == pytest.approx((600.0, 600.0 + sqrt(330**2 - 327**2)))


def test_corner_too_sharp_for_a_mitre_is_cut_square() -> None:
    """A wedge that rises 1 in 50: its tip would run out 50 lands, so it ends square 25 past both edges."""
    skin = skin_over([polygon_ring([(0, 0), (5000, 0), (0, 100)])], EVEN)
    assert skin.area.bounds[2] == pytest.approx(5000 + 25 * 0.02 / sqrt(1 + 0.02**2))


def test_level_line_meets_the_rounded_corner_on_its_arc() -> None:
    """The arc has the radius 325 about (600, 700); 150 over its centre it is sqrt(325^2 - 150^2) away."""
    _, right = skin_over([ROUNDED], EVEN).reach(1, 850.0)
    assert right == pytest.approx(600 + sqrt(325**2 - 150**2), abs=1e-9)


@pytest.mark.parametrize(
    ("height", "stretches"),
    [
        (100.0, [(0.0, 500 - sqrt(30000)), (500 + sqrt(30000), 1000.0)]),
        (199.9, [(0.0, 500 - sqrt(200**2 - 199.9**2)), (500 + sqrt(200**2 - 199.9**2), 1000.0)]),
        (200.0, [(0.0, 1000.0)]),
        (600.0, [(0.0, 1000.0)]),
        (1001.0, []),
    ],
)
def test_level_line_is_parted_by_the_arch(height: float, stretches: list[tuple[float, float]]) -> None:
    found = level_stretches(ARCHED, height)
    assert [end for stretch in found for end in stretch] == pytest.approx(
        [end for stretch in stretches for end in stretch]
    )
    assert len(found) == len(stretches)


@st.composite
def shaped_bays(draw: st.DrawFn) -> Bay:
    """A bay with leaning posts, a bent edge, a rounded, sloped or notched corner, or a wheel arch."""
    width, height = float(draw(st.integers(400, 900))), float(draw(st.integers(400, 900)))
    sill = float(draw(st.sampled_from([0, 0, 40])))
    some = float(draw(st.integers(30, 150)))
    off = [float(draw(st.integers(-30, 30))) for _ in range(4)]
    bent = draw(st.sampled_from([-0.05, 0.0, 0.05]))
    kind = draw(st.sampled_from(["plain", "leaning", "rounded", "sloped", "arched", "notched", "bent"]))
    if kind == "plain":
        return Bay(width, height, sill)
    corner: dict[str, list[tuple[float, ...]]] = {
        "leaning": [(width + off[0], height + off[1]), (off[2], height + off[3])],
        "rounded": [(width, height - some, QUARTER), (width - some, height), (0, height)],
        "sloped": [(width, height - some), (width - 2 * some, height), (0, height)],
        "bent": [(width, height, bent), (0, height, -bent)],
    }
    foot: list[tuple[float, ...]] = [(0, 0), (width, 0)]
    if kind == "arched":
        foot = [(0, 0), (some, 0, draw(st.sampled_from([-1.0, -0.5]))), (width - some, 0), (width, 0)]
    elif kind == "notched":
        notch = [(some, 0), (some, 100), (width - some, 100), (width - some, 0)]
        foot = [(0, 0), *notch, (width, 0)]
    ring = checked_ring([*foot, *corner.get(kind, [(width, height), (0, height)])])
    assume(isinstance(ring, tuple))
    assert isinstance(ring, tuple)
    return Bay(width, bounds(ring)[3], sill, ring)


@settings(deadline=None, max_examples=80)
@given(st.lists(shaped_bays(), min_size=1, max_size=4), st.tuples(*[st.integers(10, 40)] * 3))
def test_skin_is_the_one_that_the_planner_cuts(bays: list[Bay], lands: tuple[int, int, int]) -> None:
    land = Land(*map(float, lands))
    openings = outline_openings(side_of(bays, posts=(80.0,) * (len(bays) - 1)))
    planned = as_polygon(skin_outline(openings, land), tolerance=0.001)
    assume(isinstance(planned, Polygon) and planned.is_valid)
    ours = skin_over([opening.ring for opening in openings], land).area
    assert same_shape(planned, ours, 0.003)
    assert symmetric_difference(planned, ours).area < 0.003 * planned.length


ODD = {
    "keyhole": ((0, 0, 0), (400, 0, -1.5), (600, 0, 0), (1000, 0, 0), (1000, 800, 0), (0, 800, 0)),
    "circle": ((300, 0, QUARTER), (600, 300, QUARTER), (300, 600, QUARTER), (0, 300, QUARTER)),
    "wedge": ((0, 0, 0), (5000, 0, 0), (0, 100, 0)),
    "half circle": ((0, 0, 0), (800, 0, 1.0)),
    "gable": ((0, 0, 0), (600, 0, 0), (600, 300, 0), (300, 500, 0), (0, 300, 0)),
    "hollow corner": ((0, 0, 0), (600, 0, 0), (600, 400, -QUARTER), (400, 600, 0), (0, 600, 0)),
}


@pytest.mark.parametrize("name", ODD)
def test_odd_shape_alone_and_beside_another_has_the_planners_skin(name: str) -> None:
    ring = tuple((float(x), float(y), float(bulge)) for x, y, bulge in ODD[name])
    box = bounds(ring)
    bay = Bay(box[2], box[3], 0.0, ring)
    land = Land(top=20.0, bottom=30.0, ends=25.0)
    for bays in ([bay], [bay, Bay(400.0, 300.0)], [Bay(400.0, 300.0), bay]):
        openings = outline_openings(side_of(bays, posts=(80.0,) * (len(bays) - 1)))
        planned = as_polygon(skin_outline(openings, land), tolerance=0.001)
        assert same_shape(planned, skin_over([o.ring for o in openings], land).area, 0.003)


CORNERED = st.builds(
    lambda points, bulges: tuple((float(x), float(y), b) for (x, y), b in zip(points, bulges, strict=False)),
    st.lists(st.tuples(st.integers(0, 100), st.integers(0, 100)), min_size=3, max_size=8, unique=True),
    st.lists(st.sampled_from([0.0, 0.0, 0.3, -0.7, tan(pi / 8)]), min_size=8, max_size=8),
)


@given(CORNERED, CORNERED, st.integers(0, 360))
def test_least_distance_is_that_of_all_pairs_of_edges(one: Ring, other: Ring, turn: int) -> None:
    far = moved(turned(other, turn), 150.0, 40.0)
    least = min(edge_to_edge(a, b) for a in ring_edges(one) for b in ring_edges(far))
    assert rings_apart([one], [far]) == least
