"""The work list on paper: steps in one piece, room to sign, nothing off the page, no dark background."""

from __future__ import annotations

from functools import cache

import pytest

from audit.reporting.work_html import render
from tests.browser.conftest import Open, Printed
from tests.browser.printing import MARGIN, PAPERS, texts_of, words_of
from tests.reporting.work_lists import HELD, WHOLE, with_text

LISTS = {"whole": WHOLE, "held back": HELD, "long text": with_text(HELD, "T" * 300)}
each_paper = pytest.mark.parametrize("paper", list(PAPERS))


@cache
def source(name: str) -> str:
    """Return the source of a page."""
    return render(LISTS[name])


@each_paper
@pytest.mark.parametrize("name", list(LISTS))
def test_nothing_runs_off_the_paper(printed: Printed, name: str, paper: str) -> None:
    """Long words end before the margins."""
    width, height = PAPERS[paper]

    for words in words_of(printed(source(name), paper)):
        assert words
        assert all(word.left > MARGIN and word.right < width - MARGIN for word in words)
        assert all(word.bottom < height for word in words)


@each_paper
def test_each_step_is_on_one_page_with_its_line_to_sign(printed: Printed, paper: str) -> None:
    """The beginning of a step and the blanks to fill in after it are not separated."""
    steps = [
        step.model_copy(
            update={"do": f"begin{step.number:03d} {step.do}", "rollback": f"end{step.number:03d}"}
        )
        for step in WHOLE.steps
    ]
    pages = texts_of(printed(render(WHOLE.model_copy(update={"steps": steps})), paper))

    for step in steps:
        (page,) = (text for text in pages if f"begin{step.number:03d}" in text)
        behind = page.split(f"begin{step.number:03d}")[1]
        assert f"end{step.number:03d}" in behind
        assert "verified by" in behind.split(f"end{step.number:03d}")[1]


def test_every_page_says_that_it_authorises_nothing(printed: Printed) -> None:
    """A loose page must not pass for a permit either."""
    pages = texts_of(printed(source("whole"), "A4"))

    for number, text in enumerate(pages, 1):
        assert f"work list; authorises nothing page {number} of {len(pages)}" in text


@pytest.mark.parametrize("size", ["phone", "laptop"])
def test_it_fits_a_screen_and_asks_for_nothing(open_page: Open, size: str) -> None:
    """The page does not scroll sideways, makes no requests and reports no errors."""
    opened = open_page(source("held back"), size)
    wide = opened.page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")

    assert wide <= 0
    assert not opened.wrong
