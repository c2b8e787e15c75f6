"""Drawings as SVG: full size in millimetres, up is up, arcs are true arcs.

Lines follow the ideas of ISO 128: wide for what is cut or seen, narrow (half of it) for everything else,
dashes for what is hidden, long dash and dot for centre lines.  Nothing is told apart by colour alone.
"""

from __future__ import annotations

import pathlib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

import svgwrite
from svgwrite.base import BaseElement
from svgwrite.container import Group

from nesting.documents.drawing import Anchor, Dot, Drawing, Label, Layer, Path, one_line
from nesting.outline import Ring, arc_centre, edges

CAP_HEIGHT = 0.716
"""Height of a capital, as a share of the font size, in the faces named below."""

FACES = "Arial, Helvetica, Liberation Sans, sans-serif"

_WIDE_SHARE = 1 / 750
"""Width of a wide line as a share of the drawing's longer extent: about 0.35 mm across a printed page."""

_WIDEST = 6.0
"""mm: on a long side wider lines would hide a lap, which is an inch wide."""

_INK = "#1b1f24"
_BLUE = "#1f5fa8"
_GREY = "#5c6670"


@dataclass(frozen=True)
class _Line:
    """``width`` and ``dash`` in wide line widths."""

    colour: str
    width: float
    dash: tuple[float, ...] = ()
    fill: str = "none"


_LINES = {
    Layer.STRUCTURE: _Line("#9aa4ae", 0.5, fill="#e4e8ec"),
    Layer.SHEET: _Line(_GREY, 1.0, fill="#ffffff"),
    Layer.OFFCUT: _Line(_GREY, 0.5, (8, 2, 1, 2, 1, 2), fill="#eef2f6"),
    Layer.OPENING: _Line(_GREY, 0.5, (3, 2)),
    Layer.CUT: _Line(_INK, 1.0),
    Layer.PANEL: _Line(_INK, 1.0),
    Layer.UNDERLAP: _Line(_INK, 0.6, (6, 3)),
    Layer.SEAM: _Line(_BLUE, 0.5, (10, 2, 1, 2)),
    Layer.MARK: _Line(_BLUE, 0.5, (10, 2, 1, 2)),
    Layer.SHEAR: _Line(_BLUE, 1.0),
    Layer.DRILL: _Line(_INK, 0.5),
    Layer.RIVET: _Line("none", 0.0, fill=_INK),
    Layer.DIMENSION: _Line(_GREY, 0.5),
    Layer.LABEL: _Line(_INK, 0.7),
}
"""What is drawn first stands first: fills lie under lines."""

_WORD_COLOURS = {Layer.OFFCUT: _GREY, Layer.DIMENSION: "#3d464f", Layer.SHEAR: _BLUE}


@dataclass(frozen=True)
class Place:
    """Where an area is found on a page: its own ``mark``, the mark it leads to, and what a screen reader says of it."""

    mark: str
    leads_to: str
    words: str


class _Link(Group):  # type: ignore[misc]
    """An area to touch; the library's own kind of link is of an older standard."""

    elementname = "a"


def write_svg(drawing: Drawing, path: pathlib.Path) -> None:
    """Write the drawing as an SVG file, the same bytes for the same drawing."""
    text = '<?xml version="1.0" encoding="utf-8"?>\n' + svg_text(drawing) + "\n"
    path.write_bytes(text.encode("utf-8"))


def svg_text(
    drawing: Drawing, regions: Iterable[tuple[str, Ring]] = (), places: Mapping[str, Place] | None = None
) -> str:
    """The drawing as one SVG element, with its real width and height in mm and a white ground.

    Everything about a part carries its name in ``data-part``.  ``regions`` are areas without a line that
    carry a name too, so that a page can light them up when they are touched; those with a place by their
    name are links.  A drawing with links is a group to screen readers, which hear the links and not each line.
    """
    places = places or {}
    x0, y0, x1, y1 = drawing.extents
    margin = 0.012 * max(x1 - x0, y1 - y0, 1.0)
    wide = min(_WIDEST, max(x1 - x0, y1 - y0, 1.0) * _WIDE_SHARE)
    sheet = _Paper(x0 - margin, y1 + margin, wide)
    width, height = x1 - x0 + 2 * margin, y1 - y0 + 2 * margin
    # debug off: the checker of the library knows no data attributes
    svg = svgwrite.Drawing(size=(f"{_number(width)}mm", f"{_number(height)}mm"), debug=False)
    svg.attribs["viewBox"] = f"0 0 {_number(width)} {_number(height)}"
    svg.attribs["role"] = "group" if places else "img"
    svg.set_desc(title=one_line(drawing.title))
    svg.add(svg.rect((0, 0), (_number(width), _number(height)), fill="#ffffff"))
    grounds = [layer for layer, line in _LINES.items() if line.fill not in ("none", _INK)]
    for layer in grounds:
        _add(svg, sheet.layer(svg, drawing, layer))
    areas = Group(id=None, class_="regions", fill="#ffffff", fill_opacity="0", debug=False)
    for name, ring in regions:
        areas.add(_area(svg.path(d=sheet.path(ring, closed=True)), name, places.get(name)))
    _add(svg, areas)
    for layer in _LINES:
        if layer not in grounds:
            _add(svg, sheet.layer(svg, drawing, layer))
    words = Group(class_="words", font_family=FACES, text_anchor="middle", debug=False)
    for label in drawing.labels:
        words.add(sheet.words(svg, label))
    _add(svg, words)
    if places:
        for group in svg.elements:
            if isinstance(group, Group) and group is not areas:
                group.attribs["aria-hidden"] = "true"
    return str(svg.tostring())


def _area(outline: BaseElement, name: str, place: Place | None) -> BaseElement:
    """An area that carries a name, as a link where it has a place."""
    if place is None:
        return _about(outline, name)
    link = _Link(id=place.mark, debug=False)
    link.attribs["href"] = f"#{place.leads_to}"
    link.attribs["aria-label"] = one_line(place.words)
    link.add(outline)
    return _about(link, name)


def _add(svg: svgwrite.Drawing, group: Group) -> None:
    if group.elements:
        svg.add(group)


@dataclass(frozen=True)
class _Paper:
    """Where drawing millimetres come to lie, from the left and down from the top, and a wide line's width."""

    left: float
    top: float
    wide: float

    def x(self, x: float) -> str:
        return _number(x - self.left)

    def y(self, y: float) -> str:
        return _number(self.top - y)

    def layer(self, svg: svgwrite.Drawing, drawing: Drawing, layer: Layer) -> Group:
        """All lines and dots of one layer."""
        line = _LINES[layer]
        group = Group(class_=layer.value, fill="none", stroke=line.colour, debug=False)
        group["stroke-width"] = _number(line.width * self.wide)
        group["stroke-linejoin"] = "round"
        if line.dash:
            group["stroke-dasharray"] = " ".join(_number(part * self.wide) for part in line.dash)
        for path in drawing.paths:
            if path.layer is layer:
                group.add(self.outline(svg, path, line))
        for dot in drawing.dots:
            if dot.layer is layer:
                group.add(self.dot(svg, dot, line))
        return group

    def outline(self, svg: svgwrite.Drawing, path: Path, line: _Line) -> BaseElement:
        element = svg.path(d=self.path(path.vertices, path.closed))
        if path.closed and line.fill != "none":
            element["fill"] = line.fill
        return _about(element, path.about)

    def path(self, vertices: Ring, closed: bool) -> str:
        """The way along the vertices, each bulge as an arc."""
        first = vertices[0]
        way = [f"M{self.x(first[0])} {self.y(first[1])}"]
        drawn = list(edges(vertices))
        if not closed or drawn[-1][0][2] == 0.0:
            drawn = drawn[:-1]
        for start, end in drawn:
            bulge = start[2]
            target = f"{self.x(end[0])} {self.y(end[1])}"
            if bulge == 0.0:
                way.append(f"L{target}")
                continue
            radius = _number(arc_centre(start, end)[2])
            # counter-clockwise on paper stays so to the eye, but y runs down: sweep 0
            way.append(f"A{radius} {radius} 0 {int(abs(bulge) > 1)} {int(bulge < 0)} {target}")
        return "".join(way) + ("Z" if closed else "")

    def dot(self, svg: svgwrite.Drawing, dot: Dot, line: _Line) -> BaseElement:
        radius = dot.diameter / 2
        if dot.layer is Layer.RIVET:
            radius = max(radius, 0.45 * self.wide)
        element = svg.circle((self.x(dot.x), self.y(dot.y)), _number(radius))
        if dot.layer is Layer.SHEAR:
            element["fill"] = "#ffffff"
        elif line.fill != "none":
            element["fill"] = line.fill
        return _about(element, dot.about)

    def words(self, svg: svgwrite.Drawing, label: Label) -> BaseElement:
        """The label with the middle of its capitals at its height."""
        size = label.height / CAP_HEIGHT
        x, y = self.x(label.x), self.y(label.y)
        element = svg.text(one_line(label.text), (x, _number(float(y) + label.height / 2)))
        element["font-size"] = _number(size)
        element["fill"] = _WORD_COLOURS.get(label.layer, _INK)
        if label.anchor is not Anchor.MIDDLE:
            element["text-anchor"] = label.anchor.value
        if label.turn % 360:
            element["transform"] = f"rotate({_number(-label.turn)} {x} {y})"
        return _about(element, label.about)


def _about(element: BaseElement, name: str) -> BaseElement:
    if name:
        element.attribs["data-part"] = one_line(name)
    return element


def _number(value: float) -> str:
    """To a thousandth of a millimetre, without idle zeros."""
    text = f"{value:.3f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
