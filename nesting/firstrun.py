"""Every compiled loop run once on something tiny, so that no later run waits for the compiler.

Compiled code is kept beside the modules: this costs a minute or two once, a few seconds after that. It matters where
time is limited, since a limit counts what a loop takes to compile.
"""

from __future__ import annotations

from collections.abc import Iterator

from nesting.barcutting import cut_bars
from nesting.barstock import BarPiece, BarStock
from nesting.jobfile import job_from_text
from nesting.limits import SolveLimits
from nesting.packer import Piece, Sheet, pack_rectangles
from nesting.planning import plan_job
from nesting.shapepacker import pack_shapes
from nesting.shapes import ShapePiece
from nesting.strip import StripPart, place_on_strip

NO_HURRY = SolveLimits(time_limit=300.0)

BODY = """
title = "first run"
units = "mm"
[cutting]
method = "{method}"
gap = 6
[[stock]]
name = "large"
width = 1250
length = 2500
price = 90
[[stock]]
name = "small"
width = 1000
length = 2000
price = 62
[[side]]
name = "driver side"
forward = "left"
post_width = 50
  [[side.bay]]
  count = 5
  width = 710
  height = 900
{more}
[[patch]]
name = "cover"
width = 310
height = 270
quantity = 6
"""
SLOPED = """
  [[side.bay]]
  outline = [[200, 0], [700, 0], [700, 900], [0, 900]]
[[patch]]
name = "wedge"
outline = [[0, 0], [300, 0], [0, 200]]
quantity = 4
"""
WEDGE = ((0.0, 0.0, 0.0), (600.0, 0.0, 0.0), (600.0, 200.0, 0.0), (0.0, 400.0, 0.0))


def run_every_loop() -> Iterator[str]:
    """Runs them, and tells before each what it is about to run."""
    for method in ("profile", "shear"):
        yield f"sheets for a body, {method}"
        plan_job(job_from_text(BODY.format(method=method, more=""), "first run"), NO_HURRY)
    yield "sheets for true shapes"
    plan_job(job_from_text(BODY.format(method="profile", more=SLOPED), "first run"), NO_HURRY)
    yield "rectangles without waste"
    pieces = [piece for number in range(3) for piece in _cut_up(480, 240, depth=4, share=33 + 5 * number)]
    for edge_to_edge in (False, True):
        pack_rectangles([Sheet(480, 240)], pieces, edge_to_edge=edge_to_edge, limits=NO_HURRY)
        pack_rectangles([Sheet(500, 251)], pieces[:20], edge_to_edge=edge_to_edge, limits=NO_HURRY)
    yield "shapes on sheets and on a strip"
    pack_shapes(
        [Sheet(1250, 620, price=40.0)], [ShapePiece(WEDGE, quantity=4, flip=True)], gap=3, limits=NO_HURRY
    )
    pack_shapes([Sheet(600, 600)], [ShapePiece(WEDGE, quantity=4)], limits=NO_HURRY)
    place_on_strip(620, [StripPart([(x, y) for x, y, _ in WEDGE], 4, (0, 180))], limits=NO_HURRY, rounds=20)
    yield "bars"
    lengths = [BarPiece(f"{number}", "tube", 700 + 61 * number**2 % 997, 2) for number in range(20)]
    cut_bars(lengths, [BarStock("tube", 6000, 30.0), BarStock("tube", 4000, 21.0)], kerf=3.0, limits=NO_HURRY)


def _cut_up(length: int, width: int, depth: int, share: int) -> list[Piece]:
    """A sheet halved across its longer side again and again, in shares that differ, so that no two parts are alike."""
    if not depth:
        return [Piece(length, width)]
    if length < width:
        return [Piece(own.width, own.length) for own in _cut_up(width, length, depth, share)]
    left = length * share // 100
    return _cut_up(left, width, depth - 1, share + 7) + _cut_up(length - left, width, depth - 1, share + 11)
