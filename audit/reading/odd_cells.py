"""Cells of a workbook without text of their own: formulas without a result, errors, merged cells.

A reader of values sees them as blank. Since blank means 'not read', what a person put there would be lost
without notice. They are looked for only if a workbook has formulas or merged cells at all.
"""

from __future__ import annotations

import io
import posixpath
import re
import zipfile
from collections.abc import Iterator
from xml.etree import ElementTree

from audit.model.table import MERGED, column_index, column_letter
from audit.reading.files import FileBytes

SIGNS = (b"<f>", b"<f ", b"<f/", b"<mergeCell ", b't="e"', b"table:formula=", b"-spanned=")
"""What shows that a sheet has formulas, errors or merged cells, as spreadsheet programs write them."""
TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
"""How the names of an ODS begin."""
SPANNED = (f"{TABLE}number-columns-spanned", f"{TABLE}number-rows-spanned")
"""How far a merged cell in an ODS extends."""
MOST_REPEATED = 1000
"""Cells that are repeated more often are the empty rest of a sheet."""
MOST_ODD = 100_000
"""A sheet with more is not searched further: its contents were computed, not typed."""
_ENDS = re.compile(r"([A-Z]+)(\d+):([A-Z]+)(\d+)")
Odd = dict[tuple[int, str], str]
"""Row and letter of the column → what is there."""


def odd_cells(file: FileBytes) -> dict[str, Odd]:
    """Return sheet name → its odd cells, for a file that calamine was able to open."""
    try:
        with zipfile.ZipFile(io.BytesIO(file.data)) as archive:
            if "content.xml" in archive.namelist():
                return _of_ods(archive)
            return {name: _of_xlsx(archive.read(part)) for name, part in sheet_parts(archive)}
    except (ElementTree.ParseError, KeyError, ValueError):
        return {}  # the values were readable; the odd cells are only an addition


def sheet_parts(archive: zipfile.ZipFile) -> Iterator[tuple[str, str]]:
    """Yield the name of each sheet of an XLSX, and the archive member that contains it."""
    links = ElementTree.fromstring(archive.read("xl/_rels/workbook.xml.rels"))  # noqa: S314 -- expat limits entities
    targets = {link.get("Id"): link.get("Target", "") for link in links.findall(".//{*}Relationship")}
    book = ElementTree.fromstring(archive.read("xl/workbook.xml"))  # noqa: S314
    for sheet in book.findall(".//{*}sheet"):
        link = next(value for key, value in sheet.attrib.items() if key.endswith("}id"))
        part = posixpath.normpath(posixpath.join("/xl", targets[link])).lstrip("/")
        if part in archive.namelist():
            yield sheet.get("name", ""), part


def _of_xlsx(xml: bytes) -> Odd:
    odd: Odd = {}
    for _, element in ElementTree.iterparse(io.BytesIO(xml)):  # noqa: S314
        name = element.tag.rpartition("}")[2]
        if name == "c":
            formula, value = element.find("{*}f"), element.find("{*}v")
            text = value.text or "" if value is not None else ""
            if element.get("t") == "e" or (formula is not None and not text):
                row, letter = split_reference(element.get("r", ""))
                odd[row, letter] = f"={formula.text or ''}" if formula is not None else text
        elif name == "mergeCell" and (ends := _ENDS.fullmatch(element.get("ref", ""))):
            odd |= _merged(ends[1], int(ends[2]), ends[3], int(ends[4]))
        elif name == "row":
            element.clear()
        if len(odd) > MOST_ODD:
            break
    return odd


def split_reference(reference: str) -> tuple[int, str]:
    """Return row and column letters of a reference such as B7; row 0 if it has none."""
    letters = reference.rstrip("0123456789")
    return int(reference[len(letters) :] or 0), letters


def _merged(first: str, top: int, last: str, bottom: int) -> Odd:
    """Return the cells covered by a merged one, only as far as a table may reach."""
    columns = range(column_index(first), min(column_index(last), column_index(first) + MOST_REPEATED) + 1)
    furthest = top + MOST_REPEATED // max(1, len(columns))  # no columns if the range is written backwards
    rows = range(top, min(bottom, furthest) + 1)
    cells = [(row, column_letter(column)) for row in rows for column in columns]
    return dict.fromkeys(cells[1:], f"{MERGED}{first}{top})")


def _of_ods(archive: zipfile.ZipFile) -> dict[str, Odd]:
    content = ElementTree.fromstring(archive.read("content.xml"))  # noqa: S314
    return {sheet.get(f"{TABLE}name", ""): _of_ods_sheet(sheet) for sheet in content.iter(f"{TABLE}table")}


def _of_ods_sheet(sheet: ElementTree.Element) -> Odd:
    odd: Odd = {}
    number = 1
    for row in sheet.iter(f"{TABLE}table-row"):
        odd |= _of_ods_row(row, number)
        if len(odd) > MOST_ODD:
            break
        number += int(row.get(f"{TABLE}number-rows-repeated", "1"))
    return odd


def _of_ods_row(row: ElementTree.Element, number: int) -> Odd:
    odd: Odd = {}
    column = 0
    for cell in row:
        times = int(cell.get(f"{TABLE}number-columns-repeated", "1"))
        formula = cell.get(f"{TABLE}formula", "").removeprefix("of:")
        wide, high = (int(cell.get(name, "1")) for name in SPANNED)
        if wide > 1 or high > 1:
            last = column_letter(column + wide - 1)
            odd |= _merged(column_letter(column), number, last, number + high - 1)
        if formula and not cell.get(f"{OFFICE}value") and not _result(cell):
            odd |= {(number, column_letter(column + k)): formula for k in range(min(times, MOST_REPEATED))}
        column += times
    return odd


def _result(cell: ElementTree.Element) -> str:
    """Return the text, truth value or date that a formula in an ODS results in; blank for an error."""
    names = ("string-value", "boolean-value", "date-value", "time-value")
    given = "".join(cell.get(f"{OFFICE}{name}", "") for name in names)
    kind = next((value for key, value in cell.attrib.items() if key.endswith("ext:1.0}value-type")), "")
    return "" if kind == "error" else given or ("".join(cell.itertext()) if kind == "string" else "")
