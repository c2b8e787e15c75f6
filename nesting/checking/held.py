"""The plan check, rivets once more: metal behind each, every edge of a panel held, a line round each riveted window."""

from __future__ import annotations

import re
from collections.abc import Iterator
from math import hypot

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree
from shapely.geometry import LineString, Polygon, box
from shapely.geometry.base import BaseGeometry
from shapely.ops import unary_union

from nesting.checking.cover import window_ring
from nesting.checking.seams import backing_half
from nesting.checking.shapes import level_stretches, metal, traced
from nesting.checking.structure import Frame, frame_of
from nesting.job import Job
from nesting.plan import Fasteners, Panel, Plan

BESIDE = 0.05
"""mm by which a rivet may stand beside the edge of what is behind it."""

STEP = 10.0
"""mm between the places on an edge that are looked at."""

EXCUSED = 2.5
"""Pitches from a place to the nearest rivet where a warning says that rivets found no room."""

_EXCUSES = re.compile("left out|wider than the pitch")


def held_faults(job: Job, plan: Plan, fasteners: Fasteners) -> Iterator[str]:
    """Rivets with nothing behind them, edges without rivets, riveted windows without a line."""
    for side in job.sides:
        frame = frame_of(job, side, plan)
        yield from _behind_faults(job, plan, frame, fasteners)
        yield from _window_faults(job, plan, frame, fasteners)
        yield from _edge_faults(job, plan, frame, fasteners)
        yield from _rail_faults(job, plan, frame, fasteners)


def _behind_faults(job: Job, plan: Plan, frame: Frame, fasteners: Fasteners) -> Iterator[str]:
    """Rivets in front of an opening; those round a window go into its own frame."""
    open_air: BaseGeometry = unary_union([metal(opening.ring) for opening in frame.openings])
    open_air = open_air.difference(unary_union(list(_bars(job, plan, frame)))).buffer(-BESIDE)
    for line in fasteners.lines:
        if line.side != frame.side.name or line.kind in ("window", "patch") or not line.points:
            continue
        bare = shapely.contains(open_air, shapely.points(line.points))
        if bare.any():
            x, y = line.points[int(np.argmax(bare))]
            count = int(bare.sum())
            yield f"rivet line {line.where}: {count} rivets have nothing behind them, one at ({x:.2f}, {y:.2f})"


def _bars(job: Job, plan: Plan, frame: Frame) -> Iterator[BaseGeometry]:
    """Rails and backing strips, which run across the openings."""
    for height in frame.rails:
        half = backing_half(job, plan, frame, height)
        yield box(frame.bays[0].left, height - half, frame.bays[-1].right, height + half)


def _window_faults(job: Job, plan: Plan, frame: Frame, fasteners: Fasteners) -> Iterator[str]:
    lines = [line for line in fasteners.lines if line.kind == "window" and line.side == frame.side.name]
    for number, window in enumerate(frame.side.windows, start=1):
        hole = Polygon(traced(window_ring(frame, window), True))
        around = [
            line
            for line in lines
            if line.points
            and LineString([*line.points, line.points[0]]).distance(hole) <= 2 * job.seam.edge_distance
        ]
        if window.riveted and not around:
            yield f"side {frame.side.name!r}: window {number} in bay {window.bay} is riveted, and has no rivet line"


def _rail_faults(job: Job, plan: Plan, frame: Frame, fasteners: Fasteners) -> Iterator[str]:
    """Rails that a panel crosses without a line of rivets; a panel with a hole may have no room for one."""
    level = [line for line in fasteners.lines if line.kind == "rail" and line.points]
    rows = 2 * job.seam.row_spacing if job.seam.rows == 2 else 0.0
    least = 2 * job.seam.edge_distance + rows + 6 * job.rivets.diameter + job.rivets.post_pitch
    for panel in plan.panels:
        if panel.side != frame.side.name or panel.holes:
            continue
        for rail in range(panel.first_row, panel.last_row):
            y = frame.rails[rail - 1]
            if any(panel.name in line.panels and abs(line.points[0][1] - y) < BESIDE for line in level):
                continue
            reach = max((b - a for a, b in level_stretches(panel.outline, y)), default=0.0)
            if reach > least:
                yield f"panel {panel.name}: it has no line of rivets on rail {rail}"


def _edge_faults(job: Job, plan: Plan, frame: Frame, fasteners: Fasteners) -> Iterator[str]:
    """Panels with a place on their edge that no rivet is near to, though there is metal enough for one."""
    rules = job.rivets
    pitch = max(rules.seam_pitch, rules.edge_pitch, 3 * rules.diameter)
    # half a pitch along from the nearest rivet, and as much again for lines that meet at a corner
    most = hypot(job.seam.edge_distance, 0.75 * pitch)
    if any(
        warning.startswith(f"side {frame.side.name!r}") and _EXCUSES.search(warning)
        for warning in fasteners.warnings
    ):
        most = hypot(job.seam.edge_distance, EXCUSED * pitch)
    for panel in plan.panels:
        if panel.side != frame.side.name:
            continue
        own = [point for line in fasteners.lines if panel.name in line.panels for point in line.points]
        places = _riveted_places(panel, job.seam.edge_distance)
        if not own or not len(places):
            continue
        tree = STRtree(shapely.points(own))
        off = tree.query_nearest(places, return_distance=True, all_matches=False)[1]
        worst = int(np.argmax(off))
        if off[worst] > most:
            where = f"({shapely.get_x(places[worst]):.2f}, {shapely.get_y(places[worst]):.2f})"
            yield f"panel {panel.name}: its edge at {where} is {off[worst]:.2f} from the nearest rivet, not {most:.2f}"


def _riveted_places(panel: Panel, distance: float) -> NDArray[np.object_]:
    """Places along the edge of a panel that have room for a rivet at the edge distance beside them."""
    ring = traced(panel.outline, False)
    edge = LineString([*ring, ring[0]])
    places = shapely.line_interpolate_point(edge, np.arange(0.0, edge.length, STEP))
    room = metal(panel.outline, panel.holes).buffer(-distance - BESIDE, join_style="mitre", mitre_limit=20.0)
    found: NDArray[np.object_] = places[shapely.distance(room, places) <= distance + 3 * BESIDE]
    return found
