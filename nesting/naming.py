"""Short names for panels and the rows they lie in once unused backing levels are gone."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from nesting.plan import Panel
from nesting.seams import SeamLines


def side_letters(names: Sequence[str]) -> dict[str, str]:
    """A short, distinct mark for each side: its first letter, its words' initials, or these with a number."""
    marks: dict[str, str] = {}
    for name in names:
        words = [word for word in name.split() if word[0].isalnum()] or ["S"]
        initials = "".join(word[0].upper() for word in words[:3])
        for mark in (initials[0], initials, *(f"{initials}{n}-" for n in range(2, len(names) + 2))):
            if mark not in marks.values():
                marks[name] = mark
                break
    return marks


def named(panels: Sequence[Panel], mark: str) -> tuple[Panel, ...]:
    """The panels of one side numbered from the left and from below."""
    ordered = sorted(panels, key=lambda panel: (panel.first_bay, panel.first_row))
    return tuple(replace(panel, name=f"{mark}{n}") for n, panel in enumerate(ordered, start=1))


def renumbered(panels: Sequence[Panel], before: SeamLines, after: SeamLines) -> tuple[Panel, ...]:
    """The same panels with rows counted by the levels that remain."""

    def row_above(level: int) -> int:
        height = before.levels[level - 1].height
        return 1 + sum(kept.height < height + 1e-6 for kept in after.levels)

    renamed = []
    for panel in panels:
        first = row_above(panel.first_row - 1) if panel.first_row > 1 else 1
        top = panel.last_row
        last = row_above(top) - 1 if top <= len(before.levels) else len(after.levels) + 1
        if top <= len(before.levels) and not any(
            abs(kept.height - before.levels[top - 1].height) < 1e-6 for kept in after.levels
        ):
            last = row_above(top)
        renamed.append(replace(panel, first_row=first, last_row=last))
    return tuple(renamed)
