"""`reskin new`: questions at the terminal, answers asked again, and the form that asks nothing."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from cli.main import main
from nesting.framing.pieces import asked_pieces
from nesting.job import Hand, Job, Units
from nesting.jobfile import job_from_text, read_job
from nesting.starting.answers import (
    bays_answer,
    count_answer,
    hand_answer,
    money_answer,
    overall_answer,
    posts_answer,
    sheet_answer,
    size_answer,
    stock_answer,
    units_answer,
)
from nesting.starting.jobtemplate import template_text
from nesting.starting.newjob import NewSheet
from shared.errors import PlannerError

ONE_SIDE = ["", "left", "3", "39 1/2", "28 1/4; 28", "", "2", "88 1/4"]
"""Name as offered; bays of 28 1/4, 28 and 28 again: with two posts of 2 they add up to 88 1/4."""
SHEETS = ["92", "118.50", "", "", "", ""]
"""Prices of 4x8 and 4x10, no other sheet."""


def asked(job_file: Path, *answers: str, options: tuple[str, ...] = ()) -> tuple[int, str]:
    result = CliRunner().invoke(
        main, ["new", str(job_file), *options], input="".join(f"{a}\n" for a in answers)
    )
    return result.exit_code, result.output


def test_answers_become_a_job_file_with_comments(tmp_path: Path) -> None:
    job_file = tmp_path / "my-bus.toml"
    code, said = asked(job_file, "My bus", "in", *ONE_SIDE, "", *SHEETS, "12")
    assert code == 0, said
    job = read_job(job_file)
    (side,) = job.sides
    assert (job.title, job.seam.cost, side.name, side.forward) == ("My bus", 12.0, "driver side", Hand.LEFT)
    assert [round(bay.width, 2) for bay in side.bays] == [717.55, 711.2, 711.2]
    assert {bay.height for bay in side.bays} == {1003.3}
    assert [(stock.name, stock.price) for stock in job.stock] == [("4x8", 92.0), ("4x10", 118.5)]
    assert job.warnings == ()
    text = job_file.read_text(encoding="utf-8")
    assert "# What one seam is worth avoiding" in text
    assert "reskin check" in said


def test_enter_alone_takes_what_is_offered(tmp_path: Path) -> None:
    job_file = tmp_path / "my-bus.toml"
    assert asked(job_file, "", "", *ONE_SIDE[:-1], "", "", *SHEETS, "")[0] == 0
    job = read_job(job_file)
    assert (job.title, job.units, job.seam.cost, job.sides[0].overall) == ("my-bus", Units.INCH, 0.0, None)


def test_more_sides_each_with_their_own_posts(tmp_path: Path) -> None:
    job_file = tmp_path / "my-bus.toml"
    rear = ["rear", "r", "3", "", "20 x 30", "21", "22 x 31", "2; 3", ""]
    code, said = asked(job_file, "x", "in", *ONE_SIDE, *rear, "", *SHEETS, "0")
    assert code == 0, said
    side = read_job(job_file).sides[1]
    assert side.posts == pytest.approx((50.8, 76.2))
    assert [round(bay.height / 25.4, 3) for bay in side.bays] == [30, 30, 31]


def test_an_answer_that_will_not_do_is_asked_again(tmp_path: Path) -> None:
    job_file = tmp_path / "my-bus.toml"
    answers = [
        "x",
        "furlongs",
        "mm",
        "",
        "up",
        "left",
        "none",
        "2",
        "1000",
        "seven",
        "700; 700; 700",
        "700",
        "710",
    ]
    # 700 + 50 + 710 is 1460
    answers += [
        "0",
        "50",
        "2000",
        "1460",
        "driver side",
        "",
        "",
        "",
        "cheap",
        "60",
        "",
        "",
        "",
        "1000",
        "",
        "-1",
        "5",
    ]
    code, said = asked(job_file, *answers)
    assert code == 0, said
    for told in (
        "write in or mm",
        "left or right",
        "whole number",
        "no length",
        "1 more than",
        "more than zero",
    ):
        assert told in said
    assert "add up to 1460 mm, 540 mm less" in said
    assert "a side of this name already" in said
    job = read_job(job_file)
    assert [bay.width for bay in job.sides[0].bays] == [700.0, 710.0]
    assert [(stock.width, stock.price) for stock in job.stock] == [(1250.0, 60.0)]


def test_sheets_without_prices_are_all_without(tmp_path: Path) -> None:
    job_file = tmp_path / "my-bus.toml"
    mixed, none_at_all = ["yes", "118", "", "", "", ""], [""] * 6
    alike = ["yes", "", "", "", "", "40 x 100", "y", ""]
    code, said = asked(job_file, "x", "in", *ONE_SIDE, "", *mixed, *none_at_all, *alike, "")
    assert code == 0, said
    assert "4x8 without a price beside others with one" in said
    assert "at least one sheet size" in said
    job = read_job(job_file)
    assert not job.priced
    assert [stock.name for stock in job.stock] == ["4x8", "40 x 100"]


@pytest.mark.parametrize("told", range(0, 17, 2))
def test_answers_that_end_early_leave_nothing(tmp_path: Path, told: int) -> None:
    answers = ["x", "in", *ONE_SIDE, "", *SHEETS, "0"]
    code, said = asked(tmp_path / "my-bus.toml", *answers[:told])
    assert code == 1
    assert "nothing was written" in said
    assert list(tmp_path.iterdir()) == []


def test_ctrl_c_leaves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def interrupted(_prompt: str) -> str:
        raise KeyboardInterrupt

    monkeypatch.setattr("builtins.input", interrupted)
    assert asked(tmp_path / "my-bus.toml")[0] == 130
    assert list(tmp_path.iterdir()) == []


def test_a_job_file_that_is_there_is_told_before_the_first_question(tmp_path: Path) -> None:
    job_file = tmp_path / "my-bus.toml"
    job_file.write_text("mine", encoding="utf-8")
    for options in ((), ("--template",)):
        code, said = asked(job_file, options=options)
        assert code == 1
        assert "is there already" in said
        assert "Title" not in said
    assert job_file.read_text(encoding="utf-8") == "mine"


def test_titles_with_quotes_and_other_letters_are_kept(tmp_path: Path) -> None:
    title = '=the "long" bus, it\'s \\ \U0001f68c'
    assert asked(tmp_path / "x.toml", title, "in", *ONE_SIDE, "", *SHEETS, "")[0] == 0
    assert read_job(tmp_path / "x.toml").title == title


def test_answers_in_another_code_are_no_failure_of_ours(tmp_path: Path) -> None:
    answers = ["L\u00e4nge", "in", *ONE_SIDE, "", *SHEETS, ""]
    data = "".join(f"{a}\n" for a in answers).encode("cp1252")
    result = CliRunner().invoke(main, ["new", str(tmp_path / "x.toml")], input=data)
    assert result.exit_code == 0, result.output


@pytest.mark.parametrize("units", ["in", "mm"])
def test_the_form_is_a_job_file_without_mistakes_or_doubts(tmp_path: Path, units: str) -> None:
    job_file = tmp_path / "form.toml"
    code, said = asked(job_file, options=("--template", "--units", units))
    assert code == 0
    assert "Title" not in said
    job = read_job(job_file)
    assert (job.units.value, job.warnings) == (units, ())


def form_in_full(units: Units) -> tuple[str, Job]:
    """The form with every key that is commented out written in."""
    text = re.sub(r"(?m)^( *)# (?=\w+ = |\[)", r"\1", template_text(units))
    return text, job_from_text(text, "form")


@pytest.mark.parametrize("units", Units)
def test_the_form_stays_one_with_all_its_keys_written_in(units: Units) -> None:
    text, job = form_in_full(units)
    assert "\n# [" not in text
    # the form keeps the usual method, for which there is no shear
    assert [text for text in job.warnings if "shear_length" not in text] == []
    assert len(job.sides[0].windows) == 1
    assert sum(patch.quantity for patch in job.patches) == 2
    assert {piece.section for piece in asked_pieces(job)} == {"post channel", "1x1 tube"}
    assert [paint.name for paint in job.order.paints] == ["epoxy primer"]


def test_defaults_that_the_form_shows_are_those_in_force() -> None:
    for units in Units:
        plain = job_from_text(template_text(units), "form")
        _, full = form_in_full(units)
        for name in ("gap", "edge_margin"):
            assert getattr(full.cutting, name) == getattr(plain.cutting, name)
        for name in ("edge_distance", "rows", "row_spacing", "butt_gap"):
            assert getattr(full.seam, name) == pytest.approx(getattr(plain.seam, name))
        for name in ("diameter", "seam_pitch", "edge_pitch", "post_pitch", "spare", "post_thickness"):
            assert getattr(full.rivets, name) == pytest.approx(getattr(plain.rivets, name))
        assert full.land == plain.land


@pytest.mark.parametrize(
    ("said", "bays"),
    [
        ("28 1/4", [("28 1/4", "39")]),
        ("28 1/4; 28;27", [("28 1/4", "39"), ("28", "39"), ("27", "39")]),
        ("28 1/4 x 40", [("28 1/4", "40")]),
        ("28 by 40; 29", [("28", "40"), ("29", "39")]),
        ("", [("1", "2")]),
    ],
)
def test_bays_are_understood_as_dictated(said: str, bays: list[tuple[str, str]]) -> None:
    assert list(bays_answer(said, Units.INCH, "39", ("1", "2"))) == bays


@pytest.mark.parametrize("said", ["48x120", "48 X 120", "48 by 120", "48\u00d7120", "48 x 120"])
def test_sizes_are_understood_in_every_usual_way(said: str) -> None:
    assert size_answer(said, Units.INCH) == ("48", "120")
    assert size_answer("2' x 10'", Units.INCH) == ("2'", "10'")


def test_what_cannot_be_an_answer_is_refused_with_what_to_say() -> None:
    refused = [
        (lambda: units_answer("cm"), "in or mm"),
        (lambda: hand_answer(""), "left or right"),
        (lambda: count_answer("0"), "whole number, 1 to 400"),
        (lambda: money_answer("1.000,50"), "plain number"),
        (lambda: money_answer("nan"), "plain number"),
        (lambda: posts_answer("2; 2; 2", Units.INCH, 3), "3 bays have 2 posts"),
        (lambda: size_answer("48", Units.INCH), "width x length"),
        (lambda: sheet_answer("48 x 999 ft", Units.INCH), "no sheet is larger"),
        (lambda: bays_answer("", Units.INCH, "39", None), "first bay"),
        (lambda: bays_answer("28", Units.INCH, "", None), "height too"),
        (lambda: bays_answer("28; 28", Units.INCH, "39", None, room=1), "1 more than"),
        (lambda: stock_answer([], Units.INCH), "at least one"),
        (lambda: overall_answer("60", Units.INCH, [("28", "39")], ()), "32 in less"),
    ]
    for answer, says in refused:
        with pytest.raises(PlannerError, match=says):
            answer()


def test_two_sheets_of_one_name_are_asked_for_again() -> None:
    twice = [NewSheet("40 x 100", "40", "100", 5.0)] * 2
    with pytest.raises(PlannerError, match="name"):
        stock_answer(twice, Units.INCH)
