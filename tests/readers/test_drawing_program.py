"""A drawing program of its own opens the sheets and sides without complaint, in both releases of DXF (make readers)."""

from __future__ import annotations

import os
import shutil
import subprocess
from pathlib import Path

import pytest

from nesting.documents.dxf import DxfStyle, Release, write_dxf
from nesting.documents.elevation import elevation
from nesting.documents.sheetview import sheet_view
from tests.drawn import planned
from tests.odd_sides import odd_plan

PROGRAM = shutil.which("librecad")

pytestmark = [
    pytest.mark.reader,
    pytest.mark.skipif(
        PROGRAM is None, reason="no drawing program here: install the Debian package librecad"
    ),
]


@pytest.mark.parametrize("release", list(Release))
def test_a_drawing_program_opens_and_prints_what_we_wrote(release: Release, tmp_path: Path) -> None:
    assert PROGRAM is not None
    plan = planned(odd_plan())
    style = DxfStyle(release)
    write_dxf(sheet_view(plan, 0, drill=True), tmp_path / "sheet.dxf", plan.job.units, style)
    write_dxf(elevation(plan, plan.job.sides[0]), tmp_path / "side.dxf", plan.job.units, style)
    home = tmp_path / "home"
    home.mkdir()
    for name in ("sheet", "side"):
        printed = tmp_path / f"{name}.pdf"
        run = subprocess.run(
            [PROGRAM, "dxf2pdf", "-a", "-o", str(printed), str(tmp_path / f"{name}.dxf")],
            env={
                **os.environ,
                "QT_QPA_PLATFORM": "offscreen",
                "HOME": str(home),
                "XDG_RUNTIME_DIR": str(home),
            },
            capture_output=True,
            text=True,
            timeout=120,
            check=False,
        )
        said = f"{run.stdout}\n{run.stderr}".lower()
        assert run.returncode == 0, said
        assert not any(word in said for word in ("error", "warning", "fail", "cannot")), said
        assert printed.read_bytes().startswith(b"%PDF")
        # an empty page takes a few kilobytes at the most
        assert printed.stat().st_size > 20_000
