"""Openings with four corners, and what a tape reads at them."""

from __future__ import annotations

from math import dist

from hypothesis import assume
from hypothesis import strategies as st

from nesting.readings import SPANS, Corners, TapeReadings, length_of
from nesting.taping.accuracy import reading_error
from nesting.taping.quadrilaterals import is_convex, on_its_lower_edge

INCH = 25.4
SQUARE = TapeReadings(400, 400, 300, 300, 500, 500, units="mm")
"""Diagonals of 500 by the 3-4-5 triangle."""


def readings_of(corners: Corners, units: str = "in") -> TapeReadings:
    """What a perfect tape would read."""
    return TapeReadings(**{key: length_of(key, corners) for key in SPANS}, units=units)


def changed(readings: TapeReadings, key: str, by: float) -> TapeReadings:
    return TapeReadings(**{**readings.lengths(), key: readings.lengths()[key] + by}, units=readings.units)


def corners_apart(one: Corners, other: Corners) -> float:
    return max(dist(a, b) for a, b in zip(one, other, strict=True))


@st.composite
def convex_shapes(draw: st.DrawFn) -> Corners:
    """Any convex opening on its lower edge, 50 mm to 3 m."""
    x, y = st.floats(50, 1400), st.floats(50, 1400)
    drawn = (
        (-draw(x), -draw(y)),
        (draw(x), -draw(y)),
        (draw(x), draw(y)),
        (-draw(x), draw(y)),
    )
    assume(is_convex(drawn))
    return on_its_lower_edge(drawn)


@st.composite
def even_bays(draw: st.DrawFn, off: float = 4.0) -> Corners:
    """A bay as builders make them: each upper corner within ``off`` mm of where a rectangle has it."""
    width, height = draw(st.floats(20, 40)) * INCH, draw(st.floats(24, 60)) * INCH
    a, b, c, d = (draw(st.floats(-off, off)) for _ in range(4))
    return (0.0, 0.0), (width, 0.0), (width + a, height + b), (c, height + d)


@st.composite
def taped(draw: st.DrawFn, bays: st.SearchStrategy[Corners], share: float) -> TapeReadings:
    """A bay read with up to that share of the largest error in every reading."""
    exact = readings_of(draw(bays))
    for key, length in exact.lengths().items():
        exact = changed(exact, key, draw(st.floats(-share, share)) * reading_error(length, exact.units))
    return exact
