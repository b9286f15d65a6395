"""Whether another device holds a node's address, in its network or in one with the same radio settings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from audit.checks.equals_gateway import Its, alike, gateway_value
from audit.diagnosis.evidence import MOST_PLACES, Answered, NotKnown
from audit.diagnosis.examined import Case
from audit.diagnosis.exchanges import brings
from audit.diagnosis.gathering.beforehand import unless_beforehand
from audit.diagnosis.gathering.since import Held, disproved, held
from audit.diagnosis.missing import state_of
from audit.model.device import Setting
from audit.model.identified import Stranger
from audit.model.roles import NETWORK_ROLES
from audit.model.site import Target
from audit.model.table import Place
from audit.model.value import Value
from audit.reading.identifiers import spelling

UNREAD = " (planned; not read)"
"""What is added for a device that holds an address only by the plan."""
AIR = ("network_id", "channel", "air_rate")
"""Networks whose gateways are alike in these hear each other's nodes; the first has to be known of both."""
NOT_ITS_PLACE = ("address-out-of-block", "address-pair-swapped")
"""Rules whose findings say where an address that is off plan belongs."""


def off_plan_alone(case: Case) -> tuple[Setting, Held] | None:
    """Return the address setting and its value if it was read as not planned, and no other device has that.

    An address with which its gateway has heard it since is left out.
    """
    if setting := case.block.first_setting("address"):
        has = held(case, case.target, setting)
        if has and has.off_plan(case.planned(setting)) and not any(_holders(case, has.value.content)):
            return None if disproved(case, has) else (setting, has)
    return None


def address(case: Case) -> Answered | NotKnown | None:
    """Return which other device holds the address that a node has, or is planned to have if it was not read.

    A device that was not read counts as holding the address that is planned for it.
    """
    if setting := case.block.first_setting("address"):
        planned = case.planned(setting)
        its_plan = case.block.place("planned", setting.name, case.i)
        has = held(case, case.target, setting)
        value, own = (has.value, has.place) if has else (planned, its_plan)
        if not value.read:
            return NotKnown("its address: neither planned nor read")
        off = has is not None and planned.read and value.content != planned.content
        what = f"address {value.shown}{has.when if has else ''}"
        what = f"{what}, planned {planned.shown}" if off else what
        if holders := list(_holders(case, value.content)):
            places = (own, *([its_plan] if off else []), *(place for _, place, _ in holders))[:MOST_PLACES]
            planned_only = has is None or all(not read for _, _, read in holders)
            names = " and ".join(name for name, _, _ in holders[:3])
            words = f"{what}{',' if off else ''} is also held by {names}"
            moves = tuple(_moves(case, value.content))
            return Answered("address-shared", words, places, planned=planned_only, mend=moves)
        others_known = (
            any(case.site.blocks[b].rows_read(i) for b, i in case.siblings())
            if off else any(_held_by_others(case))
        )  # fmt: skip
        if not others_known:
            return NotKnown("which other device holds its address: no other address in its network was read")
        if has and off:
            return _off_plan(case, has, planned, its_plan, what)
        unread = "" if has else ", which was not read,"
        words = f"{what}{unread} is held by no other device that was read"
        alone = Answered("address-alone", words, (own,), planned=has is None)
        return unless_beforehand(case, alone, (one.at for one in (has, *_held_by_others(case)) if one))
    return None


def _off_plan(case: Case, has: Held, planned: Value, its_plan: Place, what: str) -> Answered | NotKnown:
    """Return that it has another address than planned, unless it was heard since; `what` names both."""
    if late := disproved(case, has):
        return NotKnown(f"whether its address keeps it out: {has.value.shown} {late}")
    said = [f"{what}; no other device was seen to hold it"]
    default = not has.change and bool(case.noticed(("address-left-default",)))
    if default:
        said.append("it is the factory default")
    said += [one.found.hit.message for one in case.noticed(NOT_ITS_PLACE)]
    if holder := _read_with(case, planned, case.target):
        said.append(f"{holder} holds {planned.shown} now: move that device first, to a spare address")
    said += _planned_for(case, has.value)
    answer = "address-default" if default else "address-off-plan"
    return Answered(answer, "; ".join(said), (has.place, its_plan))


def _holders(case: Case, content: object) -> Iterator[tuple[str, Place, bool]]:
    """Yield name, place, and whether it was read, of the other devices that hold an address."""
    yield from _planned_holders(case, content, case.target)
    names = {setting.name for block in case.site.blocks for setting in block.settings("address")}
    for stranger in (one for one in case.site.strangers if not _is_its_unit(case, one)):
        its = [name for name, value in stranger.found.items() if name in names and value.content == content]
        # A row with neither tag nor serial number may be another reading of the node itself.
        who = stranger.tag or stranger.serial
        if its and who and stranger.network in ("", case.network):
            yield f"{who} (not in the plan)", stranger.place(its[0]), True


def _is_its_unit(case: Case, stranger: Stranger) -> bool:
    """Return whether a unit that is not in the plan is that of a planned device.

    A change record brought it, or it has the tag of the missing node, whose planned unit is not heard.
    """
    if any(brings(exchange, stranger.serial) for exchange in case.examined.exchanges.values()):
        return True
    of_node = bool(stranger.tag) and spelling(stranger.tag) == spelling(case.tag)
    return of_node and state_of(case.examined, case.target)[0] != "heard"


def _planned_holders(case: Case, content: object, but: Target) -> Iterator[tuple[str, Place, bool]]:
    """Yield the same for the devices of the plan, leaving out one."""
    neighbours = [one for name in _on_its_air(case) for one in case.examined.nodes.get(name, ())]
    for b, i in (case.target, *case.siblings(), *neighbours):
        block = case.site.blocks[b]
        air = f" of {block.networks[i]}, with the same radio" if block.networks[i] != case.network else ""
        for setting in block.first_settings("address") if (b, i) != but else ():
            planned, has = block.value("planned", setting.name, i), held(case, (b, i), setting)
            value = has.value if has else planned
            if value.read and value.content == content:
                how = _how(value, planned) + has.by if has else UNREAD
                place = has.place if has else block.place("planned", setting.name, i)
                yield block.tags[i] + air + how, place, has is not None


def _moves(case: Case, content: object) -> Iterator[str]:
    """Yield what to correct at devices that were read with this address and are planned with another."""
    for b, i in (case.target, *case.siblings()):
        block = case.site.blocks[b]
        if setting := block.first_setting("address"):
            planned, has = block.value("planned", setting.name, i), held(case, (b, i), setting)
            if has and has.value.content == content and has.off_plan(planned):
                serial, place = block.serials[i], block.locations[i]
                who = ", ".join(filter(None, (block.tags[i], serial and f"serial {serial}", place)))
                holder = _read_with(case, planned, (b, i))
                then = f", once {holder} no longer holds that; until then to a spare one" if holder else ""
                words = f"{who}: set its {setting.name} from {has.value.shown} to {planned.shown}{then}"
                yield words + _radio_too(case, (b, i))


def _radio_too(case: Case, device: Target) -> str:
    """Return which radio settings of a device were read off plan as well, in words; empty if none were.

    Planned values that its gateway does not have either are left out: that has to be decided first.
    """
    b, i = device
    block, off = case.site.blocks[b], []
    for setting in block.first_settings(*NETWORK_ROLES):
        planned, has = block.value("planned", setting.name, i), held(case, device, setting)
        its = gateway_value(case.site, block.networks[i], setting.role, "found")
        moved = its is not None and its.value.read and not alike(planned, setting, its.value, its.setting)
        if has and has.off_plan(planned) and not moved:
            off.append(f"{setting.name} from {has.value.shown} to {planned.shown}")
    return f"; on the same visit its {', '.join(off)}" if off else ""


def _read_with(case: Case, planned: Value, of: Target) -> str:
    """Return which other planned device was read with the address planned for this one; empty if none was.

    A unit that is not in the plan may be gone: its reading is no reason to make way for it.
    """
    names = (name for name, _, read in _planned_holders(case, planned.content, of) if read)
    return next(names, "")


def _on_its_air(case: Case) -> list[str]:
    """Return the other networks whose gateways have its gateway's channel, air rate and identity."""
    own = [gateway_value(case.site, case.network, role, "found") for role in AIR]
    others = [network for network in case.site.gateways if network != case.network] if own[0] else []
    return [network for network in others if _has_air(case, network, own)]


def _has_air(case: Case, network: str, air: Sequence[Its | None]) -> bool:
    """Return whether the gateway of a network was read with what another was, and lacks what that lacks."""
    pairs = (
        (one, gateway_value(case.site, network, role, "found")) for role, one in zip(AIR, air, strict=True)
    )
    return all(
        one and other and one.value.read and other.value.read
        and alike(one.value, one.setting, other.value, other.setting)
        for one, other in pairs if one or other
    )  # fmt: skip


def _planned_for(case: Case, value: Value) -> list[str]:
    """Return for which node of another network an address is planned, in words; nothing if for several."""
    names = [
        f"{block.tags[i]} ({network})"
        for network, nodes in case.examined.nodes.items() if network != case.network
        for b, i in nodes if (setting := (block := case.site.blocks[b]).first_setting("address"))
        and block.value("planned", setting.name, i).content == value.content
    ]  # fmt: skip
    return [f"it is the one planned for {names[0]}"] if len(names) == 1 else []


def _how(found: Value, planned: Value) -> str:
    """Return in words whether a device is planned to hold the address that it has."""
    if not planned.read:
        return ""
    return " (as planned)" if found.content == planned.content else f" (planned {planned.shown})"


def _held_by_others(case: Case) -> Iterator[Held]:
    """Yield the addresses of the other nodes of its network, as read or set by a change record."""
    for b, i in case.siblings():
        setting = case.site.blocks[b].first_setting("address")
        if setting and (has := held(case, (b, i), setting)):
            yield has
