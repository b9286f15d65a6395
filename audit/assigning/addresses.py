"""Addresses for nodes: each its own, inside its network's block, with as few changes as possible.

All nodes of a network are in conflict with each other, so the fewest changes are plain: the first node in the
plan with a permitted address keeps it; all others move to the lowest address that is free.
"""

from __future__ import annotations

from itertools import islice

from audit.assigning.channels import Assigned
from audit.assigning.places import change_of
from audit.figures.surroundings import Device, Surroundings
from audit.model.plan import Addresses
from audit.model.site import Site
from audit.model.suggestion import PlanChange


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
        nodes = [n for n in around.nodes(network.name, "planned") if "address" in n.block.type.first_by_role]
        keep, move = _who_moves(block, nodes)
        kept += len(keep)
        unheld = (n for n in range(block.first, block.last + 1) if n not in block.reserved and n not in keep)
        free = list(islice(unheld, len(move)))
        if len(free) < len(move):
            impossible.append(
                f"{network.name}: {len(nodes)} nodes do not fit into the {len(keep) + len(free)} addresses "
                f"from {block.first} to {block.last} that may be used; widen the block, or release some"
            )
            continue
        changes += [
            change_of(node, node.block.type.first_by_role["address"], str(address), why)
            for (node, why), address in zip(move, free, strict=True)
        ]
    proven = "No assignment without conflicts changes fewer nodes"
    quality = "Nothing is proposed for these networks" if impossible else proven
    return Assigned(changes, impossible, kept, quality, blind)


def _who_moves(block: Addresses, nodes: list[Device]) -> tuple[dict[int, Device], list[tuple[Device, str]]]:
    """Return address → the node that keeps it, and the nodes that have to move, each with the reason."""
    keep: dict[int, Device] = {}
    move: list[tuple[Device, str]] = []
    for node in nodes:
        number = node.number("address", "")
        if number is None:
            move.append((node, "the plan gives it no address"))
        elif not block.first <= (address := int(number)) <= block.last or address in block.reserved:
            move.append((node, f"{address} lies outside its network's block, or is reserved"))
        elif address in keep:
            move.append((node, f"{address} is also planned for {keep[address].tag}"))
        else:
            keep[address] = node
    return keep, move
