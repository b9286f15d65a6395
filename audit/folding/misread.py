"""Columns that are off plan all down because of the unit or words that a mapping or heading gives them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence, Set
from dataclasses import replace
from typing import NamedTuple

from audit.comparing import same
from audit.folding.findings import Cause, Findings
from audit.grouping import grouped
from audit.model.device import Setting
from audit.model.site import Site, Target
from audit.model.table import Table, tidied
from audit.model.value import Value
from audit.reading.values import parse
from audit.reading.vocabulary import heading_and_unit

Column = tuple[str, str, str]
"""File, sheet and setting."""


class _Reading(NamedTuple):
    """The newest reading of a setting of a device."""

    device: Target
    setting: Setting
    found: Value
    planned: Value
    table: Table
    text: str

    @property
    def column(self) -> Column:
        """Where it was read."""
        return self.table.file, self.table.sheet, self.setting.name

    def as_planned_in_own_unit(self) -> bool:
        """Tell whether the number would be as planned, had no unit been stated for its column."""
        style = replace(self.table.columns[self.setting.name].style, unit="")
        bare = parse(self.text, self.setting, style)
        return bare.read and self.planned.read and same(bare, self.planned, self.setting)

    def translated(self) -> bool:
        """Tell whether the mapping gave the text another meaning than its own."""
        text, words = tidied(self.text), dict(self.table.columns[self.setting.name].style.translate)
        return words.get(text, text) != text and self.found.read

    def may_be_misread(self) -> bool:
        """Tell whether its column is given a unit or words, with which it is not as planned."""
        style = self.table.columns[self.setting.name].style
        read = self.found.read and self.planned.read
        return bool(style.unit or style.translate) and not (
            read and same(self.found, self.planned, self.setting)
        )


def misread(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find columns in which no device is right only because of how a mapping or heading reads them.

    Either each number is the planned one without the unit stated, or each word was translated and all devices
    are off. A person who sees the file knows at once whether its 'ein' means off; a program does not.
    """
    site = findings.site
    groups = grouped(
        (reading.column, i) for i, item in findings.free()
        if item.hit.side == "found" and item.hit.settings
        and (reading := _reading(site, item.hit.order, item.hit.settings[0])) and reading.may_be_misread()
    )  # fmt: skip
    for column, group in groups.items():
        off = {hit.order for hit in findings.hits(group)}
        readings = list(_readings(site, column)) if len(off) >= at_least else []
        if not readings:
            continue
        if all(one.as_planned_in_own_unit() for one in readings):
            words = _words_of_unit(readings, len(off))
        elif _turned(readings, off):
            words = _words_of_translation(readings, len(off))
        else:
            continue
        yield findings.common_cause(group, words, (column[2],))


def _reading(site: Site, device: Target, name: str) -> _Reading | None:
    b, i = device
    block = site.blocks[b] if b < len(site.blocks) else None
    setting = block.type.setting(name) if block else None
    rows = block.readings(i, name) if block and setting and setting.kind != "secret" else []
    if block is None or setting is None or not rows:
        return None
    table, entry = rows[0]
    found, planned = (block.value(side, name, i) for side in ("found", "planned"))
    return _Reading(device, setting, found, planned, table, table.texts(name)[entry])


def _readings(site: Site, column: Column) -> Iterator[_Reading]:
    """Yield the readings in a column that are the newest of their device."""
    for b, block in enumerate(site.blocks):
        for i in range(len(block)) if column[2] in block.found else ():
            reading = _reading(site, (b, i), column[2])
            if reading and reading.column == column:
                yield reading


def _turned(readings: Sequence[_Reading], off: Set[Target]) -> bool:
    """Tell whether all readings were translated and are off, or are not planned and show the same words."""
    words = {tidied(one.text) for one in readings if one.device in off}
    return all(
        one.translated() and (one.device in off or (not one.planned.read and tidied(one.text) in words))
        for one in readings
    )


def _words_of_unit(readings: Sequence[_Reading], off: int) -> str:
    reading = readings[0]
    column = reading.table.columns[reading.setting.name]
    own = " or ".join(dict.fromkeys(one.setting.unit or "no unit" for one in readings))
    by_heading = heading_and_unit(column.heading)[1] == column.style.unit
    who = f"the heading {column.heading!r}" if by_heading else f"the mapping at {reading.table.mapping}"
    return (
        f"{reading.setting.name} is not as planned on {off} devices of {reading.table.file}, though each "
        f"number is the planned one in {own}: {who} states {column.style.unit}"
    )


def _words_of_translation(readings: Sequence[_Reading], off: int) -> str:
    first = readings[0]
    meant = dict(first.table.columns[first.setting.name].style.translate)
    words = sorted({tidied(one.text) for one in readings})
    taken = " and ".join(f"{word!r} for {meant[word]}" for word in words)
    return (
        f"{first.setting.name} is wrong on {off} devices of {first.table.file}, and right on none: "
        f"the mapping at {first.table.mapping} takes {taken}"
    )
