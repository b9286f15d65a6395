"""Readings of one file that are unclear in one way: a decimal mark, a word of another language."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence

from audit.checking import Found
from audit.folding.causes import Causes, add_root
from audit.model.finding import Hit
from audit.model.rule import Rule
from audit.model.site import Site

MOST_SHOWN = 3
"""Other texts in a message."""


def unclear_alike(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find readings of a file of which the same is to be said, and put them under one finding."""
    groups: dict[tuple[str, str], list[int]] = defaultdict(list)
    for i, item in enumerate(items):
        if i not in causes and item.rule.check.kind == "read-back" and item.rule.check.what == "clear-value":
            groups[item.hit.places[0].file, _complaint(item)].append(i)
    for group in groups.values():
        if len(group) >= at_least:
            hits = [items[i].hit for i in group]
            tags = list(dict.fromkeys(hit.node for hit in hits))
            names = tuple(dict.fromkeys(name for hit in hits for name in hit.settings))
            networks = {hit.network for hit in hits}
            network = hits[0].network if len(networks) == 1 else ""
            add_root(items, causes, rule, group, network, _words(hits, tags, names), tags, names)


def _words(hits: Sequence[Hit], tags: Sequence[str], names: Sequence[str]) -> str:
    """Return what is said of all: of the first reading in full, of the others what else they say."""
    first = hits[0].message.partition(": ")[2]
    devices = f"{len(tags)} devices" if len(tags) > 1 else tags[0]
    said = f"{len(hits)} readings of {', '.join(names)} on {devices} are unclear alike: {first}"
    texts = list(dict.fromkeys(repr(hit.places[0].raw.strip()) for hit in hits))[1:]
    return (
        f"{said}; also {', '.join(texts[:MOST_SHOWN])}{' …' if texts[MOST_SHOWN:] else ''}" if texts else said
    )


def _complaint(item: Found) -> str:
    """Return what is said of a reading, without its setting and its text."""
    note = item.hit.message.partition(": ")[2]
    return note.replace(repr(item.hit.places[0].raw.strip()), "", 1)
