"""Framing as values: the pieces asked for, the lengths that can be bought, and bars with their cuts; all in mm."""

from __future__ import annotations

from dataclasses import dataclass

from nesting.status import Status


@dataclass(frozen=True)
class BarPiece:
    """Pieces of one length to cut from bars of a section; ``quantity`` of them."""

    name: str
    section: str
    length: float
    quantity: int = 1


@dataclass(frozen=True)
class BarStock:
    """A length of a section: ``price`` of one bar (None: not known), ``available`` None for as many as wanted."""

    section: str
    length: float
    price: float | None = None
    available: int | None = None


@dataclass(frozen=True)
class CutBar:
    """One bar: each cut is a piece and where it begins from the bar's left end; ``left_over`` comes after the last.

    The kerf follows every piece; the last one falls away with what is left over.
    """

    stock: BarStock
    cuts: tuple[tuple[BarPiece, float], ...]
    left_over: float

    @property
    def used(self) -> float:
        """The lengths of the pieces together."""
        return sum(piece.length for piece, _ in self.cuts)


@dataclass(frozen=True)
class BarPlan:
    """The bars to cut; no plan costs less than ``bound``, so that OPTIMAL means it equals the cost.

    Where no bar has a price, ``cost`` and ``bound`` count bars.
    """

    status: Status
    bars: tuple[CutBar, ...]
    cost: float
    bound: float

    @property
    def gap(self) -> float:
        """How much less a plan could cost at the most, as a fraction of the cost."""
        return (self.cost - self.bound) / self.cost if self.cost > 0 else 0.0
