"""The cards on screen and on paper: accessible, in one piece on A4 and Letter, with boxes to write into."""

from __future__ import annotations

import subprocess
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from audit.model.device import DeviceType, Setting
from audit.reading.inputs import Inputs
from audit.reading.plan import read_plan
from audit.reporting.sheet_html import render
from audit.sheets import paper as measures
from audit.sheets.making import book_of
from audit.sheets.model import Book, Device, Sheet
from tests.browser.accessibility import violations
from tests.browser.conftest import Open, Printed
from tests.browser.pages import HOSTILE
from tests.browser.printing import PAPERS, texts_of, words_of
from tests.the_examples import EXAMPLES

MM = 72 / 25.4
"""Points in a millimetre."""
MARGIN = 10 * MM

each_paper = pytest.mark.parametrize("paper", list(PAPERS))


def kind(name: str, *settings: dict[str, Any]) -> DeviceType:
    """Return a device type."""
    made = tuple(Setting(**{"name": f"s{n}", **one}) for n, one in enumerate(settings))
    return DeviceType(asfound="device-type/1", name=name, title=f"Title of {name}", settings=made)


def book(*devices: Device, site: str = "Site", with_plan: bool = False) -> Book:
    """Return a book of one network."""
    sheet = Sheet("Main", [("Main", device) for device in devices], [])
    return Book(site, "A", [sheet], sheet, with_plan)


def example(name: str, *, with_plan: bool = False) -> Book:
    """Return the sheets of an example."""
    return book_of(read_plan(EXAMPLES / name / "plan.yaml", Inputs()), with_plan=with_plan)


def long_texts() -> Book:
    """Return devices with names, places, labels and options of every length."""
    texts = ["", "L" * 30, "words and words " * 9, "W" * 150]
    settings = [
        {"kind": "text", "label": f"{n} {text}", "where": text[::-1]} for n, text in enumerate(texts * 4)
    ]
    options: list[dict[str, Any]] = [
        {"kind": "option", "options": tuple(f"option {i}" for i in range(n)), "label": f"opt{n}"}
        for n in (1, 5, 12, 20)
    ]
    return book(
        Device("T" * 60, "place " * 40, kind("long", *settings, *options)),
        Device("W" * 18, "P" * 120, kind("many", *({"kind": "integer"} for _ in range(70)))),
        site="Site of a long name " * 6,
    )


def hostile() -> Book:
    """Return a device whose every text is hostile."""
    options = ("on", HOSTILE)
    settings: list[dict[str, Any]] = [{"kind": "text", "label": HOSTILE, "where": HOSTILE, "unit": HOSTILE},
                {"kind": "option", "label": "O", "options": options},
                {"kind": "text", "label": HOSTILE, "read_at": "host"}]  # fmt: skip
    device = Device(HOSTILE, HOSTILE, kind(HOSTILE, *settings), {"s0": HOSTILE})
    return book(device, site=HOSTILE, with_plan=True)


BOOKS = {
    "merrow-vale": lambda: example("merrow-vale"),
    "ostervik": lambda: example("ostervik"),
    "with plan": lambda: example("tarnbeck", with_plan=True),
    "long texts": long_texts,
}


@cache
def source(name: str) -> str:
    """Return the source of a page of cards."""
    return hostile_source() if name == "hostile" else render(BOOKS[name]())


def hostile_source() -> str:
    """Return the page of hostile texts."""
    return render(hostile())


@pytest.mark.parametrize(
    ("name", "size"),
    [("with plan", "phone"), ("with plan", "laptop"), ("long texts", "phone"), ("hostile", "laptop")],
)  # fmt: skip
def test_the_cards_are_accessible(open_page: Open, name: str, size: str) -> None:
    """The checker finds no violation, nothing is asked for, and nothing scrolls sideways."""
    opened = open_page(source(name), size)

    assert opened.page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    assert opened.wrong == []
    assert violations(opened) == []


def test_hostile_text_adds_nothing(open_page: Open) -> None:
    """A tag that is a script is shown as text."""
    page = open_page(source("hostile")).page

    assert page.evaluate("window.pwned === undefined")
    assert page.locator("script").count() == 0
    assert page.locator("img").count() == 0


@each_paper
@pytest.mark.parametrize("name", list(BOOKS))
def test_no_card_is_split(printed: Printed, name: str, paper: str) -> None:
    """Each card, and each part of a long one, begins and ends on the same page."""
    marked = source(name)
    count = marked.count('<section class="card"')
    for number in range(count):
        marked = marked.replace('<div class="who">', f'<div class="who" >begin{number:03d}', 1)
        marked = marked.replace("<footer>", f"<footer >end{number:03d} ", 1)
    pages = texts_of(printed(marked, paper))

    assert count >= 5
    for number in range(count):
        (first,) = [p for p, text in enumerate(pages) if f"begin{number:03d}" in text]
        (last,) = [p for p, text in enumerate(pages) if f"end{number:03d}" in text]
        assert first == last, f"card {number} is split"


@each_paper
@pytest.mark.parametrize("name", list(BOOKS))
def test_nothing_runs_off_the_paper(printed: Printed, name: str, paper: str) -> None:
    """All words are inside the margins."""
    width, height = PAPERS[paper]
    for words in words_of(printed(source(name), paper)):
        assert words, "no empty pages"
        assert all(word.left > MARGIN and word.right < width - MARGIN for word in words)
        assert all(word.bottom < height - MARGIN + 1 for word in words)


def test_boxes_are_large_enough_for_cold_hands(open_page: Open) -> None:
    """On paper a digit has a box of at least 7 by 9 mm, and a box to tick is at least 6 by 6 mm."""
    page = open_page(source("merrow-vale")).page
    page.emulate_media(media="print")
    sizes = page.evaluate(
        "() => ['box', 'tick'].map(name => [...document.querySelectorAll('.' + name)]"
        ".map(e => e.getBoundingClientRect()).map(r => [r.width, r.height]))"
    )
    boxes, ticks = ([(w * 25.4 / 96, h * 25.4 / 96) for w, h in of_kind] for of_kind in sizes)

    assert len(boxes) > 100
    assert min(width for width, _ in boxes) >= 6.99
    assert min(height for _, height in boxes) >= 8.99
    assert min(map(min, ticks)) >= 5.99


def test_the_browser_makes_no_card_higher_than_the_model_says(open_page: Open) -> None:
    """The browser draws the parts of long cards no higher than the measures by which they are divided."""
    page = open_page(source("long texts")).page
    page.set_viewport_size({"width": int(186 / 25.4 * 96), "height": 900})
    page.emulate_media(media="print")
    boxes = "[...document.querySelectorAll('.card')].map(c => c.getBoundingClientRect().height)"
    heights = page.evaluate(f"() => {boxes}")

    assert max(heights) * 25.4 / 96 <= measures.ROOM + 6


def test_cards_are_black_on_white_in_the_dark_too(printed: Printed, tmp_path: Path) -> None:
    """A dark screen does not print dark paper."""
    file = printed(source("with plan"), "A4", "dark")
    first_page = ["-f", "2", "-l", "2", "-singlefile", "-gray", "-r", "30"]
    subprocess.run(["pdftoppm", *first_page, str(file), str(tmp_path / "page")], check=True)
    points = (tmp_path / "page.pgm").read_bytes().split(b"\n", 3)[3]

    assert sum(point > 200 for point in points) > 0.8 * len(points)


def test_every_card_says_what_it_must(printed: Printed) -> None:
    """Tag, place, site, revision, boxes for serial number, code, name, time and signature, cautions."""
    pages = texts_of(printed(source("merrow-vale"), "A4"))
    (card,) = [text for text in pages if "PT-81" in text]

    for words in (
        "Bridge Street 2",
        "Merrow Vale Water District (invented), plan revision C",
        *("network Lower", "Serial number", "CH RADIO > CH", "kbit/s", "Factory code refused?", "not tried"),
        *("read by", "date and time", "signature", "note", "set by, and when"),
        *("a device that has no card", "Never write down an access code", "authorises nothing"),
    ):
        assert words in card, words
