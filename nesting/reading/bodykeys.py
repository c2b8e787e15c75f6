"""Keys of the job file that tell of the body: sides, bays, windows, patches, and what of them is decided already."""

from __future__ import annotations

from nesting.job import FixedState, Hand
from nesting.reading.keys import (
    MAX_BAYS,
    MAX_CORNERS,
    MAX_HOLES,
    MAX_PATCH_PIECES,
    MAX_RAILS,
    MAX_WINDOWS,
    Key,
    Kind,
    Table,
    count_key,
    distance_key,
    drawing_keys,
    size_key,
)

BAY = Table(
    "[[side.bay]]",
    "bay",
    "An opening between two posts, from the left as seen from outside.",
    (
        size_key("width", "Width of the opening, a rectangle.", required=False),
        size_key("height", "Height of the opening, a rectangle.", "39 1/2", required=False),
        size_key("top", "Upper side of a four-sided opening.", "28", required=False),
        size_key("bottom", "Lower side of a four-sided opening.", required=False),
        size_key("left", "Left side of a four-sided opening.", "39 1/2", required=False),
        size_key("right", "Right side of a four-sided opening.", "39", required=False),
        size_key(
            "diagonal_rising", "From the lower left to the upper right corner.", "48 3/8", required=False
        ),
        size_key(
            "diagonal_falling", "From the upper left to the lower right corner.", "48 1/2", required=False
        ),
        Key(
            "outline",
            Kind.OUTLINE,
            "Corners of a drawn opening; a third number is the bulge of the edge that starts there.",
            most_items=MAX_CORNERS,
            example="[[0, 0], [30, 0], [30, 36], [18, 39.5], [0, 39.5]]",
        ),
        *drawing_keys("the opening"),
        Key("sill", Kind.LENGTH, "Height of its lower edge above the datum.", default="0", default_mm="0"),
        count_key("count", "How many such bays stand side by side.", MAX_BAYS, default=1),
    ),
    repeats="count",
)

WINDOW = Table(
    "[[side.window]]",
    "window",
    "A window that stays or goes in: a hole in whichever panel lies there.",
    (
        count_key("bay", "Bay it lies in, counted from the left.", MAX_BAYS, required=True),
        Key("from_left", Kind.LENGTH, "From the bay's left edge.", True, least=0, example="4"),
        Key("from_bottom", Kind.LENGTH, "From the bay's lower edge.", True, least=0, example="12"),
        size_key("width", "Width of the hole.", "20"),
        size_key("height", "Height of the hole.", "18"),
        distance_key("corner_radius", "Radius of its corners.", "0", "0"),
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
        size_key("post_width", "Face width of every post.", "2", required=False),
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
        size_key("overall", "From the first bay's left edge to the last one's right edge.", required=False),
        Key("bay", Kind.TABLES, "The openings from the left.", table=BAY, most_items=MAX_BAYS),
        *drawing_keys("all openings of the side as they stand; then there are no bays and posts to write"),
        Key("window", Kind.TABLES, "Windows in the side.", table=WINDOW, most_items=MAX_WINDOWS),
    ),
)

PATCH = Table(
    "[[patch]]",
    "patch",
    "A loose piece not tied to a bay.",
    (
        Key("name", Kind.NAME, "What the patch is called.", True, example='"roof hatch cover"'),
        size_key("width", "Width, along the sheet's length when not turned.", "28", required=False),
        size_key("height", "Height.", "28", required=False),
        distance_key("corner_radius", "Radius of its corners.", "0", "0"),
        Key(
            "outline",
            Kind.OUTLINE,
            "Corners of a patch of any shape; a third number is the bulge of the edge that starts there.",
            most_items=MAX_CORNERS,
            example="[[0, 0], [12, 0], [6, 10]]",
        ),
        Key("holes", Kind.OUTLINES, "Holes in it, each an outline of its own.", most_items=MAX_HOLES),
        *drawing_keys("the patch, with its holes"),
        count_key("quantity", "How many are needed.", MAX_PATCH_PIECES, default=1),
        Key("riveted", Kind.FLAG, "Is there a line of rivets along its edge?", default=False),
    ),
)

FIXED = Table(
    "[[fixed]]",
    "fixed",
    "What is decided already: a panel, copies of a patch, or backing strips; the rest is planned around it.",
    (
        Key("side", Kind.NAME, "Side of a panel or of backing strips.", otherwise="a patch is meant"),
        count_key("first_bay", "First bay that it covers, counted from the left.", MAX_BAYS),
        count_key("last_bay", "Last bay that it covers.", MAX_BAYS),
        Key("from_rail", Kind.LENGTH, "Height of the rail at its lower edge.", otherwise="the side's edge"),
        Key("to_rail", Kind.LENGTH, "Height of the rail at its upper edge.", otherwise="the side's edge"),
        Key(
            "strip", Kind.LENGTH, "Height of backing strips, one for each bay.", otherwise="a panel is meant"
        ),
        Key("patch", Kind.NAME, "Name of a patch that is cut.", otherwise="a panel is meant"),
        count_key("quantity", "How many copies of the patch are cut.", MAX_PATCH_PIECES, default=1),
        Key(
            "copies",
            Kind.WHOLES,
            "Which copies of the patch are cut: 2 for the one named #2.",
            otherwise="the first ones",
            least=1,
            most=MAX_PATCH_PIECES,
            most_items=MAX_PATCH_PIECES,
        ),
        Key(
            "state",
            Kind.CHOICE,
            "cut: there already, no metal needed; decided: still to be cut just so.",
            True,
            choices=tuple(state.value for state in FixedState),
            example='"cut"',
        ),
        Key("name", Kind.NAME, "Name that the panel or strip keeps.", otherwise="a free one"),
    ),
)
