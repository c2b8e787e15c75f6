"""Drawings of almost nothing but entities, and damage to them pair by pair: cheap to read, so that many can be."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from random import Random

from tests.soak.mutating import NUMBERS


@dataclass(frozen=True)
class Tag:
    """A group code and its value, as two lines of a drawing; codes are texts, since damage may make them so."""

    code: str
    value: str


Entity = tuple[Tag, ...]
"""A kind of entity, then what it is made of."""


def _entity(kind: str, *pairs: tuple[int, object]) -> Entity:
    marked = [(100, "AcDbEntity"), (8, "0"), (100, _CLASSES[kind])] if kind in _CLASSES else []
    return Tag("0", kind), *(Tag(str(code), str(value)) for code, value in (*marked, *pairs))


_CLASSES = {
    "LWPOLYLINE": "AcDbPolyline",
    "SPLINE": "AcDbSpline",
    "ELLIPSE": "AcDbEllipse",
    "HATCH": "AcDbHatch",
    "IMAGE": "AcDbRasterImage",
}
"""Kinds that say where what is their own begins, and that no reader takes without."""


def _point(x: float, y: float, first: int = 10) -> tuple[tuple[int, object], ...]:
    return (first, x), (first + 10, y)


def _line(x0: float, y0: float, x1: float, y1: float, layer: str = "0") -> Entity:
    return _entity("LINE", (8, layer), *_point(x0, y0), (30, 0.0), *_point(x1, y1, 11), (31, 0.0))


def _box(x: float, y: float, width: float, height: float) -> list[Entity]:
    a, b = x + width, y + height
    return [_line(x, y, a, y), _line(a, y, a, b), _line(a, b, x, b), _line(x, b, x, y)]


def _insert(name: str, *pairs: tuple[int, object]) -> Entity:
    return _entity("INSERT", (8, "0"), (2, name), *_point(0.0, 0.0), *pairs)


def _vertices(*places: tuple[float, float, float], flags: int = 0) -> list[Entity]:
    made = [
        _entity("VERTEX", (8, "0"), *_point(x, y), (30, 0.0), (42, bulge), (70, flags))
        for x, y, bulge in places
    ]
    return [*made, _entity("SEQEND")]


_SPLINE = _entity(
    "SPLINE",
    *((210, 0.0), (220, 0.0), (230, 1.0), (70, 8), (71, 3), (72, 8), (73, 4), (74, 0)),
    *((40, knot) for knot in (0, 0, 0, 0, 1, 1, 1, 1)),
    *(pair for x, y in ((0, 0), (10, 30), (30, 30), (30, 0)) for pair in (*_point(x, y), (30, 0.0))),
)

_THINGS: tuple[Sequence[Entity], ...] = (
    _box(0.0, 0.0, 30.0, 40.0),
    [_entity("CIRCLE", (8, "0"), *_point(100.0, 20.0), (40, 15.0))],
    [
        _entity("ARC", (8, "0"), *_point(200.0, 20.0), (40, 15.0), (50, 0), (51, 180)),
        _line(185.0, 20.0, 215.0, 20.0),
    ],
    [
        _entity(
            "LWPOLYLINE",
            *((90, 4), (70, 1)),
            *(*_point(300, 0), (42, 0.2), *_point(330, 0), *_point(330, 40), (42, -0.3), *_point(300, 40)),
        )
    ],
    [
        _entity("POLYLINE", (8, "0"), (66, 1), (70, 1), *_point(0.0, 0.0), (30, 0.0)),
        *_vertices((400, 0, 0.0), (430, 0, 0.5), (430, 40, 0.0)),
    ],
    [
        _entity("POLYLINE", (8, "0"), (66, 1), (70, 8), *_point(0.0, 0.0)),
        *_vertices((450, 0, 0.0), (480, 0, 0.0), (480, 40, 0.0), flags=32),
    ],
    [
        _entity(
            "ELLIPSE", (8, "0"), *_point(520, 20), *_point(15, 0, 11), (40, 0.6), (41, 0.0), (42, 6.283185307)
        )
    ],
    [_SPLINE, _line(30.0, 0.0, 0.0, 0.0)],
    [_insert("BAY", (41, 1.1), (42, 1.1), (50, 5))],
    [_insert("BAY", (70, 3), (71, 2), (44, 50), (45, 60))],
    [_insert("OUTER", (41, -1.0))],
    [_insert("ITSELF")],
    [_insert("ELSEWHERE")],
    [_insert("NOTHING")],
    [
        _entity("TEXT", (8, "0"), *_point(1, 1), (40, 2.5), (1, "%%d \\U+00e9 {\\C1;x}")),
        _entity("POINT", (8, "0"), *_point(5, 5)),
        _entity("HATCH", *_point(0, 0), (2, "SOLID"), (70, 1), (91, 0)),
        _entity("3DFACE", (8, "0"), *_point(0, 0), *_point(1, 0, 11), *_point(1, 1, 12), *_point(0, 1, 13)),
        _entity("DIMENSION", (8, "0"), (2, "BAY"), *_point(0, 0), (70, 0)),
        _entity(
            "IMAGE",
            *_point(0, 0),
            *_point(1, 0, 11),
            *_point(0, 1, 12),
            *_point(64, 48, 13),
            (340, "FF"),
            (1, "/elsewhere/picture.png"),
        ),
    ],
)
"""Entities that belong together, each group a drawing by itself or a part of one."""

_BLOCKS: tuple[tuple[str, int, str, Sequence[Entity]], ...] = (
    ("BAY", 0, "", _box(0.0, 0.0, 30.0, 40.0)),
    ("OUTER", 0, "", [_insert("BAY", (50, 90.0)), _insert("BAY", (41, 2.0))]),
    ("ITSELF", 0, "", [_insert("ITSELF"), *_box(0.0, 0.0, 5.0, 5.0)]),
    ("ELSEWHERE", 4, "/etc/hostname", []),
)
"""Blocks by their names: flags, the drawing they refer to, and what they hold."""


def drawing(random: Random) -> bytes:
    """A drawing of one to four groups of entities, with damage of one to five kinds to its pairs of lines."""
    chosen = [thing for group in random.sample(_THINGS, random.randint(1, 4)) for thing in group]
    entities = [list(entity) for entity in chosen]
    blocks = [tag for block in _BLOCKS for tag in _block(*block)]
    tags = [tag for entity in entities for tag in entity]
    for _ in range(random.choice((1, 1, 1, 2, 3, 5))):
        if random.random() < 0.2:
            blocks = _damaged(blocks, random)
        else:
            tags = _damaged(tags, random)
    if random.random() < 0.85:
        blocks, tags = _readable(blocks), _readable(tags)
    release = random.choice(("AC1009", "AC1015", "AC1015", "AC1024", "AC1032"))
    parts = (
        ("HEADER", [Tag("9", "$ACADVER"), Tag("1", release), Tag("9", "$INSUNITS"), Tag("70", "1")]),
        ("BLOCKS", blocks),
        ("ENTITIES", tags),
    )
    ends = random.choice(("\n", "\n", "\n", "\r\n"))
    return _lines([tag for name, inside in parts for tag in _section(name, inside)], ends)


def _readable(tags: Sequence[Tag]) -> list[Tag]:
    """The pairs without what stops a reader at once: a code that is none, half a point, a word for a number."""
    sound: list[Tag] = []
    for at, tag in enumerate(tags):
        code = int(tag.code) if tag.code.isdigit() else -1
        if not 0 <= code <= 1071 or (20 <= code <= 28 and (not at or tags[at - 1].code != str(code - 10))):
            continue
        if 10 <= code < 60 or 140 <= code < 150 or 210 <= code < 240:
            tag = Tag(tag.code, repr(_number(tag.value)))
        elif 60 <= code < 100 or 170 <= code < 180:
            tag = Tag(tag.code, str(_whole(tag.value)))
        sound.append(tag)
        if 10 <= code <= 18 and (at + 1 == len(tags) or tags[at + 1].code != str(code + 10)):
            sound.append(Tag(str(code + 10), "7.0"))
    return sound


def _block(name: str, flags: int, path: str, inside: Sequence[Entity]) -> list[Tag]:
    head = _entity("BLOCK", (8, "0"), (2, name), (70, flags), *_point(0.0, 0.0), (3, name), (1, path))
    return [*head, *(tag for entity in inside for tag in entity), *_entity("ENDBLK", (8, "0"))]


def _section(name: str, inside: Sequence[Tag]) -> list[Tag]:
    return [Tag("0", "SECTION"), Tag("2", name), *inside, Tag("0", "ENDSEC")]


def _lines(tags: Sequence[Tag], ends: str) -> bytes:
    text = ends.join(line for tag in (*tags, Tag("0", "EOF")) for line in (tag.code.rjust(3), tag.value))
    return (text + ends).encode("utf-8", "replace")


def _damaged(tags: list[Tag], random: Random) -> list[Tag]:
    return random.choice(_DAMAGES)(list(tags), random) if tags else tags


def _value(tags: list[Tag], random: Random) -> list[Tag]:
    at = random.randrange(len(tags))
    tags[at] = Tag(tags[at].code, random.choice(NUMBERS))
    return tags


def _near_value(tags: list[Tag], random: Random) -> list[Tag]:
    """A number a little larger or smaller, so that ends almost meet and outlines almost touch."""
    numbers = [i for i, tag in enumerate(tags) if tag.code in _COORDINATES]
    if numbers:
        at = random.choice(numbers)
        moved = _number(tags[at].value) + random.choice((1e-9, 3e-4, 4.1e-4, 0.01, 1.0, -1.0, 1e5, -1e-7))
        tags[at] = Tag(tags[at].code, repr(moved))
    return tags


_COORDINATES = frozenset(("10", "20", "11", "21", "30", "31", "40", "41", "42", "50", "51"))


def _number(text: str) -> float:
    try:
        return float(text)
    except ValueError:
        return 0.0


def _whole(text: str) -> int:
    value = _number(text)
    return int(min(max(value, -1e9), 1e9)) if value == value else 0


def _code(tags: list[Tag], random: Random) -> list[Tag]:
    at = random.randrange(len(tags))
    tags[at] = Tag(random.choice(_CODES), tags[at].value)
    return tags


_CODES = (
    *("0", "1", "2", "5", "8", "10", "11", "20", "30", "40", "42", "48", "60", "62", "66", "67", "70", "71"),
    *("72", "73", "74", "90", "100", "102", "210", "220", "230", "310", "330", "340", "370", "410", "999"),
    *("1000", "1001", "1071", "-1", "32768", "99999", "", "x", "1e1"),
)


def _added(tags: list[Tag], random: Random) -> list[Tag]:
    extra = random.choice(_EXTRAS)
    return _put(tags, [extra] * random.choice((1, 1, 2, 400)), random)


_EXTRAS = (
    *(
        Tag("67", "1"),
        Tag("60", "1"),
        Tag("210", "1"),
        Tag("230", "-1"),
        Tag("38", "5"),
        Tag("5", "FFFFFFFFFF"),
    ),
    *(
        Tag("5", "1F"),
        Tag("330", "0"),
        Tag("8", "OTHER"),
        Tag("8", ""),
        Tag("8", "x" * 400),
        Tag("43", "nan"),
    ),
    *(
        Tag("2", "ITSELF"),
        Tag("2", "BAY"),
        Tag("70", "128"),
        Tag("70", "64"),
        Tag("70", "16"),
        Tag("71", "9999"),
    ),
    *(Tag("100", "AcDbEntity"), Tag("102", "{ACAD_REACTORS"), Tag("102", "}"), Tag("1001", "ACAD")),
    *(Tag("10", "0"), Tag("40", "0"), Tag("40", "1e300"), Tag("72", "-5"), Tag("73", "100000000")),
    *(Tag("0", "ENDSEC"), Tag("0", "SECTION"), Tag("0", "EOF"), Tag("0", "SEQEND"), Tag("0", "VERTEX")),
    *(Tag("0", "ENDBLK"), Tag("0", "BLOCK"), Tag("0", "POLYLINE"), Tag("0", "INSERT"), Tag("0", "ATTRIB")),
    *(
        Tag("0", "ACAD_PROXY_ENTITY"),
        Tag("0", "lower"),
        Tag("0", ""),
        Tag("0", "SPLINE"),
        Tag("999", "a word"),
    ),
)


def _put(tags: list[Tag], what: Sequence[Tag], random: Random) -> list[Tag]:
    at = random.randrange(len(tags) + 1)
    return [*tags[:at], *what, *tags[at:]]


def _run(tags: list[Tag], random: Random, do: str) -> list[Tag]:
    """A run of pairs, often a whole entity, left out, said again, or moved."""
    starts = [i for i, tag in enumerate(tags) if tag.code == "0"] or [0]
    start = random.choice(starts) if random.random() < 0.6 else random.randrange(len(tags))
    later = [i for i in starts if i > start]
    end = later[0] if later and random.random() < 0.6 else min(len(tags), start + random.choice((1, 1, 2, 5)))
    run = tags[start:end]
    match do:
        case "out":
            return tags[:start] + tags[end:]
        case "again":
            return tags[:end] + run * random.choice((1, 1, 3, 60)) + tags[end:]
        case _:
            return _put(tags[:start] + tags[end:], run, random)


def _other_kind(tags: list[Tag], random: Random) -> list[Tag]:
    """An entity that says it is of another kind."""
    starts = [i for i, tag in enumerate(tags) if tag.code == "0"]
    kinds = sorted({entity[0].value for group in _THINGS for entity in group})
    if starts:
        tags[random.choice(starts)] = Tag("0", random.choice(kinds))
    return tags


_DAMAGES: tuple[Callable[[list[Tag], Random], list[Tag]], ...] = (
    *(_value, _value, _near_value, _near_value, _code, _added, _added, _other_kind),
    *(partial(_run, do=do) for do in ("out", "again", "moved")),
)
