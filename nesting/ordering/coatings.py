"""Primer and paint: how far a litre goes, and how much an area takes.

Spread = volume solids x transfer efficiency / dry film thickness.  Solids and efficiency belong above the line: some
printed formulas have them below, or a factor of 100 for 1000, against their own worked figures (a).
Sources and their kinds are those of the trade facts: (a) published and seen, (b) from memory, (c) common practice.
Lengths in mm, areas in mm2, volumes in mm3; mm2 of area from a mm3 of paint is the same number as m2 from a litre.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil

from shared.units import SNAP_MM

MM3_PER_LITRE = 1e6
MM3_PER_US_GALLON = 231 * 25.4**3
MM_PER_MIL = 0.0254

SPRAYED = 0.3
"""(b)/(c) conventional air spray leaves 25 to 40 per cent of the paint on the metal."""

SPRAYED_HVLP = 0.65
"""(b) air-district definition of high-volume low-pressure spraying: at least 65 per cent."""

ROLLED = 0.9
"""(c) roller and brush: 90 to 95 per cent."""

USUAL_WASTE = 0.1
"""(a) contractors allow 10 to 30 per cent: what stays in tins, hoses and cups."""


@dataclass(frozen=True)
class Coat:
    """A paint and how it is put on: ``solids`` and ``transfer`` are fractions, ``film`` the dry thickness in mm.

    ``coats`` counts passes of that thickness; ``waste`` is a fraction on top.  Usual films (c): primer 1 to 2 mil
    (25 to 50 micrometres), topcoat 2 to 3 mil in all.
    """

    name: str
    solids: float
    film: float
    transfer: float = 1.0
    coats: int = 1
    waste: float = 0.0


@dataclass(frozen=True)
class CoatNeed:
    """Paint for an area with its waste, mm3, and whole tins of ``tin`` mm3."""

    coat: Coat
    area: float
    volume: float
    tin: float
    tins: int

    @property
    def litres(self) -> float:
        return self.volume / MM3_PER_LITRE


@dataclass(frozen=True)
class CoatedAreas:
    """What primer and topcoat must cover, mm2."""

    primer: float
    topcoat: float


def spread(coat: Coat) -> float:
    """Area of one coat from a volume of paint: m2 from a litre (mm2 from a mm3), waste not counted."""
    return coat.solids * coat.transfer / coat.film


def square_feet_per_gallon(coat: Coat) -> float:
    """The same in ft2 from a US gallon: 1604 x solids x transfer / film in mil."""
    return spread(coat) * MM3_PER_US_GALLON / (12 * 25.4) ** 2


def paint_needed(area: float, coat: Coat, *, tin: float = MM3_PER_LITRE) -> CoatNeed:
    """Paint for this area, all coats and the waste counted, in whole tins of ``tin`` mm3."""
    volume = area * coat.coats * (1 + coat.waste) / spread(coat)
    return CoatNeed(coat, area, volume, tin, ceil(volume / tin - SNAP_MM))


def coated_areas(parts: float, laps: float, *, inside: bool) -> CoatedAreas:
    """What a skin needs: ``parts`` is the area of all parts as cut, one face; ``laps`` where two of them overlap.

    Both faces of a lap are primed before it is closed, though they are not seen again (c); with ``inside`` the whole
    inner face is primed as well.  Paint goes on the outside after hanging, where one sheet of a lap is covered.
    """
    return CoatedAreas(primer=2 * parts if inside else parts + laps, topcoat=parts - laps)
