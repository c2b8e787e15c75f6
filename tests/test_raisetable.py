"""Rows of a sweep over raises, counted by hand, stopped half way; and the table in words."""

from __future__ import annotations

import pickle
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from threading import Event

import pytest

from nesting.documents.raises.words import Headroom, answer, marks, notes
from nesting.job import Fixed, FixedPanel, FixedState, Job
from nesting.jobfile import job_from_text
from nesting.limits import SolveLimits
from nesting.plan import PlannedJob
from nesting.raisetable import Outcome, RaiseRow, Taken, plan_raise, raises_between, sweep, taken
from shared.errors import NothingFits, PlannerError
from tests.conftest import TWO_BAYS
from tests.hand_plans import base_job, planned_two_panels, railed, side
from tests.test_raising import FIVE_FOOT, INCH


def test_raises_run_from_the_first_to_the_last() -> None:
    assert raises_between(0.0, 3 * INCH, INCH) == pytest.approx([0.0, 25.4, 50.8, 76.2])
    assert raises_between(0.0, 60.0, 25.0) == (0.0, 25.0, 50.0)
    assert len(raises_between(0.0, 4 * INCH, INCH / 16)) == 65
    assert raises_between(5.0, 5.0, 1.0) == (5.0,)


@pytest.mark.parametrize(("first", "last", "step"), [(0.0, 10.0, 0.0), (10.0, 0.0, 1.0), (0.0, 201.0, 1.0)])
def test_raises_that_make_no_table_are_refused(first: float, last: float, step: float) -> None:
    with pytest.raises(PlannerError):
        raises_between(first, last, step)


@pytest.fixture(scope="module")
def planned_rows() -> dict[str, RaiseRow]:
    """Two bays of 28 1/4 by 39 1/2 with a post of 2, about the raises at which their one sheet changes."""
    job, narrow = job_from_text(TWO_BAYS + FIVE_FOOT, "two bays"), job_from_text(TWO_BAYS, "two bays")
    single = replace(narrow, stock=(replace(narrow.stock[0], available=1),))
    limits = SolveLimits(time_limit=20.0)
    return {
        "lying": plan_raise(job, 6 * INCH, limits),
        "standing": plan_raise(job, (6 + 1 / 8) * INCH, limits),
        "wider": plan_raise(job, (6 + 3 / 16) * INCH, limits),
        "seamed": plan_raise(narrow, 8 * INCH, limits),
        "too little": plan_raise(single, 30 * INCH, limits),
    }


def test_up_to_the_reach_of_its_width_one_sheet_closes_the_side(planned_rows: dict[str, RaiseRow]) -> None:
    # 39 1/2 + 6 + 2 of lands = 47 1/2: what a 48 in sheet has between its margins
    row = planned_rows["lying"].taken
    assert row is not None
    assert (row.stock, row.sheet_cost, row.seams, row.proved) == ((("4x8", 1),), 100.0, 0, True)


def test_beyond_it_two_panels_stand_on_end_as_long_as_the_sheet_is_long_enough(
    planned_rows: dict[str, RaiseRow],
) -> None:
    # 2 x 47 5/8 + 1/4 between = 95 1/2: what is left of 96; the seam costs 12, the wider sheet 60 more
    row = planned_rows["standing"].taken
    assert row is not None
    assert (row.stock, row.post_seams, row.level_seams, row.proved) == ((("4x8", 1),), 1, 0, True)


def test_a_sixteenth_more_takes_the_wider_sheet(planned_rows: dict[str, RaiseRow]) -> None:
    row = planned_rows["wider"].taken
    assert row is not None
    assert (row.stock, row.sheet_cost, row.seams, row.proved) == ((("5x8", 1),), 160.0, 0, True)


def test_without_a_wider_sheet_a_seam_comes_in(planned_rows: dict[str, RaiseRow]) -> None:
    row = planned_rows["seamed"].taken
    assert row is not None
    assert row.seams > 0


def test_a_raise_for_which_the_sheets_are_too_few_is_a_row_that_says_so(
    planned_rows: dict[str, RaiseRow],
) -> None:
    row = planned_rows["too little"]
    assert row.outcome is Outcome.NOTHING_FITS
    assert row.taken is None
    assert "raise 'available'" in row.why


def test_no_plan_in_time_is_told_apart_from_nothing_fits(monkeypatch: pytest.MonkeyPatch) -> None:
    from nesting.skin.nothingfits import none_found

    job = base_job()

    def late(raised: Job, limits: SolveLimits) -> PlannedJob:
        raise NothingFits(none_found(raised, proved=False))

    monkeypatch.setattr("nesting.raisetable.plan_job", late)
    assert plan_raise(job, 10.0, SolveLimits()).outcome is Outcome.NOT_FOUND


def test_seams_over_posts_and_on_rails_are_counted_apart() -> None:
    row = taken(planned_two_panels())
    assert (row.post_seams, row.level_seams, row.sheets, row.rivets) == (1, 0, 1, 86)
    assert (row.sheet_cost, row.total, row.proved) == (55.0, 132.0, True)
    job, plan = railed()
    row = taken(replace(planned_two_panels(), job=job, plan=plan))
    assert (row.post_seams, row.level_seams, row.proved) == (0, 1, False)


def by_hand(cost: Callable[[float], float]) -> Callable[[Job, SolveLimits], PlannedJob]:
    """A planner that answers at once, the one sheet at a price that hangs on the raise."""

    def plan(job: Job, limits: SolveLimits) -> PlannedJob:
        planned = planned_two_panels()
        (sheet,) = planned.plan.sheets
        priced = replace(sheet, stock=replace(sheet.stock, price=cost(job.sides[0].raise_height)))
        return replace(planned, plan=replace(planned.plan, sheets=(priced,)))

    return plan


def test_rows_come_by_their_raise_from_any_executor(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("nesting.raisetable.plan_job", by_hand(lambda height: height))
    seen: list[RaiseRow] = []
    with ThreadPoolExecutor(2) as threads:
        rows = sweep(base_job(), (30.0, 10.0, 20.0), SolveLimits(), threads, seen.append)
    assert [row.raise_height for row in rows] == [10.0, 20.0, 30.0]
    assert [row.taken.sheet_cost for row in rows if row.taken] == [10.0, 20.0, 30.0]
    assert sorted(seen, key=rows.index) == list(rows)


def test_a_stop_keeps_the_rows_that_are_done(monkeypatch: pytest.MonkeyPatch) -> None:
    first = Event()
    monkeypatch.setattr("nesting.raisetable.plan_job", by_hand(lambda height: height))

    def after_the_first(job: Job, height: float, limits: SolveLimits) -> RaiseRow:
        assert height == 1.0 or first.wait(10.0)
        return plan_raise(job, height, limits)

    monkeypatch.setattr("nesting.raisetable.plan_raise", after_the_first)
    with ThreadPoolExecutor(2) as threads:
        rows = sweep(base_job(), range(1, 1000), SolveLimits(), threads, lambda _: first.set(), first.is_set)
    assert rows[0].raise_height == 1.0
    assert len(rows) < 999


def test_a_run_can_travel_to_another_process_and_back() -> None:
    job = base_job(sides=(side(raise_height=520.0),))
    work, height, limits = pickle.loads(pickle.dumps((plan_raise, 0.0, SolveLimits(5.0, 3))))
    row = work(pickle.loads(pickle.dumps(job)), height, limits)
    assert row.outcome is Outcome.IMPOSSIBLE
    assert pickle.loads(pickle.dumps(row)) == row


def test_a_job_with_panels_cut_already_or_without_sides_is_refused() -> None:
    cut = Fixed(panels=(FixedPanel("driver side", 1, 1, FixedState.CUT),))
    with ThreadPoolExecutor(1) as threads:
        for job in (base_job(fixed=cut), base_job(sides=())):
            with pytest.raises(PlannerError):
                sweep(job, (0.0,), SolveLimits(), threads)


def row_of(height: float, cost: float, posts: int, levels: int, proved: bool = True) -> RaiseRow:
    gap = 0.0 if proved else 0.04
    amounts = Taken((("s", 1),), posts, levels, cost, 10.0 * (posts + levels), cost, 80, 88, 7.0, proved, gap)
    return RaiseRow(height, Outcome.PLANNED, amounts)


ROWS = (
    row_of(0.0, 100.0, 1, 0),
    row_of(25.0, 100.0, 1, 0),
    row_of(50.0, 140.0, 1, 2),
    row_of(75.0, 140.0, 1, 2, proved=False),
    row_of(425.0, 120.0, 2, 2),
    RaiseRow(450.0, Outcome.NOTHING_FITS, why="first line\nlast line"),
)


def test_the_answer_says_where_price_or_seams_change_and_by_how_much() -> None:
    assert answer(base_job(), ROWS) == (
        "Up to 25 mm: sheets for 100.00, 1 seam over a post.",
        "From 50 to 75 mm: 40.00 dearer, 2 level seams more "
        "(sheets for 140.00, 1 seam over a post and 2 level seams; not proved).",
        "At 425 mm: 20.00 cheaper, 1 seam over a post more "
        "(sheets for 120.00, 2 seams over posts and 2 level seams).",
        "At 450 mm: nothing fits.",
        "The dearest step is from 25 to 50 mm: 60.00 more, sheets and seams together.",
    )


def test_notes_say_what_is_not_proved_what_does_not_fit_and_what_is_advised_against() -> None:
    said = " ".join(notes(base_job(), ROWS, Headroom(3000.0, 3040.0)))
    assert "allows a raise of 40 mm at most; 4 raises in this table are over it" in said
    assert "more than 406.5 mm is advised against whatever the length" in said
    assert "no published source" in said
    assert "Not proved at 75 mm" in said
    assert "450 mm: nothing fits: first line; last line" in said


def test_a_vehicle_too_high_already_is_said() -> None:
    assert any("10 mm over the limit" in note for note in notes(base_job(), ROWS, Headroom(3050.0, 3040.0)))


def test_a_raise_just_at_a_limit_is_not_over_it() -> None:
    headroom = Headroom(3000.0, 3406.4)
    assert marks(row_of(406.4, 1.0, 0, 0), headroom) == ()
    assert marks(row_of(406.5, 1.0, 0, 0), headroom) == ("over the limit of height", "advised against")
