"""What the documents say of panels that are cut already and of sheets on hand."""

from __future__ import annotations

import re
from pathlib import Path

from cli.summary import plan_summary
from nesting.documents import lists
from nesting.documents.elevation import elevation
from nesting.documents.paper.decision import sheets_to_buy
from nesting.documents.planfile import plan_document
from nesting.documents.screen.page import page_html
from nesting.documents.sheetview import sheet_title
from nesting.ordering.buylist import buy_list, part_masses
from nesting.plan import PlannedJob
from nesting.rivets.fasteners import place_fasteners
from tests.hand_fixed import gone_on


def gone_on_planned() -> PlannedJob:
    job, plan = gone_on()
    fasteners = place_fasteners(job, plan.panels, plan.seams)
    return PlannedJob(job, plan, fasteners, buy_list(job, plan, fasteners), part_masses(job, plan))


def test_a_side_shows_which_panels_are_cut_already() -> None:
    whole = gone_on_planned()
    about = {
        label.about for label in elevation(whole, whole.job.sides[0]).labels if label.text == "cut already"
    }
    assert about == {"D1"}


def test_a_sheet_on_hand_says_so() -> None:
    whole = gone_on_planned()
    assert sheet_title(whole, 0) == "Sheet 1 of 1: small, 1000 x 2000 mm, on hand"
    assert sheets_to_buy(whole) == ("1 of small (1000 x 2000 mm) on hand",)


def test_the_page_tells_what_is_bought_and_what_is_there() -> None:
    page = page_html(gone_on_planned())
    assert "Buy no sheets, use 1 on hand, make 1 seam." in page
    rows = re.findall(r'data-part="(D1|hatch#1)"[^>]*>(.*?)</tr>', page)
    assert [name for name, row in rows if "no sheet: cut already" in row] == ["D1", "hatch#1"]


def test_the_summary_counts_sheets_on_hand_apart() -> None:
    said = "\n".join(plan_summary(gone_on_planned(), Path("out"), (), 1.0))
    assert "Sheets to buy: 0, and 1 on hand" in said
    assert "1 of small  1000 x 2000 mm          on hand" in said


def test_the_buy_list_asks_only_for_what_is_missing() -> None:
    rows = lists.buy_list(gone_on_planned()).splitlines()
    assert rows[1].startswith('"small, on hand",1,sheet,0,0.00,"on hand, not to buy')
    assert any("for the whole body, panels cut before included" in row for row in rows)


def test_plan_json_tells_cut_panels_and_sheets_on_hand() -> None:
    document = plan_document(gone_on_planned())
    assert [(panel["name"], panel["cut_already"]) for panel in document["panels"]] == [
        ("D1", True),
        ("D2", False),
    ]
    assert [(sheet["price"], sheet["on_hand"]) for sheet in document["sheets"]] == [(0.0, True)]
    assert document["patches_cut_already"] == ["hatch#1"]
    assert document["cost_unit"] == "money"
