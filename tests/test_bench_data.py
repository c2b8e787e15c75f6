"""Published sets are read from beside the repository, and where they are missing the benches say so and go on."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from nesting.packer import Piece, Sheet
from tests.bench import data, published500, several_sizes
from tests.bench.packing_runs import Packed, Task, pack
from tests.bench.reference import Answer, Ask, least_sheets
from tests.bench.run import main
from tests.bench.setting import Setting

ONE: dict[str, Any] = {
    "name": "CLASS01_020_01",
    "set": "BerkeyWang1987",
    "class": 1,
    "n": 3,
    "sheets": [{"w": 10, "h": 8, "cost": 1, "qty": None}],
    "parts": [{"w": 6, "h": 4, "qty": 2}, {"w": 3, "h": 8, "qty": 1}],
    "rotate": False,
    "guillotine": False,
    "best_known": {"value": 2, "proved": True, "lb": 2},
    "best_known_by_variant": {
        code: {"value": value, "proved": False, "lb": 1} for code, value in (("OG", 2), ("RF", 1), ("RG", 2))
    },
}
TARGETS = (
    "variant,class,n,target_bins_sum_of_10,best_published_sum,best_published_source\n"
    'OF,1,20,70,71,"A 2001; B 2002 (inherited from a stricter variant)"\n'
    "OF,1,40,133,133,B 2002; C 2003\n"
    "OF,2,20,10,10,A 2001\n"
    "OG,1,20,99,99,A 2001\n"
)


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """A data folder of our own with one set and a few targets."""
    own = tmp_path / "rectangles"
    own.mkdir()
    (own / "bpp500.json").write_text(json.dumps({"meta": {}, "instances": [ONE]}))
    (own / "bpp500_targets.csv").write_text(TARGETS)
    monkeypatch.setenv(data.VARIABLE, str(tmp_path))
    data.instances.cache_clear()
    yield tmp_path
    data.instances.cache_clear()


@pytest.mark.usefixtures("folder")
def test_a_set_is_read_with_what_is_known_of_each_variant() -> None:
    (one,) = data.instances("bpp500.json")
    assert one.sheets == (Sheet(10, 8, price=1.0, available=None),)
    assert one.pieces == (Piece(6, 4, 2, turn=False), Piece(3, 8, 1, turn=False))
    assert (one.group, one.size, one.area) == ("class 1", 3, 72)
    assert one.known["OF"] == data.Known(2, 2, True)
    assert one.known["RF"] == data.Known(1, 1, False)


@pytest.mark.usefixtures("folder")
def test_a_variant_turns_the_pieces_and_counts_sheets() -> None:
    (one,) = data.instances("bpp500.json")
    task = published500.task(one, published500.VARIANTS[3], 1.0)
    assert all(piece.turn for piece in task.pieces)
    assert [sheet.price for sheet in task.sheets] == [1.0]
    assert task.edge_to_edge
    assert (task.known, task.least) == (2, 1)


def test_a_cost_below_what_is_told_to_be_the_least_is_a_fault() -> None:
    sheets, pieces = (Sheet(10, 8, price=1.0),), (Piece(5, 8, 3),)
    assert pack(Task("three halves", sheets, pieces, 5.0, known=2, least=2)).faults == ()
    (fault,) = pack(Task("three halves", sheets, pieces, 5.0, least=3)).faults
    assert "costs 2, less than the 3" in fault
    (fault,) = pack(Task("three halves", sheets, pieces, 5.0, known=1)).faults
    assert "the bound 2 lies above a layout that costs 1" in fault


@pytest.mark.usefixtures("folder")
def test_published_sums_add_up_by_class() -> None:
    found = published500.published("OF")
    assert found["class 1"] == published500.Published(71 + 133, 70 + 133, ("B 2002",))
    assert found["class 2"] == published500.Published(10, 10, ("A 2001",))


def test_papers_are_those_that_are_best_everywhere_or_the_fewest_together() -> None:
    assert published500.fewest_covering([["a", "b"], ["b", "c"], ["b"]]) == ("b",)
    assert published500.fewest_covering([["a"], ["b", "a"], ["b", "c"], ["c", "b"]]) == ("b with a",)


@pytest.mark.usefixtures("folder")
def test_a_class_adds_up_its_sets() -> None:
    (one,) = data.instances("bpp500.json")
    variant = published500.VARIANTS[0]
    found = [
        published500.Measured(one, Packed("a", 0.5, 3.0, 2.0), Answer(4, 0.1)),
        published500.Measured(one, Packed("b", 0.7, 2.0, 2.0, proved=True), Answer(2, 0.1)),
    ]
    table = published500.by_class(variant, found, published500.published("OF"), Setting())
    row = dict(zip(table.head, table.rows[0], strict=True))
    assert row["ours"] == 5
    assert row["best published"] == 204
    assert row["least known"] == 4
    assert (row["our bound"], row["proved best"], row["rectpack"], row["mean ms"]) == (4, 1, 6, 600)
    part = published500.by_class(variant, found, published500.published("OF"), Setting(quick=True))
    assert dict(zip(part.head, part.rows[0], strict=True))["best published"] is None


@pytest.mark.usefixtures("folder")
def test_a_set_that_broke_leaves_its_class_without_a_sum() -> None:
    (one,) = data.instances("bpp500.json")
    found = [published500.Measured(one, Packed("a", 0.5, faults=("a: broke",)), Answer(4, 0.1))]
    table = published500.by_class(published500.VARIANTS[0], found, published500.published("OF"), Setting())
    assert dict(zip(table.head, table.rows[0], strict=True))["ours"] is None


def test_what_is_missing_is_said_with_the_way_to_point_to_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv(data.VARIABLE, str(tmp_path))
    with pytest.raises(data.DataMissing, match=r"none\.json is missing.*Set RESKIN_BENCH_DATA to"):
        data.instances("none.json")


def test_without_data_a_run_leaves_the_bench_out_and_ends_well(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv(data.VARIABLE, str(tmp_path))
    data.instances.cache_clear()
    only = [part for name in ("published", "several-sizes", "no-waste") for part in ("--only", name)]
    assert main(["--quick", *only]) == 0
    told = capsys.readouterr().out
    for name in ("published", "several-sizes", "no-waste"):
        assert f"{name}: left out." in told


def test_a_quick_run_takes_the_first_sets_of_each_class() -> None:
    sets = [
        data.Instance(f"C_{size}_{i:02}", "class 1", size, (), (), {}) for size in (40, 60) for i in (1, 2)
    ]
    assert [one.name for one in published500.chosen_instances(sets, quick=True)] == ["C_60_01"]
    assert published500.chosen_instances(sets, quick=False) == sets


def test_kinds_of_sets_are_told_apart_by_their_names() -> None:
    sets = [data.Instance(name, "", 25, (), (), {}) for name in ("Nice25i2b1", "Nice25i2b2", "Path100i3b1")]
    assert [several_sizes.kind_of(one) for one in sets] == ["Nice25i", "Nice25i", "Path100i"]
    assert [one.name for one in several_sizes.first_of_each(sets)] == ["Nice25i2b1", "Path100i3b1"]


def test_groups_come_in_order_and_all_of_them_last() -> None:
    found = [Packed(name, 1.0) for name in "abc"]
    groups = [
        (group, [one.name for one in own]) for group, own in several_sizes.by_group(["x", "y", "x"], found)
    ]
    assert groups == [("x", ["a", "c"]), ("y", ["b"]), ("all", ["a", "b", "c"])]


@pytest.mark.parametrize("edge_to_edge", [False, True])
def test_the_reference_needs_two_sheets_for_three_halves(edge_to_edge: bool) -> None:
    ask = Ask(Sheet(10, 8), (Piece(5, 8, 3),), turn=True, edge_to_edge=edge_to_edge)
    assert least_sheets(ask).sheets == 2
