"""What every page owes to those who hear it: a language, headings, named tables and fields (WCAG 2.2).

Success criteria: 1.1.1 Non-text Content, 1.3.1 Info and Relationships, 2.4.2 Page Titled, 2.4.6 Headings and
Labels, 3.1.1 Language of Page, 3.3.2 Labels or Instructions.
"""

from __future__ import annotations

import itertools
from typing import Any

import pytest
from lxml import html

from tests.reporting.every_page import KINDS, page
from tests.reporting.heard import heard


@pytest.fixture(scope="module", params=KINDS)
def root(request: pytest.FixtureRequest) -> Any:
    """Return the tree of a page."""
    return html.document_fromstring(page(request.param).encode())


def words(element: Any) -> str:
    """Return the text of an element, in one line."""
    return " ".join(element.text_content().split())


def is_named(element: Any) -> bool:
    """Whether an element has a name of its own, or takes that of elements which are there."""
    ids = (element.get("aria-labelledby") or "").split()
    named = [words(part) for part in element.getroottree().xpath("//*[@id]") if part.get("id") in ids]
    return bool(element.get("aria-label") or (named and len(named) == len(ids)))


def test_language_and_title(root: Any) -> None:
    """3.1.1 and 2.4.2: a voice for the language, and a title that tells open pages apart."""
    assert root.get("lang") == "en"
    assert ": " in words(root.find("head/title"))


def test_headings_go_down_one_step_at_a_time(root: Any) -> None:
    """1.3.1 and 2.4.6: the list of headings is a table of contents without gaps."""
    shown = root.xpath("//*[self::h1 or self::h2 or self::h3 or self::h4][not(ancestor::noscript)]")
    levels = [int(part.tag[1]) for part in shown]

    views = root.xpath("//div[@id='app']/main[.//h1]")  # those of the form, of which one is shown at a time
    assert levels[0] == 1
    assert levels.count(1) == (len(views) or 1)
    assert all(b <= a + 1 for a, b in itertools.pairwise(levels))
    assert all(words(part) or part.get("id") for part in shown)


def test_tables_have_a_name_and_headers_with_a_scope(root: Any) -> None:
    """1.3.1: a table says what it holds, and each of its headers what it is the header of."""
    for table in root.iter("table"):
        assert table.find("caption") is not None or is_named(table), words(table)[:60]
    assert all(head.get("scope") in ("col", "row") for head in root.iter("th"))


def test_drawings_have_a_text_alternative(root: Any) -> None:
    """1.1.1: a drawing says in words what it shows, unless the words stand beside it."""
    for drawing in root.iter("svg"):
        assert drawing.get("aria-hidden") == "true" or (drawing.get("role") == "img" and is_named(drawing))


def test_fields_have_a_label(root: Any) -> None:
    """1.3.1 and 3.3.2: what a person fills in or chooses has a name."""
    labels = {label.get("for") for label in root.iter("label")}
    for field in root.iter("input", "select", "textarea"):
        assert field.get("id") in labels or field.xpath("ancestor::label") or is_named(field)


def test_what_can_be_reached_and_is_no_control_has_a_role_and_a_name(root: Any) -> None:
    """4.1.2: frames that scroll say what is in them."""
    for frame in root.xpath("//div[@tabindex='0']"):
        assert frame.get("role") in ("group", "region")
        assert is_named(frame)


def test_ids_are_unique_and_links_lead_somewhere(root: Any) -> None:
    """2.4.5: every link inside the page leads to a place on it."""
    ids = root.xpath("//@id")

    assert len(ids) == len(set(ids))
    assert {link for link in root.xpath("//a/@href") if not link.startswith("#/")} <= {f"#{id}" for id in ids}


@pytest.mark.parametrize("kind", ["report", "drift"])
def test_a_setting_as_planned_is_told_from_one_that_is_not_planned(kind: str) -> None:
    """1.3.1: a dot and a blank sound alike; the dot is followed by words that only a screen reader gets."""
    cells = html.document_fromstring(page(kind).encode()).xpath("//table[@class='matrix']//td")
    said = {heard(cell) for cell in cells}

    assert {"", "· as planned" if kind == "report" else "· as in the baseline"} <= said


def test_the_matrix_says_what_its_signs_mean() -> None:
    """1.3.1: the value comes first, then what is wrong with it; the row’s heading says it of the node."""
    root = html.document_fromstring(page("report").encode())
    said = {heard(cell) for cell in root.xpath("//table[@class='matrix']//*[self::td or self::th]")}

    assert {"PT-41, differs", "381 kPa, differs", "no, named by a finding", "not read at all"} <= said


def test_tables_are_told_apart_in_a_list_of_tables(root: Any) -> None:
    """2.4.6: whoever jumps from table to table hears which network this one is of."""
    parts = {part.get("id"): words(part) for part in root.xpath("//*[@id]")}
    names = [
        table.get("aria-label")
        or " ".join(parts[one] for one in (table.get("aria-labelledby") or "").split())
        or words(table.find("caption"))
        for table in root.iter("table")
    ]

    assert len(names) == len(set(names))


def test_a_drawing_is_one_image(root: Any) -> None:
    """1.1.1: Firefox has the marks and tags within a named drawing spoken as well, unless they are hidden."""
    for drawing in root.iter("svg"):
        if drawing.get("role") == "img":
            assert [part.tag for part in drawing if part.get("aria-hidden") != "true"] in ([], ["title"])


def test_signs_are_not_spoken_beside_words(root: Any) -> None:
    """1.3.1: “(≠) waived” is heard as “not waived”, “× with a finding” as “times with a finding”."""
    explained = [words(part) for part in root.xpath("//section[@id='strips']/p")]

    said = heard(root.find("body"))
    for intro in explained:
        said = said.replace(intro, "")
    assert not set("≠×✓") & set(said)
    assert "(?)" not in said


def test_messages_are_announced_without_the_name_of_a_bar(root: Any) -> None:
    """4.1.3: of the role “status”, which an output has, a screen reader may say “status bar” alone."""
    assert root.xpath("//*[@role='status'] | //output") == []


def test_links_make_sense_in_a_list_of_links(root: Any) -> None:
    """2.4.9: links to different places have different texts, and none is just a number."""
    targets: dict[str, set[str]] = {}
    for link in root.xpath("//a[@href]"):
        targets.setdefault(heard(link), set()).add(link.get("href"))

    assert [text for text, places in targets.items() if len(places) > 1] == []
    assert [text for text in targets if text.isdigit()] == []


def test_the_first_link_skips_what_is_on_every_page() -> None:
    """2.4.1 Bypass Blocks: it leads to what the page is for."""
    for kind in ("report", "drift", "work list", "route sheet", "history", "summary"):
        first = html.document_fromstring(page(kind).encode()).xpath("//a")[0]
        assert words(first).startswith("Skip to the ")
