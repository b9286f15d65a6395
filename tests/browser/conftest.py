"""A browser without a screen, and pages opened in it from files as a person would open them."""

from __future__ import annotations

import hashlib
import shutil
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, sync_playwright

from tests.browser.form_pages import SCREENS, Form, OpenForm, demo

ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
SIZES = {"phone": (390, 844), "laptop": (1366, 768), "enlarged": (320, 256)}
"""`enlarged` is a screen of 1280 by 1024 at 400 %: WCAG 2.2, 1.4.10 Reflow."""
BROWSERS = ("chromium-headless-shell", "chromium")
"""Both have the same engine; the first draws no windows and takes a third of the computing."""
NEEDED = ("pdftotext", "pdftoppm")
"""Programs from Debian's package poppler-utils."""


@dataclass
class Opened:
    """A page in the browser, and what it did that it should not have done."""

    page: Page
    wrong: list[str] = field(default_factory=list)
    """Errors on the console, scripts that failed, dialogs, and requests for anything but the file itself."""

    def visible(self, selector: str) -> int:
        """Return how many elements of a kind are shown."""
        return self.page.locator(f"{selector} >> visible=true").count()


Open = Callable[..., Opened]
Printed = Callable[..., Path]


@pytest.fixture(scope="package")
def browser() -> Iterator[Browser]:
    """Return the browser; without one the tests are skipped.

    It runs an event loop, so it is closed before tests of another folder, which may need one of their own.
    """
    program = next(filter(None, map(shutil.which, BROWSERS)), None)
    missing = [name for name in NEEDED if shutil.which(name) is None]
    if missing or not program:
        needed = [*missing, *([] if program else BROWSERS[:1])]
        pytest.skip(f"not installed: {', '.join(needed)} (Debian: {BROWSERS[0]}, poppler-utils)")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=program, args=ARGUMENTS)
        yield browser
        browser.close()


@pytest.fixture(scope="package")
def printed(browser: Browser, tmp_path_factory: pytest.TempPathFactory) -> Printed:
    """Return a function that prints a page to a file, as the browser's own print command does.

    A page is printed once on each size of paper, however many tests look at it.
    """
    folder = tmp_path_factory.mktemp("printed")

    @cache
    def print_to_file(source: str, paper: str, scheme: str = "light") -> Path:
        file = folder / f"{len(list(folder.iterdir()))}.html"
        file.write_text(source, encoding="utf-8")
        with _context(browser, "laptop", scheme) as context:
            page = context.new_page()
            page.goto(file.as_uri())
            page.pdf(path=file.with_suffix(".pdf"), format=paper)
        return file.with_suffix(".pdf")

    return print_to_file


@pytest.fixture
def open_page(browser: Browser, tmp_path: Path) -> Iterator[Open]:
    """Return a function that writes a page to a file and opens it."""
    contexts = []

    def opened(source: str, size: str = "laptop", scheme: str = "light", *, script: bool = True) -> Opened:
        file = tmp_path / "report.html"
        file.write_text(source, encoding="utf-8")
        context = _context(browser, size, scheme, script=script)
        contexts.append(context)
        made = Opened(context.new_page())
        _watch(made, file.as_uri())
        made.page.goto(file.as_uri())
        return made

    yield opened
    for context in contexts:
        context.close()


def _context(browser: Browser, size: str, scheme: str, *, script: bool = True) -> BrowserContext:
    width, height = SIZES[size]
    return browser.new_context(
        viewport={"width": width, "height": height},
        color_scheme="dark" if scheme == "dark" else "light",
        java_script_enabled=script,
    )


def _watch(made: Opened, address: str) -> None:
    page = made.page
    page.on("console", lambda m: made.wrong.append(m.text) if m.type in ("error", "warning") else None)
    page.on("pageerror", lambda error: made.wrong.append(str(error)))
    page.on("dialog", lambda dialog: made.wrong.append(dialog.message))
    page.on("request", lambda r: made.wrong.append(r.url) if r.url.split("#")[0] != address else None)


@pytest.fixture
def open_form(browser: Browser, tmp_path: Path) -> Iterator[OpenForm]:
    """Return a function that opens a form on a phone without a network.

    `beside` opens another form in the browser of an open one; `script` runs before the page does.
    """
    contexts = []

    def opened(source: str = "", size: str = "phone", scheme: str = "light", *, script: str = "",
               javascript: bool = True, beside: Form | None = None) -> Form:  # fmt: skip
        text = source or demo()
        file = tmp_path / f"form-{hashlib.sha256(text.encode()).hexdigest()[:8]}.html"
        file.write_text(text, encoding="utf-8")
        width, height = SCREENS[size]
        context = beside.context if beside else browser.new_context(
            viewport={"width": width, "height": height},
            color_scheme="dark" if scheme == "dark" else "light",
            has_touch=True, is_mobile=True, java_script_enabled=javascript, offline=True,
        )  # fmt: skip
        if not beside:
            contexts.append(context)
        page = context.new_page()
        if script:
            page.add_init_script(script)
        made = Opened(page)
        _watch(made, file.as_uri())
        page.goto(file.as_uri())
        return Form(page, file.as_uri(), made.wrong)

    yield opened
    for context in contexts:
        context.close()


@pytest.fixture
def begun(open_form: OpenForm) -> Form:
    """Return the demo site's form, with a reader and the decimal point."""
    return open_form().begin()
