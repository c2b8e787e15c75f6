"""Going on after some sheets are cut: what the new job file says, and that its plan leaves the old panels alone."""

from __future__ import annotations

import json
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from functools import cache
from pathlib import Path
from random import Random

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st

from nesting.continuing import Continued, continued
from nesting.documents.planfile import plan_text
from nesting.job import FixedState, Job
from nesting.jobfile import job_from_text
from nesting.limits import SolveLimits
from nesting.plan import PlannedJob
from nesting.planning import plan_job
from nesting.reading.planrecord import PlanRecord, plan_record, read_plan
from nesting.starting.jobwriting import job_text
from shared.errors import JobMistakes, NothingFits, PlannerError
from tests.job_tables import job_tables
from tests.strategies import jobs

FOUR_BAYS = """\
title = "Four bays"
units = "in"

[seam]
cost = 12

[[stock]]
name = "4x4"
width = 48
length = 48
price = 50
available = 6
on_hand = 1

[[stock]]
name = "4x6"
width = 48
length = 72
price = 70

[[side]]
name = "driver side"
forward = "left"
post_width = 2
[[side.bay]]
width = "28 1/4"
height = '39 1/2"'
count = 4

[[patch]]
name = "lid"
width = 7
height = 7
quantity = 2
"""
"""Two panels of two bays, 60 3/4 long, fill a 4x6 each; a panel of one bay fits a 4x4."""

TALL = """\
units = "mm"
[cutting]
turn = "none"
gap = 0
edge_margin = 0
[[stock]]
name = "low"
width = 800
length = 1200
price = 50
[[side]]
name = "rear"
forward = "left"
post_width = 60
[[side.bay]]
width = 900
height = 1300
"""
"""One bay taller than the sheets are wide: two panels that meet on a backing strip."""

DOOR = """\
units = "mm"
[[stock]]
name = "small"
width = 1000
length = 1500
price = 55
[[side]]
name = "rear"
forward = "right"
rails = [800]
rail_width = 60
[[side.bay]]
width = 900
height = 1800
"""


@cache
def planned(text: str) -> PlannedJob:
    return plan_job(job_from_text(text, "job.toml"), SolveLimits(time_limit=3.0))


def record(whole: PlannedJob) -> PlanRecord:
    return plan_record(json.loads(plan_text(whole)))


def go_on(
    text: str, sheets: Sequence[int], spoiled: Sequence[str] = (), changed: str | None = None
) -> Continued:
    now = changed or text
    return continued(now, "job.toml", job_from_text(now, "job.toml"), record(planned(text)), sheets, spoiled)


def read(result: Continued) -> Job:
    return job_from_text(result.text, "job-2.toml")


def sheet_of(whole: PlannedJob, part: str) -> int:
    return next(n for n, s in enumerate(whole.plan.sheets, 1) if part in [p.part for p in s.parts])


def test_what_is_on_cut_sheets_is_fixed_under_its_name() -> None:
    whole = planned(FOUR_BAYS)
    first = [part.part for part in whole.plan.sheets[0].parts]
    result = go_on(FOUR_BAYS, [1])
    job = read(result)
    assert set(result.cut) == set(first)
    panels = {panel.name: panel for panel in whole.plan.panels}
    assert [(p.name, p.first_bay, p.last_bay, p.state) for p in job.fixed.panels] == [
        (name, panels[name].first_bay, panels[name].last_bay, FixedState.CUT)
        for name in panels
        if name in first
    ]


def test_a_spoiled_panel_is_planned_anew_and_the_others_are_left_alone() -> None:
    whole = planned(FOUR_BAYS)
    every = range(1, len(whole.plan.sheets) + 1)
    spoiled = whole.plan.panels[0].name
    again = planned(go_on(FOUR_BAYS, every, [spoiled.lower()]).text)
    assert {part.part for sheet in again.plan.sheets for part in sheet.parts} == {spoiled}
    assert {p.name: p.outline for p in again.plan.panels} == {p.name: p.outline for p in whole.plan.panels}
    assert [panel.name for panel in again.plan.panels if not panel.cut] == [spoiled]


def test_sheets_that_are_not_cut_are_on_hand_and_cost_nothing_more() -> None:
    whole = planned(FOUR_BAYS)
    again = planned(go_on(FOUR_BAYS, [1]).text)
    assert again.plan.sheet_cost == 0
    assert len(again.plan.sheets) == len(whole.plan.sheets) - 1


@pytest.mark.parametrize("sheets", [(), (1,), (1, 2)])
def test_sheets_neither_vanish_nor_multiply(sheets: tuple[int, ...]) -> None:
    whole = planned(FOUR_BAYS)
    job = read(go_on(FOUR_BAYS, sheets))
    used = {(s.stock.name, s.stock.on_hand) for s in whole.plan.sheets}
    for name, there, more in (("4x4", 1, 6), ("4x6", 0, None)):
        bought = sum(s.stock.name == name and not s.stock.on_hand for s in whole.plan.sheets)
        cut = sum(whole.plan.sheets[n - 1].stock.name == name for n in sheets)
        left = sum(s.available or 0 for s in job.stock if s.name == name and s.on_hand)
        assert left == there + bought - cut, (name, used)
        to_buy = [s.available for s in job.stock if s.name == name and not s.on_hand]
        assert to_buy == [None if more is None else more - bought]


def test_offcuts_of_cut_sheets_are_on_hand_rounded_down() -> None:
    whole = planned(FOUR_BAYS)
    pieces = list(whole.plan.sheets[0].offcuts)
    there = [s for s in read(go_on(FOUR_BAYS, [1])).stock if s.name.startswith("offcut")]
    assert sum(s.available or 0 for s in there) == len(pieces)
    for stock in there:
        assert any(0 <= piece.length - stock.length < 1.6 for piece in pieces)


def test_a_continued_job_can_be_continued() -> None:
    whole = planned(FOUR_BAYS)
    every = range(1, len(whole.plan.sheets) + 1)
    first, last = whole.plan.panels[0].name, whole.plan.panels[-1].name
    second = go_on(FOUR_BAYS, every, [first])
    third = go_on(second.text, [1], [last])
    assert third.spoiled == (last,)
    job = read(third)
    assert {panel.name for panel in job.fixed.panels} == {p.name for p in whole.plan.panels} - {last}
    assert job.title == "Four bays, continued 2"
    assert [patch.copies for patch in job.fixed.patches] == [(1, 2)]


def test_when_all_is_cut_nothing_is_left_to_buy() -> None:
    every = range(1, len(planned(FOUR_BAYS).plan.sheets) + 1)
    again = planned(go_on(FOUR_BAYS, every).text)
    assert again.plan.sheets == ()


def test_panels_that_end_on_a_rail_are_found_again() -> None:
    whole = planned(DOOR)
    assert len(whole.plan.panels) == 2
    lower = min(whole.plan.panels, key=lambda panel: panel.first_row)
    again = planned(go_on(DOOR, range(1, len(whole.plan.sheets) + 1), [lower.name]).text)
    assert {p.name: (p.first_row, p.cut) for p in again.plan.panels} == {
        p.name: (p.first_row, p is not lower) for p in whole.plan.panels
    }


def test_backing_strips_that_are_cut_are_not_cut_again() -> None:
    whole = planned(TALL)
    assert whole.plan.backing
    upper = max(whole.plan.panels, key=lambda panel: panel.first_row)
    again = planned(go_on(TALL, range(1, len(whole.plan.sheets) + 1), [upper.name]).text)
    assert {part.part for sheet in again.plan.sheets for part in sheet.parts} == {upper.name}
    assert [(s.patch, s.height) for s in again.plan.backing] == [
        (s.patch, s.height) for s in whole.plan.backing
    ]


def test_a_spoiled_strip_is_cut_again_at_its_height() -> None:
    whole = planned(TALL)
    strip = whole.plan.backing[0]
    again = planned(go_on(TALL, range(1, len(whole.plan.sheets) + 1), [strip.patch]).text)
    assert {part.part for sheet in again.plan.sheets for part in sheet.parts} == {strip.patch}
    assert [(s.height, s.cut) for s in again.plan.backing] == [(strip.height, False)]


def test_a_decided_panel_that_is_not_cut_stays_decided() -> None:
    decided = '[[fixed]]\nside = "driver side"\nfirst_bay = 2\nlast_bay = 2\nstate = "decided"\n'
    whole = planned(FOUR_BAYS + decided)
    name = next(panel.name for panel in whole.plan.panels if panel.first_bay == panel.last_bay == 2)
    others = [n for n in range(1, len(whole.plan.sheets) + 1) if n != sheet_of(whole, name)]
    (kept,) = [
        p for p in read(go_on(FOUR_BAYS + decided, others)).fixed.panels if p.state is FixedState.DECIDED
    ]
    assert (kept.name, kept.first_bay, kept.last_bay) == (name, 2, 2)


def test_a_job_for_which_nothing_is_left_to_buy_is_told() -> None:
    # one sheet, of which no offcut is worth keeping
    few = 'units = "mm"\n[[stock]]\nname = "only"\nwidth = 1000\nlength = 1000\nprice = 9\navailable = 1\n'
    few += '[[patch]]\nname = "lid"\nwidth = 950\nheight = 950\n'
    with pytest.raises(PlannerError, match="no sheet is left and none can be bought"):
        go_on(few, [1], ["lid#1"])


def test_what_does_not_go_with_the_plan_is_told_at_once() -> None:
    whole = planned(FOUR_BAYS)
    count = len(whole.plan.sheets)
    with pytest.raises(PlannerError, match=f"no sheet 99 in the plan; it has sheets 1 to {count}"):
        go_on(FOUR_BAYS, [99])
    part = whole.plan.sheets[1].parts[0].part
    with pytest.raises(PlannerError) as found:
        go_on(FOUR_BAYS, [1], ["D77", part])
    assert "there is no part 'D77'" in str(found.value)
    assert f"'{part}' is on sheet 2, which is not cut" in str(found.value)


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ('name = "driver side"', 'name = "other side"', "on side 'driver side', which the job does not have"),
        ("count = 4", "count = 2", "side 'driver side' has 2 bays"),
        ('name = "lid"', 'name = "hatch"', "no patch 'lid'"),
        ('name = "4x6"', 'name = "5x10"', "stock '4x6' of the plan is not in the job"),
        ('"28 1/4"', '"28 3/8"', "undo the change in the job file, or name the panel as spoiled"),
    ],
)
def test_a_job_that_was_changed_since_is_told(old: str, new: str, says: str) -> None:
    with pytest.raises(PlannerError, match=says):
        go_on(FOUR_BAYS, [1, 2], changed=FOUR_BAYS.replace(old, new))


def test_bays_measured_anew_need_only_their_own_panel_spoiled() -> None:
    text = FOUR_BAYS.replace(
        "count = 4\n", "count = 3\n\n[[side.bay]]\nwidth = '28 1/4'\nheight = '39 1/2'\n"
    )
    whole = planned(text)
    last = next(panel.name for panel in whole.plan.panels if panel.last_bay == 4)
    every = range(1, len(whole.plan.sheets) + 1)
    wider = text.replace("width = '28 1/4'", "width = '28 1/2'")
    again = planned(go_on(text, every, [last], changed=wider).text)
    assert {part.part for sheet in again.plan.sheets for part in sheet.parts} == {last}


def test_a_folder_without_a_plan_is_told(tmp_path: Path) -> None:
    with pytest.raises(PlannerError, match=r"no plan\.json lies here"):
        read_plan(tmp_path)
    with pytest.raises(PlannerError, match=r"no plan\.json lies here"):
        read_plan(tmp_path / "missing")


@pytest.mark.parametrize(
    "content",
    ["", "[]", "{}", '{"sheets": 3}', "null", '{"sheets": [{}], "panels": [], "backing": []}', "[" * 100_000],
)
def test_a_plan_of_another_make_is_told(tmp_path: Path, content: str) -> None:
    (tmp_path / "plan.json").write_text(content, encoding="utf-8")
    with pytest.raises(PlannerError, match="plan the job again"):
        read_plan(tmp_path)


def test_a_plan_is_read_back_as_it_was_written(tmp_path: Path) -> None:
    whole = planned(FOUR_BAYS)
    (tmp_path / "plan.json").write_text(plan_text(whole), encoding="utf-8")
    back = read_plan(tmp_path)
    assert [sheet.parts for sheet in back.sheets] == [
        tuple(part.part for part in sheet.parts) for sheet in whole.plan.sheets
    ]
    assert [panel.name for panel in back.panels] == [panel.name for panel in whole.plan.panels]
    assert replace(back, sheets=()) == replace(record(whole), sheets=())


# Not shrunk: each example is three searches, and a fault names what is wrong anyway.
@settings(
    deadline=None, max_examples=8, phases=(Phase.generate,), suppress_health_check=[HealthCheck.too_slow]
)
@given(jobs(max_bays=3, max_patches=2), st.randoms(use_true_random=False))
def test_panels_that_are_cut_keep_their_shape_and_are_never_cut_again(drawn: Job, random: Random) -> None:
    text = job_text(job_tables(drawn))
    with suppress(JobMistakes, NothingFits):
        whole = plan_job(job_from_text(text, "job.toml"), SolveLimits(time_limit=1.0))
        numbers = range(1, len(whole.plan.sheets) + 1)
        sheets = [number for number in numbers if random.random() < 0.6]
        there = [part.part for number in sheets for part in whole.plan.sheets[number - 1].parts]
        spoiled = [part for part in there if random.random() < 0.3]
        result = continued(text, "job.toml", whole.job, record(whole), sheets, spoiled)
        again = plan_job(read(result), SolveLimits(time_limit=1.0))
        before = {panel.name: panel for panel in whole.plan.panels}
        for panel in again.plan.panels:
            if panel.cut:
                assert [round(v, 3) for corner in panel.outline for v in corner] == [
                    round(v, 3) for corner in before[panel.name].outline for v in corner
                ]
        assert {part.part for sheet in again.plan.sheets for part in sheet.parts}.isdisjoint(result.cut)
