"""SVG files show the drawing at full size, the right way up, with true arcs, nothing told by colour alone."""

from __future__ import annotations

import re
from math import atan2, cos, hypot, pi, sin, sqrt
from pathlib import Path as File
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from nesting.documents.drawing import Anchor, Dot, Drawing, Label, Layer, Path
from nesting.documents.elevation import elevation
from nesting.documents.sheetview import all_sheets, sheet_view
from nesting.documents.svg import svg_text, write_svg
from nesting.outline import Ring, mirrored, net_area, rectangle, reversed_ring, turned
from tests.drawn import planned
from tests.hand_plans import planned_two_panels, sheared, windowed
from tests.long_plan import long_plan, renamed

SPACE = "{http://www.w3.org/2000/svg}"
NASTY = 'roof <b>&"hatch"\x07\n</text><script>alert(1)</script>'


def one_path(ring: Ring, closed: bool = True, layer: Layer = Layer.CUT) -> Drawing:
    return Drawing("one", "one", (0.0, 0.0, 500.0, 400.0), paths=(Path(ring, closed, layer),))


def read(drawing: Drawing) -> ElementTree.Element:
    return ElementTree.fromstring(svg_text(drawing))


def group(svg: ElementTree.Element, name: str) -> ElementTree.Element:
    return next(g for g in svg.iter(f"{SPACE}g") if g.get("class") == name)


def traced(d: str) -> list[tuple[float, float]]:
    """The points of a path of M, L, A and Z, arcs followed in small steps after the SVG rules."""
    points: list[tuple[float, float]] = []
    for command, numbers in re.findall(r"([MLAZ])([^MLAZ]*)", d):
        values = [float(n) for n in re.findall(r"-?\d+\.?\d*", numbers)]
        if command in "ML":
            points.append((values[0], values[1]))
        elif command == "A":
            radius, _, _, large, sweep, x, y = values
            points += arc(points[-1], (x, y), radius, bool(large), bool(sweep))
    return points


def arc(
    start: tuple[float, float], end: tuple[float, float], radius: float, large: bool, sweep: bool
) -> list[tuple[float, float]]:
    """Centre form of an arc after the implementation notes of the SVG standard, for a circle."""
    hx, hy = (start[0] - end[0]) / 2, (start[1] - end[1]) / 2
    share = sqrt(max(0.0, radius**2 / (hx**2 + hy**2) - 1))
    sign = -1 if large == sweep else 1
    cx = sign * share * hy + (start[0] + end[0]) / 2
    cy = -sign * share * hx + (start[1] + end[1]) / 2
    first = atan2(start[1] - cy, start[0] - cx)
    turn = (atan2(end[1] - cy, end[0] - cx) - first) % (2 * pi)
    if not sweep:
        turn -= 2 * pi
    angles = [first + turn * i / 200 for i in range(1, 201)]
    return [(cx + radius * cos(angle), cy + radius * sin(angle)) for angle in angles]


def test_width_and_height_are_the_real_ones_in_millimetres() -> None:
    svg = read(one_path(rectangle(0, 0, 500, 400)))
    margin = 0.012 * 500
    assert svg.get("width") == f"{500 + 2 * margin:g}mm"
    assert svg.get("height") == f"{400 + 2 * margin:g}mm"
    assert svg.get("viewBox") == f"0 0 {500 + 2 * margin:g} {400 + 2 * margin:g}"


def test_up_is_up() -> None:
    svg = read(one_path(((10.0, 0.0, 0.0), (10.0, 400.0, 0.0)), closed=False))
    path = group(svg, "CUT").find(f"{SPACE}path")
    assert path is not None
    (_, low), (_, high) = traced(path.get("d", ""))
    assert high < low
    assert low - high == 400


LOBE: Ring = ((100.0, 100.0, 0.0), (300.0, 100.0, 1.9), (300.0, 200.0, -0.3), (100.0, 200.0, 0.0))


@given(
    st.sampled_from([rectangle(50, 60, 350, 200, 40), LOBE, ((100.0, 100.0, 1.0), (200.0, 100.0, 1.0))]),
    st.sampled_from([0.0, 90.0, 37.0, 180.0]),
    st.booleans(),
    st.booleans(),
)
@settings(deadline=None, max_examples=40)
def test_arcs_enclose_the_true_area(ring: Ring, turn: float, mirror: bool, backwards: bool) -> None:
    ring = turned(mirrored(ring) if mirror else ring, turn)
    if backwards:
        ring = reversed_ring(ring)
    path = group(read(one_path(ring)), "CUT").find(f"{SPACE}path")
    assert path is not None
    area = Polygon(traced(path.get("d", ""))).area
    assert area == pytest.approx(net_area(ring), rel=2e-4)


def test_quarter_turns_are_one_arc_each() -> None:
    path = group(read(one_path(rectangle(0, 0, 300, 200, 30))), "CUT").find(f"{SPACE}path")
    assert path is not None
    assert path.get("d", "").count("A30 30 ") == 4


def test_words_are_upright_and_centred_on_their_point() -> None:
    label = Label(100.0, 300.0, "D1", 50.0, turn=90.0)
    svg = read(Drawing("one", "one", (0.0, 0.0, 500.0, 400.0), labels=(label,)))
    (text,) = svg.iter(f"{SPACE}text")
    assert text.text == "D1"
    assert text.get("transform") == "rotate(-90 106 106)"
    assert float(text.get("y", "0")) == pytest.approx(106 + 25)
    assert group(svg, "words").get("text-anchor") == "middle"


def test_anchors_are_kept() -> None:
    labels = tuple(Label(0.0, 0.0, anchor.value, 9.0, anchor=anchor) for anchor in Anchor)
    texts = read(Drawing("one", "one", (0.0, 0.0, 9.0, 9.0), labels=labels)).iter(f"{SPACE}text")
    assert [text.get("text-anchor", "middle") for text in texts] == [anchor.value for anchor in Anchor]


def test_names_of_the_user_stay_words() -> None:
    plan = renamed(long_plan(), {"D1": NASTY})
    for drawing in (sheet_view(plan, 0), elevation(plan, plan.job.sides[0])):
        svg = read(drawing)
        assert list(svg.iter(f"{SPACE}script")) == []
        words = " ".join(text.text or "" for text in svg.iter(f"{SPACE}text"))
        assert 'roof <b>&"hatch" </text><script>alert(1)</script>' in " ".join(words.split())


def test_everything_about_a_part_carries_its_name() -> None:
    svg = read(sheet_view(planned_two_panels(), 0))
    cuts = [path.get("data-part") for path in group(svg, "CUT").iter(f"{SPACE}path")]
    assert cuts == ["D1", "D2"]


def test_regions_lie_under_the_lines_and_cannot_be_seen() -> None:
    drawing = one_path(rectangle(0, 0, 100, 100))
    svg = ElementTree.fromstring(svg_text(drawing, [("D1", rectangle(0, 0, 100, 100))]))
    classes = [g.get("class") for g in svg.iter(f"{SPACE}g")]
    assert classes.index("regions") < classes.index("CUT")
    assert group(svg, "regions").get("fill-opacity") == "0"
    assert [p.get("data-part") for p in group(svg, "regions")] == ["D1"]


def test_every_layer_is_drawn_and_cuts_twice_as_wide_as_marks() -> None:
    ring = rectangle(0, 0, 100, 100)
    paths = tuple(Path(ring, True, layer) for layer in Layer)
    svg = read(Drawing("one", "one", (0.0, 0.0, 500.0, 400.0), paths=paths))
    drawn = {g.get("class") for g in svg.iter(f"{SPACE}g")}
    assert drawn >= {layer.value for layer in Layer}
    widths = {layer: float(group(svg, layer.value).get("stroke-width", "0")) for layer in Layer}
    assert widths[Layer.CUT] == pytest.approx(2 * widths[Layer.MARK], rel=0.01)
    assert widths[Layer.PANEL] > widths[Layer.OPENING]


def test_no_two_kinds_of_line_differ_by_colour_alone() -> None:
    paths = tuple(Path(rectangle(0, 0, 9, 9), True, layer) for layer in Layer)
    svg = read(Drawing("one", "one", (0.0, 0.0, 500.0, 400.0), paths=paths))

    def look(layer: Layer) -> tuple[str | None, str | None]:
        drawn = group(svg, layer.value)
        return drawn.get("stroke-width"), drawn.get("stroke-dasharray")

    on_sheets = [Layer.CUT, Layer.MARK, Layer.OFFCUT, Layer.DIMENSION]
    on_sides = [Layer.PANEL, Layer.UNDERLAP, Layer.OPENING, Layer.SEAM, Layer.DIMENSION]
    for layers in (on_sheets, on_sides):
        assert len({look(layer) for layer in layers}) == len(layers)


def test_colours_are_greys_and_blues() -> None:
    for drawing in (sheet_view(planned(sheared()), 0), elevation(long_plan(), long_plan().job.sides[0])):
        for colour in set(re.findall(r"#[0-9a-f]{6}", svg_text(drawing))):
            red, green, blue = (int(colour[i : i + 2], 16) for i in (1, 3, 5))
            assert red <= green <= blue, colour


def test_rivet_dots_never_vanish_on_a_long_side() -> None:
    dot = Dot(0.0, 0.0, 1.0, Layer.RIVET)
    svg = read(Drawing("one", "one", (0.0, 0.0, 12000.0, 1000.0), dots=(dot,)))
    (circle,) = svg.iter(f"{SPACE}circle")
    assert float(circle.get("r", "0")) > 2


def test_file_is_the_same_every_time_and_holds_no_path_or_date(tmp_path: File) -> None:
    first, second = tmp_path / "a.svg", tmp_path / "b.svg"
    write_svg(all_sheets(long_plan()), first)
    write_svg(all_sheets(long_plan()), second)
    assert first.read_bytes() == second.read_bytes()
    assert first.read_bytes().startswith(b'<?xml version="1.0" encoding="utf-8"?>\n<svg ')
    assert str(tmp_path).encode() not in first.read_bytes()


def test_nothing_is_fetched_from_elsewhere() -> None:
    text = svg_text(sheet_view(planned(windowed()), 0))
    without_names = re.sub(r'xmlns(:\w+)?="[^"]*"', "", text)
    assert "http" not in without_names
    assert "url(" not in without_names


def test_open_line_is_not_closed_and_keeps_its_arc() -> None:
    half = ((0.0, 0.0, 1.0), (100.0, 0.0, 0.0))
    path = group(read(one_path(half, closed=False)), "CUT").find(f"{SPACE}path")
    assert path is not None
    d = path.get("d", "")
    assert not d.endswith("Z")
    points = traced(d)
    # counter-clockwise from left to right is a half circle below the line, so farther down on the page
    assert max(y for _, y in points) - points[0][1] == pytest.approx(50, abs=0.1)
    assert hypot(points[-1][0] - points[0][0], points[-1][1] - points[0][1]) == pytest.approx(100)
