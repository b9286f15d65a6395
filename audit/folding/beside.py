"""Which devices are next to each other in the plan, and whether one shows what is planned for another."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterator
from itertools import pairwise

from audit.checking import Found
from audit.model.site import Site, Target


def neighbouring(site: Site, networks: set[str]) -> Iterator[tuple[Target, Target]]:
    """Yield pairs of devices that follow each other in the plan: among those of their type, or row by row."""
    yield from of_one_type(site, networks)
    yield from in_rows(site, networks)


def of_one_type(site: Site, networks: set[str]) -> Iterator[tuple[Target, Target]]:
    """Yield pairs of devices of one type and network that follow each other."""
    for b, block in enumerate(site.blocks):
        for i, (network, following) in enumerate(pairwise(block.networks)):
            if network == following and network in networks:
                yield (b, i), (b, i + 1)


def in_rows(site: Site, networks: set[str]) -> Iterator[tuple[Target, Target]]:
    """Yield pairs of devices that follow each other in a file of the plan, whatever their types.

    Networks with one type of node are left out: `of_one_type` has them without looking up each row's place.
    """
    types = Counter(network for block in site.blocks if not block.gateway for network in set(block.networks))
    networks = {network for network in networks if types[network] > 1}
    rows: dict[tuple[str, str, str], list[tuple[int, Target]]] = defaultdict(list)
    for b, block in enumerate(site.blocks):
        for i, network in enumerate(block.networks if not block.gateway else ()):
            if network in networks:
                place = block.planned_place(i, "tag")
                rows[network, place.file, place.sheet].append((place.row, (b, i)))
    for devices in rows.values():
        yield from pairwise(device for _, device in sorted(devices))


def shows_plan_of(site: Site, item: Found, other: Target) -> bool:
    """Tell whether a finding about a setting shows what is planned for another device."""
    (b, i), (c, k), name = item.hit.order, other, item.hit.settings[0]
    planned = site.blocks[c].value("planned", name, k)
    return planned.read and site.blocks[b].value("found", name, i).content == planned.content


def own_against(site: Site, device: Target, other: Target) -> int:
    """Return how many settings show a device's own plan where the other device's plan has another value.

    They are evidence that the device does not show the other's row.
    """
    (b, i), (c, k) = device, other
    count = 0
    for setting in site.blocks[b].type.settings:
        own, found = (site.blocks[b].value(side, setting.name, i) for side in ("planned", "found"))
        others = site.blocks[c].value("planned", setting.name, k)
        count += own.read and found.read and others.read and found.content == own.content != others.content
    return count
