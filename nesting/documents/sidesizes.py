"""What stands around a side: dimensions, bay numbers, heights, arrows, and which panel lies over which."""

from __future__ import annotations

from collections.abc import Sequence

from nesting.documents.dimensions import arrow, fitted, level_dimension, stroke, upright_dimension
from nesting.documents.drawing import Label, Layer, Path, one_line
from nesting.documents.lettering import text_width
from nesting.job import Hand, SeamKind, Side, Units
from nesting.outline import Box
from nesting.plan import Seam
from nesting.skin.openings import Opening
from shared.units import format_length


def side_sizes(
    side: Side,
    openings: Sequence[Opening],
    levels: Sequence[tuple[str, float, str]],
    skin: Box,
    units: Units,
    letter: float,
) -> tuple[list[Path], list[Label]]:
    """Bay numbers and widths along the foot, the openings and the skin overall, and the heights.

    ``levels`` are rails and backing strips (what to call one, height of its centre line in mm, a note).
    """
    unit = units.value
    x0, y0, x1, y1 = skin
    row = 2.6 * letter
    paths: list[Path] = []
    labels: list[Label] = []
    feet = [(o.origin[0], o.origin[0] + bay.width) for o, bay in zip(openings, side.bays, strict=True)]
    for opening, (left, right) in zip(openings, feet, strict=True):
        text = f"bay {opening.bay}"
        size = fitted(text, 0.9 * letter, right - left)
        labels.append(Label((left + right) / 2, y0 - 1.1 * letter, text, size, Layer.DIMENSION))
        width = format_length(right - left, unit)
        lines, label = level_dimension(left, right, y0 - row, width, letter, row)
        paths += lines
        labels.append(label)
    spans = ((feet[0][0], feet[-1][1], "openings"), (x0, x1, "skin"))
    for step, (left, right, name) in enumerate(spans, start=2):
        text = f"{name} {format_length(right - left, unit)} {unit}"
        lines, label = level_dimension(left, right, y0 - step * row, text, letter, step * row)
        paths += lines
        labels.append(label)
    lines, label = upright_dimension(y0, y1, x0 - row, f"skin {format_length(y1 - y0, unit)}", letter, row)
    paths += lines
    labels.append(label)
    return _heights(levels, x1, unit, letter, paths, labels)


def _heights(
    levels: Sequence[tuple[str, float, str]],
    x: float,
    unit: str,
    letter: float,
    paths: Sequence[Path],
    labels: Sequence[Label],
) -> tuple[list[Path], list[Label]]:
    """The levels named right of the side, moved apart where they lie close."""
    all_paths, all_labels = list(paths), list(labels)
    lowest = float("-inf")
    for name, height, note in sorted(levels, key=lambda level: level[1]):
        text = f"{name} at {format_length(height, unit)}{note}"
        y = max(height, lowest + 1.5 * letter)
        lowest = y
        all_paths.append(stroke([(x + 0.4 * letter, height), (x + 1.4 * letter, y)]))
        wide = text_width(text, letter)
        all_labels.append(Label(x + 1.9 * letter + wide / 2, y, text, letter, Layer.DIMENSION))
    return all_paths, all_labels


def side_arrows(forward: Hand, skin: Box, letter: float) -> tuple[list[Path], list[Label]]:
    """Over the side: an arrow to the front of the vehicle at its own hand, and one that points up."""
    x0, _, x1, y1 = skin
    y = y1 + 3.4 * letter
    left = forward is Hand.LEFT
    text = "FWD (front of vehicle)"
    length = 5 * letter
    start = x0 + length if left else x1 - length
    along = (-1.0, 0.0) if left else (1.0, 0.0)
    middle = start - along[0] * (0.8 * letter + text_width(text, letter) / 2)
    paths = [*arrow(start, y, along, length, Layer.LABEL)]
    labels = [Label(middle, y, text, letter)]
    up_x = (x1 - letter) if left else (x0 + letter)
    paths += arrow(up_x, y1 + 2.4 * letter, (0.0, 1.0), 2.6 * letter, Layer.LABEL)
    labels.append(Label(up_x, y1 + 5.9 * letter, "UP", letter))
    return paths, labels


def lap_words(seams: Sequence[Seam], kind: SeamKind, skin: Box, letter: float) -> list[Label]:
    """Above every post with a lap: which panel lies over which, from the bottom up."""
    if kind is SeamKind.BUTT:
        return []
    posts: dict[float, list[Seam]] = {}
    for seam in seams:
        if seam.after_bay is not None:
            posts.setdefault(seam.start[0], []).append(seam)
    xs = sorted(posts)
    labels = []
    for x in xs:
        stack = sorted(posts[x], key=lambda seam: seam.start[1])
        text = ", ".join(f"{one_line(seam.over)} over {one_line(seam.under)}" for seam in stack)
        room = 2 * min([x - skin[0], skin[2] - x, *(abs(x - other) / 2 for other in xs if other != x)])
        size = fitted(text, 0.9 * letter, room)
        labels.append(Label(x, skin[3] + 1.1 * letter, text, size, about=stack[0].over))
    return labels
