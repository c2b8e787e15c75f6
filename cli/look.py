"""How results look on this terminal: signs that it can show, and colours only where somebody sees them."""

from __future__ import annotations

import codecs
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, TextIO

import click

if TYPE_CHECKING:
    from nesting.documents.textview import Run


@dataclass(frozen=True)
class Look:
    """What a stream can show; ``encoding`` as Python names it."""

    encoding: str = "utf-8"
    colours: bool = False

    @classmethod
    def of(cls, stream: TextIO, environment: Mapping[str, str]) -> Look:
        """Colours on a terminal alone, and never with NO_COLOR set (to anything) or on a dumb one."""
        colours = stream.isatty() and not environment.get("NO_COLOR") and environment.get("TERM") != "dumb"
        return cls(getattr(stream, "encoding", None) or "ascii", colours)

    @property
    def ascii_only(self) -> bool:
        """True where lines have to be made of plain characters."""
        try:
            return codecs.lookup(self.encoding).name != "utf-8"
        except LookupError:
            return True

    def shown(self, text: str) -> str:
        """The text with ``?`` for every character that the stream cannot take."""
        try:
            return text.encode(self.encoding, "replace").decode(self.encoding)
        except LookupError:
            return text.encode("ascii", "replace").decode("ascii")

    def heading(self, text: str) -> str:
        """A heading, bold if that can be seen."""
        return click.style(text, bold=True) if self.colours else text

    def caution(self, text: str) -> str:
        """Words that must not be passed over."""
        return click.style(text, fg="yellow", bold=True) if self.colours else text

    def line(self, runs: Iterable[Run]) -> str:
        """A line of a text view."""
        if not self.colours:
            return "".join(run.text for run in runs)
        return "".join(_styled(run) for run in runs)


def _styled(run: Run) -> str:
    """Names are bold, what is faint is dim; no colour says what no sign says."""
    tone = run.tone.value
    if tone == "plain":
        return run.text
    doubtful = tone == "doubt"
    return click.style(
        run.text,
        fg="yellow" if doubtful else None,
        bold=tone in ("name", "doubt") or None,
        dim=tone == "faint" or None,
    )
