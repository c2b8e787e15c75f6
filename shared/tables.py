"""Reference tables as frozen rows, each with the source it was taken from.

A source ends with its kind: (a) published and seen, (b) from memory of the named document, not confirmed,
(c) common practice without a document.  Thicknesses in mm, masses in kg/m2 and kg/m3.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import isfinite

MM_PER_INCH = 25.4
KG_PER_M2_PER_LB_PER_FT2 = 4.882428
LB_PER_KG = 1 / 0.45359237

STEEL_GAUGE_BASIS = 41.82
"""lb/ft2 for each inch of thickness in the steel gauge tables, 2.5 % above true steel (a)."""

GALVANISED_EXTRA = 0.15625
"""lb/ft2 that the galvanised gauge adds to the uncoated one: 2.5 oz/ft2 of coating in the old scale (a)."""

_STEEL_SOURCE = "Manufacturers' Standard Gauge, 41.82 lb/ft2 per inch, stockholders' published tables (a)"
_GALVANISED_SOURCE = (
    "galvanised sheet gauge, uncoated gauge weight + 0.15625 lb/ft2, stockholders' published tables (a)"
)
_ALUMINIUM_SOURCE = "American wire gauge for aluminium sheet, published gauge charts (a)"
_STAINLESS_SOURCE = "stainless sheet gauge, published gauge charts (a)"


@dataclass(frozen=True)
class GaugeRow:
    """One gauge of one scale: thickness in inches; weight in lb/ft2 where the scale is one of weight."""

    gauge: int
    inches: float
    weight: float | None
    source: str

    @property
    def thickness_mm(self) -> float:
        return self.inches * MM_PER_INCH


@dataclass(frozen=True)
class MaterialRow:
    """A sheet material: density in kg/m3, its gauge scale, and the other names it is known by."""

    name: str
    density: float
    gauges: tuple[GaugeRow, ...]
    source: str
    also: tuple[str, ...] = ()


@dataclass(frozen=True)
class SkinRow:
    """A sheet as it is ordered: ``mass_per_area`` in kg/m2, and the source of that mass."""

    material: str
    thickness_mm: float
    mass_per_area: float
    gauge: int | None
    source: str


@dataclass(frozen=True)
class RuleRow:
    """A rule of practice: ``value`` in rivet diameters ("D"), thicknesses of the thickest sheet ("t") or mm."""

    name: str
    value: float
    unit: str
    source: str


# gauge, uncoated inches, galvanised inches, uncoated lb/ft2
_STEEL_GAUGES = (
    (10, 0.1345, 0.1382, 5.625),
    (11, 0.1196, 0.1233, 5.0),
    (12, 0.1046, 0.1084, 4.375),
    (13, 0.0897, 0.0934, 3.75),
    (14, 0.0747, 0.0785, 3.125),
    (15, 0.0673, 0.0710, 2.8125),
    (16, 0.0598, 0.0635, 2.5),
    (17, 0.0538, 0.0575, 2.25),
    (18, 0.0478, 0.0516, 2.0),
    (19, 0.0418, 0.0456, 1.75),
    (20, 0.0359, 0.0396, 1.5),
    (21, 0.0329, 0.0366, 1.375),
    (22, 0.0299, 0.0336, 1.25),
    (23, 0.0269, 0.0306, 1.125),
    (24, 0.0239, 0.0276, 1.0),
    (25, 0.0209, 0.0247, 0.875),
    (26, 0.0179, 0.0217, 0.75),
)

# gauge, aluminium inches, stainless inches
_OTHER_GAUGES = (
    (14, 0.0641, 0.0781),
    (16, 0.0508, 0.0625),
    (18, 0.0403, 0.0500),
    (20, 0.0320, 0.0375),
    (22, 0.0253, 0.0312),
)

STEEL_GAUGES = tuple(GaugeRow(g, bare, w, _STEEL_SOURCE) for g, bare, _, w in _STEEL_GAUGES)
GALVANISED_GAUGES = tuple(
    GaugeRow(g, coated, w + GALVANISED_EXTRA, _GALVANISED_SOURCE) for g, _, coated, w in _STEEL_GAUGES
)
ALUMINIUM_GAUGES = tuple(GaugeRow(g, inches, None, _ALUMINIUM_SOURCE) for g, inches, _ in _OTHER_GAUGES)
STAINLESS_GAUGES = tuple(GaugeRow(g, inches, None, _STAINLESS_SOURCE) for g, _, inches in _OTHER_GAUGES)

_STEEL_DENSITY_SOURCE = "carbon steel 7850 kg/m3, mechanics of materials textbook table (a)"

MATERIAL_ROWS = (
    MaterialRow(
        "steel",
        7850.0,
        STEEL_GAUGES,
        _STEEL_DENSITY_SOURCE,
        ("mild steel", "bare steel", "cold-rolled steel", "carbon steel"),
    ),
    MaterialRow(
        "galvanised steel",
        7850.0,
        GALVANISED_GAUGES,
        _STEEL_DENSITY_SOURCE,
        ("galvanized steel", "galvanised", "galvanized"),
    ),
    MaterialRow("galvannealed steel", 7850.0, GALVANISED_GAUGES, _STEEL_DENSITY_SOURCE, ("galvannealed",)),
    MaterialRow(
        "aluminium",
        2700.0,
        ALUMINIUM_GAUGES,
        "aluminium 6061, 2700 kg/m3, mechanics of materials textbook table (a)",
        ("aluminum", "aluminium 6061", "aluminum 6061"),
    ),
    MaterialRow(
        "aluminium 5052",
        2680.0,
        ALUMINIUM_GAUGES,
        "aluminium 5052, 2680 kg/m3, aluminium trade data (b)",
        ("aluminum 5052",),
    ),
    MaterialRow(
        "aluminium 3003",
        2730.0,
        ALUMINIUM_GAUGES,
        "aluminium 3003, 2730 kg/m3, aluminium trade data (b)",
        ("aluminum 3003",),
    ),
    MaterialRow(
        "stainless steel",
        8000.0,
        STAINLESS_GAUGES,
        "stainless 304, 8000 kg/m3 as usual in the trade (b)",
        ("stainless",),
    ),
)

MATERIALS = tuple(row.name for row in MATERIAL_ROWS)
"""The names a job file may use; common spellings beside them are understood too."""

_BY_NAME = {name: row for row in MATERIAL_ROWS for name in (row.name, *row.also)}

LIFTING_CONSTANT_KG = 23
"""The load constant of the NIOSH lifting equation, 51 lb, for one person under the best conditions (a)."""

LIFTING_SOURCE = "NIOSH lifting equation, load constant 51 lb (23 kg) for one person (a)"

_ARMY_CAB = "TM 9-2320-303-24-2, vehicle cab repair, single row (a)"

EDGE_LEAST = RuleRow("edge distance at least", 2.0, "D", "AC 43.13-1B ch. 4 as quoted in the trade (a)")
PITCH_LEAST = RuleRow("pitch at least", 3.0, "D", "AC 43.13-1B ch. 4 as quoted in the trade (a)")
TWO_ROW_PITCH_LEAST = RuleRow("pitch in two rows at least", 4.0, "D", "TM 9-2320-303-24-2, figure (a)")
ROW_SPACING_LEAST = RuleRow("row spacing at least", 2.5, "D", "TM 10-5410-229-13&P (a)")
CAB_PITCH_LEAST = RuleRow("vehicle cab pitch at least", 0.625 * MM_PER_INCH, "mm", _ARMY_CAB)
CAB_PITCH_MOST = RuleRow("vehicle cab pitch at most", 1.5 * MM_PER_INCH, "mm", _ARMY_CAB)
CAB_EDGE_LEAST = RuleRow("vehicle cab edge distance at least", 0.375 * MM_PER_INCH, "mm", _ARMY_CAB)
LAP_LEAST = RuleRow("lap of one row at least", 4.0, "D", "twice the edge distance of AC 43.13-1B ch. 4 (a)")
LAP_USUAL_LEAST = RuleRow("usual lap at least", 25.0, "mm", "1 to 2 in on a post, common practice (c)")
LAP_USUAL_MOST = RuleRow("usual lap at most", 51.0, "mm", "1 to 2 in on a post, common practice (c)")
DIAMETER_LEAST = RuleRow("diameter at least", 1.0, "t", "US Navy manual 14018, by the thickest sheet (a)")
DIAMETER_MOST = RuleRow("diameter at most", 3.0, "t", "US Navy manual 14018, by the thickest sheet (a)")

RIVET_RULES = (
    EDGE_LEAST,
    PITCH_LEAST,
    TWO_ROW_PITCH_LEAST,
    ROW_SPACING_LEAST,
    CAB_PITCH_LEAST,
    CAB_PITCH_MOST,
    CAB_EDGE_LEAST,
    LAP_LEAST,
    LAP_USUAL_LEAST,
    LAP_USUAL_MOST,
    DIAMETER_LEAST,
    DIAMETER_MOST,
)


def material_row(material: str) -> MaterialRow:
    """The row of a material by any of its names, capitals and spaces aside.

    Raises LookupError with the known names.
    """
    row = _BY_NAME.get(" ".join(material.lower().split()))
    if row is None:
        raise LookupError(f"no material {material!r}; known are {', '.join(MATERIALS)}")
    return row


def skin_row(material: str, gauge: int | None, thickness: float | None) -> SkinRow:
    """The sheet of a material by its gauge, or by its thickness in mm (one of the two).

    By steel gauge the mass is the gauge's own weight, which is above thickness x density; otherwise it is
    thickness x density.  Raises LookupError with the known materials or gauges.
    """
    row = material_row(material)
    if (gauge is None) == (thickness is None):
        raise LookupError(f"{row.name} needs a gauge or a thickness, one of the two")
    if thickness is not None:
        if not (isfinite(thickness) and thickness > 0):
            raise LookupError(f"a thickness of {thickness:g} mm is no sheet; it must be above 0")
        return SkinRow(row.name, thickness, _solid(thickness, row), None, f"thickness x {row.source}")
    found = next((each for each in row.gauges if each.gauge == gauge), None)
    if found is None:
        known = ", ".join(str(each.gauge) for each in row.gauges)
        raise LookupError(f"no gauge {gauge} for {row.name}; known are {known}")
    if found.weight is None:
        mass = _solid(found.thickness_mm, row)
        return SkinRow(row.name, found.thickness_mm, mass, gauge, f"{found.source} x {row.source}")
    mass = found.weight * KG_PER_M2_PER_LB_PER_FT2
    return SkinRow(row.name, found.thickness_mm, mass, gauge, found.source)


def _solid(thickness: float, row: MaterialRow) -> float:
    return thickness / 1000 * row.density
