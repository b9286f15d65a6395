"""The writers of the work list: whatever a file says, each output stays well-formed and says all."""

from __future__ import annotations

import csv
import io
import re

import openpyxl
import pytest
from hypothesis import given, settings
from lxml import html as lxml_html

from audit.model.worklist import NewlyWrong, Status
from audit.reporting import work_csv, work_html, work_text, work_xlsx
from audit.reporting.formats import WORK_FORMATS, render_other
from audit.reporting.work_rows import heads, rows
from tests.reporting.hostile import HOSTILE
from tests.reporting.work_lists import DONE, HELD, WHOLE, with_text


def test_the_page_is_a_document_with_a_block_and_blanks_a_step() -> None:
    """Each step has its number, and a line to sign."""
    page = lxml_html.document_fromstring(work_html.render(WHOLE))

    assert len(page.xpath("//ol[@class='steps']/li")) == len(WHOLE.steps)
    assert len(page.xpath("//div[@class='blanks']")) == len(WHOLE.steps)
    assert len(page.xpath("//div[@class='visit']")) == len(WHOLE.visits)
    assert "authorises nothing" in page.text_content()


def test_the_page_needs_nothing_else() -> None:
    """No script, no address, no other file."""
    page = work_html.render(HELD)

    assert "<script" not in page
    assert "http://" not in page
    assert "https://" not in page


def test_held_back_changes_stand_in_every_format() -> None:
    """With what to do to go on."""
    mend = HELD.held_back[0].mend
    book = openpyxl.load_workbook(io.BytesIO(work_xlsx.render(HELD)))
    before = " ".join(str(cell.value) for row in book["Before you start"].iter_rows() for cell in row)

    assert mend in work_csv.render(HELD)
    assert mend in before
    assert mend in work_html.render(HELD)
    assert mend in " ".join(work_text.render(HELD, 1000).split("\n"))


def test_what_is_newly_wrong_stands_in_every_format() -> None:
    """If all steps are done but a new fault was made, no format says that there is nothing to do."""
    one = NewlyWrong(id="channel-differs/Pit/X", message="Pit X: channel is 8", remedy="Set it.",
                     with_it=["address-differs/Pit/X"])  # fmt: skip
    work = DONE.model_copy(update={"steps": [], "held_back": [], "newly_wrong": [one]})
    book = openpyxl.load_workbook(io.BytesIO(work_xlsx.render(work)))
    page, text = work_html.render(work), work_text.render(work, 1000)
    cells = [str(cell.value) for sheet in book for row in sheet.iter_rows() for cell in row]

    assert [dict(zip(heads(work), row, strict=True))["findings"] for row in rows(work)] == [
        "channel-differs/Pit/X address-differs/Pit/X"
    ]
    for told in (work_csv.render(work), page, text, "\n".join(cells)):
        assert one.message in told
        assert not re.search(r"nothing to do(?! except)", told)


def test_the_workbook_has_the_same_bytes_on_every_system(monkeypatch: pytest.MonkeyPatch) -> None:
    """A zip file names the system that it was made on."""
    here = work_xlsx.render(WHOLE)
    monkeypatch.setattr("sys.platform", "win32")

    assert work_xlsx.render(WHOLE) == here


def test_rows_are_as_long_as_their_heads() -> None:
    """With and without the state of the steps."""
    for work in (HELD, WHOLE, DONE):
        assert {len(row) for row in rows(work)} == {len(heads(work))}
    assert "state" in heads(DONE)
    assert "state" not in heads(WHOLE)


def test_done_steps_are_short_in_text() -> None:
    """What is done takes a line or two; what is open is shown in full."""
    text = work_text.render(DONE, 200)

    assert "[x] 1. PT-105, serial 402118300105: Set URV as planned: done, as left 1600 kPa g" in text
    assert text.count("verified by ____") == DONE.counts.by_hand


@pytest.mark.parametrize(
    ("status", "told"), [("other value", True), ("not done", False), ("not read again", False)]
)
def test_another_value_asks_for_a_new_list_before_anyone_goes_on(status: Status, told: bool) -> None:
    """The open steps were replayed from what was found; a step merely not done spoils nothing."""
    first, *others = DONE.steps
    left = DONE.model_copy(update={"steps": [first.model_copy(update={"status": status}), *others]})

    assert (work_text.STARTS_ELSEWHERE in work_text.facts(left)) is told


def test_what_is_newly_wrong_asks_for_a_new_list() -> None:
    """It may stand in the way of the steps still open."""
    wrong = NewlyWrong(id="address-duplicate/Pit/X", message="Pit X: address 7", remedy="Set it.", with_it=[])

    assert work_text.STARTS_ELSEWHERE in work_text.facts(DONE.model_copy(update={"newly_wrong": [wrong]}))


def test_a_thousand_steps_are_counted_with_separators() -> None:
    """In the sentence about the state of the steps and in the last line, as everywhere else."""
    counts = DONE.counts.model_copy(update={"steps": 2469, "done": 1234, "open": 1235, "by_hand": 1000})
    text = work_text.render(DONE.model_copy(update={"counts": counts}), 100)

    assert "after the work: 1,234 done, 1,235 open, 1,000 to be ticked by hand" in text
    assert "WORK LIST: 1,234 of 2,469 steps done, 1,235 open" in text


@pytest.mark.parametrize("text", ["=1+1", "+1", "-2.5", "@x", "=cmd|' /C calc'!A0"])
def test_no_cell_is_a_formula(text: str) -> None:
    """Neither in the CSV nor in the workbook."""
    work = with_text(HELD, text)
    cells = [cell for row in csv.reader(io.StringIO(work_csv.render(work))) for cell in row]
    book = openpyxl.load_workbook(io.BytesIO(work_xlsx.render(work)))
    typed = {cell.data_type for sheet in book for row in sheet.iter_rows() for cell in row if cell.value}

    assert not any(cell.startswith(("=", "+", "-", "@")) for cell in cells)
    assert typed == {"s"}


@settings(max_examples=60, deadline=None)
@given(text=HOSTILE)
def test_hostile_text_adds_nothing(text: str) -> None:
    """The page has the same elements, the CSV the same cells, and the text no escape."""
    work = with_text(HELD, text)

    def elements(page: str) -> int:
        return len(list(lxml_html.document_fromstring(page.encode("utf-8", "backslashreplace")).iter()))

    assert elements(work_html.render(work)) == elements(work_html.render(HELD))
    table = list(csv.reader(io.StringIO(work_csv.render(work))))
    assert [len(row) for row in table] == [len(heads(HELD))] * (len(rows(HELD)) + 1)
    assert "\x1b" not in work_text.render(work, 80)


@pytest.mark.parametrize("text", ["x\x00y", "\x1b[31m", "水" * 400, "A" * 40_000])
def test_odd_text_is_written_in_every_format(text: str) -> None:
    """Control characters, other scripts, cells too long for a spreadsheet."""
    for form in WORK_FORMATS:
        assert render_other(with_text(HELD, text), form)


def test_nothing_to_do_is_said_in_every_format() -> None:
    """An empty list is not an empty file."""
    empty = HELD.model_copy(
        update={"steps": [], "held_back": [], "visits": [], "alternatives": [],
                "counts": HELD.counts.model_copy(update={"steps": 0, "held_back": 0})}
    )  # fmt: skip

    assert "nothing to do" in work_text.render(empty)
    assert "There is nothing to do" in work_html.render(empty)
    for form in WORK_FORMATS:
        assert render_other(empty, form)


@pytest.mark.parametrize(
    ("work", "says"),
    [(480.0, "about 480 minutes of work, and"), (3611.0, "about 3,611 minutes (60 hours) of work, and")],
)
def test_more_than_a_days_work_is_given_in_hours_too(work: float, says: str) -> None:
    """Whoever plans it counts in hours and days."""
    counts = WHOLE.counts.model_copy(update={"minutes": work, "ways_minutes": 1920.0})

    text = work_text.render(WHOLE.model_copy(update={"counts": counts}), 1000)
    assert says in text
    assert "1,920 (32 hours) to get from place to place" in text


def test_an_order_of_places_is_told_only_if_there_is_a_place_to_go_to() -> None:
    """Steps at the desk alone have none."""
    desk = WHOLE.model_copy(update={"counts": WHOLE.counts.model_copy(update={"visits": 0})})

    assert "order of the places" in work_text.render(WHOLE, 1000)
    assert "order of the places" not in work_text.render(desk, 1000)
