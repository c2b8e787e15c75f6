"""`reskin raise`: table, files, refusals, Ctrl-C; the plot and the page; other processes and a cluster."""

from __future__ import annotations

import csv
import importlib.util
import io
import os
import re
import signal
from dataclasses import replace
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner, Result

from cli.main import main
from cli.raisesummary import raise_summary
from nesting.documents.raises.files import raise_files
from nesting.documents.raises.plot import raise_plot
from nesting.documents.raises.words import Headroom
from nesting.job import Job, Stock, Units
from nesting.limits import SolveLimits
from nesting.plan import PlannedJob
from nesting.raisetable import Outcome, RaiseRow, Taken
from tests.hand_plans import base_job, planned_two_panels

INCH = 25.4
HAS_CLUSTERS = importlib.util.find_spec("distributed") is not None


@pytest.fixture
def planned_by_hand(monkeypatch: pytest.MonkeyPatch) -> None:
    """Each raise gives the hand-made plan of two panels at once: these tests are about the command."""
    monkeypatch.setattr("nesting.raisetable.plan_job", lambda job, limits: planned_two_panels())


def run(*arguments: object) -> Result:
    return CliRunner().invoke(main, ["raise", *map(str, arguments)], catch_exceptions=False)


@pytest.mark.usefixtures("planned_by_hand")
def test_every_raise_from_0_to_24_in_is_a_row_unless_others_are_asked_for(two_bays: Path) -> None:
    ran = run(two_bays, "--jobs", 1)
    assert ran.exit_code == 0
    assert "25 raises" in ran.stdout
    rows = [line for line in ran.stdout.splitlines() if re.match(r" *\*?\d+ +1 x small", line)]
    assert len(rows) == 25
    assert all(len(line) <= 79 for line in ran.stdout.splitlines())


@pytest.mark.usefixtures("planned_by_hand")
def test_the_files_are_written_together(two_bays: Path, tmp_path: Path) -> None:
    out = tmp_path / "out"
    ran = run(two_bays, "--jobs", 1, "--from", "1/2", "--to", 3, "--step", "1 1/2", "--out", out)
    assert ran.exit_code == 0
    assert sorted(path.name for path in out.iterdir()) == [
        *(".reskin-files", "raise.csv", "raise.html", "raise.svg")
    ]
    table = list(csv.DictReader((out / "raise.csv").read_text(encoding="utf-8").splitlines()))
    assert [(row["raise (in)"], row["raise (mm)"]) for row in table] == [("0.5", "12.7"), ("2", "50.8")]
    # a second run takes the place of the first
    assert run(two_bays, "--jobs", 1, "--to", 1, "--out", out).exit_code == 0
    assert len((out / "raise.csv").read_text(encoding="utf-8").splitlines()) == 3


@pytest.mark.usefixtures("planned_by_hand")
def test_a_folder_with_anything_else_in_it_is_refused_before_planning(two_bays: Path, tmp_path: Path) -> None:
    (tmp_path / "mine").mkdir()
    (tmp_path / "mine" / "letter.txt").write_text("dear", encoding="utf-8")
    ran = run(two_bays, "--jobs", 1, "--out", tmp_path / "mine")
    assert ran.exit_code == 1
    assert "letter.txt" in ran.output
    assert [path.name for path in (tmp_path / "mine").iterdir()] == ["letter.txt"]


@pytest.mark.usefixtures("planned_by_hand")
def test_raises_over_the_limit_of_height_are_marked(two_bays: Path, tmp_path: Path) -> None:
    ran = run(
        two_bays, "--jobs", 1, "--to", 2, "--height", "10' 6\"", "--limit", "127", "--out", tmp_path / "o"
    )
    assert "allows a raise of 1 in at most" in ran.stdout
    assert re.search(r"^ +1 +10' 7\"", ran.stdout, re.MULTILINE)
    assert re.search(r"^ *!2 +10' 8\"", ran.stdout, re.MULTILINE)
    table = list(csv.DictReader((tmp_path / "o" / "raise.csv").read_text(encoding="utf-8").splitlines()))
    assert [row["within limit"] for row in table] == ["yes", "yes", "no"]


@pytest.mark.parametrize(
    "arguments",
    [
        ("--step", "0"),
        ("--from", "5", "--to", "4"),
        ("--step", "1/16"),
        ("--to", "five"),
        ("--limit", "13'"),
        ("--time-limit", "0"),
        ("--jobs", "2", "--cluster", "tcp://192.0.2.7:8786"),
    ],
)
def test_a_command_that_makes_no_table_is_told_so(two_bays: Path, arguments: tuple[str, ...]) -> None:
    assert run(two_bays, *arguments).exit_code == 2


def test_a_job_of_patches_alone_has_no_roof(tmp_path: Path) -> None:
    job_file = tmp_path / "patches.toml"
    job_file.write_text(
        'units = "in"\n[[stock]]\nwidth = 48\nlength = 96\n[[patch]]\nname = "lid"\nwidth = 9\nheight = 9\n',
        encoding="utf-8",
    )
    ran = run(job_file)
    assert ran.exit_code == 1
    assert "no [[side]]" in ran.output


def test_ctrl_c_keeps_the_rows_that_are_done(
    two_bays: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    calls: list[Job] = []

    def planned(job: Job, limits: SolveLimits) -> PlannedJob:
        calls.append(job)
        if len(calls) == 2:
            os.kill(os.getpid(), signal.SIGINT)
        return planned_two_panels()

    monkeypatch.setattr("nesting.raisetable.plan_job", planned)
    ran = run(two_bays, "--jobs", 1, "--step", "1/8", "--out", tmp_path / "out")
    assert ran.exit_code == 0
    assert re.search(r"stopped: \d+ of 193 raises", ran.stdout)
    rows = (tmp_path / "out" / "raise.csv").read_text(encoding="utf-8").splitlines()[1:]
    assert 2 <= len(rows) < 193


def test_other_processes_give_the_same_rows_as_this_one(two_bays: Path, tmp_path: Path) -> None:
    for jobs in (1, 2):
        ran = run(two_bays, "--jobs", jobs, "--from", 5, "--to", 6, "--out", tmp_path / str(jobs))
        assert ran.exit_code == 0
    one, two = ((tmp_path / jobs / "raise.csv").read_bytes() for jobs in ("1", "2"))
    assert one == two
    assert b"1 x 4x8" in one


@pytest.mark.skipif(HAS_CLUSTERS, reason="the package 'distributed' is installed here")
def test_without_its_package_a_cluster_is_refused_with_what_to_install(two_bays: Path) -> None:
    ran = run(two_bays, "--cluster", "tcp://127.0.0.1:8786")
    assert ran.exit_code == 1
    assert "distributed" in ran.output


@pytest.mark.skipif(not HAS_CLUSTERS, reason="the package 'distributed' is absent: no cluster was tried")
def test_a_cluster_gives_the_same_rows_as_this_machine(two_bays: Path, tmp_path: Path) -> None:
    from distributed import LocalCluster

    with LocalCluster(n_workers=1, threads_per_worker=1, processes=False, dashboard_address=None) as cluster:
        arguments = (two_bays, "--from", 5, "--to", 6, "--out")
        address = cluster.scheduler_address
        assert run(*arguments, tmp_path / "there", "--cluster", address).exit_code == 0
        assert run(*arguments, tmp_path / "here", "--jobs", 1).exit_code == 0
    there, here = ((tmp_path / name / "raise.csv").read_bytes() for name in ("there", "here"))
    assert there == here


def a_row(height: float, cost: float, posts: int, levels: int, name: str = "small") -> RaiseRow:
    amounts = Taken(((name, 2),), posts, levels, cost, 0.0, cost + 40, 80, 88, 7.0, True, 0.0)
    return RaiseRow(height, Outcome.PLANNED, amounts)


ROWS = (
    a_row(0.0, 100.0, 1, 0),
    a_row(25.0, 100.0, 1, 0),
    a_row(50.0, 150.0, 1, 2),
    RaiseRow(75.0, Outcome.NOTHING_FITS, why="=too big"),
)
JOB = base_job(stock=(Stock("=small", 620.0, 2000.0, 50.0), Stock("big", 1250.0, 2500.0, 90.0)))
"""620 wide less 2 x 10 of margins and 2 x 25 of lands leaves 550, 50 above the 500 of the job."""


def words_in(svg: str) -> list[str]:
    return [
        "".join(text.itertext()) for text in ElementTree.fromstring(svg).iter() if text.tag.endswith("text")
    ]


def test_the_plot_says_how_far_each_width_reaches_and_what_does_not_fit() -> None:
    said = words_in(raise_files(JOB, ROWS)["raise.svg"])
    assert "620 mm sheets (=small): in one piece up to 50 mm" in said
    assert "1250 mm sheets (big): in one piece up to 680 mm" in said
    assert said.count("nothing fits") == 2


def test_the_plot_steps_where_the_price_does() -> None:
    drawing = raise_plot(JOB, ROWS)
    # four steps of 63 mm on paper: the sheets' price (dashed) climbs between the second and the third
    (dashed,) = [
        path.vertices for path in drawing.paths if path.layer.value == "UNDERLAP" and len(path.vertices) > 2
    ]
    assert [x for x, _, _ in dashed] == pytest.approx([24, 87, 87, 150, 150, 213])
    heights = [y for _, y, _ in dashed]
    assert heights[0] == heights[1] == heights[2] == heights[3] < heights[4] == heights[5]
    # bars: one seam over a post at each raise, and two level ones at the third
    bars = [path for path in drawing.paths if path.closed and path.layer.value in ("STRUCTURE", "SHEET")]
    over = [path.vertices for path in bars if path.vertices[0][0] == pytest.approx(150.0)]
    grey, white = (ring[2][1] - ring[0][1] for ring in over)
    assert white == pytest.approx(2 * grey)


def test_everything_drawn_lies_on_the_paper() -> None:
    for rows in (ROWS, ROWS[:1], ROWS[3:]):
        drawing = raise_plot(JOB, rows, Headroom(3000.0, 3030.0))
        x0, y0, x1, y1 = drawing.extents
        points = [(x, y) for path in drawing.paths for x, y, _ in path.vertices]
        points += [(label.x, label.y) for label in drawing.labels]
        assert all(x0 <= x <= x1 and y0 <= y <= y1 for x, y in points)


def test_the_page_is_one_file_that_runs_and_fetches_nothing() -> None:
    page = raise_files(replace(JOB, title="<script>alert(1)</script>"), ROWS)["raise.html"]
    assert "<script" not in page
    assert re.findall(r"(?:src|href)=|url\(|@import", page) == []
    assert "default-src 'none'" in page
    assert "Up to 25 mm: sheets for 100.00, 1 seam over a post." in page


def test_a_spreadsheet_runs_nothing_from_the_table() -> None:
    job = replace(JOB, units=Units.INCH)
    text = raise_files(job, (a_row(0.0, 1.0, 0, 0), *ROWS[3:]))["raise.csv"]
    rows = list(csv.reader(io.StringIO(text)))
    assert len({len(row) for row in rows}) == 1
    assert [cell for row in rows[1:] for cell in row if cell.startswith(("=", "+", "-", "@"))] == []
    assert rows[2][-1] == "'=too big"


def test_where_nothing_is_priced_area_stands_for_money() -> None:
    job = replace(JOB, priced=False)
    files = raise_files(job, ROWS)
    assert "sheet area (m2)" in files["raise.csv"]
    assert "Area of sheet, m2" in words_in(files["raise.svg"])
    table = "\n".join(raise_summary(job, ROWS, None, 4))
    assert "to pay" not in table
    assert "150.00 m2" in table
