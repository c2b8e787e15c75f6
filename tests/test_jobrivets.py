"""Rivets in a job file: the table of lengths, boxes of a length, strengths, and what is wrong with them."""

from __future__ import annotations

import pytest

from nesting.job import Job, Pack
from nesting.jobfile import job_from_text
from shared.errors import JobMistakes, Mistake
from shared.rivettables import GripRow

METRIC = """
units = "mm"
[skin]
material = "steel"
thickness = 1.2
{skin}
[rivets]
diameter = 4.8
post_thickness = 2
{rivets}
[[stock]]
width = 1250
length = 2500
[[side]]
name = "left"
forward = "left"
post_width = 60
{side}
  [[side.bay]]
  width = 600
  height = 500
  count = 2
"""

INCHES = """
[skin]
material = "steel"
thickness = "1.2 mm"
{skin}
[rivets]
post_thickness = "2 mm"
{rivets}
[[stock]]
width = 48
length = 96
[[side]]
name = "left"
forward = "left"
post_width = 2
{side}
  [[side.bay]]
  width = 24
  height = 20
  count = 2
"""


def job_of(rivets: str = "", skin: str = "", side: str = "", text: str = METRIC) -> Job:
    return job_from_text(text.format(rivets=rivets, skin=skin, side=side), "job.toml")


def the_mistake(rivets: str = "", skin: str = "") -> Mistake:
    with pytest.raises(JobMistakes) as caught:
        job_of(rivets, skin)
    (mistake,) = caught.value.mistakes
    return mistake


def test_a_job_that_says_nothing_takes_the_built_in_table() -> None:
    rivets = job_of().rivets
    assert rivets.lengths == ()
    assert [row.length for row in rivets.length_table][:3] == [6.0, 8.0, 10.0]
    assert (rivets.material, rivets.shear_strength) == ("", None)


def test_a_table_of_lengths_is_read_in_order_of_the_grip() -> None:
    rivets = job_of(
        "lengths = [{ grip_max = 6, length = 11 }, { grip_max = 4, length = 9, grip_min = 1 }]"
    ).rivets
    plain = [GripRow(row.grip_min, row.grip_max, row.length) for row in rivets.lengths]
    # where grip_min is left out it is the grip_max before
    assert plain == [GripRow(1, 4, 9), GripRow(4, 6, 11)]


def test_lengths_in_inches_become_mm() -> None:
    job = job_of(
        'lengths = [{ grip_max = "1/4", length = "0.402" }]\nshear_strength = 540\nmaterial = "steel"',
        skin="tensile_strength = 45",
        text=INCHES,
    )
    (row,) = job.rivets.lengths
    assert [row.grip_max, row.length] == pytest.approx([6.35, 10.2108])
    # 540 lbf and 45 ksi
    assert job.rivets.shear_strength == pytest.approx(2402, abs=0.1)
    assert job.skin.tensile == pytest.approx(310.26, abs=0.01)


def test_metric_strengths_are_newtons_and_megapascals() -> None:
    job = job_of("shear_strength = 2900", "tensile_strength = 330\nyield_strength = 240")
    assert job.rivets.shear_strength == 2900
    assert (job.skin.tensile, job.skin.yield_strength) == (330, 240)


def test_boxes_may_name_the_length_of_their_rivets() -> None:
    job = job_of("packs = [{ count = 100, price = 9.5, length = 8 }, { count = 500, price = 40 }]")
    assert job.rivets.packs == (Pack(100, 9.5, 8.0), Pack(500, 40.0))


@pytest.mark.parametrize(
    ("rivets", "place", "says"),
    [
        (
            "packs = [{ count = 100, price = 9, length = 9 }]",
            "rivets, pack 1, length",
            "known are 6 mm, 8 mm, 10 mm",
        ),
        (
            "lengths = [{ grip_max = 6, length = 5 }]",
            "rivets, length 1, length",
            "must be more than what it closes, 6 mm",
        ),
        (
            "lengths = [{ grip_max = 6, length = 10, grip_min = 6 }]",
            "rivets, length 1, grip_min",
            "must be less than grip_max, 6 mm",
        ),
        (
            "lengths = [{ grip_max = 6, length = 10 }, { grip_max = 6, length = 11, grip_min = 2 }]",
            "rivets, length 2, grip_max",
            "two lengths have this grip_max",
        ),
        (
            "lengths = [{ grip_max = 4, length = 8 }]",
            "rivets, lengths",
            "the two sheets of a lap and the post close 4.4 mm, and no row of lengths does",
        ),
        ('material = "brass"', "rivets, material", '"steel", "aluminium"'),
        ("shear_strength = 0", "rivets, shear_strength", "more than zero"),
    ],
)
def test_each_mistake_about_rivets_is_told_with_its_place_and_a_remedy(
    rivets: str, place: str, says: str
) -> None:
    found = the_mistake(rivets)
    assert found.place == place
    assert says in found.remedy


def test_metal_too_thick_for_the_built_in_table_is_told_at_the_post() -> None:
    text = METRIC.replace("post_thickness = 2", "post_thickness = 24.5")
    with pytest.raises(JobMistakes) as caught:
        job_of(text=text)
    assert [found.place for found in caught.value.mistakes] == ["rivets, post_thickness"] * 2
    assert "one sheet and the post close 25.7 mm" in str(caught.value)


def test_a_grip_that_could_not_be_read_is_told_once() -> None:
    found = the_mistake('lengths = [{ grip_max = "wide", length = 10 }]')
    assert found.place == "rivets, length 1, grip_max"


def test_a_corner_of_four_sheets_that_no_length_closes_is_a_doubt() -> None:
    side = "rails = [250]"
    table = "lengths = [{ grip_max = 6.5, length = 10 }]"
    (doubt,) = [text for text in job_of(table, side=side).warnings if "corner" in text]
    # 4 x 1.2 + 2 = 6.8; three sheets close 5.6
    assert "a corner of 4 sheets and the post close 6.8 mm" in doubt
    assert not any("corner" in text for text in job_of(table).warnings)


def test_a_yield_strength_above_the_tensile_one_is_a_slip() -> None:
    found = the_mistake(skin="tensile_strength = 300\nyield_strength = 310")
    assert found.place == "skin, yield_strength"


def test_megapascals_in_an_inch_job_are_noticed() -> None:
    with pytest.raises(JobMistakes, match="it is in ksi in an inch job"):
        job_of(skin="tensile_strength = 450", text=INCHES)
