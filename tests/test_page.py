"""The page says what was decided, keeps every name a name, and needs nothing from elsewhere."""

from __future__ import annotations

import re
from base64 import b64encode
from collections.abc import Callable
from dataclasses import replace
from hashlib import sha256
from html.parser import HTMLParser

import pytest

from nesting.documents.cautions import CAUTIONS
from nesting.documents.screen.page import page_html
from nesting.documents.screen.tables import safe
from nesting.job import Units
from nesting.plan import BuyLine, Fasteners, PlannedJob, Status
from tests.drawn import NO_MONEY, planned
from tests.full_body import full_body, full_body_fasteners
from tests.hand_fixed import gone_on
from tests.hand_plans import ALL, HandPlan, four_corners, planned_two_panels, sheared, windowed
from tests.long_plan import long_plan, renamed

VOID = {"meta", "br", "link", "img", "input", "hr"}
NASTY = "<img src=x onerror=alert(1)> & \"D\" '1'"
NAMES = [NASTY + '</title></svg><script>alert(1)</script> " autofocus="', "\U0001f68c bus דלת باب"]


class Page(HTMLParser):
    """What a reader of the page finds: its words, its tags, and whether they are closed in order."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.open: list[str] = []
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.words: list[str] = []
        self.ids: list[str] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        self.ids += [value for name, value in attrs if name == "id" and value]
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if not self.open or self.open[-1] not in ("style", "script"):
            self.words.append(data)

    @property
    def said(self) -> str:
        return " ".join(" ".join(self.words).split())


def test_tags_are_closed_in_order_and_names_unique() -> None:
    for plan in (long_plan(), planned(sheared()), planned(windowed())):
        page = Page(page_html(plan))
        assert page.open == []
        assert len(set(page.ids)) == len(page.ids)


def test_decision_stands_first() -> None:
    said = Page(page_html(planned_two_panels())).said
    assert said.index("Buy 1 sheet, make 1 seam.") < said.index("driver side")
    assert "cost in all 132.00" in said
    assert "rivets to buy 95" in said
    assert "1 x small, 1000 x 2000 mm, 55.00 each" in said
    assert "plan optimal" in said
    assert "Sheets 55.00 and seams 12.00 make 67.00; the proved bound is 67.00, the gap 0.00 %." in said


def test_unproved_plan_says_how_far_it_may_be_off() -> None:
    plan = long_plan()
    assert plan.plan.status is Status.FEASIBLE
    said = Page(page_html(plan)).said
    assert "plan feasible" in said
    assert "make 408.00; the proved bound is 400.00, the gap 1.96 %." in said


def test_trade_off_marks_the_row_of_this_plan() -> None:
    page = page_html(long_plan())
    chosen = re.findall(r'<tr class="chosen">.*?</tr>', page)
    assert len(chosen) == 1
    assert ">2<" in chosen[0]
    assert "384.00" in chosen[0]
    assert "not below 380.00" in page


def test_each_side_and_sheet_is_drawn_in_the_page() -> None:
    plan = long_plan()
    page = Page(page_html(plan))
    assert [tag for tag, _ in page.tags].count("svg") == 1 + len(plan.plan.sheets) + len(["the trade-off"])
    assert "Sheet 2 of 3: 4x10, 48 x 120 in" in page.said
    assert "Hang in this order, each sheet over the one before it where they lap: D3, D2 and D1." in page.said


def test_tables_hold_parts_money_and_rivets() -> None:
    said = Page(page_html(planned_two_panels())).said
    assert "D1 driver side, bay 1 665 550 3.7 kg (8.1 lb) 50 (14) sheet 1" in said
    assert "sheet small 1 sheets 55.00 55.00" in said
    assert "total 132.00" in said
    assert "driver side seam 1 14 40 4.40" in said
    assert "86 rivets sit in the skin, each counted once; buy 95 (1 x 100)." in said


def test_links_lead_to_places_on_the_page() -> None:
    page = Page(page_html(long_plan()))
    links = [attrs["href"] or "" for tag, attrs in page.tags if tag == "a"]
    assert links
    assert all(link.startswith("#") for link in links)
    assert {link[1:] for link in links} <= set(page.ids)


def test_doubts_stand_at_the_top_and_at_the_sheet_they_concern() -> None:
    plan = long_plan()
    page = page_html(plan)
    (doubt,) = plan.job.warnings
    said = Page(page).said
    assert said.index(doubt) < said.index("Sheet 1 of 3")
    again = re.findall(r'id="sheet-2"><h3>[^<]*</h3><p class="again">Doubtful reading: .*?</p>', page)
    assert len(again) == 1
    assert page.count("Doubtful reading:") == 1


def test_heavy_parts_are_named_for_two_people() -> None:
    said = Page(page_html(long_plan())).said
    assert "Two people or lifting gear, over 50.7 lb (23.0 kg): D1, D2 and D3." in said
    assert "Two people" not in Page(page_html(planned_two_panels())).said.split("Cautions")[0]


def test_all_cautions_are_said() -> None:
    said = Page(page_html(planned_two_panels())).said
    for heading, text in CAUTIONS:
        assert f"{heading} {text}" in said


def test_sheared_sheet_lists_its_cuts_in_order() -> None:
    said = Page(page_html(planned(sheared()))).said
    assert "1 2000 x 1000 800 from its left edge across the length" in said
    assert said.index("1 2000 x 1000") < said.index("2 800 x 1000") < said.index("4 1200 x 1000")


@pytest.mark.parametrize("name", NAMES)
@pytest.mark.parametrize("place", ["title", "part", "side", "stock", "material", "warning"])
def test_names_of_the_user_stay_words(place: str, name: str) -> None:
    plan = long_plan()
    if place == "title":
        plan = replace(plan, job=replace(plan.job, title=name))
    elif place == "part":
        plan = renamed(plan, {"D1": name})
    elif place == "side":
        plan = renamed(plan, {"driver side": name})
    elif place == "stock":
        sheets = tuple(replace(sheet, stock=replace(sheet.stock, name=name)) for sheet in plan.plan.sheets)
        plan = replace(plan, plan=replace(plan.plan, sheets=sheets))
    elif place == "material":
        plan = replace(plan, job=replace(plan.job, skin=replace(plan.job.skin, material=name)))
    else:
        plan = replace(plan, warnings=(name,))
    text = page_html(plan)
    page = Page(text)
    assert "img" not in {tag for tag, _ in page.tags}
    assert [tag for tag, _ in page.tags].count("script") == 1
    assert not any(key.startswith("on") or key == "autofocus" for _, attrs in page.tags for key in attrs)
    assert name in page.said
    assert page.open == []


def test_page_needs_nothing_from_elsewhere() -> None:
    text = page_html(long_plan())
    page = Page(text)
    assert not {tag for tag, _ in page.tags} & {"link", "img", "iframe", "object", "embed", "base"}
    assert not [attrs for tag, attrs in page.tags if tag == "script" and attrs]
    without_names = re.sub(r'xmlns(:\w+)?="[^"]*"', "", text)
    assert not re.search(r"https?:|url\(|@import", without_names)


def test_only_the_page_s_own_style_and_script_may_run() -> None:
    text = page_html(long_plan())
    (policy,) = re.findall(r'Content-Security-Policy" content="([^"]*)"', text)
    assert policy.startswith("default-src 'none'; ")
    for tag, rule in (("style", "style-src"), ("script", "script-src")):
        (content,) = re.findall(rf"<{tag}>(.*?)</{tag}>", text, re.DOTALL)
        digest = b64encode(sha256(content.encode()).digest()).decode()
        assert f"{rule} 'sha256-{digest}'" in policy
    # a style attribute would be refused by this policy
    assert not [attrs for _, attrs in Page(text).tags if "style" in attrs]


def test_page_fits_a_phone_and_prints() -> None:
    text = page_html(long_plan())
    assert '<meta name="viewport" content="width=device-width, initial-scale=1">' in text
    assert "@media print" in text


def test_touching_a_part_can_find_it_on_side_sheet_and_table() -> None:
    page = Page(page_html(long_plan()))
    named = [tag for tag, attrs in page.tags if attrs.get("data-part") == "D2"]
    assert named.count("tr") == 1
    assert named.count("a") == 2
    assert named.count("path") >= 2


def leads_to(plan: PlannedJob) -> dict[str, list[tuple[str, str, str]]]:
    """The areas to touch in the order of the page, by part: own mark, mark led to, what is said."""
    found: dict[str, list[tuple[str, str, str]]] = {}
    for tag, attrs in Page(page_html(plan)).tags:
        if tag == "a" and (part := attrs.get("data-part")):
            said = (attrs["id"] or "", (attrs["href"] or "")[1:], attrs["aria-label"] or "")
            found.setdefault(part, []).append(said)
    return found


def test_a_panel_leads_from_its_side_to_its_sheet_and_back() -> None:
    on_side, on_sheet = leads_to(long_plan())["D2"]
    assert (on_side[0], on_side[1]) == (on_sheet[1], on_sheet[0])
    assert on_side[2] == "D2: to its place on sheet 2"
    assert on_sheet[2] == "D2: to its place on driver side"


def test_a_patch_leads_from_its_sheet_to_its_row() -> None:
    plan = long_plan()
    ((_, there, said),) = leads_to(plan)["lamp cover#1"]
    assert said == "lamp cover#1: to its row in the table of parts"
    row = next(attrs for tag, attrs in Page(page_html(plan)).tags if tag == "tr" and attrs.get("id") == there)
    assert row["data-part"] == "lamp cover#1"


def test_a_panel_that_is_cut_already_leads_from_its_side_to_its_row() -> None:
    job, plan = gone_on()
    ((_, there, _),) = leads_to(PlannedJob(job, plan, Fasteners(), NO_MONEY))["D1"]
    assert there.startswith("row-")


def test_marks_are_the_same_whatever_parts_are_called() -> None:
    plain, odd = Page(page_html(long_plan())), Page(page_html(renamed(long_plan(), {"D1": NASTY})))
    assert plain.ids == odd.ids


def test_words_from_right_to_left_stand_apart_from_what_is_beside_them() -> None:
    # without it 'דלת, 48 x 120' would show the 48 on the wrong side of the name
    assert safe("דלת") == "&#x2068;דלת&#x2069;"
    assert safe("door") == "door"


def test_what_needs_the_script_is_hidden_until_it_runs() -> None:
    page = Page(page_html(long_plan()))
    hidden = [attrs for tag, attrs in page.tags if "hidden" in attrs]
    assert len([attrs for attrs in hidden if attrs.get("class") == "tools"]) == 4
    assert [attrs["id"] for attrs in hidden if "id" in attrs] == ["chosen"]
    inside = page_html(long_plan()).split("<script>")[0]
    assert (
        re.sub(r'(?s)<div class="tools".*?</div>|<div id="chosen".*?</div>', "", inside).count("<button") == 0
    )


def test_drawings_are_named_and_reached_by_keyboard() -> None:
    boxes = [a for _, a in Page(page_html(long_plan())).tags if a.get("class") == "view" and "tabindex" in a]
    assert [box["aria-label"] for box in boxes] == [
        f"Drawing of {name}, scrolls" for name in ("driver side", "sheet 1", "sheet 2", "sheet 3")
    ]
    assert {box["tabindex"] for box in boxes} == {"0"}


def test_a_drawing_with_areas_to_touch_lets_screen_readers_hear_these_alone() -> None:
    page = page_html(long_plan())
    side = page.split("<svg")[2].split("</svg>")[0]
    assert 'role="group"' in side
    assert len(re.findall("<g [^>]*aria-hidden", side)) == side.count("<g ") - 1
    assert 'role="img"' in page.split("<svg")[1].split("</svg>")[0]


def test_sections_are_named_by_their_headings() -> None:
    page = Page(page_html(long_plan()))
    named = {attrs["id"]: attrs.get("aria-labelledby") for tag, attrs in page.tags if tag == "section"}
    assert {name for name in named if name != "warnings"} == {
        "side-1",
        "sheets",
        "parts",
        "buy",
        "rivets",
        "cautions",
    }
    assert {mark for mark in named.values() if mark} <= set(page.ids)
    tags = [tag for tag, _ in page.tags]
    assert (tags.count("main"), tags.count("nav"), tags.count("h1")) == (1, 1, 1)


def test_sums_stand_below_what_can_be_sorted() -> None:
    plan = planned_two_panels()
    page = page_html(replace(plan, buying=replace(plan.buying, tax=7.0, total=999.0)))
    feet = re.findall(r"<tbody>((?:(?!<table).)*?)</tbody><tfoot>(.*?)</tfoot>", page)
    assert len(feet) == 2
    for body, foot in feet:
        assert "total" not in body
        assert 'class="sum"' not in body
        assert 'class="sum"' in foot
    assert page.count('class="sorts"') == 3


def test_a_body_of_full_size_makes_a_page_of_less_than_two_megabytes() -> None:
    body = full_body()
    page = page_html(PlannedJob(body.job, body.plan, full_body_fasteners(body), NO_MONEY))
    assert page.count("<circle") > 1000
    assert len(page.encode()) < 2_000_000


@pytest.mark.parametrize("hand", ALL)
def test_every_plan_makes_a_page_that_is_the_same_twice(hand: Callable[[], HandPlan]) -> None:
    plan = planned(hand())
    assert page_html(plan) == page_html(plan)
    assert Page(page_html(plan)).open == []


def test_plan_without_rivets_or_trade_off_still_makes_a_page() -> None:
    plan = planned_two_panels()
    bare = replace(plan, plan=replace(plan.plan, tradeoff=()), fasteners=Fasteners(), masses={})
    said = Page(page_html(bare)).said
    assert "Fewer seams" not in said
    assert "0 rivets sit in the skin" in said


def test_lengths_are_in_the_units_of_the_job() -> None:
    plan: PlannedJob = long_plan()
    assert plan.job.units is Units.INCH
    assert "118 1/2 41 1/2" in Page(page_html(plan)).said


def test_tax_is_listed_once() -> None:
    plan = planned_two_panels()
    without = replace(plan.buying, lines=tuple(line for line in plan.buying.lines if "tax" not in line.item))
    said = Page(page_html(replace(plan, buying=without))).said
    assert "tax 12.00 total 132.00" in said
    taxed = (*without.lines, BuyLine("tax, 10 per cent", 1, "sum", 12.0, 12.0))
    said = Page(page_html(replace(plan, buying=replace(without, lines=taxed)))).said
    assert "tax, 10 per cent 1 sum 12.00 12.00 total 132.00" in said


def test_panel_that_needs_no_sheet_is_still_listed() -> None:
    plan = planned_two_panels()
    sheet = plan.plan.sheets[0]
    left = replace(plan.plan, sheets=(replace(sheet, parts=sheet.parts[:1]),))
    said = Page(page_html(replace(plan, plan=left))).said
    assert "D2 driver side, bay 2 665 550 3.7 kg (8.1 lb) 50 (14) no sheet: cut already" in said


def test_rows_are_named_where_there_are_several() -> None:
    said = Page(page_html(planned(four_corners()))).said
    assert "D1 driver side, bay 1, row 1 from below 665 540" in said
    assert "D4 driver side, bay 2, row 2 from below 665 540" in said


def test_plan_without_sheets_makes_a_page() -> None:
    plan = planned_two_panels()
    said = Page(page_html(replace(plan, plan=replace(plan.plan, sheets=())))).said
    assert "Buy no sheets, make 1 seam." in said
