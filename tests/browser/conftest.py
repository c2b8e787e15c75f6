"""A browser that is driven, and the pages that are opened in it."""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

from nesting.documents.screen.page import page_html
from nesting.plan import TradePoint
from tests.long_plan import long_plan, renamed

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

ATTACK = "</title></svg><script>document.title = 'taken'</script>\" onfocus=\"alert(1)\" '&"
"""A part's name that must stay words."""
BUS = "\U0001f68c דלת"

Opener = Callable[..., "Page"]


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """The browser of the system, driven; nothing is downloaded for it."""
    # imported here: the other tests do without this package
    from playwright.sync_api import sync_playwright

    place = os.environ.get("CHROMIUM") or shutil.which("chromium") or shutil.which("chromium-browser")
    assert place, "no browser found: install the Debian package chromium, or set CHROMIUM to its path"
    with sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=place, args=["--no-sandbox", "--disable-gpu"])
        yield opened
        opened.close()


@pytest.fixture(scope="session")
def page_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The page of the long side: three panels, three sheets, four patches; odd names and a trade-off."""
    plan = renamed(long_plan(), {"D1": ATTACK, "D2": BUS})
    points = (TradePoint(2, 384.0, 384.0), TradePoint(3, 384.0, 350.0), TradePoint(5, 350.0, 350.0))
    plan = replace(
        plan, plan=replace(plan.plan, tradeoff=points), job=replace(plan.job, title=f"{ATTACK} {BUS}")
    )
    file = tmp_path_factory.mktemp("page") / "index.html"
    file.write_text(page_html(plan), encoding="utf-8")
    return file


@pytest.fixture
def open_page(browser: Browser, page_file: Path) -> Iterator[Opener]:
    """Opens the page at a width; at the end nothing may have been complained of, asked for or popped up."""
    complaints: list[str] = []
    contexts = []

    def opened(width: int = 390, **more: Any) -> Page:
        context = browser.new_context(viewport={"width": width, "height": 844}, **more)
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(10_000)
        page.on("console", lambda message: complaints.append(message.text))
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on("dialog", lambda dialog: (complaints.append(dialog.message), dialog.dismiss()))
        page.on("request", lambda request: complaints.append(request.url) if request.url != address else None)
        page.goto(address)
        return page

    address = page_file.as_uri()
    yield opened
    for context in contexts:
        context.close()
    assert complaints == []
