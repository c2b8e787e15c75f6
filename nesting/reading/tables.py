"""Every key of the job file, once: what it is called, what may stand there, and what it means.

The reader, the suggestion for a misspelt key and the JSON Schema all come from these tables.  To add a key,
add a row here (in `bodykeys` for what belongs to the body, in `rivetkeys` for rivets,
in `orderkeys` for the rest of the order) and read it in `nesting.jobfile`, `rivets` or `order`.
"""

from __future__ import annotations

from nesting.job import CutMethod, SeamKind, Turn, Units
from nesting.reading.bodykeys import BAY, FIXED, PATCH, SIDE, WINDOW
from nesting.reading.keys import (
    MAX_BAYS,
    MAX_FIXED,
    MAX_MONEY,
    MAX_OFFCUT_LISTS,
    MAX_PATCH_PIECES,
    MAX_STOCKS,
    Key,
    Kind,
    Table,
    distance_key,
    money_key,
    sheet_key,
)
from nesting.reading.orderkeys import LABOUR_KEYS, ORDER_KEYS, ORDER_TABLES
from nesting.reading.rivetkeys import PACK, RIVET_LENGTH, RIVETS

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
        *(
            Key(
                name,
                Kind.NUMBER,
                f"{word} strength of the sheet, for information: ksi in an inch job, MPa in a metric one.",
                otherwise="usual for the material",
                above=0,
                most=3000,
                outside="strength is in ksi in an inch job, as 45, and in MPa in a metric one, as 310",
            )
            for name, word in (("tensile_strength", "Tensile"), ("yield_strength", "Yield"))
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
        distance_key("kerf", "Width that one cut removes.", "0", "0"),
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
        distance_key("butt_gap", "Between the edges of a butt seam.", "1/16", "1.5"),
        money_key("cost", "Money for one seam: rivets, sealant, labour."),
        money_key("cost_per_length", "Money for a seam's length, per foot or per metre."),
    ),
)

LAND = Table(
    "[land]",
    "land",
    "How far panels run past the opening at the outer edges of a side.",
    tuple(distance_key(edge, f"At the {edge}.", "1", "25") for edge in ("top", "bottom", "ends")),
)

STOCK = Table(
    "[[stock]]",
    "stock",
    "A sheet size that can be bought or is on hand.",
    (
        Key("name", Kind.NAME, "What the sheet is called.", otherwise="width x length"),
        sheet_key("width", "Width of the sheet.", "48"),
        sheet_key("length", "Length of the sheet.", "120"),
        Key(
            "price",
            Kind.NUMBER,
            "Price of one sheet to buy; left out for all, area is saved.",
            least=0,
            most=MAX_MONEY,
        ),
        Key(
            "available",
            Kind.WHOLE,
            "How many can be bought.",
            otherwise="as many as wanted",
            least=0,
            most=1e6,
        ),
        Key("on_hand", Kind.WHOLE, "How many are there already.", default=0, least=0, most=1e6),
    ),
)

COSTS = Table(
    "[costs]",
    "costs",
    "What the shop adds.",
    (
        money_key("cut_per_sheet", "Money for cutting one sheet."),
        money_key("delivery", "Money for bringing everything."),
        Key("tax", Kind.NUMBER, "Tax on everything, per cent.", default=0.0, least=0, most=100),
        *LABOUR_KEYS,
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
        Key("fixed", Kind.TABLES, FIXED.doc, table=FIXED, most_items=MAX_FIXED),
        Key(
            "offcuts",
            Kind.TEXTS,
            "Lists of offcuts on hand (offcuts.csv of earlier plans), looked for beside the job file.",
            most_items=MAX_OFFCUT_LISTS,
            example='["earlier/offcuts.csv"]',
        ),
        *ORDER_KEYS,
    ),
)

ALL_TABLES = (
    JOB,
    SKIN,
    CUTTING,
    SEAM,
    LAND,
    RIVETS,
    PACK,
    RIVET_LENGTH,
    STOCK,
    SIDE,
    BAY,
    WINDOW,
    PATCH,
    FIXED,
    COSTS,
    *ORDER_TABLES,
)
