"""The rest of the order as values: bars, sealant, paint, mass, labour, hands.

Lengths in mm, areas in mm2, volumes in mm3, masses in kg, money as in the job.  ``None`` for money means that no
price is given, which is not the same as nought.
"""

from __future__ import annotations

from dataclasses import dataclass

from nesting.barstock import BarPlan


@dataclass(frozen=True)
class SectionPlan:
    """The bars of one section, with how far their plan is proved; ``priced`` False: cost and bound count bars."""

    section: str
    plan: BarPlan
    priced: bool


@dataclass(frozen=True)
class SealingNeed:
    """Lengths of lap and of land to seal, the sealant with its waste, whole cartridges, and the price of one."""

    laps: float
    lands: float
    volume: float
    cartridges: int
    price: float | None = None

    @property
    def length(self) -> float:
        return self.laps + self.lands


@dataclass(frozen=True)
class PaintNeed:
    """Paint for an area, all coats and the waste counted, in whole tins of ``tin`` mm3, and the price of one."""

    name: str
    area: float
    volume: float
    tin: float
    tins: int
    price: float | None = None


@dataclass(frozen=True)
class MassAdded:
    """What the vehicle gets heavier by; ``framing`` is None where no mass of some section is told.

    ``weighed`` and ``rating`` are the vehicle's before the work and the most it may be.
    """

    skin: float
    rivets: float
    framing: float | None = None
    weighed: float | None = None
    rating: float | None = None

    @property
    def added(self) -> float:
        return self.skin + self.rivets + (self.framing or 0.0)

    @property
    def in_all(self) -> float | None:
        """The vehicle afterwards, None where it was not weighed."""
        return None if self.weighed is None else self.weighed + self.added

    @property
    def left(self) -> float | None:
        """What the rating leaves for everything else; negative where it is exceeded, None where it is not known."""
        return None if self.in_all is None or self.rating is None else self.rating - self.in_all


@dataclass(frozen=True)
class LabourNeed:
    """Hours for seams and panels, and the money at the shop's rate (None where no rate is told)."""

    hours: float
    money: float | None = None


@dataclass(frozen=True)
class HandsNeeded:
    """Panels and patches by who lifts them: one person, two people, more hands or lifting gear."""

    one: tuple[str, ...] = ()
    two: tuple[str, ...] = ()
    more: tuple[str, ...] = ()


@dataclass(frozen=True)
class Order:
    """Everything that is ordered or minded besides sheets and rivets.

    ``sealing`` is None where nothing is lapped or landed, ``labour`` where no hours are told.
    """

    sections: tuple[SectionPlan, ...] = ()
    sealing: SealingNeed | None = None
    paints: tuple[PaintNeed, ...] = ()
    mass: MassAdded = MassAdded(0.0, 0.0)
    labour: LabourNeed | None = None
    hands: HandsNeeded = HandsNeeded()
    holders: int = 0
    cautions: tuple[str, ...] = ()
