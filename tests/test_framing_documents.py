"""Framing, hanging and the rest of the order on paper and in tables, from jobs small enough to follow by hand."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from nesting.barstock import BarPiece, BarStock
from nesting.documents.framinglist import LEFT_OVER, alike_bars, bar_cut_list
from nesting.documents.hangingsteps import crowded_corners, hanging_steps
from nesting.documents.paper.packet import write_packet
from nesting.documents.planfile import plan_document
from nesting.job import Units
from nesting.ordering.buylist import buy_list, part_masses
from nesting.ordering.order import order_for
from nesting.orderrules import FramingRules, OrderRules, PaintRules, VehicleRules
from nesting.output import write_results
from nesting.plan import PlannedJob
from nesting.rivets.fasteners import place_fasteners
from tests import hand_plans
from tests.test_printed import page_about, pages_of

RULES = OrderRules(
    FramingRules(
        (BarPiece("sill", "tube", 900.0, 4), BarPiece("brace, =1+1", "tube", 400.0, 2)),
        (BarStock("tube", 2710.0, 12.0),),
        kerf=3.0,
    ),
    paints=(PaintRules("enamel", price=20.0),),
    vehicle=VehicleRules(3000.0, 3001.0),
)


def planned(hand: hand_plans.HandPlan, rules: OrderRules = RULES, **changes: Any) -> PlannedJob:
    job = replace(hand.job, order=rules, **changes)
    fasteners = place_fasteners(job, hand.plan.panels, hand.plan.seams)
    order = order_for(job, hand.plan, fasteners)
    buying = buy_list(job, hand.plan, fasteners, order)
    return PlannedJob(job, hand.plan, fasteners, buying, part_masses(job, hand.plan), order.cautions, order)


@pytest.fixture(scope="module")
def packet(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    path = tmp_path_factory.mktemp("packet") / "packet.pdf"
    write_packet(planned(hand_plans.two_panels()), path)
    return pages_of(path)


def table(text: str) -> list[dict[str, str]]:
    return [*csv.DictReader(io.StringIO(text))]


def test_the_bar_cut_list_measures_every_piece_from_one_end() -> None:
    rows = table(bar_cut_list(planned(hand_plans.two_panels())))
    for bar in {row["bar"] for row in rows}:
        own = [row for row in rows if row["bar"] == bar]
        free = 0.0
        for row in own[:-1]:
            assert float(row["from (mm)"]) == free
            assert float(row["to (mm)"]) == free + float(row["length (mm)"])
            free = float(row["to (mm)"]) + 3.0
        assert own[-1]["piece"] == LEFT_OVER
        assert float(own[-1]["from (mm)"]) == free
        assert float(own[-1]["to (mm)"]) == 2710.0
    pieces = [row["piece"] for row in rows if row["piece"] != LEFT_OVER]
    assert sorted(pieces) == ["brace, =1+1"] * 2 + ["sill"] * 4


def test_an_inch_job_has_inches_before_the_millimetres() -> None:
    first = table(bar_cut_list(planned(hand_plans.two_panels(), units=Units.INCH)))[0]
    # 900 mm is 35.433 in, between 35 3/8 and 35 7/16
    assert first["length (in)"] == "35 3/8"
    assert float(first["length (mm)"]) == 900.0


def test_bars_cut_alike_are_drawn_once() -> None:
    rules = replace(RULES, framing=replace(RULES.framing, pieces=(BarPiece("sill", "tube", 1300.0, 5),)))
    groups = alike_bars(planned(hand_plans.two_panels(), rules).order)
    assert [[number for number, _, _ in group] for group in groups] == [[1, 2], [3]]


def test_the_packet_draws_bars_and_lists_pieces(packet: list[str]) -> None:
    page = page_about(packet, "Bar cut list")
    for words in ("sill", "brace, =1+1", "left over", "Framing list", "square that end first"):
        assert words in page.replace("\n", " ")


def test_the_buy_page_tells_sealant_paint_and_what_the_vehicle_weighs(packet: list[str]) -> None:
    page = page_about(packet, "Buy list").replace("\n", " ")
    assert "usual values are taken" in page
    assert "enamel" in page
    assert "is exceeded by" in page
    assert "no price given" in page


def test_the_yardstick_says_that_it_is_no_approval(packet: list[str]) -> None:
    page = page_about(packet, "Seams and metals: a yardstick").replace("\n", " ")
    assert "no approval" in page
    assert "for new school buses" in page


def test_the_hanging_page_says_why_and_which_face_is_out(packet: list[str]) -> None:
    page = page_about(packet, "Hanging order").replace("\n", " ")
    assert "exposed edge faces rearward" in page
    assert "goes outside" in page
    assert "holders" in page


def test_files_of_framing_come_with_framing_only(tmp_path: Path) -> None:
    write_results(planned(hand_plans.two_panels()), tmp_path / "with")
    write_results(planned(hand_plans.two_panels(), OrderRules()), tmp_path / "without")
    assert (tmp_path / "with" / "framing.csv").exists()
    assert not (tmp_path / "without" / "framing.csv").exists()


def test_the_plan_file_holds_the_order_and_null_where_nothing_is_told() -> None:
    document = plan_document(planned(hand_plans.two_panels()))
    order: Any = document["order"]
    (section,) = order["framing"]
    assert (section["status"], section["cost"], section["cost_unit"]) == ("optimal", 24.0, "money")
    assert sum(len(bar["pieces"]) for bar in section["bars"]) == 6
    assert order["sealant"]["unit_price"] is None
    assert order["mass"]["framing_kg"] is None
    assert order["labour"] is None
    assert document["cost"]["framing"] == 24.0
    parts = [document["cost"][key] for key in document["cost"] if key != "total"]
    assert sum(parts) == pytest.approx(document["cost"]["total"])


def test_the_forward_panel_goes_up_last_and_says_what_it_covers() -> None:
    steps = hanging_steps(plan := planned(hand_plans.two_panels()), plan.job.sides[0])
    assert [step.panel.name for step in steps] == ["D2", "D1"]
    assert steps[0].over == ()
    assert steps[0].why.startswith("first: it lies over no other panel")
    assert steps[1].why.startswith("over D2 behind it, edge to the rear")


def test_only_the_lowest_panel_covers_the_skin_below_and_only_the_highest_meets_the_roof() -> None:
    lower, upper = hanging_steps(plan := planned(hand_plans.railed()), plan.job.sides[0])
    assert (lower.panel.name, upper.panel.name) == ("D1", "D2")
    assert "bottom over the skin below" in lower.why
    assert "roof" not in lower.why
    assert upper.why == "over D1 below it; top under the roof skin"


def test_butt_seams_cover_nothing() -> None:
    steps = hanging_steps(plan := planned(hand_plans.butted()), plan.job.sides[0])
    assert [step.over for step in steps] == [(), ()]
    assert crowded_corners(plan, plan.job.sides[0]) == ()


@pytest.mark.parametrize(
    ("hand", "found"), [(hand_plans.two_panels, 0), (hand_plans.railed, 0), (hand_plans.four_corners, 1)]
)
def test_corners_of_four_sheets_are_named(hand: Callable[[], hand_plans.HandPlan], found: int) -> None:
    corners = crowded_corners(plan := planned(hand()), plan.job.sides[0])
    assert len(corners) == found
    assert all("D1, D2, D3 and D4" in corner and "stagger" in corner for corner in corners)
