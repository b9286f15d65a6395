"""The timeline of a site's history in a browser."""

from __future__ import annotations

import re

import pytest

from audit.history.telling import read_all, tell
from audit.reporting.history_html import render
from tests.browser.accessibility import violations
from tests.browser.conftest import Open, Printed
from tests.browser.printing import PAPERS, texts_of, words_of
from tests.histories import chain
from tests.reporting import every_page

CHANGED = "report_interval 30 → 60"
"""One of four changes of a year."""


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return the page of ten years with a creeping alarm, a retuned gateway, and a node with many changes."""
    years = []
    for year in range(10):
        channel = "9" if year >= 5 else "7"
        late = {"address": "8", "firmware": "<b>2</b>", "report_interval": "60"} if year == 7 else {}
        first = {"channel": channel, "high_alarm": str(8 + year), "address": "7", "firmware": "1",
                 "report_interval": "30"} | late  # fmt: skip
        years.append(
            {"GW-N": {"channel": channel}, "LT-1": first, "LT-2": {} if year == 3 else {"address": "9"}}
        )
    folder = tmp_path_factory.mktemp("history")
    return render(tell(read_all(chain(folder, years))))


@pytest.mark.parametrize(("size", "scheme"), [("phone", "light"), ("laptop", "dark")])
def test_the_timeline_is_accessible_and_stays_in_its_frame(
    open_page: Open, page: str, size: str, scheme: str
) -> None:
    """The checker finds nothing, the page does not scroll sideways, and makes no requests."""
    opened = open_page(page, size, scheme)

    assert violations(opened) == []
    assert opened.page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    assert opened.wrong == []


def test_many_changes_fold_into_one_mark(open_page: Open, page: str) -> None:
    """Four changes of one year are shown as their number, and unfold without a script."""
    opened = open_page(page, script=False)
    folded = opened.page.locator("details").first
    shown = opened.visible(".change")
    folded.locator("summary").click()

    assert opened.visible(".change") == shown + 4
    assert folded.locator(".change").first.is_visible()
    assert "<b>2</b>" in folded.inner_text()


@pytest.mark.parametrize("paper", list(PAPERS))
def test_what_is_folded_on_the_screen_is_whole_on_paper(page: str, printed: Printed, paper: str) -> None:
    """Nobody can unfold paper: the changes of a year with many are printed, not only their number."""
    text = " ".join(texts_of(printed(page, paper)))

    assert text.count(CHANGED) == 1


def test_older_browsers_have_the_changes_beside_their_fold(page: str, printed: Printed) -> None:
    """They cannot unfold what a person has left folded, and then print a list that is not on the screen."""
    older = page.replace("details::details-content", "details::unknown-to-older-browsers")
    older = re.sub("<meta http-equiv=.Content-Security-Policy.[^>]*>", "", older)  # it has the styles' digest
    text = " ".join(texts_of(printed(older, "A4")))

    assert text.count(CHANGED) == 1
    assert text.index("4 changes") < text.index(CHANGED)


@pytest.mark.parametrize("paper", list(PAPERS))
def test_names_of_signatories_are_not_broken_on_paper(printed: Printed, paper: str) -> None:
    """The long names of files beside them leave room for theirs: R. Sample signed three baselines."""
    words = [word.text for sheet in words_of(printed(every_page.page("history"), paper)) for word in sheet]

    assert words.count("Sample") == 3
