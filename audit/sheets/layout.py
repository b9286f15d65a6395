"""Layout: the columns and rows of a sheet as text, the same for a workbook and for CSV."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from audit.model.device import Setting
from audit.model.readback import EITHER_MARK, PLANNED_ROW, WHERE_ROW
from audit.phrases import clean
from audit.sheets.model import Book, Column, Device, Sheet

PROVES_NOTHING = "Planned values are shown here. A readback copied from the plan proves nothing."
READ_HOW = "with the planned values at hand"
"""Written into the readback by a sheet that shows planned values, so that whoever judges it later knows."""
ABOUT = {
    **WHERE_ROW,
    "read by": "your name",
    "read at": "2026-03-31 09:15",
    "configured by": "who set it, if you know",
    "configured at": "2026-03-30 16:00",
    "note": "anything worth saying",
}
"""Heading of a field that a person sees → the text below it."""
IN_FRONT = ("tag", "location", "serial")
BEHIND = ("read by", "read at", "configured by", "configured at", "note")
OUT_OF_SIGHT = ("network", "site", "plan revision", "decimal mark")
"""Columns that a row carries for `asfound check`; they take no room on the screen or on paper."""


def out_of_sight(book: Book) -> list[str]:
    """Return the headings of the columns that a row carries for `asfound check`."""
    return [*OUT_OF_SIGHT, "read how"] if book.with_plan else [*OUT_OF_SIGHT]


@dataclass(frozen=True, slots=True)
class Cell:
    """One cell: its text, and what may be written into it."""

    text: str
    open: bool = False
    """Whether it is to be filled in."""
    setting: Setting | None = None
    """The setting to be read, if the cell is for one."""


@dataclass(frozen=True, slots=True)
class Row:
    """One row below the two rows of headings."""

    cells: Sequence[Cell]
    planned: bool = False
    """Whether it shows planned values and is not to be filled in."""


def heads(sheet: Sheet, book: Book) -> list[str]:
    """Return the headings of a sheet."""
    headings = [clean(column.heading) for column in sheet.columns]
    return [*IN_FRONT, *headings, *BEHIND, *out_of_sight(book)]


def where_row(sheet: Sheet, book: Book) -> list[str]:
    """Return the row below the headings, which says where to read each setting."""
    about = ABOUT | ({"note": PROVES_NOTHING} if book.with_plan else {})
    columns = [clean(column.where) for column in sheet.columns]
    front, behind = ([about[name] for name in names] for names in (IN_FRONT, BEHIND))
    return [*front, *columns, *behind, *("" for _ in out_of_sight(book))]


def rows(sheet: Sheet, book: Book) -> Iterator[Row]:
    """Yield the rows of a sheet; planned values, if asked for, in a row above the device's own."""
    for network, device in sheet.devices:
        if book.with_plan:
            yield Row([*_planned(device, sheet.columns, book)], planned=True)
        carried = [network, book.site, book.revision, EITHER_MARK, *([READ_HOW] if book.with_plan else [])]
        yield Row([
            Cell(device.tag), Cell(clean(device.location)), Cell("", open=True),
            *(_asked(column, device) for column in sheet.columns),
            *(Cell("", open=True) for _ in BEHIND),
            *(Cell(text) for text in carried),
        ])  # fmt: skip


def _asked(column: Column, device: Device) -> Cell:
    setting = column.of(device)
    return Cell("", open=setting is not None, setting=setting)


def _planned(device: Device, columns: Sequence[Column], book: Book) -> Iterator[Cell]:
    yield from (Cell(f"{PLANNED_ROW}{device.tag}"), Cell(""), Cell(""))
    for column in columns:
        setting = column.of(device)
        yield Cell(clean(device.planned.get(setting.name, "")) if setting else "")
    yield from (Cell("") for _ in (*BEHIND, *out_of_sight(book)))
