"""The punch list: what to do in which order, and cells that stay texts in any spreadsheet."""

from __future__ import annotations

import csv
import io

import openpyxl
import pytest
from hypothesis import given
from hypothesis import strategies as st
from openpyxl.worksheet.worksheet import Worksheet
from python_calamine import CalamineWorkbook

from audit.model.result import Finding, Result
from audit.reporting import punch_csv, punch_xlsx
from audit.reporting.csv_text import as_text
from audit.reporting.punch_list import HEADS, rows
from audit.reporting.xlsx_rows import page_line
from tests.reporting.parts import WAIVED, finding


def listed(result: Result, *findings: Finding) -> list[dict[str, str]]:
    """Return the rows of findings by heading."""
    made = rows(result.model_copy(update={"findings": list(findings)}))
    return [dict(zip(HEADS, row, strict=True)) for row in made]


def read_csv(text: str) -> list[list[str]]:
    """Return the cells of a CSV."""
    return list(csv.reader(io.StringIO(text.removeprefix("\ufeff")), strict=True))


def read_xlsx(data: bytes) -> Worksheet:
    """Return the sheet of a workbook."""
    sheet = openpyxl.load_workbook(io.BytesIO(data)).active
    assert isinstance(sheet, Worksheet)
    return sheet


# Rows


def test_the_columns_are_those_of_a_punch_list() -> None:
    """The first ten are filled in, the last three are to be filled in by hand."""
    assert HEADS == (
        "priority", "network", "location", "tag", "serial", "finding", "planned", "found", "remedy",
        "cautions", "done by", "verified by", "as left",
    )  # fmt: skip


def test_a_row_tells_where_what_and_how(failed: Result) -> None:
    """A contractor needs no other paper to do the work of a row."""
    row = dict(zip(HEADS, rows(failed)[1], strict=True))

    assert row == {
        "priority": "A",
        "network": "Upper",
        "location": "Heath End 32",
        "tag": "PT-41",
        "serial": "410041",
        "finding": "low_alarm is 381 kPa, planned 280 kPa (alarm-off-plan); "
        "likely slip: gauge and absolute pressure mixed up, 101 kPa apart (99 %)",
        "planned": "280 kPa",
        "found": "381 kPa",
        "remedy": next(one.remedy for one in failed.findings if one.node == "PT-41"),
        "cautions": "Before changing an alarm, a range or a loss action: tell the control room. "
        "Bypasses need authority and an end time.",
        "done by": "",
        "verified by": "",
        "as left": "",
    }


@pytest.mark.parametrize(("level", "priority"), [("error", "A"), ("warning", "B"), ("note", "C")])
def test_priorities_are_those_of_the_trade(failed: Result, level: str, priority: str) -> None:
    """Errors are A items, warnings B items, notes C items."""
    assert listed(failed, finding(1, level=level))[0]["priority"] == priority


def test_a_row_without_a_caution_of_its_own_has_the_general_one(failed: Result) -> None:
    """What is the same in all rows is not read; what concerns one alone is."""
    own, general = listed(failed, finding(1, cautions=["Mind the valve."]), finding(2))

    assert own["cautions"] == "Mind the valve."
    assert general["cautions"].startswith("This result compares settings.")


def test_dependents_stand_behind_their_cause_and_name_its_row(failed: Result) -> None:
    """Whoever fixes the cause in row 2 sees in row 3 what follows from it."""
    made = listed(failed, finding(3), finding(2, caused_by="rule/1"), finding(1))

    assert [row["tag"] for row in made] == ["N-3", "N-1", "N-2"]
    assert made[2]["finding"] == "follows from row 3: message 2 (channel-differs)"
    assert made[2]["remedy"] == "see row 3 first. mend it"


def test_a_group_is_as_urgent_as_its_worst_finding(failed: Result) -> None:
    """A warning that causes an error comes before other warnings."""
    made = listed(
        failed,
        finding(1, level="warning"),
        finding(2, level="warning"),
        finding(3, level="error", caused_by="rule/2"),
    )

    assert [(row["tag"], row["priority"]) for row in made] == [("N-2", "B"), ("N-3", "A"), ("N-1", "B")]


def test_waived_findings_come_last_and_say_why(failed: Result) -> None:
    """Nothing has to be done about them until the waiver ends, but they are not hidden."""
    made = listed(failed, finding(1, waived=WAIVED), finding(2, level="note"))

    assert [row["priority"] for row in made] == ["C", "waived"]
    assert made[1]["remedy"] == (
        "Waived by W-1 until 2026-06-30: the meter is replaced in June; meanwhile: weekly reading by hand"
    )


def test_many_devices_are_counted_beyond_twenty(failed: Result) -> None:
    """A finding about a network names its devices, as many as a cell can show."""
    few = finding(1, node=None, others=["N-1", "N-2"])
    many = finding(2, node=None, others=[f"N-{n}" for n in range(1, 25)])
    made = listed(failed, few, many)

    assert made[0]["tag"] == "N-1, N-2"
    assert made[1]["tag"].endswith("N-19, N-20 and 4 more")


def test_both_files_have_the_same_rows(failed: Result) -> None:
    """CSV and workbook are two forms of one list."""
    sheet = read_xlsx(punch_xlsx.render(failed))
    cells = [[str(cell or "") for cell in row] for row in sheet.iter_rows(values_only=True)]

    assert read_csv(punch_csv.render(failed)) == cells


# CSV

FORMULAS = {
    "formula": ("=1+1", "'=1+1"),
    "command": ("=cmd|' /C calc'!A0", "'=cmd|' /C calc'!A0"),
    "plus": ("+44 1632 960000", "'+44 1632 960000"),
    "negative number": ("-2.5", "'-2.5"),
    "at": ("@SUM(A1)", "'@SUM(A1)"),
    "behind blanks": ("  =1+1", "'  =1+1"),
    "tab": ("\t=1+1", "'\t=1+1"),
    "wide form": ("＝1+1", "'＝1+1"),
    "number": ("2.5", "2.5"),
    "inside": ("a=1", "a=1"),
    "nothing": ("", ""),
}


@pytest.mark.parametrize(("cell", "written"), list(FORMULAS.values()), ids=list(FORMULAS))
def test_cells_cannot_become_formulas(cell: str, written: str) -> None:
    """A cell that a spreadsheet would compute gets an apostrophe; numbers below zero do too."""
    assert as_text(cell) == written


def test_a_value_with_a_sign_is_a_text_in_the_csv(failed: Result) -> None:
    """The minus sign of a value found comes after an apostrophe in the file."""
    text = punch_csv.render(failed.model_copy(update={"findings": [finding(1, found="-2.5")]}))

    assert read_csv(text)[1][HEADS.index("found")] == "'-2.5"


def test_the_csv_says_that_it_is_utf_8(failed: Result) -> None:
    """Spreadsheets take a CSV without the mark for another encoding, and show °C wrongly."""
    text = punch_csv.render(failed.model_copy(update={"findings": [finding(1, found="7 °C")]}))

    assert text.encode().startswith(b"\xef\xbb\xbfpriority,network,")
    assert ",7 °C," in text


@given(st.text())
def test_no_text_starts_a_formula(text: str) -> None:
    """Whatever a cell holds, it does not begin as a formula does, and nothing else is changed."""
    written = as_text(text)

    assert not written.lstrip().startswith(("=", "+", "-", "@"))
    assert written.removeprefix("'") == text.removeprefix("'") or written == text


# Workbook


def test_cells_of_the_workbook_are_texts(failed: Result) -> None:
    """A formula stays a text when the file is opened, and when the cell is edited; nothing is added to it."""
    one = finding(1, found="=1+1", planned="-2.5", node="@x", location="{=A1}")
    sheet = read_xlsx(punch_xlsx.render(failed.model_copy(update={"findings": [one]})))
    cells = dict(zip(HEADS, sheet[2], strict=True))

    assert [cells[name].value for name in ("found", "planned", "tag")] == ["=1+1", "-2.5", "@x"]
    assert all(
        cell.data_type in ("s", "n") and (cell.value is None or cell.data_type == "s") for cell in sheet[2]
    )
    assert all(cell.quotePrefix and cell.number_format == "@" for cell in sheet[2])


def test_the_workbook_is_laid_out_to_work_with(failed: Result) -> None:
    """Headings stay in view, columns can be filtered, long texts wrap."""
    sheet = read_xlsx(punch_xlsx.render(failed))

    assert sheet.freeze_panes == "A2"
    assert sheet.auto_filter.ref == f"A1:M{len(failed.findings) + 1}"
    assert all(cell.alignment.wrap_text for row in sheet.iter_rows() for cell in row)
    assert sheet.column_dimensions["F"].width > sheet.column_dimensions["A"].width


def test_rows_are_as_tall_as_their_texts(failed: Result) -> None:
    """Some programs show only the first line of a wrapped text unless the row has a height."""
    short, long = (finding(n, message="low " * n, remedy="Set it.") for n in (1, 60))
    bare = failed.model_copy(update={"findings": [short, long], "cautions": []})
    rows = read_xlsx(punch_xlsx.render(bare)).row_dimensions

    assert rows[2].height is None  # as tall as a line
    assert rows[3].height >= 12 * 60 * len("low ") / 40


def test_the_workbook_prints_on_whole_pages(failed: Result) -> None:
    """In landscape, all columns on a page, headings and the site's name on each."""
    sheet = read_xlsx(punch_xlsx.render(failed))

    assert sheet.page_setup.orientation == "landscape"
    assert sheet.page_setup.fitToWidth in (None, 1)  # 1 is what is meant where nothing is said
    assert sheet.page_setup.fitToHeight == 0  # as many as it takes
    assert sheet.sheet_properties.pageSetUpPr.fitToPage
    assert sheet.print_title_rows == "$1:$1"
    assert sheet.oddHeader.left.text == "Merrow Vale Water District (invented), plan revision C"
    assert sheet.oddHeader.right.text == "run on 2026-07-31"


def test_same_result_same_bytes(failed: Result) -> None:
    """The file holds the date of the run, not the date of writing."""
    first, again = punch_xlsx.render(failed), punch_xlsx.render(failed)
    created = openpyxl.load_workbook(io.BytesIO(first)).properties.created

    assert first == again
    assert created.isoformat() == "2026-07-31T00:00:00"


def test_a_name_in_the_header_is_no_command(failed: Result) -> None:
    """An ampersand in a site's name would insert a date or a picture; a long name is cut."""
    site = failed.site.model_copy(update={"name": "Dale &D&Goat " + 300 * "水"})
    sheet = read_xlsx(punch_xlsx.render(failed.model_copy(update={"site": site})))

    assert sheet.oddHeader.left.text.startswith("Dale and D and Goat 水水水")
    assert len(sheet.oddHeader.left.text) == 100


def test_a_name_that_is_too_long_for_the_header_is_cut_and_shows_it() -> None:
    """A revision that is cut must not look like another revision."""
    assert page_line("Hillside, plan revision 4", 25) == "Hillside, plan revision 4"
    assert page_line("Hillside, plan revision 4", 24) == "Hillside, plan revision…"


def test_a_cell_that_is_too_long_is_cut_and_says_so(failed: Result) -> None:
    """A spreadsheet refuses cells of more than 32,767 characters."""
    one = finding(1, found="7" * 40_000)
    sheet = read_xlsx(punch_xlsx.render(failed.model_copy(update={"findings": [one]})))
    cell = sheet.cell(2, HEADS.index("found") + 1).value

    assert isinstance(cell, str)
    assert len(cell) == 32_767
    assert cell.endswith("7 … (cut)")


def test_another_reader_sees_the_same(failed: Result) -> None:
    """A second library reads the same cells, so the workbook is readable not only to its own writer."""
    data = punch_xlsx.render(failed)
    sheet = CalamineWorkbook.from_filelike(io.BytesIO(data)).get_sheet_by_index(0)

    assert sheet.to_python() == read_csv(punch_csv.render(failed))


def test_an_empty_list_has_its_headings(failed: Result) -> None:
    """A site without findings gets a list without rows, not a broken file."""
    nothing = failed.model_copy(update={"findings": []})

    assert read_csv(punch_csv.render(nothing)) == [list(HEADS)]
    assert read_xlsx(punch_xlsx.render(nothing)).max_row == 1


def test_the_workbook_has_the_same_bytes_on_every_system(
    failed: Result, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A zip file names the system on which it was made."""
    here = punch_xlsx.render(failed)
    monkeypatch.setattr("sys.platform", "win32")

    assert punch_xlsx.render(failed) == here
