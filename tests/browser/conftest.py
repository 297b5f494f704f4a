"""A headless Chromium for the tests of the report's player.

Needs Debian's packages chromium and chromium-driver, and selenium from PyPI. Where one
is missing the tests are skipped, unless HOISTOPT_BROWSER_REQUIRED=1 says they must run.
"""

from __future__ import annotations

import os
import shutil
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tests.helpers.shown.report_pages import page_of
from tests.helpers.shown.report_window import Window

REQUIRED = os.environ.get("HOISTOPT_BROWSER_REQUIRED") == "1"
FLAGS = (
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--hide-scrollbars",
)


def _missing() -> str | None:
    for program in ("chromium", "chromedriver"):
        if shutil.which(program) is None:
            return f"{program} is not installed"
    try:
        import selenium  # noqa: F401
    except ImportError:
        return "selenium is not installed"
    return None


@pytest.fixture(scope="session")
def driver(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """One browser for all tests, with its console and its network listened to."""
    missing = _missing()
    if missing:
        (pytest.fail if REQUIRED else pytest.skip)(missing)
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    options = webdriver.ChromeOptions()
    options.binary_location = str(shutil.which("chromium"))
    for flag in (*FLAGS, f"--user-data-dir={tmp_path_factory.mktemp('profile')}"):
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    # Named outright, so that nothing goes looking for a driver to download.
    browser = webdriver.Chrome(options=options, service=Service(shutil.which("chromedriver")))
    yield browser
    browser.quit()


@pytest.fixture(scope="session")
def pages(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str], Path]:
    """The report on a line of `report_lines`, as a file."""
    folder = tmp_path_factory.mktemp("reports")

    def page(name: str) -> Path:
        path: Path = folder / f"{name}.html"
        if not path.exists():
            path.write_text(page_of(name), encoding="utf-8")
        return path

    return page


@pytest.fixture
def show(driver: Any, pages: Callable[[str], Path]) -> Iterator[Callable[..., Window]]:
    """Open a report in a fresh tab state; at the end nothing may have gone wrong in it."""
    opened: list[Window] = []

    def show(name: str, width: int = 1280, height: int = 900, **media: str) -> Window:
        window = Window(driver, pages(name))
        window.resize(width, height)
        window.media(**media)
        window.open()
        opened.append(window)
        return window

    yield show
    for window in opened:
        window.assert_quiet()
