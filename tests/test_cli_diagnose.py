"""`reskin diagnose`: what helps to find a fault, and nothing private, whatever the job file is like."""

from __future__ import annotations

import getpass
import json
import os
import platform
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from cli import installation, jobcounts
from cli.main import main
from tests.conftest import TWO_BAYS

ROOT = Path(__file__).resolve().parent.parent

SECRETS = ("Smith", "Two bays", "driver side", "lamp cover", "39 1/2", "28 1/4", "frobnicate", "Acme")
"""Words and lengths of the job files below that nobody may read in a report."""


@pytest.fixture(autouse=True)
def _tiny_job_only_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(installation, "tiny_job", lambda: "left to its own test")


def report(*arguments: object) -> dict[str, Any]:
    """The report as JSON, when its text has been found to be no less private."""
    ran = CliRunner().invoke(main, ["diagnose", *map(str, arguments)])
    assert ran.exit_code == 0, ran.output
    told = CliRunner().invoke(main, ["diagnose", *map(str, arguments), "--json"])
    for text in (ran.stdout, told.stdout):
        assert_private(text)
    return dict(json.loads(told.stdout))


def assert_private(text: str) -> None:
    for word in (str(Path.home()) + os.sep, str(Path.cwd()), str(ROOT), platform.node(), *SECRETS):
        assert not word or word not in text
    # the user's name may be a common word of the report, such as root in a path of ours
    assert f"{os.sep}{getpass.getuser()}" not in text


def test_versions_and_machine_are_told() -> None:
    told = report()
    assert told["python"].startswith(f"CPython {platform.python_version()}")
    assert set(told["packages"]) >= {"ortools", "numba", "shapely", "ezdxf"}
    assert "not installed" not in told["packages"].values()
    assert told["compiled loops"]
    assert "job" not in told


def test_a_tiny_job_is_planned_as_it_should_be(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.undo()
    assert installation.tiny_job() == "planned and passed its check: optimal at 90, as it should be"


def test_a_tiny_job_that_fails_is_told_with_lines_of_ours_and_no_message(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.undo()

    def fail(*_: object) -> None:
        raise RuntimeError("disk of Smith is full")

    monkeypatch.setattr("nesting.planning.plan_job", fail)
    told = installation.tiny_job()
    assert told.startswith("not planned: RuntimeError at cli/installation.py:")
    assert_private(told)


def test_a_job_is_told_in_counts(two_bays: Path) -> None:
    job = report(two_bays)["job"]
    assert job["file"] == "two-bays.toml"
    assert (job["read"], job["units"], job["sides"]) == ("yes", "in", 1)
    assert job["bays"] == "2, of which 0 are no rectangles"
    assert job["patches"] == "1 kinds, 1 pieces"


def test_mistakes_are_told_by_place_without_words_of_the_user(tmp_path: Path) -> None:
    wrong = TWO_BAYS.replace('height = "39 1/2"', 'height = "Smith 39 1/2"\nfrobnicate = "Acme"')
    job_file = tmp_path / "wrong.toml"
    job_file.write_text(wrong, encoding="utf-8")
    job = report(job_file)["job"]
    assert job["read"] == "2 mistakes, at"
    assert job["places"] == [
        "side ..., bays 1 to 2 ([[side.bay]] entry 1), height",
        "side ..., bays 1 to 2 ([[side.bay]] entry 1), ...",
    ]


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [
        ("broken.toml", b'title = "Smith\n', "1 mistake, at"),
        ("bytes.toml", bytes(range(256)), "no: "),
        ("empty.toml", b"", "mistake"),
        ("missing.toml", None, "no: FileNotFoundError"),
    ],
)
def test_a_job_file_that_is_none_is_told_by_what_is_wrong(
    name: str, data: bytes | None, told: str, tmp_path: Path
) -> None:
    if data is not None:
        (tmp_path / name).write_bytes(data)
    job = report(tmp_path / name)["job"]
    assert job["file"] == name
    assert told in job["read"]


def test_a_folder_in_place_of_a_job_file_is_told(tmp_path: Path) -> None:
    assert report(tmp_path)["job"]["read"].startswith("no: ")


def test_a_fault_of_ours_is_told_with_its_lines(two_bays: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def fail(*_: object) -> None:
        raise KeyError("driver side")

    monkeypatch.setattr("nesting.jobfile.read_job", fail)
    assert report(two_bays)["job"]["read"].startswith(
        "no, and this is a fault in reskin: KeyError at cli/jobcounts.py:"
    )


def test_words_that_are_no_keys_are_left_out_of_a_place() -> None:
    assert jobcounts.known_words("side 'Smith', bay 4, width") == "side ..., bay 4, width"
    assert jobcounts.known_words("side Smith's 2, height") == "side ...'... 2, height"


def test_it_works_from_an_empty_folder(tmp_path: Path) -> None:
    code = "from cli.main import main; main()"
    environment = {**os.environ, "PYTHONPATH": str(ROOT)}
    ran = subprocess.run(
        [sys.executable, "-c", code, "diagnose"],
        cwd=tmp_path,
        env=environment,
        capture_output=True,
        text=True,
        check=True,
    )
    assert "as it should be" in ran.stdout
    assert str(tmp_path) not in ran.stdout
    assert list(tmp_path.iterdir()) == []
    assert_private(ran.stdout)
