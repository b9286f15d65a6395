"""What was not read, on many devices or much of one."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from audit.checking import Found
from audit.folding.findings import Cause, Findings, settings_named
from audit.grouping import grouped
from audit.model.finding import Hit


def unread(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find settings that were not read on many nodes of a network, and networks that nobody read.

    Where the same nodes lack several settings, they were read only in part: that is one cause.
    """
    groups = grouped(((item.rule.id, item.hit.network, item.hit.settings), i)
                     for i, item in findings.free() if says_unread(item))  # fmt: skip
    alike: dict[tuple[str, bool, tuple[str, ...]], list[int]] = defaultdict(list)
    for (_, network, settings), group in groups.items():
        if len(group) >= at_least:
            alike[network, bool(settings), tuple(hit.node for hit in findings.hits(group))] += group
    for (_, some, tags), group in alike.items():
        hits = findings.hits(group)
        names = tuple(dict.fromkeys(name for hit in hits for name in hit.settings[:1]))
        what = f"{names[0]} was not read" if some else "nothing at all was read"
        message = f"{what} on {len(tags):,} devices"
        if len(names) > 1:
            message = f"{len(names):,} settings were not read on {len(tags):,} devices: {', '.join(names)}"
        yield findings.common_cause(group, message, hits[0].settings if len(names) == 1 else ())


def unread_device(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find devices on which several settings were not read."""
    groups = grouped(((item.hit.network, item.hit.node), i) for i, item in findings.free()
                     if item.hit.settings and item.hit.node and says_unread(item))  # fmt: skip
    for (network, node), group in groups.items():
        if len(group) >= at_least:
            hits = findings.hits(group)
            names = settings_named(hits)
            planned = ", ".join(f"{hit.settings[0]} {hit.planned}" for hit in hits if hit.planned)
            places = tuple(place for hit in hits for place in hit.places[:1])
            message = f"{len(names):,} settings were not read: {', '.join(names)}"
            root = Hit(network, node, names, message, planned, places=places, order=hits[0].order)
            yield Cause(root, group)


def says_unread(item: Found) -> bool:
    """Tell whether a finding says that something was not read."""
    check = item.rule.check
    if check.kind == "access-code":
        return check.what == "not-tried"
    if check.kind == "drift":
        return check.what == "not-read"
    if check.kind == "device-drift":
        return check.case == "drift" and item.hit.event == "gone"
    return check.kind == "read-back" and not item.hit.found


def says_unclear(item: Found) -> bool:
    """Tell whether a finding says that what was read means nothing, so that it counts as not read."""
    return item.asks("read-back", "clear-value")
