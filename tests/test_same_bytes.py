"""The same job gives the same bytes in every file once its plan is proved, wherever and whenever it is planned."""

from __future__ import annotations

import os
import re
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory, gettempdir

import pytest

from tests.soak.killing import Files
from tests.soak.rerunning import ELSEWHERE, HERE, differing, is_proved, planned_files

pytestmark = pytest.mark.skipif(
    not hasattr(os, "sched_setaffinity"), reason="processors cannot be taken away"
)

VAN = Path(__file__).parents[1] / "samples" / "metric-van.toml"

SHAPED = """\
title = "Two bays, one with a slope, and odd patches"
units = "mm"

[[stock]]
name = "small"
width = 1250
length = 2500
price = 50

[seam]
cost = 12

[[side]]
name = "driver side"
forward = "left"
post_width = 50

  [[side.bay]]
  outline = [[0, 0], [700, 0], [700, 1000], [0, 900]]

  [[side.bay]]
  width = 720
  height = 1000

  [[side.window]]
  bay = 2
  from_left = 150
  from_bottom = 300
  width = 400
  height = 300
  corner_radius = 60
  riveted = true

[[patch]]
name = "wedge"
outline = [[0, 0], [300, 0], [0, 200]]
quantity = 4

[[patch]]
name = "moon"
outline = [[0, 0], [200, 0, 1]]
holes = [[[90, 30, 1], [110, 30, 1]]]
quantity = 2
"""


OPTIONS = {"rectangles": ("--drill",), "shapes": ("--dxf", "r12", "--no-text")}


@cache
def twice(kind: str) -> tuple[Files, Files]:
    """The files of two runs of a job, each in circumstances of its own."""
    with TemporaryDirectory() as folder:
        job = Path(folder) / "job.toml"
        job.write_text(SHAPED if kind == "shapes" else VAN.read_text(encoding="utf-8"), encoding="utf-8")
        one = planned_files(job, Path(folder) / "one" / "results", HERE, OPTIONS[kind])
        return one, planned_files(job, Path(folder) / "other place" / "out", ELSEWHERE, OPTIONS[kind])


@pytest.mark.parametrize("kind", OPTIONS)
def test_hashes_processors_time_and_place_change_no_byte(kind: str) -> None:
    one, other = twice(kind)
    assert is_proved(one)
    assert {Path(name).suffix for name in one} == {"", ".json", ".html", ".pdf", ".csv", ".dxf", ".svg"}
    assert differing(one, other) == ()


def test_a_difference_is_seen() -> None:
    one = {"plan.json": b"{}", "index.html": b"<p>"}
    assert differing(one, {"plan.json": b"{ }", "packet.pdf": b"%"}) == (
        "index.html",
        "packet.pdf",
        "plan.json",
    )
    assert differing(one, dict(one)) == ()


@pytest.mark.parametrize("kind", OPTIONS)
def test_no_file_tells_a_date_or_a_folder(kind: str) -> None:
    for name, data in twice(kind)[0].items():
        assert gettempdir().encode() not in data, name
        assert not re.search(rb"\b20[2-9]\d[-/]?[01]\d[-/]?[0-3]\d\b", data), name
