"""The answer as values: chosen panels, seams, laid-out sheets, rivets, money, and how the solve ended.

Lengths in mm, masses in kg, money as in the job.  Panels and seams are in side coordinates (seen from
outside, x right, y up), sheet layouts in sheet coordinates (x along the length, y along the width).
"""

from __future__ import annotations

from dataclasses import dataclass, field

from nesting.job import Hand, Job, Stock
from nesting.orderneeds import Order
from nesting.outline import Ring, bounds
from nesting.status import Status as Status

Point = tuple[float, float]


@dataclass(frozen=True)
class Panel:
    """A block of cells as one piece of skin; bays and rows count from 1, rows from the bottom.

    Row r lies between rail r - 1 and rail r.  The outline is the cut contour, laps and lands included.
    ``cut`` means that the panel is there already and lies on no sheet of the plan.
    """

    name: str
    side: str
    forward: Hand
    first_bay: int
    last_bay: int
    first_row: int
    last_row: int
    outline: Ring
    holes: tuple[Ring, ...] = ()
    cut: bool = False


@dataclass(frozen=True)
class Seam:
    """One straight run along one post or one rail between two panels.

    ``after_bay`` (from 1) is set for a seam over a post, ``rail`` (from 1, lowest first) for one on a rail.
    ``start`` to ``end`` lies on the centre line, from below or from the left.  ``over`` names the panel whose
    sheet lies outside, ``under`` the one beneath; a butt seam names the two all the same.
    """

    side: str
    after_bay: int | None
    rail: int | None
    start: Point
    end: Point
    over: str
    under: str

    @property
    def length(self) -> float:
        return abs(self.end[0] - self.start[0]) + abs(self.end[1] - self.start[1])


@dataclass(frozen=True)
class BackingStrip:
    """A strip of metal to add behind a seam where a side has no rail; it counts as a patch to be cut.

    It runs across one bay (from 1).  ``cut`` means that it is there already and lies on no sheet of the plan.
    """

    side: str
    height: float
    patch: str
    bay: int = 0
    cut: bool = False


@dataclass(frozen=True)
class PlacedPart:
    """A part on a sheet: turned counter-clockwise by ``turn`` degrees after an optional flip.

    ``flipped`` means cut face down: the face that will be outside lies against the table.
    """

    part: str
    outline: Ring
    holes: tuple[Ring, ...]
    turn: float
    flipped: bool

    @property
    def x(self) -> float:
        return bounds(self.outline)[0]

    @property
    def y(self) -> float:
        return bounds(self.outline)[1]


@dataclass(frozen=True)
class Cut:
    """One straight cut through a whole piece: ``axis`` 'x' cuts across the length at x = ``at``, 'y' along it.

    ``piece`` is the rectangle (x0, y0, x1, y1) that is cut in two.
    """

    order: int
    axis: str
    at: float
    piece: tuple[float, float, float, float]

    @property
    def from_datum(self) -> float:
        """What to set on the stop: distance from the piece's own left or lower edge."""
        return self.at - (self.piece[0] if self.axis == "x" else self.piece[1])


@dataclass(frozen=True)
class Offcut:
    """A rectangle left over that is worth keeping, lower left corner and size."""

    x: float
    y: float
    length: float
    width: float


@dataclass(frozen=True)
class SheetLayout:
    """One sheet to buy and what is cut from it."""

    stock: Stock
    parts: tuple[PlacedPart, ...]
    cuts: tuple[Cut, ...] = ()
    offcuts: tuple[Offcut, ...] = ()


@dataclass(frozen=True)
class TradePoint:
    """The least sheet cost found for at most this many seams, and a bound nothing can beat."""

    seams: int
    sheet_cost: float
    bound: float


@dataclass(frozen=True)
class RivetLine:
    """One row of rivets on a side, or around a patch.

    ``kind``: seam, edge, post, rail, window or patch.  ``where`` says in words where the line runs.
    ``panels`` are the panels that its rivets hold (two on a lap seam).  ``points`` are all rivets on the line;
    ``counted`` says how many of them are counted here, since a rivet where lines cross counts once.  ``grip`` is
    the metal in mm that most of them close, ``grips`` what each of them closes, in the order of the points; ``length``
    is the rivet length for ``grip``, 0 where no table tells one.
    """

    kind: str
    side: str
    where: str
    panels: tuple[str, ...]
    points: tuple[Point, ...]
    counted: int
    pitch: float
    grip: float
    grips: tuple[float, ...] = ()
    length: float = 0.0


@dataclass(frozen=True)
class PanelRivets:
    """Rivets through one panel: all of them, and how many of these also hold another panel."""

    panel: str
    rivets: int
    shared: int


@dataclass(frozen=True)
class RivetLength:
    """Rivets of one length, in mm: how many go in, and how many to buy with the spare ones.

    The table gives the length for grips from ``grip_min`` to ``grip_max``; those met go from ``least`` to ``most``.
    ``packs`` are its own boxes (rivets in a box, boxes, price of a box), empty where packs name no length.
    """

    length: float
    name: str
    grip_min: float
    grip_max: float
    least: float
    most: float
    rivets: int
    to_buy: int
    packs: tuple[tuple[int, int, float], ...] = ()


@dataclass(frozen=True)
class Fasteners:
    """Rivets at real positions, and what to buy."""

    lines: tuple[RivetLine, ...] = ()
    panels: tuple[PanelRivets, ...] = ()
    total: int = 0
    to_buy: int = 0
    packs: tuple[tuple[int, int, float], ...] = ()
    """Boxes: (rivets in a box, boxes, price of a box)."""
    warnings: tuple[str, ...] = ()
    lengths: tuple[RivetLength, ...] = ()
    """Rivets by length, the shortest first; empty where no table of lengths is known for the diameter."""


@dataclass(frozen=True)
class BuyLine:
    """One line of the buy list."""

    item: str
    quantity: float
    unit: str
    unit_price: float
    price: float
    note: str = ""
    priced: bool = True
    """False where no price is given, or nothing is bought."""


@dataclass(frozen=True)
class BuyList:
    """Everything to order with its money and mass."""

    lines: tuple[BuyLine, ...]
    sheets: float
    cutting: float
    rivets: float
    delivery: float
    tax: float
    total: float
    skin_mass: float
    """Mass of the finished panels and patches in kg."""
    sheet_mass: float
    """Mass of the sheets as delivered in kg."""
    framing: float = 0.0
    sealant: float = 0.0
    paint: float = 0.0


@dataclass(frozen=True)
class Plan:
    """The decision: which panels, which sheets, how they are laid out, and how far it is proved."""

    status: Status
    bound: float
    panels: tuple[Panel, ...]
    seams: tuple[Seam, ...]
    sheets: tuple[SheetLayout, ...]
    seam_cost: float
    tradeoff: tuple[TradePoint, ...] = ()
    backing: tuple[BackingStrip, ...] = ()

    @property
    def sheet_cost(self) -> float:
        return sum(sheet.stock.price for sheet in self.sheets)

    @property
    def objective(self) -> float:
        return self.sheet_cost + self.seam_cost

    @property
    def optimality_gap(self) -> float:
        """How far the plan can be from the best, as a fraction of its cost (0 when proved)."""
        if self.objective <= 0:
            return 0.0
        return max(0.0, (self.objective - self.bound) / self.objective)


@dataclass(frozen=True)
class PlannedJob:
    """A job with its checked plan and everything that follows from it."""

    job: Job
    plan: Plan
    fasteners: Fasteners
    buying: BuyList
    masses: dict[str, float] = field(default_factory=dict)
    """Mass in kg of each part by its name on the sheet (a panel, or a patch with #1, #2 ...)."""
    warnings: tuple[str, ...] = ()
    order: Order | None = None
    """What is ordered or minded besides sheets and rivets."""
