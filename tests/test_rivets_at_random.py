"""Rivets held to the rules on walls drawn at random."""

from __future__ import annotations

from itertools import pairwise
from math import dist

from hypothesis import given, settings
from hypothesis import strategies as st
from shapely import STRtree, points
from shapely.geometry import Point as Spot

from nesting.job import RivetRules, SeamKind, SeamRules, Window
from nesting.outline import as_polygon
from tests.riveted_walls import Wall, every_rivet, mirrored_wall, on_wall, wall


@st.composite
def walls(draw: st.DrawFn) -> Wall:
    """Walls of ordinary size: one or two rows, laps or butts, a rail, windows well inside their bays."""
    columns = draw(st.lists(st.lists(st.integers(350, 900), min_size=1, max_size=3), min_size=1, max_size=4))
    height = draw(st.integers(500, 1100))
    rail = draw(st.none() | st.integers(150, height - 150))
    rows = draw(st.sampled_from([1, 1, 2]))
    kind = draw(st.sampled_from([SeamKind.LAP, SeamKind.LAP, SeamKind.BUTT]))
    flat = [width for column in columns for width in column]
    low = 60 if rail is None else rail + 50
    windows = []
    for bay, width in enumerate(flat, start=1):
        if height - low > 150 and draw(st.booleans()):
            size = width - 160, height - low - 60
            windows.append(
                Window(bay, 80.0, low, *size, draw(st.sampled_from([0.0, 20.0])), riveted=draw(st.booleans()))
            )
    return wall(
        columns,
        height,
        rail=rail,
        split=[rail is not None and draw(st.booleans()) for _ in columns],
        rules=SeamRules(kind, 15.0, rows=rows, row_spacing=15.0 if rows == 2 else 0.0, butt_gap=2.0),
        rivets=RivetRules(
            diameter=5.0,
            seam_pitch=draw(st.integers(32, 60)),
            edge_pitch=draw(st.integers(32, 90)),
            post_pitch=draw(st.integers(60, 150)),
        ),
        windows=tuple(windows),
    )


RANDOMLY = settings(deadline=None, max_examples=40)


@given(walls())
@RANDOMLY
def test_rivets_on_a_line_are_never_further_apart_than_its_pitch(made: Wall) -> None:
    rules = made.job.rivets
    asked = {"seam": rules.seam_pitch, "post": rules.post_pitch, "rail": rules.post_pitch}
    for line in on_wall(made).lines:
        widest = max((dist(a, b) for a, b in pairwise(line.points)), default=0.0)
        assert widest <= asked.get(line.kind, rules.edge_pitch) + 1e-5
        assert widest <= line.pitch + 1e-5


@given(walls())
@RANDOMLY
def test_no_two_rivets_are_nearer_than_three_diameters(made: Wall) -> None:
    cloud = points(sorted(every_rivet(on_wall(made))))
    pairs = STRtree(cloud).query(cloud, predicate="dwithin", distance=15 - 1e-5).T
    assert [pair for pair in pairs.tolist() if pair[0] < pair[1]] == []


@given(walls())
@RANDOMLY
def test_every_rivet_keeps_the_edge_distance_in_each_panel_it_holds(made: Wall) -> None:
    sheets = {each.name: as_polygon(each.outline, each.holes) for each in made.panels}
    for line in on_wall(made).lines:
        for name in line.panels:
            for point in line.points:
                assert sheets[name].contains(Spot(point))
                # rivets round a window's corner stand on chords of the curve
                assert sheets[name].boundary.distance(Spot(point)) >= 15 - 0.02


@given(walls())
@RANDOMLY
def test_every_physical_rivet_is_counted_once(made: Wall) -> None:
    fasteners = on_wall(made)
    assert fasteners.total == sum(line.counted for line in fasteners.lines) == len(every_rivet(fasteners))
    held = {each.panel: each for each in fasteners.panels}
    assert set(held) == {each.name for each in made.panels}
    assert all(each.shared <= each.rivets for each in fasteners.panels)


@given(walls())
@RANDOMLY
def test_every_rivet_has_a_length(made: Wall) -> None:
    fasteners = on_wall(made)
    assert sum(each.rivets for each in fasteners.lengths) == fasteners.total
    closed = [grip for line in fasteners.lines for grip in line.grips]
    assert min(each.least for each in fasteners.lengths) == min(closed)
    assert max(each.most for each in fasteners.lengths) == max(closed)


@given(walls())
@RANDOMLY
def test_a_mirrored_wall_takes_the_same_rivets(made: Wall) -> None:
    assert on_wall(made).total == on_wall(mirrored_wall(made)).total


@given(walls())
@settings(deadline=None, max_examples=15)
def test_the_same_wall_gives_the_same_rivets(made: Wall) -> None:
    assert on_wall(made) == on_wall(made)
