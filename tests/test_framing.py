"""Framing that follows from a job: post extensions and window frames, lengths by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nesting.barcutting import cut_bars
from nesting.barstock import BarStock
from nesting.framing.pieces import FrameJoint, framing_pieces
from nesting.job import Bay, Hand, Side, Window
from tests.hand_plans import base_job

SIDE = Side(
    "driver side",
    Hand.LEFT,
    bays=(Bay(700.0, 900.0),) * 4,
    posts=(50.0, 50.0, 65.0),
    raise_height=300.0,
    cut_height=500.0,
    windows=(Window(2, 100.0, 300.0, 500.0, 400.0),),
)


def test_every_post_between_bays_is_lengthened_by_the_raise() -> None:
    extensions = framing_pieces(base_job(sides=(replace(SIDE, windows=()),)))
    assert [(piece.length, piece.quantity) for piece in extensions] == [(300.0, 3)]
    with_ends = framing_pieces(base_job(sides=(replace(SIDE, windows=()),)), end_posts=True)
    assert [piece.quantity for piece in with_ends] == [5]


@pytest.mark.parametrize("side", [replace(SIDE, cut_height=None), replace(SIDE, raise_height=0.0)])
def test_posts_that_were_not_cut_and_raised_stay_as_they_are(side: Side) -> None:
    assert framing_pieces(base_job(sides=(replace(side, windows=()),))) == ()


def test_a_butted_frame_has_its_level_pieces_run_past_the_uprights() -> None:
    frames = framing_pieces(base_job(sides=(replace(SIDE, raise_height=0.0),)), frame_face=25.0)
    assert [(piece.length, piece.quantity) for piece in frames] == [(550.0, 2), (400.0, 2)]


def test_a_mitred_frame_is_measured_to_its_long_points() -> None:
    job = base_job(sides=(replace(SIDE, raise_height=0.0),))
    frames = framing_pieces(job, frame_face=25.0, joint=FrameJoint.MITRED)
    assert [(piece.length, piece.quantity) for piece in frames] == [(550.0, 2), (450.0, 2)]


def test_framing_of_a_job_can_be_cut() -> None:
    # 3 of 300, 2 of 500 + 2 x 25.4 and 2 of 400 fill less than half a bar
    pieces = framing_pieces(base_job(sides=(SIDE,)), post_section="tube", frame_section="tube")
    plan = cut_bars(pieces, [BarStock("tube", 6000.0)], kerf=2.0)
    assert [len(bar.cuts) for bar in plan.bars] == [7]
    assert plan.bars[0].used == pytest.approx(3 * 300 + 2 * 550.8 + 2 * 400)
