"""Struck-out cells of workbooks: somebody crossed them out, and a reader of values takes them for valid.

They are read like any other, since nobody can know what was meant; but this is told. A text of which a part
is struck out, such as an old setpoint before the new one, is read with that part.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import islice, repeat
from xml.etree import ElementTree

from audit.errors import Problem
from audit.model.table import Table, column_letter
from audit.phrases import listed
from audit.reading.files import FileBytes
from audit.reading.inputs import Inputs
from audit.reading.odd_cells import MOST_REPEATED, OFFICE, TABLE, sheet_parts, split_reference

MOST_COLUMNS = 1 << 14
"""Most columns whose own style is looked at: spreadsheet programs have no more."""
MOST_CELLS = 6
"""Most cells that are named."""
MEND = (
    "delete what no longer holds; to leave out whole rows, name what they have under `leave_out` in a mapping"
)
_OFF = ("0", "false", "none")
_TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
_STYLE = "{urn:oasis:names:tc:opendocument:xmlns:style:1.0}"
_LINE = re.compile(rb"line-through-(?:style|type)=[\"'](?!none)")
"""What shows that an ODS has struck-out text at all."""
Cells = set[tuple[int, str]]
"""Rows and column letters."""
Style = tuple[str, str | None]
"""Family and name of a style of an ODS."""


def tell_struck_out(file: FileBytes, tables: Sequence[Table], inputs: Inputs) -> None:
    """Warn of struck-out cells among those that tables have read from a workbook, also in the report."""
    for sheet, struck in struck_cells(file).items():
        read = {
            (place.row, place.column)
            for table in tables if table.sheet == sheet
            for name, column in table.columns.items() if not column.fixed
            for entry, text in enumerate(column.texts) if text.strip()
            if ((place := table.place(entry, name)).row, place.column) in struck
        }  # fmt: skip
        if read:
            which = [f"{letter}{row}" for row, letter in sorted(read)]
            are = "cell is" if len(read) == 1 else "cells are"
            message = f"{len(read)} {are} struck out, wholly or in part, and read like any other"
            message += f": {listed(which, MOST_CELLS)}"
            inputs.tell(file.name, f"in {sheet!r}, {message}")
            inputs.warn([Problem(message, MEND, file.name, sheet)])


def struck_cells(file: FileBytes) -> dict[str, Cells]:
    """Return sheet name → its struck-out cells, for a workbook that can be read; other files have none."""
    try:
        with zipfile.ZipFile(io.BytesIO(file.data)) as archive:
            if "content.xml" in archive.namelist():
                return _of_ods(archive)
            return _of_xlsx(archive)
    except (ElementTree.ParseError, KeyError, ValueError, zipfile.BadZipFile):
        return {}  # the values were readable; this is only an addition


def _of_xlsx(archive: zipfile.ZipFile) -> dict[str, Cells]:
    styles = _struck_styles(_member(archive, "xl/styles.xml"))
    texts = _struck_texts(_member(archive, "xl/sharedStrings.xml"))
    sheets = ((name, archive.read(part)) for name, part in sheet_parts(archive))
    return {
        name: _of_sheet(xml, styles, texts) for name, xml in sheets if styles or texts or b"strike" in xml
    }


def _member(archive: zipfile.ZipFile, name: str) -> bytes:
    """Return a member of an archive if it says anything about striking out; else nothing."""
    data = archive.read(name) if name in archive.namelist() else b""
    return data if b"strike" in data else b""


def _struck_styles(xml: bytes) -> set[str]:
    """Return the numbers of the cell formats whose font is struck out."""
    if not xml:
        return set()
    root = ElementTree.fromstring(xml)  # noqa: S314 -- expat limits entities
    fonts = {str(k) for k, font in enumerate(root.findall("{*}fonts/{*}font")) if _is_struck(font)}
    formats = root.findall("{*}cellXfs/{*}xf")
    return {str(k) for k, one in enumerate(formats) if one.get("fontId") in fonts}


def _struck_texts(xml: bytes) -> set[str]:
    """Return the numbers of the shared texts of which a part is struck out."""
    root = ElementTree.fromstring(xml) if xml else ()  # noqa: S314
    return {str(k) for k, text in enumerate(root) if _in_part(text)}


def _in_part(text: ElementTree.Element | None) -> bool:
    return text is not None and any(map(_is_struck, text.iterfind("{*}r/{*}rPr")))


def _is_struck(font: ElementTree.Element) -> bool:
    struck = font.find("{*}strike")
    return struck is not None and struck.get("val", "1") not in _OFF


def _of_sheet(xml: bytes, styles: set[str], texts: set[str]) -> Cells:
    struck: Cells = set()
    for _, element in ElementTree.iterparse(io.BytesIO(xml)):  # noqa: S314
        name = element.tag.rpartition("}")[2]  # its namespace is another in strict workbooks
        if name == "c":
            if element.get("s") in styles or _has_struck_text(element, texts):
                struck.add(split_reference(element.get("r", "")))
        elif name == "row":
            element.clear()
    return struck


def _has_struck_text(cell: ElementTree.Element, texts: set[str]) -> bool:
    """Return whether a part of a cell's text is struck out; `texts` are the shared ones of which one is."""
    kind = cell.get("t")
    if kind == "s":
        return bool(texts) and cell.findtext("{*}v", "") in texts
    return kind == "inlineStr" and _in_part(cell.find("{*}is"))


def _of_ods(archive: zipfile.ZipFile) -> dict[str, Cells]:
    parts = [archive.read(name) for name in ("styles.xml", "content.xml") if name in archive.namelist()]
    if not any(map(_LINE.search, parts)):
        return {}
    roots = [ElementTree.fromstring(part) for part in parts]  # noqa: S314
    styles = _struck_ods_styles(roots)
    return {
        sheet.get(f"{TABLE}name", ""): set(_of_ods_sheet(sheet, styles))
        for sheet in roots[-1].iter(f"{TABLE}table")
    }


def _struck_ods_styles(roots: Iterable[ElementTree.Element]) -> set[Style]:
    """Return the styles that are struck out, by themselves or as the style that they are based on."""
    of_all: dict[Style, ElementTree.Element] = {
        (style.get(f"{_STYLE}family", ""), style.get(f"{_STYLE}name", "")): style
        for root in roots for style in root.iter(f"{_STYLE}style")
    }  # fmt: skip
    return {key for key in of_all if _is_struck_style(key, of_all)}


def _is_struck_style(key: Style, of_all: Mapping[Style, ElementTree.Element], deepest: int = 20) -> bool:
    """Return whether a style is struck out; one that says nothing of it is as the style it is based on."""
    style = of_all.get(key)
    if style is None or not deepest:
        return False
    said = _says_struck(style)
    if said is None:
        return _is_struck_style((key[0], style.get(f"{_STYLE}parent-style-name")), of_all, deepest - 1)
    return said


def _says_struck(style: ElementTree.Element) -> bool | None:
    """Return whether a style itself says that text is struck out, or is not; None if it says nothing."""
    said = [
        line for properties in style.iter(f"{_STYLE}text-properties") for what in ("style", "type")
        if (line := properties.get(f"{_STYLE}text-line-through-{what}")) is not None
    ]  # fmt: skip
    return any(line not in _OFF for line in said) if said else None


def _of_ods_sheet(sheet: ElementTree.Element, styles: set[Style]) -> Iterator[tuple[int, str]]:
    """Yield the struck-out cells of a sheet that have a text; a cell without style has that of its column."""
    of_columns = list(islice(_styles_of_columns(sheet), MOST_COLUMNS))
    number = 1
    for row in sheet.iter(f"{TABLE}table-row"):
        of_row = row.get(f"{TABLE}default-cell-style-name")
        column = 0
        rows = int(row.get(f"{TABLE}number-rows-repeated", "1"))
        for cell in row:
            times = int(cell.get(f"{TABLE}number-columns-repeated", "1"))
            for k in range(column, column + min(times, MOST_REPEATED)) if _has_text(cell) else ():
                of_column = of_columns[k] if k < len(of_columns) else None
                style = cell.get(f"{TABLE}style-name") or of_row or of_column
                if ("table-cell", style) in styles or _has_struck_part(cell, styles):
                    letter = column_letter(k)
                    yield from ((number + n, letter) for n in range(min(rows, MOST_REPEATED)))
            column += times
        number += rows


def _styles_of_columns(sheet: ElementTree.Element) -> Iterator[str | None]:
    """Yield the style that a cell without one has, for each column."""
    for column in sheet.iter(f"{TABLE}table-column"):
        times = int(column.get(f"{TABLE}number-columns-repeated", "1"))
        yield from repeat(column.get(f"{TABLE}default-cell-style-name"), times)


def _has_text(cell: ElementTree.Element) -> bool:
    return cell.get(f"{OFFICE}value-type") is not None or cell.find(f"{_TEXT}p") is not None


def _has_struck_part(cell: ElementTree.Element, styles: set[Style]) -> bool:
    """Return whether a part of a cell's text is struck out; a note on the cell is no part of it."""
    return any(
        ("text", span.get(f"{_TEXT}style-name")) in styles
        for paragraph in cell.iterfind(f"{_TEXT}p") for span in paragraph.iter(f"{_TEXT}span")
    )  # fmt: skip
