"""Irregular parts on the shortest strip: a fixed width, as little length as can be found.

>>> square = StripPart(((0, 0), (2, 0), (2, 2), (0, 2)), quantity=3)
>>> placing = place_on_strip(4, [square], limits=SolveLimits(time_limit=10))
>>> placing.length, len(placing.places), placing.bound
(4.0, 3, 3.0)

Lengths may be in any unit as long as all are in the same one; x runs along the strip, y across it, both from its
lower left corner.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from math import isfinite

from nesting.budget import Budget
from nesting.limits import SolveLimits
from nesting.outline import Ring, as_polygon, net_area, without_repeats
from nesting.packers.stripsearch import Run
from nesting.packers.stripshapes import Shape, Shapes, gathered, shapes_of
from shared.errors import JobMistakes, Mistake, NothingFits, as_written

Points = Sequence[Sequence[float]]
"""Corners (x, y), or (x, y, bulge) as in nesting.outline."""

ROUNDS = 20_000
"""Rounds of each of the runs where no time limit is given."""

RUNS = 2
"""Runs with seeds of their own, side by side; the shortest strip counts, the first where they are equal."""

MOST_PARTS = 1000
"""More parts than this in all are a slip of the pen, or work for days."""


@dataclass(frozen=True)
class StripPart:
    """A part to place ``quantity`` times, in one of the ``turns`` (degrees, counter-clockwise, after the flip).

    With ``flip`` it may also lie on its other face. What lies in a hole does not count as overlap.
    """

    outline: Points
    quantity: int = 1
    turns: tuple[float, ...] = (0.0,)
    flip: bool = False
    holes: tuple[Points, ...] = ()
    name: str = ""


@dataclass(frozen=True)
class StripPlace:
    """One part by its number from 0 in the list given.

    It is mirrored about x = 0 where ``flipped``, turned about (0, 0), then moved by (dx, dy).
    """

    part: int
    turn: float
    flipped: bool
    dx: float
    dy: float


@dataclass(frozen=True)
class StripPlacing:
    """Where each copy lies, and how long the strip is; no layout is shorter than ``bound``."""

    length: float
    places: tuple[StripPlace, ...]
    bound: float


def place_on_strip(
    width: float,
    parts: Sequence[StripPart],
    *,
    gap: float = 0.0,
    limits: SolveLimits,
    rounds: int | None = None,
) -> StripPlacing:
    """The shortest layout found of all parts on a strip of this width; parts keep ``gap`` from one another.

    Arcs are taken a little too large, never too small. It ends with the time limit, after ``rounds`` (20000 where
    neither is given), or when the bound is reached; equal seeds and rounds give equal layouts.
    Raises JobMistakes for values that make no sense (all at once), NothingFits where a part is too wide in every turn.
    """
    if mistakes := [*_mistakes(width, parts, gap)]:
        raise JobMistakes(mistakes)
    if not any(part.quantity for part in parts):
        return StripPlacing(0.0, (), 0.0)
    shapes = _shapes(width, parts, gap)
    bound = _bound(width, shapes)
    if rounds is None:
        rounds = ROUNDS if limits.time_limit is None else 1 << 60
    runs = _searched(width, shapes, bound, limits, rounds)
    best = min(runs, key=lambda run: run.length)
    return StripPlacing(best.length, _places(shapes, best), min(bound, best.length))


def _searched(width: float, shapes: Shapes, bound: float, limits: SolveLimits, rounds: int) -> list[Run]:
    budget = Budget.of(limits)
    best = [float("inf")]

    def news(length: float) -> None:
        if length < best[0]:
            best[0] = length
            budget.tell(length, bound, "strip")

    runs = [
        Run(
            shapes.given,
            width,
            shapes.area,
            limits.seed * RUNS + number,
            bound,
            over=lambda: budget.over,
            news=news,
        )
        for number in range(RUNS)
    ]
    with ThreadPoolExecutor(RUNS) as pool:
        for done in [pool.submit(run.search, rounds) for run in runs]:
            done.result()
    return runs


def _shapes(width: float, parts: Sequence[StripPart], gap: float) -> Shapes:
    of_parts: list[list[Shape]] = []
    areas = []
    for number, part in enumerate(parts):
        outline, holes = ring_of(part.outline), [ring_of(hole) for hole in part.holes]
        own = shapes_of(outline, holes, part.turns, part.flip, width)
        if not own:
            raise NothingFits(
                f"{_label(number, part)} is wider than the strip ({width:g}) in every turn that it may take;"
                " give a wider strip or more turns"
            )
        of_parts.append(own)
        areas.append(net_area(outline, holes))
    return gathered(of_parts, [part.quantity for part in parts], areas, gap)


def _bound(width: float, shapes: Shapes) -> float:
    """No strip is shorter than the area asks for, nor than the longest part in its shortest turn."""
    longest = max(min(shapes.shapes[s].size[0] for s in shapes.of_part(k)) for k in set(shapes.parts))
    return max(shapes.area / width, longest)


def _places(shapes: Shapes, run: Run) -> tuple[StripPlace, ...]:
    found = []
    for k, s, x, y in zip(shapes.parts, *(own.tolist() for own in run.best), strict=True):
        shape = shapes.shapes[s]
        found.append(StripPlace(k, shape.turn, shape.flipped, x - shape.corner[0], y - shape.corner[1]))
    return tuple(found)


def ring_of(points: Points) -> Ring:
    """Points with or without a bulge as a ring."""
    return without_repeats(
        tuple((float(p[0]), float(p[1]), float(p[2]) if len(p) > 2 else 0.0) for p in points)
    )


def _label(number: int, part: StripPart) -> str:
    return f"part {number + 1}" + (f" '{part.name}'" if part.name else "")


def _mistakes(width: float, parts: Sequence[StripPart], gap: float) -> Iterator[Mistake]:
    if not (isfinite(width) and width > 0):
        yield Mistake("strip, width", as_written(width), "write a length more than 0")
    if not (isfinite(gap) and gap >= 0):
        yield Mistake("gap", as_written(gap), "write 0 or more")
    for number, part in enumerate(parts):
        place = _label(number, part)
        if part.quantity < 0 or part.quantity != int(part.quantity):
            yield Mistake(f"{place}, quantity", as_written(part.quantity), "write a whole number, 0 or more")
        if not part.turns or not all(isfinite(turn) for turn in part.turns):
            yield Mistake(
                f"{place}, turns", as_written(list(part.turns)), "write at least one angle in degrees"
            )
        yield from _outline_mistakes(place, part)
    if (count := sum(max(0, part.quantity) for part in parts)) > MOST_PARTS:
        yield Mistake("parts", f"{count} in all", f"give {MOST_PARTS} or fewer at a time")


def _outline_mistakes(place: str, part: StripPart) -> Iterator[Mistake]:
    if not all(isfinite(value) for ring in (part.outline, *part.holes) for point in ring for value in point):
        yield Mistake(f"{place}, outline", "", "write every corner in plain numbers")
        return
    rings = [ring_of(ring) for ring in (part.outline, *part.holes)]
    if any(len(ring) < 2 or (len(ring) == 2 and not any(v[2] for v in ring)) for ring in rings):
        yield Mistake(f"{place}, outline", "", "give an outline and holes of three corners or more")
    elif not as_polygon(rings[0], rings[1:]).is_valid or net_area(rings[0], rings[1:]) <= 0:
        yield Mistake(
            f"{place}, outline", "", "give an outline that does not cross itself, with its holes inside"
        )
