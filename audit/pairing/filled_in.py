"""Filled in: a row that only names a device, and says nothing of how it is set, is not a readback of it.

Nor is a row of a gateway's list: it says that a device is heard, not how it is set.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from audit.model.rows import Rows
from audit.model.site import Block, Site, Target
from audit.model.table import Place, Table
from audit.model.value import BLANK
from audit.pairing.asides import holds_reading
from audit.pairing.merging import read_alike
from audit.reading.gateway_lists import is_list, known_to_gateway
from audit.reading.identifiers import spelling
from audit.reading.own_sheets import MARK


def only_read(site: Site) -> Site:
    """Return the site in which devices keep rows only if something was read at the device itself."""
    return _without_notes_alone(_without_listed(_without_blank_rows(site)))


def _without_notes_alone(site: Site) -> Site:
    """Return the site without rows of our sheets that hold at most a note, where a device has other rows."""
    blocks = []
    for block in site.blocks:
        ours = {id(table) for table in block.tables if MARK in table.columns and "note" in table.columns}
        alone = [
            i for i, rows in enumerate(block.rows if ours else ())
            if len(rows) > 1 and any(id(row[0]) in ours and _is_blank_row(block, i, *row) for row in rows)
        ]  # fmt: skip
        rows = list(block.rows)
        for i in alone:
            rows[i] = [row for row in rows[i] if id(row[0]) not in ours or not _is_blank_row(block, i, *row)]
        blocks.append(replace(block, rows=rows, alike=read_alike(rows)) if alone else block)
    return replace(site, blocks=blocks)


def _without_listed(site: Site) -> Site:
    """Return the site without the rows of gateway lists of devices that have otherwise only blank rows.

    Where only what a gateway knows is planned for a device, its row in a list is a readback.
    """
    noted = dict(site.noted)
    blocks = []
    for b, block in enumerate(site.blocks):
        lists = {id(table) for table in block.tables if is_list(table, block.type.settings)}
        asked = [block.planned[s.name] for s in block.type.settings
                 if s.name in block.planned and not known_to_gateway(s)]  # fmt: skip
        listed = {
            i: in_lists for i, rows in enumerate(block.rows if lists else ())
            if (in_lists := [row for row in rows if id(row[0]) in lists])
            and all(_is_blank_row(block, i, *row) for row in rows if id(row[0]) not in lists)
            and any(column[i] is not BLANK for column in asked)
        }  # fmt: skip
        noted |= {(b, i): places[0] for i in listed if (places := block.found_places(i, "note"))}
        blocks.append(replace(_without(block, listed), listed=listed) if listed else block)
    return replace(site, blocks=blocks, noted=noted)


def _without_blank_rows(site: Site) -> Site:
    """Return the site without the rows of devices that have only blank rows: these were not read.

    A blank row has no setting, and no other tag or serial number than planned: nobody filled in the sheet.
    Sheets of ours come without serial numbers, so a serial number in one of them was read.
    """
    blank: dict[Target, Place] = {}
    noted: dict[Target, Place] = {}
    blocks = []
    for b, block in enumerate(site.blocks):
        entries = {i for i in _nothing_read(block) if _names_it(block, i)}
        blank |= {(b, i): block.name_place(i) for i in sorted(entries)}
        noted |= {(b, i): places[0] for i in entries if (places := block.found_places(i, "note"))}
        blocks.append(_without(block, entries) if entries else block)
    return replace(site, blocks=blocks, blank=blank, noted=noted) if blank else site


def _without(block: Block, entries: Collection[int]) -> Block:
    rows: list[Rows] = [[] if i in entries else of_one for i, of_one in enumerate(block.rows)]
    return replace(block, rows=rows, alike=read_alike(rows))


def _nothing_read(block: Block) -> Sequence[int]:
    """Return the devices with planned settings that have rows, but no value in them."""
    if any(BLANK not in column.among for column in block.found.values()):
        return ()  # the usual case: every device has a value for this setting
    left: Sequence[int] = [i for i, rows in enumerate(block.rows) if rows]
    for column in block.found.values():
        left = [i for i in left if column[i] is BLANK]
    return [i for i in left if any(column[i] is not BLANK for column in block.planned.values())]


def _is_blank_row(block: Block, i: int, table: Table, entry: int) -> bool:
    """Tell whether a row of a device has no reading, no serial number, and no other tag than planned."""
    blank = not holds_reading(table, entry) and not table.texts("serial")[entry].strip()
    return blank and _is_or_blank(table.texts("tag")[entry], block.tags[i])


def _names_it(block: Block, i: int) -> bool:
    """Tell whether the rows of a device give its planned tag and serial number, in any spelling, or none."""
    return all(
        _is_or_blank(table.texts("tag")[e], block.tags[i])
        and _is_or_blank(table.texts("serial")[e], "" if MARK in table.columns else block.serials[i])
        for table, e in block.rows[i]
    )


def _is_or_blank(text: str, planned: str) -> bool:
    """Tell whether a text is blank, or the planned name; mere punctuation is neither."""
    return not text.strip() or (spelling(text) != "" and spelling(text) == spelling(planned))
