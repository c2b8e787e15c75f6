"""`reskin read`: from the table that `reskin measure` wrote to a job file that can be checked and planned."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from click.testing import CliRunner

from cli.main import main
from nesting.jobfile import read_job
from tests.filled_tables import TWO_BAYS, as_csv, filled, two_bays


def run(*arguments: str) -> tuple[int, str]:
    result = CliRunner().invoke(main, [*arguments])
    return result.exit_code, result.output


@pytest.fixture
def sheet(tmp_path: Path) -> Path:
    path = tmp_path / "readings.csv"
    path.write_text(two_bays(), encoding="utf-8", newline="")
    return path


def test_from_the_blank_sheet_to_a_checked_job_in_three_commands(tmp_path: Path) -> None:
    assert run("measure", "--bays", "2", "--out", str(tmp_path))[0] == 0
    table, job_file = tmp_path / "readings.csv", tmp_path / "bus.toml"
    with table.open(encoding="utf-8", newline="") as file:
        rows = filled(list(csv.reader(file)), TWO_BAYS)
    table.write_text(as_csv(rows), encoding="utf-8", newline="")
    code, said = run("read", str(table), "--out", str(job_file))
    assert code == 0, said
    assert "driver side with 2 bays" in said
    assert run("check", str(job_file))[0] == 0
    job = read_job(job_file)
    assert [round(bay.width, 2) for bay in job.sides[0].bays] == [717.55, 711.2]


def test_mistakes_are_told_with_the_file_and_nothing_is_written(tmp_path: Path) -> None:
    table, job_file = tmp_path / "readings.csv", tmp_path / "bus.toml"
    table.write_text(two_bays(bay_1_width="wide", post_1_width=""), encoding="utf-8", newline="")
    code, said = run("read", str(table), "--out", str(job_file))
    assert code == 1
    assert "2 mistakes in readings.csv" in said
    assert "row 4 (number 2), 'driver side', bay 1, width: read 'wide'" in said
    assert "row 9 (number 7), 'driver side', post 1, width: is missing" in said
    assert not job_file.exists()


def test_a_job_file_that_is_there_stays(tmp_path: Path, sheet: Path) -> None:
    job_file = tmp_path / "bus.toml"
    job_file.write_text("mine", encoding="utf-8")
    code, said = run("read", str(sheet), "--out", str(job_file))
    assert code == 1
    assert "is there already" in said
    assert job_file.read_text(encoding="utf-8") == "mine"


def test_doubts_stand_on_the_terminal(tmp_path: Path) -> None:
    table = tmp_path / "readings.csv"
    # bays and post add up to 58 1/4; 1/4 in more is no tape's error, and less than a wrong reading for sure
    table.write_text(two_bays(side_overall="58 1/2"), encoding="utf-8", newline="")
    code, said = run("read", str(table), "--out", str(tmp_path / "bus.toml"))
    assert code == 0
    assert "measure again before cutting" in " ".join(said.split())


def test_a_table_that_is_not_there_is_told(tmp_path: Path) -> None:
    code, said = run("read", str(tmp_path / "none.csv"), "--out", str(tmp_path / "bus.toml"))
    assert code == 1
    assert "no such file" in said


def test_a_job_file_that_cannot_be_written_is_told(tmp_path: Path, sheet: Path) -> None:
    (tmp_path / "file").write_text("", encoding="utf-8")
    code, said = run("read", str(sheet), "--out", str(tmp_path / "file" / "bus.toml"))
    assert code == 1
    assert "cannot be written" in said
