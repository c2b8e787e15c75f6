"""What is known of rivets: lengths by grip, shear loads, strengths of sheets, metals side by side.

Each row has its source, which ends with its kind as in `shared.tables`.  Lengths in mm, loads in N, strengths in
MPa, potentials in V.  Loads and strengths are defaults for want of a data sheet: take the maker's figures.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from shared.tables import MM_PER_INCH

N_PER_LBF = 4.4482216
MPA_PER_KSI = 6.8947573

SAME_DIAMETER = 0.06
"""mm: diameters nearer than this are one, though 3/16 in (4.7625) and 4.8 mm stand in rows of their own."""

A_LITTLE_THINNER = 0.25
"""mm: a rivet of 5.0 mm holds at least what one of 4.8 mm holds."""


@dataclass(frozen=True)
class GripRow:
    """A rivet length and the thickness it closes, in mm; ``name`` is what such a rivet is called in the trade."""

    grip_min: float
    grip_max: float
    length: float
    name: str = ""
    source: str = ""


@dataclass(frozen=True)
class LoadRow:
    """The load in N that shears one rivet of a material and diameter (mm), at least."""

    material: str
    diameter: float
    shear: float
    source: str


@dataclass(frozen=True)
class StrengthRow:
    """Tensile and yield strength of a sheet material in MPa."""

    material: str
    tensile: float
    yield_strength: float
    source: str


@dataclass(frozen=True)
class MetalRow:
    """Anodic index of a metal in V: of two metals, that with the greater one is eaten."""

    metal: str
    index: float
    source: str


_CODE = "TM 10-5410-221-14 table 4-3, inch blind rivets (a)"
_CODE_316 = (
    "inch code of TM 10-5410-221-14 (a): the last digits are the grip in 1/16 in; length = grip + 0.81 D, "
    "worked out between the 5/32 and 1/4 in series there (b)"
)
_CODE_84 = "TM 10-5410-221-14 table 4-3 (a); least grip of 0.080 in from memory of IFI-114 (b)"
_CODE_810 = "TM 10-5410-221-14 table 4-3, inch blind rivets, its series carried on (b)"
_UNLIKE = {(8, 4): _CODE_84, (8, 10): _CODE_810}
_ISO = "ISO 15981:2002, aluminium blind rivets; heads of the columns inferred (a)"

# diameter in 1/32 in: where the first grip begins in 1/16 in, then (where each ends in 1/16 in, length in inches)
_INCH_SERIES: dict[int, tuple[float, tuple[tuple[int, float], ...]]] = {
    4: (0.32, ((1, 0.170), (2, 0.232), (3, 0.294), (4, 0.357), (5, 0.419), (6, 0.481), (8, 0.628))),
    5: (0.32, ((2, 0.254), (3, 0.316), (4, 0.379), (6, 0.504))),
    6: (0.32, ((2, 0.277), (4, 0.402), (6, 0.527), (8, 0.652), (10, 0.777), (12, 0.902))),
    8: (1.28, ((4, 0.447), (6, 0.572), (8, 0.697), (10, 0.822), (12, 0.947))),
}

# diameters in mm: limits of the grip from row to row, and the lengths between them
_METRIC_SERIES: tuple[tuple[tuple[float, ...], tuple[float, ...], tuple[int, ...]], ...] = (
    ((3.0, 3.2), (0.5, 1.5, 3.5, 5, 7, 9, 13, 17, 22), (5, 6, 8, 10, 12, 16, 20, 25)),
    ((4.0,), (1, 3, 5, 6.5, 8.5, 12.5, 16.5, 21), (6, 8, 10, 12, 16, 20, 25)),
    ((4.8, 5.0), (1.5, 2.5, 4, 6, 8, 12, 15, 20, 25), (6, 8, 10, 12, 16, 20, 25, 30)),
    ((6.0, 6.4), (3, 6, 10, 14, 18, 23), (12, 16, 20, 25, 30)),
)


def _inch_rows(over_32: int) -> tuple[GripRow, ...]:
    least, rows = _INCH_SERIES[over_32]
    froms = (least, *(to for to, _ in rows[:-1]))
    found = []
    for start, (to, length) in zip(froms, rows, strict=True):
        source = _CODE_316 if over_32 == 6 else _UNLIKE.get((over_32, to), _CODE)
        low, high = start / 16 * MM_PER_INCH, to / 16 * MM_PER_INCH
        found.append(GripRow(low, high, length * MM_PER_INCH, f"{over_32}{to}", source))
    return tuple(found)


def _metric_rows(diameter: float, limits: tuple[float, ...], lengths: tuple[int, ...]) -> tuple[GripRow, ...]:
    return tuple(
        GripRow(low, high, float(length), f"{diameter:g} x {length}", _ISO)
        for (low, high), length in zip(pairwise(limits), lengths, strict=True)
    )


GRIP_ROWS: dict[float, tuple[GripRow, ...]] = {
    **{over_32 / 32 * MM_PER_INCH: _inch_rows(over_32) for over_32 in _INCH_SERIES},
    **{
        diameter: _metric_rows(diameter, limits, lengths)
        for diameters, limits, lengths in _METRIC_SERIES
        for diameter in diameters
    },
}
"""Lengths by grip for each diameter in mm, in order of the grip; between two rows there is no gap."""

_MATERIAL_LOADS: dict[str, tuple[tuple[str, dict[int, float]], tuple[str, dict[float, float]]]] = {
    "steel": (
        ("IFI-114 grade 30, steel body and mandrel (b)", {4: 260, 5: 370, 6: 540, 8: 1000}),
        ("ISO 15979, steel body and mandrel (b)", {3.2: 1100, 4.0: 1700, 4.8: 2900, 6.4: 4900}),
    ),
    "aluminium": (
        ("IFI-114 grades 18 and 19, aluminium 5052 or 5056 (b)", {4: 170, 5: 260, 6: 380, 8: 700}),
        ("ISO 15977 class L, aluminium body (b)", {3.2: 500, 4.0: 850, 4.8: 1200, 6.4: 2200}),
    ),
    "stainless steel": (
        ("IFI-114 grades 50 and 51, stainless (b)", {4: 420, 5: 650, 6: 950, 8: 1700}),
        ("ISO 15983, stainless body and mandrel (b)", {3.2: 1900, 4.0: 2700, 4.8: 4000}),
    ),
    "nickel-copper": (
        ("IFI-114 grade 40, nickel-copper body (b)", {4: 350, 5: 550, 6: 800, 8: 1400}),
        ("", {}),
    ),
}

RIVET_MATERIALS = tuple(_MATERIAL_LOADS)
"""What a rivet's body may be of; steel ones are zinc-plated."""

LOAD_ROWS = tuple(
    LoadRow(material, diameter, load, source)
    for material, ((inch_source, inch), (metric_source, metric)) in _MATERIAL_LOADS.items()
    for diameter, load, source in (
        *((over_32 / 32 * MM_PER_INCH, lbf * N_PER_LBF, inch_source) for over_32, lbf in inch.items()),
        *((diameter, newtons, metric_source) for diameter, newtons in metric.items()),
    )
)

_COMMERCIAL = "commercial steel sheet, 45 ksi tensile and 33 ksi yield taken for want of a certificate (c)"
STRENGTH_ROWS = (
    *(
        StrengthRow(material, 45 * MPA_PER_KSI, 33 * MPA_PER_KSI, _COMMERCIAL)
        for material in ("steel", "galvanised steel", "galvannealed steel")
    ),
    StrengthRow("aluminium", 42 * MPA_PER_KSI, 35 * MPA_PER_KSI, "aluminium 6061-T6, ASTM B209 (b)"),
    StrengthRow("aluminium 5052", 31 * MPA_PER_KSI, 23 * MPA_PER_KSI, "aluminium 5052-H32, ASTM B209 (b)"),
    StrengthRow("aluminium 3003", 20 * MPA_PER_KSI, 17 * MPA_PER_KSI, "aluminium 3003-H14, ASTM B209 (b)"),
    StrengthRow("stainless steel", 75 * MPA_PER_KSI, 30 * MPA_PER_KSI, "stainless 304, ASTM A240 (b)"),
)

_INDEX = "MIL-F-14072 and MIL-STD-1250 tables of the anodic index (b)"
METAL_ROWS = (
    MetalRow("galvanised steel", 1.20, _INDEX),
    MetalRow("galvannealed steel", 1.20, f"{_INDEX}, taken as galvanised (c)"),
    MetalRow("zinc-plated steel", 1.20, _INDEX),
    MetalRow("aluminium", 0.90, _INDEX),
    MetalRow("aluminium 5052", 0.90, _INDEX),
    MetalRow("aluminium 3003", 0.90, _INDEX),
    MetalRow("steel", 0.85, _INDEX),
    MetalRow("stainless steel", 0.50, _INDEX),
    MetalRow("nickel-copper", 0.30, _INDEX),
)

OUTDOORS_APART = 0.15
"""V: metals farther apart than this eat one another outdoors; published guideline of a component maker (a)."""

HOLDER_COLOURS = {3: "silver", 4: "copper", 5: "black", 6: "brass", 8: "green", 12: "red"}
"""Colour of temporary sheet holders by hole in 1/32 in; US Navy manual 14315 (a).  Some makers differ."""


def grip_rows(diameter: float) -> tuple[GripRow, ...]:
    """The lengths known for a diameter in mm, in order of the grip; empty where none are."""
    near = min(GRIP_ROWS, key=lambda known: abs(known - diameter))
    return GRIP_ROWS[near] if abs(near - diameter) <= SAME_DIAMETER else ()


def shear_load(material: str, diameter: float) -> LoadRow | None:
    """The load known to shear one rivet of a diameter, or of one that is a little thinner; None where none is."""
    rows = [
        row
        for row in LOAD_ROWS
        if row.material == material and -SAME_DIAMETER <= diameter - row.diameter <= A_LITTLE_THINNER
    ]
    return min(rows, key=lambda row: abs(row.diameter - diameter), default=None)


def sheet_strength(material: str) -> StrengthRow | None:
    """Tensile and yield strength known for a material by its name in the material table; None where none are."""
    return next((row for row in STRENGTH_ROWS if row.material == material), None)


def metal_row(metal: str) -> MetalRow | None:
    """The anodic index known for a metal; None where none is."""
    return next((row for row in METAL_ROWS if row.metal == metal), None)
