"""Job files as text, and what comes of reading them: a job, or its mistakes."""

from __future__ import annotations

import pytest

from nesting.job import Job
from nesting.jobfile import job_from_text
from shared.errors import JobMistakes, Mistake

EVERY_KEY = """\
title = "Body with a raised roof"
units = "in"

[skin]
material = "galvannealed steel"
gauge = 18

[cutting]
method = "shear"
kerf = "1/16"
gap = "1/8"
edge_margin = "3/16"
turn = "half"
flip = true
shear_length = "10'"

[seam]
kind = "lap"
edge_distance = "5/8"
rows = 2
row_spacing = "3/4"
butt_gap = "1/8"
cost = 12.0
cost_per_length = 3.048

[land]
top = "1 1/4"
bottom = 1
ends = "7/8"

[rivets]
diameter = "5/32"
seam_pitch = "1 1/2"
edge_pitch = 2.5
post_pitch = 5
spare = 12.5
packs = [ { count = 100, price = 24.0 }, { count = 500, price = 98 } ]
post_thickness = "2mm"

[[stock]]
name = "4x10"
width = 48
length = 120
price = 128.0
available = 6
on_hand = 2

[[stock]]
width = 60
length = "12 ft"
price = 205

[[side]]
name = "driver side"
forward = "right"
posts = [2, "2 1/2", 2]
raise = 12
cut_height = 20
rails = ["30", 24]
rail_width = "1 1/2"
overall = "119 1/2"

  [[side.bay]]
  width = "28 1/4"
  height = "39 1/2"
  count = 2

  [[side.bay]]
  width = "28 3/8"
  height = 36
  sill = 3

  [[side.bay]]
  width = 28
  height = "39 1/2"

  [[side.window]]
  bay = 3
  from_left = 4
  from_bottom = 12
  width = 20
  height = 18
  corner_radius = 2
  riveted = true

[[patch]]
name = "roof hatch cover"
width = 28
height = "27 1/2"
corner_radius = 3
quantity = 2
riveted = true

[[fixed]]
side = "driver side"
first_bay = 1
last_bay = 2
state = "decided"
name = "D7"

[[fixed]]
patch = "roof hatch cover"
copies = [2]
state = "cut"

[[fixed]]
side = "driver side"
first_bay = 4
strip = 12
state = "cut"
name = "lower strip"

[costs]
cut_per_sheet = 8.0
delivery = 60
tax = 6
"""

METRIC = """\
units = "mm"

[skin]
thickness = 1.2
material = "steel"

[seam]
cost_per_length = 5

[[stock]]
name = "standard"
width = 1250
length = 2500
price = 84.0

[[side]]
name = "passenger side"
forward = "right"
post_width = 50

[[side.bay]]
width = 715
height = "1003,5"
count = 4
"""

LEAST = """\
[[stock]]
width = 48
length = 96

[[patch]]
name = "lamp cover"
width = 6
height = 5
"""

EVERYTHING_WRONG = """\
title = 7
units = "cm"
gauge = 18

[skin]
material = "unobtainium"
gauge = 18

[cutting]
methd = "shear"
kerf = "28 3/8 ft"
gap = -1
flip = "no"
turn = "half "

[seam]
kind = "lap"
rows = 3
edge_distance = 2
cost = "12"
row_spacing = true

[rivets]
spare = 200
diameter = 4.8
post_pitch = inf
packs = [ { count = 0, price = 3 }, 5 ]

[land]
top = 1
bottom = 2
ends = 1979-05-27

[costs]
tax = nan

[[stock]]
name = "a"
width = 0
length = 120
price = 0

[[stock]]
name = "A"
width = 48
length = "28 1/0"
available = -1

[[side]]
name = "driver side"
forward = "up"
posts = [2, "x"]
rails = [20, "20 in", 90]
overall = 400

  [[side.bay]]
  width = 28
  height = "39,1,2"
  count = 2

  [[side.bay]]
  top = 28
  bottom = 28
  diagonal_rising = 40

  [[side.bay]]
  width = "28 3/8"
  height = 40

  [[side.window]]
  bay = 9
  from_left = 1
  from_bottom = 2
  width = 3
  height = 3

  [[side.window]]
  bay = 4
  from_left = 20
  from_bottom = 2
  width = 30
  height = 3
  corner_radius = 2

  [[side.window]]
  bay = 4
  from_left = 20
  from_bottom = 4
  width = 4
  height = 4

[[patch]]
name = "hatch"
width = 30
height = 20
quantity = 0
corner_radius = 11

[[patch]]
height = 20

[[bar]]
name = "window frame"
"""

WRONG_PLACES = (
    "title",
    "units",
    "gauge",
    "skin, material",
    "cutting, methd",
    "cutting, kerf",
    "cutting, gap",
    "cutting, flip",
    "cutting, turn",
    "seam, rows",
    "seam, cost",
    "seam, row_spacing",
    "rivets, spare",
    "rivets, diameter",
    "rivets, post_pitch",
    "rivets, pack 1, count",
    "rivets, pack 2",
    "land, top",
    "land, ends",
    "costs, tax",
    "stock 'a', width",
    "stock 'a', price",
    "stock 'A', name",
    "stock 'A', length",
    "stock 'A', price",
    "stock 'A', available",
    "side 'driver side', forward",
    "side 'driver side', posts",
    "side 'driver side', posts, item 2",
    "side 'driver side', rails, item 2",
    "side 'driver side', bays 1 to 2 ([[side.bay]] entry 1), height",
    "side 'driver side', bay 3 ([[side.bay]] entry 2), left",
    "side 'driver side', bay 3 ([[side.bay]] entry 2), right",
    "side 'driver side', window 1, bay",
    "side 'driver side', window 2, width",
    "side 'driver side', window 2, corner_radius",
    "side 'driver side', window 3",
    "patch 'hatch', quantity",
    "patch 'hatch', corner_radius",
    "patch 2, name",
    "patch 2, width",
    "bar 'window frame', section",
    "bar 'window frame', length",
)
"""Where the mistakes of `EVERYTHING_WRONG` are; its third rail may yet cross a bay of unknown height."""

SIDE = """
[[stock]]
name = "4x10"
width = 48
length = 120
price = 128

[[side]]
name = "left"
forward = "left"
post_width = 2
"""
BAYS = """
[[side.bay]]
width = 28
height = 40
count = 3
"""


def job(text: str) -> Job:
    return job_from_text(text, "test.toml")


def mistakes(text: str) -> tuple[Mistake, ...]:
    with pytest.raises(JobMistakes) as found:
        job(text)
    return found.value.mistakes


def the_mistake(text: str) -> Mistake:
    """The only mistake in a text."""
    (only,) = mistakes(text)
    return only


def window(bay: object = 2, left: object = 4, bottom: object = 12, width: object = 20, more: str = "") -> str:
    return (
        f"[[side.window]]\nbay = {bay}\nfrom_left = {left}\nfrom_bottom = {bottom}\n"
        f"width = {width}\nheight = 18\n{more}\n"
    )
