"""How the search stands while it runs: one live line on a terminal, a plain line now and then elsewhere."""

from __future__ import annotations

import shutil
from math import isfinite
from typing import TYPE_CHECKING, TextIO

if TYPE_CHECKING:
    from nesting.limits import Progress

SECONDS_BETWEEN_PLAIN_LINES = 5.0


def progress_text(progress: Progress | None, seconds: float) -> str:
    """One line: seconds gone, best cost, the cost that no plan can beat, the gap between them, the stage."""
    words = [f"{seconds:4.0f} s"]
    if progress is None:
        return f"{words[0]}  getting ready (the first run after installing takes half a minute to compile)"
    best, bound = progress.best, progress.bound
    words.append("no plan yet" if best is None else f"best {best:.2f}")
    if isfinite(bound) and bound > 0:
        words.append(f"at least {bound:.2f}")
        if best is not None and best > 0:
            words.append(f"gap {max(0.0, (best - bound) / best):.1%}")
    return "  ".join([*words, progress.stage])


class ProgressLine:
    """Shows progress on ``stream``; `note` may be called from another thread than `show`."""

    def __init__(self, stream: TextIO, live: bool) -> None:
        self._stream = stream
        self._live = live
        self._latest: Progress | None = None
        self._last_plain = 0.0
        self._shown = False

    def note(self, progress: Progress) -> None:
        """Keep the latest news for the next `show`."""
        self._latest = progress

    def show(self, seconds: float) -> None:
        """Bring the display up to date, ``seconds`` after the start."""
        if self._live:
            columns = shutil.get_terminal_size().columns
            self._stream.write("\r\x1b[K" + progress_text(self._latest, seconds)[: columns - 1])
            self._stream.flush()
            self._shown = True
        elif seconds - self._last_plain >= SECONDS_BETWEEN_PLAIN_LINES:
            self._last_plain = seconds
            self._stream.write(progress_text(self._latest, seconds) + "\n")
            self._stream.flush()

    def say(self, words: str) -> None:
        """A line of its own that stays."""
        self.clear()
        self._stream.write(words + "\n")
        self._stream.flush()

    def clear(self) -> None:
        """Take the live line away."""
        if self._shown:
            self._stream.write("\r\x1b[K")
            self._stream.flush()
            self._shown = False
