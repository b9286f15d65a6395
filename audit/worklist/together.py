"""Together: the moves of gateways and nodes, so that no gateway leaves behind a node that it hears."""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence

from audit.worklist.holders import (
    ADDRESS,
    Key,
    Set,
    State,
    after_all,
    gateways,
    heard,
    hears,
    key_order,
)
from audit.worklist.moves import Planned, Stuck, plan_moves
from audit.worklist.radio import Way


def planned_together(
    state: State,
    ways: Mapping[str, Way],
    addresses: Mapping[Key, Set],
    spares: Mapping[str, Sequence[Hashable]],
) -> tuple[dict[str, Way], Planned, list[Stuck]]:
    """Return the ways that can be taken, the moves, and what is stuck.

    If a node of a network cannot follow its gateway, the gateway and all its nodes stay as they are.
    `addresses` has the address that each device is to get.
    """
    possible = dict(ways)
    stuck: list[Stuck] = []
    for way in ways.values():
        left = _no_longer_heard(state, way)
        if left:
            del possible[way.network]
            stuck.append(Stuck(*_members(state, way), left, leaves_them=True))
    while True:
        wanted: dict[Key, tuple[Set, ...]] = {key: (change,) for key, change in addresses.items()}
        for way in possible.values():
            wanted |= {key: (*wanted.get(key, ()), *changes) for key, changes in way.nodes.items()}
        planned = plan_moves(state, wanted, spares)
        lost = _left_behind(planned, possible)
        if lost is None:
            return possible, planned, [*stuck, *planned.stuck]
        way, cause = lost
        del possible[way.network]
        held_by = cause.held_by or cause.devices
        stuck.append(Stuck(*_members(state, way), held_by, cause.lacks_spare))


def _members(state: State, way: Way) -> tuple[tuple[Key, ...], tuple[tuple[Set, ...], ...]]:
    """Return the devices that a way sets, the gateway first, and the changes of each."""
    members = {gateways(state)[way.network]: way.gateway, **way.nodes}
    return tuple(members), tuple(members.values())


def _no_longer_heard(state: State, way: Way) -> tuple[Key, ...]:
    """Return the nodes that a gateway hears as found, and would not after its way; a waiver may keep them."""
    if not way.gateway:
        return ()
    key = gateways(state)[way.network]
    gateway = after_all(state[key], way.gateway)[-1]
    ends = {node: [state[node], *after_all(state[node], way.nodes.get(node, ()))][-1]
            for node in sorted(heard(state), key=key_order) if node[0] == way.network}  # fmt: skip
    return tuple(node for node, end in ends.items() if not hears(gateway, end))


def _left_behind(planned: Planned, ways: Mapping[str, Way]) -> tuple[Way, Stuck] | None:
    """Return a way whose gateway would move and leave a node behind, with what blocks that node."""
    for stuck in planned.stuck:
        for key, changes in zip(stuck.devices, stuck.changes, strict=True):
            way = ways.get(key[0])
            if way and way.gateway and any(change.role != ADDRESS for change in changes):
                return way, stuck
    return None
