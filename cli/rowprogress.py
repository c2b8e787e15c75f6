"""How many rows of a table are done, while the others are planned."""

from __future__ import annotations

import threading
from collections.abc import Callable
from time import perf_counter
from types import TracebackType
from typing import Self, TextIO

SECONDS_BETWEEN_LOOKS = 0.5
SECONDS_BETWEEN_PLAIN_LINES = 5.0


class RowProgress:
    """One live line on a terminal, a plain line now and then elsewhere; shown by a thread of its own."""

    def __init__(self, stream: TextIO, live: bool, rows: int, stopping: Callable[[], bool]) -> None:
        self._stream, self._live, self._rows, self._stopping = stream, live, rows, stopping
        self._done = 0
        self._over = threading.Event()
        self._clock = perf_counter()
        self._thread = threading.Thread(target=self._show_until_over, daemon=True)

    def count(self, _row: object) -> None:
        """One more row is done."""
        self._done += 1

    def __enter__(self) -> Self:
        self._thread.start()
        return self

    def __exit__(
        self, _kind: type[BaseException] | None, _error: BaseException | None, _trace: TracebackType | None
    ) -> None:
        self._over.set()
        self._thread.join()
        if self._live:
            self._write("\r\x1b[K")

    def text(self) -> str:
        """The line as it stands."""
        seconds = perf_counter() - self._clock
        words = f"{seconds:4.0f} s  {self._done} of {self._rows} raises planned"
        if self._stopping():
            return f"{words}; stopping after those under way (Ctrl-C again: leave)"
        return words if self._done else f"{words} (the first takes longest)"

    def _show_until_over(self) -> None:
        last_plain = self._clock
        while not self._over.wait(SECONDS_BETWEEN_LOOKS):
            if self._live:
                self._write("\r\x1b[K" + self.text()[:79])
            elif perf_counter() - last_plain >= SECONDS_BETWEEN_PLAIN_LINES:
                last_plain = perf_counter()
                self._write(self.text() + "\n")

    def _write(self, text: str) -> None:
        self._stream.write(text)
        self._stream.flush()
