"""The page on paper: no split rows, headers on every page, signatures in one piece, no dark background."""

from __future__ import annotations

import subprocess
from pathlib import Path

import pytest
from playwright.sync_api import expect

from audit.reporting.html_report import digest_of, render
from tests.browser.conftest import Open, Printed
from tests.browser.pages import RESULTS, demo, source
from tests.browser.printing import MARGIN, PAPERS, texts_of, words_of
from tests.reporting import every_page
from tests.reporting.detailed import detailed

each_paper = pytest.mark.parametrize("paper", list(PAPERS))
each_page = pytest.mark.parametrize("name", ["demo", "600 nodes", "long text"])


@each_paper
@each_page
def test_nothing_runs_off_the_paper(printed: Printed, name: str, paper: str) -> None:
    """Tables, maps and long words end before the margins."""
    width, height = PAPERS[paper]

    for words in words_of(printed(source(name), paper)):
        assert words
        assert all(word.left > MARGIN and word.right < width - MARGIN for word in words)
        assert all(word.bottom < height for word in words)


@each_paper
def test_rows_are_not_split(printed: Printed, paper: str) -> None:
    """A finding's first and last lines are on the same page."""
    result = detailed(60, faulty=0.9)
    findings = [
        finding.model_copy(
            update={
                "message": f"begin{n:03d} {finding.message}",
                "evidence": [
                    *finding.evidence,
                    finding.evidence[0].model_copy(update={"raw": f"end{n:03d}"}),
                ],
            }
        )
        for n, finding in enumerate(result.findings)
    ]
    page_source = render(result.model_copy(update={"findings": findings}))

    pages = texts_of(printed(page_source, paper))
    ends = {n: [p for p, text in enumerate(pages) if f"end{n:03d}" in text] for n in range(len(findings))}
    assert len(findings) > 40
    for n, (end,) in ends.items():
        assert f"begin{n:03d}" in pages[end]


@each_paper
def test_table_headers_are_repeated(printed: Printed, paper: str) -> None:
    """Every page with findings has their column headings."""
    pages = texts_of(printed(render(detailed(60, faulty=0.9)), paper))
    with_rows = [text for text in pages if "site/as-found/found.csv row" in text]

    assert len(with_rows) > 2
    assert all("cause level node finding and evidence planned found" in text for text in with_rows)


@each_paper
@pytest.mark.parametrize("name", ["demo", "6 nodes", "600 nodes"])
def test_signatures_and_digest_are_in_one_piece(printed: Printed, name: str, paper: str) -> None:
    """Whoever signs sees all four lines and the digest on one page, the last one."""
    last = texts_of(printed(source(name), paper))[-1]

    for words in ("Configured by", "Read back by", "Verified by", "Accepted by", digest_of(RESULTS[name]())):
        assert words in last


def test_every_page_names_result_and_page(printed: Printed) -> None:
    """A loose page can be put back: the beginning of the digest and the page number are at its foot."""
    pages = texts_of(printed(source("demo"), "A4"))

    for number, text in enumerate(pages, 1):
        assert f"result {digest_of(demo())[:16]} page {number} of {len(pages)}" in text


@each_paper
def test_serial_numbers_in_change_records_are_not_broken(printed: Printed, paper: str) -> None:
    """The unit that was taken out and the one that came in stand with all their digits in one line."""
    pages = words_of(printed(every_page.page("drift"), paper))
    words = {word.text for page in pages for word in page}

    assert {"531057", "531096"} <= words


@each_paper
def test_headings_are_not_left_behind(printed: Printed, paper: str) -> None:
    """No page ends with the heading of what begins on the next one."""
    headings = {"causes", "network", "settings", "range", "evidence", "Inputs", "checked", "Cautions"}
    for words in words_of(printed(source("600 nodes"), paper)):
        body = [word for word in words if word.bottom < PAPERS[paper][1] - 50]
        lowest = max(word.bottom for word in body)
        last_line = [word.text for word in body if abs(word.bottom - lowest) < 2]
        assert not (len(last_line) <= 4 and last_line[-1] in headings)


def test_paper_is_white_in_the_dark_too(printed: Printed, tmp_path: Path) -> None:
    """Printing from a dark screen wastes no ink: the first page has hardly any dark points."""
    file = printed(source("demo"), "A4", "dark")
    first_page = ["-f", "1", "-l", "1", "-singlefile", "-gray", "-r", "30"]
    subprocess.run(["pdftoppm", *first_page, str(file), str(tmp_path / "page")], check=True)
    points = (tmp_path / "page.pgm").read_bytes().split(b"\n", 3)[3]

    assert sum(point > 200 for point in points) > 0.9 * len(points)


def test_a_filter_does_not_reach_the_paper(open_page: Open, printed: Printed, tmp_path: Path) -> None:
    """A search on the screen leaves no finding out of the printed page."""
    whole = words_of(printed(source("demo"), "A4"))
    page = open_page(source("demo")).page
    page.locator("#level").select_option("note")
    expect(page.locator("#shown")).to_have_text("0 of 16 shown")
    page.pdf(path=tmp_path / "filtered.pdf", format="A4")

    assert words_of(tmp_path / "filtered.pdf") == whole


def test_controls_are_not_printed(printed: Printed) -> None:
    """Paper has no search field and no navigation links."""
    text = " ".join(texts_of(printed(source("demo"), "A4")))

    assert "Show all" not in text
    assert "Skip to" not in text
