"""Reference rows: found by any common spelling, each with its source, refused with the known names."""

from __future__ import annotations

from itertools import pairwise

import pytest

from shared.rivettables import (
    GRIP_ROWS,
    LOAD_ROWS,
    METAL_ROWS,
    RIVET_MATERIALS,
    STRENGTH_ROWS,
    grip_rows,
    metal_row,
    shear_load,
    sheet_strength,
)
from shared.tables import (
    LIFTING_SOURCE,
    MATERIAL_ROWS,
    MATERIALS,
    RIVET_RULES,
    material_row,
    skin_row,
)


def test_every_row_names_its_source_and_kind() -> None:
    sources = [row.source for row in MATERIAL_ROWS]
    sources += [gauge.source for row in MATERIAL_ROWS for gauge in row.gauges]
    sources += [rule.source for rule in RIVET_RULES]
    sources += [row.source for rows in GRIP_ROWS.values() for row in rows]
    sources += [row.source for row in LOAD_ROWS] + [row.source for row in STRENGTH_ROWS]
    sources += [row.source for row in METAL_ROWS]
    sources.append(LIFTING_SOURCE)
    for source in sources:
        assert source.endswith(("(a)", "(b)", "(c)")), source


@pytest.mark.parametrize(
    "name", ["galvannealed steel", "galvanised steel", "Galvanized  Steel", "GALVANNEALED"]
)
def test_coated_steel_is_18_gauge_by_the_galvanised_scale(name: str) -> None:
    row = skin_row(name, 18, None)
    assert row.thickness_mm == pytest.approx(1.311, abs=5e-4)
    assert row.mass_per_area == pytest.approx(10.528, abs=5e-4)
    assert row.gauge == 18


def test_bare_steel_weighs_its_gauge_weight_not_its_thickness() -> None:
    row = skin_row("steel", 18, None)
    assert row.mass_per_area == pytest.approx(9.765, abs=5e-4)
    assert row.mass_per_area > row.thickness_mm / 1000 * 7850


def test_steel_by_thickness_weighs_thickness_times_density() -> None:
    # 1.2 mm x 7850 kg/m3 = 9.42 kg/m2
    for material in ("steel", "galvanised steel", "galvannealed steel"):
        row = skin_row(material, None, 1.2)
        assert row.mass_per_area == pytest.approx(9.42)
        assert row.gauge is None
        assert row.thickness_mm == 1.2


@pytest.mark.parametrize(
    ("material", "gauge", "thickness", "density"),
    [("aluminium", 16, 1.290, 2700), ("Aluminum", 20, 0.813, 2700), ("stainless steel", 18, 1.270, 8000)],
)
def test_aluminium_and_stainless_weigh_gauge_thickness_times_density(
    material: str, gauge: int, thickness: float, density: float
) -> None:
    row = skin_row(material, gauge, None)
    assert row.thickness_mm == pytest.approx(thickness, abs=5e-4)
    assert row.mass_per_area == pytest.approx(row.thickness_mm / 1000 * density)


def test_coating_makes_every_gauge_thicker_and_heavier() -> None:
    for bare in material_row("steel").gauges:
        assert bare.weight is not None
        coated = skin_row("galvanised steel", bare.gauge, None)
        assert coated.thickness_mm > bare.thickness_mm
        assert coated.mass_per_area > skin_row("steel", bare.gauge, None).mass_per_area


def test_a_thinner_gauge_has_a_higher_number() -> None:
    for row in MATERIAL_ROWS:
        thicknesses = [gauge.inches for gauge in sorted(row.gauges, key=lambda g: g.gauge)]
        assert thicknesses == sorted(thicknesses, reverse=True)


def test_an_unknown_material_is_answered_with_the_known_ones() -> None:
    with pytest.raises(LookupError) as caught:
        skin_row("unobtainium", 18, None)
    assert all(name in str(caught.value) for name in MATERIALS)


def test_an_unknown_gauge_is_answered_with_the_known_ones() -> None:
    with pytest.raises(LookupError, match="no gauge 30 for aluminium") as caught:
        skin_row("aluminium", 30, None)
    assert "14, 16, 18, 20, 22" in str(caught.value)


@pytest.mark.parametrize(("gauge", "thickness"), [(None, None), (18, 1.2)])
def test_gauge_and_thickness_are_given_one_at_a_time(gauge: int | None, thickness: float | None) -> None:
    with pytest.raises(LookupError, match="one of the two"):
        skin_row("steel", gauge, thickness)


@pytest.mark.parametrize("thickness", [0.0, -1.2, float("nan"), float("inf")])
def test_a_sheet_without_thickness_is_refused(thickness: float) -> None:
    with pytest.raises(LookupError, match="above 0"):
        skin_row("steel", None, thickness)


@pytest.mark.parametrize("diameter", GRIP_ROWS)
def test_rivet_lengths_close_every_thickness_between_the_first_and_the_last(diameter: float) -> None:
    rows = grip_rows(diameter)
    assert all(row.grip_max == after.grip_min for row, after in pairwise(rows))
    assert all(row.grip_min < row.grip_max < row.length for row in rows)
    assert [row.length for row in rows] == sorted(row.length for row in rows)


def test_a_rivet_of_an_odd_diameter_has_no_lengths() -> None:
    assert grip_rows(8.0) == ()
    assert shear_load("steel", 8.0) is None


def test_three_sixteenths_and_4_8_mm_stand_in_rows_of_their_own() -> None:
    assert {row.name for row in grip_rows(3 / 16 * 25.4)} >= {"62", "64", "66"}
    assert {row.name for row in grip_rows(4.8)} >= {"4.8 x 8", "4.8 x 10"}


def test_a_rivet_of_5_mm_holds_at_least_what_one_of_4_8_does() -> None:
    row = shear_load("steel", 5.0)
    assert row is not None
    assert (row.diameter, row.shear) == (4.8, 2900)


@pytest.mark.parametrize("material", RIVET_MATERIALS)
def test_a_thicker_rivet_holds_more(material: str) -> None:
    rows = sorted((row for row in LOAD_ROWS if row.material == material), key=lambda row: row.diameter)
    inch = [row.shear for row in rows if "IFI" in row.source]
    metric = [row.shear for row in rows if "ISO" in row.source]
    assert inch == sorted(inch)
    assert metric == sorted(metric)
    assert len(inch) == 4


@pytest.mark.parametrize("material", MATERIALS)
def test_every_material_has_a_strength_and_a_place_among_the_metals(material: str) -> None:
    row = sheet_strength(material)
    assert row is not None
    assert row.yield_strength < row.tensile
    assert metal_row(material) is not None
