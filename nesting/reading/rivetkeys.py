"""The keys of the job file that are about rivets: sizes and pitches, boxes, the table of lengths, strength."""

from __future__ import annotations

from nesting.reading.keys import MAX_MONEY, MAX_PACKS, Key, Kind, Table, count_key, pitch_key
from shared.rivettables import RIVET_MATERIALS

PACK = Table(
    "rivets.packs",
    "pack",
    "A box of rivets.",
    (
        count_key("count", "Rivets in a box.", 1_000_000, required=True),
        Key("price", Kind.NUMBER, "Price of a box.", True, above=0, most=MAX_MONEY, example="24.0"),
        Key(
            "length",
            Kind.LENGTH,
            "Length of the rivets in it, as in the table of lengths.",
            otherwise="boxes are for all lengths together",
            above=0,
            most=100,
            outside="rivets are at most 4 in (100 mm) long; check number and unit",
        ),
    ),
)

RIVET_LENGTH = Table(
    "rivets.lengths",
    "length",
    "A rivet length and the thickness that it closes, from the maker's table.",
    (
        Key(
            "grip_max",
            Kind.LENGTH,
            "Greatest thickness of metal that it closes.",
            True,
            above=0,
            most=100,
            outside="a rivet closes at most 4 in (100 mm); check number and unit",
            example='"0.250"',
        ),
        Key(
            "length",
            Kind.LENGTH,
            "Length of the rivet's body.",
            True,
            above=0,
            most=120,
            outside="rivets are at most 5 in (120 mm) long; check number and unit",
            example='"0.402"',
        ),
        Key(
            "grip_min",
            Kind.LENGTH,
            "Least thickness that it closes.",
            otherwise="the grip_max before it, 0 for the first",
            least=0,
        ),
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
        pitch_key("seam_pitch", "Pitch along seams, at most.", "1 1/2", "40"),
        pitch_key("edge_pitch", "Pitch along outer edges, at most.", "2", "50"),
        pitch_key("post_pitch", "Pitch on posts and rails under a panel, at most.", "4", "100"),
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
        Key(
            "lengths",
            Kind.TABLES,
            "Lengths to choose from and what they close.",
            otherwise="a built-in table by diameter",
            table=RIVET_LENGTH,
            most_items=MAX_PACKS,
            example='[{ grip_max = "0.250", length = "0.402" }]',
        ),
        Key(
            "material",
            Kind.CHOICE,
            "What the rivet's body is of; steel ones are zinc-plated.",
            otherwise="steel is taken for strength, and nothing said of metals side by side",
            choices=RIVET_MATERIALS,
        ),
        Key(
            "shear_strength",
            Kind.NUMBER,
            "Load that shears one rivet, from its data sheet: lbf in an inch job, N in a metric one.",
            otherwise="from memory of standards, by material and diameter",
            above=0,
            most=100_000,
            outside="the load on one rivet is in lbf in an inch job, in N in a metric one",
        ),
    ),
)
