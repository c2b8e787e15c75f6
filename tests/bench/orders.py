"""A large order, made up: four bodies at once, so eight sides, 110 bays and 160 patches from five stock sizes.

Written as a job file, the way a workshop would send it.
"""

from __future__ import annotations

from random import Random

BODIES = 4
BAYS_A_SIDE = (14, 14, 14, 14, 14, 14, 13, 13)
STOCK = (
    ("4x8", 48, 96, 92),
    ("4x10", 48, 120, 118),
    ("4x12", 48, 144, 146),
    ("5x10", 60, 120, 156),
    ("5x12", 60, 144, 192),
)
"""Name, width and length in inches, price."""

PATCHES = (
    ("roof hatch cover", "28", "28", 8),
    ("closed rear window", "24", "17", 8),
    ("strip over the windscreen", "58", "8 1/2", 4),
    ("rear strip", "62", "7", 4),
    ("vent cover", "14", "14", 24),
    ("lamp-hole patch", "9", "9", 48),
    ("corner gusset", "12", "6", 24),
    ("marker-lamp cover", "5", "3", 40),
)


def four_bodies(seed: int = 0) -> str:
    """The text of the job file; bays about 28 in wide, each measured a little differently, an odd one now and then."""
    random = Random(seed)
    lines = [
        "# Four bodies in one order: eight sides and all their patches, planned on the same sheets.",
        'title = "Gannet, four bodies in one order"',
        'units = "in"',
        "",
        "[cutting]",
        'method = "profile"',
        'kerf = "1/16"',
        'gap = "1/4"',
        'edge_margin = "1/4"',
        'turn = "quarter"',
        "",
        "[seam]",
        'kind = "lap"',
        'edge_distance = "1/2"',
        "cost = 12.0",
    ]
    for size, across, along, price in STOCK:
        lines += ["", "[[stock]]", f'name = "{size}"', f"width = {across}", f"length = {along}"]
        lines.append(f"price = {price}.0")
    bays_of = iter(BAYS_A_SIDE)
    for body in range(1, BODIES + 1):
        height = sixteenths(39.5 * 16 + random.choice((-2, 0, 0, 2)))
        for side, forward in (("driver side", "left"), ("passenger side", "right")):
            bays = next(bays_of)
            lines += ["", "[[side]]", f'name = "body {body}, {side}"', f'forward = "{forward}"']
            lines += ["post_width = 2", "raise = 12", "cut_height = 14"]
            for bay in range(bays):
                bay_width = 28 * 16 + round(random.gauss(0, 3))
                if bay == bays - 1:
                    # the bay at the emergency door or the rear corner is its own size
                    bay_width += random.choice((-48, 0, 32))
                lines += [
                    "",
                    "  [[side.bay]]",
                    f'  width = "{sixteenths(bay_width)}"',
                    f'  height = "{height}"',
                ]
    for name, width, height, quantity in PATCHES:
        lines += ["", "[[patch]]", f'name = "{name}"', f'width = "{width}"', f'height = "{height}"']
        lines.append(f"quantity = {quantity}")
    return "\n".join(lines) + "\n"


def sixteenths(count: float) -> str:
    """So many sixteenths of an inch as the tape reads: 449 is 28 1/16."""
    whole, rest = divmod(round(count), 16)
    parts = 16
    while rest and rest % 2 == 0:
        rest, parts = rest // 2, parts // 2
    return f"{whole} {rest}/{parts}" if rest else str(whole)
