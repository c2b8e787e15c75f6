"""What was measured and what can be bought: the job as values, lengths in millimetres, money as given.

Sides are seen square on from outside, x to the right, y up; x = 0 is the left edge of the first bay and
y = 0 is the datum from which sills, rails and the cut height are measured.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import Enum

from nesting.orderrules import OrderRules
from nesting.outline import Ring
from nesting.readings import Adjusted
from shared.rivettables import GripRow, grip_rows


class Units(Enum):
    """The units in which bare numbers are read and lengths are printed."""

    INCH = "in"
    MILLIMETRE = "mm"


class CutMethod(Enum):
    """How sheets are cut: free outlines, edge to edge on a shear, or by hand."""

    PROFILE = "profile"
    SHEAR = "shear"
    HAND = "hand"


class Turn(Enum):
    """How parts may be turned on the sheet."""

    NONE = "none"
    HALF = "half"
    QUARTER = "quarter"
    ANY = "any"


class SeamKind(Enum):
    """One sheet over the other, or edge against edge."""

    LAP = "lap"
    BUTT = "butt"


class Hand(Enum):
    """A hand of a side as seen from outside."""

    LEFT = "left"
    RIGHT = "right"


@dataclass(frozen=True)
class Skin:
    """The sheet metal: thickness in mm, mass in kg/m2, and where the mass comes from.

    ``tensile`` and ``yield_strength`` in MPa are None where the job does not tell them.
    """

    material: str
    thickness: float
    mass_per_area: float
    gauge: int | None = None
    source: str = ""
    tensile: float | None = None
    yield_strength: float | None = None


@dataclass(frozen=True)
class Cutting:
    """How parts are cut from a sheet; all lengths in mm."""

    method: CutMethod = CutMethod.PROFILE
    kerf: float = 0.0
    gap: float = 0.0
    edge_margin: float = 0.0
    turn: Turn = Turn.QUARTER
    flip: bool = False
    shear_length: float | None = None

    @property
    def spacing(self) -> float:
        """Least distance between the outlines of two parts: the kerf lies inside the gap."""
        return max(self.gap, self.kerf)


@dataclass(frozen=True)
class SeamRules:
    """How two panels meet; ``cost_per_length`` is money per mm."""

    kind: SeamKind = SeamKind.LAP
    edge_distance: float = 12.7
    rows: int = 1
    row_spacing: float = 0.0
    butt_gap: float = 1.5875
    cost: float = 0.0
    cost_per_length: float = 0.0

    @property
    def reach(self) -> float:
        """How far a panel runs past the centre line of the post or rail (negative for a butt seam)."""
        if self.kind is SeamKind.BUTT:
            return -self.butt_gap / 2
        rows_half = self.row_spacing / 2 if self.rows == 2 else 0.0
        return self.edge_distance + rows_half


@dataclass(frozen=True)
class Land:
    """How far panels run past the opening onto the structure at the outer edges."""

    top: float = 25.4
    bottom: float = 25.4
    ends: float = 25.4


@dataclass(frozen=True)
class Pack:
    """A box of rivets; ``length`` in mm is None where it is not told."""

    count: int
    price: float
    length: float | None = None


@dataclass(frozen=True)
class RivetRules:
    """Rivets asked for; ``spare`` is a fraction, ``post_thickness`` the metal behind the skin in mm.

    ``lengths`` is the job's own table of lengths by grip, empty where the built-in one is meant.  ``material`` is
    "" and ``shear_strength`` (N for one rivet) None where the job does not tell them.
    """

    diameter: float = 4.7625
    seam_pitch: float = 38.1
    edge_pitch: float = 50.8
    post_pitch: float = 101.6
    spare: float = 0.1
    packs: tuple[Pack, ...] = ()
    post_thickness: float = 1.905
    lengths: tuple[GripRow, ...] = ()
    material: str = ""
    shear_strength: float | None = None

    @property
    def length_table(self) -> tuple[GripRow, ...]:
        """The lengths in force by grip: the job's own, or what is known of the diameter (empty for an odd one)."""
        return self.lengths or grip_rows(self.diameter)


@dataclass(frozen=True)
class Stock:
    """A sheet size: width along y, length along x; ``available`` None means as many as wanted.

    A size on hand has the price 0 and as many sheets as there are; more of the same size to buy are another
    `Stock` of that name.
    """

    name: str
    width: float
    length: float
    price: float
    available: int | None = None
    on_hand: bool = False


@dataclass(frozen=True)
class Bay:
    """A measured opening between two posts; ``sill`` is the height of its lower edge above the datum.

    ``outline`` is None for a rectangle, else the opening counter-clockwise, (0, 0) its lower left corner (of the
    enclosing rectangle for a drawn outline); ``width`` is then measured along its foot from post to post, and
    ``height`` is the greatest.
    """

    width: float
    height: float
    sill: float = 0.0
    outline: Ring | None = None
    measured: Adjusted | None = None
    """How the tape readings of a four-sided bay agree with its outline."""


@dataclass(frozen=True)
class Window:
    """A hole in whichever panel lies there, placed from its bay's lower left corner (``bay`` from 1)."""

    bay: int
    from_left: float
    from_bottom: float
    width: float
    height: float
    corner_radius: float = 0.0
    riveted: bool = False


@dataclass(frozen=True)
class Side:
    """One face of the body seen from outside; n bays have n - 1 post widths."""

    name: str
    forward: Hand
    bays: tuple[Bay, ...]
    posts: tuple[float, ...]
    rails: tuple[float, ...] = ()
    rail_width: float = 0.0
    raise_height: float = 0.0
    cut_height: float | None = None
    windows: tuple[Window, ...] = ()
    overall: float | None = None


@dataclass(frozen=True)
class Patch:
    """A loose piece: its width lies along the sheet's length at turn 0.

    ``outline`` is None for a rectangle (with round corners), else the outline counter-clockwise, the lower left
    corner of its extent at (0, 0); ``width`` and ``height`` are the extent.
    """

    name: str
    width: float
    height: float
    corner_radius: float = 0.0
    quantity: int = 1
    riveted: bool = False
    outline: Ring | None = None
    holes: tuple[Ring, ...] = ()


class FixedState(Enum):
    """What is decided of a panel: that it is cut already, or only where it reaches."""

    CUT = "cut"
    DECIDED = "decided"


@dataclass(frozen=True)
class FixedPanel:
    """A panel that is decided already: bays from 1, and the heights of the rails it ends on in mm.

    ``from_rail`` or ``to_rail`` None means the lower or upper edge of the side; a backing strip may stand for
    a rail.  ``name`` is kept as written, "" where the planner may give one.
    """

    side: str
    first_bay: int
    last_bay: int
    state: FixedState
    from_rail: float | None = None
    to_rail: float | None = None
    name: str = ""


@dataclass(frozen=True)
class FixedPatch:
    """Copies of a patch (from 1) that are cut already."""

    patch: str
    copies: tuple[int, ...]


@dataclass(frozen=True)
class FixedStrip:
    """Backing strips that are decided already: one for each of these bays (from 1), ``height`` in mm."""

    side: str
    first_bay: int
    last_bay: int
    height: float
    state: FixedState
    name: str = ""


@dataclass(frozen=True)
class Fixed:
    """Everything that the plan must take as it is."""

    panels: tuple[FixedPanel, ...] = ()
    patches: tuple[FixedPatch, ...] = ()
    strips: tuple[FixedStrip, ...] = ()

    def copies_cut(self, patch: str) -> frozenset[int]:
        """The copies of a patch that need no metal any more."""
        return frozenset(copy for cut in self.patches if cut.patch == patch for copy in cut.copies)


@dataclass(frozen=True)
class Costs:
    """What the shop adds; ``tax`` is a fraction, ``labour_rate`` money for an hour (None where not told)."""

    cut_per_sheet: float = 0.0
    delivery: float = 0.0
    tax: float = 0.0
    labour_rate: float | None = None
    hours_per_seam: float = 0.0
    hours_per_panel: float = 0.0


@dataclass(frozen=True)
class Job:
    """Everything the planner is told; ``warnings`` are doubts about the measurements, not mistakes.

    ``priced`` False means that no sheet has a price: the prices of ``stock`` are areas then, no money.
    """

    title: str
    units: Units
    skin: Skin
    cutting: Cutting
    seam: SeamRules
    land: Land
    rivets: RivetRules
    stock: tuple[Stock, ...]
    sides: tuple[Side, ...] = ()
    patches: tuple[Patch, ...] = ()
    costs: Costs = field(default_factory=Costs)
    warnings: tuple[str, ...] = ()
    fixed: Fixed = field(default_factory=Fixed)
    priced: bool = True
    order: OrderRules = field(default_factory=OrderRules)
