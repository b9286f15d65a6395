"""Rows of gateway lists that belong to a node, though under a serial number that is not in the plan.

A change record says so, or the tag in the row.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from audit.diagnosis.exchanges import Exchanges, brings, is_of_old_unit
from audit.diagnosis.lists import Sighting
from audit.grouping import grouped
from audit.model.drift import ReadChange
from audit.model.site import Site, Target
from audit.reading.identifiers import damaged, spelling


def with_owners(site: Site, found: Iterable[Sighting], exchanges: Exchanges) -> list[Sighting]:
    """Return the rows of lists; those with an unplanned serial number get the node that they are about."""
    tags = _tags(site)
    exchanged = _brought(site, exchanges)
    return [_owned(site, one, tags, exchanged) for one in found]


def _owned(
    site: Site,
    one: Sighting,
    tags: Mapping[str, Sequence[Target]],
    exchanged: Mapping[str, tuple[Target, str]],
) -> Sighting:
    serial = one.serial
    if not serial or damaged(serial):
        return one
    named = tags.get(spelling(one.tag), ()) if one.tag else ()
    of_tag = one.target or (named[0] if len(named) == 1 else None)
    target, change = exchanged.get(spelling(serial), (of_tag, ""))
    if target is None:
        return one
    planned = site.blocks[target[0]].serials[target[1]]
    if not change and (not planned or spelling(planned) == spelling(serial)):
        return one
    return one._replace(target=target, under=serial, change=change)


def _tags(site: Site) -> Mapping[str, Sequence[Target]]:
    """Return the nodes of each tag."""
    nodes = (node for of_network in site.nodes().values() for node in of_network)
    return grouped((spelling(site.blocks[b].tags[i]), (b, i)) for b, i in nodes)


def _brought(site: Site, exchanges: Exchanges) -> dict[str, tuple[Target, str]]:
    """Return the serial numbers that the last exchanges of nodes brought, with node and record."""
    return {
        spelling(read.after): ((b, i), read.change.id) for (b, i), read in exchanges.items()
        if read.after and not site.blocks[b].gateway and not brings(read, site.blocks[b].serials[i])
    }  # fmt: skip


def is_still_on(one: Sighting, exchange: ReadChange) -> bool:
    """Return whether a list shows that the old unit was heard on a later day than that of an exchange."""
    heard = one.last_heard
    later = heard is not None and heard.date() > exchange.change.date
    return later and not one.under and is_of_old_unit(one.serial, exchange)


def old_unit_words(one: Sighting, exchange: ReadChange) -> str:
    """Return what to say of an old unit that is still listed, to follow other words."""
    change = exchange.change
    return (
        f" as {one.serial}, though change {change.id} of {change.date} brought {exchange.after}: "
        "the exchange was not made, or the old unit is still switched on"
    )
