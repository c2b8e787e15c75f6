"""`reskin continue`: from a plan and its job file to the next job file, and on to the next plan."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner

from cli.main import main


@pytest.fixture
def first_plan(two_bays: Path, tmp_path: Path) -> Path:
    """The folder with the plan of two bays: one sheet with the panel D1 and a lamp cover."""
    folder = tmp_path / "plan"
    result = CliRunner().invoke(main, ["plan", str(two_bays), "--out", str(folder), "--time-limit", "5"])
    assert result.exit_code == 0, result.output
    return folder


def go_on(job_file: Path, folder: Path, out: Path, *more: str) -> tuple[int, str]:
    result = CliRunner().invoke(main, ["continue", str(job_file), str(folder), "--out", str(out), *more])
    return result.exit_code, result.output


def test_a_spoiled_panel_is_planned_again_in_two_commands(
    two_bays: Path, first_plan: Path, tmp_path: Path
) -> None:
    out = tmp_path / "again.toml"
    code, said = go_on(two_bays, first_plan, out, "--cut", "all", "--spoiled", "D1")
    assert code == 0
    assert "Spoiled     D1" in said
    assert "do not cut them by its drawings" in " ".join(said.split())
    folder = tmp_path / "plan-2"
    result = CliRunner().invoke(main, ["plan", str(out), "--out", str(folder), "--time-limit", "5"])
    assert result.exit_code == 0, result.output
    plan = json.loads((folder / "plan.json").read_text(encoding="utf-8"))
    assert [part["part"] for sheet in plan["sheets"] for part in sheet["parts"]] == ["D1"]
    assert plan["patches_cut_already"] == ["lamp cover#1"]
    assert plan["title"] == "Two bays, continued"


def test_the_new_job_file_never_replaces_another(two_bays: Path, first_plan: Path) -> None:
    before = two_bays.read_text(encoding="utf-8")
    code, said = go_on(two_bays, first_plan, two_bays, "--cut", "all")
    assert (code, two_bays.read_text(encoding="utf-8")) == (1, before)
    assert "is there already" in said


@pytest.mark.parametrize("sheets", ["", "x", "1-", "3-2", "0", "1,,2", "1-999999"])
def test_sheets_that_are_no_numbers_are_a_usage_error(two_bays: Path, tmp_path: Path, sheets: str) -> None:
    code, said = go_on(two_bays, tmp_path, tmp_path / "x.toml", "--cut", sheets)
    assert code == 2
    assert "1-3,5" in said


def test_sheets_must_be_named(two_bays: Path, tmp_path: Path) -> None:
    code, said = go_on(two_bays, tmp_path, tmp_path / "x.toml")
    assert code == 2
    assert "--cut" in said


def test_no_sheet_may_be_cut_yet(two_bays: Path, first_plan: Path, tmp_path: Path) -> None:
    out = tmp_path / "again.toml"
    code, said = go_on(two_bays, first_plan, out, "--cut", "none")
    assert code == 0
    assert "On hand     1 of 4x8" in said
    assert "[[fixed]]" not in out.read_text(encoding="utf-8")


def test_a_folder_without_a_plan_is_told(two_bays: Path, tmp_path: Path) -> None:
    code, said = go_on(two_bays, tmp_path / "none", tmp_path / "x.toml", "--cut", "1")
    assert code == 1
    assert "no plan.json lies here" in said


def test_offcuts_of_an_earlier_plan_are_used(two_bays: Path, first_plan: Path, tmp_path: Path) -> None:
    folder = tmp_path / "plan-2"
    text = two_bays.read_text(encoding="utf-8")
    patch_alone = tmp_path / "patch.toml"
    patch_alone.write_text(text[: text.index("[[side]]")] + text[text.index("[[patch]]") :], encoding="utf-8")
    offcuts = str(first_plan / "offcuts.csv")
    arguments = ["plan", str(patch_alone), "--out", str(folder), "--time-limit", "5", "--offcuts", offcuts]
    result = CliRunner().invoke(main, arguments)
    assert result.exit_code == 0, result.output
    assert "on hand" in result.output
    checked = CliRunner().invoke(main, ["check", str(two_bays), "--offcuts", offcuts])
    assert "offcut " in checked.output
    assert "check material and thickness" in " ".join(checked.output.split())
