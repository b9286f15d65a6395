"""Every kind of page for people who enlarge it, space it out, choose its colours, or hear it: WCAG 2.2."""

from __future__ import annotations

import pytest

from audit.read_results import ReadResult
from audit.reporting.summary_html import render as render_summary
from audit.summing import sum_up
from tests.browser.accessibility import violations
from tests.browser.conftest import Open
from tests.browser.pages import source
from tests.reporting.every_page import KINDS, page
from tests.the_examples import audit

each_kind = pytest.mark.parametrize("kind", KINDS)
ELSEWHERE = ("report", "history", "cards", "form")
"""Kinds whose other tests run the checker already."""
SIDEWAYS = "document.documentElement.scrollWidth - window.innerWidth"
SPACED = """() => { const sheet = new CSSStyleSheet();
  sheet.replaceSync(`* { line-height: 1.5 !important; letter-spacing: .12em !important;
    word-spacing: .16em !important } p { margin-bottom: 2em !important }`);
  document.adoptedStyleSheets = [sheet]; }"""
"""The spacing that a page has to bear: 1.4.12 Text Spacing."""
CUT = """() => [...document.querySelectorAll("body *")]
  .filter(e => !e.closest(".quiet, svg") && getComputedStyle(e).overflow === "hidden"
    && (e.scrollWidth > e.clientWidth + 1 || e.scrollHeight > e.clientHeight + 1))
  .map(e => e.textContent)"""
SCALE = "drawing => drawing.getBoundingClientRect().width / drawing.viewBox.baseVal.width"
PAINTS = """() => {
  const paints = (e) => [getComputedStyle(e).fill, getComputedStyle(e).stroke];
  return [...new Set([...document.querySelectorAll("svg [class]")].flatMap(paints))]; }"""
SYSTEM = {"light": ("rgb(255, 255, 255)", "rgb(0, 0, 0)"), "dark": ("rgb(0, 0, 0)", "rgb(255, 255, 255)")}
"""Ground and text of the contrast colours that the browser pretends to have."""


@pytest.mark.parametrize(("size", "scheme"), [("phone", "light"), ("laptop", "dark")])
@pytest.mark.parametrize("kind", [kind for kind in KINDS if kind not in ELSEWHERE])
def test_the_page_is_accessible(open_page: Open, kind: str, size: str, scheme: str) -> None:
    """The checker finds no violation: headings, tables, names, contrast, size of what is pressed."""
    assert violations(open_page(page(kind), size, scheme)) == []


@each_kind
def test_an_enlarged_page_scrolls_one_way(open_page: Open, kind: str) -> None:
    """1.4.10 Reflow: at 400 % nobody has to scroll sideways for each line; nor with letters spaced out."""
    opened = open_page(page(kind), "enlarged").page

    assert opened.evaluate(SIDEWAYS) <= 0
    opened.evaluate(SPACED)
    assert opened.evaluate(SIDEWAYS) <= 0


@each_kind
def test_text_that_is_spaced_out_is_not_cut(open_page: Open, kind: str) -> None:
    """1.4.12 Text Spacing: no text is lost, not even in the narrow headings of the matrix."""
    opened = open_page(page(kind), "laptop").page
    opened.evaluate(SPACED)

    assert opened.evaluate(CUT) == []


def test_long_names_of_settings_are_not_cut(open_page: Open) -> None:
    """The headings of the matrix stand upright, and are as high as their names are long, even spaced out."""
    long = page("report").replace(">report_interval<", ">report_interval_while_an_alarm_is_on<")
    opened = open_page(long, "laptop").page
    opened.evaluate(SPACED)

    assert opened.evaluate(CUT) == []


@pytest.mark.parametrize("kind", ["report", "drift", "summary"])
@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_drawings_take_the_colours_that_a_person_has_chosen(open_page: Open, kind: str, scheme: str) -> None:
    """1.4.11 Non-text Contrast: where the system's contrast colours are on, shapes have them as texts do."""
    opened = open_page(page(kind), "laptop", scheme).page
    opened.emulate_media(forced_colors="active", color_scheme="dark" if scheme == "dark" else "light")

    assert set(opened.evaluate(PAINTS)) <= {*SYSTEM[scheme], "rgb(0, 0, 0)", "none"}  # black: a line's fill


def test_texts_on_alarm_strips_can_be_read_on_a_phone(open_page: Open) -> None:
    """They are at least nine pixels high; what is wider than the screen scrolls in its frame."""
    opened = open_page(source("6 nodes"), "enlarged").page

    assert min(10.5 * drawing.evaluate(SCALE) for drawing in opened.locator(".strip svg").all()) >= 9


def test_texts_on_bars_of_many_results_can_be_read_on_a_phone(open_page: Open) -> None:
    """Twelve bars are wider than the screen: they scroll in their frame, and are not made smaller."""
    result = audit("tarnbeck", "as-found")
    results = [result.model_copy(update={"run_on": f"2025-{month:02}-01"}) for month in range(1, 13)]
    summary = sum_up([ReadResult(one, f"{one.run_on}.json", one.run_on) for one in results])
    opened = open_page(render_summary(summary), "enlarged").page

    assert opened.locator("svg.bars").evaluate(SCALE) == 1
    assert opened.evaluate(SIDEWAYS) <= 0


def test_headings_of_a_table_that_became_a_list_are_still_heard(open_page: Open) -> None:
    """1.3.1: on a narrow screen a finding is shown as a block; for a screen reader it is a row of a table."""
    opened = open_page(page("report"), "enlarged").page
    heads = opened.locator("table.findings").first.get_by_role("columnheader")

    assert heads.all_text_contents() == ["cause", "level", "node", "finding and evidence", "planned", "found"]
