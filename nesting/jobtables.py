"""Every key of the job file, once: what it is called, what may stand there, and what it means.

The reader, the suggestion for a misspelt key and the JSON Schema all come from these tables.  To add a key,
add a row here and read it in `nesting.jobfile`; to take up one that is listed as not read yet, replace its
`_not_yet` row by a real one.
"""

from __future__ import annotations

from nesting.job import CutMethod, Hand, SeamKind, Turn, Units
from nesting.jobkeys import (
    MAX_BAYS,
    MAX_MONEY,
    MAX_PACKS,
    MAX_PATCH_PIECES,
    MAX_RAILS,
    MAX_STOCKS,
    MAX_WINDOWS,
    Key,
    Kind,
    Table,
)


def _size(name: str, doc: str, example: str = "28 1/4", *, required: bool = True) -> Key:
    return Key(name, Kind.LENGTH, doc, required, above=0, example=f'"{example}"')


def _sheet(name: str, doc: str, example: str) -> Key:
    outside = "no sheet is larger than 65 ft (20 m); check the number and units"
    return Key(name, Kind.LENGTH, doc, True, above=0, most=20_000, outside=outside, example=f'"{example}"')


def _distance(name: str, doc: str, default: str, default_mm: str) -> Key:
    return Key(name, Kind.LENGTH, doc, default=default, default_mm=default_mm, least=0)


def _pitch(name: str, doc: str, default: str, default_mm: str) -> Key:
    return Key(name, Kind.LENGTH, doc, default=default, default_mm=default_mm, above=0)


def _money(name: str, doc: str) -> Key:
    return Key(name, Kind.NUMBER, doc, default=0.0, least=0, most=MAX_MONEY)


def _count(name: str, doc: str, most: int, *, required: bool = False, default: int | None = None) -> Key:
    return Key(name, Kind.WHOLE, doc, required, default, least=1, most=most, example="1")


def _not_yet(names: str, remedy: str, kind: Kind = Kind.LENGTH) -> tuple[Key, ...]:
    return tuple(Key(name, kind, "Not read by this version.", not_yet=remedy) for name in names.split())


_FOUR_SIDED = (
    "this version plans rectangular bays only; write width and height instead, the larger of each pair of "
    "readings, and trim the panel in place"
)
_DRAWN_BAY = (
    "this version plans rectangular bays only; write the width and height of the rectangle around the "
    "outline and trim the panel in place"
)
_DRAWN_PATCH = (
    "this version plans rectangular patches only; write the width and height of the rectangle around the "
    "outline and trim the patch to shape"
)
_FIXED = (
    "this version does not plan around panels that are decided already; leave [[fixed]] out, and take bays "
    "that are closed already out of the side"
)
_BAR = "this version does not cut framing from lengths; leave [[bar]] out and list the framing by hand"
_BAR_STOCK = "this version does not cut framing from lengths; leave [[bar_stock]] out"

SKIN = Table(
    "[skin]",
    "skin",
    "The sheet metal, by gauge or by thickness.",
    (
        Key("material", Kind.NAME, "A row of the material table.", otherwise="galvannealed steel"),
        Key("gauge", Kind.WHOLE, "Sheet gauge of the material.", otherwise="18", least=1, most=50),
        Key(
            "thickness",
            Kind.LENGTH,
            "Thickness instead of a gauge.",
            above=0,
            most=6.5,
            outside='skin is sheet metal, at most 1/4 in (6.5 mm) thick; write millimetres like "1.2 mm"',
        ),
        Key(
            "density",
            Kind.NUMBER,
            "Density of your own in kg per cubic metre; then any name will do for the material.",
            least=500,
            most=25000,
            outside="density is in kg per cubic metre, as 7850 for steel",
        ),
    ),
)

CUTTING = Table(
    "[cutting]",
    "cutting",
    "How parts are cut from a sheet.",
    (
        Key(
            "method",
            Kind.CHOICE,
            "profile (laser, plasma, waterjet), shear (edge to edge) or hand.",
            default=CutMethod.PROFILE.value,
            choices=tuple(method.value for method in CutMethod),
        ),
        _distance("kerf", "Width that one cut removes.", "0", "0"),
        Key(
            "gap",
            Kind.LENGTH,
            "Least distance between two parts, kerf included.",
            otherwise="1/4 in or 6 mm; 0 for shear; the kerf by hand",
            least=0,
        ),
        Key(
            "edge_margin",
            Kind.LENGTH,
            "Least distance from a part to the sheet edge.",
            otherwise="1/4 in or 6 mm; 0 for shear",
            least=0,
        ),
        Key(
            "turn",
            Kind.CHOICE,
            "How parts may be turned on the sheet.",
            default=Turn.QUARTER.value,
            choices=tuple(turn.value for turn in Turn),
        ),
        Key("flip", Kind.FLAG, "May a part be cut face down?", default=False),
        Key("shear_length", Kind.LENGTH, "Longest single cut, shear only.", above=0),
    ),
)

SEAM = Table(
    "[seam]",
    "seam",
    "How two panels meet over a post or a rail.",
    (
        Key(
            "kind",
            Kind.CHOICE,
            "lap (one sheet over the other) or butt (edge against edge).",
            default=SeamKind.LAP.value,
            choices=tuple(kind.value for kind in SeamKind),
        ),
        Key(
            "edge_distance",
            Kind.LENGTH,
            "Rivet line to sheet edge; a lap of one row is twice as wide.",
            default="1/2",
            default_mm="12.5",
            above=0,
        ),
        Key("rows", Kind.WHOLE, "Rows of rivets in a seam.", default=1, least=1, most=2),
        Key("row_spacing", Kind.LENGTH, "Between the two rows.", otherwise="three rivet diameters", above=0),
        _distance("butt_gap", "Between the edges of a butt seam.", "1/16", "1.5"),
        _money("cost", "Money for one seam: rivets, sealant, labour."),
        _money("cost_per_length", "Money for a seam's length, per foot or per metre."),
    ),
)

LAND = Table(
    "[land]",
    "land",
    "How far panels run past the opening at the outer edges of a side.",
    tuple(_distance(edge, f"At the {edge}.", "1", "25") for edge in ("top", "bottom", "ends")),
)

PACK = Table(
    "rivets.packs",
    "pack",
    "A box of rivets.",
    (
        _count("count", "Rivets in a box.", 1_000_000, required=True),
        Key("price", Kind.NUMBER, "Price of a box.", True, above=0, most=MAX_MONEY, example="24.0"),
    ),
)

RIVETS = Table(
    "[rivets]",
    "rivets",
    "The rivets asked for.",
    (
        Key(
            "diameter",
            Kind.LENGTH,
            "Body diameter.",
            default="3/16",
            default_mm="4.8",
            least=1.5,
            most=13.0,
            outside="blind rivets are between 1/16 and 1/2 in (1.5 and 13 mm) thick; check number and unit",
        ),
        _pitch("seam_pitch", "Pitch along seams, at most.", "1 1/2", "40"),
        _pitch("edge_pitch", "Pitch along outer edges, at most.", "2", "50"),
        _pitch("post_pitch", "Pitch on posts and rails under a panel, at most.", "4", "100"),
        Key("spare", Kind.NUMBER, "Spare rivets to buy, per cent.", default=10.0, least=0, most=100),
        Key(
            "packs",
            Kind.TABLES,
            "Boxes they come in.",
            table=PACK,
            most_items=MAX_PACKS,
            example="[{ count = 100, price = 24.0 }]",
        ),
        Key(
            "post_thickness",
            Kind.LENGTH,
            "Metal behind the skin that the rivet closes as well.",
            default="0.075",
            default_mm="2",
            above=0,
            most=25.4,
            outside="a rivet closes 1 in (25 mm) of metal at most; check number and unit",
        ),
    ),
)

STOCK = Table(
    "[[stock]]",
    "stock",
    "A sheet size that can be bought or is on hand.",
    (
        Key("name", Kind.NAME, "What the sheet is called.", otherwise="width x length"),
        _sheet("width", "Width of the sheet.", "48"),
        _sheet("length", "Length of the sheet.", "120"),
        Key(
            "price",
            Kind.NUMBER,
            "Price of one sheet, 0 for a limited number on hand; left out for all, area is saved.",
            least=0,
            most=MAX_MONEY,
        ),
        Key("available", Kind.WHOLE, "How many there are.", otherwise="as many as wanted", least=0, most=1e6),
    ),
)

BAY = Table(
    "[[side.bay]]",
    "bay",
    "An opening between two posts, from the left as seen from outside.",
    (
        _size("width", "Width of the opening."),
        _size("height", "Height of the opening.", "39 1/2"),
        Key("sill", Kind.LENGTH, "Height of its lower edge above the datum.", default="0", default_mm="0"),
        _count("count", "How many such bays stand side by side.", MAX_BAYS, default=1),
        *_not_yet("top bottom left right diagonal_rising diagonal_falling", _FOUR_SIDED),
        *_not_yet("outline", _DRAWN_BAY, Kind.TABLES),
        *_not_yet("drawing layer", _DRAWN_BAY, Kind.TEXT),
    ),
    repeats="count",
)

WINDOW = Table(
    "[[side.window]]",
    "window",
    "A window that stays or goes in: a hole in whichever panel lies there.",
    (
        _count("bay", "Bay it lies in, counted from the left.", MAX_BAYS, required=True),
        Key("from_left", Kind.LENGTH, "From the bay's left edge.", True, least=0, example="4"),
        Key("from_bottom", Kind.LENGTH, "From the bay's lower edge.", True, least=0, example="12"),
        _size("width", "Width of the hole.", "20"),
        _size("height", "Height of the hole.", "18"),
        _distance("corner_radius", "Radius of its corners.", "0", "0"),
        Key("riveted", Kind.FLAG, "Is there a line of rivets around it?", default=False),
    ),
)

SIDE = Table(
    "[[side]]",
    "side",
    "One face of the body seen square on from outside.",
    (
        Key("name", Kind.NAME, "What the side is called.", True, example='"driver side"'),
        Key(
            "forward",
            Kind.CHOICE,
            "On which hand the front of the vehicle is, seen from outside.",
            otherwise="left, with a warning",
            choices=tuple(hand.value for hand in Hand),
        ),
        _size("post_width", "Face width of every post.", "2", required=False),
        Key(
            "posts",
            Kind.LENGTHS,
            "Face width of each post from the left, one fewer than bays.",
            above=0,
            most_items=MAX_BAYS,
        ),
        Key("rails", Kind.LENGTHS, "Heights of rail centre lines above the datum.", most_items=MAX_RAILS),
        Key("rail_width", Kind.LENGTH, "Face width of the rails.", otherwise="the widest post's", above=0),
        Key("raise", Kind.LENGTH, "How much the roof went up; part of the heights.", default="0", least=0),
        Key("cut_height", Kind.LENGTH, "Where the posts were cut, above the datum."),
        _size("overall", "From the first bay's left edge to the last one's right edge.", required=False),
        Key("bay", Kind.TABLES, "The openings from the left.", True, table=BAY, most_items=MAX_BAYS),
        Key("window", Kind.TABLES, "Windows in the side.", table=WINDOW, most_items=MAX_WINDOWS),
    ),
)

PATCH = Table(
    "[[patch]]",
    "patch",
    "A loose piece not tied to a bay.",
    (
        Key("name", Kind.NAME, "What the patch is called.", True, example='"roof hatch cover"'),
        _size("width", "Width, along the sheet's length when not turned.", "28"),
        _size("height", "Height.", "28"),
        _distance("corner_radius", "Radius of its corners.", "0", "0"),
        _count("quantity", "How many are needed.", MAX_PATCH_PIECES, default=1),
        Key("riveted", Kind.FLAG, "Is there a line of rivets along its edge?", default=False),
        *_not_yet("outline", _DRAWN_PATCH, Kind.TABLES),
        *_not_yet("drawing layer", _DRAWN_PATCH, Kind.TEXT),
    ),
)

COSTS = Table(
    "[costs]",
    "costs",
    "What the shop adds.",
    (
        _money("cut_per_sheet", "Money for cutting one sheet."),
        _money("delivery", "Money for bringing everything."),
        Key("tax", Kind.NUMBER, "Tax on everything, per cent.", default=0.0, least=0, most=100),
    ),
)

JOB = Table(
    "",
    "job",
    "A job for the planner: measured sides, loose pieces, and the sheets they may be cut from.",
    (
        Key("title", Kind.TEXT, "Heading of every document.", otherwise="the file's name"),
        Key(
            "units",
            Kind.CHOICE,
            "Units of bare numbers, and of what is printed.",
            default=Units.INCH.value,
            choices=tuple(units.value for units in Units),
        ),
        *(
            Key(table.noun, Kind.TABLE, table.doc, table=table)
            for table in (SKIN, CUTTING, SEAM, LAND, RIVETS)
        ),
        Key("stock", Kind.TABLES, STOCK.doc, True, table=STOCK, most_items=MAX_STOCKS),
        Key("side", Kind.TABLES, SIDE.doc, table=SIDE, most_items=MAX_BAYS),
        Key("patch", Kind.TABLES, PATCH.doc, table=PATCH, most_items=MAX_PATCH_PIECES),
        Key("costs", Kind.TABLE, COSTS.doc, table=COSTS),
        *_not_yet("fixed", _FIXED, Kind.TABLES),
        *_not_yet("bar", _BAR, Kind.TABLES),
        *_not_yet("bar_stock", _BAR_STOCK, Kind.TABLES),
    ),
)

ALL_TABLES = (JOB, SKIN, CUTTING, SEAM, LAND, RIVETS, PACK, STOCK, SIDE, BAY, WINDOW, PATCH, COSTS)
