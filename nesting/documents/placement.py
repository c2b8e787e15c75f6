"""How a part got from its own coordinates to its place on the sheet: mirrored, turned, moved."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin

from nesting.job import Hand
from nesting.outline import Ring, bounds, mirrored, moved, turned
from nesting.plan import PlacedPart, PlannedJob, Point
from nesting.skin.patches import patch_ring


@dataclass(frozen=True)
class Placement:
    """Mirror left for right if ``flipped``, turn counter-clockwise by ``turn`` degrees, then shift."""

    flipped: bool
    turn: float
    dx: float
    dy: float

    def point(self, x: float, y: float) -> Point:
        """Where a point of the panel (side coordinates) or patch lies on the sheet."""
        placed = self.ring(((x, y, 0.0),))[0]
        return placed[0], placed[1]

    def ring(self, ring: Ring) -> Ring:
        """Where an outline of the panel or patch lies on the sheet."""
        laid = turned(mirrored(ring) if self.flipped else ring, self.turn)
        return moved(laid, self.dx, self.dy)


def placement(outline: Ring, part: PlacedPart) -> Placement:
    """The placement of a part that has this outline in its own coordinates.

    The shift makes the lower left extent that of the placed part, so a part that was rounded up to
    the solver's units is met within that rounding.
    """
    unmoved = Placement(part.flipped, part.turn, 0.0, 0.0)
    x, y, _, _ = bounds(unmoved.ring(outline))
    return Placement(part.flipped, part.turn, part.x - x, part.y - y)


def own_outline(planned: PlannedJob, part: PlacedPart) -> Ring:
    """A part's outline in its own coordinates: a panel's on its side, a patch's from its lower left."""
    for panel in planned.plan.panels:
        if panel.name == part.part:
            return panel.outline
    patch_name = part.part.rpartition("#")[0]
    for patch in planned.job.patches:
        if patch.name == patch_name:
            return patch_ring(patch)
    # a backing strip is in no list of the job: take it back from the sheet
    laid_back = turned(part.outline, -part.turn)
    return mirrored(laid_back) if part.flipped else laid_back


def up_angle(part: PlacedPart) -> float:
    """Degrees counter-clockwise on the sheet at which the part's upper edge lies."""
    return (90.0 + part.turn) % 360


def forward_angle(part: PlacedPart, forward: Hand) -> float:
    """Degrees counter-clockwise on the sheet at which the front of the vehicle lies for this part."""
    left = (forward is Hand.LEFT) != part.flipped
    return ((180.0 if left else 0.0) + part.turn) % 360


def direction(degrees: float) -> Point:
    """The unit vector at this angle, exact for quarter turns."""
    quarter, rest = divmod(degrees % 360, 90)
    if rest == 0:
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter)]
    return cos(radians(degrees)), sin(radians(degrees))
