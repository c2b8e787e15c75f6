"""The keys of the job file that are about the rest of the order: framing, sealant, paint, labour, the vehicle."""

from __future__ import annotations

from nesting.orderrules import CoatKind
from nesting.reading.keys import MAX_MONEY, Key, Kind, Table, count_key, distance_key, sheet_key

MAX_BARS = 400
MAX_BAR_PIECES = 10_000
MAX_BAR_STOCKS = 60
MAX_PAINTS = 20
MAX_HOURS = 1000

_SECTION = '"1x1 tube"'
_MASS = "in lb in an inch job, in kg in a metric one"

BAR = Table(
    "[[bar]]",
    "bar",
    "A piece of framing to cut from bars.",
    (
        Key("name", Kind.NAME, "What the piece is called.", True, example='"window frame"'),
        Key("section", Kind.NAME, "Section that it is cut from.", True, example=_SECTION),
        sheet_key("length", "Length of the piece.", "20"),
        count_key("quantity", "How many are needed.", MAX_BAR_PIECES, default=1),
    ),
)

BAR_STOCK = Table(
    "[[bar_stock]]",
    "bar_stock",
    "A length in which a section can be bought.",
    (
        Key("section", Kind.NAME, "Section, as the pieces name it.", True, example=_SECTION),
        sheet_key("length", "Length of one bar.", "240"),
        Key(
            "price",
            Kind.NUMBER,
            "Price of one bar; left out for all of a section, the fewest bars are taken.",
            least=0,
            most=MAX_MONEY,
        ),
        Key(
            "available",
            Kind.WHOLE,
            "How many can be had.",
            otherwise="as many as wanted",
            least=0,
            most=1e6,
        ),
        Key(
            "mass_per_length",
            Kind.NUMBER,
            "Its mass: lb for a foot in an inch job, kg for a metre in a metric one.",
            otherwise="not counted",
            above=0,
            most=1000,
        ),
    ),
)

FRAMING = Table(
    "[framing]",
    "framing",
    "How bars are cut, and the framing that follows from the body.",
    (
        distance_key("kerf", "Width that one cut through a bar removes.", "0", "0"),
        Key(
            "post_section",
            Kind.NAME,
            "Section of an extension for every cut post, as long as the raise.",
            otherwise="no post extensions",
        ),
        Key(
            "frame_section",
            Kind.NAME,
            "Section of a frame around every window.",
            otherwise="no window frames",
        ),
        Key(
            "frame_face",
            Kind.LENGTH,
            "Face width of the frames' section.",
            default="1",
            default_mm="25",
            above=0,
            most=300,
            outside="the face of a frame is at most 12 in (300 mm) wide; check number and unit",
        ),
        Key("end_posts", Kind.FLAG, "Extensions for both end posts of a side as well?", default=False),
    ),
)

SEALANT = Table(
    "[sealant]",
    "sealant",
    "The sealant in laps and under lands.",
    (
        Key(
            "bead",
            Kind.LENGTH,
            "Diameter of the bead.",
            default="1/4",
            default_mm="6",
            above=0,
            most=25.4,
            outside="a bead is at most 1 in (25 mm) thick; check number and unit",
        ),
        Key(
            "cartridge",
            Kind.NUMBER,
            "Volume of a cartridge in ml.",
            default=300.0,
            above=0,
            most=20_000,
            outside="is in ml, as 300",
        ),
        Key("price", Kind.NUMBER, "Price of a cartridge.", otherwise="no price", above=0, most=MAX_MONEY),
        Key("waste", Kind.NUMBER, "More than the beads hold, per cent.", default=10.0, least=0, most=100),
    ),
)

PAINT = Table(
    "[[paint]]",
    "paint",
    "A primer or a paint for the new skin.",
    (
        Key("name", Kind.NAME, "What it is called on the buy list.", True, example='"epoxy primer"'),
        Key(
            "kind",
            Kind.CHOICE,
            "primer (before laps are closed, both faces of a lap) or topcoat (after hanging).",
            default=CoatKind.TOPCOAT.value,
            choices=tuple(kind.value for kind in CoatKind),
        ),
        Key(
            "solids",
            Kind.NUMBER,
            "Solids by volume, per cent.",
            True,
            above=0,
            most=100,
            example="50",
        ),
        Key(
            "film",
            Kind.NUMBER,
            "Dry film of one coat: mil (1/1000 in) in an inch job, micrometres in a metric one.",
            True,
            above=0,
            most=1000,
            example="1.5",
        ),
        count_key("coats", "How many coats.", 20, default=1),
        Key(
            "transfer",
            Kind.NUMBER,
            "What of it reaches the metal, per cent: 25 to 40 sprayed, 65 by low pressure, 90 rolled.",
            default=65.0,
            above=0,
            most=100,
        ),
        Key("waste", Kind.NUMBER, "What stays in tins and hoses, per cent.", default=10.0, least=0, most=100),
        Key(
            "tin",
            Kind.NUMBER,
            "Volume of a tin: US gallons in an inch job, litres in a metric one.",
            default=1.0,
            above=0,
            most=1000,
        ),
        Key("price", Kind.NUMBER, "Price of a tin.", otherwise="no price", above=0, most=MAX_MONEY),
        Key("inside", Kind.FLAG, "On the inner face as well?", default=False),
    ),
)

VEHICLE = Table(
    "[vehicle]",
    "vehicle",
    "The vehicle on the scales.",
    (
        Key(
            "scale_weight",
            Kind.NUMBER,
            f"As weighed before the work, {_MASS}.",
            otherwise="not told",
            above=0,
            most=1e6,
        ),
        Key(
            "weight_rating",
            Kind.NUMBER,
            f"The most it may weigh, {_MASS}.",
            otherwise="not told",
            above=0,
            most=1e6,
        ),
    ),
)

LABOUR_KEYS = (
    Key(
        "labour_rate",
        Kind.NUMBER,
        "Money for an hour of work.",
        otherwise="no money",
        above=0,
        most=MAX_MONEY,
    ),
    *(
        Key(
            name,
            Kind.NUMBER,
            f"Hours of work for one {what}.",
            default=0.0,
            least=0,
            most=MAX_HOURS,
            outside=f"is in hours for one {what}",
        )
        for name, what in (("hours_per_seam", "seam"), ("hours_per_panel", "panel"))
    ),
)
"""Those of [costs]."""

ORDER_KEYS = (
    Key("bar", Kind.TABLES, BAR.doc, table=BAR, most_items=MAX_BARS),
    Key("bar_stock", Kind.TABLES, BAR_STOCK.doc, table=BAR_STOCK, most_items=MAX_BAR_STOCKS),
    Key("framing", Kind.TABLE, FRAMING.doc, table=FRAMING),
    Key("sealant", Kind.TABLE, SEALANT.doc, table=SEALANT),
    Key("paint", Kind.TABLES, PAINT.doc, table=PAINT, most_items=MAX_PAINTS),
    Key("vehicle", Kind.TABLE, VEHICLE.doc, table=VEHICLE),
)
"""Those at the top of the job file."""

ORDER_TABLES = (BAR, BAR_STOCK, FRAMING, SEALANT, PAINT, VEHICLE)
