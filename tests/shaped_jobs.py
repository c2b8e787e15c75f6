"""Random jobs whose bays and patches are no rectangles: sloped, rounded, arched and leaning openings, windows kept.

Lengths are whole quarter inches, so that exact fits happen.
"""

from __future__ import annotations

from random import Random

from nesting.job import (
    Bay,
    CutMethod,
    Cutting,
    Hand,
    Job,
    Land,
    Patch,
    RivetRules,
    SeamKind,
    SeamRules,
    Side,
    Stock,
    Turn,
    Window,
)
from nesting.outline import CORNER_BULGE, Ring, bounds, rectangle
from nesting.reading.outlinechecks import holes_inside
from nesting.reading.shapechecks import skin_faults
from nesting.skin.openings import outline_openings, post_faces
from tests.hand_plans import base_job

INCH = 25.4
STOCKS = (
    Stock("4x8", 48 * INCH, 96 * INCH, 96.0),
    Stock("4x10", 48 * INCH, 120 * INCH, 118.0),
    Stock("5x10", 60 * INCH, 120 * INCH, 149.0),
)


def shaped_job(seed: int) -> Job:
    """The job of this number; a drawing of chances that makes no sound side is drawn again."""
    random = Random(f"shaped {seed}")
    while True:
        job = _drawn(random)
        if all(_sound(side, job.land) for side in job.sides):
            return job


def _drawn(random: Random) -> Job:
    high = _inches(random, 24, 44)
    sides = [_side(random, name, high) for name in ("driver side", "passenger side")[: random.randint(1, 2)]]
    patches = tuple(_patch(random, number) for number in range(random.randint(0, 3)))
    method = random.choice([CutMethod.PROFILE] * 4 + [CutMethod.SHEAR, CutMethod.HAND])
    gap = 0.0 if method is CutMethod.SHEAR else random.choice([0.0, INCH / 4])
    kind = random.choice([SeamKind.LAP, SeamKind.LAP, SeamKind.BUTT])
    return base_job(
        sides=tuple(sides),
        patches=patches,
        stock=(*random.sample(STOCKS[:2], random.randint(0, 2)), STOCKS[2]),
        cutting=Cutting(
            method=method,
            gap=gap,
            edge_margin=gap,
            turn=random.choice([Turn.QUARTER, Turn.QUARTER, Turn.HALF, Turn.NONE]),
            flip=random.random() < 0.5,
        ),
        seam=SeamRules(kind=kind, edge_distance=INCH / 2, cost=random.choice([0.0, 12.0])),
        land=Land(*(random.choice([0.75, 1.0]) * INCH for _ in range(3))),
        rivets=RivetRules(),
    )


def _inches(random: Random, least: int, most: int) -> float:
    return random.randint(4 * least, 4 * most) / 4 * INCH


def _side(random: Random, name: str, high: float) -> Side:
    bays = tuple(_bay(random, high) for _ in range(random.randint(1, 6)))
    windows = []
    for number, bay in enumerate(bays, start=1):
        if random.random() < 0.3:
            width, height = (random.uniform(0.4, 0.7) * size for size in (bay.width, bay.height))
            left, low = (bay.width - width) / 2, (bay.height - height) / 2
            windows.append(Window(number, left, low, width, height, 40.0, random.random() < 0.5))
    rails = (random.uniform(0.3, 0.7) * high,) if random.random() < 0.3 else ()
    posts = tuple(_inches(random, 2, 3) for _ in bays[1:])
    hand = random.choice(list(Hand))
    return Side(name, hand, bays, posts, rails, rail_width=2 * INCH if rails else 0.0, windows=tuple(windows))


def _bay(random: Random, high: float) -> Bay:
    wide = _inches(random, 20, 38)
    ring = random.choice([None, None, _sloped, _rounded, _arched, _leaning])
    if ring is None:
        return Bay(wide, high, random.choice([0.0, 0.0, 2 * INCH]))
    outline = ring(random, wide, high)
    if ring is _leaning:
        return Bay(wide, max(y for _, y, _ in outline), 0.0, outline)
    _, _, x1, y1 = bounds(outline)
    return Bay(x1, y1, 0.0, outline)


def _sloped(random: Random, wide: float, high: float) -> Ring:
    across, down = random.uniform(0.1, 0.6) * wide, random.uniform(0.05, 0.5) * high
    if random.random() < 0.5:
        return ((0, 0, 0), (wide, 0, 0), (wide, high - down, 0), (wide - across, high, 0), (0, high, 0))
    return ((0, 0, 0), (wide, 0, 0), (wide, high, 0), (across, high, 0), (0, high - down, 0))


def _rounded(random: Random, wide: float, high: float) -> Ring:
    r = random.uniform(0.1, 0.9) * min(wide, high)
    if random.random() < 0.5:
        return ((0, 0, 0), (wide, 0, 0), (wide, high - r, CORNER_BULGE), (wide - r, high, 0), (0, high, 0))
    return ((0, 0, 0), (wide, 0, 0), (wide, high, 0), (r, high, CORNER_BULGE), (0, high - r, 0))


def _arched(random: Random, wide: float, high: float) -> Ring:
    foot = random.uniform(0.1, 0.25) * wide
    bulge = -random.uniform(0.3, 0.95)
    return ((0, 0, 0), (foot, 0, bulge), (wide - foot, 0, 0), (wide, 0, 0), (wide, high, 0), (0, high, 0))


def _leaning(random: Random, wide: float, high: float) -> Ring:
    left, right, sag = (random.uniform(-8, 8) for _ in range(3))
    return ((0, 0, 0), (wide, 0, 0), (wide + right, high + sag, 0), (left, high, 0))


def _patch(random: Random, number: int) -> Patch:
    wide, high = _inches(random, 5, 16), _inches(random, 5, 16)
    name, quantity = f"patch {number}", random.randint(1, 3)
    riveted = random.random() < 0.3
    match random.randint(0, 3):
        case 0:
            return Patch(name, wide, high, 20.0, quantity, riveted)
        case 1:
            outline: Ring = ((0, 0, 0), (wide, 0, 0), (0, high, 0))
            return Patch(name, wide, high, 0.0, quantity, False, outline)
        case 2:
            ring: Ring = ((0, wide / 2, 1.0), (wide, wide / 2, 1.0))
            hole: Ring = ((wide / 4, wide / 2, 1.0), (3 * wide / 4, wide / 2, 1.0))
            return Patch(name, wide, wide, 0.0, quantity, False, ring, (hole,))
        case _:
            return Patch(name, wide, high, 0.0, quantity, riveted)


def _sound(side: Side, land: Land) -> bool:
    """Whether such a side can be: what the job reader would refuse is no job."""
    openings = outline_openings(side)
    if any(face <= 1.0 for face in post_faces(openings)):
        return False
    if any(skin_faults(openings, land)):
        return False
    for window in side.windows:
        bay = side.bays[window.bay - 1]
        x, y = window.from_left, window.from_bottom
        hole = rectangle(x, y, x + window.width, y + window.height, window.corner_radius)
        if bay.outline is not None and holes_inside(bay.outline, [hole]):
            return False
    return True
