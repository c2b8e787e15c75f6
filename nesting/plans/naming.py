"""Short names for panels and strips, and the rows of panels once unused backing heights are gone."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import count
from unicodedata import normalize

from nesting.plan import Panel
from nesting.skin.seams import SAME_HEIGHT, SeamLines


def side_marks(sides: Sequence[str], patches: Iterable[str] = ()) -> dict[str, str]:
    """A mark of plain capital letters for each side, to which panels add their number; no two are alike.

    The first letter where that is enough, else the initials of the words, else the first letters of the name.
    A mark that could give a panel the name of a patch is passed over.
    """
    taken = [name.casefold() for name in patches]
    marks: dict[str, str] = {}
    for wanted in zip(*(_wishes(name) for name in sides), strict=True):
        open_sides = {name: mark for name, mark in zip(sides, wanted, strict=True) if name not in marks}
        if not open_sides:
            break
        asked = Counter(open_sides.values())
        marks |= {
            name: mark
            for name, mark in open_sides.items()
            if asked[mark] == 1 and mark not in marks.values() and not _names_a_patch(mark, taken)
        }
    for name in sides:
        if name not in marks:
            marks[name] = next(
                mark
                for number in count(2)
                for mark in [f"{_initials(name)}{number}-"]
                if mark not in marks.values() and not _names_a_patch(mark, taken)
            )
    return marks


def named(
    panels: Sequence[Panel], mark: str, kept: Sequence[str] = (), taken: Iterable[str] = ()
) -> tuple[Panel, ...]:
    """The panels of one side numbered from the left and from below.

    ``kept[i]`` is the name that panel i has already, "" where it has none; a number that would give a name
    in ``taken`` is passed over.
    """
    foregone = {name.casefold() for name in (*taken, *kept)}
    numbers = (name for n in count(1) if (name := f"{mark}{n}").casefold() not in foregone)
    both = zip(panels, kept or [""] * len(panels), strict=True)
    ordered = sorted(both, key=lambda pair: (pair[0].first_bay, pair[0].first_row))
    return tuple(replace(panel, name=name or next(numbers)) for panel, name in ordered)


def strip_names(patches: Iterable[str]) -> Iterator[str]:
    """Names for backing strips, none of them a patch's."""
    taken = {name.casefold() for name in patches}
    return (name for number in count(1) if (name := f"backing strip {number}") not in taken)


def renumbered(panels: Sequence[Panel], before: SeamLines, after: SeamLines) -> tuple[Panel, ...]:
    """The same panels with rows counted by the levels that remain."""

    def levels_below(height: float) -> int:
        return sum(level.height < height for level in after.levels)

    rows = []
    for panel in panels:
        first, last = 1, len(after.levels) + 1
        if panel.first_row > 1:
            first += levels_below(before.levels[panel.first_row - 2].height + SAME_HEIGHT)
        if panel.last_row <= len(before.levels):
            last = 1 + levels_below(before.levels[panel.last_row - 1].height - SAME_HEIGHT)
        rows.append(replace(panel, first_row=first, last_row=last))
    return tuple(rows)


def _wishes(name: str) -> tuple[str, ...]:
    """Marks for a side in the order of preference."""
    letters = "".join(_words(name))
    return (letters[:1], _initials(name), letters[:2], letters[:3])


def _initials(name: str) -> str:
    return "".join(word[0] for word in _words(name))[:3]


def _words(name: str) -> list[str]:
    """The words of a name in plain capitals: no accents, and no digits, which would run into the number."""
    plain = normalize("NFKD", name).encode("ascii", "ignore").decode()
    return re.findall(r"[A-Z]+", plain.upper()) or ["S"]


def _names_a_patch(mark: str, taken: Sequence[str]) -> bool:
    return any(re.fullmatch(re.escape(mark.casefold()) + r"[0-9]+", name) for name in taken)
