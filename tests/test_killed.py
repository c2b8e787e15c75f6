"""Killed at any moment: the results folder holds the earlier results whole or the new ones whole, and nothing stays."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
from pathlib import Path
from random import Random

import pytest

from nesting.filefolder import LEFTOVER, check_output_folder, held, write_files
from nesting.starting.newfiles import write_new
from tests.soak.killing import killed_runs

pytestmark = pytest.mark.skipif(os.name != "posix", reason="signals and locks")


def swapping(folder: Path, killed_at: int) -> None:
    """A process that writes ``folder`` anew and is killed when it renames for the nth time."""
    program = f"""
import os, signal, sys
from pathlib import Path
from nesting.filefolder import write_files
rename, calls = Path.rename, []
def renamed(self, target):
    calls.append(self)
    if len(calls) == {killed_at}:
        os.kill(os.getpid(), signal.SIGKILL)
    return rename(self, target)
Path.rename = renamed
write_files({{"plan.json": lambda path: path.write_text("new")}}, Path(sys.argv[1]))
"""
    ended = subprocess.run([sys.executable, "-c", program, str(folder)], cwd=Path.cwd(), check=False)
    assert ended.returncode == -signal.SIGKILL


def written(folder: Path, text: str) -> None:
    write_files({"plan.json": lambda path: path.write_text(text)}, folder)


def said(folder: Path) -> str | None:
    plan = folder / "plan.json"
    return plan.read_text() if plan.exists() else None


@pytest.mark.parametrize(
    ("killed_at", "left", "mended"), [(1, "old", "old"), (2, None, "old"), (3, "new", "new")]
)
def test_killed_between_two_moves_nothing_is_lost(
    tmp_path: Path, killed_at: int, left: str | None, mended: str
) -> None:
    # moves: the old folder aside, the new one in, the old one marked as done with
    folder = tmp_path / "results"
    written(folder, "old")
    swapping(folder, killed_at)
    assert said(folder) == left
    check_output_folder(folder)
    assert said(folder) == mended
    assert [path.name for path in tmp_path.iterdir()] == ["results"]


def test_the_next_run_replaces_what_it_has_put_back(tmp_path: Path) -> None:
    folder = tmp_path / "results"
    written(folder, "old")
    swapping(folder, 2)
    written(folder, "newer")
    assert said(folder) == "newer"
    assert [path.name for path in tmp_path.iterdir()] == ["results"]


def test_what_a_run_into_another_folder_left_is_not_touched(tmp_path: Path) -> None:
    written(tmp_path / "one", "old")
    swapping(tmp_path / "one", 2)
    written(tmp_path / "two", "new")
    assert said(tmp_path / "one") is None
    check_output_folder(tmp_path / "one")
    assert said(tmp_path / "one") == "old"


def test_the_workshop_of_a_run_that_lives_is_not_touched(tmp_path: Path) -> None:
    folder = tmp_path / "results"
    seen: list[Path] = []

    def slowly(path: Path) -> None:
        check_output_folder(folder)
        seen.extend(tmp_path.glob(f"{LEFTOVER}*/new"))
        path.write_text("new")

    write_files({"plan.json": slowly}, folder)
    assert len(seen) == 1
    assert said(folder) == "new"


@pytest.mark.parametrize("name", [".reskin-notes", ".reskin-abcdefgh"])
def test_a_folder_of_somebody_else_with_such_a_name_stays(tmp_path: Path, name: str) -> None:
    theirs = tmp_path / name / "new"
    theirs.mkdir(parents=True)
    (theirs.parent / "target").write_text("results")
    (theirs.parent / "letter.txt").write_text("mine")
    written(tmp_path / "results", "new")
    assert (theirs.parent / "letter.txt").read_text() == "mine"


def test_half_a_new_file_is_cleared_by_the_next_run_and_one_in_use_is_not(tmp_path: Path) -> None:
    litter, in_use = tmp_path / ".reskin-0000abcd", tmp_path / ".reskin-1111abcd"
    litter.write_text("half of i")
    in_use.write_text("half of i")
    with held(in_use):
        write_new({tmp_path / "one.toml": lambda path: path.write_text("1")})
    assert sorted(path.name for path in tmp_path.iterdir()) == [".reskin-1111abcd", "one.toml"]


def test_several_new_files_in_one_folder_do_not_clear_each_other(tmp_path: Path) -> None:
    names = ("one.toml", "two.toml", "three.toml")
    write_new({tmp_path / name: lambda path: path.write_text("whole") for name in names})
    assert {path.name: path.read_text() for path in tmp_path.iterdir()} == dict.fromkeys(names, "whole")


def test_a_plan_killed_at_random_leaves_whole_results(tmp_path: Path, two_bays: Path) -> None:
    runs = list(killed_runs(two_bays, tmp_path, 4, Random("killed")))
    assert len(runs) == 4
    assert [run for run in runs if not run.sound] == []
