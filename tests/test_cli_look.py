"""What a stream can show: signs by its encoding, colours only where somebody sees them."""

from __future__ import annotations

import io

import pytest

from cli.look import Look
from nesting.documents.textview import Run, Tone


class Stream(io.TextIOWrapper):
    """A stream that says what it is."""

    def __init__(self, encoding: str, terminal: bool) -> None:
        super().__init__(io.BytesIO(), encoding=encoding)
        self._terminal = terminal

    def isatty(self) -> bool:
        return self._terminal


@pytest.mark.parametrize(
    ("terminal", "environment", "colours"),
    [
        (True, {}, True),
        (True, {"TERM": "xterm"}, True),
        (True, {"NO_COLOR": ""}, True),
        (True, {"NO_COLOR": "1"}, False),
        (True, {"NO_COLOR": "0"}, False),
        (True, {"TERM": "dumb"}, False),
        (False, {}, False),
        (False, {"NO_COLOR": "1"}, False),
    ],
)
def test_colours_need_a_terminal_and_no_objection(
    terminal: bool, environment: dict[str, str], colours: bool
) -> None:
    # NO_COLOR counts when it is there and not empty: the convention of the same name, kind (b)
    assert Look.of(Stream("utf-8", terminal), environment).colours is colours


@pytest.mark.parametrize(
    ("encoding", "ascii_only"),
    [("utf-8", False), ("UTF8", False), ("ascii", True), ("latin-1", True), ("cp437", True)],
)
def test_lines_are_plain_characters_unless_the_stream_is_utf_8(encoding: str, ascii_only: bool) -> None:
    assert Look.of(Stream(encoding, terminal=True), {}).ascii_only is ascii_only


def test_an_unknown_encoding_is_taken_as_plain() -> None:
    look = Look("no such thing")
    assert look.ascii_only
    assert look.shown("Höhe") == "H?he"


def test_a_stream_gets_only_what_it_can_take() -> None:
    assert Look("ascii").shown("Höhe 屋") == "H?he ?"
    assert Look("latin-1").shown("Höhe 屋") == "Höhe ?"
    assert Look("utf-8").shown("Höhe 屋 \udc80") == "Höhe 屋 ?"


def test_without_colours_nothing_is_added() -> None:
    look = Look()
    assert look.line([Run("D1", Tone.NAME), Run("!", Tone.DOUBT)]) == "D1!"
    assert (look.heading("a"), look.caution("b")) == ("a", "b")


@pytest.mark.parametrize("tone", [tone for tone in Tone if tone is not Tone.PLAIN])
def test_every_tone_looks_different(tone: Tone) -> None:
    look = Look(colours=True)
    shown = {other: look.line([Run("x", other)]) for other in Tone}
    assert shown[Tone.PLAIN] == "x"
    assert [other for other in Tone if shown[other] == shown[tone]] == [tone]
