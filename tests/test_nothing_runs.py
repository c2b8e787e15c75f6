"""A job file or a drawing is data: nothing in it runs, no file but those named is opened, and no network used."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys
from collections.abc import Sequence
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from ezdxf.filemanagement import new
from ezdxf.layouts.layout import Modelspace

from nesting.documents.lists import words
from nesting.documents.measuringtable import measuring_table
from nesting.job import Units
from nesting.reading.drawings import read_outlines
from nesting.starting.sheet import SheetPlan, SideToMeasure
from tests.dxf_files import box, saved

ROOT = Path(__file__).parents[1]
MARK = "zq7names"
"""Stands in every text of the job, so that it would be seen wherever one of them is run as a program."""

HOSTILE = {
    "title": f"<script>alert('{MARK}')</script>",
    "side": f"=cmd|'/c {MARK}'!A0",
    "patch": f"@SUM({MARK})",
    "other": f"+{MARK}",
    "third": f"-{MARK}",
    "stock": f'=HYPERLINK("file:///{MARK}")',
    "section": f"=1+{MARK}",
    "piece": f"%s{{0.__class__}}$(touch {MARK})`{MARK}`",
}

JOB = f"""\
title = '''{HOSTILE["title"]}'''
units = "mm"

[[stock]]
name = '''{HOSTILE["stock"]}'''
width = 1250
length = 2500
price = 50
on_hand = 1

[[side]]
name = '''{HOSTILE["side"]}'''
forward = "left"
post_width = 50

[[side.bay]]
width = 700
height = 1000
count = 2

[[patch]]
name = '''{HOSTILE["patch"]}'''
drawing = "lid.dxf"
drawing_units = "mm"

[[patch]]
name = '''{HOSTILE["other"]}'''
width = 200
height = 100

[[patch]]
name = '''{HOSTILE["third"]}'''
width = 150
height = 100

[[bar]]
name = '''{HOSTILE["piece"]}'''
section = '''{HOSTILE["section"]}'''
length = 400
quantity = 3

[[bar_stock]]
section = '''{HOSTILE["section"]}'''
length = 3000
"""

_WATCHED = f"""\
import json, os, sys
seen = []
def note(event, args):
    if event == "open":
        path, mode, flags = args
        if isinstance(path, int):
            return
        writes = bool(flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC | os.O_APPEND))
        seen.append(["write" if writes else "read", os.path.abspath(os.fsdecode(path))])
    elif event in ("os.rename", "os.link", "os.symlink"):
        seen.extend(["write", os.path.abspath(os.fsdecode(path))] for path in args[:2])
    elif event in ("os.remove", "os.mkdir", "os.rmdir", "os.chmod", "os.truncate", "shutil.rmtree"):
        # a name within a folder that is open belongs to a tree that is being removed, and that was noted
        if args[-1] in (-1, None) or event == "os.truncate":
            seen.append(["write", os.path.abspath(os.fsdecode(args[0]))])
    elif event == "compile" and "{MARK}" in repr(args[0]):
        seen.append(["compile", repr(args[0])[:200]])
    elif event.startswith(("socket.", "subprocess.", "os.exec", "os.posix_spawn", "os.spawn", "os.fork", "ftplib.",
                           "os.system", "urllib.", "http.", "smtplib.", "webbrowser.", "pty.", "code.__new__")):
        seen.append([event, repr(args)[:200]])
from cli.main import main
import nesting.planning, nesting.output, nesting.jobfile
sys.addaudithook(note)
try:
    main(sys.argv[2:])
finally:
    with open(sys.argv[1], "w") as told:
        json.dump([entry for entry in seen if entry[1] != os.path.abspath(sys.argv[1])], told)
"""


def lid(space: Modelspace) -> None:
    """An outline among everything by which a drawing can name another file."""
    box(space, 0, 0, 120)
    document = space.doc
    document.add_xref_def(f"/etc/{MARK}.dxf", "ELSEWHERE")
    space.add_blockref("ELSEWHERE", (0, 0))
    image = document.add_image_def(f"/etc/{MARK}.png", (64, 64))
    space.add_image(image, (300, 300), (10, 10))
    underlay = document.add_underlay_def(f"/etc/{MARK}.pdf", "pdf", "1")
    space.add_underlay(underlay, (300, 0, 0))
    document.styles.new("S", dxfattribs={"font": f"/etc/{MARK}.ttf"})
    space.add_text(f"=cmd|'{MARK}'", dxfattribs={"style": "S"})
    document.header["$PROJECTNAME"] = f"/etc/{MARK}"


@cache
def watched() -> tuple[Path, tuple[tuple[str, str], ...], dict[str, bytes]]:
    """The folder of a run, what it did there and elsewhere, and the files that it wrote."""
    with TemporaryDirectory() as name:
        folder = Path(name).resolve()
        saved(folder, lid).rename(folder / "lid.dxf")
        (folder / "job.toml").write_text(JOB, encoding="utf-8")
        command = [sys.executable, "-B", "-c", _WATCHED, str(folder / "seen.json")]
        command += ["plan", str(folder / "job.toml"), "--out", str(folder / "made" / "plan")]
        ended = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
        assert ended.returncode == 0, ended.stdout + ended.stderr
        seen = json.loads((folder / "seen.json").read_text())
        made = {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*") if p.is_file()}
        return folder, tuple((what, where) for what, where in seen), made


def test_files_are_written_below_the_named_folder_only() -> None:
    folder, seen, made = watched()
    assert {Path(name).parts[0] for name in made} == {"job.toml", "lid.dxf", "made", "seen.json"}
    written = {Path(where) for what, where in seen if what == "write"}
    outside = {path for path in written if not path.is_relative_to(folder / "made")}
    # the compiler keeps what it has compiled beside its source
    assert {path for path in outside if path.parent.name != "__pycache__"} == set()
    assert folder / "made" / "plan" in written


def test_of_the_users_files_only_the_named_ones_are_read() -> None:
    folder, seen, _ = watched()
    read = {Path(where) for what, where in seen if what == "read"}
    theirs = {
        path for path in read if path.is_relative_to(folder) and not path.is_relative_to(folder / "made")
    }
    assert theirs == {folder / "job.toml", folder / "lid.dxf"}
    assert not [path for path in read if MARK in path.name]


def test_no_other_program_no_network_and_nothing_of_the_job_is_run() -> None:
    _, seen, _ = watched()
    assert [entry for entry in seen if entry[0] not in ("read", "write")] == []


def cells(data: bytes) -> Sequence[str]:
    return [cell for row in csv.reader(io.StringIO(data.decode("utf-8-sig"))) for cell in row]


def is_number(cell: str) -> bool:
    return cell.replace(".", "").replace("-", "").replace("/", "").replace(" ", "").isdigit()


def test_no_cell_of_any_table_starts_like_a_formula() -> None:
    tables = {name: data for name, data in watched()[2].items() if name.endswith(".csv")}
    assert {Path(name).name for name in tables} == {
        "cut-list.csv",
        "rivets.csv",
        "buy-list.csv",
        "offcuts.csv",
        "framing.csv",
    }
    for name, data in tables.items():
        loose = [cell for cell in cells(data) if cell.startswith(("=", "+", "-", "@", "\t", "\r"))]
        assert [cell for cell in loose if not is_number(cell)] == [], name
    assert any(MARK in cell for cell in cells(tables["made/plan/cut-list.csv"]))


@pytest.mark.parametrize("start", ["=", "+", "-", "@", "\t", "\r", " =", "\t="])
def test_a_text_that_starts_like_a_formula_is_made_words(start: str) -> None:
    cell = words(f"{start}1+1")
    assert cell.startswith("'")
    assert cell.lstrip("' ").endswith("1+1")


def test_names_on_a_measuring_table_are_words() -> None:
    table = measuring_table(SheetPlan((SideToMeasure("=cmd|x", 1),), units=Units.MILLIMETRE))
    assert not [cell for cell in cells(table.encode()) if cell.startswith("=")]


def test_names_are_shown_on_the_page_and_never_run() -> None:
    page = watched()[2]["made/plan/index.html"].decode()
    assert "&lt;script&gt;alert(" in page
    assert f"<script>alert('{MARK}" not in page
    assert "javascript:" not in page
    drawings = [data.decode() for name, data in watched()[2].items() if name.endswith(".svg")]
    assert not any("<script" in drawing or "href" in drawing for drawing in drawings)


def test_a_drawing_that_names_other_files_is_read_without_them(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        lid(space)
        # the other drawing is there, and holds an outline that must not be read
        other = new()
        box(other.modelspace(), 500, 0, 50)
        other.saveas(tmp_path / "other.dxf")
        space.doc.add_xref_def(str(tmp_path / "other.dxf"), "OTHER")
        space.add_blockref("OTHER", (0, 0))

    (only,) = read_outlines(saved(tmp_path, build))
    assert max(x for x, _, _ in only.ring) == 120
