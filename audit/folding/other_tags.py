"""Files that use other tags than the plan all through: without accents, or those of a host."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator

from audit.folding.about import newest_row
from audit.folding.findings import Cause, Findings
from audit.phrases import examples
from audit.reading.identifiers import spelling


def other_tags(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find files in which half of the devices have an unplanned tag, but serial number or address as planned.

    A tag that the plan gives to several devices is left out: that is a fault of its own.
    """
    site = findings.site
    groups: dict[str, list[tuple[int, str, str]]] = defaultdict(list)
    for i, item in findings.free():
        if not item.asks("identity", "tag-serial-mismatch"):
            continue
        table, entry = newest_row(site, item)
        b, k = item.hit.order
        found, serial = (table.texts(name)[entry].strip() for name in ("tag", "serial"))
        if found and (not serial or spelling(serial) == spelling(site.blocks[b].serials[k])):
            groups[table.file].append((i, found, site.blocks[b].tags[k]))
    if not groups:
        return
    names: dict[str, set[tuple[str, str]]] = defaultdict(set)  # each once, however often a device was read
    for table in site.tables():
        names[table.file].update(zip(table.texts("tag"), table.texts("serial"), strict=True))
    planned = Counter(spelling(tag) for block in site.blocks for tag in block.tags)
    for file, named in groups.items():
        group = [one for one in named if _is_unplanned(*one[1:], planned)]
        if len(group) < max(at_least, len(names[file]) / 2):
            continue
        pairs = [f"{found} for {tag}" for _, found, tag in group]
        message = (
            f"{len(group):,} devices of {file} have a tag that is not planned, though serial number or "
            f"address is: {examples(pairs)}: the file uses other tags"
        )
        yield findings.common_cause([i for i, _, _ in group], message)


def _is_unplanned(found: str, tag: str, planned: Counter[str]) -> bool:
    """Return whether a found tag is not planned for any device, and the planned one for no other device."""
    return spelling(found) not in planned and planned[spelling(tag)] == 1
