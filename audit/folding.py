"""Folding: findings with one cause are put under it.

A symptom on a device goes under the finding that causes it. Orphaned nodes go under their gateway.
Series that were filled down, tables that slipped by a row, and the same difference on many nodes get
a finding of their own that names the cause.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Mapping, Sequence
from functools import partial

from audit.checking import Found
from audit.model.arguments import Fold
from audit.model.finding import Hit
from audit.model.roles import NETWORK_ROLES
from audit.model.rule import Rule
from audit.model.site import Site
from audit.model.table import Table

Causes = dict[int, int]
"""Position of a finding → position of its cause."""
Pattern = Callable[[Site, list[Found], Causes, Rule, int], None]
"""Puts findings under others, or under one that it adds; given the rule and the fewest of them."""


def fold(
    site: Site, found: Sequence[Found], rules: Sequence[Rule], patterns: Mapping[str, Pattern] | None = None
) -> tuple[list[Found], Causes]:
    """Return the findings with those that folding adds, and for each dependent one its root cause."""
    items = list(found)
    causes: Causes = {}
    _under_symptoms(items, causes)
    for rule in rules:
        if isinstance(rule.check, Fold):
            (patterns or PATTERNS)[rule.check.pattern](site, items, causes, rule, rule.check.at_least)
    return items, {i: _root(i, causes) for i in causes}


def _root(i: int, causes: Causes) -> int:
    while i in causes:
        i = causes[i]
    return i


def link(causes: Causes, dependent: int, cause: int) -> None:
    """Put a finding under its cause, unless that would make a ring."""
    if dependent not in causes and _root(cause, causes) != dependent:
        causes[dependent] = cause


def _under_symptoms(items: list[Found], causes: Causes) -> None:
    """Put findings under those that their rule calls a cause, on the same device or on another concerned."""
    concerning: dict[tuple[str, str], list[int]] = defaultdict(list)
    for i, item in enumerate(items):
        for tag in (item.hit.node, *item.hit.others):
            concerning[item.hit.network, tag].append(i)
    in_network: dict[str, list[int]] = defaultdict(list)
    for i, item in enumerate(items):
        in_network[item.hit.network].append(i)
    for i, item in enumerate(items):
        of_network = item.rule.applies_to == "network"
        tags = [item.hit.node] if item.rule.everywhere else [item.hit.node, *item.hit.others]
        near = (
            in_network[item.hit.network]
            if of_network
            else [j for tag in tags for j in concerning[item.hit.network, tag]]
        )
        for rule in item.rule.symptom_of:
            cause = next(
                (j for j in near if j != i and items[j].rule.id == rule and _related(item, items[j])),
                None,
            )
            if cause is not None:
                link(causes, i, cause)
                break


def _related(symptom: Found, cause: Found) -> bool:
    return symptom.rule.everywhere or bool(set(symptom.hit.settings) & set(cause.hit.settings))


def _role(site: Site, item: Found) -> str:
    b, _ = item.hit.order
    if b >= len(site.blocks) or not item.hit.settings:
        return ""
    setting = site.blocks[b].type.setting(item.hit.settings[0])
    return setting.role if setting else ""


def _under_gateway(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Put nodes that are as planned, and orphaned by a gateway off plan, under that gateway.

    Nodes that have followed their gateway off the plan go under it as well.
    """
    gateways = {
        (item.hit.network, _role(site, item)): i
        for i, item in enumerate(items)
        if item.rule.check.kind == "equals-plan" and item.hit.order[0] < len(site.blocks)
        and site.blocks[item.hit.order[0]].gateway
    }  # fmt: skip
    for i, item in enumerate(items):
        role = _role(site, item)
        cause = gateways.get((item.hit.network, role)) if role in NETWORK_ROLES else None
        if cause is None or cause == i or item.hit.side == "planned" or not item.hit.settings:
            continue
        b, k = item.hit.order
        name = item.hit.settings[0]
        block = site.blocks[b]
        as_planned = block.value("planned", name, k).content == block.value("found", name, k).content
        its_found, _ = _pair(site, items[cause], items[cause].hit.settings[0])
        follows = item.rule.check.kind == "equals-plan" and block.value("found", name, k).content == its_found
        if (item.rule.check.kind == "equals-gateway" and as_planned) or follows:
            link(causes, i, cause)


def _comparisons(items: Iterable[tuple[int, Found]], causes: Causes) -> list[tuple[int, Found]]:
    """Return the findings that say a value is another than it should be, and have no cause yet."""
    return [(i, item) for i, item in items if i not in causes and item.hit.side == "found"
            and item.hit.settings and item.rule.check.kind in ("equals-plan", "equals-gateway")]  # fmt: skip


def _filled_series(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find values that count up from one device read to the next, where the plan has one value."""
    groups: dict[tuple[str, str, int], list[int]] = defaultdict(list)
    for i, item in _comparisons(enumerate(items), causes):
        table, _ = _row(site, item)
        groups[item.hit.network, item.hit.settings[0], id(table)].append(i)
    for (network, name, _), group in groups.items():
        group.sort(key=lambda i: _row(site, items[i])[1])
        for run in _runs(group, partial(_counts_up, site, items, name)):
            first, planned = _pair(site, items[run[0]], name)
            starts_right = isinstance(first, int) and isinstance(planned, int) and first == planned + 1
            if len(run) >= at_least or (len(run) >= 2 and starts_right):
                last, _ = _pair(site, items[run[-1]], name)
                tags = [items[i].hit.node for i in run]
                message = (
                    f"{name} counts up from device to device, {first} to {last}, on {len(run)} nodes; "
                    f"planned is {planned} for all of them: it was filled down as a series"
                )
                add_root(items, causes, rule, run, network, message, tags, (name,))


def _row(site: Site, item: Found) -> tuple[Table, int]:
    """Return the newest readback row of the device that a finding is about."""
    b, i = item.hit.order
    return site.blocks[b].rows[i][-1]


def _counts_up(site: Site, items: Sequence[Found], name: str, i: int, j: int) -> bool:
    one, other = items[i], items[j]
    (first, planned), (second, also) = _pair(site, one, name), _pair(site, other, name)
    next_row = _row(site, other)[1] == _row(site, one)[1] + 1
    return next_row and isinstance(first, int) and second == first + 1 and planned == also


def _pair(site: Site, item: Found, name: str) -> tuple[object, object]:
    b, i = item.hit.order
    block = site.blocks[b]
    return block.value("found", name, i).content, block.value("planned", name, i).content


def _runs(group: list[int], follows: Callable[[int, int], bool]) -> list[list[int]]:
    """Return the longest stretches in which each finding follows the one before it."""
    runs: list[list[int]] = []
    for i in group:
        if runs and follows(runs[-1][-1], i):
            runs[-1].append(i)
        else:
            runs.append([i])
    return runs


def _rows_shifted(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find stretches of nodes that each show what is planned for the next, or the one before."""
    by_device: dict[tuple[int, int], list[int]] = defaultdict(list)
    for i, item in _comparisons(enumerate(items), causes):
        by_device[item.hit.order].append(i)
    for shift in (1, -1):
        shifted = [
            device
            for device in sorted(by_device)
            if _reads_neighbour(site, items, by_device[device], device, shift)
        ]
        for run in _device_runs(site, shifted):
            if len(run) >= at_least:
                dependents = [i for device in run for i in by_device[device]]
                b, first = run[0]
                block = site.blocks[b]
                which = "next" if shift == 1 else "previous"
                tags = [block.tags[k] for _, k in run]
                message = (
                    f"{len(run)} nodes, {tags[0]} to {tags[-1]}, each show the values planned for the "
                    f"{which} one: the rows have slipped by one"
                )
                add_root(items, causes, rule, dependents, block.networks[first], message, tags, ())
                for device in run:
                    by_device.pop(device)


def _reads_neighbour(
    site: Site, items: list[Found], mine: list[int], device: tuple[int, int], shift: int
) -> bool:
    b, i = device
    block = site.blocks[b]
    j = i + shift
    if not 0 <= j < len(block) or block.networks[j] != block.networks[i]:
        return False
    names = {items[k].hit.settings[0] for k in mine}
    return all(block.value("found", n, i).content == block.value("planned", n, j).content for n in names)


def _device_runs(site: Site, devices: list[tuple[int, int]]) -> list[list[tuple[int, int]]]:
    runs: list[list[tuple[int, int]]] = []
    for b, i in devices:
        if (
            runs
            and runs[-1][-1] == (b, i - 1)
            and site.blocks[b].networks[i] == site.blocks[b].networks[i - 1]
        ):
            runs[-1].append((b, i))
        else:
            runs.append([(b, i)])
    return runs


def _same_difference(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find many nodes of a network that show the same wrong value of a setting."""
    groups: dict[tuple[str, str, str, tuple[object, object]], list[int]] = defaultdict(list)
    for i, item in _comparisons(enumerate(items), causes):
        name = item.hit.settings[0]
        groups[item.rule.id, item.hit.network, name, _pair(site, item, name)].append(i)
    for (_, network, name, _), group in groups.items():
        if len(group) >= at_least:
            shown, planned = items[group[0]].hit.found, items[group[0]].hit.planned
            tags = [items[i].hit.node for i in group]
            message = f"{name} is {shown} on {len(group)} nodes alike, planned {planned or 'otherwise'}"
            add_root(items, causes, rule, group, network, message, tags, (name,))


def _unread(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find settings that were not read on many nodes of a network, and networks nobody read."""
    groups: dict[tuple[str, str, tuple[str, ...]], list[int]] = defaultdict(list)
    for i, item in enumerate(items):
        if i not in causes and _says_unread(item):
            groups[item.rule.id, item.hit.network, item.hit.settings].append(i)
    for (_, network, settings), group in groups.items():
        if len(group) >= at_least:
            tags = [items[i].hit.node for i in group]
            what = f"{settings[0]} was not read" if settings else "nothing at all was read"
            message = f"{what} on {len(group)} devices"
            add_root(items, causes, rule, group, network, message, tags, settings)


def _unread_device(site: Site, items: list[Found], causes: Causes, rule: Rule, at_least: int) -> None:
    """Find devices of which several settings were not read."""
    groups: dict[tuple[str, str], list[int]] = defaultdict(list)
    for i, item in enumerate(items):
        if i not in causes and item.hit.settings and item.hit.node and _says_unread(item):
            groups[item.hit.network, item.hit.node].append(i)
    for (network, node), group in groups.items():
        if len(group) >= at_least:
            hits = [items[i].hit for i in group]
            names = tuple(dict.fromkeys(name for hit in hits for name in hit.settings))
            planned = ", ".join(f"{hit.settings[0]} {hit.planned}" for hit in hits if hit.planned)
            places = tuple(place for hit in hits for place in hit.places[:1])
            message = f"{len(names)} settings were not read: {', '.join(names)}"
            order = hits[0].order
            items.append(Found(rule, Hit(network, node, names, message, planned, places=places, order=order)))
            for i in group:
                link(causes, i, len(items) - 1)


def _says_unread(item: Found) -> bool:
    check = item.rule.check
    if check.kind == "access-code":
        return check.what == "not-tried"
    if check.kind == "drift":
        return check.what == "not-read"
    return check.kind == "read-back" and not item.hit.found


def add_root(
    items: list[Found], causes: Causes, rule: Rule, dependents: Sequence[int], network: str, message: str,
    tags: Sequence[str], settings: tuple[str, ...],
) -> None:  # fmt: skip
    """Add a finding that names the cause of some others, and put those under it."""
    first = items[dependents[0]].hit
    unique = tuple(dict.fromkeys(tags))
    planned, found = (first.planned, first.found) if settings else ("", "")
    root = Hit(network, "", settings, message, planned, found, first.places[:1], unique, order=first.order)
    items.append(Found(rule, root))
    for i in dependents:
        link(causes, i, len(items) - 1)


PATTERNS: dict[str, Pattern] = {
    "gateway-off-plan": _under_gateway,
    "filled-series": _filled_series,
    "rows-shifted": _rows_shifted,
    "same-difference": _same_difference,
    "unread": _unread,
    "unread-device": _unread_device,
}
