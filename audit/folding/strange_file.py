"""A file with no device that is in the plan: another site's, or one that writes its names differently."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from audit.checking import Found
from audit.folding.about import sheet_of
from audit.folding.findings import Cause, Findings, network_of
from audit.folding.unread import says_unread
from audit.grouping import grouped
from audit.model.finding import Hit
from audit.model.identified import Stranger
from audit.model.site import Site, Target


def strange_file(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Put the devices of a file with none that is in the plan under the file, with what follows from them.

    Where tags and serial numbers of the plan are swapped in it, it holds what was reported as not read.
    """
    groups = grouped((sheet_of(item), i) for i, item in findings.free()
                     if item.asks("identity", "unplanned"))  # fmt: skip
    site = findings.site
    known = {(table.file, table.sheet) for table in site.tables()} if groups else set()
    for sheet, group in groups.items():
        if len(group) < at_least or sheet in known:
            continue
        hits = findings.hits(group)
        strangers = [site.strangers[hit.order[1]] for hit in hits]
        crossed = _crossed(site, strangers)
        message = f"none of the {len(group):,} devices in {sheet[0]} is in the plan"
        if len(crossed) == len(group):
            message += ": tags and serial numbers are swapped"
        names = {stranger.tag or stranger.serial for stranger in strangers}
        with_it = [i for i, item in findings.free()
                   if _is_too_many(item, names) or _is_unread(item, crossed)]  # fmt: skip
        tags = tuple(hit.node for hit in hits)
        root = Hit(network_of(hits), "", (), message, places=hits[0].places,
                   others=tags, order=hits[0].order)  # fmt: skip
        yield Cause(root, [*group, *with_it])


def _crossed(site: Site, strangers: Sequence[Stranger]) -> set[Target]:
    """Return the planned devices whose tag and serial number were found in each other's place."""
    by_tag, by_serial = site.by_tag(), site.by_serial()
    pairs = [(by_tag.get(one.serial), by_serial.get(one.tag)) for one in strangers]
    return {device for device, other in pairs if device and device == other}


def _is_too_many(item: Found, names: set[str]) -> bool:
    """Tell whether a network is over its capacity only because of these devices."""
    others = item.hit.others
    return item.rule.check.kind == "within-capacity" and bool(others) and names.issuperset(others)


def _is_unread(item: Found, crossed: set[Target]) -> bool:
    return item.hit.order in crossed and says_unread(item)
