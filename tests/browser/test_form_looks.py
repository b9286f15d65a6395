"""How the form looks and feels: accessible, large enough for gloves, legible in sunlight, silent."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import expect

from tests.bench.fleet import make
from tests.browser.accessibility import AXE, violations
from tests.browser.conftest import Opened
from tests.browser.form_pages import SCREENS, Form, OpenForm, demo
from tests.reporting.forms import form_of

each_size = pytest.mark.parametrize("size", list(SCREENS))
each_scheme = pytest.mark.parametrize("scheme", ["light", "dark"])


def views(form: Form) -> Iterator[str]:
    """Show every view in turn, with flags and messages on it, and yield its name."""
    yield "list, nothing said"
    form.begin()
    form.page.locator(".cautions summary").click()
    yield "list"
    form.go("PT-33").type("Serial number", "410034")
    form.type("CH", "8")
    form.press("ENC", "on")
    form.type("ADDR", "999", end="Tab")
    form.type("LRV", "0")
    yield "device"
    form.field("NET ID").get_by_role("button", name="Leave out").click()
    yield "device, asking why"
    form.page.goto(f"{form.address}#/export")
    form.page.locator("#as-text summary").click()
    form.page.locator("#delete summary").click()
    yield "export"
    form.page.get_by_role("button", name="Delete all entries…").click()
    yield "delete"


@pytest.mark.parametrize(
    ("size", "scheme"), [("phone", "light"), ("phone", "dark"), ("small phone", "dark"), ("tablet", "light")]
)
def test_every_view_is_accessible(open_form: OpenForm, size: str, scheme: str) -> None:
    """The checker finds no violation: names, roles, contrast, order of headings."""
    form = open_form(size=size, scheme=scheme)

    assert {view: violations(Opened(form.page)) for view in views(form)} == {view: [] for view in VIEWS}


VIEWS = ("list, nothing said", "list", "device", "device, asking why", "export", "delete")
TOO_SMALL = """() => [...document.querySelectorAll("a, button, input, select, summary, textarea")]
  .filter(one => one.checkVisibility({ contentVisibilityAuto: false }))
  .map(one => [one, one.getBoundingClientRect()])
  .filter(([one, box]) => box.height < 44 || box.width < 44)
  .map(([one, box]) => `${one.tagName} ${one.id || one.textContent} ${box.width} x ${box.height}`)"""


@each_size
def test_everything_to_press_is_large_enough_for_gloves(open_form: OpenForm, size: str) -> None:
    """It is at least 44 pixels each way, on every view: WCAG 2.2, 2.5.5 Target Size (Enhanced)."""
    form = open_form(size=size)

    assert {view: form.page.evaluate(TOO_SMALL) for view in views(form)} == {view: [] for view in VIEWS}


@each_size
def test_no_view_scrolls_sideways(open_form: OpenForm, size: str) -> None:
    """The page is as wide as the screen, however small."""
    form = open_form(size=size)
    fits = "document.documentElement.scrollWidth <= window.innerWidth"

    assert {view: form.page.evaluate(fits) for view in views(form)} == dict.fromkeys(VIEWS, True)


def test_no_view_asks_for_anything_or_complains(open_form: OpenForm) -> None:
    """There is no request except for the file, no error on the console, and no dialog of the browser."""
    form = open_form()

    assert len(list(views(form))) == len(VIEWS)
    assert form.wrong == []


def test_an_injected_script_would_not_run(open_form: OpenForm) -> None:
    """If a text ever got through as a script element, the page's policy would keep it from running."""
    form = open_form(demo().replace("<main id", "<script>window.pwned = 1</script><main id", 1))

    assert form.page.evaluate("window.pwned === undefined")
    assert any("Content Security Policy" in wrong for wrong in form.wrong)


@each_scheme
def test_text_stands_out_in_sunlight(open_form: OpenForm, scheme: str) -> None:
    """Text has at least the contrast 7 to 1 (WCAG 2.2, success criterion 1.4.6 Contrast (Enhanced))."""
    form = open_form(scheme=scheme)
    run = """axe.run({ runOnly: ["color-contrast", "color-contrast-enhanced"] })
      .then(found => found.violations.flatMap(one => one.nodes.map(node => node.target)))"""
    form.page.evaluate(AXE)

    assert {view: form.page.evaluate(run) for view in views(form)} == {view: [] for view in VIEWS}


def test_a_form_for_hundreds_of_nodes_is_usable_at_once(open_form: OpenForm, tmp_path: Path) -> None:
    """The list can be searched, a device opens, and a value is compared."""
    form = open_form(form_of(make(tmp_path, 300, 15).folder / "plan.yaml")).begin()
    form.go("T-000277").press("encryption", "off")

    expect(form.field("encryption").locator(".flag")).to_be_visible()
    assert form.values("T-000277", "encryption") == ["off"]
