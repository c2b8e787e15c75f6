"""A plot of a few curves over doubling numbers, drawn so that it reads in black and white."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from math import ceil, floor, log2, log10
from pathlib import Path

import svgwrite
from svgwrite.base import BaseElement

WIDE, TALL = 620.0, 300.0
"""One panel with its words, in user units (1/96 in)."""

LEFT, RIGHT, TOP, BELOW = 70.0, 150.0, 20.0, 50.0
HEADING = 40.0
LETTERS = 13.0
TICKS = 5


class Mark(Enum):
    """What tells one curve from another without colour; an open one is drawn with a dashed line."""

    FULL = "full"
    OPEN = "open"


@dataclass(frozen=True)
class Series:
    """A curve: points that are not numbers (never reached) are left out."""

    name: str
    mark: Mark
    points: Sequence[tuple[float, float]]

    @property
    def reached(self) -> list[tuple[float, float]]:
        return [(x, y) for x, y in self.points if y == y]


@dataclass(frozen=True)
class Panel:
    """One pair of axes: ``across`` and ``up`` name what they count."""

    across: str
    up: str
    series: Sequence[Series]


def draw(title: str, panels: Sequence[Panel], path: Path) -> None:
    """Writes the panels one below the other; x doubles from step to step, y starts at 0."""
    height = HEADING + TALL * len(panels)
    svg = svgwrite.Drawing(str(path), size=(f"{WIDE:g}px", f"{height:g}px"), debug=False)
    svg.viewbox(0, 0, WIDE, height)
    svg.add(svg.rect((0, 0), (WIDE, height), fill="white"))
    svg.add(_words(svg, title, LEFT, 26, size=16, weight="bold"))
    for number, panel in enumerate(panels):
        for element in _panel(svg, panel, HEADING + TALL * number):
            svg.add(element)
    svg.save(pretty=True)


def nice_step(most: float, ticks: int = TICKS) -> float:
    """A step of 1, 2 or 5 times a power of ten that takes no more than so many steps to pass ``most``."""
    if most <= 0:
        return 1.0
    power = 10.0 ** floor(log10(most / ticks))
    return next(power * k for k in (1, 2, 5, 10, 20) if power * k * ticks >= most * (1 - 1e-9))


def _panel(svg: svgwrite.Drawing, panel: Panel, top: float) -> Iterator[BaseElement]:
    xs = sorted({x for series in panel.series for x, _ in series.points})
    most = max((y for series in panel.series for _, y in series.reached), default=0.0)
    step = nice_step(most)
    steps = max(1, ceil(most / step - 1e-9))
    reach = step * steps
    x0, x1 = LEFT, WIDE - RIGHT
    y0, y1 = top + TALL - BELOW, top + TOP
    span = max(1e-9, log2(xs[-1] / xs[0])) if xs else 1.0

    def at(x: float, y: float) -> tuple[float, float]:
        return round(x0 + (x1 - x0) * log2(x / xs[0]) / span, 2), round(y0 + (y1 - y0) * y / reach, 2)

    for i in range(steps + 1):
        _, y = at(xs[0], i * step)
        yield svg.line((x0, y), (x1, y), stroke="black" if i == 0 else "#bbbbbb", stroke_width=1)
        yield _words(svg, f"{i * step:g}", x0 - 8, y + 4, anchor="end")
    for x in xs:
        left, low = at(x, 0)
        yield svg.line((left, low), (left, low + 5), stroke="black", stroke_width=1)
        yield _words(svg, f"{x:g}", left, low + 20, anchor="middle")
    yield _words(svg, panel.across, (x0 + x1) / 2, y0 + 40, anchor="middle")
    turned = _words(svg, panel.up, 20, (y0 + y1) / 2, anchor="middle")
    turned["transform"] = f"rotate(-90 20 {(y0 + y1) / 2:g})"
    yield turned
    for series in panel.series:
        yield from _curve(svg, series, [at(x, y) for x, y in series.reached])
    for words, x, y in _names(panel.series, at, (x1, y1)):
        yield _words(svg, words, x + 14, y + 4)


def _curve(
    svg: svgwrite.Drawing, series: Series, points: Sequence[tuple[float, float]]
) -> Iterator[BaseElement]:
    is_open = series.mark is Mark.OPEN
    if len(points) > 1:
        line = svg.polyline(points, fill="none", stroke="black", stroke_width=1.6)
        if is_open:
            line["stroke-dasharray"] = "6,4"
        yield line
    for point in points:
        yield svg.circle(point, 4.5, fill="white" if is_open else "black", stroke="black", stroke_width=1.6)


def _names(
    series: Sequence[Series],
    at: Callable[[float, float], tuple[float, float]],
    corner: tuple[float, float],
) -> list[tuple[str, float, float]]:
    """Each name beside the last point of its curve, a line apart from one another."""
    wanted = []
    for own in series:
        x, y = at(*own.reached[-1]) if own.reached else corner
        beyond = "" if len(own.reached) == len(own.points) else ", not beyond"
        wanted.append((y, x, own.name + beyond if own.reached else f"{own.name}: never"))
    placed: list[tuple[str, float, float]] = []
    for y, x, words in sorted(wanted):
        lowest = max([low for _, _, low in placed], default=float("-inf"))
        placed.append((words, x, max(y, lowest + LETTERS + 4)))
    return placed


def _words(
    svg: svgwrite.Drawing,
    text: str,
    x: float,
    y: float,
    *,
    anchor: str = "start",
    size: float = LETTERS,
    weight: str = "normal",
) -> BaseElement:
    return svg.text(
        text, (round(x, 2), round(y, 2)), text_anchor=anchor, font_size=size, font_family="sans-serif",
        font_weight=weight,
    )  # fmt: skip
