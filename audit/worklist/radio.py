"""Ways to bring a gateway and its nodes together again, and what each costs.

A network whose gateway and nodes do not agree can be corrected at the gateway, at the nodes, or by amending
the plan. Each way is replayed, so that its cost is counted and not guessed.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass, field, replace

from audit.reading.values import default_value
from audit.worklist.devices import Device
from audit.worklist.holders import CHANNEL, Key, Set, key_order
from audit.worklist.replay import Turn, replay

Radio = Mapping[str, Hashable]
OWN = {CHANNEL: "is on that channel", "network_id": "has that identity"}
"""Radio settings that no two networks should share, and what is said of another network that has them."""
SWITCHED_OFF = "it switches off encryption, which is planned on"
FEWEST = 3
"""At least this many nodes have to agree, and more than half, to make a way of their own."""


@dataclass(frozen=True, slots=True)
class Costs:
    """Minutes by which ways are compared."""

    radio: float
    """To re-set the radio of a device."""
    next_place: float
    amend_plan: float


@dataclass(frozen=True, slots=True)
class Way:
    """One way to correct a network: what the radio is to be, and which devices have to change for it."""

    network: str
    name: str
    """`plan`, `gateway` (as it was found) or `nodes` (as most of them were found)."""
    radio: Radio
    like: Device | None
    """A device that shows this radio as found; None if it is as planned."""
    gateway: tuple[Set, ...]
    nodes: Mapping[Key, tuple[Set, ...]]
    gateway_first: bool
    minutes: float
    blind_node_minutes: float
    against: str = ""
    planned_by: Mapping[str, Device] = field(default_factory=dict)
    """Radio setting → the device whose plan says what it is to be: the gateway or a node."""

    @property
    def amends_plan(self) -> bool:
        """Whether the plan has to be amended."""
        return self.like is not None

    @property
    def cost(self) -> float:
        """The cost of the way: a minute of work counts as much as a minute in which a node is not heard."""
        return self.minutes + self.blind_node_minutes


@dataclass(frozen=True, slots=True)
class Network:
    """A gateway and its nodes, with what may be changed about their radio."""

    name: str
    gateway: Device
    nodes: Sequence[Device]
    fixed: Mapping[Key, frozenset[str]] = field(default_factory=dict)
    """Device → radio settings that stay as found: a waiver excuses them, or no finding asks for a change."""
    having: Mapping[tuple[str, Hashable], Sequence[str]] = field(default_factory=dict)
    """Role in OWN and its content → the networks of the site that have it, by plan or as found."""
    asked: frozenset[str] = frozenset()
    """Radio settings that some finding asks to be changed, at the gateway or at a node."""
    unread: frozenset[str] = frozenset()
    """Radio settings that were not read at the gateway: it may show what its nodes show."""


def ways(network: Network, costs: Costs) -> list[Way]:
    """Return the ways to correct a network, the best first; none if nothing is to be done."""
    found: list[Way] = []
    for name, radio, like in _candidates(network):
        if all(radio != way.radio for way in found):
            found.append(_way(network, name, radio, like, costs))
    if not any(way.gateway or way.nodes for way in found):
        return []
    found = [_not_back(network, way, found[0]) for way in found]
    return sorted(found, key=lambda way: (bool(way.against), way.cost, way.amends_plan))


def _not_back(network: Network, way: Way, plan: Way) -> Way:
    """Return a way, noting what speaks against it although it costs less than the plan's way.

    If half of the nodes or more are as planned, it would undo a change that is under way.
    """
    roles = [role for role, content in way.radio.items() if content != plan.radio.get(role)]
    read = sum(node.read for node in network.nodes)
    as_planned = sum(
        node.read and node.key not in plan.nodes  # of the others, a waiver may keep some off the plan
        and all(node.found.radio.get(role, plan.radio[role]) == plan.radio[role] for role in roles)
        for node in network.nodes
    )  # fmt: skip
    if way.against or way.cost >= plan.cost or 2 * as_planned < read:
        return way
    return replace(way, against=f"{as_planned:,} of {read:,} nodes are already as planned")


def _candidates(network: Network) -> list[tuple[str, Radio, Device | None]]:
    """Return what the radio may be: as planned, as at the gateway, as on most of the nodes."""
    gateway = network.gateway
    fixed = network.fixed.get(gateway.key, frozenset())
    said = {role: device.planned.radio[role] for role, device in _planned_by(network).items()}
    planned = {**gateway.found.radio, **said}
    planned |= {role: content for role, content in gateway.found.radio.items() if role in fixed}
    at_gateway = {**planned, **gateway.found.radio}
    candidates: list[tuple[str, Radio, Device | None]] = [("plan", planned, None)]
    if at_gateway != planned:
        candidates.append(("gateway", at_gateway, gateway))
    shown, like = _most(network, planned) or ({}, None)
    if encrypted := _encrypted(network, {**planned, **shown}, said):
        shown, like = {**shown, "encryption": True}, encrypted
    if like is not None and not fixed:
        candidates.append(("nodes", {**planned, **shown}, like))
    return candidates


def _encrypted(network: Network, radio: Radio, said: Radio) -> Device | None:
    """Return a node with encryption on, as it is planned, where no plan of the network decides about it.

    None if the radio has it on. The node shows what else the radio has and no plan says; and one that keeps
    its encryption, whatever its gateway has, is no such node.
    """
    if "encryption" in said or radio.get("encryption", True):
        return None
    shows = {role: content for role, content in radio.items() if said.get(role) != content}
    wanted = {**shows, "encryption": True}
    return next((
        node for node in network.nodes
        if node.planned.radio.get("encryption") and wanted.items() <= node.found.radio.items()
        and "encryption" not in network.fixed.get(node.key, ())
    ), None)  # fmt: skip


def _planned_by(network: Network) -> dict[str, Device]:
    """Return radio setting → the device whose plan states it: the gateway or, if all nodes agree, a node.

    A gateway without a planned value stays as it is if no finding asks for a change.
    """
    said: dict[str, dict[Hashable, Device]] = defaultdict(dict)
    for node in network.nodes:
        for role, content in node.planned.radio.items():
            said[role].setdefault(content, node)
    of_nodes = {
        role: next(iter(by.values())) for role, by in said.items() if len(by) == 1 and role in network.asked
    }
    return of_nodes | dict.fromkeys(network.gateway.planned.radio, network.gateway)


def _most(network: Network, planned: Radio) -> tuple[Radio, Device] | None:
    """Return the radio that more than half of the nodes show, if it is not the planned one, and one of them.

    It is without what stays as found on all of them: that is no reason to change the gateway; and without
    what the gateway lacks and nodes are planned with differently. None if it is not known what the gateway
    shows.
    """
    read = [node for node in network.nodes if node.read]
    count = Counter(tuple(sorted(node.found.radio.items(), key=lambda one: one[0])) for node in read)
    for radio, number in count.most_common(1):
        alike = [node for node in read if dict(radio) == node.found.radio]
        fixed = frozenset.intersection(*(network.fixed.get(node.key, frozenset()) for node in alike))
        shown = {role: content for role, content in radio if role in planned and role not in fixed}
        differs = {role for role, content in shown.items() if planned[role] != content}
        if number >= FEWEST and 2 * number > len(read) and differs and not differs & network.unread:
            return shown, min(alike, key=lambda node: key_order(node.key))
    return None


def _way(network: Network, name: str, radio: Radio, like: Device | None, costs: Costs) -> Way:
    gateway = _changes(network, network.gateway, radio)
    nodes = {node.key: changes for node in network.nodes if (changes := _changes(network, node, radio))}
    each = costs.radio + costs.next_place
    minutes = each * (len(nodes) + bool(gateway)) + (costs.amend_plan if like else 0)
    last, first = (_blind(network, gateway, nodes, each, gateway_first=place) for place in (False, True))
    gateway_first = bool(gateway) and first < last
    against = _against(network, radio, like) if like else _switched_off(network, nodes)
    return Way(network.name, name, radio, like, gateway, nodes, gateway_first, minutes,
               first if gateway_first else last, against, _planned_by(network))  # fmt: skip


def _changes(network: Network, device: Device, radio: Radio) -> tuple[Set, ...]:
    """Return the settings that bring a device to a radio, without those that stay as they are."""
    fixed = network.fixed.get(device.key, frozenset())
    return tuple(
        Set(role, content, radio[role])
        for role, content in device.found.radio.items()
        if role in radio and role not in fixed and content != radio[role]
    )


def _blind(
    network: Network,
    gateway: tuple[Set, ...],
    nodes: Mapping[Key, tuple[Set, ...]],
    each: float,
    *,
    gateway_first: bool,
) -> float:
    """Return for how many minutes nodes are unheard in all, from the first device to the last."""
    start = {device.key: device.found for device in (network.gateway, *network.nodes)}
    visits = [(key, nodes[key]) for key in sorted(nodes, key=key_order)]
    own = [(network.gateway.key, gateway)] if gateway else []
    order = own + visits if gateway_first else visits + own
    turns = [Turn(n, key, changes, each) for n, (key, changes) in enumerate(order, 1)]
    return replay(start, turns).blind_minutes.get(network.name, 0.0)


def _switched_off(network: Network, nodes: Mapping[Key, tuple[Set, ...]]) -> str:
    """Return what speaks against the way of the plan: that nodes lose encryption for their gateway's sake."""
    planned = {node.key for node in network.nodes if node.planned.radio.get("encryption")}
    off = {key for key, sets in nodes.items() for one in sets if one.role == "encryption" and not one.after}
    return SWITCHED_OFF if planned & off else ""


def _against(network: Network, radio: Radio, like: Device) -> str:
    """Return what speaks against the radio that a device shows, if another is planned."""
    planned_by = _planned_by(network)
    encrypted = any(device.planned.radio.get("encryption") for device in (network.gateway, *network.nodes))
    for role, content in radio.items():
        planned = planned_by[role].planned.radio[role] if role in planned_by else content
        as_planned = role in planned_by and content == planned
        having = network.having.get((role, content), ())
        other = next((name for name in having if name != network.name), "")
        if not as_planned and other:
            return f"{other} {OWN[role]}"
        if role == "encryption" and encrypted and not content:
            return SWITCHED_OFF
        setting = like.setting(role)
        default = default_value(setting) if setting and content != planned else None
        if setting and default and default.content == content:
            return f"{setting.name} {default.shown} is the factory setting"
    return ""
