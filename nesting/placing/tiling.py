"""Sheets without waste: parts joined by equal sides until they are whole sheets.

Where the parts have exactly the area of some sheets, and no other sheets have more area for their price, a plan without
waste is a best one.  Cut edge to edge, it is a tree: two pieces that one cut parted share a side of equal length.  So
parts are joined by equal sides (kernels_tiling), and what gets stuck is taken apart in places and joined anew.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import islice
from random import Random

import numpy as np
from numpy.typing import NDArray

from nesting.budget import Budget
from nesting.placing.kernels_tiling import HISTORY_FIELDS, JOINED, LENGTHS, ONE, OTHER, PARENT, SIDES, join
from nesting.placing.refilling import HAIR, Refilled
from nesting.sizing.problem import Column, PartClass, Problem, SheetSize, Spot

ROUNDS = 20_000
"""Times that something is taken apart and joined anew, at the most."""

SIGN, HOPELESS = 100, 0.25
"""Rounds after which it is given up, if more blocks are left over than this share of the parts.  Measured: sheets
cut up have come down to 0.2 by then; sets that only happen to have the area of some sheets mostly stay above 0.3."""

FIRST_BREADTH, BREADTH = 60, 10
"""Forests kept side by side at first, and when something is joined anew."""

FIRST_PAIRS = 300_000
"""Pairs of parts in all forests kept at first; more parts get fewer forests."""

TUNE = (1.0, 0.5, 1.0)
"""What tells against a join: others with the same side (times their logarithm).  What tells for it: a side that fits
another rectangle (times its rarity), a side that runs from edge to edge of a sheet.  Measured on sheets cut up."""

NOISE = 1.5
"""How much chance there is in the order of joins when something is joined anew."""

CHOSEN, SHARES = (2, 8), (0.03, 0.06, 0.12, 0.25)
"""Blocks taken apart in a round, and the share of their parts that is broken out of them."""

ANYWHERE = 0.1
"""Share of the rounds that take whole sheets apart, too."""

HISTORY = 200
"""Rounds ago that a round is compared with."""

MOST_PARTS = 150
"""More parts have too many equal sides by chance."""

MOST_CHOICES, MOST_STEPS = 100, 20_000
"""Choices of whole sheets that are aimed at, at the most, and steps to find them."""

Rectangle = tuple[int, int, int]
"""Length, width, and 1 where it may be turned."""


@dataclass(frozen=True, eq=False)
class Block:
    """A rectangle without a gap: a part of a class, or two blocks that share a side."""

    rectangle: Rectangle
    kind: int
    parts: tuple[int, ...]
    """The numbers of the parts in it."""
    halves: tuple[Block, ...] = ()

    def without(self, hit: set[int]) -> list[Block]:
        """The largest blocks left when every block that holds one of these parts is taken apart."""
        if not self.halves or hit.isdisjoint(self.parts):
            return [self]
        return [block for half in self.halves for block in half.without(hit)]

    def spots(self, x: int, y: int, length: int, width: int) -> Iterator[Spot]:
        """Its parts where they lie when it fills a room, which it must."""
        if not self.halves:
            yield self.kind, x, y, (length, width) != self.rectangle[:2]
            return
        one, other = self.halves
        for a, b in one.ways:
            for c, d in other.ways:
                if a == c == length and b + d == width:
                    yield from one.spots(x, y, a, b)
                    yield from other.spots(x, y + b, c, d)
                    return
                if b == d == width and a + c == length:
                    yield from one.spots(x, y, a, b)
                    yield from other.spots(x + a, y, c, d)
                    return
        raise AssertionError("halves of a block fill it")

    @property
    def ways(self) -> tuple[tuple[int, int], ...]:
        """Its length and width as it may lie."""
        a, b, turns = self.rectangle
        return ((a, b), (b, a)) if turns else ((a, b),)


Numbers = tuple[int, ...]
"""Sheets of each size."""


def whole_sheets(problem: Problem, parts: Counter[int], cost: float) -> tuple[Numbers, ...]:
    """Sheets that have just the area of the parts and cost no more than that; not all choices, if there are many.

    None for more parts than tiling can put together in any time worth having.
    """
    if parts.total() > MOST_PARTS:
        return ()
    classes = problem.classes
    area = sum(classes[k].length * classes[k].width * count for k, count in parts.items())
    there = [
        (s, sheet)
        for s, sheet in enumerate(problem.sheets)
        if sheet.available != 0 and _area(sheet) > 0 and (sheet.can_be_cut or not problem.edge_to_edge)
    ]
    there.sort(key=lambda own: -_area(own[1]))
    steps = iter(range(MOST_STEPS))
    choices = islice(_choices([sheet for _, sheet in there], area, cost, steps), MOST_CHOICES)
    numbers = [dict(zip([s for s, _ in there], choice, strict=True)) for choice in choices]
    return tuple(tuple(own.get(s, 0) for s in range(len(problem.sheets))) for own in numbers)


def _choices(sheets: Sequence[SheetSize], area: int, cost: float, steps: Iterator[int]) -> Iterator[Numbers]:
    """Numbers of these sheets that have just this area and cost no more than that, for as many steps as there are."""
    if not area:
        yield (0,) * len(sheets)
        return
    if not sheets:
        return
    sheet, smaller = sheets[0], sheets[1:]
    most = area // _area(sheet)
    most = most if sheet.available is None else min(most, sheet.available)
    for count in range(most, -1, -1):
        if next(steps, None) is None:
            return
        if count * sheet.price <= cost + HAIR and (smaller or area == count * _area(sheet)):
            rest = (area - count * _area(sheet), cost - count * sheet.price)
            for others in _choices(smaller, *rest, steps):
                yield count, *others


def tiled(
    problem: Problem,
    parts: Counter[int],
    whole: Sequence[Numbers],
    budget: Budget,
    *,
    rounds: int = ROUNDS,
    seed: int = 0,
) -> Refilled | None:
    """A plan without waste on one choice of these sheets (`whole_sheets`); None where none was found.

    Equal questions get equal answers unless the time cuts them off.
    """
    kinds = [k for k, count in sorted(parts.items()) for _ in range(count)]
    blocks = [Block(_rectangle(problem.classes[k]), k, (number,)) for number, k in enumerate(kinds)]
    tiling = Tiling(problem, whole, blocks, seed)
    for made in range(rounds):
        if not tiling.left or budget.over or (made == SIGN and tiling.left > HOPELESS * len(blocks)):
            break
        tiling.again()
    return None if tiling.left else _plan(problem, tiling.blocks)


class Tiling:
    """Blocks on their way to whole sheets, to be taken apart and joined anew for as long as wanted."""

    def __init__(
        self, problem: Problem, choices: Sequence[Numbers], blocks: Sequence[Block], seed: int
    ) -> None:
        self._sheets = problem.sheets
        self._choices = choices
        self._longest = 2**62
        if problem.edge_to_edge and problem.longest_cut is not None:
            self._longest = problem.longest_cut
        self._random = Random(seed)
        self._rng = np.array([self._random.randrange(1, 2**32)], np.int64)
        n, breadth = len(blocks), FIRST_BREADTH
        self._history = np.zeros((n, breadth, HISTORY_FIELDS), np.int64)
        self._work = (
            np.zeros((2, breadth, n, 3), np.int64),
            np.zeros((2, breadth)),
            np.zeros((2, breadth), np.int64),
            np.zeros(SIDES, np.int64),
            np.zeros(len(problem.sheets), np.int64),
        )
        self._numbers = np.array(choices, np.int64)
        # sizes that no plan without waste has are passed over
        self._lengths = np.array([(s.length, s.width) for s in problem.sheets], np.int64)
        self._lengths[[not any(choice[s] for choice in choices) for s in range(len(problem.sheets))]] = 0
        self.left, self.blocks = self._joined(blocks, max(2, min(breadth, FIRST_PAIRS // n**2)), 0.0)
        self._before = [self.left] * HISTORY
        self._made = 0

    def again(self) -> None:
        """Takes some blocks apart and joins what there is anew; goes back where that is worse."""
        random = self._random
        whole, others = self._parted()
        pool = self.blocks if random.random() < ANYWHERE or len(others) == 1 else others
        chosen = random.sample(pool, min(len(pool), random.randint(*CHOSEN)))
        parts = [part for block in chosen for part in block.parts]
        share = random.choice(SHARES)
        hit = set(random.sample(parts, max(1, int(len(parts) * share))))
        loose = [rest for block in chosen for rest in block.without(hit)]
        taken = set(chosen)
        kept = [block for block in whole if block not in taken]
        loose += [block for block in others if block not in taken]
        left, blocks = self._joined(loose, BREADTH, NOISE, kept)
        self._made += 1
        place = self._made % HISTORY
        if left <= max(self.left, self._before[place]):
            self.left, self.blocks = left, blocks
        self._before[place] = self.left

    def _joined(
        self, loose: Sequence[Block], breadth: int, noise: float, kept: Sequence[Block] = ()
    ) -> tuple[int, list[Block]]:
        """Loose blocks joined as far as it goes, beside those that are kept as they are; how many are left over."""
        start = np.array([block.rectangle for block in loose], np.int64)
        n, reach = len(loose), int(self._lengths.max())
        self._work[0][0, 0, :n] = start
        given = (
            self._lengths,
            self._wanted(kept),
            _rarity(start[:, :2], reach),
            np.array((*TUNE, noise)),
            reach,
            self._longest,
        )
        _, joins, column = join(n, breadth, given, self._rng, self._work, self._history)
        path = []
        for level in range(joins - 1, -1, -1):
            row = self._history[level, column]
            path.append([int(value) for value in row])
            column = row[PARENT]
        blocks = list(loose)
        for row in reversed(path):
            one, other = row[ONE], row[OTHER]
            a, b, turns = row[JOINED:]
            halves = blocks[one], blocks[other]
            blocks[one] = Block((a, b, turns), -1, halves[0].parts + halves[1].parts, halves)
            blocks[other] = blocks[-1]
            blocks.pop()
        blocks += kept
        return self._count_left(blocks), blocks

    def _wanted(self, kept: Sequence[Block]) -> NDArray[np.int64]:
        """Sheets still to be made for each of the numbers that would do, and how many it has already."""
        counts = Counter(self._size(block) for block in kept)
        there = np.array([counts[size] for size in range(len(self._sheets))], np.int64)
        met = np.minimum(self._numbers, there)
        return np.column_stack([self._numbers - met, met.sum(axis=1) - len(kept)])

    def _count_left(self, blocks: Sequence[Block]) -> int:
        counts = Counter(self._size(block) for block in blocks)
        return len(blocks) - _met(counts, self._nearest(counts))

    def _parted(self) -> tuple[list[Block], list[Block]]:
        """The blocks that are whole sheets of the numbers that would do best, and all others."""
        counts = Counter(self._size(block) for block in self.blocks)
        wanted = Counter(dict(enumerate(self._nearest(counts))))
        whole, others = [], []
        for block in self.blocks:
            size = self._size(block)
            if wanted[size] > 0:
                wanted[size] -= 1
                whole.append(block)
            else:
                others.append(block)
        return whole, others

    def _nearest(self, counts: Counter[int]) -> Numbers:
        """The numbers that would do of which most are there."""
        return max(self._choices, key=lambda choice: _met(counts, choice))

    def _size(self, block: Block) -> int:
        """The size of the sheet that a block is, -1 where it is none."""
        return _size(self._sheets, block)


def _rectangle(part: PartClass) -> Rectangle:
    return part.length, part.width, int(part.turnable or part.length == part.width)


def _met(counts: Counter[int], choice: Numbers) -> int:
    return sum(min(counts[size], count) for size, count in enumerate(choice))


def _size(sheets: Sequence[SheetSize], block: Block) -> int:
    for size, sheet in enumerate(sheets):
        if (sheet.length, sheet.width) in block.ways:
            return size
    return -1


def _rarity(sides: NDArray[np.int64], reach: int) -> NDArray[np.float64]:
    """The logarithm of how many sides there are in each unit of length, for lengths from 0 to ``reach``."""
    lengths = (np.arange(LENGTHS) + 0.5) * reach / (LENGTHS - 1)
    low, high = lengths * 3 / 4, lengths * 4 / 3
    ordered = np.sort(sides, axis=None)
    near = np.searchsorted(ordered, high, side="right") - np.searchsorted(ordered, low)
    return np.asarray(np.log((near + 0.5) / (high - low + 1)))


def _area(sheet: SheetSize) -> int:
    return sheet.length * sheet.width


def _plan(problem: Problem, blocks: Sequence[Block]) -> Refilled:
    loads: Counter[Column] = Counter()
    spots: dict[Column, tuple[Spot, ...]] = {}
    for block in blocks:
        size = _size(problem.sheets, block)
        sheet = problem.sheets[size]
        placed = tuple(sorted(block.spots(0, 0, sheet.length, sheet.width)))
        column = (size, tuple(sorted(Counter(spot[0] for spot in placed).items())))
        loads[column] += 1
        spots.setdefault(column, placed)
    cost = sum(problem.sheets[size].price * count for (size, _), count in loads.items())
    return Refilled(dict(loads), spots, cost)
