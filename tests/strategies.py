"""Random jobs for property tests: valid `Job` values, mostly ones that a plan exists for.

All lengths are whole sixteenths of an inch, as read from a tape, so exact fits happen often.
"""

from __future__ import annotations

from dataclasses import replace

from hypothesis import strategies as st

from nesting.job import (
    Bay,
    CutMethod,
    Cutting,
    Fixed,
    FixedPanel,
    FixedPatch,
    FixedState,
    Hand,
    Job,
    Land,
    Pack,
    Patch,
    RivetRules,
    SeamKind,
    SeamRules,
    Side,
    Skin,
    Stock,
    Turn,
    Units,
    Window,
)
from nesting.skin.panels import candidate_panels
from nesting.skin.seams import seam_lines

SIXTEENTH = 25.4 / 16
INCH = 25.4

STOCKS = (
    Stock("4x8", 48 * INCH, 96 * INCH, 96.0),
    Stock("4x10", 48 * INCH, 120 * INCH, 128.0),
    Stock("5x10", 60 * INCH, 120 * INCH, 171.5),
    Stock("5x12", 60 * INCH, 144 * INCH, 205.0),
)


def lengths(least: float, most: float) -> st.SearchStrategy[float]:
    """Lengths in mm between two bounds given in inches, on whole sixteenths."""
    return st.integers(round(least * 16), round(most * 16)).map(lambda n: n * SIXTEENTH)


@st.composite
def cuttings(draw: st.DrawFn) -> Cutting:
    """Profile cutting with gaps and margins, or a shear with neither."""
    turn = draw(st.sampled_from([Turn.QUARTER, Turn.QUARTER, Turn.HALF, Turn.NONE, Turn.ANY]))
    if draw(st.integers(0, 3)) == 0:
        reach = draw(st.sampled_from([None, 120 * INCH, 144 * INCH]))
        return Cutting(method=CutMethod.SHEAR, turn=turn, shear_length=reach)
    method = draw(st.sampled_from([CutMethod.PROFILE, CutMethod.PROFILE, CutMethod.HAND]))
    return Cutting(
        method=method,
        kerf=draw(st.sampled_from([0.0, SIXTEENTH])),
        gap=draw(st.sampled_from([0.0, SIXTEENTH, 4 * SIXTEENTH])),
        edge_margin=draw(st.sampled_from([0.0, 2 * SIXTEENTH, 4 * SIXTEENTH])),
        turn=turn,
        flip=draw(st.booleans()),
    )


@st.composite
def seam_rules(draw: st.DrawFn, diameter: float) -> SeamRules:
    """Lap or butt seams whose rivets keep two diameters from the edge."""
    edge_distance = draw(st.sampled_from([0.375, 0.5])) * INCH
    rows = draw(st.sampled_from([1, 1, 1, 2]))
    per_length = draw(st.sampled_from([0.0, 0.0, 3.0 / 304.8]))
    return SeamRules(
        kind=draw(st.sampled_from([SeamKind.LAP, SeamKind.LAP, SeamKind.BUTT])),
        edge_distance=edge_distance,
        rows=rows,
        row_spacing=3 * diameter if rows == 2 else 0.0,
        butt_gap=SIXTEENTH,
        cost=draw(st.sampled_from([0.0, 12.0, 30.0])),
        cost_per_length=per_length,
    )


@st.composite
def sides(draw: st.DrawFn, name: str, max_bays: int, rules: SeamRules) -> Side:
    """One face: posts wide enough for a seam most of the time, rails and windows some of the time."""
    count = draw(st.integers(1, max_bays))
    widths = draw(st.lists(lengths(20, 34), min_size=count, max_size=count))
    height = draw(lengths(24, 42))
    step = draw(st.sampled_from([0.0, 0.0, 1.0, 4.0]))
    heights = [height - draw(lengths(0, step)) for _ in range(count)]
    sill_step = draw(st.sampled_from([0.0, 0.0, 0.0, 3.0]))
    sills = [draw(lengths(0, sill_step)) for _ in range(count)]
    bays = tuple(Bay(w, h, s) for w, h, s in zip(widths, heights, sills, strict=True))
    # A two-row lap is as wide as 4 edge distances here; a post is seldom too narrow for the seam.
    posts = tuple(draw(st.sampled_from([2.0, 2.0, 2.5, 3.0, 1.0])) * INCH for _ in range(count - 1))
    rails: tuple[float, ...] = ()
    if draw(st.integers(0, 3)) == 0:
        rails = (draw(lengths(10, 18)),)
        lowest, highest = min(b.sill + b.height for b in bays), max(b.sill + b.height for b in bays)
        if highest - lowest > INCH and draw(st.booleans()):
            # A rail that divides the taller bays and passes just over the others.
            rails = (draw(lengths(lowest / INCH, highest / INCH - 0.5)),)
    windows: tuple[Window, ...] = ()
    if draw(st.integers(0, 3)) == 0:
        windows = (draw(windows_in(bays, rails)),)
    return Side(
        name=name,
        forward=draw(st.sampled_from([Hand.LEFT, Hand.RIGHT])),
        bays=bays,
        posts=posts,
        rails=rails,
        rail_width=draw(st.sampled_from([2.0, 3.0])) * INCH if rails else 0.0,
        windows=windows,
    )


@st.composite
def windows_in(draw: st.DrawFn, bays: tuple[Bay, ...], rails: tuple[float, ...]) -> Window:
    """A window inside one bay, clear of every rail."""
    number = draw(st.integers(1, len(bays)))
    bay = bays[number - 1]
    low = bay.sill
    for rail in rails:
        # Keep to the larger half of an opening that a rail divides.
        low = rail + 2 * INCH if rail - low < bay.sill + bay.height - rail else low
    room = (min([r for r in rails if r > low], default=bay.sill + bay.height)) - low
    return Window(
        bay=number,
        from_left=3 * INCH + draw(lengths(0, 2)),
        from_bottom=low - bay.sill + 2 * INCH,
        width=bay.width - 3 * INCH - draw(lengths(5, 10)),
        height=max(2 * INCH, room - 4 * INCH - draw(lengths(0, 4))),
        corner_radius=draw(st.sampled_from([0.0, 0.5, 2.0])) * INCH,
        riveted=draw(st.booleans()),
    )


@st.composite
def patches(draw: st.DrawFn, number: int) -> Patch:
    """A loose piece that fits every stock size."""
    return Patch(
        name=f"patch {number}",
        width=draw(lengths(4, 30)),
        height=draw(lengths(4, 24)),
        corner_radius=draw(st.sampled_from([0.0, 0.0, 1.0, 3.0])) * INCH,
        quantity=draw(st.integers(1, 3)),
        riveted=draw(st.booleans()),
    )


@st.composite
def stocks(draw: st.DrawFn) -> tuple[Stock, ...]:
    """One to four sheet sizes, the widest among them without a limit."""
    chosen = draw(st.sets(st.sampled_from(STOCKS[:3]), max_size=3))
    limited = draw(st.sampled_from([None, None, 2]))
    several = [Stock(s.name, s.width, s.length, s.price, limited) for s in STOCKS if s in chosen]
    return (*draw(stocks_on_hand()), *several, STOCKS[3])


@st.composite
def stocks_on_hand(draw: st.DrawFn) -> tuple[Stock, ...]:
    """Mostly nothing; now and then whole sheets or an offcut that cost nothing."""
    there = []
    if draw(st.integers(0, 4)) == 0:
        size = draw(st.sampled_from(STOCKS))
        there.append(Stock(size.name, size.width, size.length, 0.0, draw(st.integers(1, 2)), on_hand=True))
    if draw(st.integers(0, 4)) == 0:
        there.append(Stock("offcut", draw(lengths(12, 48)), draw(lengths(12, 90)), 0.0, 1, on_hand=True))
    return tuple(there)


@st.composite
def decided(draw: st.DrawFn, job: Job) -> Fixed:
    """Mostly nothing; now and then a panel of some side, or a copy of a patch that is cut."""
    panels: list[FixedPanel] = []
    if job.sides and draw(st.integers(0, 3)) == 0:
        side = draw(st.sampled_from(job.sides))
        lines = seam_lines(job, side)
        candidates = candidate_panels(job, side, lines)
        if candidates:
            panel = draw(st.sampled_from(candidates)).panel
            heights = [level.height for level in lines.levels]
            panels.append(
                FixedPanel(
                    side.name,
                    panel.first_bay,
                    panel.last_bay,
                    draw(st.sampled_from([FixedState.CUT, FixedState.CUT, FixedState.DECIDED])),
                    heights[panel.first_row - 2] if panel.first_row > 1 else None,
                    heights[panel.last_row - 1] if panel.last_row <= len(heights) else None,
                    draw(st.sampled_from(["", "D2", "kept"])),
                )
            )
    patches: list[FixedPatch] = []
    if job.patches and draw(st.integers(0, 3)) == 0:
        patch = draw(st.sampled_from(job.patches))
        patches.append(FixedPatch(patch.name, (draw(st.integers(1, patch.quantity)),)))
    return Fixed(tuple(panels), tuple(patches))


@st.composite
def jobs(draw: st.DrawFn, max_bays: int = 8, max_patches: int = 6, max_sides: int = 2) -> Job:
    """A whole job: one or two sides, loose pieces, and stock that is wide enough for most of them.

    In some of them a part is decided already.
    """
    diameter = draw(st.sampled_from([0.125, 0.15625, 0.1875])) * INCH
    rules = draw(seam_rules(diameter))
    names = ("driver side", "passenger side")[: draw(st.integers(1, max_sides))]
    kinds = draw(st.integers(0, max_patches))
    job = Job(
        title="a job drawn at random",
        units=draw(st.sampled_from(list(Units))),
        skin=Skin(material="galvannealed steel", thickness=1.31, mass_per_area=10.528, gauge=18),
        cutting=draw(cuttings()),
        seam=rules,
        land=Land(top=draw(lengths(0.5, 1.5)), bottom=draw(lengths(0.5, 1.5)), ends=draw(lengths(0.5, 1.5))),
        rivets=RivetRules(
            diameter=diameter,
            packs=draw(st.sampled_from([(), (Pack(100, 24.0), Pack(500, 98.0))])),
        ),
        stock=draw(stocks()),
        sides=tuple(draw(sides(name, max_bays, rules)) for name in names),
        patches=tuple(draw(patches(i + 1)) for i in range(kinds)),
    )
    return replace(job, fixed=draw(decided(job)))
