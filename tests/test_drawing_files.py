"""Files that are no drawing, or a damaged one: refused in a sentence, never read in part."""

from __future__ import annotations

from pathlib import Path

import pytest
from ezdxf.layouts.layout import Modelspace
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from nesting.reading.drawingfile import MAX_DRAWING_BYTES
from nesting.reading.drawings import read_outlines
from shared.errors import PlannerError
from tests.dxf_files import BAY, BAY_RING, block_of, box, lines, one, polyline, refusal, saved


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (b"", "is empty"),
        (b"  \n\n", "is empty"),
        (b"AutoCAD Binary DXF\r\n\x1a\x00", "binary DXF"),
        (b"AC1032\x00\x00\x00", "this is a DWG"),
        (b"<svg></svg>", "no DXF drawing"),
        (b"\x89PNG\r\n\x1a\n", "no DXF drawing"),
        (b"0\nSECTION\n2\nENTITIES\n0\nENDSEC\n", "breaks off before its end"),
        (b"0\nSECTION\n2\nENTITIES\n0\nLINE\nx\ny\n0\nENDSEC\n0\nEOF\n", "damaged"),
    ],
)
def test_a_file_that_is_no_drawing_is_refused_in_one_sentence(
    tmp_path: Path, data: bytes, words: str
) -> None:
    path = tmp_path / "bay.dxf"
    path.write_bytes(data)
    assert refusal(path).startswith("bay.dxf: ")
    assert words in refusal(path)
    assert "\n" not in refusal(path)


@pytest.mark.parametrize("share", [0.3, 0.7, 0.9, 0.97])
def test_a_drawing_that_breaks_off_is_never_read_in_part(tmp_path: Path, share: float) -> None:
    def build(space: Modelspace) -> None:
        for i in range(40):
            box(space, 500 * i, 0, 300)

    path = saved(tmp_path, build)
    assert len(read_outlines(path)) == 40
    whole = path.read_text()
    part = whole[: whole.index("\n", int(len(whole) * share)) + 1]
    path.write_text(part)
    assert "breaks off" in refusal(path)
    path.write_text(part + "  0\nEOF\n")
    assert "damaged" in refusal(path)


@pytest.mark.parametrize("version", ["R12", "R2000", "R2010"])
def test_line_ends_marks_and_letters_of_any_system_are_read(tmp_path: Path, version: str) -> None:
    name = "\u00d6ffnung \u9580"
    path = saved(
        tmp_path, lambda space: space.add_circle((0, 0), 300, dxfattribs={"layer": name}), version=version
    )
    data = path.read_bytes().replace(b"\r\n", b"\n").replace(b"\n", b"\r\n")
    path.write_bytes(data)
    assert read_outlines(path, name.lower(), "mm")[0].layer == name
    if version == "R2010":
        path.write_bytes(b"\xef\xbb\xbf" + data)
        assert len(read_outlines(path)) == 1


@pytest.mark.parametrize("release", ["", "none", "AC1006", "AC1009", "AC1015"])
def test_a_polyline_newer_than_its_drawing_says_keeps_its_layer_and_is_closed(
    tmp_path: Path, release: str
) -> None:
    says = f"9 $ACADVER 1 {release} " if release != "none" else ""
    header = f"0 SECTION 2 HEADER {says}9 $INSUNITS 70 4 0 ENDSEC " if release else ""
    corners = " ".join(f"10 {x} 20 {y}" for x, y in BAY)
    entity = f"0 LWPOLYLINE 5 100 100 AcDbEntity 8 OPENING 100 AcDbPolyline 90 4 70 1 {corners}"
    path = tmp_path / "bay.dxf"
    words = f"{header}0 SECTION 2 ENTITIES {entity} 0 ENDSEC 0 EOF"
    path.write_text("\n".join(words.split(" ")) + "\n")
    assert read_outlines(path, "OPENING", None if release else "mm")[0].ring == BAY_RING


def test_a_drawing_of_nothing_but_entities_is_read(tmp_path: Path) -> None:
    circle = "0 SECTION 2 ENTITIES 0 CIRCLE 8 0 10 0 20 0 40 100 0 ENDSEC 0 EOF"
    path = tmp_path / "bay.dxf"
    path.write_text("\n".join(circle.split(" ")) + "\n")
    assert one(path, "mm").ring == ((100, 0, 1), (-100, 0, 1))


def test_a_file_that_is_not_there_or_too_large_is_refused(tmp_path: Path) -> None:
    assert "no such drawing" in refusal(tmp_path / "bay.dxf")
    assert "a folder" in refusal(tmp_path)
    large = tmp_path / "large.dxf"
    with large.open("wb") as file:
        file.truncate(MAX_DRAWING_BYTES + 1)
    assert "larger than 10 MB" in refusal(large)


@pytest.fixture(scope="module")
def good_lines(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """The lines of text of a drawing with something of every kind in it."""

    def build(space: Modelspace) -> None:
        polyline(space, BAY)
        lines(space, (1000, 0), (1500, 0), (1500, 500), (1000, 0))
        space.add_arc((2000, 0), 200, 0, 180)
        lines(space, (1800, 0), (2200, 0))
        block_of(space)
        space.add_blockref("BAY", (3000, 0), dxfattribs={"rotation": 10})
        space.add_spline([(4000, 0), (4200, 100), (4400, 0), (4300, 300), (4000, 0)])
        space.add_ellipse((5000, 0), (200, 0), 0.5)

    path = saved(tmp_path_factory.mktemp("good"), build)
    assert len(read_outlines(path)) == 6
    return path.read_text().splitlines()


BAD_VALUES = ["", "nan", "inf", "-1", "1e400", "0", "10", "ENDSEC", "LINE", "330"]


@settings(max_examples=40, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.data())
def test_a_damaged_drawing_is_read_or_refused_and_never_a_fault_of_ours(
    tmp_path: Path, good_lines: list[str], data: st.DataObject
) -> None:
    # Half of the damage falls on the entities themselves, which end the drawing but for some objects.
    first = data.draw(st.sampled_from([0, good_lines.index("ENTITIES")]))
    changed = list(good_lines)
    for _ in range(data.draw(st.integers(1, 6))):
        where = data.draw(st.integers(first, len(changed) - 1))
        if data.draw(st.booleans()):
            changed[where] = data.draw(st.sampled_from(BAD_VALUES))
        else:
            del changed[where : where + data.draw(st.integers(1, 3))]
    path = tmp_path / "damaged.dxf"
    path.write_text("\n".join(changed))
    told = ""
    try:
        outlines_found = len(read_outlines(path, units="mm"))
    except PlannerError as error:
        outlines_found, told = 0, str(error)
    assert outlines_found or told.startswith("damaged.dxf: ")
