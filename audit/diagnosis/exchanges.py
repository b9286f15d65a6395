"""Which unit a device is, by the last change record of its exchange."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from audit.grouping import grouped
from audit.model.drift import ReadChange
from audit.model.site import Site, Target
from audit.reading.identifiers import spelling

Exchanges = Mapping[Target, ReadChange]
"""Device → the record of its last exchange."""


def last_exchanges(site: Site, changes: Sequence[ReadChange]) -> Exchanges:
    """Return the record of the last exchange of each device that was exchanged."""
    exchanges = [read for read in changes if read.change.what == "exchange"]
    if not exchanges:
        return {}
    tags = grouped(
        (spelling(tag), (b, i)) for b, block in enumerate(site.blocks) for i, tag in enumerate(block.tags)
    )
    last: dict[Target, ReadChange] = {}
    for read in sorted(exchanges, key=lambda read: read.change.date):
        for b, i in tags.get(spelling(read.change.node), ()):
            if spelling(read.change.network) in ("", spelling(site.blocks[b].networks[i])):
                last[b, i] = read
    return last


def brings(exchange: ReadChange | None, serial: str) -> bool:
    """Return whether the record of an exchange says that it brought a serial number."""
    return exchange is not None and bool(exchange.after) and spelling(exchange.after) == spelling(serial)


def is_of_old_unit(serial: str, exchange: ReadChange) -> bool:
    """Return whether a serial number is another than the one that an exchange brought, if both are known."""
    return bool(exchange.after and serial) and not brings(exchange, serial)
