"""`reskin check`: what was understood, or every mistake at once."""

from __future__ import annotations

import zlib
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from cli.main import main

PICTURE = b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR" + zlib.compress(bytes(range(256)) * 8)


def checked(job_file: Path) -> Result:
    return CliRunner().invoke(main, ["check", str(job_file)], catch_exceptions=False)


def test_a_sound_job_is_told_back(two_bays: Path) -> None:
    ran = checked(two_bays)
    assert ran.exit_code == 0
    assert "bays 1 to 2   28 1/4 wide, 39 1/2 high (in)" in ran.stdout
    assert "58 1/2 in over bays and posts" in ran.stdout
    assert "41 1/2 in with both lands; the widest sheet gives 47 1/2 in" in ran.stdout
    assert ran.stderr == ""


def test_all_mistakes_are_told_at_once_one_line_each(two_bays: Path) -> None:
    text = two_bays.read_text(encoding="utf-8")
    two_bays.write_text(text.replace('"28 1/4"', '"28 1/0"').replace("price = 100.0", "price = -1"), "utf-8")
    ran = checked(two_bays)
    assert ran.exit_code == 1
    heading, *mistakes = ran.stderr.splitlines()
    assert heading == "reskin: 2 mistakes in two-bays.toml"
    assert len(mistakes) == 2
    assert any("driver side" in mistake and "28 1/0" in mistake for mistake in mistakes)
    assert ran.stdout == ""


@pytest.mark.parametrize("content", [PICTURE, b"", b"title = ", b"\xff\xfe", None])
def test_a_job_file_that_is_none_exits_1_without_a_traceback(tmp_path: Path, content: bytes | None) -> None:
    job_file = tmp_path / "job.toml"
    if content is not None:
        job_file.write_bytes(content)
    ran = checked(job_file)
    assert ran.exit_code == 1
    assert ran.stderr.startswith("reskin: ")
    assert "job.toml" in ran.stderr


def test_a_folder_is_no_job_file(tmp_path: Path) -> None:
    ran = checked(tmp_path)
    assert ran.exit_code == 1
    assert tmp_path.name in ran.stderr


def test_what_is_decided_already_is_told_back(two_bays: Path) -> None:
    text = two_bays.read_text(encoding="utf-8").replace("price = 100.0", "price = 100.0\non_hand = 2")
    more = '[[fixed]]\nside = "driver side"\nfirst_bay = 2\nname = "D2"\nstate = "cut"\n'
    more += '[[fixed]]\npatch = "lamp cover"\nstate = "cut"\n'
    two_bays.write_text(text + more, encoding="utf-8")
    ran = checked(two_bays)
    assert ran.exit_code == 0
    assert "1 that some sheet can carry beside 1 panel decided already" in ran.stdout
    assert "  panel D2: driver side, bay 2: cut" in ran.stdout
    assert "  lamp cover #1: cut" in ran.stdout
    assert "on hand  2 there" in ran.stdout


def test_stock_without_prices_is_told_without_money(two_bays: Path) -> None:
    text = two_bays.read_text(encoding="utf-8").replace("price = 100.0\n", "")
    two_bays.write_text(text, encoding="utf-8")
    assert "32.00" not in checked(two_bays).stdout


def test_framing_and_paint_are_told_back(two_bays: Path) -> None:
    more = """
[[bar]]
name = "sill"
section = "1x1 tube"
length = 20
quantity = 2
[[bar_stock]]
section = "1x1 tube"
length = 240
[[paint]]
name = "enamel"
solids = 45
film = 1
"""
    with two_bays.open("a", encoding="utf-8") as file:
        file.write(more)
    said = checked(two_bays).stdout
    assert "Framing: 2 pieces\n  2 of sill, 20 in, from 1x1 tube\n" in said
    assert "Paint: enamel (topcoat)" in said
