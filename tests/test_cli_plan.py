"""`reskin plan`: files, summary, JSON, refusals, and Ctrl-C."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import ezdxf
import pytest
from click.testing import CliRunner, Result

from cli.main import main
from nesting.documents.planfile import plan_document
from tests.hand_plans import planned_two_panels

ROOT = Path(__file__).resolve().parent.parent


@pytest.fixture
def planned_by_hand(monkeypatch: pytest.MonkeyPatch) -> None:
    """Planning gives the hand-made plan of two panels at once: these tests are about the command."""
    monkeypatch.setattr("nesting.planning.plan_job", lambda job, limits: planned_two_panels())


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, ["plan", *map(str, arguments)], catch_exceptions=False)


@pytest.mark.usefixtures("planned_by_hand")
def test_summary_goes_to_stdout_and_the_files_to_the_folder(two_bays: Path, tmp_path: Path) -> None:
    ran = run(two_bays, "--out", tmp_path / "out")
    assert ran.exit_code == 0
    assert "To pay      132.00" in ran.stdout
    assert (tmp_path / "out" / "plan.json").is_file()
    written = [path for path in (tmp_path / "out").rglob("*") if path.is_file() and path.name[0] != "."]
    assert f"{len(written)} files in" in ran.stdout


@pytest.mark.usefixtures("planned_by_hand")
def test_json_is_the_plan_and_its_timing_and_nothing_else(two_bays: Path, tmp_path: Path) -> None:
    ran = run(two_bays, "--out", tmp_path / "out", "--json")
    printed = json.loads(ran.stdout)
    timing = printed.pop("timing")
    assert printed == json.loads(json.dumps(plan_document(planned_two_panels())))
    assert timing["planning_seconds"] >= 0
    assert "timing" not in (tmp_path / "out" / "plan.json").read_text(encoding="utf-8")


@pytest.mark.usefixtures("planned_by_hand")
def test_rivet_holes_are_drawn_on_the_sheets_only_when_asked_for(two_bays: Path, tmp_path: Path) -> None:
    run(two_bays, "--out", tmp_path / "plain")
    run(two_bays, "--out", tmp_path / "drilled", "--drill")
    plain, drilled = (
        (tmp_path / name / "sheets" / "sheet-01.dxf").read_text(encoding="utf-8")
        for name in ("plain", "drilled")
    )
    assert plain.count("CIRCLE") < drilled.count("CIRCLE")


def layers_and_releases(folder: Path) -> tuple[set[str], set[str]]:
    """Layers of the sheets, and the releases of all drawings."""
    sheets = [ezdxf.readfile(path) for path in (folder / "sheets").glob("*.dxf")]
    releases = {ezdxf.readfile(path).acad_release for path in folder.rglob("*.dxf")}
    return {entity.dxf.layer for sheet in sheets for entity in sheet.modelspace()}, releases


@pytest.mark.usefixtures("planned_by_hand")
def test_drawings_are_of_the_release_that_is_asked_for(two_bays: Path, tmp_path: Path) -> None:
    run(two_bays, "--out", tmp_path / "new")
    run(two_bays, "--out", tmp_path / "old", "--dxf", "R12")
    new_layers, new_releases = layers_and_releases(tmp_path / "new")
    old_layers, old_releases = layers_and_releases(tmp_path / "old")
    assert (new_releases, old_releases) == ({"R2000"}, {"R12"})
    assert new_layers == old_layers


@pytest.mark.usefixtures("planned_by_hand")
def test_sheets_without_text_have_no_labels(two_bays: Path, tmp_path: Path) -> None:
    run(two_bays, "--out", tmp_path / "said")
    run(two_bays, "--out", tmp_path / "silent", "--no-text")
    said, _ = layers_and_releases(tmp_path / "said")
    silent, _ = layers_and_releases(tmp_path / "silent")
    assert said - silent == {"LABEL"}


@pytest.mark.usefixtures("planned_by_hand")
def test_an_unknown_release_is_a_usage_error(two_bays: Path, tmp_path: Path) -> None:
    ran = run(two_bays, "--out", tmp_path / "out", "--dxf", "r9")
    assert ran.exit_code == 2
    assert "r12" in ran.stderr


@pytest.mark.usefixtures("planned_by_hand")
def test_a_terminal_without_utf_8_gets_plain_characters(two_bays: Path, tmp_path: Path) -> None:
    runner = CliRunner(charset="ascii")
    ran = runner.invoke(main, ["plan", str(two_bays), "--out", str(tmp_path / "out")], catch_exceptions=False)
    assert ran.exit_code == 0
    assert "+-----------+" in ran.stdout
    assert ran.stdout.isascii()


@pytest.mark.usefixtures("planned_by_hand")
def test_no_colours_go_into_a_pipe(two_bays: Path, tmp_path: Path) -> None:
    assert "\x1b" not in run(two_bays, "--out", tmp_path / "out").stdout


def test_an_output_folder_that_is_a_file_is_refused_before_planning(
    two_bays: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("nesting.planning.plan_job", lambda job, limits: pytest.fail("planned all the same"))
    place = tmp_path / "out"
    place.write_text("a letter", encoding="utf-8")
    ran = run(two_bays, "--out", place)
    assert ran.exit_code == 1
    assert str(place) in ran.stderr
    assert place.read_text(encoding="utf-8") == "a letter"


@pytest.mark.parametrize("limit", ["0", "-5", "nan", "inf", "soon"])
def test_a_time_limit_that_leaves_no_time_is_a_usage_error(
    two_bays: Path, tmp_path: Path, limit: str
) -> None:
    ran = run(two_bays, "--out", tmp_path / "out", "--time-limit", limit)
    assert ran.exit_code == 2
    assert "--time-limit" in ran.stderr


def test_a_missing_output_folder_option_is_a_usage_error(two_bays: Path) -> None:
    assert run(two_bays).exit_code == 2


def test_a_mistake_in_the_job_writes_nothing(two_bays: Path, tmp_path: Path) -> None:
    text = two_bays.read_text(encoding="utf-8")
    two_bays.write_text(text.replace("width = 48", "width = -48"), encoding="utf-8")
    ran = run(two_bays, "--out", tmp_path / "out", "--json")
    assert ran.exit_code == 1
    assert ran.stdout == ""
    assert "1 mistake in two-bays.toml" in ran.stderr
    assert not (tmp_path / "out").exists()


def test_the_installed_way_plans_two_bays_on_one_sheet(two_bays: Path, tmp_path: Path) -> None:
    ran = subprocess.run(
        [
            sys.executable,
            "-c",
            "from cli.main import main; main()",
            "plan",
            two_bays,
            "--out",
            tmp_path / "out",
        ],
        cwd=ROOT,
        capture_output=True,
        text=True,
        stdin=subprocess.DEVNULL,
        check=False,
    )
    assert ran.returncode == 0, ran.stderr
    plan = json.loads((tmp_path / "out" / "plan.json").read_text(encoding="utf-8"))
    assert (plan["status"], plan["objective"], len(plan["panels"])) == ("optimal", 100.0, 1)


# Planning that goes on until it is asked to stop, and then keeps what it has.
SLOW = """
import nesting.planning, sys, time
from tests.hand_plans import planned_two_panels
def plan_job(job, limits):
    print("planning", file=sys.stderr, flush=True)
    while {patient} or not limits.should_stop():
        time.sleep(0.01)
    return planned_two_panels()
nesting.planning.plan_job = plan_job
from cli.main import main
main()
"""


def interrupted(two_bays: Path, out: Path, presses: int, patient: bool) -> tuple[int, str]:
    """Exit code and stderr of a run in which Ctrl-C is pressed ``presses`` times while it plans."""
    command = [sys.executable, "-c", SLOW.format(patient=patient), "plan", str(two_bays), "--out", str(out)]
    with subprocess.Popen(
        command, cwd=ROOT, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True
    ) as process:
        assert process.stderr
        assert process.stderr.readline() == "planning\n"
        said = ""
        for _ in range(presses):
            os.kill(process.pid, signal.SIGINT)
            said += process.stderr.readline()
        said += process.stderr.read()
        return process.wait(timeout=30), said


def test_one_interrupt_keeps_the_best_plan(two_bays: Path, tmp_path: Path) -> None:
    code, _ = interrupted(two_bays, tmp_path / "out", presses=1, patient=False)
    assert code == 0
    assert (tmp_path / "out" / "plan.json").is_file()


def test_a_second_interrupt_leaves_at_once_and_writes_nothing(two_bays: Path, tmp_path: Path) -> None:
    code, said = interrupted(two_bays, tmp_path / "out", presses=2, patient=True)
    assert code == 130
    assert "nothing was written" in said
    assert not (tmp_path / "out").exists()
