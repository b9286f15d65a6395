"""Addresses for nodes: each its own, inside its network's block, as few changed as can be.

All nodes of a network are in conflict with each other, so the fewest changes are plain: of those that hold an
address that may be held, one keeps it, the first in the plan; all others move to the lowest that is free.
"""

from __future__ import annotations

from collections.abc import Iterator

from audit.assigning.channels import Assigned
from audit.assigning.places import change_of
from audit.figures.surroundings import Device, Surroundings
from audit.model.plan import Network
from audit.model.site import Site
from audit.model.suggestion import PlanChange


def addresses(site: Site) -> Assigned:
    """Return the changes of planned addresses after which none is held twice or lies outside its block."""
    around = Surroundings(site)
    changes: list[PlanChange] = []
    impossible: list[str] = []
    blind: list[str] = []
    kept = 0
    for network in site.plan.networks:
        nodes = [n for n in around.nodes(network.name, "planned") if "address" in n.block.type.first_by_role]
        if network.addresses is None:
            blind.append(f"{network.name}: the plan sets no block of addresses aside for it")
            continue
        keep, move = _who_moves(network, nodes)
        kept += len(keep)
        free = [n for n in _block(network) if n not in keep]
        if len(free) < len(move):
            first, last = network.addresses.first, network.addresses.last
            impossible.append(
                f"{network.name}: {len(nodes)} nodes do not fit into the {len(_block(network))} addresses of "
                f"{first} to {last} that may be held; widen the block, or release reserved ones"
            )
            continue
        changes += _moves(move, free)
    proven = "No assignment without conflicts changes fewer nodes"
    quality = "For these networks nothing is proposed" if impossible else proven
    return Assigned(changes, impossible, kept, quality, blind)


def _block(network: Network) -> list[int]:
    block = network.addresses
    return [n for n in range(block.first, block.last + 1) if n not in block.reserved] if block else []


def _who_moves(network: Network, nodes: list[Device]) -> tuple[dict[int, Device], list[tuple[Device, str]]]:
    """Return address → the node that keeps it, and the nodes that have to move, each with the reason."""
    may_be_held = set(_block(network))
    keep: dict[int, Device] = {}
    move: list[tuple[Device, str]] = []
    for node in nodes:
        number = node.number("address", "")
        address = None if number is None else int(number)
        if address is None:
            move.append((node, "the plan gives it no address"))
        elif address not in may_be_held:
            move.append((node, f"{address} lies outside its network's block, or is reserved"))
        elif address in keep:
            move.append((node, f"{address} is also planned for {keep[address].tag}"))
        else:
            keep[address] = node
    return keep, move


def _moves(move: list[tuple[Device, str]], free: list[int]) -> Iterator[PlanChange]:
    for (node, why), address in zip(move, free, strict=False):
        setting = node.block.type.first_by_role["address"]
        yield change_of(node, setting, str(address), why)
