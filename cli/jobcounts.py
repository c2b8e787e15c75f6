"""A job in counts: how much of what there is, and where its mistakes are, without a word that its user wrote."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Any

from cli.installation import where_raised
from shared.errors import JobMistakes, PlannerError

if TYPE_CHECKING:
    from nesting.job import Job

MOST_PLACES = 40
WORD = re.compile(r"[^\W\d]+")
PLACES = "the and of in to line column entry item row copy corner edge arc hole bay bays post rail"
"""Words that places are told in beside those of the job file's keys."""


def job_counts(job_file: Path) -> dict[str, Any]:
    """The report by its labels: the file's name, whether it reads, and its counts or the places of its mistakes."""
    report: dict[str, Any] = {"file": job_file.name}
    try:
        report["size"] = f"{job_file.stat().st_size} bytes"
        from nesting.jobfile import read_job

        job = read_job(job_file)
    except JobMistakes as found:
        report["read"] = f"{len(found.mistakes)} mistake{'s' * (len(found.mistakes) != 1)}, at"
        places = [known_words(mistake.place) for mistake in found.mistakes]
        return {**report, "places": places[:MOST_PLACES]}
    except OSError as error:
        return {**report, "read": f"no: {type(error).__name__}"}
    except PlannerError as error:
        at = re.search(r"line \d+(, column \d+)?", str(error))
        return {**report, "read": f"no: {type(error).__name__}{f' at {at[0]}' if at else ''}"}
    except Exception as error:
        return {**report, "read": f"no, and this is a fault in reskin: {where_raised(error)}"}
    return {**report, "read": "yes", **_counts(job)}


def known_words(place: str) -> str:
    """A place in a job file with the words of the job file's own keys and tables only, others as dots."""
    from nesting.reading.tables import ALL_TABLES

    known = set(PLACES.split())
    for table in ALL_TABLES:
        for text in (table.header, table.noun, *(key.name for key in table.keys)):
            known.update(WORD.findall(text))
    unquoted = re.sub(r"'[^']*'|\"[^\"]*\"|`[^`]*`|\|[^|]*\|", "...", place)
    return WORD.sub(lambda word: word[0] if word[0] in known else "...", unquoted)


def _counts(job: Job) -> dict[str, Any]:
    bays = [bay for side in job.sides for bay in side.bays]
    return {
        "units": job.units.value,
        "method": job.cutting.method.value,
        "turn": job.cutting.turn.value,
        "seams": job.seam.kind.value,
        "sides": len(job.sides),
        "bays": f"{len(bays)}, of which {sum(bay.outline is not None for bay in bays)} are no rectangles",
        "rails": sum(len(side.rails) for side in job.sides),
        "windows": sum(len(side.windows) for side in job.sides),
        "patches": f"{len(job.patches)} kinds, {sum(patch.quantity for patch in job.patches)} pieces",
        "stock sizes": f"{len(job.stock)}, of which {sum(stock.on_hand for stock in job.stock)} are on hand",
        "decided already": len(job.fixed.panels) + len(job.fixed.patches) + len(job.fixed.strips),
        "doubts": len(job.warnings),
    }
