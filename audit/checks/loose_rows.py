"""Rows of a readback that belong to no device: readings without a name, or an unknown name alone."""

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
"""Most rows named in a message."""


def names_no_device(context: Context) -> Outcome:
    """Return a hit for each file with rows that have readings, but no tag, serial number or address."""
    hits = []
    for rows in by_table([row for stranger in nameless(context.site) for row in stranger.rows]):
        table, entry = rows[0]
        one = len(rows) == 1
        who = "1 row has readings but names" if one else f"{len(rows):,} rows have readings but name"
        which = f"{'it is' if one else 'the first is'} row {table.rows[entry]}"
        message = f"{who} no device by tag, serial number or address; {which}"
        lost = damaged(table.texts("serial")[entry].strip())
        if lost:
            message += ", whose serial number has lost its digits in a spreadsheet"
        place = table.place(entry, "serial" if lost else "tag")
        hits.append(Hit("", "", (), message, places=(place,), order=NOBODY))
    return Outcome(context.devices_read() + len(context.site.strangers), hits)


def nameless(site: Site) -> list[Stranger]:
    """Return what was read of devices that cannot be identified."""
    addresses = {s.name for block in site.blocks for s in block.settings("address")}
    return [
        one for one in site.strangers
        if not one.tag and (not one.serial or damaged(one.serial)) and not addresses & one.found.keys()
    ]  # fmt: skip


def named_strangers(site: Site) -> list[tuple[int, Stranger]]:
    """Return the devices that are not in the plan but can be identified, each with its position."""
    nobody = set(map(id, nameless(site)))
    return [(s, one) for s, one in enumerate(site.strangers) if id(one) not in nobody]


def asides(context: Context) -> Outcome:
    """Return a hit for each file with rows that have no reading and name no planned device."""
    hits = []
    secrets = {s.name for block in context.site.blocks for s in block.type.settings if s.kind == "secret"}
    for rows in by_table(context.site.asides):
        table = rows[0][0]
        what = "1 row has" if len(rows) == 1 else f"{len(rows):,} rows have"
        places = [_first_text(table, e, secrets) for _, e in rows]
        texts = [f"row {table.rows[e]} {_text(place)}" for (_, e), place in zip(rows, places, strict=True)]
        verb = "names" if len(rows) == 1 else "name"
        message = f"{what} no reading and {verb} no planned device: {listed(texts, MOST_ROWS)}"
        hits.append(Hit("", "", (), message, places=(places[0],), order=NOBODY))
    return Outcome(context.devices_read() + len(context.site.strangers), hits)


def by_table(rows: Rows) -> list[Rows]:
    """Return rows grouped by table, in the order of each table."""
    groups = grouped((id(table), (table, entry)) for table, entry in rows)
    return [sorted(group, key=lambda row: row[1]) for group in groups.values()]


def _first_text(table: Table, entry: int, secrets: Collection[str]) -> Place:
    """Return the place of the first text of a row, without anything that may be an access code."""
    name = next((name for name in table.columns if table.texts(name)[entry].strip()), "tag")
    place = table.place(entry, name)
    open_to_all = name != "note" and not holds_code(place.raw, secrets)
    return place if open_to_all else place._replace(raw=remark(place.raw, secrets))


def _text(place: Place) -> str:
    return HIDDEN_QUOTE if place.raw == HIDDEN else quoted(place.raw.strip())
