"""The packer for shapes against published jigsaws, where the data lie beside the repository (see tests/bench/data.py).

Sources, kind (a), published and seen: sets jp1 and jp2 of the ESICUP collection, whose sheet counts are known by
construction (Terashima-Marin et al. 2010, Lopez-Camacho et al. 2013); the stored layouts reach them.
"""

from __future__ import annotations

import json

import pytest
from shapely.geometry import Polygon

from tests.bench.data import DataMissing, data_file
from tests.bench.jigsaws import Jigsaw, jigsaws, solve

SECONDS = 100.0
"""Hundreds of times what these take: they end when solved, and a busy machine changes nothing."""

EASY = (
    ("jp1", "TB011"),
    ("jp1", "TK021"),
    ("jp1", "TQ001"),
    ("jp2", "TS011C8"),
    ("jp2", "TU011C5C10"),
    ("jp2", "TZ001C20"),
)


def known(name: str) -> tuple[Jigsaw, ...]:
    try:
        return jigsaws(name)
    except DataMissing as missing:
        pytest.skip(str(missing))


@pytest.mark.parametrize("name", ["jp1", "jp2"])
def test_the_metal_of_every_jigsaw_fills_the_sheets_that_are_told(name: str) -> None:
    for one in known(name):
        metal = sum(
            Polygon([(x, y) for x, y, _ in piece.outline]).area * piece.quantity for piece in one.pieces
        )
        assert metal == pytest.approx(one.least * one.sheet.length * one.sheet.width, rel=1e-12)


def test_stored_layouts_lie_within_the_sheets_told() -> None:
    known("jp2")
    layouts = json.loads(data_file("polygons/bins/jp2_optimal_layouts.json").read_text(encoding="utf-8"))[
        "layouts"
    ]
    for one in known("jp2")[::40]:
        assert len(layouts[one.name]) == one.least


@pytest.mark.parametrize(("set_name", "start"), EASY)
def test_jigsaws_are_put_together_without_waste(set_name: str, start: str) -> None:
    (one, *_) = [one for one in known(set_name) if one.name.startswith(start[:5])]
    solved = solve((one, SECONDS))
    assert solved.faults == ()
    assert solved.bound == one.least
    assert solved.sheets == one.least
