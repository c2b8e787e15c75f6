"""Ctrl-C while planning: the first press asks for the best plan so far, the second one leaves at once."""

from __future__ import annotations

import os
import signal
import sys
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from types import FrameType

INTERRUPTED = 130
"""Exit status: 128 + the number of the interrupt signal, as shells expect."""


class StopRequest:
    """Whether the user has asked to stop."""

    def __init__(self) -> None:
        self._asked = threading.Event()

    def ask(self) -> None:
        self._asked.set()

    def asked(self) -> bool:
        return self._asked.is_set()


@contextmanager
def stop_on_interrupt() -> Iterator[StopRequest]:
    """A stop request that Ctrl-C makes inside the block; a second press ends the process.

    Only for work that has written nothing yet: the second press runs no clean-up.
    """
    request = StopRequest()

    def on_interrupt(_number: int, _frame: FrameType | None) -> None:
        if request.asked():
            sys.stderr.write("\nreskin: abandoned; nothing was written\n")
            sys.stderr.flush()
            # The planning thread may be deep inside the solver, where no exception reaches it.
            os._exit(INTERRUPTED)
        request.ask()

    if threading.current_thread() is not threading.main_thread():
        yield request
        return
    before = signal.signal(signal.SIGINT, on_interrupt)
    try:
        yield request
    finally:
        signal.signal(signal.SIGINT, before)
