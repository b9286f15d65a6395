"""Rows of gateway lists that are a node's, though under a serial number that the plan does not have.

A change record says so, or the tag in the row.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from audit.diagnosis.lists import Sighting
from audit.model.drift import ReadChange
from audit.model.site import Site, Target
from audit.reading.identifiers import damaged, spelling


def with_owners(site: Site, found: Iterable[Sighting], changes: Sequence[ReadChange]) -> list[Sighting]:
    """Return the rows of lists, those of another serial number with the node that they are about."""
    tags = _tags(site)
    exchanged = _exchanged(site, tags, changes)
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
    found: dict[str, list[Target]] = defaultdict(list)
    for b, block in enumerate(site.blocks):
        for i, tag in enumerate(() if block.gateway else block.tags):
            found[spelling(tag)].append((b, i))
    return found


def _exchanged(
    site: Site, tags: Mapping[str, Sequence[Target]], changes: Sequence[ReadChange]
) -> dict[str, tuple[Target, str]]:
    """Return the serial number that the last exchange of each node has brought, with node and record."""
    last: dict[Target, ReadChange] = {}
    for read in sorted(changes, key=lambda read: read.change.date):
        if read.change.what == "exchange" and read.after:
            last |= {
                (b, i): read for b, i in tags.get(spelling(read.change.node), ())
                if spelling(read.change.network) in ("", spelling(site.blocks[b].networks[i]))
            }  # fmt: skip
    return {
        spelling(read.after): ((b, i), read.change.id) for (b, i), read in last.items()
        if spelling(read.after) != spelling(site.blocks[b].serials[i])
    }  # fmt: skip
