"""Mistakes in a job told together with the file they stand in."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from shared.errors import JobMistakes, PlannerError


@contextmanager
def mistakes_in(job_file: Path) -> Iterator[None]:
    """Whatever is found wrong with the job inside is raised again as one message that names the file."""
    try:
        yield
    except JobMistakes as found:
        count = len(found.mistakes)
        heading = f"{count} mistake{'' if count == 1 else 's'} in {job_file.name}"
        raise PlannerError("\n".join([heading, *(f"  {mistake}" for mistake in found.mistakes)])) from found
