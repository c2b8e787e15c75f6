"""plan.json holds the whole plan, in fixed fields, with stable bytes."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nesting.documents.planfile import json_text, number, plan_document, plan_text, ring_points
from nesting.outline import net_area, rectangle
from nesting.plan import Fasteners, PlannedJob, Status
from nesting.rivets.fasteners import place_fasteners
from tests import hand_plans
from tests.long_plan import long_plan

FIELDS = {
    "title",
    "units",
    "status",
    "objective",
    "bound",
    "optimality_gap",
    "sheet_cost",
    "seam_cost",
    "seam_count",
    "sheets",
    "panels",
    "seams",
    "rivets",
    "tradeoff",
    "mass_kg",
    "cost",
    "warnings",
}


def planned(plan: hand_plans.HandPlan) -> PlannedJob:
    return PlannedJob(plan.job, plan.plan, Fasteners(), hand_plans.two_panels_buying())


@pytest.fixture(scope="module")
def two_panels() -> dict[str, object]:
    return json.loads(plan_text(hand_plans.planned_two_panels()))


def test_every_promised_field_is_there(two_panels: dict[str, object]) -> None:
    assert two_panels.keys() >= FIELDS


def test_the_answer_of_a_small_plan_checked_by_hand(two_panels: dict[str, object]) -> None:
    assert two_panels["status"] == "optimal"
    assert two_panels["units"] == "mm"
    assert two_panels["objective"] == two_panels["bound"] == 67.0
    assert two_panels["optimality_gap"] == 0.0
    assert (two_panels["sheet_cost"], two_panels["seam_cost"], two_panels["seam_count"]) == (55.0, 12.0, 1)
    assert two_panels["mass_kg"] == 7.315
    assert two_panels["cost"] == {
        "sheets": 55.0,
        "cutting": 5.0,
        "rivets": 20.0,
        "framing": 0.0,
        "sealant": 0.0,
        "paint": 0.0,
        "delivery": 40.0,
        "tax": 12.0,
        "total": 132.0,
    }
    assert two_panels["tradeoff"] == [
        {"seams": 0, "sheet_cost": 90.0, "bound": 90.0},
        {"seams": 1, "sheet_cost": 55.0, "bound": 55.0},
    ]


def test_a_part_says_where_it_lies_on_its_sheet(two_panels: dict[str, object]) -> None:
    (sheet,) = two_panels["sheets"]
    assert (sheet["stock"], sheet["width"], sheet["length"], sheet["price"]) == (
        "small",
        1000.0,
        2000.0,
        55.0,
    )
    second = sheet["parts"][1]
    assert (second["part"], second["x"], second["y"], second["turn"], second["flipped"]) == (
        "D2",
        685.0,
        10.0,
        0.0,
        False,
    )
    assert second["outline"] == [[685.0, 10.0], [1350.0, 10.0], [1350.0, 560.0], [685.0, 560.0]]
    assert sheet["offcuts"][0] == {"x": 10.0, "y": 570.0, "length": 1980.0, "width": 420.0}


def test_a_seam_names_its_post_or_its_rail_and_never_both() -> None:
    post, rail = (
        plan_document(planned(plan()))["seams"][0] for plan in (hand_plans.two_panels, hand_plans.railed)
    )
    assert post["after_bay"] == 1
    assert "rail" not in post
    assert rail["rail"] == 1
    assert "after_bay" not in rail
    assert (rail["length"], rail["over"], rail["under"]) == (650.0, "D2", "D1")


def test_a_seam_carries_its_rivets_and_both_panels_show_them_as_shared(two_panels: dict[str, object]) -> None:
    assert two_panels["seams"][0]["rivets"] == 14
    assert [(panel["rivets"], panel["rivets_shared"]) for panel in two_panels["panels"]] == [
        (50, 14),
        (50, 14),
    ]


def test_rivets_counted_line_by_line_add_up_to_the_total() -> None:
    rivets = plan_document(long_plan())["rivets"]
    assert sum(line["counted"] for line in rivets["by_line"]) == rivets["total"]
    assert all(len(line["points"]) == line["rivets"] for line in rivets["by_line"])
    assert rivets["to_buy"] > rivets["total"]
    assert rivets["packs"] == [{"count": 500, "boxes": 2, "price": 98.0}]


def test_butt_seams_count_the_rows_of_both_panels() -> None:
    job, plan = hand_plans.butted()
    placed = place_fasteners(job, plan.panels, plan.seams)
    seam = plan_document(replace(planned(hand_plans.butted()), fasteners=placed))["seams"][0]
    rows = [len(line.points) for line in placed.lines if line.kind == "seam"]
    assert len(rows) == 2
    assert seam["rivets"] == sum(rows)


def test_shear_cuts_say_what_to_set_on_the_stop() -> None:
    cuts = plan_document(planned(hand_plans.sheared()))["sheets"][0]["cuts"]
    assert [(cut["order"], cut["axis"], cut["at"], cut["from_datum"]) for cut in cuts] == [
        (1, "x", 800.0, 800.0),
        (2, "y", 400.0, 400.0),
        (3, "y", 800.0, 400.0),
        (4, "x", 1100.0, 300.0),
    ]


def test_an_arc_is_written_as_a_third_number_where_it_starts() -> None:
    (whole, _) = plan_document(planned(hand_plans.windowed()))["sheets"][0]["parts"]
    (hole,) = whole["holes"]
    assert [len(vertex) for vertex in hole] == [2, 3] * 4
    ring = tuple((v[0], v[1], v[2] if len(v) == 3 else 0.0) for v in hole)
    assert net_area(ring) == pytest.approx(net_area(rectangle(0, 0, 400, 300, 50)), abs=0.1)


@pytest.mark.parametrize("plan", hand_plans.ALL, ids=lambda plan: plan.__name__)
def test_no_ring_repeats_its_first_point(plan: hand_plans.HandPlan) -> None:
    document = plan_document(planned(plan()))
    rings = [part["outline"] for sheet in document["sheets"] for part in sheet["parts"]]
    rings += [panel["outline"] for panel in document["panels"]]
    assert rings
    assert all(ring[0][:2] != ring[-1][:2] for ring in rings)


def test_an_open_plan_shows_its_bound_and_gap() -> None:
    document = plan_document(long_plan())
    assert document["status"] == Status.FEASIBLE.value
    assert document["optimality_gap"] == pytest.approx(8 / 408, abs=1e-6)


def test_warnings_of_plan_measurements_and_rivets_stand_there_once() -> None:
    whole = hand_plans.planned_two_panels()
    whole = replace(
        whole,
        job=replace(whole.job, warnings=("bay 2 is doubtful",)),
        fasteners=replace(whole.fasteners, warnings=("pitch is wide", "bay 2 is doubtful")),
        warnings=("one side only",),
    )
    assert plan_document(whole)["warnings"] == ["one side only", "bay 2 is doubtful", "pitch is wide"]


def test_noise_in_the_last_bits_does_not_reach_the_file() -> None:
    assert ring_points(((0.1 + 0.2, -1e-9, 1e-12),)) == [[0.3, 0.0]]
    assert str(number(-1e-12)) == "0.0"


def test_the_text_ends_with_a_newline_and_keeps_names_as_written() -> None:
    whole = hand_plans.planned_two_panels()
    text = plan_text(replace(whole, job=replace(whole.job, title="Бок «левый» 左")))
    assert text.endswith("}\n")
    assert "Бок «левый» 左" in text
    assert plan_text(whole) == plan_text(hand_plans.planned_two_panels())


VALUES = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(st.text(), inner, max_size=4),
    max_leaves=12,
)


@settings(deadline=None, max_examples=60)
@given(VALUES)
def test_whatever_is_written_reads_back_the_same(value: object) -> None:
    assert json.loads(json_text(value)) == value
