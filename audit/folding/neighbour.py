"""Nodes that show another node's row: the wrong line of the sheet was set or read off, or copied down."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import cache

from audit.checking import Found
from audit.checks.context import hit
from audit.folding.beside import neighbouring, shows_plan_of
from audit.folding.findings import Cause, Findings
from audit.grouping import grouped
from audit.model.finding import Hit
from audit.model.site import Site, Target

Shown = tuple[Target, list[int]]
"""A neighbour, and the findings that show what is planned for it."""
Swap = tuple[str, frozenset[str]]
"""Network and tags of two devices."""
Members = Mapping[tuple[int, str], Sequence[int]]
"""Block and network → the block's devices in that network."""
Counts = Callable[[int, str, str], Mapping[object, int]]
"""Block, network and setting → value → how many devices show it."""


def neighbour_row(findings: Findings, at_least: int) -> Iterator[Cause]:
    """Find nodes that differ from the plan in several settings and show another node's row in them.

    They show what is planned for the other node, or what was found there. The other node is beside them in
    the plan, or is the one whose address they show.
    """
    site, items = findings.site, findings.items
    of_device = replace(findings, causes={}).by_device()  # whatever has a cause already
    many = {device: mine for device, mine in of_device.items() if len(findings.by_setting(mine)) >= at_least}
    many = {device: mine for device, mine in many.items() if any(i not in findings.causes for i in mine)}
    if not many:
        return
    swaps = _swaps(items)
    networks = {site.blocks[b].networks[i] for b, i in many}
    beside = _beside(site, networks, _at_its_address(site, many, networks))
    members = _members(site, networks)
    counts = _counts(site, members)
    shows: dict[Target, Shown] = {}
    for device, mine in many.items():
        enough = _rows_shown(findings, mine, beside[device], (members, counts), at_least)
        if enough:
            shows[device] = max(enough, key=lambda one: len(one[1]))
    for device in sorted(shows):
        other, those = shows[device]
        each_other = other in shows and shows[other][0] == device
        if each_other and other < device:  # reported with the other
            continue
        (b, i), tags = device, frozenset(map(site.planned_tag, (device, other)))
        also = [*swaps.get((site.blocks[b].networks[i], tags), ()), *shows[other][1]] if each_other else []
        yield Cause(_hit(findings, device, shows[device], each_other=each_other), [*also, *those])


def _rows_shown(
    findings: Findings,
    mine: list[int],
    beside: Iterable[Target],
    there: tuple[Members, Counts],
    at_least: int,
) -> list[Shown]:
    """Return the neighbours whose row a device shows: what is planned for them, or what was found there."""
    site, items = findings.site, findings.items
    members, counts = there
    planned: list[Shown] = []
    found: list[Shown] = []
    for other in beside:
        those = [i for i in mine if shows_plan_of(site, items[i], other)]
        if len(findings.by_setting(those)) >= at_least and _singles_out(findings, those, members):
            planned.append((other, those))
        if _repeats(site, items, mine, other, counts):
            found.append((other, mine))
    return planned + found


def _members(site: Site, networks: set[str]) -> Members:
    return grouped(
        ((b, network), i)
        for b, block in enumerate(site.blocks) for i, network in enumerate(block.networks)
        if network in networks
    )  # fmt: skip


def _repeats(site: Site, items: Sequence[Found], mine: Iterable[int], other: Target, counts: Counts) -> bool:
    """Tell whether all that differs on a device was also found on another, with that one's own address."""
    c, k = other
    address = {setting.name for setting in site.blocks[c].settings("address")}
    own, telling = False, set[str]()
    for item in (items[n] for n in mine):
        (b, i), name = item.hit.order, item.hit.settings[0]
        found = site.blocks[c].value("found", name, k)
        if not found.read or site.blocks[b].value("found", name, i).content != found.content:
            return False
        own = own or (name in address and shows_plan_of(site, item, other))
        if counts(b, site.blocks[b].networks[i], name)[found.content] <= 2:  # of many, no row was copied
            telling.add(name)
    return own and len(telling) > 1


def _counts(site: Site, members: Members) -> Counts:
    """Return how many devices of a network show each value of a setting, counted when first asked."""

    @cache
    def counts(b: int, network: str, name: str) -> Mapping[object, int]:
        column = site.blocks[b].values("found", name)
        return Counter(column[k].content for k in members[b, network] if column[k].read)

    return counts


def _singles_out(findings: Findings, those: Sequence[int], members: Members) -> bool:
    """Tell whether at most one node of the network is planned with all the values that findings show.

    Values planned for several nodes are a template, not a row.
    """
    b, k = findings.items[those[0]].hit.order
    block, names = findings.site.blocks[b], findings.by_setting(those)
    shown = [block.value("found", name, k).content for name in names]
    columns = [block.values("planned", name) for name in names]
    alike = [i for i in members[b, block.networks[k]] if [column[i].content for column in columns] == shown]
    return len(alike) <= 1


def _beside(
    site: Site, networks: set[str], more: Iterable[tuple[Target, Target]]
) -> Mapping[Target, list[Target]]:
    """Return device → those beside it in the plan, by type or by rows, and those it has in more pairs."""
    beside: dict[Target, list[Target]] = defaultdict(list)
    for one, other in (*more, *neighbouring(site, networks)):
        if other not in beside[one]:
            beside[one].append(other)
            beside[other].append(one)
    return beside


def _at_its_address(
    site: Site, devices: Iterable[Target], networks: set[str]
) -> Iterator[tuple[Target, Target]]:
    """Yield devices, each with the one of its network that is planned with the address it shows."""
    planned = {
        (network, value.content): (b, i)
        for b, block in enumerate(site.blocks) if not block.gateway
        for setting in block.first_settings("address")
        for i, (network, value) in enumerate(
            zip(block.networks, block.values("planned", setting.name), strict=True)
        )
        if network in networks and value.read
    }  # fmt: skip
    for b, i in devices:
        block = site.blocks[b]
        if setting := block.first_setting("address"):
            shown = block.value("found", setting.name, i)
            other = planned.get((block.networks[i], shown.content))
            if shown.read and other and other != (b, i):
                yield (b, i), other


def _hit(findings: Findings, device: Target, shown: Shown, *, each_other: bool) -> Hit:
    """Return the hit about a device that shows another's row, or two that show each other's."""
    site, items = findings.site, findings.items
    (b, i), (neighbour, those) = device, shown
    block, tag, other = site.blocks[b], site.planned_tag(device), site.planned_tag(neighbour)
    shown_there = findings.by_setting(those)
    settings = [s for s in block.type.settings if s.name in shown_there]
    names = [setting.name for setting in settings]
    if each_other:
        message = f"{tag} and {other} show each other's values: {', '.join(names)}"
    elif not all(shows_plan_of(site, items[n], neighbour) for n in those):
        message = f"its row repeats what was found on {other}: {', '.join(names)}"
    else:
        message = f"it shows what is planned for {other}: {', '.join(names)}"
    return hit(block, b, i, settings, message, others=[other])


def _swaps(items: Sequence[Found]) -> Mapping[Swap, list[int]]:
    """Return network and tags of two devices → the findings that say these have each other's value."""
    return grouped(
        ((item.hit.network, frozenset((item.hit.node, *item.hit.others))), n)
        for n, item in enumerate(items) if item.rule.check.kind == "swapped-pair"
    )  # fmt: skip
