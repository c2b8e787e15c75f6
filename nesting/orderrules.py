"""What a job asks for besides sheets and rivets: framing, sealant, paint, labour, the vehicle's scales.

Lengths in mm, areas in mm2, volumes in mm3, masses in kg, money as given.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

from nesting.barstock import BarPiece, BarStock


@dataclass(frozen=True)
class FramingRules:
    """Bars to cut: what is asked for, what can be bought, and which framing follows from the body.

    ``post_section`` and ``frame_section`` are "" where the job wants neither post extensions nor window frames.
    ``masses`` are the kg of a mm of a section, those that the job tells.
    """

    pieces: tuple[BarPiece, ...] = ()
    stocks: tuple[BarStock, ...] = ()
    kerf: float = 0.0
    post_section: str = ""
    frame_section: str = ""
    frame_face: float = 25.4
    end_posts: bool = False
    masses: tuple[tuple[str, float], ...] = ()


@dataclass(frozen=True)
class SealantRules:
    """A round bead of diameter ``bead`` from cartridges of ``cartridge`` mm3; ``price`` of one, None where not told.

    ``waste`` is a fraction on top; ``told`` is False where all of it is the usual.
    """

    bead: float = 6.35
    cartridge: float = 300_000.0
    price: float | None = None
    waste: float = 0.1
    told: bool = False


class CoatKind(Enum):
    """What a paint is for: primer goes on before laps are closed, topcoat after hanging."""

    PRIMER = "primer"
    TOPCOAT = "topcoat"


@dataclass(frozen=True)
class PaintRules:
    """A paint: ``solids``, ``transfer`` and ``waste`` are fractions, ``film`` the dry mm of one of its ``coats``.

    ``tin`` is the volume of a tin, ``price`` of one None where not told; ``inside`` coats the inner face as well.
    """

    name: str
    kind: CoatKind = CoatKind.TOPCOAT
    solids: float = 0.5
    film: float = 0.04
    coats: int = 1
    transfer: float = 0.65
    waste: float = 0.1
    tin: float = 1e6
    price: float | None = None
    inside: bool = False


@dataclass(frozen=True)
class VehicleRules:
    """The vehicle as weighed before the work, and what it may weigh at the most; None where not told."""

    scale_weight: float | None = None
    weight_rating: float | None = None


@dataclass(frozen=True)
class OrderRules:
    """Everything of the order that neither sheets nor rivets are."""

    framing: FramingRules = field(default_factory=FramingRules)
    sealant: SealantRules = field(default_factory=SealantRules)
    paints: tuple[PaintRules, ...] = ()
    vehicle: VehicleRules = field(default_factory=VehicleRules)
