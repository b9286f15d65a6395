"""Rows of a readback that are of no device: with readings and no name, or with a strange name and none."""

from __future__ import annotations

from collections.abc import Collection

from audit.checks.context import Context
from audit.grouping import grouped
from audit.model.finding import NOBODY, Hit, Outcome
from audit.model.identified import Stranger
from audit.model.rows import Rows
from audit.model.site import Site
from audit.model.table import HIDDEN, Place, Table
from audit.phrases import listed
from audit.reading.identifiers import damaged
from audit.reading.quoting import HIDDEN_QUOTE, holds_code, quoted, remark

MOST_ROWS = 5
"""Rows named in a message."""


def names_no_device(context: Context) -> Outcome:
    """Return a hit for each file with rows that hold readings, and neither tag, serial number nor address."""
    hits = []
    for rows in by_table([row for stranger in nameless(context.site) for row in stranger.rows]):
        table, entry = rows[0]
        says = (
            "1 row holds readings and names" if len(rows) == 1 else f"{len(rows)} rows hold readings and name"
        )
        message = f"{says} no device, by tag, serial number or address; the first is row {table.rows[entry]}"
        lost = damaged(table.texts("serial")[entry].strip())
        if lost:
            message += ": a spreadsheet has taken the digits of its serial number"
        place = table.place(entry, "serial" if lost else "tag")
        hits.append(Hit("", "", (), message, places=(place,), order=NOBODY))
    return Outcome(context.devices_read() + len(context.site.strangers), hits)


def nameless(site: Site) -> list[Stranger]:
    """Return what was read of no device that can be told."""
    addresses = {s.name for block in site.blocks for s in block.settings("address")}
    return [
        one for one in site.strangers
        if not one.tag and (not one.serial or damaged(one.serial)) and not addresses & one.found.keys()
    ]  # fmt: skip


def named_strangers(site: Site) -> list[tuple[int, Stranger]]:
    """Return the devices that are not in the plan and can be told, each with its position."""
    nobody = set(map(id, nameless(site)))
    return [(s, one) for s, one in enumerate(site.strangers) if id(one) not in nobody]


def asides(context: Context) -> Outcome:
    """Return a hit for each file with rows without a reading that name no planned device."""
    hits = []
    secrets = {s.name for block in context.site.blocks for s in block.type.settings if s.kind == "secret"}
    for rows in by_table(context.site.asides):
        table = rows[0][0]
        what = "1 row holds" if len(rows) == 1 else f"{len(rows)} rows hold"
        told = [(table.rows[e], _told(table, e, secrets)) for _, e in rows]
        names = listed([f"row {row} {_text(place)}" for row, place in told], MOST_ROWS)
        message = f"{what} no reading and {'names' if len(rows) == 1 else 'name'} no planned device: {names}"
        hits.append(Hit("", "", (), message, places=(told[0][1],), order=NOBODY))
    return Outcome(context.devices_read() + len(context.site.strangers), hits)


def by_table(rows: Rows) -> list[Rows]:
    """Return rows in groups of one table, each by the order in which they stand."""
    groups = grouped((id(table), (table, entry)) for table, entry in rows)
    return [sorted(group, key=lambda row: row[1]) for group in groups.values()]


def _told(table: Table, entry: int, secrets: Collection[str]) -> Place:
    """Return where the first text of a row stands, with nothing of what may be an access code."""
    name = next((name for name in table.columns if table.texts(name)[entry].strip()), "tag")
    place = table.place(entry, name)
    open_to_all = name != "note" and not holds_code(place.raw, secrets)
    return place if open_to_all else place._replace(raw=remark(place.raw, secrets))


def _text(place: Place) -> str:
    return HIDDEN_QUOTE if place.raw == HIDDEN else quoted(place.raw.strip())
