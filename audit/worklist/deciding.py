"""Deciding how to correct each network: the alternatives, and a step at the desk to choose one."""

from __future__ import annotations

from collections.abc import Collection, Hashable, Iterable, Mapping, Sequence

from audit.errors import Problem, nearest, stop, stop_if
from audit.folding.causes import dependents
from audit.grouping import grouped
from audit.model.roles import NETWORK_ROLES
from audit.model.work import WorkFile
from audit.model.worklist import Alternative
from audit.phrases import counted, listed, typed
from audit.worklist.devices import Device
from audit.worklist.drafts import DESK_MINUTES, Draft, Making
from audit.worklist.holders import CHANNEL, key_order
from audit.worklist.radio import OWN, Costs, Network, Way, ways


def networks_of(making: Making) -> list[Network]:
    """Return the networks with what may be changed about their radio."""
    of = grouped((device.network, device) for device in making.in_order())
    gateways = {name: next(d for d in devices if d.gateway) for name, devices in of.items()}
    asked = _asked(making, of)
    having = _having(gateways)
    return [
        Network(
            name,
            gateways[name],
            [device for device in devices if not device.gateway],
            {device.key: _fixed(making, device, gateways[name], asked[name]) for device in devices},
            having,
            asked[name],
            frozenset(role for role in NETWORK_ROLES if not gateways[name].is_read(role)),
        )
        for name, devices in of.items()
    ]


def _asked(making: Making, names: Iterable[str]) -> dict[str, frozenset[str]]:
    """Return network → the radio settings that some finding asks to be changed."""
    found: dict[str, set[str]] = {name: set() for name in names}
    for order, name in making.wanted:
        device = making.devices[order]
        setting = device.block.type.setting(name)
        if setting is not None and setting.role in NETWORK_ROLES:
            found[device.network].add(setting.role)
    return {name: frozenset(roles) for name, roles in found.items()}


def _fixed(making: Making, device: Device, gateway: Device, asked: Collection[str]) -> frozenset[str]:
    """Return the radio settings of a device that stay as found.

    A waiver excuses them, no finding in the network asks for a change, or the plan itself is in doubt: node
    and gateway are planned differently.
    """
    fixed = set()
    for role in NETWORK_ROLES:
        setting = device.setting(role)
        if setting is None:
            continue
        excused = device.differs(setting) and (device.order, setting.name) not in making.wanted
        excused = excused or (device is not gateway and role not in asked)
        planned, its = device.planned.radio.get(role), gateway.planned.radio.get(role)
        if excused or (planned is not None and its is not None and planned != its):
            fixed.add(role)
    return frozenset(fixed)


def _having(gateways: Mapping[str, Device]) -> Mapping[tuple[str, Hashable], Sequence[str]]:
    """Return each value that networks must not share → the networks that have it, found or planned."""
    return grouped(
        ((role, radio[role]), name) for name, gateway in gateways.items()
        for radio in (gateway.planned.radio, gateway.found.radio) for role in OWN.keys() & radio.keys()
    )  # fmt: skip


def decide(making: Making, choices: Mapping[str, str]) -> tuple[dict[str, Way], dict[str, int]]:
    """Return network → the way that is listed, and network → the step at the desk that comes before it.

    Raises InputProblems for a choice that does not exist.
    """
    radio, amounts = making.work.for_role(CHANNEL), making.work.amounts
    costs = Costs(radio.minutes, amounts.next_place_minutes, amounts.amend_plan_minutes)
    chosen: dict[str, Way] = {}
    desk: dict[str, int] = {}
    networks = networks_of(making)
    _check(choices, [network.name for network in networks])
    for network in networks:
        found = ways(network, costs)
        if not found:
            continue
        names = [way.name for way in found]
        wish = choices.get(network.name, names[0])
        if wish not in names:
            message = f"--radio {network.name}={wish}: this network has no such alternative"
            raise stop(message, f"its alternatives are: {', '.join(names)}")
        way = found[names.index(wish)]
        chosen[network.name] = way
        if len(found) > 1:
            making.alternatives += [_alternative(network, one, found[0], way) for one in found]
            desk[network.name] = making.add(_desk(making.work, network, way))
    return chosen, desk


def _check(choices: Mapping[str, str], names: Sequence[str]) -> None:
    problems = [
        Problem(f"--radio: the plan has no network {name!r}", nearest(name, names))
        for name in choices if name not in names
    ]  # fmt: skip
    stop_if(problems)


def _alternative(network: Network, way: Way, best: Way, listed_way: Way) -> Alternative:
    return Alternative(
        network=network.name,
        setting=", ".join(_roles(network, way)),
        way=_in_words(network, way),
        gateways=int(bool(way.gateway)),
        nodes=len(way.nodes),
        minutes=way.minutes,
        blind_node_minutes=way.blind_node_minutes,
        amends_plan=way.amends_plan,
        against=way.against or None,
        advised=way is best,
        listed=way is listed_way,
        choose=f"--radio {typed(f'{network.name}={way.name}')}",
    )


def _roles(network: Network, way: Way) -> list[str]:
    """Return the radio settings concerned."""
    changed = {one.role for changes in (way.gateway, *way.nodes.values()) for one in changes}
    return [role for role in NETWORK_ROLES if role in changed | {*_amended_roles(network, way)}]


def _amended_roles(network: Network, way: Way) -> list[str]:
    """Return the radio settings for which the plan has to be amended, or has to say something at all."""
    planned = {role: device.planned.radio[role] for role, device in way.planned_by.items()}
    gateway = network.gateway.found.radio
    return [role for role, content in way.radio.items() if planned.get(role, gateway.get(role)) != content]


def _in_words(network: Network, way: Way) -> str:
    """Return what is to be done, for instance `change one gateway (GW-1)`."""
    parts = []
    if way.gateway:
        parts.append(f"change one gateway ({network.gateway.tag})")
    if way.nodes:
        tags = listed([key[1] for key in sorted(way.nodes, key=key_order)], 3)
        parts.append(f"change {counted(len(way.nodes), 'node')} ({tags})")
    if way.amends_plan:
        parts.append("amend the plan under a change record")
    return ", ".join(parts)


def _desk(work: WorkFile, network: Network, way: Way) -> Draft:
    """Return the step at the desk: agree on the way, and amend the plan if that way needs it."""
    amend = _amended(network, way) if way.amends_plan else ""
    then = f" The plan then has to say {amend}." if amend else ""
    return Draft(
        at="desk",
        phase="look",
        minutes=work.amounts.amend_plan_minutes if amend else DESK_MINUTES,
        do=f"Agree with the plan's owner how to correct {network.name}: {_in_words(network, way)}.{then}",
        network=network.name,
        hold="the alternatives have been weighed; for another one, make a new list",
        expect="decision, name and date written down" + (", plan revised" if amend else ""),
    )


def _amended(network: Network, way: Way) -> str:
    """Return what the plan has to say, for instance `channel 14 instead of 13`."""
    parts = []
    for role in _amended_roles(network, way):
        like = way.like.setting(role) if way.like else None
        if way.like and like:
            planner = way.planned_by.get(role)
            setting = planner.setting(role) if planner else None
            before = planner.value("planned", setting).shown if planner and setting else ""
            instead = f" instead of {before}" if before else " (not planned so far)"
            parts.append(f"{like.name} {way.like.value('found', like).shown}{instead}")
    return ", ".join(parts)


def weigh_many(making: Making) -> None:
    """Add the alternatives to re-setting many nodes that all differ alike: the plan may be wrong."""
    items, under_one = making.items, dependents(making.audited.causes)
    for n in making.ids:
        if not items[n].folds("same-difference", "same-step", "against-plan"):
            continue
        of_them = {m for i in under_one.get(n, ()) for m in making.made_for[i]}
        numbers = sorted(of_them - {*making.made_for[n]})
        drafts = [making.drafts[m] for m in numbers if making.drafts[m].changes and not making.drafts[m].sets]
        if drafts:
            making.alternatives += _two_ways(making, items[n].hit.network, items[n].hit.settings[0], drafts)


def _two_ways(making: Making, network: str, setting: str, drafts: Sequence[Draft]) -> list[Alternative]:
    amounts = making.work.amounts
    tags = listed([draft.tag for draft in drafts], 3)
    places = sum(draft.at == "device" for draft in drafts)
    minutes = sum(draft.minutes for draft in drafts) + places * amounts.next_place_minutes
    where = "" if places else " at the host"
    ways = (
        (f"change {counted(len(drafts), 'node')}{where} ({tags})", len(drafts), minutes, False),
        (
            "amend the plan under a change record, if somebody can show one",
            0,
            amounts.amend_plan_minutes,
            True,
        ),
    )
    return [
        Alternative(
            network=network, setting=setting, way=way, gateways=0, nodes=nodes, minutes=minutes,
            blind_node_minutes=0, amends_plan=amends, against=None, advised=not amends, listed=not amends,
            choose=None,
        )
        for way, nodes, minutes, amends in ways
    ]  # fmt: skip
