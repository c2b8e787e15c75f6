"""Makes the pictures of README.md anew from the full-size sample: `make pictures`."""

from __future__ import annotations

import re
import tempfile
from pathlib import Path

from nesting.jobfile import read_job
from nesting.limits import SolveLimits
from nesting.output import write_results
from nesting.planning import plan_job

HERE = Path(__file__).resolve().parent
SAMPLE = HERE / "full-body.toml"
PICTURES = HERE / "pictures"
SECONDS = 600.0
"""Long enough to prove the plan: a proved plan gives the same pictures every time."""


WIDTH = 1200
"""Pixels: a drawing at full size would be ten metres wide on the page."""


def as_picture(drawing: str) -> str:
    """The drawing at the width of a page, its height following."""
    root = re.search(r"<svg\b[^>]*>", drawing)
    assert root
    sized = re.sub(r'\s(?:width|height)="[^"]*"', "", root[0]).replace("<svg", f'<svg width="{WIDTH}"', 1)
    return drawing.replace(root[0], sized, 1)


def main() -> None:
    planned = plan_job(read_job(SAMPLE), SolveLimits(SECONDS))
    fullest = max(range(len(planned.plan.sheets)), key=lambda index: len(planned.plan.sheets[index].parts))
    shown = {
        "elevations/driver-side.svg": "full-body-driver-side.svg",
        f"sheets/sheet-{fullest + 1:02}.svg": "full-body-sheet.svg",
    }
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        results = Path(folder) / "results"
        write_results(planned, results)
        for source, name in shown.items():
            drawing = (results / source).read_text(encoding="utf-8")
            (PICTURES / name).write_text(as_picture(drawing), encoding="utf-8")
            print(f"{PICTURES.name}/{name}: {planned.plan.status.value} plan")


if __name__ == "__main__":
    main()
