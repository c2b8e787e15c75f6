"""The results folder is whole or it is not there, and nobody else's files are ever lost."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting import output
from nesting.filefolder import MANIFEST, check_output_folder
from nesting.output import file_names, write_results
from shared.errors import OutputRefused
from tests import hand_plans

PLANNED = hand_plans.planned_two_panels()

EXPECTED = {
    "plan.json",
    "index.html",
    "packet.pdf",
    "labels.pdf",
    "cut-list.csv",
    "rivets.csv",
    "buy-list.csv",
    "offcuts.csv",
    "all-sheets.dxf",
    "sheets/sheet-01.dxf",
    "sheets/sheet-01.svg",
    "elevations/driver-side.dxf",
    "elevations/driver-side.svg",
}


@pytest.fixture(autouse=True)
def _elsewhere(tmp_path_factory: pytest.TempPathFactory, monkeypatch: pytest.MonkeyPatch) -> None:
    """Work from a folder that is no part of the test."""
    monkeypatch.chdir(tmp_path_factory.mktemp("elsewhere"))


@pytest.fixture
def quick(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two small files in place of all: for tests of the folder, not of what is in it."""
    monkeypatch.setattr(
        output,
        "_documents",
        lambda planned, drill, dxf: {
            "plan.json": lambda path: path.write_bytes(b"{}\n"),
            "sheets/sheet-01.svg": lambda path: path.write_bytes(b"<svg/>\n"),
        },
    )


def files_in(folder: Path) -> dict[str, bytes]:
    return {
        path.relative_to(folder).as_posix(): path.read_bytes()
        for path in sorted(folder.rglob("*"))
        if path.is_file()
    }


def test_every_promised_file_is_written_and_named(tmp_path: Path) -> None:
    folder = tmp_path / "new" / "results"
    named = write_results(PLANNED, folder)
    assert {path.relative_to(folder).as_posix() for path in named} == EXPECTED
    assert files_in(folder).keys() == EXPECTED | {MANIFEST}
    assert all(path.stat().st_size > 0 for path in named)
    assert [path.name for path in folder.parent.iterdir()] == ["results"]


def test_the_same_plan_gives_the_same_bytes(tmp_path: Path) -> None:
    write_results(PLANNED, tmp_path / "one")
    write_results(PLANNED, tmp_path / "two")
    assert files_in(tmp_path / "one") == files_in(tmp_path / "two")


def test_earlier_results_are_replaced_whole(tmp_path: Path, quick: None) -> None:
    folder = tmp_path / "results"
    write_results(PLANNED, folder)
    stale = folder / "sheets" / "sheet-07.dxf"
    stale.write_text("of a larger plan")
    (folder / MANIFEST).write_text("plan.json\nsheets/sheet-01.svg\nsheets/sheet-07.dxf\n")
    write_results(PLANNED, folder)
    assert not stale.exists()
    assert [path.name for path in tmp_path.iterdir()] == ["results"]


@pytest.mark.parametrize("foreign", ["notes.txt", "sheets/my-own.dxf", "photos/bus.jpg", "empty/"])
def test_a_folder_with_anything_else_in_it_is_left_alone(tmp_path: Path, quick: None, foreign: str) -> None:
    folder = tmp_path / "results"
    write_results(PLANNED, folder)
    path = folder / foreign
    if foreign.endswith("/"):
        path.mkdir()
    else:
        path.parent.mkdir(exist_ok=True)
        path.write_text("mine")
    before = files_in(folder)
    for attempt in (lambda: write_results(PLANNED, folder), lambda: check_output_folder(folder)):
        with pytest.raises(OutputRefused, match=foreign.split("/")[0].split(".")[0]) as refused:
            attempt()
        assert "give another folder" in str(refused.value)
    assert files_in(folder) == before


def test_a_folder_that_was_not_written_here_is_refused_whatever_its_names(tmp_path: Path) -> None:
    folder = tmp_path / "theirs"
    folder.mkdir()
    (folder / "plan.json").write_text("{}")
    with pytest.raises(OutputRefused, match=r"plan\.json"):
        check_output_folder(folder)


def test_an_empty_folder_and_what_desktops_leave_are_no_obstacle(tmp_path: Path, quick: None) -> None:
    folder = tmp_path / "results"
    folder.mkdir()
    write_results(PLANNED, folder)
    (folder / ".DS_Store").write_bytes(b"x")
    write_results(PLANNED, folder)
    assert set(files_in(folder)) == {"plan.json", "sheets/sheet-01.svg", MANIFEST}


def test_a_link_inside_the_folder_is_never_followed(tmp_path: Path, quick: None) -> None:
    folder, precious = tmp_path / "results", tmp_path / "precious"
    write_results(PLANNED, folder)
    precious.mkdir()
    (precious / "plan.json").write_text("mine")
    (folder / "sheets" / "sheet-01.svg").unlink()
    (folder / "sheets" / "sheet-01.svg").symlink_to(precious / "plan.json")
    with pytest.raises(OutputRefused, match=r"sheet-01\.svg"):
        write_results(PLANNED, folder)
    assert (precious / "plan.json").read_text() == "mine"


def test_a_link_to_the_folder_stays_and_its_target_is_filled(tmp_path: Path, quick: None) -> None:
    real, link = tmp_path / "real", tmp_path / "link"
    real.mkdir()
    link.symlink_to(real)
    write_results(PLANNED, link)
    assert link.is_symlink()
    assert (real / "plan.json").is_file()


@pytest.mark.parametrize(
    "failure", [OSError(28, "No space left on device"), KeyboardInterrupt(), ValueError("bug")]
)
def test_an_interrupted_run_leaves_the_earlier_results(
    tmp_path: Path, quick: None, monkeypatch: pytest.MonkeyPatch, failure: BaseException
) -> None:
    folder = tmp_path / "results"
    write_results(PLANNED, folder)
    before = files_in(folder)

    def fail(path: Path) -> None:
        path.write_bytes(b"half of i")
        raise failure

    monkeypatch.setattr(
        output,
        "_documents",
        lambda planned, drill, dxf: {"plan.json": lambda p: p.write_bytes(b"[]"), "packet.pdf": fail},
    )
    expected = OutputRefused if isinstance(failure, OSError) else type(failure)
    with pytest.raises(expected):
        write_results(PLANNED, folder)
    assert files_in(folder) == before
    assert [path.name for path in tmp_path.iterdir()] == ["results"]


@pytest.mark.parametrize("failing", [1, 2])
def test_a_failure_while_moving_into_place_puts_the_old_folder_back(
    tmp_path: Path, quick: None, monkeypatch: pytest.MonkeyPatch, failing: int
) -> None:
    folder = tmp_path / "results"
    write_results(PLANNED, folder)
    (folder / "plan.json").write_bytes(b"the earlier one")
    calls, rename = [], Path.rename

    def renamed(self: Path, target: Path) -> Path:
        calls.append(self)
        if len(calls) == failing:
            raise OSError(1, "Operation not permitted")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", renamed)
    with pytest.raises(OutputRefused, match="not permitted"):
        write_results(PLANNED, folder)
    assert (folder / "plan.json").read_bytes() == b"the earlier one"
    assert [path.name for path in tmp_path.iterdir()] == ["results"]


def test_if_even_putting_back_fails_the_old_files_are_kept_aside(
    tmp_path: Path, quick: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "results"
    write_results(PLANNED, folder)
    calls, rename = [], Path.rename

    def renamed(self: Path, target: Path) -> Path:
        calls.append(self)
        if len(calls) > 1:
            raise OSError(5, "Input/output error")
        return rename(self, target)

    monkeypatch.setattr(Path, "rename", renamed)
    with pytest.raises(OutputRefused):
        write_results(PLANNED, folder)
    assert list(tmp_path.glob(".reskin-*/old/plan.json"))


def test_a_file_in_the_way_is_refused_before_planning(tmp_path: Path) -> None:
    taken = tmp_path / "results"
    taken.write_text("mine")
    for folder in (taken, taken / "below", taken / "far" / "below"):
        with pytest.raises(OutputRefused, match="is a file"):
            check_output_folder(folder)
    assert taken.read_text() == "mine"


def test_where_you_stand_is_never_swept_away(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "inner").mkdir()
    monkeypatch.chdir(tmp_path / "inner")
    for folder in (Path(), tmp_path, Path("..")):
        with pytest.raises(OutputRefused, match="a folder of its own"):
            check_output_folder(folder)
    check_output_folder(Path("results"))


def test_checking_changes_nothing(tmp_path: Path) -> None:
    check_output_folder(tmp_path / "a" / "b" / "c")
    assert not list(tmp_path.iterdir())


def test_a_name_that_the_system_refuses_is_a_clear_refusal(tmp_path: Path) -> None:
    with pytest.raises(OutputRefused, match="could not be written"):
        write_results(PLANNED, tmp_path / ("x" * 300))


@pytest.mark.skipif(os.name != "posix" or os.geteuid() == 0, reason="needs a user whom permissions bind")
def test_a_parent_without_permission_is_refused(tmp_path: Path) -> None:
    tmp_path.chmod(stat.S_IRUSR | stat.S_IXUSR)
    try:
        with pytest.raises(OutputRefused, match="does not let you write"):
            check_output_folder(tmp_path / "results")
    finally:
        tmp_path.chmod(stat.S_IRWXU)


@pytest.mark.skipif(os.name != "posix", reason="permission bits")
def test_the_folder_has_the_permissions_of_any_new_folder(tmp_path: Path, quick: None) -> None:
    write_results(PLANNED, tmp_path / "results")
    (tmp_path / "plain").mkdir()
    assert (tmp_path / "results").stat().st_mode == (tmp_path / "plain").stat().st_mode


def test_file_names_are_plain_and_short_and_differ() -> None:
    assert file_names(
        ["driver side", "Driver  Side!", "../../x", '"quotes"', "🚌", "левый борт", "y" * 200, "con", "Café"]
    ) == (
        "driver-side",
        "driver-side-2",
        "x",
        "quotes",
        "side",
        "side-2",
        "y" * 60,
        "side-con",
        "cafe",
    )


@settings(deadline=None, max_examples=80)
@given(st.lists(st.text(max_size=90) | st.sampled_from(["a", "a-2", "A"]), max_size=8))
def test_no_two_file_names_are_alike_whatever_the_titles(titles: list[str]) -> None:
    names = file_names(titles)
    assert len(set(names)) == len(titles)
    for name in names:
        assert name.strip("-")
        assert len(name) <= 70
        assert set(name) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
