"""Tables of the benches: 100 columns wide, and the same figures in the files."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest

from tests.bench.plot import Mark, Panel, Series, draw, nice_step
from tests.bench.table import COLUMNS, Cell, Table, as_text, mean, milliseconds, write_table

NAN = float("nan")
TABLE = Table(
    "small",
    "Two jobs",
    ("job", "whole run ms", "gap %", "proved"),
    (("short-body", 1200, 0.0, True), ("full-body", 40, NAN, False), ("van", None, 1.256, True)),
    ("measured by hand",),
)


def test_numbers_stand_right_and_heads_are_stacked() -> None:
    assert as_text(TABLE).splitlines() == [
        "Two jobs",
        "  job         whole   gap  proved",
        "                run     %",
        "                 ms",
        "  ----------  -----  ----  ------",
        "  short-body   1200  0.00     yes",
        "  full-body      40     -      no",
        "  van             -  1.26     yes",
        "  measured by hand",
    ]


def test_long_words_give_way_so_that_a_table_fits() -> None:
    row: tuple[Cell, ...] = (
        "a job with a very long name that nobody wants to read in full again and again, ever",
        *[1.5] * 9,
    )
    wide = Table("wide", "t " * 80, ("job", *[f"column {i}" for i in range(9)]), (row,), ("n " * 90,))
    assert max(map(len, as_text(wide).splitlines())) <= COLUMNS
    assert "again, ever" in " ".join(as_text(wide).split())


def test_files_hold_the_bare_figures_and_the_setting(tmp_path: Path) -> None:
    write_table(TABLE, tmp_path / "new", {"processes": 2})
    with (tmp_path / "new" / "small.csv").open(newline="") as file:
        rows = list(csv.reader(file))
    assert rows[0] == list(TABLE.head)
    assert rows[1:3] == [["short-body", "1200", "0.0", "True"], ["full-body", "40", "", "False"]]
    told = json.loads((tmp_path / "new" / "small.json").read_text())
    assert told["rows"][1] == ["full-body", 40, None, False]
    assert told["setting"] == {"processes": 2}


def test_what_was_never_reached_has_no_milliseconds() -> None:
    assert milliseconds(1.2344) == 1234
    assert milliseconds(NAN) is None


def test_the_mean_of_nothing_is_no_number() -> None:
    assert mean([1.0, 2.0, 6.0]) == 3.0
    assert mean([]) != mean([])


@pytest.mark.parametrize(("most", "step"), [(58, 20), (2.4, 0.5), (5, 1), (10, 2), (0, 1), (0.03, 0.01)])
def test_steps_of_an_axis_are_round_numbers(most: float, step: float) -> None:
    assert nice_step(most) == pytest.approx(step)


def test_plot_names_its_curves_and_tells_what_was_never_reached(tmp_path: Path) -> None:
    series = [
        Series("first plan", Mark.OPEN, [(13, 1.0), (26, 2.0)]),
        Series("proved best", Mark.FULL, [(13, 5.0), (26, NAN)]),
        Series("proved twice", Mark.FULL, [(13, NAN), (26, NAN)]),
    ]
    draw("Bays", [Panel("bays", "seconds", series)], tmp_path / "plot.svg")
    text = (tmp_path / "plot.svg").read_text()
    for words in ("first plan<", "proved best, not beyond<", "proved twice: never<", "seconds<", ">26<"):
        assert words in text
    assert "nan" not in text
