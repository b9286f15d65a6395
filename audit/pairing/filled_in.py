"""Filled in: a row that says who a device is, and nothing of how it is set, is no readback of it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import replace

from audit.model.rows import Rows
from audit.model.site import Block, Site, Target
from audit.model.table import Place
from audit.model.value import BLANK
from audit.pairing.merging import read_alike
from audit.reading.identifiers import spelling
from audit.reading.own_sheets import MARK


def without_blank_rows(site: Site) -> Site:
    """Return the site with its blank rows taken from their devices, which then were not read.

    A blank row has no setting, and no other tag or serial number than planned: nobody filled in the sheet.
    Sheets of ours come without serial numbers, so that one was read wherever it stands in them.
    """
    blank: dict[Target, Place] = {}
    blocks = []
    for b, block in enumerate(site.blocks):
        entries = {i for i in _nothing_read(block) if _names_it(block, i)}
        blank |= {(b, i): _place(block, i) for i in sorted(entries)}
        blocks.append(_without(block, entries) if entries else block)
    return replace(site, blocks=blocks, blank=blank) if blank else site


def _without(block: Block, entries: Collection[int]) -> Block:
    rows: list[Rows] = [[] if i in entries else of_one for i, of_one in enumerate(block.rows)]
    return replace(block, rows=rows, alike=read_alike(rows))


def _nothing_read(block: Block) -> Sequence[int]:
    """Return the devices of which something is planned, that have rows, but no value in them."""
    if any(BLANK not in column.among for column in block.found.values()):
        return ()  # as it mostly is: every device has a value of this setting
    left: Sequence[int] = [i for i, rows in enumerate(block.rows) if rows]
    for column in block.found.values():
        left = [i for i in left if column[i] is BLANK]
    return [i for i in left if any(column[i] is not BLANK for column in block.planned.values())]


def _place(block: Block, i: int) -> Place:
    """Return where a device's serial number stands, or its tag where that is blank."""
    serial = block.found_place(i, "serial")
    return serial if serial.raw.strip() else block.found_place(i, "tag")


def _names_it(block: Block, i: int) -> bool:
    """Tell whether the rows of a device give its planned tag and serial number, however spelled, or none."""
    return all(
        _is_or_blank(table.texts("tag")[e], block.tags[i])
        and _is_or_blank(table.texts("serial")[e], "" if MARK in table.columns else block.serials[i])
        for table, e in block.rows[i]
    )


def _is_or_blank(text: str, planned: str) -> bool:
    """Tell whether a text is blank, or a planned name; one of nothing but punctuation is neither."""
    return not text.strip() or (spelling(text) != "" and spelling(text) == spelling(planned))
