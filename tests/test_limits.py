"""What no vehicle asks for is refused in one sentence and before any work; what a large order asks for is read."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from math import cos, pi, sin
from pathlib import Path

import pytest
from ezdxf.layouts.layout import Modelspace

from nesting.jobfile import job_from_text
from nesting.placing.fitting import Fitter
from nesting.programme import firstplan
from nesting.programme.firstplan import fill_sheets
from nesting.reading.csvtext import table_rows
from nesting.reading.drawings import read_outlines
from nesting.reading.keys import MAX_ALL_CORNERS, MAX_BLOCKS, MAX_RIVETS
from nesting.sizing.problem import PartClass, Problem, SheetSize
from nesting.skin.panels import candidate_panels
from nesting.skin.seams import seam_lines
from shared.errors import JobMistakes, Mistake
from tests.dxf_files import box, refusal, saved
from tests.job_texts import the_mistake
from tests.plain_sides import job_of, side_of

STOCK = "[[stock]]\nwidth = 1250\nlength = 2500\n"
MM = 'units = "mm"\n' + STOCK
PATCH = '[[patch]]\nname = "lid"\n'


def bays(count: int = 1, width: object = 700, height: object = 1000, more: str = "") -> str:
    return (
        f'[[side]]\nname = "left"\nforward = "left"\npost_width = 50\n{more}'
        f"[[side.bay]]\nwidth = {width}\nheight = {height}\ncount = {count}\n"
    )


def rails(count: int) -> str:
    return f"rail_width = 20\nrails = {[20 * n for n in range(1, count + 1)]}\n"


def round_patch(corners: int, quantity: int) -> str:
    ring = [
        [100 + 90 * cos(2 * pi * i / corners), 100 + 90 * sin(2 * pi * i / corners)] for i in range(corners)
    ]
    return f"{PATCH}outline = {ring}\nquantity = {quantity}\n"


FINE = "[rivets]\ndiameter = 1.5\nseam_pitch = 3\nedge_pitch = 3\npost_pitch = 3\n"


@pytest.mark.parametrize(
    ("text", "place", "says"),
    [
        (PATCH + "width = 9\nheight = 9\nquantity = 1000000000\n", "patch 'lid', quantity", "1 to 2000"),
        (bays(10**9), "side 'left', bay 1, count", "1 to 400"),
        (bays(width='"5280 ft"'), "side 'left'", "no side is more than 500000 mm long"),
        (bays(width='"5281 ft"'), "side 'left', bay 1, width", "longer than a mile"),
        (bays(height='"5280 ft"'), "side 'left'", "no side is more than 30000 mm high"),
        (bays(400, 1300), "side 'left'", "no side is more than 500000 mm long"),
        (FINE + bays(400, 700, 2000), "rivets", f"may hold {MAX_RIVETS}"),
        (
            "[rivets]\nedge_pitch = 10\n"
            + PATCH
            + "width = 900\nheight = 900\nriveted = true\nquantity = 2000\n",
            "rivets",
            f"may hold {MAX_RIVETS}",
        ),
        (bays(7, more=rails(40)), "side", f"may be {MAX_BLOCKS}"),
        (round_patch(1000, 101), "job", f"may hold {MAX_ALL_CORNERS}"),
    ],
)
def test_an_amount_that_no_vehicle_has_is_one_mistake(text: str, place: str, says: str) -> None:
    found = the_mistake(f'units = "mm"\n{text}{STOCK}')
    assert found.place == place
    assert says in found.remedy


@pytest.mark.parametrize("pitch", ["0.000001", "1e-300"])
def test_a_pitch_too_small_for_any_rivet_is_told_as_that(pitch: str) -> None:
    found = the_mistake(f'units = "mm"\n[rivets]\nedge_pitch = {pitch}\n{STOCK}{bays()}')
    assert found.place == "rivets, edge_pitch"
    assert "rivet heads would touch" in found.remedy


@pytest.mark.parametrize(
    "text",
    [
        # twice the largest order that is measured: 208 bays and 300 patches
        bays(400, more=rails(2)) + PATCH + "width = 300\nheight = 200\nriveted = true\nquantity = 600\n",
        bays(13, more=rails(25)),
        round_patch(200, 500),
    ],
)
def test_a_large_order_is_read(text: str) -> None:
    assert job_from_text(MM + text, "order.toml").stock


@pytest.mark.parametrize(
    "text",
    [
        "title = " + "[" * 400_000,
        "title = " + "{a = " * 100_000,
        "a." * 100_000 + "a = 1",
        "[[" * 400_000,
        'title = "' + "x" * 900_000,
        "\0" * 900_000,
        "#" * 1_000_001,
    ],
)
def test_a_text_that_would_stop_a_parser_is_one_sentence(text: str) -> None:
    with pytest.raises(Exception, match=r"job\.toml") as refused:
        job_from_text(text, "job.toml")
    assert "\n" not in str(refused.value)
    assert len(str(refused.value)) < 300


def test_a_table_of_endless_cells_is_read_as_one_row() -> None:
    assert len(table_rows("a," * 200_000 + "a\n")[0].cells) == 200_001


def itself(space: Modelspace) -> None:
    block = space.doc.blocks.new("A")
    block.add_blockref("A", (0, 0))
    space.add_blockref("A", (0, 0))


def each_other(space: Modelspace) -> None:
    for one, other in (("A", "B"), ("B", "A")):
        space.doc.blocks.new(one).add_blockref(other, (10, 0))
    space.add_blockref("A", (0, 0))


def ten_levels_of_ten(space: Modelspace) -> None:
    box(space.doc.blocks.new("L0"), 0, 0, 10)  # type: ignore[arg-type]
    for level in range(1, 11):
        block = space.doc.blocks.new(f"L{level}")
        for number in range(10):
            block.add_blockref(f"L{level - 1}", (number * 20 * 10**level, 0))
    space.add_blockref("L10", (0, 0))


def rows_of_rows(space: Modelspace) -> None:
    box(space.doc.blocks.new("A"), 0, 0, 10)  # type: ignore[arg-type]
    space.add_blockref(
        "A",
        (0, 0),
        {"column_count": 30_000, "row_count": 30_000, "column_spacing": 20, "row_spacing": 20},
    )


def places_on_top_of_one_another(space: Modelspace) -> None:
    box(space.doc.blocks.new("A"), 0, 0, 10)  # type: ignore[arg-type]
    counts = {"column_count": 10**9, "column_spacing": 0, "row_count": 2, "row_spacing": 20}
    space.add_blockref("A", (0, 0), counts)


@pytest.mark.parametrize(
    ("build", "says"),
    [
        (places_on_top_of_one_another, "more than 20000 lines and blocks"),
        (itself, "more than 16 deep"),
        (each_other, "more than 16 deep"),
        (ten_levels_of_ten, "more than 20000 lines and blocks"),
        (rows_of_rows, "more than 20000 lines and blocks"),
    ],
)
def test_blocks_that_grow_without_end_are_refused(
    tmp_path: Path, build: Callable[[Modelspace], object], says: str
) -> None:
    said = refusal(saved(tmp_path, build))
    assert says in said
    assert "\n" not in said


def test_a_binary_drawing_is_told_as_that(tmp_path: Path) -> None:
    path = tmp_path / "bay.dxf"
    path.write_bytes(b"AutoCAD Binary DXF\r\n\x1a\0" + bytes(range(256)) * 40)
    with pytest.raises(JobMistakes) as refused:
        read_outlines(path)
    remedy = "this is a binary DXF; save the drawing as DXF in text (ASCII), release R12 or later"
    assert refused.value.mistakes == (Mistake("bay.dxf", "", remedy),)


def test_meshes_of_a_drawing_are_passed_over_and_not_called_unknown(tmp_path: Path) -> None:
    def build(space: Modelspace) -> None:
        box(space, 0, 0, 100)
        space.add_3dface([(0, 0), (1, 0), (1, 1), (0, 1)])

    assert len(read_outlines(saved(tmp_path, build))) == 1


def test_only_blocks_that_some_sheet_is_long_enough_for_are_looked_at(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    job = job_of(side_of(60))
    lines = seam_lines(job, job.sides[0])
    found = candidate_panels(job, job.sides[0], lines)
    asked: list[object] = []
    monkeypatch.setattr("nesting.skin.panels._is_block", lambda lines, block: asked.append(block))
    assert candidate_panels(job, job.sides[0], lines) == ()
    widest = max(panel.panel.last_bay - panel.panel.first_bay for panel in found)
    assert 60 <= len(found) <= len(asked) <= 60 * (widest + 3)


def lids(sizes: int) -> Problem:
    """As many rectangles, no two alike, on sheets that hold many."""
    classes = tuple(PartClass(100 + n, 50 + n, True) for n in range(sizes))
    sheet = SheetSize(3000, 1500, 10.0)
    demand = (1,) * sizes
    return Problem(sheets=(sheet,), classes=classes, cells=0, choices=(), demand=demand, seam_cost=0.0)


def test_parts_past_a_limit_of_work_are_put_on_sheets_in_runs_and_none_is_lost(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    problem = lids(150)
    asked = Counter[str]()
    quick = Fitter.quick_places

    def counted(self: Fitter, size: int, pattern: tuple[tuple[int, int], ...]) -> object:
        asked["questions"] += 1
        return quick(self, size, pattern)

    monkeypatch.setattr(Fitter, "quick_places", counted)
    fitter = Fitter(problem.sheets, problem.classes)
    sheets = {}
    for work in (firstplan.CAREFUL_WORK, 0):
        monkeypatch.setattr(firstplan, "CAREFUL_WORK", work)
        asked.clear()
        filled = fill_sheets(problem, fitter, Counter(range(150)))
        assert filled is not None
        carried = Counter(
            k for (_, pattern), count in filled.items() for k, n in pattern for _ in range(n * count)
        )
        # each of them once
        assert carried == Counter(range(150))
        sheets[work] = (sum(filled.values()), asked["questions"])
    careful, quickly = sheets.values()
    assert careful[0] <= quickly[0] <= careful[0] + 2
    assert quickly[1] < careful[1] / 2
