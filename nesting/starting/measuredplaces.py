"""Cells of a filled table of readings put together by side and place."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from nesting.starting.readingtable import Cell


@dataclass(frozen=True)
class Place:
    """The readings at one place, by name."""

    side: str
    kind: str
    index: int | None
    cells: Mapping[str, Cell] = field(default_factory=dict)

    def written(self, names: Iterable[str]) -> list[Cell]:
        """Those of these readings that stand in the table."""
        return [self.cells[name] for name in names if name in self.cells and self.cells[name].written]

    def mm(self, name: str) -> float | None:
        """A reading in mm; None where it is not there or no length."""
        return self.cells[name].mm if name in self.cells else None


@dataclass(frozen=True)
class MeasuredSide:
    """A side with its places by kind and number."""

    name: str
    places: Mapping[tuple[str, int | None], Place]

    def place(self, kind: str, index: int | None = None) -> Place:
        """The place, without any readings where the table has none for it."""
        return self.places.get((kind, index)) or Place(self.name, kind, index)

    def is_blank(self) -> bool:
        """Whether nothing but what the sheet came with stands there."""
        cells = (cell for place in self.places.values() for cell in place.cells.values())
        return not any(cell.written for cell in cells if cell.asked.name != "posts")

    def rows(self) -> str:
        """The rows from the first to the last."""
        rows = [cell.row for place in self.places.values() for cell in place.cells.values()]
        return f"{min(rows)} to {max(rows)}"

    def indices(self, kind: str) -> list[int]:
        """The numbers of all places of a kind."""
        return sorted(index for found, index in self.places if found == kind and index is not None)


def measured_sides(cells: Iterable[Cell]) -> list[MeasuredSide]:
    """The sides of a table with their readings, in the order in which they first come up."""
    found: dict[str, dict[tuple[str, int | None], dict[str, Cell]]] = {}
    for cell in cells:
        found.setdefault(cell.side, {}).setdefault((cell.kind, cell.index), {})[cell.asked.name] = cell
    return [
        MeasuredSide(name, {at: Place(name, *at, readings) for at, readings in places.items()})
        for name, places in found.items()
    ]
