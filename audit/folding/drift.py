"""Folding of drift: nodes that changed with their gateway, and many nodes that changed in the same way."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import takewhile

from audit.checking import Found
from audit.folding.about import found_and_planned, role_of, setting_of
from audit.folding.findings import Cause, Findings, Under
from audit.model.arguments import Drift
from audit.model.roles import NETWORK_ROLES
from audit.model.site import Site
from audit.pairing.stating import is_planned_number

NOT_CHANGED = ("not-read", "not-in-baseline", "new-off-plan")
"""Cases in which nothing is known of how a setting was, or is."""
EXPLAINED = ("recorded", "put-right")
"""Cases in which it is known why a device has changed."""
STILL = ("pending", "unmended")
"""Cases in which a device is as it was: what many of them have in common is not a change."""
_PARTS = re.compile("(?=; |: |, and )")


def _case(item: Found) -> str:
    """Return the case of drift that a finding about a setting is of; empty for other findings."""
    return item.rule.check.what if isinstance(item.rule.check, Drift) else ""


def _changed(item: Found) -> bool:
    """Tell whether a finding says that one setting of a device, or its plan, has changed."""
    return _case(item) not in ("", *NOT_CHANGED)


def _moved_to(item: Found) -> str:
    """Return the network to which a device has moved; empty for other findings."""
    return item.hit.found if item.hit.event == "moved" else ""


def with_gateway(findings: Findings, at_least: int) -> Iterator[Under]:
    """Put nodes that followed their gateway, to other radio settings or another network, under it."""
    site = findings.site
    inside = [(i, item) for i, item in enumerate(findings.items) if item.hit.order[0] < len(site.blocks)]
    shared = [(i, site.blocks[item.hit.order[0]].gateway, _shared(site, item)) for i, item in inside]
    roots = {what: i for i, of_gateway, what in reversed(shared) if what and of_gateway}  # the first counts
    for i, of_gateway, what in shared:
        if what in roots and not of_gateway:
            yield Under(i, roots[what])


def _shared(site: Site, item: Found) -> tuple[str, str, object] | None:
    """Return what a node's finding shares with its gateway's if it followed: network, role and value."""
    if _moved_to(item):
        return item.hit.network, "network", _moved_to(item)
    if _changed(item) and role_of(site, item) in NETWORK_ROLES:
        found, _ = found_and_planned(site, item)
        return item.hit.network, role_of(site, item), found
    return None


def under_unit(findings: Findings, at_least: int) -> Iterator[Under]:
    """Put numbers that are the baseline's in the unit now selected under the finding about that unit."""
    site, items = findings.site, findings.items
    units = {
        item.hit.order: i for i, item in enumerate(items) if _changed(item) and role_of(site, item) == "unit"
    }
    for i, item in findings.free():
        b, k = item.hit.order
        if _changed(item) and item.hit.order in units:
            setting = setting_of(site, item)
            if setting and is_planned_number(site.blocks[b], setting, k):
                yield Under(i, units[b, k])


def same_drift(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find many nodes of a network whose setting has changed in the same way.

    Where a record or the plan of then explains the change, nobody is asked why: the remedy is its own rule's.
    """
    groups: dict[tuple[object, ...], list[int]] = defaultdict(list)
    for i, item in findings.free():
        if _changed(item) and _case(item) not in STILL:
            both = found_and_planned(findings.site, item)
            groups[item.rule.id, item.hit.network, item.hit.settings[0], both].append(i)
    for group in groups.values():
        if len(group) >= at_least:
            hits = findings.hits(group)
            name = hits[0].settings[0]
            rest = _in_common([hit.message for hit in hits]).removeprefix(f"{name} ")
            cause = findings.common_cause(group, f"{name} on {len(group):,} devices {rest}", hits[0].settings)
            first = findings.items[group[0]]
            explained = _case(first) in EXPLAINED
            yield replace(cause, repeats=first.rule, its_remedy_alone=True) if explained else cause


def _in_common(messages: Sequence[str]) -> str:
    """Return the beginning that messages share: up to where one names a record, or a plan, of its own."""
    parts = zip(*(_PARTS.split(message) for message in messages), strict=False)
    return "".join(alike[0] for alike in takewhile(lambda part: len(set(part)) == 1, parts))
