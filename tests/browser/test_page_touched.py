"""The page in use: touched, zoomed, sorted, by hand and by keyboard, on a phone and at a desk, and on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from tests.browser.conftest import ATTACK, BUS, Opener

if TYPE_CHECKING:
    from playwright.sync_api import Locator, Page

pytestmark = pytest.mark.browser

ZOOMED = "view => view.querySelector('svg').getBoundingClientRect().width / view.clientWidth"


def lit(page: Page) -> list[str]:
    return page.locator(".lit").evaluate_all("all => all.map(item => item.id)")


def in_sight(place: Locator) -> bool:
    """Whether something of a place lies on the screen, above the bar."""
    box = place.bounding_box()
    assert box is not None
    return box["y"] < 700 and box["y"] + box["height"] > 0 and box["x"] < 390 and box["x"] + box["width"] > 0


@pytest.mark.parametrize("width", [390, 1280])
def test_page_is_no_wider_than_the_screen_and_its_controls_lie_apart(open_page: Opener, width: int) -> None:
    page = open_page(width)
    assert page.evaluate("document.documentElement.scrollWidth") == width
    boxes = [box for item in page.locator("button:visible, nav a").all() if (box := item.bounding_box())]
    assert len(boxes) > 20
    for i, one in enumerate(boxes):
        for other in boxes[i + 1 :]:
            apart_x = one["x"] + one["width"] <= other["x"] or other["x"] + other["width"] <= one["x"]
            apart_y = one["y"] + one["height"] <= other["y"] or other["y"] + other["height"] <= one["y"]
            assert apart_x or apart_y, (one, other)


@pytest.mark.parametrize("width", [390, 1280])
def test_pictures_show_ink_where_drawings_stand(open_page: Opener, width: int) -> None:
    page = open_page(width)
    for view in page.locator(".view").all():
        # a blank picture of the smallest of these boxes compresses to about 1 kB
        assert len(view.screenshot()) > 3000
    assert len(page.screenshot(full_page=True)) > 60_000


def test_touching_a_panel_shows_it_on_its_side_on_its_sheet_and_in_the_table(open_page: Opener) -> None:
    page = open_page(has_touch=True)
    assert not page.locator("#chosen").is_visible()
    page.locator("#on-side-2").tap()
    assert lit(page) == ["on-side-2", "on-sheet-2", "row-2"]
    assert page.locator("#chosen .name").inner_text() == BUS
    page.get_by_role("link", name="On sheet", exact=True).tap()
    assert in_sight(page.locator("#on-sheet-2"))
    page.get_by_role("link", name="In table", exact=True).tap()
    assert in_sight(page.locator("#row-2"))
    page.get_by_role("link", name="On side", exact=True).tap()
    assert in_sight(page.locator("#on-side-2"))
    page.get_by_role("button", name="Close").tap()
    assert lit(page) == []
    assert not page.locator("#chosen").is_visible()


def test_touching_on_the_sheet_or_in_the_table_does_the_same_and_again_puts_it_out(open_page: Opener) -> None:
    page = open_page(has_touch=True)
    page.locator("#on-sheet-3").tap()
    assert lit(page) == ["on-side-3", "on-sheet-3", "row-3"]
    page.locator("#row-1 td").first.tap()
    assert lit(page) == ["on-side-1", "on-sheet-1", "row-1"]
    page.locator("#row-1 td").first.tap()
    assert lit(page) == []


def test_a_patch_has_no_side_to_lead_to(open_page: Opener) -> None:
    page = open_page(has_touch=True)
    page.locator("#sheet-1 [data-part='lamp cover#1']").first.tap()
    assert len(lit(page)) == 2
    assert not page.get_by_role("link", name="On side", exact=True).is_visible()
    assert page.get_by_role("link", name="On sheet", exact=True).is_visible()


def test_a_link_in_the_table_goes_to_the_drawing_and_lights_the_part(open_page: Opener) -> None:
    page = open_page(has_touch=True)
    page.locator("#row-3 a", has_text="sheet 3").tap()
    assert in_sight(page.locator("#on-sheet-3"))
    assert lit(page) == ["on-side-3", "on-sheet-3", "row-3"]


def test_the_keyboard_goes_from_side_to_sheet_and_back(open_page: Opener) -> None:
    page = open_page(1280)
    page.locator("#on-side-3").focus()
    for place in ("on-sheet-3", "on-side-3"):
        page.keyboard.press("Enter")
        page.wait_for_function("place => document.activeElement.id === place", arg=place)
        assert lit(page) == ["on-side-3", "on-sheet-3", "row-3"]
    page.keyboard.press("Escape")
    assert lit(page) == []


def test_the_first_key_leads_past_the_head_and_focus_is_always_seen(open_page: Opener) -> None:
    page = open_page(1280)
    seen = []
    for _ in range(16):
        page.keyboard.press("Tab")
        seen.append(
            page.evaluate(
                """() => {
                    const item = document.activeElement, style = getComputedStyle(item);
                    return [item.textContent.trim().slice(0, 20), style.outlineStyle, style.outlineWidth];
                }"""
            )
        )
    assert seen[0][0] == "To the plan"
    assert {"Smaller", "Bigger", "Whole", "Rivets"} <= {words for words, _, _ in seen}
    assert {(style, width) for _, style, width in seen} == {("solid", "3px")}


def test_everything_that_can_be_used_has_a_name(open_page: Opener) -> None:
    page = open_page(1280)
    said = [line.strip().removeprefix("- ") for line in page.locator("body").aria_snapshot().splitlines()]
    assert sum(words.startswith("button ") for words in said) > 20
    for role in ("link", "button", "group", "navigation", "region"):
        assert not {role, f"{role}:"} & set(said)


def test_buttons_zoom_and_show_the_whole_again(open_page: Opener) -> None:
    page = open_page(1280)
    view, tools = page.locator("#side-1 .view"), page.locator("#side-1 .tools")
    tools.get_by_role("button", name="Bigger").click()
    assert view.evaluate(ZOOMED) == pytest.approx(1.5, rel=0.01)
    tools.get_by_role("button", name="Bigger").click()
    assert view.evaluate(ZOOMED) == pytest.approx(2.25, rel=0.01)
    tools.get_by_role("button", name="Smaller").click()
    assert view.evaluate(ZOOMED) == pytest.approx(1.5, rel=0.01)
    assert tools.locator("output").inner_text() == "1.5 times"
    tools.get_by_role("button", name="Whole").click()
    assert view.evaluate(ZOOMED) == pytest.approx(1.0, rel=0.01)
    assert page.evaluate("document.documentElement.scrollWidth") == 1280


def test_a_lit_part_stays_in_sight_when_its_drawing_is_zoomed(open_page: Opener) -> None:
    page = open_page(390, has_touch=True)
    cover = page.locator("#sheet-1 .regions a[data-part='lamp cover#1']")
    cover.tap()
    for _ in range(4):
        page.locator("#sheet-1").get_by_role("button", name="Bigger").tap()
    box, frame = cover.bounding_box(), page.locator("#sheet-1 .view").bounding_box()
    assert box is not None
    assert frame is not None
    assert frame["x"] <= box["x"] + box["width"] / 2 <= frame["x"] + frame["width"]
    assert frame["y"] <= box["y"] + box["height"] / 2 <= frame["y"] + frame["height"]


def test_a_long_side_can_be_seen_whole_on_a_phone(open_page: Opener) -> None:
    page = open_page(390, has_touch=True)
    view = page.locator("#side-1 .view")
    assert view.evaluate(ZOOMED) > 3
    page.locator("#side-1").get_by_role("button", name="Whole").tap()
    assert view.evaluate(ZOOMED) == pytest.approx(1.0, rel=0.01)


def test_keys_zoom_the_drawing_that_has_the_focus(open_page: Opener) -> None:
    page = open_page(1280)
    first, second = page.locator("#sheet-1 .view"), page.locator("#sheet-2 .view")
    first.focus()
    page.keyboard.press("+")
    assert first.evaluate(ZOOMED) == pytest.approx(1.5, rel=0.01)
    assert second.evaluate(ZOOMED) == pytest.approx(1.0, rel=0.01)
    page.keyboard.press("-")
    page.keyboard.press("-")
    assert first.evaluate(ZOOMED) == pytest.approx(1.0, rel=0.01)
    page.keyboard.press("+")
    page.keyboard.press("0")
    assert first.evaluate(ZOOMED) == pytest.approx(1.0, rel=0.01)


def test_two_fingers_zoom_about_the_point_between_them(open_page: Opener) -> None:
    page = open_page(390, has_touch=True)
    view = page.locator("#sheet-1 .view")
    view.scroll_into_view_if_needed()
    box = view.bounding_box()
    assert box is not None
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    under = "([x, y]) => { const box = document.querySelector('#sheet-1 svg').getBoundingClientRect();"
    under += " return [(x - box.left) / box.width, (y - box.top) / box.height]; }"
    before, point = view.evaluate(ZOOMED), page.evaluate(under, [x, y])
    fingers = page.context.new_cdp_session(page)

    def touch(kind: str, *apart: float) -> None:
        points = [{"x": x + side * half, "y": y, "id": n} for half in apart for n, side in enumerate((-1, 1))]
        fingers.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})

    touch("touchStart", 40)
    for half in (50, 60, 70, 80):
        touch("touchMove", half)
    touch("touchEnd")
    assert view.evaluate(ZOOMED) == pytest.approx(2 * before, rel=0.03)
    assert page.evaluate(under, [x, y]) == pytest.approx(point, abs=0.01)
    assert page.evaluate("visualViewport.scale") == 1
    assert lit(page) == []


def test_dragging_moves_a_zoomed_drawing_and_is_no_touch(open_page: Opener) -> None:
    page = open_page(1280)
    view = page.locator("#sheet-1 .view")
    view.focus()
    page.keyboard.press("+")
    view.scroll_into_view_if_needed()
    box = view.bounding_box()
    assert box is not None
    before = view.evaluate("view => view.scrollLeft")
    x, y = box["x"] + 600, box["y"] + min(box["height"], 700) / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 100, y, steps=5)
    page.mouse.up()
    assert view.evaluate("view => view.scrollLeft") == pytest.approx(before + 100, abs=2)
    assert lit(page) == []


def test_rivets_are_shown_or_not(open_page: Opener) -> None:
    page = open_page(1280)
    button, dots = page.get_by_role("button", name="Rivets").first, page.locator("#side-1 g.RIVET")
    assert dots.is_visible()
    assert button.get_attribute("aria-pressed") == "true"
    button.click()
    assert not dots.is_visible()
    assert button.get_attribute("aria-pressed") == "false"
    # the dot of the trade-off is no rivet
    assert page.locator(".plot g.RIVET").is_visible()
    button.focus()
    page.keyboard.press("Space")
    assert dots.is_visible()


def column(page: Page, table: str, number: int) -> list[str]:
    cells = page.locator(f"{table} tbody tr td:nth-child({number})")
    return cells.evaluate_all("all => all.map(cell => cell.textContent)")


def test_tables_sort_by_numbers_up_down_and_as_they_were(open_page: Opener) -> None:
    page = open_page(1280)
    head = page.locator("#parts th", has_text="Width")
    written = column(page, "#parts", 3)
    assert written == ["118 1/2", "119", "118 1/2", "5", "5", "5", "5"]
    head.get_by_role("button").click()
    assert head.get_attribute("aria-sort") == "ascending"
    assert column(page, "#parts", 3) == ["5", "5", "5", "5", "118 1/2", "118 1/2", "119"]
    head.get_by_role("button").focus()
    page.keyboard.press("Enter")
    assert head.get_attribute("aria-sort") == "descending"
    assert column(page, "#parts", 3) == ["119", "118 1/2", "118 1/2", "5", "5", "5", "5"]
    page.keyboard.press("Space")
    assert head.get_attribute("aria-sort") == "none"
    assert column(page, "#parts", 3) == written


def test_numbers_are_read_as_the_page_prints_them(open_page: Opener) -> None:
    page = open_page(1280)
    written = ["118 3/4", "3/16", "1,428.88", "50 (14)", "1 15/16 to 2", "-1 1/2", "56.4 lb (25.6 kg)"]
    assert page.evaluate("all => all.map(number)", written) == [
        118.75,
        0.1875,
        1428.88,
        50,
        1.9375,
        -1.5,
        56.4,
    ]
    assert page.evaluate("number('') < number('-99999')")


def test_words_sort_as_people_count_and_sums_stay_last(open_page: Opener) -> None:
    page = open_page(1280)
    page.locator("#parts th", has_text="Part").get_by_role("button").click()
    covers = [name for name in column(page, "#parts", 1) if name.startswith("lamp")]
    assert covers == [f"lamp cover#{number}" for number in (1, 2, 3, 4)]
    for _ in range(2):
        page.locator("#buy th", has_text="Item").get_by_role("button").click()
        assert page.locator("#buy tr").last.inner_text().startswith("total")
    other = page.locator("#buy th", has_text="Price")
    other.get_by_role("button").click()
    sorts = page.locator("#buy th").evaluate_all("all => all.map(head => head.getAttribute('aria-sort'))")
    assert sorted(sorts) == ["ascending", "none", "none", "none", "none"]


def test_names_are_shown_as_words_and_run_nothing(open_page: Opener) -> None:
    page = open_page(390, has_touch=True)
    assert f"{ATTACK} {BUS}" in page.locator("h1").inner_text()
    assert f"{ATTACK} {BUS}" in page.title()
    assert page.locator("#row-1 td").first.inner_text() == ATTACK
    page.locator("#row-1 td").first.tap()
    assert page.locator("#chosen .name").inner_text() == ATTACK
    assert page.locator("script").count() == 1
    assert page.locator("[onfocus]").count() == 0


def test_without_the_script_everything_is_read_and_links_lead_both_ways(open_page: Opener) -> None:
    page = open_page(390, has_touch=True, java_script_enabled=False)
    assert page.locator("button:visible").count() == 0
    assert page.locator("tr[data-part]").count() == 7
    page.locator("#on-side-3").tap()
    page.wait_for_url("**#on-sheet-3")
    page.locator("#on-sheet-3").tap()
    page.wait_for_url("**#on-side-3")


def test_paper_shows_no_controls_and_drawings_at_their_width(open_page: Opener) -> None:
    page = open_page(700)
    page.locator("#on-side-3").click()
    page.locator("#side-1").get_by_role("button", name="Bigger").click()
    page.emulate_media(media="print")
    assert page.locator(".tools:visible, nav:visible, #chosen:visible, .skip:visible").count() == 0
    assert page.locator("th button").first.is_visible()
    for view in page.locator("figure:not(.plot) .view").all():
        assert view.evaluate(ZOOMED) == pytest.approx(1.0, abs=0.02)
    assert page.locator("#on-side-3 path").evaluate("path => getComputedStyle(path).fillOpacity") == "0"
    assert (
        page.locator("#row-3 td").first.evaluate("cell => getComputedStyle(cell).backgroundColor")
        == "rgba(0, 0, 0, 0)"
    )
