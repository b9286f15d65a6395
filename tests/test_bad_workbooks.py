"""Workbooks that cannot be read: damaged, of another kind, too large once unpacked, without a table."""

from __future__ import annotations

import io
import subprocess
import sys
import zipfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest

from audit.reading.sheet_grid import MOST_UNPACKED
from tests.fuzz.readers import SPREADSHEET
from tests.refusing import assert_clear, assert_refused
from tests.small_site import as_xlsx, small_site

HEAD = ("tag", "serial", "channel")
ROW = ("N-1", "100001", 7)
GOOD = as_xlsx({"Readback": [HEAD, ROW]})


def zip_bomb(megabytes: int) -> bytes:
    """Return an archive with one member, XML with this many megabytes of blanks."""
    stream = io.BytesIO()
    with (
        zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive,
        archive.open("xl/worksheets/sheet1.xml", "w", force_zip64=True) as member,
    ):
        member.write(b"<worksheet>")
        for _ in range(megabytes):
            member.write(b" " * (1 << 20))
    return stream.getvalue()


def archive_of(name: str, text: str) -> bytes:
    """Return an archive that is not a workbook."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w") as archive:
        archive.writestr(name, text)
    return stream.getvalue()


def damaged(packing: int) -> bytes:
    """Return an archive whose bytes do not unpack, whatever the unpacker calls them."""
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", packing) as archive:
        archive.writestr("xl/workbook.xml", "".join(map(str, range(2000))))
    data = bytearray(stream.getvalue())
    data[100:120] = b"\xff" * 20
    return bytes(data)


NO_WORKBOOKS = [
    pytest.param(b"", "is empty", "check that it was saved", id="empty"),
    pytest.param(GOOD[: len(GOOD) // 2], "is not a workbook", "save it again", id="cut in half"),
    pytest.param(GOOD[:-30], "is not a workbook", "save it again", id="end cut off"),
    pytest.param(b"tag,serial\nN-1,100001\n", "is not a workbook", "CSV", id="CSV renamed"),
    pytest.param(damaged(zipfile.ZIP_DEFLATED), "its archive is damaged", "save it again", id="damaged"),
    pytest.param(damaged(zipfile.ZIP_LZMA), "its archive is damaged", "save it again",
                 id="packed in another way"),
    pytest.param(archive_of("letter.txt", "Dear colleague"), "cannot be read as a workbook", "save it again",
                 id="another archive"),
    pytest.param(bytes.fromhex("d0cf11e0a1b11ae1") + bytes(600), "locked", "save it again",
                 id="locked by a password"),
]  # fmt: skip
"""The last begins as an OLE compound file, in which workbooks with a password are stored."""


@pytest.mark.parametrize("ending", [".xlsx", ".ods", ".xlsm"])
@pytest.mark.parametrize(("content", "says", "mend"), NO_WORKBOOKS)
def test_files_that_are_not_workbooks(
    tmp_path: Path, ending: str, content: bytes, says: str, mend: str
) -> None:
    """A damaged or renamed workbook is refused, with a way to save it again."""
    site = small_site(tmp_path).read(f"found{ending}", content)

    assert_refused(site, at=f"found{ending}", says=says, mend=mend)


@pytest.mark.parametrize(
    ("name", "says"),
    [
        ("found.csv", "it is not a text file"),
        ("found.json", "is a workbook, but YAML or JSON is read here"),
        ("found.yaml", "is a workbook, but YAML or JSON is read here"),
    ],
)
def test_a_workbook_under_another_name(tmp_path: Path, name: str, says: str) -> None:
    """For a workbook renamed as text, the message says to keep its own ending."""
    site = small_site(tmp_path).read(name, GOOD)

    assert_refused(site, at=name, says=says, mend="must end in .xlsx")


def test_a_piece_of_xml_without_an_end(tmp_path: Path) -> None:
    """Such a piece was scanned again from its start with each part unpacked: 400 MB took half a minute."""
    content = io.BytesIO()
    with zipfile.ZipFile(content, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("xl/worksheets/sheet1.xml", b"<a b='" + b"0" * 20_000_000)
    site = small_site(tmp_path).read("found.xlsx", content.getvalue())

    assert_refused(site, at="found.xlsx", says="is not a workbook", mend="CSV")


def test_a_zip_bomb(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A small archive that unpacks to more than is allowed is refused while unpacking, not read into memory.

    300 MiB would take seconds; how many are allowed makes no other difference.
    """
    assert MOST_UNPACKED == 300 << 20
    monkeypatch.setattr("audit.reading.sheet_grid.MOST_UNPACKED", 3 << 20)
    content = zip_bomb(4)
    assert len(content) < 5_000

    site = small_site(tmp_path).read("found.xlsx", content)

    assert_refused(site, at="found.xlsx", says="unpacks to more than 300 MiB", mend="CSV")


FAR_CELLS = {
    "last corner": "XFD1048576",
    "beyond any sheet": "B99999999999",
    "small letters": "vvvvA2",
    "hidden letters": "&#65;&#65;&#65;&#65;2",
}


@pytest.mark.parametrize("cell", FAR_CELLS.values(), ids=FAR_CELLS)
def test_a_cell_far_away(tmp_path: Path, cell: str) -> None:
    """A stray cell far from the data is reported; it must not end the program.

    In a separate process, since a reader that allocates thousands of millions of cells aborts it.
    """
    site = small_site(tmp_path)
    far = site.write("far.xlsx", moved(GOOD, "C2", cell))

    done = subprocess.run(
        [sys.executable, "-m", "audit", "check", site.plan, far], capture_output=True, text=True, check=False
    )

    assert done.returncode == 2
    assert_clear(done.stderr)
    assert done.stderr.startswith(f"{far}")


REPEATED = {
    "a long text": ("<table:table-row table:number-rows-repeated='2000000000'>", "N-1" + "x" * 30_000),
    "a short text": ("<table:table-row table:number-rows-repeated='2000000000'>", "N-1"),
    "both ways": (
        "<table:table-row table:number-rows-repeated='60000'>",
        "N-1' table:number-columns-repeated='60000",
    ),
    "no number": ("<table:table-row table:number-rows-repeated='-7'>", "N-1"),
}


@pytest.mark.parametrize(("row", "tag"), REPEATED.values(), ids=REPEATED)
def test_more_repeated_cells_than_fit_into_memory(tmp_path: Path, row: str, tag: str) -> None:
    """An ODS stores a count of equal rows: 780 bytes ended the process without a message."""
    text, _, attribute = tag.partition("' ")
    workbook = spreadsheet("", row=row, tag=text, cell=f" {attribute}'" if attribute else "")
    site = small_site(tmp_path).read("found.ods", workbook)

    assert_refused(site, at="found.ods", says="unpacks to more than 300 MiB", mend="CSV")


def test_empty_rows_and_cells_after_the_data_do_no_harm(tmp_path: Path) -> None:
    """Every spreadsheet program writes such counts."""
    ends = ("<table:table-cell table:number-columns-repeated='16382'/></table:table-row>"
            "<table:table-row table:number-rows-repeated='1048574'>"
            "<table:table-cell table:number-columns-repeated='16384'/>")  # fmt: skip
    site = small_site(tmp_path).read("found.ods", spreadsheet("", ends=ends))

    assert site.check().code == 1, "the other devices were not read"


BLANKS = {
    "at once": '<text:s text:c="2000000000"/>',
    "bit by bit": '<text:s text:c="900000"/>' * 400,
    "hidden": '<text:s text:c="&#50;000000000"/>',
}


@pytest.mark.parametrize("blanks", BLANKS.values(), ids=BLANKS)
def test_more_blanks_than_fit_into_memory(tmp_path: Path, blanks: str) -> None:
    """An ODS stores a count of blanks: 700 bytes became 6 GB, and an internal fault."""
    site = small_site(tmp_path).read("found.ods", spreadsheet(blanks))

    assert_refused(site, at="found.ods", says="unpacks to more than 300 MiB", mend="CSV")


def test_some_blanks_are_read(tmp_path: Path) -> None:
    """Several blanks within a text are stored as a count, which is read."""
    site = small_site(tmp_path).read("found.ods", spreadsheet('<text:s text:c="3"/>'))

    assert site.check().code == 1, "the other devices were not read"


def spreadsheet(
    behind: str, *, row: str = "<table:table-row>", tag: str = "N-1", cell: str = "", ends: str = ""
) -> bytes:
    """Return an ODS with channel 7 of N-1; `behind` follows its tag, and `ends` follows its channel."""
    of = "urn:oasis:names:tc:opendocument:xmlns:"
    kind = "office:value-type='string'"
    rows = "".join(
        f"{begin}<table:table-cell {kind}{more}><text:p>{name}</text:p></table:table-cell>"
        f"<table:table-cell {kind}><text:p>{channel}</text:p></table:table-cell>{last}</table:table-row>"
        for begin, more, name, channel, last in (
            ("<table:table-row>", "", "tag", "channel", ""), (row, cell, f"{tag}{behind}", "7", ends)
        )
    )  # fmt: skip
    stream = io.BytesIO()
    with zipfile.ZipFile(stream, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in SPREADSHEET.items():
            archive.writestr(name, content)
        archive.writestr(
            "content.xml",
            f"<office:document-content xmlns:office='{of}office:1.0' xmlns:table='{of}table:1.0' "
            f"xmlns:text='{of}text:1.0'><office:body><office:spreadsheet><table:table table:name='Found'>"
            f"{rows}</table:table></office:spreadsheet></office:body></office:document-content>",
        )
    return stream.getvalue()


def moved(workbook: bytes, cell: str, to: str) -> bytes:
    """Return a workbook of one sheet with a cell that claims to be elsewhere."""
    stream = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(workbook)) as old, zipfile.ZipFile(stream, "w") as new:
        for name in old.namelist():
            new.writestr(name, old.read(name).replace(f'r="{cell}"'.encode(), f'r="{to}"'.encode()))
    return stream.getvalue()


def test_a_spreadsheet_that_is_cut_off(tmp_path: Path) -> None:
    """XML that is not closed is reported at once; a reader that looks for its end may look for ever."""
    good = io.BytesIO()
    with zipfile.ZipFile(good, "w") as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        archive.writestr("content.xml", "<a><table:table-row xmlns:table='x'></table></a>")
    site = small_site(tmp_path).read("found.ods", good.getvalue())

    assert_refused(
        site, at="found.ods", says="content.xml is not XML: mismatched tag", mend="spreadsheet program"
    )


Sheets = dict[str, Sequence[Sequence[Any]]]

NO_TABLES: list[Any] = [
    pytest.param({"Readback": [HEAD]}, "", "has no sheet with rows below a heading row", "",
                 id="header only"),
    pytest.param({"Readback": []}, "", "has no sheet with rows below a heading row", "", id="blank sheet"),
    pytest.param({"A": [("x",), ("y",)], "B": [("x",), ("y",)]}, "", "none of its sheets ('A', 'B')",
                 "state the sheet in a mapping", id="no table on any sheet"),
    pytest.param({"Readback": [(*HEAD, "chanel"), (*ROW, 7)]}, " [Readback]:1:D", "unknown column 'chanel'",
                 "channel", id="unknown column"),
    pytest.param({"Readback": [("", "Check sheet", "Monday"), (), HEAD, ROW]}, " [Readback]:1:B",
                 "'Check sheet'", "state `skip_rows: 2`", id="more than a title above the headings"),
    pytest.param({"A": [HEAD, ROW], "B": [("by", "R. Sample"), HEAD, ROW]}, " [B]:1:A", "'by'",
                 "delete everything above row 2", id="more than a title on one sheet of several"),
    pytest.param({"A": [("by", "R."), HEAD, ROW], "B": [("x",), ("y",)]}, " [A]:1:A", "'by'",
                 "state `skip_rows: 1`", id="more than a title on the only sheet with a table"),
    pytest.param({"Readback": [HEAD, (*ROW, "stray")]}, " [Readback]:1:D", "a column has no heading",
                 "heading", id="values without a heading"),
    pytest.param({"Readback": [HEAD, ("N-1", "100001", 1e20)]}, " [Readback]:2:C", "is beyond any",
                 "read it again", id="beyond 64 bits"),
]  # fmt: skip


@pytest.mark.parametrize(("sheets", "place", "says", "mend"), NO_TABLES)
def test_workbooks_without_a_good_table(
    tmp_path: Path, sheets: Sheets, place: str, says: str, mend: str
) -> None:
    """A workbook that opens but has no readback is reported with sheet, row and column."""
    site = small_site(tmp_path).read("found.xlsx", as_xlsx(sheets))

    assert_refused(site, at=f"found.xlsx{place}", says=says, mend=mend)


def test_a_sheet_that_is_not_read_is_listed(tmp_path: Path) -> None:
    """A sheet with unknown headings is listed as not read; a page of text is not."""
    other = [("Name", "Kanal"), ("N-1", 12)]
    site = small_site(tmp_path)
    site.read(
        "found.xlsx", as_xlsx({"First": [HEAD, ROW], "Second visit": other, "Notes": [("cold",), ("wet",)]})
    )

    text = " ".join(site.check().stdout.split())

    assert (
        "found.xlsx [Second visit] (not read): no heading in row 1 says which device a row is about" in text
    )
    assert "Notes" not in text


def test_a_sheet_that_is_not_there(tmp_path: Path) -> None:
    """If a mapping names a sheet that the workbook lacks, the message lists the sheets there are."""
    site = small_site(tmp_path).read("found.xlsx", GOOD)

    assert_refused(site, "--mapping", site.mapping(sheet="Readbak"), at="found.xlsx",
                   says="has no sheet 'Readbak'", mend="Readback")  # fmt: skip
