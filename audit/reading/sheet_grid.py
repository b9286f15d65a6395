"""XLSX and ODS workbooks as grids, one for each sheet."""

from __future__ import annotations

import datetime
import io
import re
import zipfile
import zlib
from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from typing import Any
from xml.parsers.expat import ExpatError, ParserCreate

from audit.errors import first_line, nearest, stop
from audit.model.mapping import Mapping
from audit.model.table import column_letter
from audit.reading.files import FileBytes, composed
from audit.reading.grid import Grid
from audit.reading.heading_rows import joined_headings
from audit.reading.headings import without_title
from audit.reading.odd_cells import SIGNS, odd_cells
from audit.reading.ods_size import CountedCells
from audit.reading.own_sheets import with_declared_mark
from audit.reading.vocabulary import Vocabulary

MOST_UNPACKED = 300 * 1024 * 1024
MOST_CELLS = 20_000_000
LONGEST_PIECE = 8 << 20
"""Bytes in one piece of XML, such as a text: no cell has more than 32,767 characters."""
_FAR = re.compile(rb"r(?<![\w:]r)\s*=\s*[\"'](?:[A-Za-z]{3,}|[A-Za-z]*\d{7,}|[^\"'<>]*&)")
"""References to cells so far out that the sheet up to there would not fit into memory, or written so that the
distance is concealed. It begins with a letter: what may stand before it is four times as slow to find."""
SAVE_AGAIN = "save it again from a spreadsheet program, or save the sheet as CSV"
_HALF_A_SECOND = datetime.timedelta(milliseconds=500)
_LAST = datetime.datetime.max - _HALF_A_SECOND
_OVERLAP = 4096
"""Bytes of one part that are searched again with the next, so that no reference is cut in two."""


def read_sheets(file: FileBytes, mapping: Mapping, words: Vocabulary) -> list[Grid]:
    """Return the grids of a workbook: of the sheet that the mapping names, or of all, hidden ones marked.

    `words` serve to find the headings below a title, and the column that declares the decimal mark.
    """
    from python_calamine import CalamineError, SheetTypeEnum, SheetVisibleEnum, load_workbook

    odd = check_archive(file)
    try:
        book = load_workbook(io.BytesIO(file.data))
        hidden = {m.name: m.visible != SheetVisibleEnum.Visible for m in book.sheets_metadata
                  if m.visible == SheetVisibleEnum.Visible or m.typ == SheetTypeEnum.WorkSheet}  # fmt: skip
        if mapping.sheet:
            stated = [name for name in book.sheet_names if composed(name) == mapping.sheet]
            if not stated:
                mend = nearest(mapping.sheet, book.sheet_names)
                raise stop(f"has no sheet {mapping.sheet!r}", mend, file=file.name)
            hidden = dict.fromkeys(stated, False)
        cells = odd_cells(file) if odd else {}
        grids = []
        for name in hidden:
            sheet, odd_ones = book.get_sheet_by_name(name), cells.get(name, {})
            grid = without_title(_grid(file, name, sheet, mapping, odd_ones), mapping, words)
            if hidden[name]:
                grids.append(replace(grid, hidden=True))
                continue
            declared = with_declared_mark(grid, mapping, words)
            if declared.decimal == "," != mapping.decimal:  # then its numbers must be written with it
                grid = without_title(_grid(file, name, sheet, declared, odd_ones), mapping, words)
            grids.append(grid)
    except (CalamineError, OSError, ValueError) as error:
        message = f"cannot be read as a workbook: {first_line(error)}"
        mend = "open it in a spreadsheet program and save it again, or save it as CSV"
        raise stop(message, mend, file=file.name) from None
    grids = [grid for grid in grids if grid.rows]
    if all(grid.hidden for grid in grids):
        mend = "check the file, including its hidden sheets" if grids else "check the file"
        raise stop("has no sheet with rows below a heading row", mend, file=file.name)
    return grids


def check_archive(file: FileBytes) -> bool:
    """Refuse a workbook that is damaged, or that unpacks to far more than a workbook can need.

    Every member is unpacked and counted, since the sizes stated in an archive may be false, and must be XML
    where it should be. Returns whether the workbook has formulas or merged cells.
    """
    if not file.data:
        raise stop("is empty", "check that it was saved", file=file.name)
    total = 0
    odd = False
    try:
        with zipfile.ZipFile(io.BytesIO(file.data)) as archive:
            for member in archive.infolist():
                far = _FAR if member.filename != "content.xml" else None
                for seen, new in _unpacked(archive, member):
                    total += new
                    if far and far.search(seen):
                        message = "has a cell beyond row 999,999 or column ZZ"
                        raise stop(message, "delete everything far outside the table", file=file.name)
                    odd = odd or any(sign in seen for sign in SIGNS)
                    if total > MOST_UNPACKED:
                        message = "unpacks to more than 300 MiB, which no readback needs"
                        raise stop(message, SAVE_AGAIN, file=file.name)
    except ExpatError as error:  # its reader of values loops for ever on some truncated XML
        message = f"is a damaged workbook: {member.filename} is not XML: {error}"
        raise stop(message, SAVE_AGAIN, file=file.name) from None
    except (zipfile.BadZipFile, zlib.error, RuntimeError, EOFError, OSError, ValueError):
        message = "is not a workbook: its archive is damaged, locked or of another kind"
        raise stop(message, SAVE_AGAIN, file=file.name) from None
    return odd


def _unpacked(archive: zipfile.ZipFile, member: zipfile.ZipInfo) -> Iterator[tuple[bytes, int]]:
    """Yield the parts of a member, each preceded by the end of the one before, and how many bytes are new.

    In an ODS, what repeated cells expand to counts as well. Raises ExpatError for malformed XML, and
    RuntimeError for archives that no spreadsheet program would write.
    """
    if member.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise RuntimeError
    counted = CountedCells() if member.filename == "content.xml" else None
    plain = ParserCreate() if member.filename.endswith((".xml", ".rels")) else None
    xml = counted.parser if counted else plain
    tail, fed = b"", 0
    with archive.open(member) as stream:
        while part := stream.read(1 << 20):
            if xml:
                xml.Parse(part, False)
                fed += len(part)
                if fed - max(xml.CurrentByteIndex, 0) > LONGEST_PIECE:  # each part would scan it again
                    raise RuntimeError
            yield tail + part, len(part) + (counted.taken() if counted else 0)
            tail = part[-_OVERLAP:]
    if xml:
        xml.Parse(b"", True)


def _grid(file: FileBytes, name: str, sheet: Any, mapping: Mapping, odd: dict[tuple[int, str], str]) -> Grid:
    size = sheet.total_height * sheet.total_width
    if size > MOST_CELLS:
        message = f"has {size:,} cells"
        mend = "delete the empty rows and columns after the data, and save it again"
        raise stop(message, mend, file=file.name, sheet=name)
    cells = sheet.to_python(skip_empty_area=False)
    start = mapping.skip_rows
    while start < len(cells) and not any(map(_text, cells[start])):
        start += 1
    end = start + mapping.heading_rows
    headings = joined_headings([[*map(_text, row)] for row in cells[start:end]]) if start < len(cells) else []
    text = _text if mapping.decimal == "." else partial(_text, mark=mapping.decimal)
    body = [(number, list(map(text, row))) for number, row in enumerate(cells[end:], end + 1)]
    body = [(number, texts) for number, texts in body if any(map(str.strip, texts))]
    used = [i for _, texts in [(0, headings), *body] for i, text in enumerate(texts) if text.strip()]
    headings = headings[: max(used, default=-1) + 1]
    known: dict[str, str] = {}
    columns = [[known.setdefault(texts[i], texts[i]) for _, texts in body] for i in range(len(headings))]
    rows = [number for number, _ in body]
    letters = [column_letter(i) for i in range(len(headings))]
    return Grid(file.name, name, headings, letters, end, columns, rows, instead=odd)


def _text(cell: Any, mark: str = ".") -> str:
    """Return a cell's content as text: whole numbers without a point, dates in ISO form to the second.

    A number in a cell has no decimal mark of its own; it is written with the declared one.
    """
    if isinstance(cell, str):
        return composed(cell)
    if isinstance(cell, bool):
        return "true" if cell else "false"
    if isinstance(cell, float):
        whole = cell.is_integer() and abs(cell) < 1e15
        return str(int(cell)) if whole else repr(cell).replace(".", mark)
    if isinstance(cell, datetime.datetime):
        time = (min(cell, _LAST) + _HALF_A_SECOND).replace(microsecond=0)  # fractions of a day are not exact
        if time.time() == datetime.time.min:
            return time.date().isoformat()
        return time.isoformat(timespec="seconds" if time.second else "minutes")
    return str(cell)
