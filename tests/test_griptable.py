"""Rivet lengths: which one closes which thickness, how many of each, and boxes by length."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.job import Pack, RivetRules, SeamKind, SeamRules, Units
from nesting.rivets.fasteners import place_fasteners, with_boxes
from nesting.rivets.griptable import closed_by, most_sheets, rivet_lengths, row_for
from shared.errors import PlannerError
from shared.rivettables import GripRow
from tests.hand_plans import base_job, two_panels
from tests.riveted_walls import lines_of, on_wall, wall

ROWS = (GripRow(1.0, 3.0, 6.0), GripRow(3.0, 5.0, 8.0), GripRow(5.0, 9.0, 12.0))


@pytest.mark.parametrize(
    ("grip", "length"),
    [(1.0, 6.0), (2.9, 6.0), (3.0, 6.0), (3.001, 8.0), (5.0, 8.0), (5.1, 12.0), (9.0, 12.0)],
)
def test_the_shortest_rivet_that_closes_a_thickness_is_taken(grip: float, length: float) -> None:
    row = row_for(ROWS, grip)
    assert row is not None
    assert row.length == length


@pytest.mark.parametrize("grip", [0.5, 9.1, 100.0])
def test_no_rivet_closes_what_no_row_holds(grip: float) -> None:
    assert row_for(ROWS, grip) is None


def test_a_gap_of_a_printed_thousandth_between_two_rows_closes_all_the_same() -> None:
    # 0.126 to 0.187 and 0.188 to 0.250 in: 3/16 in stands between them
    rows = (GripRow(0.126 * 25.4, 0.187 * 25.4, 7.5), GripRow(0.188 * 25.4, 0.250 * 25.4, 9.0))
    row = row_for(rows, 3 / 16 * 25.4)
    assert row is not None
    assert row.length in (7.5, 9.0)


@given(st.lists(st.floats(1.0, 9.0), min_size=1, max_size=40), st.sampled_from([0.0, 0.1, 0.5]))
def test_every_rivet_is_in_one_length_that_closes_it(grips: list[float], spare: float) -> None:
    rules = RivetRules(lengths=ROWS, spare=spare)
    found = rivet_lengths(rules, grips)
    assert sum(each.rivets for each in found) == len(grips)
    assert [each.length for each in found] == sorted({each.length for each in found})
    assert all(each.grip_min - 0.02 <= each.least <= each.most <= each.grip_max + 1e-6 for each in found)
    assert all(each.rivets <= each.to_buy <= each.rivets * (1 + spare) + 1 for each in found)


@pytest.mark.parametrize(
    ("kind", "posts", "levels", "sheets"),
    [
        (SeamKind.LAP, True, True, 4),
        (SeamKind.LAP, True, False, 2),
        (SeamKind.LAP, False, False, 1),
        (SeamKind.BUTT, True, True, 1),
    ],
)
def test_four_laps_meet_at_most_where_posts_and_rails_cross(
    kind: SeamKind, posts: bool, levels: bool, sheets: int
) -> None:
    assert most_sheets(SeamRules(kind), posts=posts, levels=levels) == sheets


def test_two_sheets_of_1_2_on_a_post_of_2_close_4_4() -> None:
    job = base_job()
    assert closed_by(2, job.skin, job.rivets) == pytest.approx(4.4)


# On walls: skin 1.2, post 2, rivets of 5


def test_lines_and_counts_tell_the_length_for_what_they_close() -> None:
    # 7 rivets on the lap close 4.4 and take 10; 36 round the edges close 3.2 and take 8 (ISO 15981, 5.0 mm)
    fasteners = on_wall(wall([[300.0], [300.0]], 200.0))
    assert [line.length for line in lines_of(fasteners, "seam")] == [10.0]
    assert {line.length for line in lines_of(fasteners, "edge")} == {8.0}
    assert [(each.length, each.rivets, each.to_buy) for each in fasteners.lengths] == [
        (8.0, 36, 40),
        (10.0, 7, 8),
    ]


def test_the_end_of_a_lap_closes_two_sheets_on_the_edge_line_too() -> None:
    fasteners = on_wall(wall([[300.0], [300.0]], 200.0))
    (bottom, *_) = lines_of(fasteners, "edge")
    assert sorted(set(bottom.grips)) == pytest.approx([3.2, 4.4])
    assert bottom.grips.count(max(bottom.grips)) == 1


def test_a_corner_of_four_laps_closes_four_sheets() -> None:
    fasteners = on_wall(wall([[400.0], [400.0]], 600.0, rail=300.0, split=[True, True]))
    grips = {
        point: grip for line in fasteners.lines for point, grip in zip(line.points, line.grips, strict=True)
    }
    # the rail and the post cross once, at (425, 300): 4 x 1.2 + 2
    assert grips[425.0, 300.0] == pytest.approx(6.8)
    assert sum(grip == pytest.approx(6.8) for grip in grips.values()) == 1


def test_behind_a_seam_on_a_backing_strip_lies_the_strip_and_over_posts_the_post_too() -> None:
    # the same wall without a rail at 300: the seam there needs a strip of the skin's metal
    made = wall([[400.0, 400.0]], 600.0, rail=300.0, split=[True])
    bare = replace(made.job, sides=(replace(made.job.sides[0], rails=()),))
    fasteners = on_wall(made._replace(job=bare))
    grips = {
        point: grip for line in fasteners.lines for point, grip in zip(line.points, line.grips, strict=True)
    }
    seam = {x: grip for (x, y), grip in grips.items() if y == 300.0}
    # two sheets and the strip, 3 x 1.2 = 3.6; over the post from 400 to 450 and on the lands 2.0 more
    assert {grip for x, grip in seam.items() if 0 < x < 400 or 450 < x < 850} == {3.6}
    assert {grip for x, grip in seam.items() if x < 0 or 400 < x < 450 or x > 850} == {5.6}
    on_rail = on_wall(made)
    assert {grip for line in lines_of(on_rail, "seam") for grip in line.grips} == {4.4}


def test_a_thickness_without_a_row_is_refused_with_the_name_of_the_line() -> None:
    made = wall([[300.0], [300.0]], 200.0)
    short = replace(made.job.rivets, lengths=(GripRow(1.0, 4.0, 8.0),))
    with pytest.raises(PlannerError, match="side 'driver side', post 1, D1 over D2: its rivets close"):
        on_wall(made._replace(job=replace(made.job, rivets=short)))


def test_an_odd_diameter_takes_no_length_and_says_so() -> None:
    job, plan = two_panels()
    odd = replace(job, rivets=replace(job.rivets, diameter=5.5))
    fasteners = place_fasteners(odd, plan.panels, plan.seams)
    assert fasteners.lengths == ()
    assert {line.length for line in fasteners.lines} == {0.0}
    assert any("no lengths are known for rivets of 5.5 mm" in text for text in fasteners.warnings)


def test_a_length_that_is_only_just_enough_is_told() -> None:
    # 2 x 1.2 + 1.5 = 3.9 of the 4 that a rivet of 8 closes
    job, plan = two_panels()
    thin = replace(job, rivets=replace(job.rivets, post_thickness=1.5))
    fasteners = place_fasteners(thin, plan.panels, plan.seams)
    assert any(
        "close 3.9 mm, and a length of 8 mm closes 4 mm at most" in text for text in fasteners.warnings
    )


# Boxes by length


def lapped(packs: tuple[Pack, ...]) -> RivetRules:
    return replace(base_job().rivets, packs=packs)


def test_boxes_that_name_a_length_are_bought_for_that_length() -> None:
    made = wall([[300.0], [300.0]], 200.0)
    packs = (Pack(50, 5.0, 8.0), Pack(25, 3.0, 8.0), Pack(10, 2.0, 10.0))
    fasteners = on_wall(made._replace(job=replace(made.job, rivets=lapped(packs))))
    # 40 of 8 mm in a box of 50, 8 of 10 mm in a box of 10
    assert [each.packs for each in fasteners.lengths] == [((50, 1, 5.0),), ((10, 1, 2.0),)]
    assert fasteners.packs == ((50, 1, 5.0), (10, 1, 2.0))
    assert fasteners.to_buy == 48


def test_a_length_that_no_box_names_is_filled_from_boxes_without_one() -> None:
    lengths = rivet_lengths(RivetRules(lengths=ROWS), [2.0] * 10 + [4.0] * 10)
    found = with_boxes(lengths, (Pack(20, 4.0, 6.0), Pack(5, 1.0)))
    assert [each.packs for each in found] == [((20, 1, 4.0),), ((5, 3, 1.0),)]


def test_boxes_without_a_length_are_for_all_together() -> None:
    fasteners = on_wall(wall([[300.0], [300.0]], 200.0))
    assert [each.packs for each in fasteners.lengths] == [(), ()]
    assert fasteners.packs == ((100, 1, 20.0),)


def test_lengths_in_inches_are_called_by_their_code() -> None:
    made = wall([[300.0], [300.0]], 200.0)
    inches = replace(made.job, units=Units.INCH, rivets=replace(made.job.rivets, diameter=3 / 16 * 25.4))
    fasteners = on_wall(made._replace(job=inches))
    # 3.2 and 4.4 mm are 0.126 and 0.173 in: both within 1/8 to 1/4 in, grip code 4
    assert [(each.name, each.rivets) for each in fasteners.lengths] == [("64", 43)]
