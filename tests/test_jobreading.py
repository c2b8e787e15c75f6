"""Keys and values of a job file that cannot be read, and texts that are no job file at all."""

from __future__ import annotations

from pathlib import Path

import pytest

from nesting.jobfile import read_job
from nesting.reading.keys import MAX_BYTES, MAX_MISTAKES
from shared.errors import PlannerError
from tests.job_texts import (
    BAYS,
    LEAST,
    SIDE,
    mistakes,
    the_mistake,
    window,
)


@pytest.mark.parametrize(
    ("text", "place", "says"),
    [
        ("gauge = 18\n" + LEAST, "gauge", "belongs in [skin]"),
        ("[cutting]\nKerf = 1\n" + LEAST, "cutting, Kerf", "did you mean kerf?"),
        ("[seam]\nedge-distance = 1\n" + LEAST, "seam, edge-distance", "did you mean edge_distance?"),
        ("[land]\nqqq = 1\n" + LEAST, "land, qqq", "known are top, bottom, ends"),
        (SIDE + BAYS + "heigth = 3", "side 'left', bays 1 to 3 ([[side.bay]] entry 1), heigth", "height?"),
        (SIDE + "units = 'mm'" + BAYS, "side 'left', units", "at the top of the file"),
        (SIDE + BAYS + window(more="bottom = 3"), "side 'left', window 1, bottom", "from_bottom"),
        ("[skins]\ngauge = 18\n" + LEAST, "skins", "did you mean skin?"),
    ],
)
def test_an_unknown_key_names_the_nearest_known_one(text: str, place: str, says: str) -> None:
    found = the_mistake(text)
    assert found.place == place
    assert says in found.remedy


def test_what_a_key_looks_like_never_breaks_a_message() -> None:
    found = the_mistake('"a\\nb" = 1\n' + LEAST)
    assert found.place == r"'a\nb'"


@pytest.mark.parametrize(
    ("text", "place", "says"),
    [
        ("skin = 5\n" + LEAST, "skin", "[skin]"),
        ("[[skin]]\ngauge = 18\n" + LEAST, "skin", "single brackets"),
        ("side = 3\n" + LEAST, "side", "double brackets"),
        ('[side]\nname = "x"\n' + LEAST, "side", "double brackets"),
        ("side = [3]\n" + LEAST, "side 1", "must be a table"),
        ("[rivets]\npacks = {count = 1, price = 2}\n" + LEAST, "rivets, packs", "packs = ["),
        ("title = 2001-01-01\n" + LEAST, "title", "quotes"),
        ("title = 'a\tb'\n" + LEAST, "title", "one line"),
        ("[seam]\nrows = true\n" + LEAST, "seam, rows", "whole number"),
        ("[seam]\nrows = 3\n" + LEAST, "seam, rows", "1 or 2"),
        ("[seam]\nrows = inf\n" + LEAST, "seam, rows", "with an end"),
        ("[cutting]\nkerf = []\n" + LEAST, "cutting, kerf", "a length such as"),
        ("[cutting]\nkerf = {}\n" + LEAST, "cutting, kerf", "a length such as"),
        ("[cutting]\nkerf = nan\n" + LEAST, "cutting, kerf", "measure again"),
        ("[cutting]\nkerf = '2 mi'\n" + LEAST, "cutting, kerf", "unit"),
        (f"[costs]\ndelivery = 0x{'f' * 5000}\n" + LEAST, "costs, delivery", "not be more"),
        (f"[cutting]\nkerf = 0x{'f' * 5000}\n" + LEAST, "cutting, kerf", "mile"),
        ("[rivets]\ndiameter = 4.8\n" + LEAST, "rivets, diameter", "check number and unit"),
    ],
)
def test_a_value_of_the_wrong_kind_is_one_clear_mistake(text: str, place: str, says: str) -> None:
    found = the_mistake(text)
    assert found.place == place
    assert says in found.remedy


def test_an_empty_job_says_all_that_is_missing() -> None:
    assert {found.place for found in mistakes("")} == {"stock", "job"}
    assert the_mistake("side = []\n" + LEAST[: LEAST.index("[[patch]]")]).place == "job"
    assert the_mistake("stock = []\n" + LEAST[LEAST.index("[[patch]]") :]).place == "stock"
    assert the_mistake(SIDE).place == "side 'left', bay"


@pytest.mark.parametrize(
    ("text", "place"),
    [
        (SIDE + BAYS.replace("3", "401"), "side 'left', bay 1, count"),
        (SIDE + BAYS.replace("3", "400") + BAYS, "side"),
        (LEAST + "quantity = 2001", "patch 'lamp cover', quantity"),
        (LEAST + 'quantity = 1999\n[[patch]]\nname = "b"\nwidth = 1\nheight = 1\nquantity = 2', "patch"),
        ("[[stock]]\nwidth = 48\nlength = 96\n" * 60 + LEAST, "stock"),
        (SIDE + "rails = [" + "1," * 41 + "]" + BAYS, "side 'left', rails"),
    ],
)
def test_a_job_has_limits(text: str, place: str) -> None:
    assert place in {found.place for found in mistakes(text)}


def test_endless_mistakes_come_to_an_end() -> None:
    found = mistakes("".join(f"k{i} = 1\n" for i in range(5000)) + LEAST)
    assert len(found) == MAX_MISTAKES + 1
    assert "first" in found[-1].remedy


@pytest.mark.parametrize(
    ("line", "says"),
    [
        ("width = 28 3/8", 'in quotes, like "28 3/8"'),
        ("width = 721mm", 'in quotes, like "28 3/8"'),
        ('width = "28 3/8""', "single quotes"),
        ("width 28", "expected"),
        ("a = " + "[" * 100_000, "nested too deep"),
        ("a = " + "9" * 5000, "number in it is too long"),
        ("a = 1\na = 2", "overwrite"),
        ("a = \0", "TOML"),
    ],
)
def test_a_line_that_is_no_toml_is_shown_with_a_way_out(line: str, says: str) -> None:
    found = the_mistake(line)
    assert says in found.remedy
    assert found.place.startswith("test.toml")


def test_a_job_in_a_file_is_read(tmp_path: Path) -> None:
    place = tmp_path / "small body.toml"
    place.write_bytes(b"\xef\xbb\xbf" + LEAST.replace("\n", "\r\n").encode())
    assert read_job(place).title == "small body"


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"\x89PNG\r\n\x1a\n\x00\x00", "no job file"),
        ("title = 'x'".encode("utf-16"), "UTF-16"),
        (b"#" * (MAX_BYTES + 1), "larger"),
        (None, "no such file"),
    ],
)
def test_a_file_that_is_no_text_is_one_clear_message(
    tmp_path: Path, content: bytes | None, says: str
) -> None:
    place = tmp_path / "job.toml"
    if content is not None:
        place.write_bytes(content)
    with pytest.raises(PlannerError, match=says) as refused:
        read_job(place)
    assert "job.toml" in str(refused.value)
    assert "\n" not in str(refused.value)


def test_a_folder_is_no_file(tmp_path: Path) -> None:
    with pytest.raises(PlannerError, match="folder"):
        read_job(tmp_path)
    with pytest.raises(PlannerError, match="cannot be read"):
        read_job(Path("a\0b"))
