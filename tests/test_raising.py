"""The body at another raise: what moves, what stays, and how far a sheet reaches."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import pi, tan
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nesting.job import Bay, Side, Stock, Window
from nesting.jobfile import job_from_text, read_job
from nesting.outline import Ring, polygon_ring, rectangle, signed_area
from nesting.skin.raising import ImpossibleRaise, one_piece_reaches, raise_notes, raised_job, stretched
from tests.conftest import TWO_BAYS
from tests.hand_plans import BIG, base_job, side

INCH = 25.4
FIVE_FOOT = """
[[stock]]
name = "5x8"
width = 60
length = 96
price = 160.0
"""


def raised(body: Side, to: float) -> Side:
    """The only side of a job at another raise."""
    return raised_job(base_job(sides=(body,)), to).sides[0]


def test_raise_zero_gives_the_body_as_it_was_built() -> None:
    body = raised(side(raise_height=300.0, cut_height=100.0), 0.0)
    assert [bay.height for bay in body.bays] == [200.0, 200.0]
    assert body.raise_height == 0.0


def test_the_raise_of_the_job_changes_nothing() -> None:
    job = base_job(sides=(side(raise_height=300.0, rails=(400.0,)),))
    assert raised_job(job, 300.0) == job


def test_without_a_raise_the_heights_are_those_of_the_body_as_built() -> None:
    job = base_job()
    assert [bay.height for bay in raised_job(job, 120.0).sides[0].bays] == [620.0, 620.0]
    assert "as those before the roof went up" in " ".join(raise_notes(job))


def test_a_side_without_a_raise_stays_when_another_has_one() -> None:
    rear = side(name="rear")
    job = raised_job(base_job(sides=(side(raise_height=300.0), rear)), 400.0)
    assert [bay.height for bay in job.sides[0].bays] == [600.0, 600.0]
    assert job.sides[1] == rear


def test_rails_above_the_cut_go_up_and_rails_below_stay() -> None:
    body = side(raise_height=100.0, cut_height=200.0, rails=(150.0, 200.0, 350.0), rail_width=50.0)
    assert raised(body, 180.0).rails == (150.0, 200.0, 430.0)


def test_a_rail_in_the_new_metal_is_left_out_where_there_is_no_new_metal_to_hold_it() -> None:
    body = side(raise_height=100.0, cut_height=200.0, rails=(260.0,), rail_width=50.0)
    assert raised(body, 40.0).rails == (200.0,)
    assert raised(body, 39.0).rails == ()
    (note,) = raise_notes(base_job(sides=(body,)))
    assert "rail at 260 mm" in note
    assert "Below a raise of 40 mm" in note


def test_a_rail_above_the_new_metal_is_no_matter_of_a_note() -> None:
    body = side(raise_height=100.0, cut_height=200.0, rails=(300.0,), rail_width=50.0)
    assert raise_notes(base_job(sides=(body,))) == ()


def test_windows_above_the_cut_go_up_and_windows_below_stay() -> None:
    low, high = Window(1, 100.0, 50.0, 300.0, 100.0), Window(1, 100.0, 260.0, 300.0, 100.0)
    body = raised(side(raise_height=50.0, cut_height=200.0, windows=(low, high)), 150.0)
    assert [window.from_bottom for window in body.windows] == [50.0, 360.0]


def test_without_a_cut_height_the_middle_of_the_bay_is_taken_and_said() -> None:
    low, high = Window(1, 100.0, 240.0, 300.0, 100.0), Window(2, 100.0, 260.0, 300.0, 100.0)
    body = side(raise_height=50.0, windows=(low, high))
    assert [window.from_bottom for window in raised(body, 150.0).windows] == [240.0, 360.0]
    assert "middle of each bay" in raise_notes(base_job(sides=(body,)))[0]


def test_a_bay_above_the_cut_moves_whole_and_one_below_it_stays() -> None:
    bays = (Bay(600.0, 150.0), Bay(600.0, 200.0, sill=300.0), Bay(600.0, 500.0))
    body = side(bays=bays, posts=(50.0, 50.0), raise_height=100.0, cut_height=200.0)
    assert raised(body, 160.0).bays == (
        Bay(600.0, 150.0),
        Bay(600.0, 200.0, sill=360.0),
        Bay(600.0, 560.0),
    )


def test_an_opening_without_height_is_impossible_and_named() -> None:
    with pytest.raises(ImpossibleRaise, match=r"driver side, bay 1: its height would be -20 mm"):
        raised(side(raise_height=520.0), 0.0)


def test_a_window_that_no_longer_fits_its_opening_is_impossible() -> None:
    body = side(raise_height=300.0, cut_height=100.0, windows=(Window(2, 50.0, 20.0, 100.0, 250.0),))
    assert raised(body, 80.0).windows[0].from_bottom == 20.0
    with pytest.raises(ImpossibleRaise, match="bay 2: its window"):
        raised(body, 60.0)


def test_a_window_that_comes_down_on_another_is_impossible() -> None:
    low, high = Window(1, 100.0, 20.0, 300.0, 100.0), Window(1, 100.0, 220.0, 300.0, 100.0)
    body = side(raise_height=200.0, cut_height=150.0, windows=(low, high))
    assert raised(body, 101.0).windows[1].from_bottom == 121.0
    with pytest.raises(ImpossibleRaise, match="two of its windows would overlap"):
        raised(body, 99.0)


def test_corners_above_the_cut_move_and_arcs_there_keep_their_shape() -> None:
    quarter = tan(pi / 8)
    corner: Ring = ((0, 0, 0), (600, 0, 0), (600, 400, quarter), (500, 500, 0), (0, 500, 0))
    body = side(bays=(Bay(600.0, 500.0, outline=corner),), posts=(), cut_height=100.0)
    (bay,) = raised(body, 80.0).bays
    assert bay.outline == ((0, 0, 0), (600, 0, 0), (600, 480, quarter), (500, 580, 0), (0, 580, 0))
    assert bay.height == 580.0


def test_a_wheel_arch_below_the_cut_stays_as_it_is() -> None:
    arch: Ring = ((0, 0, 0), (100, 0, -1.0), (300, 0, 0), (400, 0, 0), (400, 500, 0), (0, 500, 0))
    lifted = stretched(arch, 60.0, 80.0)
    assert lifted == (*arch[:4], (400, 580, 0), (0, 580, 0))


BULGED: Ring = ((0, 0, 0), (600, 0, 0), (600, 100, 1.0), (600, 500, 0), (600, 600, 0), (0, 600, 0))
"""A half circle of radius 200 about (600, 300) on the right: 800 wide at a height of 300."""


def test_an_arc_through_the_cut_is_parted_there_by_a_plumb_edge() -> None:
    lifted = stretched(BULGED, 300.0, 100.0)
    assert lifted is not None
    assert [(round(x), round(y)) for x, y, _ in lifted] == [
        *((0, 0), (600, 0), (600, 100), (800, 300), (800, 400)),
        *((600, 600), (600, 700), (0, 700)),
    ]
    assert [bulge for _, _, bulge in lifted] == pytest.approx([0, 0, tan(pi / 8), 0, tan(pi / 8), 0, 0, 0])
    assert signed_area(lifted) == pytest.approx(signed_area(BULGED) + 800 * 100)


@given(st.floats(101.0, 499.0), st.floats(0.1, 500.0))
def test_parting_an_arc_anywhere_adds_the_strip_that_is_put_in(cut: float, move: float) -> None:
    lifted = stretched(BULGED, cut, move)
    width = 600 + (200**2 - (cut - 300) ** 2) ** 0.5
    assert lifted is not None
    assert signed_area(lifted) == pytest.approx(signed_area(BULGED) + width * move)


def test_an_arc_through_the_cut_cannot_be_lowered() -> None:
    body = side(bays=(Bay(600.0, 600.0, outline=BULGED),), posts=(), raise_height=50.0, cut_height=300.0)
    with pytest.raises(ImpossibleRaise, match="cannot be lowered"):
        raised(body, 0.0)


@given(st.integers(100, 900), st.integers(1, 800), st.integers(1, 400), st.integers(-90, 90))
def test_up_and_down_again_is_the_same_body(height: int, cut: int, move: int, slope: int) -> None:
    ring = polygon_ring([(0, 0), (600, 0), (600, height), (300, height + slope), (0, height)])
    lifted = stretched(ring, cut, move)
    if lifted is not None and all(
        (y > cut) == (up > cut) for (_, y, _), (_, up, _) in zip(ring, lifted, strict=True)
    ):
        assert stretched(lifted, cut, -move) == ring


def test_a_sheet_reaches_to_its_width_less_margins_and_lands() -> None:
    # 48 - 2 x 1/4 - 1 - 1 = 45 1/2: six inches above the 39 1/2 of the job; 60 in sheets twelve more
    job = job_from_text(TWO_BAYS + FIVE_FOOT, "two bays")
    five, four = one_piece_reaches(job)
    assert (five.names, four.names) == (("5x8",), ("4x8",))
    assert [reach.most for reach in (five, four)] == pytest.approx([18 * INCH, 6 * INCH])


def test_a_raise_that_the_heights_contain_already_counts_in_the_reach() -> None:
    job = base_job(sides=(side(raise_height=300.0),), stock=(Stock("s", 620.0, 2000.0, 1.0),))
    # 620 - 20 - 50 = 550 of opening; 500 at a raise of 300
    (reach,) = one_piece_reaches(job)
    assert reach.most == pytest.approx(350.0)


def test_a_sheet_too_narrow_for_the_body_as_built_reaches_nowhere() -> None:
    (reach,) = one_piece_reaches(base_job(stock=(Stock("s", 560.0, 2000.0, 1.0),)))
    assert reach.most is None


def test_a_taller_body_never_takes_less_skin() -> None:
    # the sample that the README shows, without planning it
    job = read_job(Path(__file__).resolve().parent.parent / "samples" / "short-body.toml")
    areas = [
        sum(bay.width * bay.height for side in raised_job(job, inches * INCH).sides for bay in side.bays)
        for inches in range(25)
    ]
    assert all(low < high for low, high in pairwise(areas))


def test_stock_that_cannot_be_had_has_no_reach() -> None:
    assert one_piece_reaches(base_job(stock=(replace(BIG, available=0),))) == ()


def test_a_plain_rectangle_drawn_as_an_outline_grows_like_one() -> None:
    drawn = Bay(600.0, 500.0, outline=rectangle(0.0, 0.0, 600.0, 500.0))
    (bay,) = raised(side(bays=(drawn,), posts=()), 70.0).bays
    assert bay.outline == rectangle(0.0, 0.0, 600.0, 570.0)
