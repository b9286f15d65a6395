"""Values of the plan that cannot be right, and those that stand once in it for many devices."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable

from audit.checking import Found
from audit.folding.causes import Causes, add_root, comparisons, link
from audit.model.rule import Rule
from audit.model.site import Site
from audit.model.table import Place


def planned_once(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Put what is wrong at one place of the plan under its gateway, or under one finding for all devices.

    A device that differs from a planned value that cannot be right goes under it as well: whatever the
    device shows, the plan has to be mended first.
    """
    planned = [(i, item) for i, item in enumerate(items) if item.hit.side == "planned" and item.hit.places]
    _differences_under(site, planned, items, causes)
    groups: dict[tuple[str, str, Place], list[int]] = defaultdict(list)
    for i, item in planned:
        if i not in causes:
            groups[item.rule.id, item.hit.network, item.hit.places[0]].append(i)
    for group in groups.values():
        own = next((i for i in group if site.blocks[items[i].hit.order[0]].gateway), None)
        if own is None:
            _under_one(items, causes, rule, group, at_least)
        else:  # nodes have it from their gateway
            for i in group:
                link(causes, i, own)


def _differences_under(
    site: Site, planned: Iterable[tuple[int, Found]], items: list[Found], causes: Causes
) -> None:
    """Put what differs from a planned value that cannot be right under the finding that says so."""
    impossible = {(item.hit.order, item.hit.settings): i for i, item in planned if _cannot_be(item)}
    for i, item in comparisons(site, enumerate(items), causes) if impossible else ():
        cause = impossible.get((item.hit.order, item.hit.settings))
        if cause is not None and item.rule.check.kind == "equals-plan":
            link(causes, i, cause)


def _cannot_be(item: Found) -> bool:
    """Tell whether a planned value is none of the device's, or not its gateway's, whatever was found."""
    check = item.rule.check
    return check.kind == "equals-gateway" or (check.kind == "within-limits" and check.limits == "device")


def _under_one(items: list[Found], causes: Causes, rule: Rule, group: list[int], at_least: int) -> None:
    """Put findings that stand at one place of the plan, and say the same, under one."""
    alike: dict[str, list[int]] = defaultdict(list)
    for i in group:
        alike[items[i].hit.message].append(i)
    for message, same in alike.items():
        if len(same) >= at_least:
            first = items[same[0]].hit
            said = f"planned once for {len(same)} devices: {message}"
            add_root(
                items,
                causes,
                rule,
                same,
                first.network,
                said,
                [items[i].hit.node for i in same],
                first.settings,
            )
