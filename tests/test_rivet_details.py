"""Single rivet lines in detail: places found, shared, moved along or left out, on lines drawn by hand."""

from __future__ import annotations

from itertools import pairwise
from math import copysign, cos, dist, floor, pi, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.plan import Point
from nesting.rivets.insets import Points
from nesting.rivets.lines import SetLine, rivets_expected, set_rivets
from nesting.rivets.paths import LinePath
from nesting.rivets.polylines import marks_along
from nesting.rivets.rows import Rivets, Row, wanted_places

LEAST = 15.0
SQUARE: Points = ((50.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0), (0.0, 0.0), (50.0, 0.0))
"""A closed line 400 long, begun in the middle of its lowest edge."""

COORDINATES = st.integers(-60, 60).map(lambda n: n / 2)
PLACES = st.tuples(COORDINATES, COORDINATES)


def line(kind: str, path: Points, pitch: float = 100.0, stagger_from: float | None = None) -> LinePath:
    return LinePath(kind, "side", f"{kind} line", ("D1",), path, pitch, stagger_from)


def row_of(
    path: Points,
    pitch: float,
    others: tuple[Point, ...] = (),
    kept: tuple[float, ...] = (),
    least: float = LEAST,
) -> Row:
    """A row among rivets of other lines; ``kept`` are places on a level row from (0, 0) that have a rivet already."""
    rivets = Rivets(least)
    for other in others:
        rivets.add(other)
    placed = {along: rivets.add((along, 0.0)) for along in kept}
    return Row(line("edge", path, pitch), marks_along(path), placed, rivets, least, least)


def set_on(*paths: LinePath) -> list[SetLine]:
    return set_rivets(paths, LEAST, LEAST)


# Places


@given(st.lists(PLACES, max_size=12), PLACES, st.sampled_from([0.5, 1.0, 4.0, 7.5]))
def test_rivets_near_a_point_are_those_nearer_than_asked(
    several: list[Point], point: Point, reach: float
) -> None:
    rivets = Rivets(reach)
    assert [rivets.add(each) for each in several] == list(range(len(several)))
    assert sorted(rivets.near(point, reach)) == [
        i for i, own in enumerate(several) if dist(own, point) < reach
    ]


@given(st.lists(PLACES, max_size=12), PLACES, st.integers(0, 8), st.integers(0, 8))
def test_every_rivet_within_a_cell_of_a_line_is_found_from_places_on_it(
    several: list[Point], start: Point, across: int, up: int
) -> None:
    rivets = Rivets(10.0)
    for each in several:
        rivets.add(each)
    end = (start[0] + across, start[1] + up)
    found = set(rivets.beside([start, end]))
    middle = ((start[0] + end[0]) / 2, (start[1] + end[1]) / 2)
    assert found >= {own for own in several if min(dist(own, p) for p in (start, middle, end)) <= 10}
    # no farther than three cells on either hand
    assert all(abs(own[0] - start[0]) <= 40 and abs(own[1] - start[1]) <= 40 for own in found)


def test_a_rivet_far_from_a_line_is_not_looked_at() -> None:
    rivets = Rivets(10.0)
    rivets.add((35.0, 5.0))
    rivets.add((5.0, -25.0))
    assert rivets.beside([(5.0, 5.0)]) == []


def test_a_place_is_kept_to_a_millionth_and_without_a_minus_on_nothing() -> None:
    rivets = Rivets(0.01)
    rivets.add((-1e-9, 12.34567849))
    assert rivets.points == [(0.0, 12.345678)]
    assert copysign(1.0, rivets.points[0][0]) == 1
    assert rivets.cell == 1.0


# One row


def test_a_closed_line_begins_at_its_start() -> None:
    row = row_of(SQUARE, 50.0)
    row.begin()
    assert row.kept == {0.0: 0}
    assert row.rivets.points == [(50.0, 0.0)]


@pytest.mark.parametrize(
    ("other", "begins"),
    [
        # nearer than 15 to the start: on by 15, or back by 15, from the other rivet's foot on the line
        ((45.0, 5.0), 10.0 - 5.0 + (15**2 - 5**2) ** 0.5 - 10.0),
        ((55.0, 5.0), 400.0 + 5.0 - (15**2 - 5**2) ** 0.5),
    ],
)
def test_a_closed_line_whose_start_is_taken_begins_as_near_as_there_is_room(
    other: Point, begins: float
) -> None:
    row = row_of(SQUARE, 50.0, (other,))
    row.begin()
    assert list(row.kept) == [pytest.approx(begins, abs=1e-4)]
    assert dist(row.rivets.points[1], other) == pytest.approx(15, abs=1e-4)


def test_a_closed_line_without_any_room_begins_nowhere() -> None:
    small: Points = ((0.0, 0.0), (4.0, 0.0), (2.0, 3.0), (0.0, 0.0))
    row = row_of(small, 50.0, ((2.0, 1.0),))
    row.begin()
    assert row.kept == {}
    assert len(row.rivets.points) == 1


def test_a_rivet_of_another_line_on_the_row_is_shared() -> None:
    row = row_of(((0.0, 0.0), (100.0, 0.0)), 50.0, ((50.0, 0.0004),))
    assert row.fill(0.0, 100.0, 2) == 0
    assert row.kept == {50.0: 0}
    assert len(row.rivets.points) == 1


def test_rivets_left_out_on_a_bend_are_counted() -> None:
    # a hairpin: 40 there, 2 across, 40 back; a rivet on the way back stands 2 from that on the way there
    hairpin: Points = ((0.0, 0.0), (40.0, 0.0), (40.0, 2.0), (0.0, 2.0))
    row = row_of(hairpin, 20.5)
    assert row.fill(0.0, 82.0, 4) == 1
    assert sorted(row.kept) == [20.5, 41.0]


@pytest.mark.parametrize(
    ("kept", "other", "too_wide"),
    [
        # 60 at 30 with a rivet at (27, 3) in the way: none from 12.3 to 41.7, so two at about 12 and 42
        ((), (27.0, 3.0), 0),
        ((60.0,), (27.0, 3.0), 0),
        # a rivet at the start keeps 15 clear of itself, and no place is left before the gap
        ((0.0,), (27.0, 3.0), 1),
        ((0.0, 60.0), (27.0, 3.0), 1),
        # the same from the other end
        ((0.0,), (33.0, 3.0), 0),
        ((60.0,), (33.0, 3.0), 1),
    ],
)
def test_a_place_may_lie_near_an_end_that_has_no_rivet(
    kept: tuple[float, ...], other: Point, too_wide: int
) -> None:
    row = row_of(((0.0, 0.0), (60.0, 0.0)), 30.0, (other,), kept)
    assert row.fill(0.0, 60.0, 2) == too_wide
    places = [0.0, *(along for along in sorted(row.kept) if 0 < along < 60), 60.0]
    assert (max(b - a for a, b in pairwise(places)) > 30 + 1e-6) is bool(too_wide)


@pytest.mark.parametrize("other", [(33.0, 3.0), (87.0, 3.0), (30.0, 8.0)])
def test_where_moving_one_rivet_is_not_enough_the_whole_stretch_is_spaced_anew(other: Point) -> None:
    # 120 at 30; with a rivet at (33, 3) none lie from 18.3 to 47.7: beside 60 there is no room for one at 48
    row = row_of(((0.0, 0.0), (120.0, 0.0)), 30.0, (other,), (0.0, 120.0))
    assert row.fill(0.0, 120.0, 4) == 0
    places = sorted(row.kept)
    assert len(places) == 6
    assert all(15 - 1e-6 <= b - a <= 30 + 1e-5 for a, b in pairwise(places))
    assert all(dist((along, 0.0), other) >= 15 - 1e-6 for along in places)


def test_places_lie_on_equal_spaces_or_half_a_space_off() -> None:
    plain = line("seam", ((0.0, 0.0), (100.0, 0.0)), 25.0)
    assert list(wanted_places(plain, 20.0, 100.0, 4)) == [40, 60, 80]
    staggered = line("seam", ((0.0, 0.0), (100.0, 0.0)), 25.0, 10.0)
    assert list(wanted_places(staggered, 20.0, 100.0, 4)) == [30, 50, 70, 90]
    # half a space is then 5 only, nearer to the ends than may be
    assert list(wanted_places(staggered, 20.0, 40.0, 2)) == [30]
    assert list(wanted_places(staggered, 20.0, 60.0, 2)) == [30, 50]


# Lines together


def test_lines_count_what_no_line_before_them_counts() -> None:
    frame = [
        line("seam", ((0.0, 0.0), (0.0, 100.0)), 25.0),
        line("edge", ((0.0, 0.0), (100.0, 0.0)), 50.0),
        line("post", ((100.0, 0.0), (0.0, 100.0)), 200.0),
    ]
    seam, edge, post = set_on(*frame)
    assert [len(each.points) for each in (seam, edge, post)] == [5, 3, 2]
    assert [each.counted for each in (seam, edge, post)] == [5, 2, 0]
    assert [each.widest for each in (seam, edge, post)] == pytest.approx([25, 50, 2**0.5 * 100])
    assert list(seam.points) == [(0.0, y) for y in (0.0, 25.0, 50.0, 75.0, 100.0)]
    assert not any(
        each.left_out or each.crowded or each.stretched or each.staggered for each in (seam, edge, post)
    )
    assert [each.where for each in (seam, edge, post)] == ["seam line", "edge line", "post line"]


def test_a_closed_line_is_spaced_all_the_way_round() -> None:
    (only,) = set_on(line("window", SQUARE, 40.0))
    # a rivet on each corner, two between neighbouring corners: 100 / 3
    assert len(only.points) == only.counted == 12
    assert only.widest == pytest.approx(100 / 3)
    assert {(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)} <= set(only.points)


def test_a_closed_line_without_corners_has_equal_spaces_from_its_start() -> None:
    (round_about,) = set_on(line("window", circle(40.0, 90), 30.0))
    total = marks_along(circle(40.0, 90))[-1]
    assert len(round_about.points) == floor(total / 30) + 1 == 9
    assert round_about.widest == pytest.approx(total / 9)


def circle(radius: float, count: int) -> Points:
    points = [(radius * sin(2 * pi * i / count), -radius * cos(2 * pi * i / count)) for i in range(count)]
    return (*points, points[0])


def test_a_post_that_ends_beside_a_rivet_of_a_seam_leaves_nothing_out() -> None:
    seam, post = set_on(
        line("seam", ((0.0, 0.0), (0.0, 100.0)), 25.0), line("post", ((5.0, 0.0), (5.0, 100.0)), 100.0)
    )
    # both of its ends stand 5 from those of the seam: left out, each held by one line alone
    assert (len(seam.points), len(post.points)) == (5, 0)
    assert (seam.left_out, post.left_out) == (0, 2)
    assert (seam.widest, post.widest) == (25.0, 0.0)


def test_a_line_whose_first_rivet_is_left_out_is_spaced_from_its_end_all_the_same() -> None:
    _, edge = set_on(
        line("seam", ((0.0, 0.0), (0.0, 100.0)), 25.0), line("edge", ((5.0, 0.0), (105.0, 0.0)), 50.0)
    )
    assert list(edge.points) == [(55.0, 0.0), (105.0, 0.0)]


def test_what_two_lines_share_is_set_before_an_end_that_only_one_has() -> None:
    level, lone, post = set_on(
        line("edge", ((0.0, 0.0), (100.0, 0.0)), 100.0),
        line("edge", ((60.0, 5.0), (60.0, 80.0)), 100.0),
        line("post", ((50.0, 0.0), (50.0, 80.0)), 100.0),
    )
    assert (50.0, 0.0) in level.points
    assert (50.0, 0.0) in post.points
    assert (60.0, 5.0) not in lone.points


def test_one_rivet_on_a_closed_line_is_a_whole_round_from_itself() -> None:
    (only,) = set_on(line("window", circle(40.0, 90), 300.0))
    assert len(only.points) == 1
    assert only.widest == pytest.approx(marks_along(circle(40.0, 90))[-1])


def test_a_corner_of_two_edges_takes_its_rivet_though_it_is_crowded() -> None:
    first, second, third = set_on(
        line("edge", ((0.0, 0.0), (100.0, 0.0)), 50.0),
        line("edge", ((0.0, 0.0), (0.0, 100.0)), 50.0),
        line("edge", ((8.0, 0.0), (8.0, 100.0)), 50.0),
    )
    assert (8.0, 0.0) in third.points
    assert (first.crowded, second.crowded, third.crowded) == (0, 0, 1)


def test_a_corner_of_a_line_round_something_goes_before_the_end_of_a_seam() -> None:
    seam, window = set_on(
        line("seam", ((58.0, 50.0), (58.0, 120.0)), 70.0),
        line("window", ((0.0, 0.0), (50.0, 0.0), (50.0, 50.0), (0.0, 50.0)), 50.0),
    )
    assert list(window.points) == [(0.0, 0.0), (50.0, 0.0), (50.0, 50.0), (0.0, 50.0)]
    assert list(seam.points) == [(58.0, 120.0)]


def test_a_short_stretch_is_spaced_wider_and_says_so() -> None:
    (short,) = set_on(line("seam", ((0.0, 0.0), (28.0, 0.0)), 16.0))
    # two spaces of 14 would be nearer than 15
    assert list(short.points) == [(0.0, 0.0), (28.0, 0.0)]
    assert short.stretched
    (enough,) = set_on(line("seam", ((0.0, 0.0), (30.0, 0.0)), 16.0))
    assert len(enough.points) == 3
    assert not enough.stretched


def test_a_staggered_line_is_called_so() -> None:
    _, hidden = set_on(
        line("seam", ((0.0, 0.0), (200.0, 0.0)), 50.0), line("seam", ((0.0, 20.0), (200.0, 20.0)), 50.0, 15.0)
    )
    assert hidden.staggered
    assert hidden.where == "seam line, staggered"
    assert [x for x, _ in hidden.points] == pytest.approx([0, 25, 75, 125, 175, 200])


def test_about_as_many_rivets_are_expected_as_are_set() -> None:
    frame = [line("edge", ((0.0, 0.0), (100.0, 0.0)), 25.0), line("edge", ((0.0, 50.0), (90.0, 50.0)), 5.0)]
    # 4 spaces and an end; 90 at no less than 15 are 6 and an end
    assert rivets_expected(frame, LEAST) == 4 + 1 + 6 + 1
