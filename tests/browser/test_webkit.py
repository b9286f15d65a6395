"""The form in WebKit, the engine of Safari; the other tests of pages are made in Chromium."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
from collections.abc import Iterator
from contextlib import ExitStack
from pathlib import Path

import pytest
from selenium.webdriver import Keys, WebKitGTK
from selenium.webdriver.common.by import By
from selenium.webdriver.remote.webelement import WebElement
from selenium.webdriver.support.wait import WebDriverWait
from selenium.webdriver.webkitgtk.options import Options
from selenium.webdriver.webkitgtk.service import Service

from tests.reporting.forms import form_of
from tests.small_site import SmallSite, node, run, small_site

pytestmark = pytest.mark.filterwarnings("ignore:setting remote_server_addr:DeprecationWarning")
"""Selenium warns of what it does itself."""
NEEDED = {"WebKitWebDriver": "webkit2gtk-driver", "Xvfb": "xvfb"}
"""Programs, and Debian's packages that have them."""


@pytest.fixture
def webkit(tmp_path: Path) -> Iterator[WebKitGTK]:
    """Return a browser with a screen and a home of its own; without one the test is skipped."""
    driver, screen = map(shutil.which, NEEDED)
    if not driver or not screen:
        pytest.skip(f"not installed: {' or '.join(NEEDED.values())} (Debian)")
    with ExitStack() as ends:
        shown = ends.enter_context(subprocess.Popen([screen, "-displayfd", "1"], stdout=subprocess.PIPE,
                                                    stderr=subprocess.DEVNULL, text=True))  # fmt: skip
        ends.callback(shown.terminate)
        display = shown.stdout.readline().strip() if shown.stdout else ""
        own = {**os.environ, "DISPLAY": f":{display}", "HOME": str(tmp_path)}
        browser = WebKitGTK(Options(), Service(driver, env=own))
        ends.callback(browser.quit)
        browser.set_window_size(460, 860)
        yield browser


@pytest.fixture
def site(tmp_path: Path) -> SmallSite:
    """Return a site of one node, and its form beside the plan."""
    made = small_site(tmp_path, nodes=[node(1)])
    (tmp_path / "form.html").write_text(form_of(made.plan), encoding="utf-8")
    return made


def field(browser: WebKitGTK, label: str) -> WebElement:
    """Return the field of a setting, by its label on the display."""
    return browser.find_element(By.XPATH, f"//section[@class='field'][h2//b[.='{label}']]")


def typed(browser: WebKitGTK, label: str, text: str, end: str = Keys.ENTER) -> WebElement:
    """Type a value into a field; return the field."""
    found = field(browser, label)
    found.find_element(By.TAG_NAME, "input").send_keys(text, end)
    return found


def test_what_is_entered_is_kept_exported_and_checked(
    webkit: WebKitGTK, site: SmallSite, tmp_path: Path
) -> None:
    """Values outlive the page, what is half typed too; the check reads the file that the browser saves."""
    address = site.plan.with_name("form.html").as_uri()
    webkit.get(address)
    assert webkit.find_element(By.ID, "trouble").text == ""
    webkit.find_element(By.ID, "reader").send_keys("R. Sample", Keys.TAB)
    webkit.find_element(By.CSS_SELECTOR, "[data-mark='.']").click()
    webkit.get(f"{address}#/1")
    typed(webkit, "Serial number", "100001")
    assert "Differs from the plan" in typed(webkit, "CH", "9").text
    typed(webkit, "LRV", "0.", end="")
    webkit.refresh()
    assert "Differs from the plan" in field(webkit, "CH").text
    assert "Not kept yet" in field(webkit, "LRV").text
    typed(webkit, "LRV", "0")

    webkit.get(f"{address}#/export")
    webkit.find_element(By.ID, "export-file").click()
    [file] = WebDriverWait(webkit, 60).until(lambda _: list(tmp_path.rglob("*.jsonl")))
    entries = [json.loads(line) for line in file.read_text(encoding="utf-8").splitlines()]
    assert [one["value"] for one in entries] == ["100001", "9", "0.0"]
    outcome = run("check", site.plan, file, "--out", site.plan.with_name("result.json"))
    assert outcome.code == 1, outcome.written
    counts = json.loads(site.plan.with_name("result.json").read_text(encoding="utf-8"))["counts"]
    assert (counts["verified"], counts["differing"]) == (1, 1)
