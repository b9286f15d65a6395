"""Addresses for nodes: each its own, inside its network's block, with as few changes as possible.

All nodes of a network are in conflict with each other, so the fewest changes are plain: of the nodes planned
with one permitted address, the first in the plan keeps it; the others move to the lowest address that is free
and that they can be set to. A node that could keep its address moves only where the others have no choice
left. A node whose address the plan crosses out has none, and gets none.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from itertools import islice
from math import inf

import networkx

from audit.assigning.channels import NO_CONFLICT, Assigned
from audit.assigning.places import change_of
from audit.figures.surroundings import Device, Surroundings
from audit.model.plan import Addresses
from audit.model.site import Site
from audit.model.suggestion import PlanChange
from audit.phrases import counted

Moving = tuple[Device, str]
"""A node that has to move, with the reason."""


def addresses(site: Site) -> Assigned:
    """Return the changes to planned addresses after which none is used twice or lies outside its block."""
    around = Surroundings(site)
    changes: list[PlanChange] = []
    impossible: list[str] = []
    blind: list[str] = []
    kept = 0
    for network in site.plan.networks:
        block = network.addresses
        if block is None:
            blind.append(f"{network.name}: the plan gives it no block of addresses")
            continue
        nodes = [n for n in around.nodes(network.name, "planned") if _has_address(n)]
        keep, move = _who_moves(block, nodes)
        given = _given([node for node, _ in move], (n for n in _offered(block) if n not in keep))
        kept += len(keep)
        if len(given) < len(move) and (others := _making_way(block, nodes, move)):
            kept -= len(others) - len(move)
            move, given = [one for one, _ in others], {n: address for n, (_, address) in enumerate(others)}
        if len(given) < len(move):
            room, they = len(keep) + len(given), "it" if len(nodes) == 1 else "they"
            do, addresses = "does" if they == "it" else "do", "address" if room == 1 else "addresses"
            impossible.append(
                f"{network.name}: {counted(len(nodes), 'node')} {do} not fit into the {room} {addresses} "
                f"from {block.first} to {block.last} that may be used and that {they} can be set to; widen "
                "the block, or release some"
            )
            continue
        changes += [
            change_of(node, node.block.type.first_by_role["address"], str(given[n]), why)
            for n, (node, why) in enumerate(move)
        ]
    proven = "No assignment without conflicts changes fewer nodes" if changes else NO_CONFLICT
    quality = "Nothing is proposed for these networks" if impossible else proven
    return Assigned(changes, impossible, kept, quality, blind)


def _has_address(node: Device) -> bool:
    """Tell whether a node has an address to be set, and the plan does not say that it has none."""
    setting = node.block.first_setting("address")
    return setting is not None and (
        node.value("address").read or not node.block.planned_place(node.i, setting.name).raw.strip()
    )


def _given(nodes: Sequence[Device], free: Iterable[int]) -> dict[int, int]:
    """Return node, by its place, → the address that it gets: each the lowest that somebody can be set to.

    Of several that can, the one with the least choice above it gets it, which leaves nobody out that need
    not be where each takes all numbers from one to another.
    """
    highest = [_choices(node)[-1] for node in nodes]
    given: dict[int, int] = {}
    waiting = set(range(len(nodes)))
    for address in free:
        able = [n for n in waiting if _takes(nodes[n], address)]
        if able:
            n = min(able, key=lambda n: (highest[n], n))
            given[n] = address
            waiting.remove(n)
        if all(highest[n] <= address for n in waiting):
            break
    return given


def _making_way(block: Addresses, nodes: list[Device], move: list[Moving]) -> list[tuple[Moving, int]]:
    """Return who moves where, if all nodes fit in once some that hold a good address make way; or nothing.

    That may be where not all can be set to the same addresses. As many keep theirs as can.
    """
    free = _worth_trying(block, nodes)
    if len(free) < len(nodes):
        return []
    graph: networkx.Graph[int] = networkx.Graph()
    for n, node in enumerate(nodes):
        own = node.number("address", "")
        graph.add_weighted_edges_from((-1 - n, a, 1 + (a == own)) for a in free if _takes(node, a))
    pairs = networkx.max_weight_matching(graph, maxcardinality=True)
    to = {-1 - min(pair): max(pair) for pair in pairs}
    whys = {(node.block.type.name, node.i): why for node, why in move}
    return [
        ((node, whys.get((node.block.type.name, node.i), "makes way for a node that has less choice")), to[n])
        for n, node in enumerate(nodes) if to[n] != node.number("address", "")
    ] if len(to) == len(nodes) else []  # fmt: skip


def _worth_trying(block: Addresses, nodes: Sequence[Device]) -> list[int]:
    """Return the addresses that nodes hold, and for each type as many of its lowest as there are nodes.

    No other address is needed: a node that would get one can get one of these, since the others cannot take
    all of them.
    """
    usable = list(_offered(block))
    found = {int(own) for node in nodes if (own := node.number("address", "")) is not None} & set(usable)
    for node in {node.block.type.name: node for node in nodes}.values():
        found.update(islice((n for n in usable if _takes(node, n)), len(nodes)))
    return sorted(found)


def _offered(block: Addresses) -> Iterator[int]:
    return filter(block.offers, range(block.first, block.last + 1))


def _takes(node: Device, address: int) -> bool:
    """Tell whether a node can be set to an address."""
    choices = _choices(node)
    setting = node.block.type.first_by_role["address"]
    return address in choices if setting.options else choices[0] <= address <= choices[-1]


def _choices(node: Device) -> Sequence[float]:
    """Return the addresses that a node offers, in order, or else its lowest and its highest."""
    setting = node.block.type.first_by_role["address"]
    return setting.whole_options or (
        -inf if setting.low is None else setting.low,
        inf if setting.high is None else setting.high,
    )


def _who_moves(block: Addresses, nodes: list[Device]) -> tuple[dict[int, Device], list[Moving]]:
    """Return address → the node that keeps it, and the nodes that have to move."""
    keep: dict[int, Device] = {}
    move: list[Moving] = []
    for node in nodes:
        number = node.number("address", "")
        if number is None:
            move.append((node, "the plan gives it no address"))
        elif not block.offers(address := int(number)):
            move.append((node, f"{address} lies outside its network's block, or is reserved"))
        elif not _takes(node, address):
            move.append((node, f"it cannot be set to {address}"))
        elif address in keep:
            move.append((node, f"{address} is also planned for {keep[address].tag}"))
        else:
            keep[address] = node
    return keep, move
