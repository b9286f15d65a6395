"""Files that use other tags than the plan all through: without accents, or those of a host."""

from __future__ import annotations

from collections import Counter, defaultdict

from audit.checking import Found
from audit.folding.causes import Causes, add_root, network_of, newest_row
from audit.model.rule import Rule
from audit.model.site import Site
from audit.reading.identifiers import spelling

MOST_SHOWN = 3
"""Examples in a message."""


def other_tags(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find files in which most rows have an unplanned tag, but a serial number or address as planned.

    A tag that the plan gives to several devices is left out: that is a fault of its own.
    """
    groups: dict[str, list[int]] = defaultdict(list)
    tags: dict[int, tuple[str, str]] = {}
    for i, item in enumerate(items):
        if i in causes or not item.asks("identity", "tag-serial-mismatch"):
            continue
        table, entry = newest_row(site, item)
        b, k = item.hit.order
        found, serial = (table.texts(name)[entry].strip() for name in ("tag", "serial"))
        if found and (not serial or spelling(serial) == spelling(site.blocks[b].serials[k])):
            groups[table.file].append(i)
            tags[i] = found, site.blocks[b].tags[k]
    if not groups:
        return
    rows: Counter[str] = Counter()
    for table in site.tables():
        rows[table.file] += len(table.rows)
    planned = Counter(spelling(tag) for block in site.blocks for tag in block.tags)
    for file, named in groups.items():
        group = [i for i in named if _is_unplanned(tags[i], planned)]
        if len(group) < max(at_least, rows[file] / 2):
            continue
        hits = [items[i].hit for i in group]
        examples = ", ".join(f"{found} for {tag}" for found, tag in (tags[i] for i in group[:MOST_SHOWN]))
        message = (
            f"{len(group)} devices of {file} have a tag that is not planned, though serial number or "
            f"address is: {examples}{' …' if len(group) > MOST_SHOWN else ''}: the file uses other tags"
        )
        add_root(items, causes, rule, group, network_of(hits), message, [hit.node for hit in hits], ())


def _is_unplanned(tags: tuple[str, str], planned: Counter[str]) -> bool:
    """Return whether a found tag is not planned for any device, and the planned one for no other device."""
    found, tag = map(spelling, tags)
    return found not in planned and planned[tag] == 1
