"""What is decided already, in the job file: what is read, and how each mistake is told."""

from __future__ import annotations

import pytest

from nesting.job import Fixed, FixedPanel, FixedPatch, FixedState, FixedStrip
from tests.job_texts import job, mistakes, the_mistake

INCH = 25.4
RAIL = 609.6

BODY = """\
[[stock]]
name = "4x8"
width = 48
length = 96
price = 98

[[side]]
name = "left"
forward = "left"
posts = [2, "1/2", 2]
rails = [24]
rail_width = 2
[[side.bay]]
width = 28
height = 40
count = 4
[[side.window]]
bay = 4
from_left = 4
from_bottom = 20
width = 20
height = 16

[[side]]
name = "rear"
forward = "right"
[[side.bay]]
width = 60
height = 120

[[patch]]
name = "hatch"
width = 20
height = 20
quantity = 3
"""


def fixed(*entries: str) -> str:
    return BODY + "".join(f"[[fixed]]\n{entry}\n" for entry in entries)


def panel(first: int, last: int, more: str = "", state: str = "cut") -> str:
    return f'side = "left"\nfirst_bay = {first}\nlast_bay = {last}\nstate = "{state}"\n{more}'


def test_panels_run_the_full_height_where_no_rail_is_named() -> None:
    read = job(fixed(panel(1, 1, 'name = "L9"'), panel(2, 3, "to_rail = 24", "decided"))).fixed
    assert read == Fixed(
        panels=(
            FixedPanel("left", 1, 1, FixedState.CUT, name="L9"),
            FixedPanel("left", 2, 3, FixedState.DECIDED, to_rail=RAIL),
        )
    )


def test_one_bay_is_meant_where_the_last_is_left_out() -> None:
    read = job(fixed('side = "left"\nfirst_bay = 1\nstate = "cut"')).fixed.panels
    assert [(panel.first_bay, panel.last_bay) for panel in read] == [(1, 1)]


def test_a_rail_may_be_written_in_another_unit() -> None:
    (read,) = job(fixed(panel(1, 1, 'from_rail = "609.6 mm"'))).fixed.panels
    assert read.from_rail == RAIL


def test_copies_that_are_counted_are_the_first_that_nobody_named() -> None:
    numbered = 'patch = "hatch"\ncopies = [1]\nstate = "cut"'
    counted = 'patch = "hatch"\nstate = "cut"'
    assert job(fixed(counted, numbered)).fixed.patches == (FixedPatch("hatch", (1, 2)),)


def test_a_panel_may_end_on_a_backing_strip_that_is_told() -> None:
    strips = 'side = "rear"\nfirst_bay = 1\nstrip = 50\nstate = "cut"'
    read = job(fixed('side = "rear"\nfirst_bay = 1\nto_rail = 50\nstate = "cut"', strips)).fixed
    assert read.strips == (FixedStrip("rear", 1, 1, 50 * INCH, FixedState.CUT),)
    assert read.panels[0].to_rail == 50 * INCH


def test_a_panel_that_is_cut_may_be_larger_than_any_sheet() -> None:
    assert job(fixed('side = "rear"\nfirst_bay = 1\nstate = "cut"')).fixed.panels


@pytest.mark.parametrize(
    ("entry", "place", "read", "says"),
    [
        ('side = "lefd"\nfirst_bay = 1\nstate = "cut"', "fixed 1, side", "'lefd'", "did you mean 'left'"),
        ('side = "roof"\nfirst_bay = 1\nstate = "cut"', "fixed 1, side", "'roof'", "'left', 'rear'"),
        ('patch = "hutch"\nstate = "cut"', "fixed 1, patch", "'hutch'", "did you mean 'hatch'"),
        (panel(3, 5), "fixed 1, last_bay", "5", "bays 1 to 4"),
        (panel(3, 1), "fixed 1, last_bay", "1", "less than first_bay, 3"),
        ('side = "left"\nstate = "cut"', "fixed 1, first_bay", "", "write the first bay"),
        ('first_bay = 1\nstate = "cut"', "fixed 1, side", "", "for a panel, or patch"),
        (panel(1, 1, state="done"), "fixed 1, state", "'done'", '"cut" or "decided"'),
        ('side = "left"\nfirst_bay = 1', "fixed 1, state", "", 'state = "cut"'),
        (panel(1, 1, 'from_rail = "24 1/2"'), "fixed 1, from_rail", "'24 1/2'", "they lie at 24 in"),
        (panel(1, 1, "from_rail = 24\nto_rail = 24"), "fixed 1, to_rail", "24", "above from_rail"),
        (panel(1, 1, "quantity = 2"), "fixed 1, quantity", "2", "nothing of a panel"),
        (panel(1, 1, 'name = "hatch#2"'), "fixed 'hatch#2', name", "'hatch#2'", "another part has this name"),
        ('patch = "hatch"\nside = "left"\nstate = "cut"', "fixed 1, side", "'left'", "nothing of a patch"),
        ('patch = "hatch"\nquantity = 4\nstate = "cut"', "fixed 1, quantity", "4", "the job asks for 3"),
        ('patch = "hatch"\ncopies = [4]\nstate = "cut"', "fixed 1, copies", "4", "copies are 1 to 3"),
        ('patch = "hatch"\ncopies = [2, 2]\nstate = "cut"', "fixed 1, copies", "2", "told twice"),
        ('patch = "hatch"\nstate = "decided"', "fixed 1, state", "'decided'", "leave the entry out"),
        ('patch = "hatch"\ncopies = 2\nstate = "cut"', "fixed 1, copies", "2", "such as [1, 2, 5]"),
        ('side = "left"\nfirst_bay = 1\nstrip = 24\nstate = "cut"', "fixed 1, strip", "24", "a rail lies"),
        ('side = "left"\nfirst_bay = 1\nstrip = 60\nstate = "cut"', "fixed 1, strip", "60", "does not cross"),
        (panel(1, 2), "fixed 1, last_bay", "2", "the post after bay 2: its face is narrower than 1 in"),
        (panel(4, 4, "to_rail = 24"), "fixed 1, to_rail", "24", "the window in bay 4 bars"),
        (
            'side = "rear"\nfirst_bay = 1\nstate = "decided"',
            "fixed 1",
            "'62 x 122 in'",
            "at least 62 1/2 in wide and 122 1/2 in long",
        ),
    ],
)
def test_each_mistake_is_told_with_its_place_its_value_and_a_remedy(
    entry: str, place: str, read: str, says: str
) -> None:
    found = the_mistake(fixed(entry))
    assert (found.place, found.read) == (place, read.replace("'62 x 122 in'", "62 x 122 in"))
    assert says in found.remedy


def test_panels_must_not_share_a_bay() -> None:
    found = the_mistake(fixed(panel(1, 1), panel(1, 3)))
    assert (found.place, found.read) == ("fixed 2, first_bay", "1")
    assert "bay 1 is covered by fixed 1 already" in found.remedy


def test_panels_above_and_below_a_rail_share_no_bay() -> None:
    assert len(job(fixed(panel(1, 1, "to_rail = 24"), panel(1, 1, "from_rail = 24"))).fixed.panels) == 2


def test_two_panels_cannot_have_one_name() -> None:
    found = the_mistake(fixed(panel(1, 1, 'name = "L1"'), panel(2, 3, 'name = "l1"')))
    assert found.place == "fixed 'l1', name"


def test_more_copies_cut_than_asked_for_are_told_over_all_entries() -> None:
    two = 'patch = "hatch"\nquantity = 2\nstate = "cut"'
    found = the_mistake(fixed(two, two))
    assert found.place == "fixed 2, quantity"
    assert "the job asks for 3 and 2 are told already" in found.remedy


def test_all_mistakes_are_told_at_once() -> None:
    found = mistakes(fixed(panel(9, 9), 'patch = "lid"\nstate = "cut"', panel(1, 1, "to_rail = 3")))
    assert {mistake.place for mistake in found} == {"fixed 1, last_bay", "fixed 2, patch", "fixed 3, to_rail"}


def test_a_patch_that_is_cut_need_fit_no_sheet() -> None:
    large = BODY.replace("width = 20\nheight = 20\nquantity = 3", "width = 50\nheight = 200")
    assert mistakes(large)
    assert job(large + '[[fixed]]\npatch = "hatch"\nstate = "cut"\n').fixed.patches


def test_rails_that_cannot_be_read_do_not_stop_the_reading_of_the_rest() -> None:
    found = mistakes(fixed(panel(1, 1, "from_rail = 30")).replace("rails = [24]", 'rails = ["x", 24]'))
    assert {mistake.place for mistake in found} == {"side 'left', rails, item 1", "fixed 1, from_rail"}


def test_bays_that_cannot_be_read_do_not_stop_the_reading_of_the_rest() -> None:
    found = mistakes(fixed(panel(1, 1), panel(1, 2)).replace("height = 40\n", 'height = "x"\n'))
    assert [mistake.place for mistake in found] == ["side 'left', bays 1 to 4 ([[side.bay]] entry 1), height"]


def test_bays_that_cannot_be_counted_say_nothing_of_a_decided_panel() -> None:
    (found,) = mistakes(fixed(panel(2, 3)).replace("count = 4", 'count = "4"'))
    assert found.place.endswith("count")
