"""DXF drawings made for a test, and what is read from them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from itertools import pairwise
from pathlib import Path

import ezdxf
import pytest
from ezdxf.layouts.layout import Modelspace

from nesting.reading.drawings import DrawnOutline, outline_in_drawing, read_outlines
from shared.errors import JobMistakes

MM = 4
BAY = ((0, 0), (700, 0), (700, 900), (0, 900))
BAY_RING = tuple((float(x), float(y), 0.0) for x, y in BAY)

Build = Callable[[Modelspace], object]


def saved(folder: Path, build: Build, units: int = MM, version: str = "R2000") -> Path:
    """A drawing with what ``build`` adds to model space; ``units`` as $INSUNITS counts them."""
    document = ezdxf.new(version)
    document.header["$INSUNITS"] = units
    build(document.modelspace())
    path = folder / "bay.dxf"
    document.saveas(path)
    return path


def polyline(space: Modelspace, points: Sequence[Sequence[float]], layer: str = "0") -> None:
    """A closed polyline of [x, y] or [x, y, bulge]."""
    given = [(p[0], p[1], p[2] if len(p) > 2 else 0) for p in points]
    space.add_lwpolyline(given, format="xyb", close=True, dxfattribs={"layer": layer})


def box(space: Modelspace, x: float, y: float, size: float, layer: str = "0") -> None:
    polyline(space, [(x, y), (x + size, y), (x + size, y + size), (x, y + size)], layer)


def lines(space: Modelspace, *points: Sequence[float]) -> None:
    for start, end in pairwise(points):
        space.add_line(start, end)


def texts(path: Path, layer: str | None = None, units: str | None = None) -> list[str]:
    """What is wrong with a drawing, each without the name of the file."""
    with pytest.raises(JobMistakes) as caught:
        read_outlines(path, layer, units)
    assert {mistake.place for mistake in caught.value.mistakes} == {"bay.dxf"}
    return [mistake.remedy for mistake in caught.value.mistakes]


def text(path: Path, layer: str | None = None, units: str | None = None) -> str:
    (only,) = texts(path, layer, units)
    return only


def refusal(path: Path) -> str:
    with pytest.raises(JobMistakes) as caught:
        read_outlines(path)
    return str(caught.value)


def one(path: Path, units: str | None = None) -> DrawnOutline:
    return outline_in_drawing(path, units=units)


def block_of(space: Modelspace) -> None:
    block = space.doc.blocks.new("BAY")
    polyline(block, [(0, 0), (100, 0, 1), (100, 50), (0, 50)])  # type: ignore[arg-type]
