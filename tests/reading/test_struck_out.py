"""Struck-out cells are read like any other, and told."""

from __future__ import annotations

import io
import zipfile
from pathlib import Path

import openpyxl
import pytest
from openpyxl.cell.rich_text import CellRichText, TextBlock
from openpyxl.cell.text import InlineFont
from openpyxl.styles import Font

from audit.reading.files import FileBytes
from audit.reading.struck_out import struck_cells
from tests.reading.test_odd_cells import CONTENT
from tests.small_site import SmallSite, as_xlsx, small_site

ROWS = [["tag", "address", "high_alarm"], ["N-1", "11", "780"], ["N-2", "12", "780"]]


def book(*struck: str, in_part: str = "") -> bytes:
    """Return a workbook of two nodes, one in bold, with cells struck out, and one of which a part is."""
    made = openpyxl.load_workbook(io.BytesIO(as_xlsx({"Nodes": ROWS})))
    for cell in ("A2", "B2", "C2"):
        made["Nodes"][cell].font = Font(bold=True)
    for cell in struck:
        made["Nodes"][cell].font = Font(strike=True)
    if in_part:
        old = TextBlock(InlineFont(strike=True), "700 ")
        made["Nodes"][in_part] = CellRichText(old, "780")
    stream = io.BytesIO()
    made.save(stream)
    return stream.getvalue()


def file(data: bytes) -> FileBytes:
    """Return a workbook as it is read."""
    return FileBytes("book", Path("book"), data, "")


def told(site: SmallSite, *arguments: str | Path) -> list[str]:
    """Return what the list of inputs says of struck-out cells."""
    notes = [one["note"] or "" for one in site.result(*arguments)["inputs"]]
    return [note for note in notes if "struck out" in note]


def test_a_struck_out_row_of_a_register_is_told(tmp_path: Path) -> None:
    """The node has gone, perhaps; it is planned all the same. A struck-out blank cell is no matter."""
    site = small_site(tmp_path, nodes=[], network_extra={"node_tables": [{"file": "nodes.xlsx"}]})
    site.write("nodes.xlsx", book("A3", "B3", "C3", "D3", "A9"))

    assert told(site) == [
        "in 'Nodes', 3 cells are struck out, wholly or in part, and read like any other: A3, B3, C3"
    ]
    assert "N-2" in [one["tag"] for one in site.result("--detail")["devices"]]


def test_a_part_of_a_text(tmp_path: Path) -> None:
    """Programs that read values give both numbers as one text."""
    site = small_site(tmp_path)
    site.read("found.xlsx", book(in_part="C2"))

    (note,) = told(site)
    assert "1 cell is struck out" in note
    assert "fix: delete what no longer holds" in site.check().stderr


def test_nothing_is_told_where_nothing_is_struck_out(tmp_path: Path) -> None:
    """Nor of a column that the mapping ignores."""
    site = small_site(tmp_path)
    site.read("found.xlsx", book("C2"))

    assert len(told(site)) == 1
    assert told(site, "--mapping", site.mapping(ignore=["high_alarm"])) == []


SHARED = """<sst xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><si><t>tag</t></si>
<si><r><rPr><strike/></rPr><t>700 </t></r><r><t>780</t></r></si>
<si><r><rPr><strike val="0"/></rPr><t>700 </t></r></si></sst>"""
SHEET = """<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData><row r="2">
<c r="A2" t="s"><v>0</v></c><c r="B2" t="s"><v>1</v></c><c r="C2"><v>1</v></c><c r="D2" t="s"><v>2</v></c>
</row></sheetData></worksheet>"""


def test_texts_that_cells_share() -> None:
    """As the commonest programs write them. A number 1 is not the text number 1."""
    made = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(book())) as plain, zipfile.ZipFile(made, "w") as archive:
        changed = {"xl/sharedStrings.xml": SHARED, "xl/worksheets/sheet1.xml": SHEET}
        for name in {*plain.namelist(), *changed}:
            archive.writestr(name, changed.get(name) or plain.read(name))

    assert struck_cells(file(made.getvalue())) == {"Nodes": {(2, "B")}}


LINES = """<office:automatic-styles>
<style:style style:name="ce1" style:family="table-cell" style:parent-style-name="Crossed"/>
<style:style style:name="ce2" style:family="table-cell" style:parent-style-name="Crossed">
<style:text-properties style:text-line-through-style="none"/></style:style>
<style:style style:name="T1" style:family="text">
<style:text-properties style:text-line-through-type="single"/></style:style>
<style:style style:name="Crossed" style:family="text"/>
</office:automatic-styles>"""
NAMED = """<office:document-styles xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"
xmlns:style="urn:oasis:names:tc:opendocument:xmlns:style:1.0"><office:styles>
<style:style style:name="Crossed" style:family="table-cell">
<style:text-properties style:text-line-through-style="solid"/></style:style>
</office:styles></office:document-styles>"""
COLUMNS = """<table:table-column table:number-columns-repeated="4"/>
<table:table-column table:default-cell-style-name="Crossed"/>"""
PART = '<text:p><text:span text:style-name="T1">700</text:span> 780</text:p>'
CELLS = f"""<table:table-row table:number-rows-repeated="2"><table:table-cell/></table:table-row>
<table:table-row><table:table-cell table:style-name="ce2"><text:p>1</text:p></table:table-cell>
<table:table-cell table:style-name="ce1" table:number-columns-repeated="2"><text:p>1</text:p>
</table:table-cell>
<table:table-cell>{PART}</table:table-cell>
<table:table-cell office:value-type="float" office:value="1"/></table:table-row>
<table:table-row table:number-rows-repeated="2" table:default-cell-style-name="ce1">
<table:table-cell><text:p>1</text:p></table:table-cell>
<table:table-cell table:style-name="ce2"><office:annotation>{PART}</office:annotation></table:table-cell>
<table:table-cell table:number-columns-repeated="1020"/></table:table-row>"""


def test_of_open_document() -> None:
    """Whole cells, also repeated ones, and parts of texts; by the style of a cell, or of its row or column.

    A style is based on another, which may be in a file of its own. Neither a note nor a blank cell counts.
    """
    content = CONTENT.format(rows=COLUMNS + CELLS)
    space = 'xmlns:style="urn:oasis:names:tc:opendocument:xmlns:style:1.0" office:version'
    content = content.replace("office:version", space, 1).replace("<office:body>", f"{LINES}<office:body>")
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as archive:
        archive.writestr("content.xml", content)
        archive.writestr("styles.xml", NAMED)

    assert struck_cells(file(made.getvalue())) == {
        "Main": {(3, "B"), (3, "C"), (3, "D"), (3, "E"), (4, "A"), (5, "A")}
    }


@pytest.mark.parametrize("data", [b"", b"PK", book()[:400]])
def test_what_cannot_be_read_has_none(data: bytes) -> None:
    """The reader of values says what is wrong with it."""
    assert struck_cells(file(data)) == {}
