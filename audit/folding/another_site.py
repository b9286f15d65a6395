"""A file whose serial numbers are all unknown, though tags in it are known: perhaps another site's sheet."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Set

from audit.checking import Found
from audit.folding.about import Sheet, sheet_of
from audit.folding.findings import Cause, Findings, network_of
from audit.grouping import grouped
from audit.model.finding import Hit
from audit.model.site import Site
from audit.reading.identifiers import bare, damaged, spelling


def of_another_site(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Put what a file says of devices with other serial numbers, or not in the plan, under the file."""
    site = findings.site
    other = grouped((sheet_of(item), i) for i, item in findings.free() if _is_another_unit(item))
    large = {sheet for sheet, group in other.items() if len(group) >= at_least}
    written: dict[Sheet, set[str]] = defaultdict(set)
    for table in site.tables() if large else ():
        if (table.file, table.sheet) in large:
            written[table.file, table.sheet].update(table.texts("serial"))
    for sheet, texts in written.items():
        serials = _of_nobody(site, texts)
        if not serials:
            continue
        hits = findings.hits(other[sheet])
        devices = {hit.order for hit in hits}
        concerned = [
            i for i, item in findings.free()
            if sheet_of(item) == sheet and (item.hit.order in devices or _is_unplanned(item))
        ]  # fmt: skip
        message = (
            f"none of the {len(serials)} serial numbers in {sheet[0]} is known, though tags in it are: "
            "it may be the sheet of another site"
        )
        if serials <= {spelling(tag) for block in site.blocks for tag in block.tags}:
            message = f"the serial numbers in {sheet[0]} are tags of the plan: the two are swapped"
        root = Hit(network_of(hits), "", (), message, places=hits[0].places[:1],
                   others=tuple(hit.node for hit in hits), order=hits[0].order)  # fmt: skip
        yield Cause(root, concerned)


def _is_another_unit(item: Found) -> bool:
    """Tell whether a finding says that a device was found with the serial number of another unit."""
    return item.hit.event == "exchanged" or item.asks("identity", "tag-serial-mismatch")


def _is_unplanned(item: Found) -> bool:
    return item.hit.event == "came" or item.asks("identity", "unplanned")


def _of_nobody(site: Site, texts: Set[str]) -> set[str]:
    """Return the undamaged serial numbers among texts; none at all where one of them is planned."""
    planned = {serial for block in site.blocks for serial in block.serials if serial}
    if not planned.isdisjoint(texts):  # the usual case, and quickly decided
        return set()
    serials = {spelling(text) for text in texts if bare(text) and not damaged(text)}
    return serials if serials.isdisjoint(map(spelling, planned)) else set()
