"""Rectangles on sheets: the public packer, for whoever has a list of pieces and no body to skin.

>>> packing = pack_rectangles([Sheet(120, 48, price=92.0)], [Piece(60, 24, quantity=5), Piece(28, 28)])
>>> len(packing.sheets), packing.cost, packing.status.value
(2, 184.0, 'optimal')

Lengths may be in any unit as long as all are in the same one; x runs along a sheet's length, y along its width, both
from its lower left corner.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from math import gcd, isfinite
from typing import Generic, TypeVar

from nesting.budget import Budget
from nesting.limits import Progress, SolveLimits
from nesting.placing.fitting import Spot
from nesting.placing.refilling import HAIR, Refilled, refilled
from nesting.placing.tiling import tiled, whole_sheets
from nesting.plan import Status
from nesting.programme.program import solve
from nesting.programme.relaxation import Aim
from nesting.programme.search import Decision, Search
from nesting.sizing.problem import Column, PartClass, Pattern, Problem, SheetSize
from nesting.sizing.quickbound import price_step, quick_bound
from shared.errors import JobMistakes, Mistake, NothingFits, as_written
from shared.units import LONGEST_MM, from_solver, to_solver_down, to_solver_up

WITHOUT_LIMITS = SolveLimits()

P = TypeVar("P")

BRIEF_ROUNDS, FIRST_ROUNDS, ROUNDS = 10, 200, 3_000_000
"""Rounds of refilling: for the first plan, for each piece, less where no waste may be left; and for the best one."""

TILING, GLANCE, GLANCE_MOST, REFILLING = 0.7, 0.1, 2.0, 0.85
"""Shares of the time left: for a plan without waste, for a first look by branch and bound (with its most seconds),
and for the best plan after it."""

MOST_PIECES = 10_000
"""More pieces than this in all are a slip of the pen."""


@dataclass(frozen=True)
class Sheet:
    """A sheet size: ``price`` None for its area (then for all sheets), ``available`` None for as many as wanted."""

    length: float
    width: float
    price: float | None = None
    available: int | None = None
    name: str = ""


@dataclass(frozen=True)
class Piece:
    """A rectangle to cut ``quantity`` times; with ``turn`` it may lie a quarter turned."""

    length: float
    width: float
    quantity: int = 1
    turn: bool = True
    name: str = ""


@dataclass(frozen=True)
class Place:
    """One piece, by its number from 0 in the list given: its lower left corner, and whether it lies turned."""

    piece: int
    x: float
    y: float
    turned: bool


@dataclass(frozen=True)
class PackedSheet(Generic[P]):
    """One sheet to cut, by its number from 0 in the list given, and what it carries: places of one kind."""

    sheet: int
    places: tuple[P, ...]


@dataclass(frozen=True)
class Packing(Generic[P]):
    """The sheets to cut; no packing costs less than ``bound``, so that OPTIMAL means it equals the cost."""

    status: Status
    sheets: tuple[PackedSheet[P], ...]
    cost: float
    bound: float

    @property
    def gap(self) -> float:
        """How much less a packing could cost at the most, as a fraction of the cost."""
        return (self.cost - self.bound) / self.cost if self.cost > 0 else 0.0


def pack_rectangles(
    sheets: Sequence[Sheet],
    pieces: Sequence[Piece],
    *,
    edge_to_edge: bool = False,
    longest_cut: float | None = None,
    gap: float = 0.0,
    edge_margin: float = 0.0,
    limits: SolveLimits = WITHOUT_LIMITS,
) -> Packing[Place]:
    """The cheapest way found to cut all pieces, with a proved bound; sheets of one price mean the fewest sheets.

    Pieces keep ``gap`` from one another and ``edge_margin`` from the edges of the sheet.  With ``edge_to_edge`` every
    cut runs through the whole of what it cuts, and is no longer than ``longest_cut``.  Lengths finer than 1/1600 of
    their unit round so that all still fits.  Without a time limit it goes on until the answer is proved.
    Raises JobMistakes for values that make no sense (all at once), NothingFits where a piece fits no sheet, the
    sheets available do not do, or the time is over before any packing was found.
    """
    if mistakes := [*_mistakes(sheets, pieces, longest_cut, gap, edge_margin)]:
        raise JobMistakes(mistakes)
    if not pieces:
        return Packing(Status.OPTIMAL, (), 0.0, 0.0)
    task = _Task(sheets, pieces, edge_to_edge, longest_cut, gap, edge_margin)
    if too_big := [*task.too_big()]:
        raise NothingFits("\n".join(too_big))
    budget = Budget.of(task.in_money(limits))
    loads, places, bound, proved = _decided(task.problem, budget, limits.seed)
    if not loads:
        raise NothingFits(_none_found(sheets, proved))
    packed = task.packed(loads, places)
    cost = sum(task.prices[own.sheet] for own in packed) * task.money
    if proved:
        return Packing(Status.OPTIMAL, packed, cost, cost)
    return Packing(Status.FEASIBLE, packed, cost, min(cost, max(0.0, bound) * task.money))


def _decided(
    problem: Problem, budget: Budget, seed: int
) -> tuple[Mapping[Column, int], Callable[[int, Pattern], tuple[Spot, ...]], float, bool]:
    """Loads (none where none were found), what places them, a bound on their cost, and whether they are proved best.

    A quick bound and refilling settle most, and joining parts by equal sides where no waste may be left; what is open
    then goes through branch and bound.
    """
    parts = Counter({k: count for k, count in enumerate(problem.demand) if count})
    bound, step = quick_bound(problem), price_step(problem)
    whole = whole_sheets(problem, parts, bound + step - 2 * HAIR)
    rounds = (BRIEF_ROUNDS if whole else FIRST_ROUNDS) * parts.total()
    found = refilled(problem, parts, {}, budget, step=step, lowest=bound, rounds=rounds, seed=seed)
    budget.tell(found.cost if found.loads else None, bound, "first plan")
    if found.loads and found.cost < bound + step - HAIR:
        return found.loads, lambda size, pattern: found.spots[size, pattern], bound, True
    tiles = tiled(problem, parts, whole, budget.share(TILING), seed=seed) if whole else None
    if tiles is not None:
        return tiles.loads, lambda size, pattern: tiles.spots[size, pattern], bound, True
    search = Search.of(problem)
    best = _remembered(search, found) if found.loads else search.first(budget)
    outcome = solve(search, Aim(), best, budget.share(GLANCE, GLANCE_MOST))
    if not outcome.proved:
        bound = max(bound, outcome.bound)
        loads = {} if outcome.best is None else outcome.best.sheets
        share = budget.share(REFILLING)
        found = refilled(problem, parts, loads, share, step=step, lowest=bound, rounds=ROUNDS, seed=seed + 1)
        best = _remembered(search, found) if found.loads else None
        if best is not None and best.cost < bound + step - HAIR:
            return best.sheets, search.fitter.placed, bound, True
        budget.tell(best.cost if best else None, bound, "refilled")
        outcome = solve(search, Aim(), best, budget)
    loads = {} if outcome.best is None else outcome.best.sheets
    return loads, search.fitter.placed, max(bound, outcome.bound), outcome.proved


def _remembered(search: Search, found: Refilled) -> Decision:
    """A decision by what refilling found, its patterns among those that branch and bound knows."""
    search.fitter.known.update(found.spots)
    search.pool.update(dict.fromkeys(found.loads))
    return Decision((), found.loads, found.cost)


@dataclass(frozen=True)
class _Task:
    """What was asked, and the same in solver units: all grown by the gap (see nesting.sizing.sizes)."""

    sheets: Sequence[Sheet]
    pieces: Sequence[Piece]
    edge_to_edge: bool
    longest_cut: float | None
    gap: float
    edge_margin: float
    money: float = field(init=False)
    """What one unit of the problem's prices is."""
    prices: tuple[float, ...] = field(init=False)
    unit: int = field(init=False)
    """Solver units in a unit of the problem: the common divisor of all its lengths."""

    def __post_init__(self) -> None:
        money, prices = 1.0, tuple(s.price for s in self.sheets if s.price is not None)
        if not prices:
            areas = [to_solver_up(s.length) * to_solver_up(s.width) for s in self.sheets]
            common = gcd(*areas)
            money = from_solver(1) ** 2 * common
            prices = tuple(float(area // common) for area in areas)
        object.__setattr__(self, "money", money)
        object.__setattr__(self, "prices", prices)
        lengths = [side for s in self.sheets for side in (s.length, s.width)]
        grown = [self._usable(length) for length in lengths]
        grown += [] if self.longest_cut is None else [self._longest(self.longest_cut), self._rim]
        grown += [side for piece in self.pieces for side in self._grown(piece)]
        object.__setattr__(self, "unit", max(1, gcd(*grown)))

    def _usable(self, length: float) -> int:
        return max(0, to_solver_down(length - 2 * self.edge_margin) + to_solver_up(self.gap))

    def _longest(self, longest_cut: float) -> int:
        """Margins do not count: a piece is freed of them before a long cut (as in nesting.sizing.sizes)."""
        return to_solver_down(longest_cut) + to_solver_up(self.gap)

    @property
    def _rim(self) -> int:
        return to_solver_up(self.edge_margin)

    def _grown(self, piece: Piece) -> tuple[int, int]:
        spacing = to_solver_up(self.gap)
        return to_solver_up(piece.length) + spacing, to_solver_up(piece.width) + spacing

    def kind(self, piece: Piece) -> PartClass:
        """The class of a piece: the longer side first where it may be turned."""
        length, width = (side // self.unit for side in self._grown(piece))
        if piece.turn and length < width:
            length, width = width, length
        return PartClass(length, width, piece.turn and length != width)

    @cached_property
    def numbers(self) -> Mapping[PartClass, list[int]]:
        """The classes in order, each with the pieces to cut by it, one entry for each copy."""
        numbers: dict[PartClass, list[int]] = {}
        for number, piece in enumerate(self.pieces):
            numbers.setdefault(self.kind(piece), []).extend([number] * piece.quantity)
        return numbers

    @cached_property
    def problem(self) -> Problem:
        demand = tuple(len(copies) for copies in self.numbers.values())
        return Problem(
            sheets=tuple(
                SheetSize(
                    self._usable(s.length) // self.unit,
                    self._usable(s.width) // self.unit,
                    price,
                    # the margins may leave nothing of a sheet
                    0 if self._usable(min(s.length, s.width)) == 0 else s.available,
                    rim=self._rim // self.unit if self.longest_cut is not None else 0,
                )
                for s, price in zip(self.sheets, self.prices, strict=True)
            ),
            classes=tuple(self.numbers),
            demand=demand,
            edge_to_edge=self.edge_to_edge,
            longest_cut=None if self.longest_cut is None else self._longest(self.longest_cut) // self.unit,
            most=demand,
        )

    def too_big(self) -> Iterator[str]:
        """A line for each piece that cannot be cut from any sheet that can be had."""
        for number, piece in enumerate(self.pieces, 1):
            part = self.kind(piece)
            ways = [
                way for sheet in self.problem.sheets if sheet.available != 0 for way in part.placings(sheet)
            ]
            if not ways:
                size = f"{piece.length:g} x {piece.width:g}"
                yield (
                    f"{_label('piece', number, piece.name)}: it is {size}, which no sheet that can be had will"
                    " carry; give a sheet that is longer or wider, or a piece that may be turned"
                )

    def in_money(self, limits: SolveLimits) -> SolveLimits:
        """Limits whose news are told in the caller's money."""
        tell, money = limits.on_progress, self.money
        if tell is None:
            return limits
        return replace(
            limits,
            on_progress=lambda news: tell(
                Progress(None if news.best is None else news.best * money, news.bound * money, news.stage)
            ),
        )

    def packed(
        self, loads: Mapping[Column, int], placed: Callable[[int, Pattern], tuple[Spot, ...]]
    ) -> tuple[PackedSheet[Place], ...]:
        """The sheets of a plan with their pieces in the caller's lengths, equal loads one after another."""
        kinds = list(self.numbers)
        waiting = [list(reversed(copies)) for copies in self.numbers.values()]
        packed = []
        for (size, pattern), count in sorted(loads.items()):
            for _ in range(count):
                places = []
                for k, x, y, turned in placed(size, pattern):
                    number = waiting[k].pop()
                    length, width = self._grown(self.pieces[number])
                    swapped = (length, width) != (kinds[k].length * self.unit, kinds[k].width * self.unit)
                    corner = [self.edge_margin + from_solver(at * self.unit) for at in (x, y)]
                    places.append(Place(number, corner[0], corner[1], turned != swapped))
                packed.append(PackedSheet(size, tuple(places)))
        assert not any(waiting), "every piece is on a sheet"
        return tuple(packed)


def _mistakes(
    sheets: Sequence[Sheet],
    pieces: Sequence[Piece],
    longest_cut: float | None,
    gap: float,
    edge_margin: float,
) -> Iterator[Mistake]:
    """Everything that makes no sense in what was asked."""
    if not sheets:
        yield Mistake("sheets", "", "give at least one sheet size")
    priced = [sheet.price is not None for sheet in sheets]
    for number, sheet in enumerate(sheets, 1):
        place = _label("sheet", number, sheet.name)
        yield from _bad_sides(place, sheet)
        if sheet.price is None and any(priced):
            yield Mistake(f"{place}, price", "", "give every sheet a price, or none for prices by area")
        elif sheet.price is not None and not (isfinite(sheet.price) and sheet.price >= 0):
            yield Mistake(f"{place}, price", as_written(sheet.price), "write a price of 0 or more")
        if sheet.available is not None and sheet.available < 0:
            yield Mistake(f"{place}, available", as_written(sheet.available), "write 0 or more, or None")
    for number, piece in enumerate(pieces, 1):
        place = _label("piece", number, piece.name)
        yield from _bad_sides(place, piece)
        if piece.quantity < 1:
            yield Mistake(f"{place}, quantity", as_written(piece.quantity), "write a whole number, 1 or more")
    if (total := sum(piece.quantity for piece in pieces)) > MOST_PIECES:
        yield Mistake("pieces", as_written(total), f"no more than {MOST_PIECES} pieces in all")
    if longest_cut is not None and not 0 < longest_cut <= LONGEST_MM:
        yield Mistake("longest_cut", as_written(longest_cut), "write a length of more than 0, or None")
    for key, value in (("gap", gap), ("edge_margin", edge_margin)):
        if not 0 <= value <= LONGEST_MM:
            yield Mistake(key, as_written(value), "write a length of 0 or more")


def _bad_sides(place: str, rectangle: Sheet | Piece) -> Iterator[Mistake]:
    for key, value in (("length", rectangle.length), ("width", rectangle.width)):
        if not 0 < value <= LONGEST_MM:
            yield Mistake(
                f"{place}, {key}", as_written(value), f"write a length of more than 0, up to {LONGEST_MM:g}"
            )


def _label(noun: str, number: int, name: str) -> str:
    """What messages call an entry: by name, or by its number from 1."""
    return f"{noun} {as_written(name) if name else number}"


def _none_found(sheets: Sequence[Sheet], proved: bool) -> str:
    there = ", ".join(
        f"{_label('sheet', number, sheet.name)}: {sheet.available}"
        for number, sheet in enumerate(sheets, 1)
        if sheet.available is not None
    )
    if proved:
        return f"the sheets that are available cannot carry all pieces ({there}): raise 'available' or add a sheet size"
    more = f", or raise 'available' ({there})" if there else ""
    return f"stopped before any packing was found: give more time (time_limit){more}"
