"""Whether a node has its gateway's radio settings and its planned address."""

from __future__ import annotations

from typing import NamedTuple

from audit.checks.equals_gateway import Its, alike, gateway_value, unread
from audit.comparing import same
from audit.diagnosis.evidence import MOST_PLACES, Answered, NotKnown
from audit.diagnosis.examined import Case
from audit.diagnosis.gathering.address import off_plan_alone
from audit.diagnosis.gathering.beforehand import unless_beforehand
from audit.diagnosis.gathering.since import (
    Held,
    disproved,
    held,
    last_heard,
    nothing_held,
    read_when,
    when_beside,
)
from audit.diagnosis.words import percent
from audit.model.device import Setting
from audit.model.result import Slip
from audit.model.roles import NETWORK_ROLES
from audit.model.table import Place
from audit.model.value import Value
from audit.reading.values import default_value

MISKEYED = (
    "channel-differs", "air-rate-differs", "network-id-differs", "radio-off-plan", "encryption-off",
    "encryption-differs", "address-differs",
)  # fmt: skip
"""Rules whose findings say how a radio setting or address may have been mis-keyed."""

TELLING = ("network_id", "channel")
"""Settings that show to which network a node belongs; others, such as encryption, have too few values."""


class Compared(NamedTuple):
    """A radio setting of a node, and its gateway's."""

    setting: Setting
    planned: Value
    its: Its
    held: Held
    """Its value, and since which day it has it."""
    of_gateway: Held | None
    """The same for its gateway, None if that was not read."""
    read: bool = True
    """Whether the node was read; its value is what is planned for it otherwise."""

    @property
    def found(self) -> Value:
        """Its value."""
        return self.held.value

    @property
    def alike(self) -> bool:
        """Whether both are the same."""
        return alike(self.found, self.setting, self.its.value, self.its.setting)

    @property
    def words(self) -> str:
        """Both, in words."""
        planned = f"was not read, {self.found.shown} is planned"
        own = f"is {self.found.shown}{self.held.when}" if self.read else planned
        return (
            f"{self.setting.name} {own}, "
            f"the gateway {self.its.how} {self.its.value.shown}{when_beside(self.of_gateway, self.held)}"
        )


def settings(case: Case) -> Answered | NotKnown:
    """Return whether the radio settings of a node and its gateway, as found, are the same.

    An address that is not the planned one, and that no other device holds, counts as a setting that differs
    too. A difference does not count if the gateway has heard the node since: either it is gone, or it did
    not keep the node out. Nor has it any weight that both were the same before the node was lost.
    """
    compared = _compared(case)
    differing = _differing(case)
    address, own = _address_off(case)
    if differing or address:
        as_gateway = [_as_gateway(compared)] if compared and not differing else []
        words = "; ".join([*address, *(one.words for one in differing), *as_gateway])
        places = (*own, *_places(differing))[:MOST_PLACES]
        return Answered("radio-differs", words, places, planned=_unread(differing))
    gone = [
        f"{one.setting.name} {one.found.shown} {_disproved(case, one)}" for one in compared if not one.alike
    ]
    if gone:
        because = f"{'; '.join(gone)}, so that no longer counts"
        return NotKnown(f"whether its radio settings match its gateway's: {because}")
    if not compared:
        return NotKnown(f"whether its radio settings match its gateway's: {nothing_held(case)}")
    same = Answered("radio-same", _as_gateway(compared), _places(compared), planned=_unread(compared))
    return unless_beforehand(case, same, (one.held.at for one in compared))


def _as_gateway(compared: list[Compared]) -> str:
    values = ", ".join(f"{one.setting.name} {one.found.shown}{one.held.by}" for one in compared)
    return f"{values}{read_when(one.held for one in compared)}: {_as_what(compared)}"


def off_plan(case: Case) -> Answered | None:
    """Return whether the node or its gateway is off plan; None if that is not known."""
    differing = _differing(case)
    address, own = _address_off(case)
    read = all(one.read for one in differing)
    if (
        not (differing or address)
        or not all(one.planned.read for one in differing)
        or (read and _unread(differing))
    ):
        return None
    if not address and all(_gateway_moved(case, one) for one in differing):
        planned = ", ".join(f"{one.setting.name} {one.planned.shown}" for one in differing)
        its = "is not" if read else "was not read"
        words = f"{case.gateway_tag} is off plan and {case.tag} {its}: the plan has {planned}"
        return Answered("gateway-off-plan", words, _places(differing), planned=not read)
    off = [one for one in differing if not _as_planned(one)] or (differing if not address else [])
    differences = [f"{one.setting.name} is {one.found.shown}, planned {one.planned.shown}" for one in off]
    places = [case.block.planned_place(case.i, one.setting.name) for one in off]
    return Answered("node-off-plan", "; ".join([*address, *differences]), (*own, *places)[:MOST_PLACES])


def slip(case: Case) -> Answered | None:
    """Return whether a difference, in its address too, is a likely keying slip; None if there is none.

    Values that are all those of another gateway were not mis-keyed, but are just as likely a mistake.
    """
    differing = [one for one in _differing(case) if not (_as_planned(one) or one.held.change)]
    names = {one.setting.name for one in differing} | _addresses_off_plan(case)
    if not names:
        return None
    telling = any(one.setting.role in TELLING for one in differing)
    whose = _all_of(case, differing) if telling else []
    named = _likely_slip(case, names)
    if whose:
        values = ", ".join(f"{one.setting.name} {one.found.shown}" for one in differing)
        identified = any(one.setting.role == "network_id" for one in differing)
        why = ", perhaps set up for that network" if identified else ", perhaps copied from there"
        keyed = f"; or likely slip: {named.words} ({percent(named.probability)})" if named else ""
        return Answered("slip-likely", f"{values}: the same as {' and '.join(whose)}{why}{keyed}")
    if named:
        return Answered("slip-likely", f"likely slip: {named.words} ({percent(named.probability)})")
    if telling and all(_at_default(one) for one in differing):
        values = ", ".join(f"{one.setting.name} {one.found.shown}" for one in differing)
        return Answered("slip-likely", f"{values}: left at the factory setting, or lost")
    return Answered("slip-unlikely", "the difference is unlikely to be a keying slip")


def _at_default(one: Compared) -> bool:
    default = default_value(one.setting)
    return default is not None and default.content == one.found.content


def _compared(case: Case) -> list[Compared]:
    found = []
    for setting in case.block.first_settings(*NETWORK_ROLES):
        its, of_gateway = _its(case, setting.role)
        if not its or not its.value.read:
            continue
        planned = case.planned(setting)
        if own := held(case, case.target, setting):
            found.append(Compared(setting, planned, its, own, of_gateway))
        elif planned.read and of_gateway and not _heard_since(case, of_gateway):
            own = Held(planned, case.block.planned_place(case.i, setting.name), None)
            one = Compared(setting, planned, its, own, of_gateway, read=False)
            found += [one] if _gateway_moved(case, one) and not one.alike else []
    return found


def _heard_since(case: Case, of_gateway: Held) -> bool:
    """Return whether its gateway has heard a node since the gateway was read."""
    return of_gateway.day is not None and last_heard(case)[0].date() > of_gateway.day


def _differing(case: Case) -> list[Compared]:
    """Return the settings that differ from the gateway's, unless the gateway has heard the node since."""
    return [one for one in _compared(case) if not (one.alike or _disproved(case, one))]


def _disproved(case: Case, one: Compared) -> str:
    """Return how a difference is disproved, in words; empty if it is not.

    If the gateway is not known to be as planned, nothing is disproved: it may have changed since.
    """
    block, i = case.gateway
    planned = block.value("planned", one.its.setting.name, i)
    as_planned = planned.read and same(planned, one.its.value, one.its.setting)
    return disproved(case, one.held) if as_planned else ""


def _its(case: Case, role: str) -> tuple[Its | None, Held | None]:
    """Return what its gateway has, as read or set since; if neither is known, what is planned."""
    gateway = case.site.gateways[case.network]
    if setting := case.gateway[0].first_setting(role):
        has = held(case, gateway, setting)
        if has:
            return Its(has.value, setting, "has", has.place), has
    planned = gateway_value(case.site, case.network, role, "planned")
    return (planned._replace(how=unread(*case.gateway, planned.setting)) if planned else None), None


def _places(compared: list[Compared]) -> tuple[Place, ...]:
    both = (place for one in compared for place in (one.held.place, one.its.place))
    return tuple(dict.fromkeys(both))[:MOST_PLACES]


def _unread(compared: list[Compared]) -> bool:
    return any(one.its.how != "has" or not one.read for one in compared)


def _as_what(compared: list[Compared]) -> str:
    if _unread(compared):
        return "as planned for its gateway, which was not read"
    its = (one.of_gateway for one in compared if one.of_gateway and one.of_gateway.day != one.held.day)
    return f"the same as its gateway{read_when(its)}"


def _as_planned(one: Compared) -> bool:
    return one.planned.read and same(one.planned, one.found, one.setting)


def _gateway_moved(case: Case, one: Compared) -> bool:
    """Return whether a node is as planned and its gateway, as read, is not."""
    block, i = case.gateway
    planned = block.value("planned", one.its.setting.name, i)
    return _as_planned(one) and planned.read and not same(planned, one.its.value, one.its.setting)


def _address_off(case: Case) -> tuple[list[str], tuple[Place, ...]]:
    """Return in words, with places, that its address is off plan and no other device has it; else nothing."""
    off = off_plan_alone(case)
    if not off:
        return [], ()
    setting, has = off
    words = f"{setting.name} is {has.value.shown}{has.when}, planned {case.planned(setting).shown}"
    return [words], (has.place, case.block.place("planned", setting.name, case.i))


def _addresses_off_plan(case: Case) -> set[str]:
    """Return the names of the address settings that are not as planned."""
    read = ((setting, held(case, case.target, setting)) for setting in case.block.settings("address"))
    return {s.name for s, own in read if own and own.off_plan(case.planned(s)) and not disproved(case, own)}


def _all_of(case: Case, differing: list[Compared]) -> list[str]:
    """Return the other gateways that have all of these values, as read or, if not read, as planned."""
    found = []
    for network in case.site.gateways:
        held_there = [
            (one, gateway_value(case.site, network, one.setting.role, "found")) for one in differing
        ]
        if network != case.network and all(
            its and its.value.read and alike(one.found, one.setting, its.value, its.setting)
            for one, its in held_there
        ):
            unread = any(its and its.how != "has" for _, its in held_there)
            found.append(f"{case.examined.gateway_of(network)}{' (planned; not read)' if unread else ''}")
    return found


def _likely_slip(case: Case, names: set[str]) -> Slip | None:
    """Return how one of these settings was probably mis-keyed."""
    own = (one for one in case.noticed(MISKEYED) if not names.isdisjoint(one.found.hit.settings))
    return next((slip for one in own if one.naming for slip in one.naming.slips if slip.likely), None)
