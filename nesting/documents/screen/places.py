"""Where each part is found on the page: on its side, on its sheet, and in the table of parts."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from nesting.documents.findings import sides_in_order
from nesting.documents.svg import Place
from nesting.plan import PlannedJob


@dataclass(frozen=True)
class Places:
    """Parts by name: a number for each, the side that a panel hangs on, the sheet that a part is cut from.

    Marks are made of numbers, never of names, so that no name can end up in a link.
    """

    numbers: dict[str, int]
    sides: dict[str, str]
    sheets: dict[str, int]

    def row(self, part: str) -> str:
        """The mark of a part's row in the table."""
        return f"row-{self.numbers[part]}"

    def side(self, part: str) -> str:
        """The mark of a panel on the drawing of its side; empty for a patch."""
        return f"on-side-{self.numbers[part]}" if part in self.sides else ""

    def sheet(self, part: str) -> str:
        """The mark of a part on the drawing of its sheet; empty for what is cut already."""
        return f"on-sheet-{self.numbers[part]}" if part in self.sheets else ""

    def on_side(self, parts: Iterable[str]) -> dict[str, Place]:
        """The areas of a side's drawing: each leads to the sheet that its panel is cut from."""
        return {part: self._place(part, self.side(part), self.sheet(part)) for part in parts}

    def on_sheet(self, parts: Iterable[str]) -> dict[str, Place]:
        """The areas of a sheet's drawing: each leads to where its panel hangs, or to a patch's row."""
        return {part: self._place(part, self.sheet(part), self.side(part)) for part in parts}

    def _place(self, part: str, here: str, there: str) -> Place:
        if not there:
            return Place(here, self.row(part), f"{part}: to its row in the table of parts")
        where = self.sides[part] if there == self.side(part) else f"sheet {self.sheets[part]}"
        return Place(here, there, f"{part}: to its place on {where}")


def places_of(planned: PlannedJob) -> Places:
    """The places of every part of a plan; sheets count from 1."""
    drawn = {side.name for side in sides_in_order(planned)}
    sides = {panel.name: panel.side for panel in planned.plan.panels if panel.side in drawn}
    sheets = {
        part.part: number for number, sheet in enumerate(planned.plan.sheets, start=1) for part in sheet.parts
    }
    cut = [
        f"{patch.name}#{copy}"
        for patch in planned.job.patches
        for copy in sorted(planned.job.fixed.copies_cut(patch.name))
    ]
    names = dict.fromkeys([*(panel.name for panel in planned.plan.panels), *sheets, *cut])
    return Places({name: number for number, name in enumerate(names, start=1)}, sides, sheets)
