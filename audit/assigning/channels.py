"""Channels for networks: no two within interference range share one, and as few change as possible."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from audit.assigning.colouring import Impossible, recolour
from audit.assigning.places import change_of
from audit.figures.neighbours import Conflict, conflicts, reaches
from audit.figures.surroundings import Device, Surroundings
from audit.model.device import Setting
from audit.model.site import Site
from audit.model.suggestion import PlanChange
from audit.phrases import counted

NO_CONFLICT = "No conflict was found"
"""How good a plan is in which nothing has to change."""


@dataclass(frozen=True, slots=True)
class Assigned:
    """What was found: changes, or why there are none."""

    changes: Sequence[PlanChange]
    impossible: Sequence[str]
    kept: int
    quality: str
    not_looked_at: Sequence[str]


def channels(site: Site, required_db: float, exponent: float) -> Assigned:
    """Return the changes to planned channels after which no two networks in interference range share one.

    As few networks as possible change; where several would do, those with the fewest nodes, since each node
    of a network has to be set too.

    `required_db`: how far a wanted signal has to be above another network's, in dB. `exponent`: the path
    loss exponent where the plan gives none.
    """
    around = Surroundings(site)
    gateways = {network: around.gateway(network, "planned") for network in site.gateways}
    reach = reaches(around, exponent)
    allowed = {name: _allowed(around, gateways[name]) for name in gateways}
    no_channels = "its gateway and nodes cannot be set to any one channel in its band, as their types say"
    no_nodes = "by the positions in the plan, none of its nodes is at a known distance from its gateway"
    no_gateway = "the plan does not give the position of its gateway"
    blind = [
        f"{name}: {no_nodes if device.position else no_gateway}"
        for name, device in gateways.items()
        if name not in reach
    ]
    blind += [f"{name}: {no_channels}" for name in gateways if not allowed[name]]
    known = [name for name in gateways if name in reach and allowed[name]]
    found = conflicts([reach[name] for name in known], required_db)
    near: dict[str, set[str]] = {name: set() for name in known}
    for conflict in found:
        near[conflict.one.network].add(conflict.other.network)
        near[conflict.other.network].add(conflict.one.network)
    current = {name: int(n) for name in known if (n := gateways[name].number("channel", "")) is not None}
    sizes = {name: sum(1 for _ in around.nodes(name, "planned")) for name in known}
    result = recolour(near, current, allowed, sizes)
    if isinstance(result, Impossible):
        return Assigned([], [_impossible(result, allowed)], len(known), "Nothing is proposed", blind)
    moved = [name for name in known if result.colours[name] != current.get(name)]
    changes: list[PlanChange] = []
    for name in moved:
        changes += _changes(around, gateways[name], result.colours[name], _why(name, current, found))
    quality = "No assignment without conflicts changes fewer networks" if changes else NO_CONFLICT
    if result.changed != result.fewest:
        moving = counted(result.changed, "network")
        quality = f"The search was stopped with {moving} to change; at least {result.fewest} have to"
    return Assigned(changes, [], len(known) - len(moved), quality, blind)


def _allowed(around: Surroundings, gateway: Device) -> list[int]:
    """Return the channels that a gateway and its nodes can be set to and that lie inside its band."""
    setting = gateway.block.first_setting("channel")
    numbers = (setting and _offered(setting)) or []
    types = {node.block.type.name: node.block.type for node in around.nodes(gateway.network, "planned")}
    of_nodes = [own for one in types.values() if (own := one.first_by_role.get("channel"))]
    common = [set(offered) for own in of_nodes if (offered := _offered(own)) is not None]
    numbers = [n for n in numbers if all(n in offered for offered in common)]
    radio, band = around.radio(gateway.network), around.band(gateway.network)
    if radio.channels is None and (band is None or not band.channels):
        return numbers
    known = {n: mhz for n in numbers if (mhz := around.channel_mhz(gateway.network, n)) is not None}
    return [
        n
        for n, mhz in known.items()
        if band is None or any(limit.low_mhz <= mhz <= limit.high_mhz for limit in band.limits)
    ]


def _offered(setting: Setting) -> list[int] | None:
    """Return the channels that a setting can have, lowest first; None if its type does not say."""
    if setting.options:
        return list(setting.whole_options)
    if setting.low is None or setting.high is None:
        return None
    return list(range(int(setting.low), int(setting.high) + 1))


def _why(name: str, current: Mapping[str, int], found: Sequence[Conflict]) -> str:
    """Return why a network changes: whom it shares its channel with, and how near, or that it has none."""
    if name not in current:
        return "the plan gives no channel"
    rivals = []
    for conflict in found:
        pair = {conflict.one.network, conflict.other.network}
        if name in pair:
            (other,) = pair - {name}
            if current.get(other) == current[name]:
                rivals.append(f"{other}, {conflict.apart_m:,.0f} m away, {conflict.needed_m:,.0f} m needed")
    if rivals:
        return f"shares channel {current[name]} with {'; '.join(rivals)}"
    return f"channel {current[name]} cannot be used, or is given up to another network"


def _changes(around: Surroundings, gateway: Device, channel: int, why: str) -> Iterator[PlanChange]:
    """Yield the change to a gateway's channel, and to nodes whose channel the plan states separately."""
    setting = gateway.block.type.first_by_role["channel"]
    yield change_of(gateway, setting, str(channel), why)
    there = gateway.block.planned_place(gateway.i, setting.name)
    for node in around.nodes(gateway.network, "planned"):
        own = node.block.first_setting("channel")
        if own is not None and node.value("channel").read and node.number("channel", "") != channel:
            here = node.block.planned_place(node.i, own.name)
            if here != there and here.file:
                yield change_of(node, own, str(channel), "goes with its gateway")


def _impossible(found: Impossible, allowed: Mapping[str, Sequence[int]]) -> str:
    numbers = len({n for name in found.among for n in allowed[name]})
    names = ", ".join(found.among)
    if not found.proven:
        return f"no assignment was found for {names} before the search was stopped; allow more channels"
    return (
        f"{names} are so close to each other that their {numbers} channels are not enough: allow more "
        "channels, reduce power, or move a gateway"
    )
