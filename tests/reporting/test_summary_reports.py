"""The summary as text and as a page: the same figures, in an order that helps, whatever the names are."""

from __future__ import annotations

from html.parser import HTMLParser
from pathlib import Path

import pytest

from audit.model.summary import Summary, TrendPoint
from audit.read_results import ReadResult
from audit.reporting import summary_html, summary_text
from audit.run import Order, run
from audit.summing import sum_up

EXAMPLES = Path(__file__).parents[2] / "examples"
HOSTILE = '<script>alert("x")</script>\u202e=1+1'


def read(example: str, readback: str, run_on: str, site: str = "") -> ReadResult:
    """Return the result of an example on a date, perhaps under another name."""
    plan = EXAMPLES / example / "plan.yaml"
    result = run(Order(plan, [EXAMPLES / example / readback], run_on=run_on))
    if site:
        result = result.model_copy(update={"site": result.site.model_copy(update={"name": site})})
    return ReadResult(result, f"{example}-{run_on}.json", f"{example}{readback}{run_on}")


@pytest.fixture(scope="module")
def summary() -> Summary:
    """Return the summary of a site that got better and one with a hostile name."""
    return sum_up(
        [
            read("tarnbeck", "as-found", "2026-04-19"),
            read("tarnbeck", "as-left", "2026-04-20"),
            read("merrow-vale", "as-found", "2026-04-20", HOSTILE),
        ]
    )


class Page(HTMLParser):
    """Collects the elements and the text of a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements: list[str] = []
        self.text = ""
        self.feed(text)

    def handle_starttag(self, tag: str, attrs: object) -> None:  # noqa: ARG002
        """Note an element."""
        self.elements.append(tag)

    def handle_data(self, data: str) -> None:
        """Note text."""
        self.text += data


def test_text_tells_verdict_then_sites_then_causes_then_trends(summary: Summary) -> None:
    """What somebody has to act on comes first."""
    text = summary_text.render(summary)
    heads = ["FAIL  1 of 2 sites failing", "SITES", "COMMONEST CAUSES", "TREND of", "RESULTS", "CAUTIONS"]

    assert [text.index(head) for head in heads] == sorted(text.index(head) for head in heads)


def test_text_tells_the_day_or_the_days_of_its_results(summary: Summary) -> None:
    """One day is not a span."""
    alone = sum_up([read("tarnbeck", "as-found", "2026-04-19")])

    assert "from 1 result, runs of 2026-04-19\n" in summary_text.render(alone)
    assert "from 3 results, runs of 2026-04-19 to 2026-04-20\n" in summary_text.render(summary)


def test_text_writes_out_what_a_terminal_would_obey(summary: Summary) -> None:
    """Characters that change the direction of text are shown as codes."""
    assert "\u202e" not in summary_text.render(summary)
    assert "\\u202e" in summary_text.render(summary)


def test_the_page_is_whole_in_itself_and_has_no_script(summary: Summary) -> None:
    """No script, no picture, no style and no font from elsewhere; a hostile name is text."""
    page = Page(summary_html.render(summary))

    assert not {"script", "img", "iframe", "object"} & set(page.elements)
    assert '<script>alert("x")</script>' in page.text
    assert "://" not in summary_html.render(summary)


def test_the_page_has_the_figures_of_the_summary(summary: Summary) -> None:
    """Sites, causes and the course are on the page as in the summary."""
    text = " ".join(Page(summary_html.render(summary)).text.split())

    assert "Fail 1 of 2 sites fails by its latest result." in text
    for line in summary.sites:
        assert f"{line.devices_read} of {line.devices}" in text
    for cause in summary.causes:
        assert cause.title in text
    assert "8 + 4" in text


def test_the_same_summary_gives_the_same_page(summary: Summary) -> None:
    """Pages can be compared byte for byte."""
    assert summary_html.render(summary) == summary_html.render(summary)


def point(errors: int, warnings: int) -> TrendPoint:
    """Return a result in the course of a site."""
    return TrendPoint(run_on="2026-01-31", verdict="fail", gate="handover", plan_revision=None, devices=1,
                      devices_read=1, errors=errors, warnings=warnings, notes=0, waived=0, new=None,
                      gone=None, not_read_again=None, file="a")  # fmt: skip


def test_bars_are_to_one_scale() -> None:
    """Heights are as errors and warnings; a result without any has a bar without height."""
    first, second, third = summary_html.bars([point(6, 2), point(3, 1), point(0, 0)])

    assert (first.errors_h, first.warnings_h) == (72, 24)
    assert (second.errors_h, second.warnings_h) == (36, 12)
    assert (third.errors_h, third.warnings_h) == (0, 0)
    assert first.warnings_y + first.warnings_h == first.errors_y


def test_bars_of_a_site_without_findings() -> None:
    """If nothing was ever found, there is nothing to scale by."""
    assert [bar.errors_h for bar in summary_html.bars([point(0, 0)])] == [0]
