"""Texts of a device: what its rows contain, and its values in one spelling."""

from __future__ import annotations

import re
from decimal import Decimal

from audit.model.device import Setting
from audit.model.rows import Rows
from audit.model.site import Block
from audit.model.table import Table
from audit.model.value import Code, Value
from audit.reading.identifiers import bare, damaged, spelling
from audit.reading.values import EXACT, plain

MOST_DECIMALS = 12
"""Decimal places that are kept: far more than any display shows."""


def texts_of(block: Block, side: str) -> dict[str, list[str]]:
    """Return setting → the canonical text of each device's value on one side, without access codes."""
    columns = block.found if side == "found" else block.planned
    texts = {}
    for setting in block.type.settings:
        values = columns.get(setting.name)
        if values is not None and setting.kind != "secret":
            memo = {value: canonical_text(value, setting) for value in values.among}
            texts[setting.name] = [memo[value] for value in values]
    return texts


def canonical_text(value: Value, setting: Setting) -> str:
    """Return a value in the setting's own unit, in one spelling; empty for one that was not read."""
    content = value.content
    if content is None or isinstance(content, Code):
        return ""
    if isinstance(content, bool):
        return "on" if content else "off"
    if isinstance(content, Decimal):
        places = MOST_DECIMALS if setting.kind == "decimal" else 0
        number = EXACT.quantize(content, Decimal(1).scaleb(-places))
        return plain(number.copy_abs() if number.is_zero() else number)
    return str(content)


def serial_of(block: Block, i: int) -> str:
    """Return the serial number read; the planned one if none was, or it is damaged or only respelt."""
    found, planned = field_of(block, i, "serial"), block.serials[i]
    kept = not found or damaged(found) or spelling(found) == spelling(planned)
    return planned if kept else found


def tag_of(block: Block, i: int) -> str:
    """Return the newest tag that was read on a device together with a serial number; empty if none was.

    Where no row has both, it is the newest tag. A row with a tag alone, such as a host's export, was found by
    that tag, so it cannot show that the unit has another.
    """
    rows = block.rows[i]
    return _newest([one for one in rows if _text(one, "serial")], "tag") or _newest(rows, "tag")


def field_of(block: Block, i: int, name: str) -> str:
    """Return the newest text of a field, such as `read_at`, in a device's rows."""
    return _newest(block.rows[i], name)


def _newest(rows: Rows, name: str) -> str:
    return next(filter(None, (_text(one, name) for one in reversed(rows))), "")


def _text(row: tuple[Table, int], name: str) -> str:
    table, entry = row
    return bare(table.texts(name)[entry]) if name in table.columns else ""


def parted(text: str) -> list[str]:
    """Return the duties in one cell, separated by commas or semicolons."""
    return [bare(part) for part in re.split(r"[,;]", text) if bare(part)]
