"""The progress display."""

from __future__ import annotations

from io import StringIO

from cli.progress import ProgressLine, progress_text
from nesting.limits import Progress


def test_progress_shows_best_bound_gap_and_time() -> None:
    text = progress_text(Progress(best=1119.0, bound=1063.05, stage="proving"), 12.3)
    assert text.split("  ") == ["", "12 s", "best 1119.00", "at least 1063.05", "gap 5.0%", "proving"]


def test_progress_without_a_plan_claims_no_gap() -> None:
    text = progress_text(Progress(best=None, bound=900.0, stage="first plan"), 1.0)
    assert "no plan yet" in text
    assert "gap" not in text


def test_progress_leaves_out_a_bound_that_says_nothing() -> None:
    assert "at least" not in progress_text(Progress(best=10.0, bound=float("-inf"), stage="starting"), 1.0)


def test_off_a_terminal_a_line_comes_at_most_every_five_seconds() -> None:
    stream = StringIO()
    display = ProgressLine(stream, live=False)
    for tenth in range(0, 120):
        display.note(Progress(best=float(tenth), bound=1.0, stage="searching"))
        display.show(tenth / 10)
    assert len(stream.getvalue().splitlines()) == 2
    assert "\r" not in stream.getvalue()
    assert "\x1b" not in stream.getvalue()


def test_on_a_terminal_the_live_line_is_taken_away_at_the_end() -> None:
    stream = StringIO()
    display = ProgressLine(stream, live=True)
    display.show(0.1)
    display.show(0.2)
    display.clear()
    assert "\n" not in stream.getvalue()
    assert stream.getvalue().endswith("\r\x1b[K")
