"""Names since a baseline: records that name a device as it is called now, or where it is now."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import replace

from audit.model.baseline import Content
from audit.model.drift import ReadChange
from audit.model.site import Site
from audit.pairing.readback_rows import unique_index
from audit.reading.gateway_names import gateway_names, network_meant


def named_as_then(site: Site, changes: Iterable[ReadChange], content: Content) -> list[ReadChange]:
    """Return records, given by date, with the network and tag that each one's device has in the baseline.

    Only a name that is not in the baseline is looked up among the tags that were read for it and those that
    earlier records gave. A gateway that was moved takes its nodes along.
    """
    devices = {pair for block in site.blocks for pair in zip(block.networks, block.tags, strict=True)}
    tags = {tag for _, tag in devices}
    known = devices | {(network, "") for network, _ in devices}
    gateways = {site.blocks[b].tags[i]: network for network, (b, i) in site.gateways.items()}
    read_as = [
        (its.read_tag, (network, tag))
        for network, sealed in content.devices.items() for tag, its in sealed.items()
    ]  # fmt: skip
    renamed: dict[str, tuple[str, str]] = unique_index(read_as)
    moved: dict[tuple[str, str], str] = {}
    called = gateway_names(site.plan.networks)
    found = []
    for read in changes:
        change = read.change
        network, node = change.network, change.node
        if node and node not in tags and change.what != "added":  # an added device has no other name yet
            network, node = _before(read, tags, renamed)
        if network and (network, node) not in known:
            network = moved.get((network, node), moved.get((network, ""), network))
        if change.what == "retag":
            renamed[read.after] = network, node
        elif change.what == "move":
            to = network_meant(read.after, called)
            moved[to, "" if node in gateways else node] = gateways.get(node, network)
        found.append(replace(read, network=network, node=node))
    return found


def _before(
    read: ReadChange, tags: Collection[str], renamed: Mapping[str, tuple[str, str]]
) -> tuple[str, str]:
    """Return the network and tag that a record's device had before it was renamed; `tags` are those then.

    A record that a device was renamed may name it by its new tag already.
    """
    network, node = read.change.network, read.change.node
    if read.change.what == "retag" and node == read.after and read.before in tags:
        node = read.before
    its, old = renamed.get(node, (network, node))
    return (network or its, old) if not network or not its or its == network else (network, node)
