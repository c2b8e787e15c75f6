"""The jobs that are measured, and what is concluded from planning one again and again."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from subprocess import CalledProcessError

import pytest

import tests.bench.run as run_module
from nesting.job import Job
from tests.bench.bodies import added_up
from tests.bench.jobs import FULL, ORDER, SAMPLES, job_named
from tests.bench.measured import Measured
from tests.bench.orders import four_bodies, sixteenths
from tests.bench.repeat import Planned, random_jobs, repeat_faults, repeat_row
from tests.bench.run import NAMES, read_options
from tests.bench.setting import Setting
from tests.bench.table import Table
from tests.bench.zero_waste import sheets_of, zero_waste_task
from tests.zero_waste import zero_waste


def test_the_order_is_eight_sides_of_110_bays_and_160_patches() -> None:
    job = job_named(ORDER)
    assert len(job.sides) == 8
    widths = [bay.width / 25.4 for side in job.sides for bay in side.bays]
    assert len(widths) == 110
    assert sum(abs(width - 28) < 1 for width in widths) >= 100
    assert len(set(widths)) > 8
    assert sum(patch.quantity for patch in job.patches) == 160
    assert (len(job.patches), len(job.stock)) == (8, 5)
    assert job.warnings == ()


def test_the_order_is_the_same_each_time_and_another_for_another_seed() -> None:
    assert four_bodies(3) == four_bodies(3)
    assert four_bodies(3) != four_bodies(4)


@pytest.mark.parametrize(("count", "said"), [(449, "28 1/16"), (448, "28"), (454, "28 3/8"), (456, "28 1/2")])
def test_sixteenths_are_told_in_lowest_terms(count: int, said: str) -> None:
    assert sixteenths(count) == said
    assert sum(Fraction(part) for part in said.split()) == Fraction(count, 16)


@pytest.mark.parametrize(("bays", "sides"), [(13, 1), (26, 2), (52, 4), (104, 8), (208, 16)])
def test_bays_come_on_sides_of_thirteen_with_patches_in_proportion(bays: int, sides: int) -> None:
    job = job_named(f"bays:{bays}")
    assert [len(side.bays) for side in job.sides] == [13] * sides
    assert len({side.name for side in job.sides}) == sides
    usual = sum(patch.quantity for patch in job_named(FULL).patches)
    found = sum(patch.quantity for patch in job.patches)
    assert abs(found - usual * bays / 26) <= len(job.patches)


def test_parts_of_a_job_make_up_the_whole() -> None:
    whole = job_named(FULL)
    parts = [job_named(f"{FULL}/side:{i}") for i in range(len(whole.sides))]
    assert tuple(part.sides[0] for part in parts) == whole.sides
    assert all(part.patches == () for part in parts)
    patches = job_named(f"{FULL}/patches")
    assert (patches.sides, patches.patches) == ((), whole.patches)


@pytest.mark.parametrize("name", SAMPLES)
def test_samples_are_jobs_by_name(name: str) -> None:
    assert isinstance(job_named(name), Job)


def test_random_jobs_are_the_same_each_time() -> None:
    found = random_jobs(2)
    assert len(found) == 2
    assert found == random_jobs(2)


def run(cost: float, proved: bool = False, print: str = "a") -> Planned:
    return Planned(1.0, cost, proved, print)


def test_a_plan_that_costs_more_with_more_time_is_a_fault() -> None:
    assert list(repeat_faults([run(9), run(9), run(8), run(8)])) == []
    (fault,) = repeat_faults([run(9), run(8), run(8.5), run(8)])
    assert "costs 8.50 after 8.00" in fault


def test_no_plan_after_one_was_found_is_a_fault() -> None:
    assert list(repeat_faults([Planned(1.0), run(8), run(8)])) == []
    assert list(repeat_faults([run(8), Planned(3.0), run(8)])) != []


def test_only_a_proved_plan_must_be_the_same_again() -> None:
    assert list(repeat_faults([run(8), run(8, True, "a"), run(8, True, "a")])) == []
    assert list(repeat_faults([run(8), run(8, False, "a"), run(8, False, "b")])) == []
    assert list(repeat_faults([run(8), run(8, True, "a"), run(8, True, "b")])) != []


def test_two_proofs_at_different_costs_are_a_fault() -> None:
    assert "proved twice at different costs" in list(
        repeat_faults([run(8, True), run(7, True), run(7, True)])
    )


def test_a_run_that_broke_is_a_fault() -> None:
    broken = Planned(1.0, broken="PlanRejected: a bay is open")
    assert "PlanRejected: a bay is open" in list(repeat_faults([run(8), run(8), broken]))


def test_a_row_shows_every_cost_and_what_it_means() -> None:
    assert repeat_row([run(9), run(8, True, "a"), run(8, True, "a")]) == (9, 8, 8, True, True, True, 1000)
    assert repeat_row([Planned(1.0), run(8), run(8, False, "b")]) == (None, 8, 8, False, True, False, 1000)


def test_plans_apart_add_up() -> None:
    runs = [
        Measured(1.0, 1.0, 0.0, 1, status, cost, bound, 0.0, sheets, 2)
        for status, cost, bound, sheets in (("optimal", 60.0, 60.0, 3), ("feasible", 40.0, 30.0, 2))
    ]
    assert added_up(runs) == ("feasible", 100.0, 90.0, 10.0, 5, 4)


def test_a_bench_that_breaks_off_is_told_and_the_others_go_on(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def measured(name: str, *_: object) -> Iterator[Table]:
        if name == "order":
            raise CalledProcessError(1, "planner")
        yield Table(name, f"Table of {name}", ("a",), ((1,),))

    monkeypatch.setattr(run_module, "bench", measured)
    monkeypatch.setattr(run_module, "warm_up", lambda: None)
    assert run_module.main(["--only", "order", "--only", "growth"]) == 1
    told = capsys.readouterr().out
    assert "Table of growth" in told
    assert "order: broke off" in told


def test_a_fault_is_told_at_the_end_and_is_the_exit_status(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    def measured(name: str, setting: Setting, pool: object, faults: list[str]) -> Iterator[Table]:
        faults.append("a piece lies over the edge")
        yield Table(name, "Table", ("a",), ((1,),))

    monkeypatch.setattr(run_module, "bench", measured)
    assert run_module.main(["--only", "random", "--out", str(tmp_path)]) == 1
    assert capsys.readouterr().out.rstrip().endswith("a piece lies over the edge")
    assert (tmp_path / "random.json").exists()


def test_options_choose_benches_and_limits() -> None:
    setting, names = read_options(["--only", "growth", "--only", "start", "--quick", "--limit", "0.5"])
    assert names == ("start", "growth")
    assert (setting.packing_seconds, setting.job_seconds) == (0.5, 8.0)
    setting, names = read_options(["--jobs", "1"])
    assert names == NAMES
    assert (setting.jobs, setting.packing_seconds, setting.job_seconds) == (1, 12.0, 60.0)


@pytest.mark.parametrize(
    "wrong", [["--only", "none"], ["--jobs", "0"], ["--limit", "-1"], ["--limit", "nan"]]
)
def test_options_that_make_no_sense_are_refused(wrong: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        read_options(wrong)
    assert "usage" in capsys.readouterr().err


def test_zero_waste_sets_come_on_one_to_four_sheets_with_and_without_turning() -> None:
    found = set()
    for seed in range(8):
        task = zero_waste_task(seed, 10, 3, False, 1.0)
        assert sum(piece.length * piece.width for piece in task.pieces) == task.known
        cut_up = zero_waste(seed, 10, sheets=sheets_of(seed), kinds=3, turn=seed % 2 == 1).cut_up
        found.add((len(cut_up), task.pieces[0].turn))
    assert len(found) == 8
