"""The packer against published sets of rectangles, where the data lie beside the repository (see tests/bench/data.py).

Sources, each with its kind.  (a) published and seen: sums printed in Goncalves & Resende 2013 (7234, and 7241 of
Parreno et al. 2010) and in Gardeyn & Wauters 2022 (7233 and 6986), re-added here.  (c) computed, no paper: the layouts
of class 5 with 100 pieces and the proved numbers of single sets, both stored with the data.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from itertools import combinations
from pathlib import Path

import pytest

from tests.bench.data import DataMissing, data_file, instances
from tests.bench.layout_check import comes_apart
from tests.bench.packing_runs import pack
from tests.bench.published500 import FILE, VARIANTS, Variant, single_papers, task

LAYOUTS = "bpp500_class5_n100_RF_layouts.json"

SETS = (
    "CLASS01_020_01",
    "CLASS03_020_01",
    "CLASS03_020_02",
    "CLASS05_020_03",
    "CLASS07_020_01",
    "CLASS09_020_01",
)

SECONDS = 4.0
"""Far more than these take; without it a set that is not solved would hang the tests."""


@pytest.fixture
def found() -> Callable[[str], Path]:
    """A file of the data; the test is left out where there are none."""

    def find(name: str) -> Path:
        try:
            return data_file(name)
        except DataMissing as missing:
            pytest.skip(str(missing))

    return find


@pytest.mark.parametrize(
    ("variant", "paper", "total"),
    [
        ("OF", "Goncalves & Resende 2013", 7234),
        ("OF", "Parreno et al. 2010", 7241),
        ("OG", "Gardeyn & Wauters 2022", 7233),
        ("RG", "Gardeyn & Wauters 2022", 6986),
    ],
)
def test_published_sums_add_up_to_the_printed_totals(
    found: Callable[[str], Path], variant: str, paper: str, total: int
) -> None:
    found("bpp500_published_sums.csv")
    assert single_papers(variant)[paper] == total


def test_check_accepts_layouts_that_others_made(found: Callable[[str], Path]) -> None:
    """275 sheets for ten sets: all pieces are there, none on another, none over the edge."""
    layouts = json.loads(found(LAYOUTS).read_text(encoding="utf-8"))
    sets = {one.name: one for one in instances(FILE)}
    assert sum(layout["bins"] for layout in layouts) == 275
    for layout in layouts:
        one = sets[layout["name"]]
        wanted = [
            (min(p.length, p.width), max(p.length, p.width)) for p in one.pieces for _ in range(p.quantity)
        ]
        placed = [(min(w, h), max(w, h)) for _, _, _, w, h in layout["layout_bin_x_y_w_h"]]
        assert sorted(placed) == sorted(wanted)
        for number in range(layout["bins"]):
            own = [
                (x, y, x + w, y + h) for sheet, x, y, w, h in layout["layout_bin_x_y_w_h"] if sheet == number
            ]
            assert all(min(x0, y0) >= 0 and max(x1, y1) <= 100 for x0, y0, x1, y1 in own)
            for a, b in combinations(own, 2):
                assert max(b[0] - a[2], a[0] - b[2], b[1] - a[3], a[1] - b[3]) >= 0


def test_most_of_these_layouts_come_apart_edge_to_edge_and_some_do_not(found: Callable[[str], Path]) -> None:
    """They were made by free placing, so a judge that says yes to all, or no to all, is wrong."""
    layouts = json.loads(found(LAYOUTS).read_text(encoding="utf-8"))
    answers = []
    for layout in layouts:
        sheets: dict[int, list[tuple[float, float, float, float]]] = {}
        for sheet, x, y, w, h in layout["layout_bin_x_y_w_h"]:
            sheets.setdefault(sheet, []).append((x, y, x + w, y + h))
        answers += [comes_apart((0, 0, 100, 100), own) for own in sheets.values()]
    assert len(answers) == 275
    assert 0.5 < sum(answers) / len(answers) < 1


@pytest.mark.parametrize("name", SETS)
@pytest.mark.parametrize("variant", VARIANTS, ids=lambda variant: variant.code)
def test_small_sets_reach_the_proved_number_with_a_sound_layout(
    found: Callable[[str], Path], name: str, variant: Variant
) -> None:
    found(FILE)
    (one,) = [one for one in instances(FILE) if one.name == name]
    known = one.known[variant.code]
    packed = pack(task(one, variant, SECONDS))
    assert packed.faults == ()
    assert known.value is not None
    assert packed.bound <= known.value
    assert packed.cost == known.value
