"""The two kinds of failure: a mistake the user can mend, and everything else (which keeps its traceback)."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

LONGEST_SHOWN = 80
"""How many characters of a value a message repeats."""


class PlannerError(Exception):
    """The user can act on this: the message says where, what was read and what to do."""


class LengthError(PlannerError):
    """A length that cannot be read.

    ``read`` is what stood there, ``remedy`` says why it will not do and what to write instead.
    """

    def __init__(self, read: str, remedy: str) -> None:
        self.read = read
        self.remedy = remedy
        super().__init__(f"read {read}; {remedy}")


@dataclass(frozen=True)
class Mistake:
    """One thing that is wrong in a job.

    ``place`` is the way to it in the job file (``side 'driver side', bay 4, width``), ``read`` is what
    stands there as the user wrote it (empty where nothing does), ``remedy`` says what to do.
    """

    place: str
    read: str
    remedy: str

    def __str__(self) -> str:
        read = f" read {self.read};" if self.read else ""
        return f"{self.place}:{read} {self.remedy}"


class JobMistakes(PlannerError):
    """Everything that is wrong in a job, all at once."""

    def __init__(self, mistakes: Iterable[Mistake]) -> None:
        self.mistakes = tuple(mistakes)
        super().__init__("\n".join(str(mistake) for mistake in self.mistakes))


class NothingFits(PlannerError):
    """No plan exists: the message names the stock size that would do."""


class OutputRefused(PlannerError):
    """The results cannot be written where the user asked."""


class PlanRejected(Exception):
    """The independent check found a plan of ours wrong: a bug of ours, never the user's mistake."""

    def __init__(self, faults: Iterable[str]) -> None:
        self.faults = tuple(faults)
        super().__init__("the plan failed its own check: " + "; ".join(self.faults))


def as_written(value: object) -> str:
    """A value from a job file about as it stands there, on one line, cut short where long."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int):
        return str(value) if value.bit_length() < 100 else "a number of more than thirty digits"
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    if not isinstance(value, str):
        return str(value)
    text = value if len(value) <= LONGEST_SHOWN else value[: LONGEST_SHOWN - 3] + "..."
    if not text.isprintable():
        return repr(text)
    # A reading in feet and inches holds both kinds of quotes, and escapes would make it hard to compare.
    return next(
        f"{quote}{text}{quote}" for quote in ("'", '"', "`", "|") if quote not in text or quote == "|"
    )
