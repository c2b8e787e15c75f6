"""The printed packet: what must stand on each page, to scale, inside the margins, the same every time."""

from __future__ import annotations

import base64
import re
import zlib
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reportlab.pdfgen.canvas import Canvas

from nesting.documents.drawing import Drawing, Layer
from nesting.documents.drawing import Path as Line
from nesting.documents.paper import sheet as printed_paper
from nesting.documents.paper.drawn import PENS, View, draw, fitting_scale
from nesting.documents.paper.layouts import alike, corner_radius
from nesting.documents.paper.ordinates import spread, upright_marks
from nesting.documents.paper.packet import write_packet
from nesting.documents.paper.sheet import MARGIN, Flow
from nesting.documents.paper.type import clipped, printable, shortened, text_length
from nesting.job import Units
from nesting.outline import polygon_ring, rectangle, turned
from nesting.plan import Fasteners, PlannedJob, SheetLayout
from tests import hand_plans
from tests.long_plan import SIDE, long_plan, renamed

ESCAPED = re.compile(rb"\\([0-7]{3}|.)")


def pages_of(path: Path) -> list[str]:
    """The words on each page, in the order in which they are written."""
    raw = path.read_bytes()
    objects = {int(n): body for n, body in re.findall(rb"\n(\d+) 0 obj\n(.*?)endobj", raw, re.DOTALL)}
    kids = re.search(rb"/Kids \[(.*?)\]", raw, re.DOTALL)
    assert kids
    return [_words(objects, objects[int(n)]) for n in re.findall(rb"(\d+) 0 R", kids[1])]


def _words(objects: dict[int, bytes], page: bytes) -> str:
    contents = re.search(rb"/Contents (\d+) 0 R", page)
    assert contents
    stream = re.search(rb"stream\r?\n(.*?)endstream", objects[int(contents[1])], re.DOTALL)
    assert stream
    plain = zlib.decompress(base64.a85decode(stream[1].strip().removesuffix(b"~>")))
    pieces = re.findall(rb"\(((?:[^()\\]|\\.)*)\) Tj", plain)
    return "\n".join(ESCAPED.sub(_unescaped, piece).decode("cp1252") for piece in pieces)


def _unescaped(match: re.Match[bytes]) -> bytes:
    code = match[1]
    return bytes([int(code, 8)]) if len(code) == 3 else code


def planned(plan: hand_plans.HandPlan) -> PlannedJob:
    masses = {part.part: 1.0 for sheet in plan.plan.sheets for part in sheet.parts}
    return PlannedJob(plan.job, plan.plan, Fasteners(), hand_plans.two_panels_buying(), masses)


ODD_NAMES = {
    "D1": "Vorderes Paneel " + "x" * 200,
    "D2": "Ветер 风 a name of several words that is somewhat long",
    "D3": "<b>&amp; </b> (unbalanced",
    SIDE: '../../x "quotes" 🚌 ' + "long " * 40,
    "Forty-foot body, driver side": "T" * 300,
}


@pytest.fixture(scope="module")
def packet(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    path = tmp_path_factory.mktemp("packet") / "packet.pdf"
    write_packet(long_plan(), path)
    return pages_of(path)


def page_about(pages: list[str], heading: str) -> str:
    """The words of the page under this heading and of those that continue it."""
    found = [page for page in pages if page.split("\n")[0].startswith(heading)]
    assert found
    assert all("(continued)" in page.split("\n")[0] for page in found[1:])
    return "\n".join(found)


def test_the_same_plan_prints_the_same_bytes(tmp_path: Path) -> None:
    for name in ("one.pdf", "two.pdf"):
        write_packet(long_plan(), tmp_path / name)
    assert (tmp_path / "one.pdf").read_bytes() == (tmp_path / "two.pdf").read_bytes()


def test_inch_jobs_go_on_letter_and_metric_ones_on_a4(tmp_path: Path) -> None:
    for name, plan, size in (
        ("inch.pdf", long_plan(), b"/MediaBox [ 0 0 612 792 ]"),
        ("mm.pdf", hand_plans.planned_two_panels(), b"/MediaBox [ 0 0 595.2756 841.8898 ]"),
    ):
        write_packet(plan, tmp_path / name)
        assert size in (tmp_path / name).read_bytes()


def test_every_page_is_numbered_and_carries_the_title(packet: list[str]) -> None:
    for number, page in enumerate(packet, start=1):
        assert f"page {number} of {len(packet)}\nForty-foot body, driver side" in page


def test_the_first_page_is_the_decision(packet: list[str]) -> None:
    first = packet[0]
    assert "Forty-foot body" in first.split("\n")[0]
    assert "3 of 4x10 (48 x 120 in) at 128.00" in first
    assert "3 panels on 1 side, 4 patches" in first
    assert "at most 1.96 %" in first
    assert "this plan" in first
    assert "differ by 3/8 in" in first


def test_a_proved_plan_says_so(tmp_path: Path) -> None:
    write_packet(hand_plans.planned_two_panels(), tmp_path / "p.pdf")
    assert "No cheaper plan exists" in pages_of(tmp_path / "p.pdf")[0]


def test_a_sheet_page_places_every_part_from_one_corner(packet: list[str]) -> None:
    page = page_about(packet, "Sheet 1 of 3: 4x10, 48 x 120 in")
    assert re.search(r"Scale 1:\d+\. Lengths in inches\. Measure everything from the lower left", page)
    assert "\n118 1/2 x 41 1/2\n" in page
    assert "D1\n1/4\n1/4\n118 1/2\n41 1/2\n0°\nup" in page
    assert "lamp cover#2\n5 1/2\n42\n5\n4\n0°\nup" in page
    assert "10 3/4\n42\n109\n5 3/4" in page


def test_a_doubtful_panel_is_named_on_its_sheet_and_only_there(packet: list[str]) -> None:
    for number, doubtful in ((1, False), (2, True), (3, False)):
        page = page_about(packet, f"Sheet {number} of 3")
        assert ("D2: side 'driver side', bay 6" in page) is doubtful


def test_the_packet_ends_with_lists_hanging_order_and_cautions(packet: list[str]) -> None:
    headings = [page.split("\n")[0] for page in packet]
    yardstick = "Seams and metals: a yardstick"
    assert headings[-6:] == ["Cut list", "Rivets", "Buy list", "Hanging order", yardstick, "Cautions"]
    hanging = page_about(packet, "Hanging order")
    steps = [hanging.index(step) for step in ("\n1\nD3\n", "\n2\nD2\n", "\n3\nD1\n")]
    assert steps == sorted(steps)
    assert "under the roof skin" in hanging.replace("\n", " ")


def test_the_cut_list_goes_by_name_panels_before_patches(tmp_path: Path) -> None:
    names = {"D1": "D10", "D2": "D9", "D3": "D2"}
    write_packet(renamed(long_plan(), names), tmp_path / "p.pdf")
    page = page_about(pages_of(tmp_path / "p.pdf"), "Cut list")
    places = [page.index(f"\n{name}\n") for name in ("D2", "D9", "D10", "lamp cover#1", "lamp cover#4")]
    assert places == sorted(places)


def test_rivet_lines_round_copies_of_a_patch_share_a_row(packet: list[str]) -> None:
    page = page_about(packet, "Rivets")
    assert "edge of lamp cover, 4 alike" in page
    assert "lamp cover#1 to lamp cover#4" in page


def test_shear_cuts_are_listed_in_order_with_the_stop(tmp_path: Path) -> None:
    write_packet(planned(hand_plans.sheared()), tmp_path / "p.pdf")
    page = page_about(pages_of(tmp_path / "p.pdf"), "Sheet 1 of 1")
    assert "1\n800\nfrom the left edge of the piece 2000 x 1000 that lies at 0, 0: cut across it" in page
    assert "3\n400\nfrom the lower edge of the piece 800 x 600 that lies at 0, 400: cut along it" in page
    assert page.index("\n1\n800\n") < page.index("\n2\n400\n") < page.index("\n4\n300\n")


def test_a_part_that_is_no_rectangle_gets_its_corners_listed(tmp_path: Path) -> None:
    write_packet(planned(hand_plans.flipped_step()), tmp_path / "p.pdf")
    page = page_about(pages_of(tmp_path / "p.pdf"), "Sheet 1 of 1")
    assert "DOWN" in page
    # turned by a quarter and mirrored, the step of 30 in 40 lies at the left
    assert "D1\n5\n30\n673.5\nslope, 50 long\nD1\n6\n0\n633.5\nstraight" in page


def test_a_window_is_listed_with_its_place_and_its_round_corners(tmp_path: Path) -> None:
    write_packet(planned(hand_plans.windowed()), tmp_path / "p.pdf")
    page = page_about(pages_of(tmp_path / "p.pdf"), "Sheet 1 of 1")
    assert re.search(r"hole in D1\n785\n135\n400\n300\n+corners rounded 50", page)


def test_corner_radius_tells_rectangles_from_everything_else() -> None:
    assert corner_radius(rectangle(3, 4, 30, 40)) == 0.0
    assert corner_radius(rectangle(3, 4, 30, 40, 5)) == pytest.approx(5)
    assert corner_radius(turned(rectangle(0, 0, 30, 40, 5), 90)) == pytest.approx(5)
    assert corner_radius(rectangle(0, 0, 30, 30, 15)) == pytest.approx(15)
    assert corner_radius(turned(rectangle(0, 0, 30, 40), 30)) is None
    assert corner_radius(polygon_ring([(0, 0), (30, 0), (30, 40), (10, 40), (0, 30)])) is None


def test_sheets_that_differ_only_in_copies_of_a_patch_share_a_page(tmp_path: Path) -> None:
    job, plan = hand_plans.sheared()
    (sheet,) = plan.sheets
    again = replace(sheet, parts=tuple(replace(p, part=p.part.split("#")[0] + "#9") for p in sheet.parts))
    other = SheetLayout(sheet.stock, sheet.parts[:1], sheet.cuts)
    whole = planned(hand_plans.HandPlan(job, replace(plan, sheets=(sheet, other, again))))
    assert alike(whole) == ((0, 2), (1,))
    write_packet(whole, tmp_path / "p.pdf")
    page = page_about(pages_of(tmp_path / "p.pdf"), "Sheet 1 of 3")
    assert "Make 2 alike: sheets 1, 3." in page
    assert "cover#1, cover#9" in page


def test_sheets_with_different_panels_never_share_a_page() -> None:
    assert alike(long_plan()) == ((0,), (1,), (2,))


def test_odd_names_are_shortened_replaced_and_never_read_as_markup(tmp_path: Path) -> None:
    write_packet(renamed(long_plan(), ODD_NAMES), tmp_path / "p.pdf")
    pages = pages_of(tmp_path / "p.pdf")
    assert "????? ? a name of several words" in page_about(pages, "Sheet 2 of 3").replace("\n", " ")
    assert "<b>&amp; </b> (unbalanced" in page_about(pages, "Sheet 3 of 3").replace("\n", "")
    assert "x" * 200 not in page_about(pages, "Cut list").replace("\n", "")


def test_many_warnings_run_on_over_several_pages(tmp_path: Path) -> None:
    warnings = tuple(f"warning number {n} " + "about something or other " * 6 for n in range(200))
    write_packet(replace(hand_plans.planned_two_panels(), warnings=warnings), tmp_path / "p.pdf")
    pages = pages_of(tmp_path / "p.pdf")
    assert pages[1].startswith("hand job (continued)")
    assert all(any(f"warning number {n} " in page for page in pages) for n in range(200))


class Recorder(Canvas):  # type: ignore[misc]
    """Notes where lines of words begin and end on the page, in points."""

    words: list[tuple[str, float, float, float, float]]

    def drawString(self, x: float, y: float, text: str, *args: Any, **more: Any) -> None:
        end = x + self.stringWidth(text, self._fontname, self._fontsize)
        for at in (x, end):
            self.words.append((text, *self.absolutePosition(at, y), *self._pagesize))
        super().drawString(x, y, text, *args, **more)


def recorded(monkeypatch: pytest.MonkeyPatch, plan: PlannedJob, path: Path) -> list[Any]:
    monkeypatch.setattr(printed_paper, "Canvas", Recorder)
    monkeypatch.setattr(Recorder, "words", [], raising=False)
    write_packet(plan, path)
    return Recorder.words


@pytest.mark.parametrize("plan", hand_plans.ALL, ids=lambda plan: plan.__name__)
def test_all_words_of_drawings_lie_inside_the_margins(
    plan: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    for text, x, y, width, height in recorded(monkeypatch, planned(plan()), tmp_path / "p.pdf"):
        assert MARGIN - 1 <= x <= width - MARGIN + 1, text
        assert MARGIN - 1 <= y <= height - MARGIN + 1, text


@pytest.mark.parametrize("names", [{}, ODD_NAMES], ids=["plain", "odd"])
def test_a_long_side_keeps_to_the_margins_too(
    names: dict[str, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = recorded(monkeypatch, renamed(long_plan(), names), tmp_path / "p.pdf")
    assert len(words) > 100
    for text, x, y, width, height in words:
        assert MARGIN - 1 <= x <= width - MARGIN + 1, text
        assert MARGIN - 1 <= y <= height - MARGIN + 1, text


def test_a_drawing_at_one_to_ten_is_a_tenth_as_long() -> None:
    view = View((100.0, 50.0, 354.0, 304.0), 10, x=72.0, y=36.0)
    assert (view.width, view.height) == (pytest.approx(72.0), pytest.approx(72.0))
    assert view.point(100.0, 50.0) == (72.0, 36.0)
    assert view.point(354.0, 304.0) == (pytest.approx(144.0), pytest.approx(108.0))


@settings(deadline=None, max_examples=80)
@given(st.floats(1, 30_000), st.floats(1, 30_000))
def test_the_scale_fits_the_page_and_is_not_much_smaller_than_it_must_be(wide: float, high: float) -> None:
    box = (0.0, 0.0, wide, high)
    scale = fitting_scale(box, 700.0, 400.0)
    view = View(box, scale)
    assert view.width <= 700.0 + 1e-6
    assert view.height <= 400.0 + 1e-6
    if scale > 2:
        assert max(view.width / 700.0, view.height / 400.0) > 0.66


def test_arcs_are_printed_as_arcs_and_every_layer_has_a_pen(tmp_path: Path) -> None:
    assert PENS.keys() == set(Layer)
    canvas = Canvas(str(tmp_path / "arc.pdf"), pageCompression=0)
    circle = ((0.0, 0.0, 1.0), (100.0, 0.0, 1.0))
    box = (0.0, -50.0, 100.0, 50.0)
    draw(canvas, Drawing("d", "d", box, (Line(circle, True, Layer.CUT),)), View(box, 1, 10, 10))
    canvas.save()
    curves = re.findall(rb"[\d. -]+ c\b", (tmp_path / "arc.pdf").read_bytes())
    points = [tuple(map(float, curve.split()[-3:-1])) for curve in curves]
    centre, radius = 10 + 50 * 72 / 25.4, 50 * 72 / 25.4
    assert len(points) >= 4
    for x, y in points:
        assert ((x - centre) ** 2 + (y - centre) ** 2) ** 0.5 == pytest.approx(radius, abs=0.01)


@settings(deadline=None, max_examples=80)
@given(st.lists(st.floats(-500, 500), max_size=30), st.floats(0.5, 20))
def test_numbers_along_an_edge_never_run_into_each_other(places: list[float], apart: float) -> None:
    wanted = sorted(places)
    found = spread(wanted, apart)
    assert len(found) == len(wanted)
    assert all(b - a >= apart - 1e-6 for a, b in pairwise(found))
    if all(b - a >= apart for a, b in pairwise(wanted)):
        assert found == pytest.approx(wanted)


def test_crowded_numbers_move_equally_to_either_side_but_not_past_the_corner() -> None:
    assert spread([0.0, 1.0], 10.0) == [-4.5, 5.5]
    assert spread([0.0, 1.0, 90.0, 91.0], 10.0, 0.0, 92.0) == [0.0, 10.0, 82.0, 92.0]


def test_an_edge_shows_the_parts_next_to_it_and_hides_those_behind() -> None:
    """Two parts side by side at the lower edge and one above the first: seen from below only the two."""
    spans = [(10.0, 500.0, 10.0), (510.0, 900.0, 10.0), (10.0, 300.0, 400.0)]
    assert [at for at, _ in upright_marks(spans, 1000.0, 1.0)] == [0.0, 10.0, 500.0, 510.0, 900.0, 1000.0]


def test_more_numbers_than_an_edge_has_room_for_are_thinned_out() -> None:
    spans = [(float(n), n + 0.5, 0.0) for n in range(100)]
    kept = [at for at, _ in upright_marks(spans, 100.0, 1.0)]
    assert len(kept) <= 15
    assert {0.0, 100.0} <= set(kept)


@settings(deadline=None, max_examples=80)
@given(st.text(max_size=200), st.floats(5, 300))
def test_shortened_words_fit_their_room_and_print(text: str, room: float) -> None:
    short = shortened(text, room, 8.0)
    assert text_length(short, 8.0) <= max(room, text_length("\u2026", 8.0))
    printable(text).encode("cp1252")
    assert len(clipped(text, 20)) <= 20


def blocks() -> Iterator[st.SearchStrategy[Any]]:
    yield st.tuples(st.just("text"), st.integers(1, 3000))
    yield st.tuples(st.just("table"), st.integers(1, 120))
    yield st.tuples(st.just("picture"), st.integers(10, 400))
    yield st.tuples(st.just("section"), st.just(1))


@settings(deadline=None, max_examples=25)
@given(st.lists(st.one_of(*blocks()), max_size=6))
def test_whatever_is_put_on_paper_there_is_room_left_or_a_new_page(parts: list[tuple[str, int]]) -> None:
    flow = Flow(Units.INCH)
    flow.page("heading", landscape=True)
    for kind, amount in parts:
        if kind == "text":
            flow.text("word " * amount)
        elif kind == "table":
            flow.table(
                (printed_paper.Column("a"), printed_paper.Column("b", number=True)), [("x", "1")] * amount
            )
        elif kind == "picture":
            flow.picture(float(amount), lambda canvas, x, y: None)
        else:
            flow.section("section")
        assert flow.room > -12.0
    assert all(page.width > page.height for page in flow.pages())
