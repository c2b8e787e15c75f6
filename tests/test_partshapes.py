"""True shapes as classes: congruent parts are one class, what they surely take is never more than they take."""

from __future__ import annotations

from dataclasses import replace
from math import pi

import pytest
from hypothesis import given
from hypothesis import strategies as st
from shapely.geometry import box

from nesting.job import CutMethod, Cutting, Job, Turn
from nesting.outline import Ring, as_polygon, bounds, mirrored, moved, rectangle, turned
from nesting.sizing.cores import inner_rectangles
from nesting.sizing.partshapes import Orientation, class_and_orientation, is_plain
from shared.units import UNITS_PER_MM
from tests.hand_plans import base_job

ARCH: Ring = ((0, 0, 0), (150, 0, -1.0), (550, 0, 0), (700, 0, 0), (700, 1000, 0), (0, 1000, 0))
WEDGE: Ring = ((0, 0, 0), (600, 0, 0), (600, 200, 0), (0, 400, 0))
HOLE = rectangle(100, 300, 500, 700, 40)


def cutting(**keys: object) -> Job:
    job = base_job()
    return replace(job, cutting=replace(Cutting(gap=6.0), **keys))  # type: ignore[arg-type]


def test_the_largest_rectangle_in_a_wedge_is_as_high_as_its_low_end_or_higher_and_shorter() -> None:
    # under the slope from 400 to 200: at the point x the height is 400 - x / 3, most area at x = 600
    (first, *_) = inner_rectangles(WEDGE)
    assert list(first) == pytest.approx([600, 200])


def test_rectangles_inside_a_frame_do_not_cover_its_hole() -> None:
    sizes = inner_rectangles(rectangle(0, 0, 700, 1000), [rectangle(100, 300, 500, 700)])
    assert sum(a * b for a, b in sizes) == pytest.approx(700 * 1000 - 400 * 400, rel=1e-6)


def test_a_rectangle_with_a_hole_in_which_nothing_lies_is_plain() -> None:
    outline = rectangle(0, 0, 700, 1000)
    kind, orientation = class_and_orientation(cutting(), outline, [HOLE], (450.0, 500.0))
    assert kind.shape is None
    assert orientation == Orientation(90.0)


def test_a_hole_that_could_hold_a_part_makes_a_true_shape() -> None:
    outline = rectangle(0, 0, 700, 1000)
    kind, _ = class_and_orientation(cutting(), outline, [HOLE], (300.0, 300.0))
    assert kind.shape is not None
    assert len(kind.shape.holes) == 1
    assert is_plain(outline, ())
    assert not is_plain(outline, [HOLE])


def test_sheared_parts_are_the_rectangles_around_them() -> None:
    kind, _ = class_and_orientation(cutting(method=CutMethod.SHEAR), WEDGE)
    assert kind.shape is None


@pytest.mark.parametrize("degrees", [0, 90, 180, 270])
def test_congruent_parts_are_one_class_however_they_were_drawn(degrees: int) -> None:
    first, _ = class_and_orientation(cutting(), WEDGE)
    same = moved(turned(WEDGE, degrees), 333.0, -77.0)
    second, orientation = class_and_orientation(cutting(), same)
    assert first == second
    lying = orientation.of(same)
    x0, y0, _, _ = bounds(lying)
    assert second.shape is not None
    difference = as_polygon(moved(lying, -x0, -y0)).symmetric_difference(as_polygon(second.shape.outline))
    assert difference.area < 1e-3


def test_mirrored_parts_are_one_class_only_where_parts_may_be_flipped() -> None:
    other = mirrored(WEDGE)
    apart = [class_and_orientation(cutting(), ring)[0] for ring in (WEDGE, other)]
    alike = [class_and_orientation(cutting(flip=True), ring)[0] for ring in (WEDGE, other)]
    assert apart[0] != apart[1]
    assert alike[0] == alike[1]


def test_parts_that_may_not_be_turned_stay_as_drawn() -> None:
    kind, orientation = class_and_orientation(cutting(turn=Turn.NONE), turned(WEDGE, 90))
    assert orientation == Orientation()
    assert (kind.length, kind.width) == ((400 + 6) * UNITS_PER_MM, (600 + 6) * UNITS_PER_MM)


ORIENTATIONS = st.builds(Orientation, st.sampled_from([0.0, 90.0, 180.0, 270.0]), st.booleans())


@given(ORIENTATIONS, ORIENTATIONS)
def test_one_orientation_after_another_is_what_both_do(first: Orientation, second: Orientation) -> None:
    both = first.then(second.degrees, second.flipped)
    one, other = second.of(first.of(ARCH)), both.of(ARCH)
    assert as_polygon(one).symmetric_difference(as_polygon(other)).area < 1e-3


@given(st.sampled_from([ARCH, WEDGE]), st.integers(0, 200).map(lambda tenths: tenths / 10))
def test_what_a_shape_surely_takes_is_no_more_than_it_takes(ring: Ring, gap: float) -> None:
    kind, _ = class_and_orientation(cutting(gap=gap), ring)
    assert kind.shape is not None
    grown = as_polygon(ring, tolerance=1e-3).buffer(gap / 2, quad_segs=64)
    assert kind.shape.area / UNITS_PER_MM**2 <= grown.area
    for cores in (*kind.shape.cores, *kind.shape.filled):
        assert sum(a * b for a, b in cores) / UNITS_PER_MM**2 <= grown.area


def test_the_area_of_an_arch_is_that_of_its_true_arc() -> None:
    kind, _ = class_and_orientation(cutting(gap=0.0), ARCH)
    assert kind.shape is not None
    true = 700 * 1000 - pi * 200**2 / 2
    assert true - 50 < kind.shape.area / UNITS_PER_MM**2 <= true
    assert as_polygon(ARCH).intersects(box(0, 0, 700, 1000))
