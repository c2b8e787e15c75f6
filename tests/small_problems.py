"""Small planning problems, and their answers by trying everything.

Nothing here shares an idea with the optimiser: rectangles are placed cell by cell on a grid of whole units, sheets
are cut in every possible way, cells are closed and parts are shared out in every possible way.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from functools import cache
from itertools import product

from nesting.sizing.problem import CellEdge, Choice, PartClass, Pattern, Problem, SheetSize

Sizes = tuple[tuple[tuple[int, int], ...], ...]
"""For each part the (along, across) of every way it may lie."""

Fits = Callable[[int, Pattern], bool]
"""Whether a sheet size carries a pattern."""


def part(length: int, width: int, turnable: bool = False) -> PartClass:
    """A class of parts, with the longer way first where it may be turned, as the sizes module makes them."""
    if turnable and length < width:
        length, width = width, length
    return PartClass(length, width, turnable and length != width)


def packing(
    sheets: Sequence[SheetSize],
    parts: Sequence[tuple[PartClass, int]],
    edge_to_edge: bool = False,
    longest_cut: int | None = None,
) -> Problem:
    """A problem without bays: these parts, so many of each."""
    wanted: Counter[PartClass] = Counter()
    for kind, count in parts:
        wanted[kind] += count
    numbers = tuple(wanted.values())
    return Problem(
        tuple(sheets),
        tuple(wanted),
        numbers,
        most=numbers,
        edge_to_edge=edge_to_edge,
        longest_cut=longest_cut,
    )


def rows_of_bays(
    sides: Sequence[Sequence[int]],
    height: int,
    sheets: Sequence[SheetSize],
    patches: Sequence[tuple[PartClass, int]] = (),
    *,
    seam_cost: float = 0.0,
    cost_by_length: float = 0.0,
    turnable: bool = True,
    reach: int = 0,
    edge_to_edge: bool = False,
) -> Problem:
    """Sides of bays in a row, each bay given by its width; a panel over several is as long as they are.

    ``reach`` is added to a panel's length for each of its ends that is a seam.
    """
    demand: Counter[PartClass] = Counter()
    for kind, count in patches:
        demand[kind] += count
    classes = list(demand)
    choices: list[Choice] = []
    edges: list[CellEdge] = []
    start = 0
    for widths in sides:
        n = len(widths)
        spans: dict[tuple[int, int], int] = {}
        for first, last in ((i, j) for i in range(n) for j in range(i, n)):
            inner = (first > 0) + (last < n - 1)
            kind = part(sum(widths[first : last + 1]) + reach * inner, height, turnable)
            if not any(kind.placings(sheet) for sheet in sheets):
                continue
            if kind not in classes:
                classes.append(kind)
            seams = int(last < n - 1)
            spans[first, last] = len(choices)
            cells = tuple(range(start + first, start + last + 1))
            choices.append(Choice(cells, (classes.index(kind),), seams, seams * cost_by_length))
        for post in range(n - 1):
            edges.append(
                CellEdge(
                    tuple(p for (i, j), p in spans.items() if i <= post < j),
                    tuple(p for (_, j), p in spans.items() if j == post),
                    tuple(p for (i, _), p in spans.items() if i == post + 1),
                )
            )
        start += n
    numbers = tuple(demand[kind] for kind in classes)
    most = tuple(
        number + min(start, sum(k in choice.parts for choice in choices)) for k, number in enumerate(numbers)
    )
    return Problem(
        tuple(sheets),
        tuple(classes),
        numbers,
        start,
        tuple(choices),
        edges=tuple(edges),
        seam_cost=seam_cost,
        edge_to_edge=edge_to_edge,
        most=most,
    )


def ways(classes: Sequence[PartClass], pattern: Pattern) -> Sizes:
    """The parts of a pattern, each with the ways it may lie."""
    found = []
    for k, count in pattern:
        kind = classes[k]
        turned = [(kind.width, kind.length)] if kind.turnable else []
        found += [tuple(dict.fromkeys([(kind.length, kind.width), *turned]))] * count
    return tuple(found)


def fits_by_trying(sheet: SheetSize, parts: Sizes) -> bool:
    """True where the parts can lie on the sheet apart from one another: every whole-unit place is tried."""
    length, width = sheet.length, sheet.width
    largest_first = sorted(parts, key=lambda own: (-own[0][0] * own[0][1], own))
    places = [_places(length, width, own) for own in largest_first]

    def put(i: int, taken: int, after: int) -> bool:
        if i == len(places):
            return True
        # parts alike are put down in one order only
        start = after if i and largest_first[i] == largest_first[i - 1] else 0
        return any(
            put(i + 1, taken | place, number)
            for number, place in enumerate(places[i][start:], start=start)
            if not place & taken
        )

    area = sum(own[0][0] * own[0][1] for own in parts)
    return area <= length * width and put(0, 0, 0)


@cache
def _places(length: int, width: int, ways_to_lie: tuple[tuple[int, int], ...]) -> list[int]:
    """Every place of a part as a set of grid cells, one bit for each."""
    found = []
    for a, b in ways_to_lie:
        block = sum(((1 << a) - 1) << (length * row) for row in range(b))
        found += [
            block << (y * length + x)
            for y in range(width - b + 1)
            for x in range(length - a + 1)
            if a <= length
        ]
    return found


def cuts_by_trying(sheet: SheetSize, parts: Sizes, longest: int | None = None) -> bool:
    """True where cuts from edge to edge of each piece, none longer than ``longest``, free all parts."""

    @cache
    def free(length: int, width: int, own: Sizes) -> bool:
        if not own or (len(own) == 1 and (length, width) in own[0]):
            return True
        if sum(p[0][0] * p[0][1] for p in own) > length * width:
            return False
        sharings = [
            (
                tuple(p for p, low in zip(own, side, strict=True) if low),
                tuple(p for p, low in zip(own, side, strict=True) if not low),
            )
            for side in product((False, True), repeat=len(own))
        ]
        if longest is None or width <= longest:
            for x in range(1, length):
                if any(free(x, width, low) and free(length - x, width, high) for low, high in sharings):
                    return True
        if longest is None or length <= longest:
            for y in range(1, width):
                if any(free(length, y, low) and free(length, width - y, high) for low, high in sharings):
                    return True
        return False

    return free(sheet.length, sheet.width, tuple(sorted(parts)))


def fits_of(problem: Problem) -> Fits:
    """Whether patterns fit the sheets of a problem, by trying."""

    @cache
    def fits(size: int, pattern: Pattern) -> bool:
        sheet, parts = problem.sheets[size], ways(problem.classes, pattern)
        if problem.edge_to_edge:
            return cuts_by_trying(sheet, parts, problem.longest_cut)
        return fits_by_trying(sheet, parts)

    return fits


def closings(problem: Problem) -> Iterator[tuple[int, ...]]:
    """Every choice of panels that closes each cell once."""

    def close(open_cells: frozenset[int]) -> Iterator[tuple[int, ...]]:
        if not open_cells:
            yield ()
            return
        cell = min(open_cells)
        for p, choice in enumerate(problem.choices):
            if cell in choice.cells and open_cells.issuperset(choice.cells):
                for others in close(open_cells - set(choice.cells)):
                    yield (p, *others)

    yield from close(frozenset(range(problem.cells)))


def seams_of(problem: Problem, chosen: Sequence[int]) -> int:
    """Seams that these panels make."""
    begun = [run for run in problem.runs if {*run.one_hand, *run.other_hand} & set(chosen)]
    return len(begun) + sum(problem.choices[p].seams for p in chosen)


def parts_of_plan(problem: Problem, chosen: Sequence[int]) -> Counter[int]:
    """Parts of each class that these panels and the demand need together."""
    parts = Counter({k: count for k, count in enumerate(problem.demand) if count})
    for p in chosen:
        parts.update(problem.choices[p].parts)
    return parts


def least_cost(
    problem: Problem, fits: Fits, seams_count: bool = True, seam_cap: int | None = None
) -> float | None:
    """The cost of the best plan there is, None where there is none: every plan is tried."""
    share_out = _sharer(problem, fits)
    best: float | None = None
    for chosen in closings(problem):
        seams = seams_of(problem, chosen)
        if seam_cap is not None and seams > seam_cap:
            continue
        parts = parts_of_plan(problem, chosen)
        sheets = share_out(tuple(parts[k] for k in range(len(problem.classes))))
        if sheets is None:
            continue
        cost = sheets
        if seams_count:
            cost += problem.seam_cost * seams + sum(problem.choices[p].seam_cost for p in chosen)
        best = cost if best is None else min(best, cost)
    return best


def _sharer(problem: Problem, fits: Fits) -> Callable[[tuple[int, ...]], float | None]:
    """The least price of sheets that carry so many parts of each class."""

    @cache
    def share(waiting: tuple[int, ...], spare: tuple[int | None, ...]) -> float | None:
        if not any(waiting):
            return 0.0
        first = next(k for k, count in enumerate(waiting) if count)
        best: float | None = None
        for load in product(*(range(count + 1) for count in waiting)):
            if not load[first]:
                continue
            pattern = tuple((k, count) for k, count in enumerate(load) if count)
            rest = tuple(a - b for a, b in zip(waiting, load, strict=True))
            for size, sheet in enumerate(problem.sheets):
                left = spare[size]
                if left == 0 or not fits(size, pattern):
                    continue
                fewer = (*spare[:size], None if left is None else left - 1, *spare[size + 1 :])
                others = share(rest, fewer)
                if others is not None and (best is None or sheet.price + others < best):
                    best = sheet.price + others
        return best

    return lambda waiting: share(waiting, tuple(sheet.available for sheet in problem.sheets))
