"""Files that damage at random has shown to stall or stop a reader: each is refused in plain words, and at once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import cos, pi, sin
from pathlib import Path
from random import Random

import pytest
from shapely.geometry.base import BaseGeometry

from nesting.jobfile import job_from_text
from nesting.outline import Ring, rectangle
from nesting.reading import outlinechecks
from nesting.reading.drawings import read_outlines
from nesting.reading.edgegaps import Meeting, meetings
from nesting.reading.outlinechecks import MAX_PROBLEMS, holes_inside
from nesting.reading.shapechecks import ROUGH
from shared.errors import JobMistakes, PlannerError
from tests.job_texts import SIDE, the_mistake
from tests.soak.mutating import mutated, mutated_bytes
from tests.soak.reading import READERS

SAMPLES = Path(__file__).parents[1] / "samples"
SLOPED_BAY = "[[side.bay]]\noutline = [[0, 0], [30, 0], [30, 36], [0, 40]]\n"


def test_a_window_with_an_unreadable_radius_in_a_bay_with_an_outline_is_one_mistake() -> None:
    window = (
        "[[side.window]]\nbay = 1\nfrom_left = 4\nfrom_bottom = 4\nwidth = 9\nheight = 9\ncorner_radius = "
    )
    mistake = the_mistake(SIDE + SLOPED_BAY + window + "9" * 400)
    assert mistake.place.endswith("window 1, corner_radius")


def test_a_name_of_very_many_parts_is_refused_before_it_is_parsed() -> None:
    # the parser copies the parts read so far for each that is added: a file of 600 kB took minutes
    for part in ("a", '"a"', "'a'", " a\t"):
        text = ".".join([part] * 50_000) + " = 1"
        with pytest.raises(JobMistakes, match="too many dots"):
            job_from_text(text, "job.toml")


def test_numbers_and_sentences_with_many_dots_are_no_such_names() -> None:
    corners = ",".join(
        f"[{30 + 20 * cos(i / 50 * pi):.3f},{30 + 20 * sin(i / 50 * pi):.3f}]" for i in range(100)
    )
    text = f'title = "{"e.g. " * 39}"\n[[stock]]\nwidth = 60\nlength = 120\n'
    job = job_from_text(f'{text}[[patch]]\nname = "lid"\noutline = [{corners}]\n', "job.toml")
    assert job.title.count(".") == 78


def test_a_long_name_is_not_repeated_whole() -> None:
    header = "[" + ".".join(["a"] * 900) + "]\n"
    assert len(str(the_mistake(header * 2))) < 300


def test_the_skin_around_many_bays_is_made_once_for_all(monkeypatch: pytest.MonkeyPatch) -> None:
    made: list[float] = []
    buffer = BaseGeometry.buffer

    def counted(self: BaseGeometry, distance: float, *more: object, **options: object) -> BaseGeometry:
        made.append(distance)
        return buffer(self, distance, *more, **options)

    monkeypatch.setattr(BaseGeometry, "buffer", counted)
    job_from_text(SIDE + SLOPED_BAY + "count = 30\n", "job.toml")
    assert made.count(ROUGH) == 1


def test_the_same_hole_many_times_is_told_without_comparing_all_of_them(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    hole = rectangle(10, 10, 20, 20)
    asked: list[Meeting] = []

    def noted(rings: Sequence[Ring]) -> Iterator[Meeting]:
        for meeting in meetings(rings):
            asked.append(meeting)
            yield meeting

    monkeypatch.setattr(outlinechecks, "meetings", noted)
    problems = holes_inside(rectangle(0, 0, 100, 100), [hole] * 40)
    assert len(problems) == MAX_PROBLEMS
    assert all(problem.what.startswith("has hole 1, which touches hole") for problem in problems)
    assert len(asked) < 100


def test_a_hole_in_a_hole_and_a_hole_outside_are_both_told() -> None:
    holes = [rectangle(10, 10, 50, 50), rectangle(20, 20, 30, 30), rectangle(200, 10, 210, 20)]
    said = [problem.what for problem in holes_inside(rectangle(0, 0, 100, 100), holes)]
    assert said == ["does not hold hole 3", "has hole 2 inside hole 1"]


def test_a_drawing_whose_list_of_layouts_is_damaged_is_refused(tmp_path: Path) -> None:
    sound = (SAMPLES / "shuttle-far-side.dxf").read_text(encoding="utf-8")
    path = tmp_path / "side.dxf"
    path.write_text(sound.replace("\nModel\n", "\nModell\n", 1), encoding="utf-8")
    with pytest.raises(JobMistakes, match="damaged"):
        read_outlines(path)


@pytest.mark.parametrize("kind", READERS)
def test_files_damaged_at_random_are_read_or_refused(tmp_path: Path, kind: str) -> None:
    reader = READERS[kind](tmp_path)
    refused = 0
    for number in range(25):
        try:
            reader.read(reader.made(Random(f"{kind} {number}")))
        except PlannerError:
            refused += 1
    # some damage does no harm, and most does
    assert refused > 0


def test_damage_is_damage_and_the_same_each_time() -> None:
    text = (SAMPLES / "short-body.toml").read_text(encoding="utf-8")
    made = [mutated(text, Random(number)) for number in range(20)]
    assert made == [mutated(text, Random(number)) for number in range(20)]
    assert sum(one != text for one in made) > 15
    assert mutated_bytes(text, Random(1)) == mutated_bytes(text, Random(1))
