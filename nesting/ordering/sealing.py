"""Sealant for the laps: the area of a bead times the length to seal, in cartridges.

Sources and their kinds are those of the trade facts: (a) published and seen, (b) from memory, (c) common practice.
Lengths in mm, areas in mm2, volumes in mm3.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from enum import Enum
from math import ceil, pi

from shared.units import SNAP_MM

MM3_PER_US_FLUID_OUNCE = 231 / 128 * 25.4**3
"""Exact: a US gallon is 231 cubic inches and 128 fluid ounces."""

MM3_PER_MILLILITRE = 1000.0

OUNCES_10_1 = 10.1 * MM3_PER_US_FLUID_OUNCE
"""The usual inch cartridge: 18.23 in3 exact; the trade prints 18.3 (a: a sealant distributor's yield page)."""

MILLILITRES_300 = 300 * MM3_PER_MILLILITRE

USUAL_WASTE = 0.1
"""(c) a tenth more than the joint holds; one estimator's page counts a twentieth (a)."""

SEALED_LAP = 25.0
"""mm; (a) New Zealand metal roof and wall cladding code of practice, sealed laps: one bead fills a lap up to this
wide, a wider one is sealed along both edges."""

LAP_BEAD = 6.0
"""mm; (a) the same code: one bead of 6 mm, or two of 4 mm, over the line of the rivet holes."""


class BeadShape(Enum):
    """The cross-section of a bead and what its size is: diameter, side, or leg of a right-angled triangle."""

    ROUND = "round"
    SQUARE = "square"
    FILLET = "fillet"


@dataclass(frozen=True)
class Bead:
    """One line of sealant, or several side by side."""

    shape: BeadShape = BeadShape.ROUND
    size: float = LAP_BEAD
    lines: int = 1

    @property
    def area(self) -> float:
        """Cross-section of all lines together, mm2."""
        share = {BeadShape.ROUND: pi / 4, BeadShape.SQUARE: 1.0, BeadShape.FILLET: 0.5}
        return self.lines * share[self.shape] * self.size**2


@dataclass(frozen=True)
class Sealed:
    """A length to seal and the bead that goes along it."""

    length: float
    bead: Bead = Bead()


@dataclass(frozen=True)
class SealantNeed:
    """``volume`` in mm3 with the waste, and whole cartridges of ``cartridge`` mm3."""

    volume: float
    cartridge: float
    cartridges: int


def length_per_cartridge(bead: Bead, cartridge: float) -> float:
    """How many mm of this bead a cartridge of so many mm3 fills, nothing wasted."""
    return cartridge / bead.area


def lap_bead(lap_width: float, size: float = LAP_BEAD) -> Bead:
    """The bead of a lap: one line up to 25 mm wide, one along each edge beyond (see `SEALED_LAP`)."""
    return Bead(BeadShape.ROUND, size, 1 if lap_width <= SEALED_LAP + SNAP_MM else 2)


def sealant_needed(
    runs: Iterable[Sealed], *, cartridge: float = MILLILITRES_300, waste: float = USUAL_WASTE
) -> SealantNeed:
    """Sealant for all runs with ``waste`` (a fraction of what the joints hold) on top, in whole cartridges."""
    volume = (1 + waste) * sum(run.length * run.bead.area for run in runs)
    return SealantNeed(volume, cartridge, ceil(volume / cartridge - SNAP_MM))
