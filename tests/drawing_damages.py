"""Ways to damage a written cut file, one thing at a time, for the tests of the check that reads it back."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import ezdxf
from ezdxf.document import Drawing as Document

from nesting.checking.drawn import Asked, file_faults
from nesting.checking.drawnfile import read_drawn
from nesting.checking.linework import Drawn
from nesting.checking.onsheet import OnSheet, on_sheets
from nesting.documents.drawing import Drawing
from nesting.documents.dxf import DxfStyle, write_dxf
from nesting.documents.sheetview import all_sheets, sheet_view
from nesting.job import Units
from nesting.outline import Ring, bounds
from nesting.plan import PlannedJob
from tests.drawn import planned

Damage = Callable[[Document], object]
Entity = Any


@cache
def riveted(build: Callable[[], Any]) -> PlannedJob:
    """A hand plan with its rivets; one that is planned already as it is."""
    made = build()
    return made if isinstance(made, PlannedJob) else planned(made)


def faults_after(
    damage: Damage,
    build: Callable[[], Any],
    folder: Path,
    *,
    sheet: int | None = 0,
    style: DxfStyle | None = None,
    drill: bool = False,
    written_in: Units | None = None,
) -> list[str]:
    """What the check says of a cut file after the damage: of one sheet (from 0), or of all where it is None.

    ``written_in`` are other units than the job's.
    """
    plan, path = riveted(build), folder / "sheet.dxf"
    style = style or DxfStyle()
    path.write_bytes(_written(build, sheet, drill, written_in or plan.job.units, style))
    head = path.read_text(encoding="ascii").partition("  0\nSECTION")[0]
    document = ezdxf.readfile(path)
    damage(document)
    document.saveas(path)
    # a comment at the head is lost on the way through the library
    path.write_text(head + path.read_text(encoding="ascii"), encoding="ascii")
    wanted = _wanted(build, drill)
    asked = Asked(plan.job, style.words)
    return list(file_faults(read_drawn(path), wanted if sheet is None else wanted[sheet : sheet + 1], asked))


def read_back(build: Callable[[], Any]) -> Drawn:
    """The first sheet, drilled and with words, as the check reads it."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "sheet.dxf"
        path.write_bytes(_written(build, 0, True, riveted(build).job.units, DxfStyle()))
        return read_drawn(path)


@cache
def _wanted(build: Callable[[], Any], drill: bool) -> tuple[OnSheet, ...]:
    plan = riveted(build)
    return on_sheets(plan.job, plan.plan, plan.fasteners, drill)


@cache
def _view(build: Callable[[], Any], sheet: int | None, drill: bool) -> Drawing:
    plan = riveted(build)
    if sheet is not None:
        return sheet_view(plan, sheet, drill)
    views = [_view(build, number, drill) for number in range(len(plan.plan.sheets))]
    return all_sheets(plan, drill, views)


@cache
def _written(
    build: Callable[[], Any], sheet: int | None, drill: bool, units: Units, style: DxfStyle
) -> bytes:
    with TemporaryDirectory() as folder:
        path = Path(folder) / "sheet.dxf"
        write_dxf(_view(build, sheet, drill), path, units, style)
        return path.read_bytes()


def nothing(document: Document) -> None:
    """No damage."""


def on(document: Document, layer: str, kind: str = "LWPOLYLINE") -> list[Entity]:
    """The things of one kind on a layer, in the order in which they were written."""
    return list(document.modelspace().query(f'{kind}[layer=="{layer}"]'))


def ring_of(line: Entity) -> Ring:
    return tuple((x, y, bulge) for x, y, bulge in line.get_points("xyb"))


def lost(layer: str, number: int, kind: str = "LWPOLYLINE") -> Damage:
    return lambda document: document.modelspace().delete_entity(on(document, layer, kind)[number])


def again(layer: str, number: int, kind: str = "LWPOLYLINE") -> Damage:
    """The same thing once more in the same place."""
    return lambda document: document.modelspace().add_entity(on(document, layer, kind)[number].copy())


def shifted(layer: str, number: int, dx: float, dy: float, kind: str = "LWPOLYLINE") -> Damage:
    return lambda document: on(document, layer, kind)[number].translate(dx, dy, 0)


def redrawn(layer: str, number: int, change: Callable[[Ring], Ring], closed: bool = True) -> Damage:
    """A line through other vertices."""

    def damage(document: Document) -> None:
        line = on(document, layer)[number]
        line.set_points(change(ring_of(line)), format="xyb")
        line.closed = closed

    return damage


def mirrored_in_place(ring: Ring) -> Ring:
    """Left for right within its own extent."""
    x0, _, x1, _ = bounds(ring)
    return tuple((x0 + x1 - x, y, -bulge) for x, y, bulge in ring)


def shorter(ring: Ring) -> Ring:
    """Its right end 1 mm nearer."""
    x1 = bounds(ring)[2]
    return tuple((x - 1.0 if x > x1 - 1e-6 else x, y, bulge) for x, y, bulge in ring)


def straightened(ring: Ring) -> Ring:
    """The first arc as its chord."""
    first = next(i for i, vertex in enumerate(ring) if vertex[2])
    return tuple((x, y, 0.0 if i == first else bulge) for i, (x, y, bulge) in enumerate(ring))


def bent_the_other_way(ring: Ring) -> Ring:
    first = next(i for i, vertex in enumerate(ring) if vertex[2])
    return tuple((x, y, -bulge if i == first else bulge) for i, (x, y, bulge) in enumerate(ring))


def ended_where_it_began(ring: Ring) -> Ring:
    """All edges drawn, but as a line from a point to the same point."""
    return (*ring, (ring[0][0], ring[0][1], 0.0))


def changed_places(document: Document) -> None:
    """The outlines of the first two parts, each at the corner of the other."""
    one, other = on(document, "CUT")[:2]
    (ax, ay, _, _), (bx, by, _, _) = bounds(ring_of(one)), bounds(ring_of(other))
    one.translate(bx - ax, by - ay, 0)
    other.translate(ax - bx, ay - by, 0)


def arrow_of(document: Document, word: str) -> tuple[Entity, Entity, Entity]:
    """The word at the first such arrow, its shaft and its head."""
    text = next(each for each in on(document, "LABEL", "TEXT") if each.dxf.text == word)
    at = text.get_placement()[1]
    lines = [(line, ring_of(line)) for line in on(document, "LABEL")]

    def off(ring: Ring) -> float:
        return float((ring[1][0] - at.x) ** 2 + (ring[1][1] - at.y) ** 2)

    shaft = min((each for each in lines if len(each[1]) == 2), key=lambda each: off(each[1]))[0]
    head = min((each for each in lines if len(each[1]) == 3), key=lambda each: off(each[1]))[0]
    return text, shaft, head


def turned_round(word: str) -> Damage:
    """An arrow, its head and its word on the other side of where it begins."""

    def damage(document: Document) -> None:
        text, shaft, head = arrow_of(document, word)
        x, y, _ = ring_of(shaft)[0]
        for line in (shaft, head):
            line.set_points([(2 * x - u, 2 * y - v, 0.0) for u, v, _ in ring_of(line)], format="xyb")
        align, at, _ = text.get_placement()
        text.set_placement((2 * x - at.x, 2 * y - at.y), align=align)

    return damage


def arrow_words_swapped(document: Document) -> None:
    up, forward = arrow_of(document, "UP")[0], arrow_of(document, "FWD")[0]
    up.dxf.text, forward.dxf.text = "FWD", "UP"


def without_its_head(document: Document) -> None:
    document.modelspace().delete_entity(arrow_of(document, "FWD")[2])


def reworded(old: str, new: str, layer: str = "LABEL") -> Damage:
    """Every such word replaced."""

    def damage(document: Document) -> None:
        for text in on(document, layer, "TEXT"):
            if text.dxf.text == old:
                text.dxf.text = new

    return damage


def numbers_swapped(document: Document) -> None:
    """The numbers of the first two cuts, each in the other's ring."""
    texts = {text.dxf.text: text for text in on(document, "SHEAR", "TEXT")}
    texts["1"].dxf.text, texts["2"].dxf.text = "2", "1"


def said_to_be(code: int) -> Damage:
    """Another unit in the header."""

    def damage(document: Document) -> None:
        document.header["$INSUNITS"] = code

    return damage


def wider_hole(document: Document) -> None:
    on(document, "DRILL", "CIRCLE")[0].dxf.radius *= 1.5


def seen_from_behind(document: Document) -> None:
    """A direction of extrusion that mirrors the first outline."""
    on(document, "CUT")[0].dxf.extrusion = (0, 0, -1)


def added(kind: str, layer: str, *values: Any) -> Damage:
    """One thing more, such as a line from here to there."""

    def damage(document: Document) -> None:
        getattr(document.modelspace(), f"add_{kind}")(*values, dxfattribs={"layer": layer})

    return damage
