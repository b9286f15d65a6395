"""A browser without a screen, and pages opened in it from files, as a person would open them."""

from __future__ import annotations

import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Page, sync_playwright

ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
SIZES = {"phone": (390, 844), "laptop": (1366, 768)}
NEEDED = ("chromium", "pdftotext", "pdftoppm")
"""Programs from Debian's packages chromium and poppler-utils."""


@dataclass
class Opened:
    """A page in the browser, and what it did that it should not do."""

    page: Page
    wrong: list[str] = field(default_factory=list)
    """Errors on the console, scripts that failed, dialogs, and requests for anything but the file itself."""

    def visible(self, selector: str) -> int:
        """Return how many elements of a kind are shown."""
        return self.page.locator(f"{selector} >> visible=true").count()


Open = Callable[..., Opened]


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """Return the browser; without one there is nothing to test in."""
    missing = [name for name in NEEDED if shutil.which(name) is None]
    if missing:
        pytest.skip(f"not installed: {', '.join(missing)} (Debian: chromium, poppler-utils)")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=shutil.which("chromium"), args=ARGUMENTS)
        yield browser
        browser.close()


@pytest.fixture
def open_page(browser: Browser, tmp_path: Path) -> Iterator[Open]:
    """Return a function that writes a page to a file and opens it."""
    contexts = []

    def opened(source: str, size: str = "laptop", scheme: str = "light", *, script: bool = True) -> Opened:
        file = tmp_path / "report.html"
        file.write_text(source, encoding="utf-8")
        width, height = SIZES[size]
        context = browser.new_context(
            viewport={"width": width, "height": height},
            color_scheme="dark" if scheme == "dark" else "light",
            java_script_enabled=script,
        )
        contexts.append(context)
        made = Opened(context.new_page())
        _watch(made, file.as_uri())
        made.page.goto(file.as_uri())
        return made

    yield opened
    for context in contexts:
        context.close()


def _watch(made: Opened, address: str) -> None:
    page = made.page
    page.on("console", lambda m: made.wrong.append(m.text) if m.type in ("error", "warning") else None)
    page.on("pageerror", lambda error: made.wrong.append(str(error)))
    page.on("dialog", lambda dialog: made.wrong.append(dialog.message))
    page.on("request", lambda r: made.wrong.append(r.url) if r.url.split("#")[0] != address else None)
