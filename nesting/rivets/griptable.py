"""Which rivet length closes which thickness: the job's own table or the built-in one, and rivets by length."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from math import ceil

from nesting.job import RivetRules, SeamKind, SeamRules, Skin
from nesting.plan import RivetLength
from shared.rivettables import GripRow

SLACK = 0.02
"""mm: tables print thousandths of an inch or tenths of a mm, so that rows may lie this far from one another."""

NEAR_THE_END = 0.25
"""mm: so little is left in a row that sealant or a burr may ask for the next length (c)."""

SAME_LENGTH = 0.5
"""mm: a box whose length is this near to one of the table holds that one; lengths of a table lie farther apart."""

_NOISE = 1e-6


def row_for(rows: Iterable[GripRow], grip: float) -> GripRow | None:
    """The shortest rivet that closes a thickness in mm; None where none does."""
    closing = [row for row in rows if row.grip_min - SLACK <= grip <= row.grip_max + _NOISE]
    # only a thickness in the gap between two rows is allowed the slack above a row
    closing = closing or [row for row in rows if row.grip_max < grip <= row.grip_max + SLACK]
    return min(closing, key=lambda row: row.length, default=None)


def most_sheets(seam: SeamRules, *, posts: bool, levels: bool) -> int:
    """How many sheets can lie on one another on a side: a corner where four laps cross has four."""
    if seam.kind is SeamKind.BUTT:
        return 1
    return 4 if posts and levels else 2 if posts or levels else 1


def closed_by(sheets: int, skin: Skin, rivets: RivetRules) -> float:
    """The thickness in mm of so many sheets and the metal behind them."""
    return sheets * skin.thickness + rivets.post_thickness


def rivet_lengths(rivets: RivetRules, grips: Iterable[float]) -> tuple[RivetLength, ...]:
    """Rivets by length, the shortest first, from the grip of each one; to buy, the spare ones with each length.

    Each grip must have its row in the table in force.
    """
    rows = rivets.length_table
    by_length: dict[float, list[tuple[GripRow, float, int]]] = {}
    for grip, count in sorted(Counter(grips).items()):
        row = row_for(rows, grip)
        if row is not None:
            by_length.setdefault(row.length, []).append((row, grip, count))
    return tuple(_one_length(by_length[length], rivets.spare) for length in sorted(by_length))


def _one_length(closed: Sequence[tuple[GripRow, float, int]], spare: float) -> RivetLength:
    row = closed[0][0]
    count = sum(number for _, _, number in closed)
    return RivetLength(
        length=row.length,
        name=row.name,
        grip_min=min(each.grip_min for each, _, _ in closed),
        grip_max=max(each.grip_max for each, _, _ in closed),
        least=closed[0][1],
        most=closed[-1][1],
        rivets=count,
        to_buy=ceil(count * (1 + spare) - _NOISE),
    )
