"""Small named job files that plan in a blink, shared by the tests of commands and documents."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import settings

TWO_BAYS = """\
title = "Two bays"
units = "in"

[skin]
material = "galvannealed steel"
gauge = 18

[cutting]
method = "profile"
kerf = "1/16"
gap = "1/4"
edge_margin = "1/4"

[seam]
edge_distance = "1/2"
cost = 12.0

[[stock]]
name = "4x8"
width = 48
length = 96
price = 100.0

[[side]]
name = "driver side"
forward = "left"
post_width = 2
[[side.bay]]
width = "28 1/4"
height = "39 1/2"
count = 2

[[patch]]
name = "lamp cover"
width = 6
height = 6
"""
"""One panel over both bays: 28 1/4 + 2 + 28 1/4 + two lands of 1 = 60 1/2 long, 41 1/2 high; one sheet."""


@pytest.fixture
def two_bays(tmp_path: Path) -> Path:
    """A job file of two equal bays and a patch, in inches, without mistakes."""
    job_file = tmp_path / "two-bays.toml"
    job_file.write_text(TWO_BAYS, encoding="utf-8")
    return job_file


# The suite makes up the same examples every time, so that a change is judged by what it changed.
settings.register_profile("steady", derandomize=True, deadline=None)
settings.load_profile("steady")
