"""Readings of a side that contradict one another."""

from __future__ import annotations

import pytest

from nesting.job import (
    Hand,
)
from nesting.taping.accuracy import sum_error
from tests.job_texts import (
    BAYS,
    METRIC,
    SIDE,
    job,
    the_mistake,
    window,
)


def test_bays_are_counted_after_repeating_them() -> None:
    text = SIDE + BAYS + "[[side.bay]]\nwidth = 0\nheight = 40\n"
    assert the_mistake(text).place == "side 'left', bay 4 ([[side.bay]] entry 2), width"
    plain = SIDE + BAYS.replace("count = 3", "") + "[[side.bay]]\nwidth = 28\nheight = -2\n"
    assert the_mistake(plain).place == "side 'left', bay 2, height"


@pytest.mark.parametrize(
    ("posts", "place", "says"),
    [
        ("posts = [2, 2, 2]", "posts", "3 bays have 2 posts"),
        ("posts = 2", "posts", "list of lengths"),
        ("posts = [2, 0]", "posts, item 2", "more than zero"),
        ("post_width = 2\nposts = [2, 2]", "post_width", "not both"),
        ("", "post_width", "posts = ["),
        ("post_width = -2", "post_width", "more than zero"),
    ],
)
def test_each_wrong_post_has_its_own_message(posts: str, place: str, says: str) -> None:
    found = the_mistake(SIDE.replace("post_width = 2", posts) + BAYS)
    assert found.place == f"side 'left', {place}"
    assert says in found.remedy


def test_rails_are_sorted_and_must_cross_a_bay_once() -> None:
    rails = SIDE.replace("post_width = 2", "post_width = 2\nrails = [{}]") + BAYS
    assert job(rails.replace("{}", "30, 20, 10")).sides[0].rails == (254.0, 508.0, 762.0)
    assert the_mistake(rails.replace("{}", "20, '20 in'")).place == "side 'left', rails, item 2"
    for outside in ("0", "40", "-3", "60"):
        found = the_mistake(rails.replace("{}", f"20, {outside}"))
        assert found.place == "side 'left', rails, item 2"
        assert found.read == outside


def test_a_window_may_fill_its_bay_from_edge_to_edge() -> None:
    assert job(SIDE + BAYS + window(left=0, bottom=22, width=28)).sides[0].windows[0].width == 711.2


@pytest.mark.parametrize(
    ("text", "place", "says"),
    [
        (window(bay=4), "window 1, bay", "bays 1 to 3"),
        (window(bay=0), "window 1, bay", "1 to"),
        (window(left=9), "window 1, width", "1 in past bay 2 ([[side.bay]] entry 1), whose width is 28 in"),
        (window(bottom=23), "window 1, height", "1 in past bay 2"),
        (window(more="corner_radius = 9.5"), "window 1, corner_radius", "9 in"),
        (window() + window(left=20, width=4), "window 2", "overlaps or touches window 1"),
        (window() + window(left=24, width=4), "window 2", "overlaps or touches window 1"),
        (window(left=-1), "window 1, from_left", "less than zero"),
        (window(more="riveted = 1"), "window 1, riveted", "true or false"),
    ],
)
def test_each_wrong_window_has_its_own_message(text: str, place: str, says: str) -> None:
    found = the_mistake(SIDE + BAYS + text)
    assert found.place == f"side 'left', {place}"
    assert says in found.remedy


def test_windows_apart_or_in_different_bays_are_sound() -> None:
    text = SIDE + BAYS + window() + window(bay=3) + window(left=25, width=2)
    assert len(job(text).sides[0].windows) == 3


@pytest.mark.parametrize("off", [0, 1 / 8, -1 / 8])
def test_what_the_tape_explains_passes_silently(off: float) -> None:
    assert job(SIDE + f"overall = {88 + off}" + BAYS).warnings == ()


@pytest.mark.parametrize(("off", "word"), [(3 / 8, "less"), (-0.5, "more"), (0.5, "less")])
def test_a_sum_a_little_off_is_a_warning(off: float, word: str) -> None:
    (warning,) = job(SIDE + f"overall = {88 + off}" + BAYS).warnings
    assert "88 in" in warning
    assert f"in {word} than overall" in warning
    assert "measure again" in warning


@pytest.mark.parametrize("off", [0.5625, -0.5625, 28, -30])
def test_a_sum_far_off_is_a_mistake_with_both_numbers(off: float) -> None:
    found = the_mistake(SIDE + f"overall = {88 + off}" + BAYS)
    assert found.place == "side 'left', overall"
    assert found.read == str(88 + off)
    assert "add up to 88 in" in found.remedy
    assert "measure again" in found.remedy


def test_a_metric_sum_is_far_off_beyond_12_mm() -> None:
    side = METRIC.replace("post_width = 50", "post_width = 50\noverall = {}")
    assert len(job(side.replace("{}", "3022")).warnings) == 1
    assert the_mistake(side.replace("{}", "3022.5")).place == "side 'passenger side', overall"


def test_errors_of_several_readings_add_as_squares() -> None:
    one = sum_error([700.0], "mm")
    assert one == pytest.approx((0.5**2 + 1.0**2) ** 0.5)
    assert sum_error([700.0] * 9, "mm") == pytest.approx(3 * one)


def test_heights_before_the_raise_are_doubted() -> None:
    low = SIDE + "raise = 40" + BAYS
    assert "after the raise" in job(low).warnings[0]
    assert "cut_height" in job(SIDE + "raise = 12\ncut_height = 29" + BAYS).warnings[0]
    assert job(SIDE + "raise = 12\ncut_height = 20" + BAYS).warnings == ()


def test_posts_too_narrow_for_two_rivet_lines_are_told() -> None:
    butt = '[seam]\nkind = "butt"\n' + SIDE + BAYS
    assert job(butt).warnings == ()
    (warning,) = job(butt.replace("post_width = 2", "posts = [1, 2]\nrails = [20]\nrail_width = 1")).warnings
    assert "post 1 and the rails" in warning
    assert "1 1/4 in of metal" in warning


def test_a_missing_forward_is_taken_as_left_and_told() -> None:
    read = job(SIDE.replace('forward = "left"', "") + BAYS)
    assert read.sides[0].forward is Hand.LEFT
    assert "forward" in read.warnings[0]
