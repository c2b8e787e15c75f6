"""The written page opens in a browser from the folder alone, without a script error or a request outside."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from nesting.output import write_results
from tests.hand_plans import planned_two_panels

pytestmark = pytest.mark.browser

BROWSER = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
QUIET = (
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--enable-logging=stderr",
)


def opened(page: Path, profile: Path, *more: str) -> tuple[str, str]:
    """What the browser made of the page, and what it complained about while doing so."""
    assert BROWSER, "no browser found: install the Debian package chromium, or set CHROMIUM to its path"
    ran = subprocess.run(
        [BROWSER, *QUIET, f"--user-data-dir={profile}", *more, page.as_uri()],
        capture_output=True,
        text=True,
        timeout=120,
        check=True,
    )
    complaints = "\n".join(line for line in ran.stderr.splitlines() if "CONSOLE" in line)
    return ran.stdout, complaints


@pytest.fixture(scope="module")
def results(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A results folder of the hand-made plan of two panels."""
    folder = tmp_path_factory.mktemp("page") / "out"
    write_results(planned_two_panels(), folder)
    return folder


def test_page_opens_with_title_panels_and_drawings(results: Path, tmp_path: Path) -> None:
    page, complaints = opened(results / "index.html", tmp_path, "--dump-dom")
    assert complaints == ""
    assert "hand job" in page
    assert re.search(r"<svg\b", page)
    for name in ("D1", "D2"):
        assert name in page


def test_the_browser_reports_a_broken_page(tmp_path: Path) -> None:
    broken = tmp_path / "broken.html"
    broken.write_text("<script>nothing.there()</script>", encoding="utf-8")
    _, complaints = opened(broken, tmp_path / "profile", "--dump-dom")
    assert "nothing is not defined" in complaints


def test_page_fetches_nothing(results: Path) -> None:
    page = (results / "index.html").read_text(encoding="utf-8")
    # an address in xmlns only names the vocabulary of the drawing; it is never fetched
    without_names = re.sub(r'xmlns(:\w+)?="[^"]*"', "", page)
    assert not re.search(r"(?:https?:)?//[\w.]+\.\w", without_names)
    assert not re.search(r"<(?:link|iframe|object|embed)\b", page)


def test_page_draws_to_its_edge(results: Path, tmp_path: Path) -> None:
    picture = tmp_path / "page.png"
    opened(results / "index.html", tmp_path / "profile", "--window-size=1200,900", f"--screenshot={picture}")
    assert picture.read_bytes().startswith(b"\x89PNG")
    # a blank page of this size compresses to about 4 kB
    assert picture.stat().st_size > 15_000
