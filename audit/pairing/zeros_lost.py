"""Zeros lost: an identifier without its leading zeros is unclear, not a different identifier."""

from __future__ import annotations

from dataclasses import replace

from audit.comparing import unlike
from audit.model.device import Setting
from audit.model.site import Block
from audit.model.value import Value, Values


def without_zeros_lost(block: Block) -> Block:
    """Return the block with texts marked as unclear that are the planned ones without their leading zeros.

    Only for settings whose planned text fills the display, which shows zeros that a spreadsheet drops.
    """
    changed: dict[str, Values] = {}
    for setting in block.type.settings:
        planned, column = block.planned.get(setting.name), block.found.get(setting.name)
        if setting.kind != "text" or not setting.digits or planned is None or column is None:
            continue
        lost = {
            i: _unclear(column[i], setting.digits) for i in unlike(planned, column)
            if column[i].read and is_without_zeros(column[i], planned[i], setting)
        }  # fmt: skip
        if lost:
            changed[setting.name] = column.changed(lost)
    return replace(block, found={**block.found, **changed}) if changed else block


def is_without_zeros(found: Value, planned: Value, setting: Setting) -> bool:
    """Tell whether a text is the planned one without its leading zeros, where that fills the display."""
    one, other, digits = str(found.content), str(planned.content), setting.digits or 0
    fills = setting.kind == "text" and len(other) == digits
    return fills and one.isdecimal() and len(one) < digits and one.zfill(digits) == other


def _unclear(value: Value, digits: int) -> Value:
    text = value.shown
    how = "a spreadsheet drops leading zeros unless the column is formatted as text"
    return Value(None, "unclear", shown=text, note=f"{text!r} has {len(text)} of {digits} characters: {how}")
