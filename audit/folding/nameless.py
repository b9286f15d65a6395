"""Rows that hold readings but name no device, where the same readings are missing elsewhere."""

from __future__ import annotations

from collections.abc import Iterator

from audit.checking import Found
from audit.checks.loose_rows import by_table, nameless
from audit.folding.about import sheet_of
from audit.folding.findings import Cause, Findings, network_of
from audit.folding.unread import says_unread
from audit.model.finding import Hit
from audit.model.readback import FIELDS
from audit.model.rows import Rows
from audit.model.site import Site
from audit.model.table import Table
from audit.phrases import listed

MOST_SETTINGS = 4
"""Settings named in a message."""


def nameless_rows(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Put what was not read under the rows of the same file that hold such readings but name no device."""
    for rows in by_table([row for stranger in nameless(findings.site) for row in stranger.rows]):
        table = rows[0][0]
        settings = _settings(rows)
        missing = [
            i for i, item in findings.free()
            if says_unread(item) and item.hit.settings[:1]
            and item.hit.settings[0] in settings and _may_be_in(findings.site, item, table)
        ]  # fmt: skip
        if min(len(rows), len(missing)) < at_least:
            continue
        hits = findings.hits(missing)
        devices = {hit.order for hit in hits}
        message = (
            f"{len(rows):,} rows of {table.file}, the first being row {table.rows[rows[0][1]]}, name no "
            f"device and hold what was not read on {len(devices):,} devices: "
            f"{listed(settings, MOST_SETTINGS)}"
        )
        place = table.place(rows[0][1], "tag")
        about_rows = [i for i, item in findings.free() if _says_nameless(item, table)]
        root = Hit(network_of(hits), "", (), message, places=(place,), order=hits[0].order)
        yield Cause(root, [*about_rows, *missing])


def _settings(rows: Rows) -> list[str]:
    """Return the settings of which some of the rows hold a reading."""
    table = rows[0][0]
    return [
        name for name, column in table.columns.items()
        if name not in FIELDS and any(not column.is_blank(entry) for _, entry in rows)
    ]  # fmt: skip


def _may_be_in(site: Site, item: Found, table: Table) -> bool:
    """Tell whether the device of a finding has a row in this table, or no row anywhere."""
    b, i = item.hit.order
    rows = site.blocks[b].rows_read(i) if b < len(site.blocks) else []
    return not rows or any(one is table for one, _ in rows)


def _says_nameless(item: Found, table: Table) -> bool:
    return item.asks("identity", "names-no-device") and sheet_of(item) == (table.file, table.sheet)
