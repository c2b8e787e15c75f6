"""The neutral drawing: lines, outlines, dots and words in millimetres, which every writer only translates."""

from __future__ import annotations

import unicodedata
from dataclasses import dataclass
from enum import Enum

from nesting.outline import Box, Ring


class Layer(Enum):
    """What a line is for; writers choose width, dash and colour by it."""

    SHEET = "SHEET"
    CUT = "CUT"
    MARK = "MARK"
    DRILL = "DRILL"
    LABEL = "LABEL"
    OPENING = "OPENING"
    STRUCTURE = "STRUCTURE"
    PANEL = "PANEL"
    UNDERLAP = "UNDERLAP"
    SEAM = "SEAM"
    RIVET = "RIVET"
    DIMENSION = "DIMENSION"
    OFFCUT = "OFFCUT"
    SHEAR = "SHEAR"
    """Where the shear cuts, edge to edge of the piece, with the order of the cuts."""


class Anchor(Enum):
    """Which point of a label lies at its position; the height is centred on it."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True)
class Path:
    """A line through vertices (x, y, bulge); ``about`` names what it belongs to (a part, a panel, a seam)."""

    vertices: Ring
    closed: bool
    layer: Layer
    about: str = ""

    def moved(self, dx: float, dy: float) -> Path:
        """The line shifted."""
        # written out: a sheet of small parts asks for this a million times, and `replace` is slow
        vertices = tuple((x + dx, y + dy, b) for x, y, b in self.vertices)
        return Path(vertices, self.closed, self.layer, self.about)


@dataclass(frozen=True)
class Dot:
    """A round mark or hole."""

    x: float
    y: float
    diameter: float
    layer: Layer
    about: str = ""


@dataclass(frozen=True)
class Label:
    """Words: ``height`` is the cap height in drawing millimetres, ``turn`` in degrees counter-clockwise."""

    x: float
    y: float
    text: str
    height: float
    layer: Layer = Layer.LABEL
    anchor: Anchor = Anchor.MIDDLE
    turn: float = 0.0
    about: str = ""

    def moved(self, dx: float, dy: float) -> Label:
        """The words shifted; written out as in `Path.moved`."""
        x, y = self.x + dx, self.y + dy
        return Label(x, y, self.text, self.height, self.layer, self.anchor, self.turn, self.about)


@dataclass(frozen=True)
class Drawing:
    """One view at full size: ``extents`` is the least x, y and greatest x, y of all that is drawn."""

    name: str
    title: str
    extents: Box
    paths: tuple[Path, ...] = ()
    dots: tuple[Dot, ...] = ()
    labels: tuple[Label, ...] = ()


def one_line(text: str) -> str:
    """Words of a user made safe for a single line of any document.

    Control characters, line ends, direction marks and everything that is no character become blanks.
    """
    kept = "".join(" " if unicodedata.category(c) in _UNPRINTABLE else c for c in text)
    return " ".join(kept.split())


_UNPRINTABLE = frozenset({"Cc", "Cf", "Cn", "Co", "Cs", "Zl", "Zp"})
