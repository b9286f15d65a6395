"""Steps about radio and addresses: gateways, the nodes that move with them, and addresses in order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from audit.grouping import grouped
from audit.model.device import Setting
from audit.model.plan import Network
from audit.model.roles import NETWORK_ROLES
from audit.model.table import Style
from audit.model.value import Value
from audit.reading import units
from audit.reading.values import number_of, parse, plain
from audit.worklist.board import Move
from audit.worklist.devices import Device, Named
from audit.worklist.drafts import Draft, Making, change_of, drafted, joined, step_mark
from audit.worklist.held import hold_back
from audit.worklist.holders import ADDRESS, Key, Set, State
from audit.worklist.radio import Way
from audit.worklist.together import planned_together


@dataclass(frozen=True, slots=True)
class Joining:
    """What the steps about radio and addresses are made from."""

    state: State
    networks: Mapping[str, Network]
    spares: Mapping[str, Sequence[Decimal]]
    outside: frozenset[Decimal]
    """Spares that a person gave and that are outside a block, or reserved."""
    ways: Mapping[str, Way]
    """Network → the way that is listed, if anything is to be done about its radio."""
    addresses: Mapping[Key, Set]
    """Device → the address that it is to get."""


def add_joining(making: Making, joining: Joining) -> None:
    """Add the steps about radio and addresses, and hold back what cannot be done."""
    by_key = {device.key: device for device in making.devices.values()}
    ways, planned, stuck = planned_together(joining.state, joining.ways, joining.addresses, joining.spares)
    for one in stuck:
        hold_back(making, one, by_key, joining.state, joining.networks)
    numbers: list[int] = []
    moved: set[Key] = set()
    of_device = grouped((move.device, change) for move in planned.moves for change in move.changes)
    for move in planned.moves:
        draft = _node_draft(making, joining, by_key[move.device], move, ways)
        draft.visit = int(move.device in moved)
        moved.add(move.device)
        draft.needs = {numbers[after] for after in move.after}
        own = _findings(making, by_key[move.device], move.changes)
        numbers.append(
            making.add(draft, own or _findings(making, by_key[move.device], of_device[move.device]))
        )
    _limit_rollbacks(making, numbers)
    for way in ways.values():
        nodes = [numbers[n] for n, move in enumerate(planned.moves) if move.device in way.nodes]
        if way.gateway:
            _add_gateway(making, way, nodes)


def _findings(making: Making, device: Device, changes: Sequence[Set]) -> list[int]:
    settings = [device.setting(change.role) for change in changes]
    return [n for s in settings if s for n in making.wanted.get((device.order, s.name), ())]


def _node_draft(
    making: Making, joining: Joining, device: Device, move: Move, ways: Mapping[str, Way]
) -> Draft:
    """Return the step of a move of a node, all of its settings keyed in before its menu is left."""
    way = ways.get(device.network)
    roles = [change.role for change in move.changes]
    manners = [making.work.for_role(ADDRESS)] * (ADDRESS in roles)
    manners += [making.work.for_role(role) for role in roles if role != ADDRESS][:1]
    draft = drafted(manners[0], device, _what(move, roles))
    draft.minutes = sum(manner.minutes for manner in manners)
    draft.hold = joined(manner.hold for manner in manners)
    draft.expect = joined(manner.expect for manner in manners)
    _set(draft, device, move.changes, way, making.gateways[device.network])
    draft.rollback = _back(draft)
    outside = [c.after for c in move.changes if c.role == ADDRESS and c.after in joining.outside]
    if move.to_spare and outside:
        outside_hold = f"radio engineer confirms that nobody uses {outside[0]}, which the plan does not offer"
        draft.hold = joined([draft.hold, outside_hold])
    if move.to_spare:
        spare = move.changes[0].after
        draft.expect = f"the display shows {spare}; the gateway's list shows the tag at that address"
    return draft


def _what(move: Move, roles: Sequence[str]) -> str:
    if move.to_spare:
        return f"Move it to the spare address {move.changes[0].after} for the time being, to make way"
    if roles == [ADDRESS]:
        return "Move it to its planned address"
    if ADDRESS in roles:
        return (
            "Move it to its planned address and to its gateway's radio settings, all before leaving the menu"
        )
    return "Set it to its gateway's radio settings" + (
        ", all before leaving the menu" if len(roles) > 1 else ""
    )


def _set(draft: Draft, device: Device, sets: Sequence[Set], way: Way | None, gateway: Device) -> None:
    """Put what is to be keyed in into a draft, in words and as values."""
    changes, to_be = [], []
    for one in sets:
        setting = device.setting(one.role)
        if setting is None:
            continue
        before, after = _before(device, setting, one), _after(device, setting, one, way, gateway)
        changes.append(change_of(setting, before.shown, after.shown))
        to_be.append((setting, before, after))
    draft.changes, draft.sets, draft.to_be = tuple(changes), tuple(sets), tuple(to_be)


def _before(device: Device, setting: Setting, one: Set) -> Value:
    if one.before == device.found.get(one.role):
        found = device.value("found", setting)
        return found if found.read else Value(None, "blank", device.shown(one.role))
    return _spare(setting, one.before)


def _after(device: Device, setting: Setting, one: Set, way: Way | None, gateway: Device) -> Value:
    """Return what a setting is to be: a spare address, the planned value, or what another device shows.

    That is the gateway where no plan decides what the radio is to be.
    """
    if one.role == ADDRESS:
        moved = one.after != device.planned.address
        return _spare(setting, one.after) if moved else device.value("planned", setting)
    undecided = way is not None and way.like is None and one.role not in way.planned_by
    like = gateway if undecided else way.like if way else None
    theirs = like.setting(one.role) if like else None
    if like is not None and theirs is not None and one.after != device.planned.radio.get(one.role):
        value = like.value("found", theirs)
        return _in_terms_of(setting, value if value.read else like.value("planned", theirs), theirs)
    planner = way.planned_by.get(one.role, device) if way and one.role not in device.planned.radio else device
    theirs = planner.setting(one.role) or setting
    return _in_terms_of(setting, planner.value("planned", theirs), theirs)


def _in_terms_of(setting: Setting, value: Value, theirs: Setting) -> Value:
    """Return another device's value as this setting has it: in its own unit, or as one of its options."""
    if setting.kind == theirs.kind and units.equal(setting.unit, theirs.unit):
        return value
    number = number_of(value, theirs)
    converted = None if number is None else units.convert(number, theirs.unit, setting.unit)
    return value if converted is None else parse(plain(converted), setting, Style())


def _spare(setting: Setting, address: object) -> Value:
    return parse(str(address), setting, Style())


def _back(draft: Draft) -> str:
    return joined(f"set {change.label} to {change.before} again" for change in draft.changes)


def _limit_rollbacks(making: Making, numbers: Sequence[int]) -> None:
    """Say until which step a change can be undone: until another device has moved to the old place."""
    others = grouped(
        (number, later) for later in numbers for number in making.drafts[later].needs
        if making.drafts[later].device is not making.drafts[number].device
    )  # fmt: skip
    for number, needing in others.items():
        steps = " or ".join(map(step_mark, needing))
        making.drafts[number].rollback += f", but not once step {steps} is done: then stop and call"


def _add_gateway(making: Making, way: Way, nodes: Sequence[int]) -> None:
    """Add the step of a gateway, after the nodes that move with it or before them."""
    gateway = making.gateways[way.network]
    manner = making.work.for_role(way.gateway[0].role)
    draft = drafted(manner, gateway, "Set the gateway" + ("" if len(way.gateway) == 1 else ", all in one go"))
    count = making.nodes_in[way.network]
    second = "; if a second gateway can run on the new settings meanwhile, no node need go unheard"
    draft.hold = "outage of the network agreed with the control room" + (second if nodes else "")
    all_of_them = f"all {count:,} nodes of {way.network} are in its list and report"
    if count == 1:
        all_of_them = f"the only node of {way.network} is in its list and reports"
    draft.expect = f"{all_of_them} within three intervals"
    _set(draft, gateway, way.gateway, way, gateway)
    draft.rollback = _back(draft)
    number = making.add(draft, _findings(making, gateway, way.gateway))
    for n in nodes:
        if way.gateway_first:
            making.drafts[n].needs.add(number)
        else:
            making.drafts[number].needs.add(n)
            joins = f"the node joins only after step {step_mark(number)}, at the gateway"
            making.drafts[n].expect = f"the display shows the new values; {joins}"


def add_rest_of_radio(making: Making, way: Way, number: int, wanted: Iterable[Named]) -> None:
    """Assign to one draft the radio findings of a network that no step of their own corrects or reads."""
    for order, name in wanted:
        device = making.devices[order]
        setting = device.block.type.setting(name)
        if setting is not None and _is_settled(making, way, device, setting):
            for n in making.wanted[order, name]:
                work = making.work.for_rule(making.items[n].rule.id)
                read = work is not None and work.phase == "read"
                if not read and not making.made_for[n] and n not in making.held_for:
                    making.also_for(number, n)


def _is_settled(making: Making, way: Way, device: Device, setting: Setting) -> bool:
    """Return whether a setting of a device is one of the radio that is right once a way has been gone.

    Not if nodes are planned differently, and their gateway has no plan and stays as it is: each is set then.
    """
    role = setting.role
    if role not in way.radio:
        return False
    stays = making.gateways[way.network].found.radio.get(role) == way.radio[role]
    as_planned = device.planned.radio.get(role) in (None, way.radio[role])
    return role in way.planned_by or as_planned or not stays


def add_roots_of_radio(making: Making, number: int, findings: Iterable[int]) -> None:
    """Assign the findings of folding about many nodes' radio to the decision about their network."""
    for n in findings:
        item = making.items[n]
        about_radio = item.hit.settings and all(
            making.roles.get(name) in NETWORK_ROLES for name in item.hit.settings
        )
        work = making.work.for_rule(item.rule.id)
        # How a file is to be read is not settled by a decision about a network.
        of_the_file = item.folds("unclear-alike", "undated", "nameless-rows")
        at_desk = work is not None and work.at == "desk" and not of_the_file
        if at_desk and about_radio:
            making.also_for(number, n)
