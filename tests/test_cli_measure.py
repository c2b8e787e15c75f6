"""`reskin measure`: the sheet and its table, written whole and never over what is there."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest
from click.testing import CliRunner

from cli.main import main
from nesting import filefolder
from tests.filled_tables import NAME, PLACE, READING, VALUE


def measure(out: Path, *arguments: str) -> tuple[int, str]:
    result = CliRunner().invoke(main, ["measure", *arguments, "--out", str(out)])
    return result.exit_code, result.output


def table(out: Path) -> list[list[str]]:
    with (out / "readings.csv").open(encoding="utf-8-sig", newline="") as file:
        return list(csv.reader(file))[1:]


def test_a_sheet_and_its_table_are_written(tmp_path: Path) -> None:
    code, said = measure(tmp_path / "new" / "readings", "--bays", "3")
    assert code == 0
    # a long path is wrapped wherever the line ends
    assert "measuring-sheet.pdf" in "".join(said.split())
    assert "reskin read" in said
    assert sorted(path.name for path in (tmp_path / "new" / "readings").iterdir()) == [
        "measuring-sheet.pdf",
        "readings.csv",
    ]
    assert (tmp_path / "new" / "readings" / "measuring-sheet.pdf").read_bytes().startswith(b"%PDF")
    assert [row[PLACE] for row in table(tmp_path / "new" / "readings")].count("bay 3") == 5


def test_each_side_has_its_own_bays(tmp_path: Path) -> None:
    code, _ = measure(tmp_path, "--bays", "3", "--sides", "left side", "--bays", "1", "--sides", "rear")
    assert code == 0
    places = {(row[NAME], row[PLACE]) for row in table(tmp_path)}
    assert ("left side", "bay 3") in places
    assert ("rear", "bay 1") in places
    assert ("rear", "bay 2") not in places


def test_one_number_of_bays_holds_for_all_sides(tmp_path: Path) -> None:
    assert measure(tmp_path, "--bays", "2", "--sides", "a", "--sides", "b")[0] == 0
    assert {row[NAME] for row in table(tmp_path) if row[PLACE] == "bay 2"} == {"a", "b"}


@pytest.mark.parametrize(
    ("posts", "rows"),
    [
        ("each", [("post 1", "width", ""), ("post 2", "width", "")]),
        ("alike", [("side", "posts", "")]),
        ("2 1/2", [("side", "posts", "2 1/2")]),
    ],
)
def test_posts_are_asked_for_as_wanted(tmp_path: Path, posts: str, rows: list[tuple[str, str, str]]) -> None:
    assert measure(tmp_path, "--bays", "3", "--posts", posts)[0] == 0
    found = [(row[PLACE], row[READING], row[VALUE]) for row in table(tmp_path)]
    assert [row for row in found if "post" in row[0] or row[1] == "posts"] == rows


@pytest.mark.parametrize(
    ("arguments", "box"),
    [
        (["--units", "in"], b"[ 0 0 612 792 ]"),
        (["--units", "mm"], b"[ 0 0 595.2756 841.8898 ]"),
        (["--units", "mm", "--paper", "letter"], b"[ 0 0 612 792 ]"),
        (["--paper", "a4"], b"[ 0 0 595.2756 841.8898 ]"),
    ],
)
def test_paper_goes_with_the_units_unless_named(tmp_path: Path, arguments: list[str], box: bytes) -> None:
    assert measure(tmp_path, "--bays", "1", *arguments)[0] == 0
    assert box in (tmp_path / "measuring-sheet.pdf").read_bytes()


@pytest.mark.parametrize("name", ["measuring-sheet.pdf", "readings.csv"])
def test_a_filled_table_is_never_written_over(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_text("filled in", encoding="utf-8")
    code, said = measure(tmp_path, "--bays", "3")
    assert code == 1
    assert "is there already" in said
    assert [path.name for path in tmp_path.iterdir()] == [name]
    assert (tmp_path / name).read_text(encoding="utf-8") == "filled in"


def test_a_failure_in_the_middle_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def no_room(_text: str) -> filefolder.Writer:
        def write(path: Path) -> None:
            path.write_text("half", encoding="utf-8")
            raise OSError(28, "No space left on device", str(path))

        return write

    monkeypatch.setattr(filefolder, "text_file", no_room)
    code, said = measure(tmp_path / "new" / "folder", "--bays", "3")
    assert code == 1
    assert "No space left" in said
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_a_file_is_told(tmp_path: Path) -> None:
    (tmp_path / "x").write_text("", encoding="utf-8")
    code, said = measure(tmp_path / "x", "--bays", "3")
    assert code == 1
    assert "cannot be written" in said


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["--bays", "0"], "0"),
        (["--bays", "3", "--bays", "2"], "once for each"),
        (["--bays", "3", "--posts", "wide"], "each or alike"),
        (["--bays", "3", "--posts", "0"], "wider than zero"),
        (["--bays", "3", "--paper", "a3"], "a3"),
        ([], "--bays"),
    ],
)
def test_a_command_written_wrong_is_a_usage_error(tmp_path: Path, arguments: list[str], says: str) -> None:
    code, said = measure(tmp_path, *arguments)
    assert code == 2
    assert says in said


def test_more_bays_than_a_job_may_hold_are_told(tmp_path: Path) -> None:
    code, said = measure(tmp_path / "out", "--bays", "401")
    assert code == 1
    assert "make several sheets" in said
    assert not (tmp_path / "out").exists()
