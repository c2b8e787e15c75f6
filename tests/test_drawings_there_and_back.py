"""Outlines written as drawings are read back as they were, however their lines lie."""

from __future__ import annotations

import random
import tempfile
from itertools import pairwise
from math import atan, cos, degrees, sin, tau
from pathlib import Path

import ezdxf
import pytest
from ezdxf.layouts.layout import Modelspace
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from nesting.outline import Ring, edges, perimeter, reversed_ring, signed_area
from nesting.reading.chains import JOIN_MM, backwards, joined
from nesting.reading.outlinechecks import checked_ring
from tests.dxf_files import BAY_RING, one, polyline, saved


@st.composite
def outlines(draw: st.DrawFn) -> Ring:
    """Stars of straight and curved edges about a point, so that most are good outlines."""
    count = draw(st.integers(3, 8))
    turn = draw(st.floats(0, 1))
    points = []
    for i in range(count):
        angle = tau * (i + turn) / count
        far = draw(st.floats(200, 900))
        bulge = draw(st.sampled_from([0.0, 0.0, 0.1, -0.1, 0.4, 1.0, -0.3]))
        points.append((far * cos(angle), far * sin(angle), bulge))
    found = checked_ring(points)
    assume(not isinstance(found, list))
    assert not isinstance(found, list)
    return found


def same_place(found: Ring, wanted: Ring, near: float) -> None:
    """Both rings are the same once around, whichever corner comes first."""
    first = min(
        range(len(found)), key=lambda i: abs(found[i][0] - wanted[0][0]) + abs(found[i][1] - wanted[0][1])
    )
    for vertex, other in zip(found[first:] + found[:first], wanted, strict=True):
        assert vertex == pytest.approx(other, abs=near)


@settings(max_examples=15)
@given(outlines(), st.sampled_from([(1, 25.4), (4, 1.0), (5, 10.0)]))
def test_an_outline_written_as_a_polyline_is_read_back(ring: Ring, unit: tuple[int, float]) -> None:
    code, mm = unit
    with tempfile.TemporaryDirectory() as folder:
        points = [(x / mm, y / mm, bulge) for x, y, bulge in reversed_ring(ring)]
        path = saved(Path(folder), lambda space: polyline(space, points), code)
        same_place(one(path).ring, ring, 1e-9)


@settings(max_examples=15)
@given(outlines(), st.randoms(use_true_random=False))
def test_an_outline_written_as_lines_and_arcs_is_read_back(ring: Ring, order: random.Random) -> None:
    def build(space: Modelspace) -> None:
        pieces = list(edges(ring))
        order.shuffle(pieces)
        for start, end in pieces:
            if start[2]:
                arc = ezdxf.math.ConstructionArc.from_2p_angle(
                    start[:2], end[:2], abs(degrees(4 * atan(start[2]))), ccw=start[2] > 0
                )
                arc.add_to_layout(space)
            else:
                a, b = (start, end) if order.random() < 0.5 else (end, start)
                space.add_line(a[:2], b[:2])

    with tempfile.TemporaryDirectory() as folder:
        same_place(one(saved(Path(folder), build)).ring, ring, 1e-6)


@given(outlines(), st.randoms(use_true_random=False))
def test_strokes_join_to_their_outline_in_any_order(ring: Ring, order: random.Random) -> None:
    strokes = [(start, (end[0], end[1], 0.0)) for start, end in edges(ring)]
    strokes = [stroke if order.random() < 0.5 else backwards(stroke) for stroke in strokes]
    shaken = [
        tuple((x + order.uniform(-1, 1) * JOIN_MM / 3, y, bulge) for x, y, bulge in stroke)
        for stroke in strokes
    ]
    order.shuffle(shaken)
    found = joined(shaken)
    assert found.problems == ()
    (contour,) = found.contours
    assert len(contour) == len(ring)
    assert abs(signed_area(contour)) == pytest.approx(signed_area(ring), abs=JOIN_MM * perimeter(ring))


def test_a_stroke_of_no_length_is_left_out() -> None:
    square = (*BAY_RING, BAY_RING[0])
    strokes = [*pairwise(square), ((700.0, 0.0, 0.0), (700.0, 0.002, 0.0))]
    assert joined(strokes).contours == (BAY_RING,)
