"""Cells of a workbook without text of their own: reported where a setting was asked for, never lost."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import openpyxl
import pytest

from audit.reading.files import read_bytes
from audit.reading.inputs import Inputs
from audit.reading.odd_cells import Odd, odd_cells
from audit.reading.readback import read_tables
from tests.reading.made import WORDS
from tests.small_site import small_site

OPEN_DOCUMENT = "urn:oasis:names:tc:opendocument:xmlns"
CONTENT = f"""<?xml version="1.0" encoding="UTF-8"?>
<office:document-content xmlns:office="{OPEN_DOCUMENT}:office:1.0" xmlns:table="{OPEN_DOCUMENT}:table:1.0"
 xmlns:text="{OPEN_DOCUMENT}:text:1.0"
 xmlns:calcext="urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0"
 office:version="1.2"><office:body><office:spreadsheet><table:table table:name="Main">{{rows}}</table:table>
</office:spreadsheet></office:body></office:document-content>"""
KIND = "application/vnd.oasis.opendocument.spreadsheet"
MANIFEST = f"""<?xml version="1.0" encoding="UTF-8"?>
<manifest:manifest xmlns:manifest="{OPEN_DOCUMENT}:manifest:1.0">
<manifest:file-entry manifest:full-path="/" manifest:media-type="{KIND}"/>
</manifest:manifest>"""


def text(content: str, times: int = 1) -> str:
    """Return an ODS cell with a text."""
    repeated = f' table:number-columns-repeated="{times}"' if times > 1 else ""
    start = f'<table:table-cell office:value-type="string"{repeated}>'
    return f"{start}<text:p>{content}</text:p></table:table-cell>"


def ods(folder: Path, *rows: str) -> Path:
    """Write an ODS of one sheet; rows are given as the XML of their cells."""
    made = "".join(f"<table:table-row>{row}</table:table-row>" for row in rows)
    path = folder / "found.ods"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("mimetype", KIND)
        archive.writestr("content.xml", CONTENT.format(rows=made))
        archive.writestr("META-INF/manifest.xml", MANIFEST)
    return path


def xlsx(folder: Path, cells: dict[str, object], *merged: str) -> Path:
    """Write a workbook with some cells, some of them merged; return its path."""
    book = openpyxl.Workbook()
    page = book.active
    assert page is not None
    page.title = "Main"
    for cell, value in cells.items():
        page[cell] = value
    for cells_of_one in merged:
        page.merge_cells(cells_of_one)
    book.save(folder / "found.xlsx")
    return folder / "found.xlsx"


def odd(path: Path) -> Odd:
    """Return the odd cells of the sheet Main."""
    return odd_cells(read_bytes(path))["Main"]


def test_of_a_workbook(tmp_path: Path) -> None:
    """Formulas without a result, errors, and what a merged cell covers; nothing else."""
    path = xlsx(tmp_path, {"A1": "tag", "B1": 7, "A2": "=1+1", "B2": "#N/A", "C3": "over three"}, "C3:C5")

    assert odd(path) == {
        (2, "A"): "=1+1", (2, "B"): "#N/A", (4, "C"): "(merged with C3)", (5, "C"): "(merged with C3)",
    }  # fmt: skip


WIDE = '<table:table-cell table:number-columns-spanned="2"/>'
FORMULA = '<table:table-cell table:formula="of:={}" {}>{}</table:table-cell>'
RESULT = "<text:p>x</text:p>"
ERROR = 'office:value-type="string" office:string-value="" calcext:value-type="error"'


@pytest.mark.parametrize(
    ("cell", "expected"),
    [
        (FORMULA.format("1/0", ERROR, "<text:p>#DIV/0!</text:p>"), {(1, "C"): "=1/0"}),
        (FORMULA.format("[.B2]", "", ""), {(1, "C"): "=[.B2]"}),
        (FORMULA.format("3+4", 'office:value-type="float" office:value="7"', "<text:p>7</text:p>"), {}),
        (FORMULA.format("UP", 'office:value-type="string" calcext:value-type="string"', RESULT), {}),
        (WIDE + "<table:covered-table-cell/>", {(1, "D"): "(merged with C1)"}),
        (text("7"), {}),
    ],
    ids=["error", "no result", "result", "text as result", "covered", "plain"],
)  # fmt: skip
def test_of_an_open_document(tmp_path: Path, cell: str, expected: Odd) -> None:
    """The same for an ODS, where repeated cells and rows are written once."""
    assert odd(ods(tmp_path, text("x", 2) + cell)) == expected


def test_a_row_further_down(tmp_path: Path) -> None:
    """Rows and columns are counted with their repetitions."""
    path = ods(tmp_path)
    content = CONTENT.format(
        rows=f'<table:table-row table:number-rows-repeated="4">{text("x")}</table:table-row>'
        f"<table:table-row>{text('a', 27)}{WIDE}<table:covered-table-cell/></table:table-row>"
    )
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr("content.xml", content)

    assert odd(path) == {(5, "AC"): "(merged with AB5)"}


def test_a_merged_reading_in_an_open_document(tmp_path: Path) -> None:
    """A value that is merged over two rows is unclear for the second, not silently blank."""
    site = small_site(tmp_path)
    over = '<table:table-cell table:number-rows-spanned="2" office:value-type="float" office:value="7"/>'
    site.readbacks[:] = [ods(
        tmp_path, text("tag") + text("channel"), text("N-1") + over,
        text("N-2") + "<table:covered-table-cell/>",
    )]  # fmt: skip
    unclear = [one for one in site.result()["findings"] if one["rule"] == "reading-unclear"]

    assert [(one["node"], one["setting"]) for one in unclear] == [("N-2", "channel")]
    assert "unmerge the cells and write the value in every row" in unclear[0]["message"]


def test_a_merged_name_says_of_all_its_rows_what_it_says(tmp_path: Path) -> None:
    """Network, tag and time merged over the rows of a long sheet are filled in; readings are not."""
    cells: dict[str, object] = {
        "A1": "network", "B1": "tag", "C1": "setting", "D1": "value", "A2": "Main", "B2": "N-1",
        "C2": "channel", "D2": 7, "C3": "urv", "D3": 1, "B4": "N-2", "C4": "channel", "D4": 8,
        "C5": "urv", "D5": 2,
    }  # fmt: skip
    path = xlsx(tmp_path, cells, "A2:A5", "B2:B3", "B4:B5")
    (table,) = read_tables(path, None, WORDS, Inputs(), "readback")

    assert {name: list(column.texts) for name, column in table.columns.items()} == {
        "network": ["Main", "Main"], "tag": ["N-1", "N-2"], "channel": ["7", "8"], "urv": ["1", "2"],
    }  # fmt: skip


def test_access_codes_are_never_told(tmp_path: Path) -> None:
    """A formula in the place of a code is not quoted."""
    from tests.small_site import ACCESS_CODE, SETTINGS

    site = small_site(tmp_path, settings=(*SETTINGS, ACCESS_CODE))
    site.readbacks[:] = [xlsx(tmp_path, {"A1": "tag", "B1": "access_code", "A2": "N-1", "B2": '="8251"&"7"'})]
    outcome = site.check("--all")

    assert "8251" not in outcome.written


def test_a_part_that_is_no_xml(tmp_path: Path) -> None:
    """What cannot be searched adds nothing and stops nothing."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        archive.writestr("xl/workbook.xml", "<not closed")
        archive.writestr("xl/_rels/workbook.xml.rels", "<x/>")
    (tmp_path / "x.xlsx").write_bytes(stream.getvalue())

    assert odd_cells(read_bytes(tmp_path / "x.xlsx")) == {}
