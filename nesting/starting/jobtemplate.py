"""A job file to fill in: an example in every table, optional keys commented out with their usual values."""

from __future__ import annotations

from string import Template
from typing import Any

from nesting.job import Units
from nesting.starting.newjob import size_label

_VALUES: dict[Units, dict[str, Any]] = {
    Units.INCH: {
        "sheets": ((48, 96, 98.0), (48, 120, 128.0), (60, 120, 168.0)),
        "small": '"1/4"',
        "kerf": '"1/16"',
        "shear": 120,
        "edge": '"1/2"',
        "butt": '"1/16"',
        "spacing": '"9/16"',
        "per": "foot",
        "land": 1,
        "rivet": '"3/16"',
        "pitches": ('"1 1/2"', 2, 4),
        "post_metal": '"0.075"',
        "post": 2,
        "posts": '[2, 2, "2 1/2"]',
        "overall": 119,
        "width": '"28 1/4"',
        "height": '"39 1/2"',
        "four": ('"28 1/8"', '"28 1/4"', '"39 1/2"', '"39 7/16"', '"48 9/16"', '"48 7/16"'),
        "raised": 12,
        "cut_height": 14,
        "rail": 24,
        "window": (4, 12, 20, 18, 2),
        "patch": (28, 28, 3),
        "bars": (28, 120, 240),
        "bead": '"3/16"',
        "film": ("1.5", "mil"),
        "vehicle": (17850, 29800, "lb"),
        "lengths": '28 3/8, 28-3/8\\", 2\' 4 3/8\\" or 721mm',
    },
    Units.MILLIMETRE: {
        "sheets": ((1000, 2000, 55.0), (1250, 2500, 84.0), (1500, 3000, 121.0)),
        "small": 6,
        "kerf": "1.5",
        "shear": 3000,
        "edge": "12.5",
        "butt": "1.5",
        "spacing": "14.4",
        "per": "metre",
        "land": 25,
        "rivet": "4.8",
        "pitches": (40, 50, 100),
        "post_metal": 2,
        "post": 50,
        "posts": "[50, 50, 60]",
        "overall": 3022,
        "width": 718,
        "height": 1003,
        "four": (715, 718, 1003, 1001, 1234, 1230),
        "raised": 300,
        "cut_height": 355,
        "rail": 610,
        "window": (100, 300, 500, 450, 50),
        "patch": (700, 700, 75),
        "bars": (720, 3000, 6000),
        "bead": 5,
        "film": ("40", "micrometres"),
        "vehicle": (8100, 13500, "kg"),
        "lengths": "721, 721.5, 72.1 cm, 0.721 m or 28 3/8 in",
    },
}

_FORM = Template("""\
# A job file to fill in. Every number below is an example: put yours in its place.
# Lengths are written the way the tape reads, in quotes where they are more than a number: $lengths.
# Lines that begin with "# " and a key are left out; the value there is what is taken then, or an example.
# README.md explains every key. reskin check reads the file back to you.

title = "Driver side, four bays"
units = "$units"
# offcuts = []  # lists of offcuts on hand, such as ["earlier/offcuts.csv"]

# The sheet metal. Write thickness = "1.2 mm" in place of the gauge for metal that is sold by thickness.
[skin]
material = "galvannealed steel"
gauge = 18

# How parts are cut from a sheet.
[cutting]
method = "profile"  # profile (laser, plasma, waterjet), shear (every cut edge to edge) or hand
# kerf = $kerf  # width that one cut removes
# gap = $small  # least distance between two parts, kerf included
# edge_margin = $small  # least distance from a part to the sheet edge
# turn = "quarter"  # how parts may be turned on the sheet: none, half, quarter or any
# flip = false  # may a part be cut face down?
# shear_length = $shear  # longest single cut, shear only

# How two panels meet over a post, and what one seam is worth avoiding: rivets, sealant, an hour, a leak to come.
[seam]
cost = 12.0
# cost_per_length = 0.0  # money for a seam's length, per $per
# kind = "lap"  # lap (one sheet over the other) or butt (edge against edge)
# edge_distance = $edge  # rivet line to sheet edge
# rows = 1  # rows of rivets, 1 or 2
# row_spacing = $spacing  # between two rows
# butt_gap = $butt  # between the edges of a butt seam

# How far panels run past the opening at the outer edges of a side.
[land]
top = $land
bottom = $land
ends = $land

# The rivets.
[rivets]
# diameter = $rivet
# seam_pitch = $seam_pitch  # largest spacing along seams
# edge_pitch = $edge_pitch  # along outer edges
# post_pitch = $post_pitch  # on posts and rails that a panel crosses
# spare = 10  # more to buy than counted, per cent
# packs = [{ count = 100, price = 24.0 }, { count = 500, price = 98.0 }]  # boxes they come in
# post_thickness = $post_metal  # metal behind the skin that the rivet closes too

# Sheets that can be bought, one table for each size. Prices for all of them, or for none: then sheet area is saved.
$stock

# One face of the body seen square on from outside; more sides are written below it in the same way.
[[side]]
name = "driver side"
forward = "left"  # hand on which the front of the vehicle is
post_width = $post  # of every post; where they differ, posts = $posts instead, one fewer than bays
# overall = $overall  # left edge of the first bay to right edge of the last: checks the sum
# raise = $raised  # how much the roof went up; contained in the heights already
# cut_height = $cut_height  # where the posts were cut, above the level line
# rails = [$rail]  # heights of rail centre lines above the level line, where level seams may lie
# rail_width = $post  # face width of the rails

  # Bays from the left. count = 2 stands for two such bays side by side.
  [[side.bay]]
  width = $width
  height = $height
  count = 2

  # A bay that is not square: its four sides and both diagonals.
  [[side.bay]]
  top = $top
  bottom = $bottom
  left = $left
  right = $right
  diagonal_rising = $rising  # lower left to upper right
  diagonal_falling = $falling  # upper left to lower right

  [[side.bay]]
  width = $width
  height = $height
  # sill = 0  # its lower edge above the level line

# A window that stays or goes in: a hole in whichever panel lies there.
# [[side.window]]
# bay = 2
# from_left = $from_left  # from the bay's lower left corner
# from_bottom = $from_bottom
# width = $window_width
# height = $window_height
# corner_radius = $window_radius
# riveted = false  # a line of rivets around it?

# A loose piece, cut from what is left where it fits.
# [[patch]]
# name = "roof hatch cover"
# width = $patch_width
# height = $patch_height
# corner_radius = $patch_radius
# quantity = 2
# riveted = false

# What the shop adds.
# [costs]
# cut_per_sheet = 0.0
# delivery = 0.0
# tax = 0  # on everything, per cent
# labour_rate = 40.0  # money for an hour; told beside the buy list, not in its total
# hours_per_seam = 1.0
# hours_per_panel = 2.0

# Framing that follows from the body: an extension for every cut post, a frame around every window.
# [framing]
# kerf = $kerf  # width that one cut through a bar removes
# post_section = "post channel"
# frame_section = "1x1 tube"

# Other framing to cut from bars, one table for each piece.
# [[bar]]
# name = "sill"
# section = "1x1 tube"
# length = $bar_piece
# quantity = 4

# Lengths in which sections can be bought.
# [[bar_stock]]
# section = "post channel"
# length = $bar_short
# price = 98.0

# [[bar_stock]]
# section = "1x1 tube"
# length = $bar_long
# price = 39.0

# Sealant in laps and along edges.
# [sealant]
# bead = $bead
# cartridge = 300  # ml
# price = 11.0

# Paint for the new skin.
# [[paint]]
# name = "epoxy primer"
# kind = "primer"  # primer, or topcoat
# solids = 55  # by volume, per cent
# film = $film  # dry film of one coat, in $film_unit
# price = 68.0  # of a tin

# The vehicle as weighed before the work, and the most it may weigh, in $mass_unit.
# [vehicle]
# scale_weight = $weighed
# weight_rating = $rating
""")


def template_text(units: Units) -> str:
    """The form with examples in these units; it is a job file without mistakes as it stands."""
    values = dict(_VALUES[units])
    names = {
        "pitches": ("seam_pitch", "edge_pitch", "post_pitch"),
        "four": ("top", "bottom", "left", "right", "rising", "falling"),
        "window": ("from_left", "from_bottom", "window_width", "window_height", "window_radius"),
        "patch": ("patch_width", "patch_height", "patch_radius"),
        "bars": ("bar_piece", "bar_short", "bar_long"),
        "film": ("film", "film_unit"),
        "vehicle": ("weighed", "rating", "mass_unit"),
    }
    for group, members in names.items():
        values.update(zip(members, values[group], strict=True))
    sheets = [
        f'[[stock]]\nname = "{size_label(width, length, units)}"\nwidth = {width}\nlength = {length}\nprice = {price}'
        for width, length, price in values["sheets"]
    ]
    return _FORM.substitute(values, units=units.value, stock="\n\n".join(sheets))
