"""Meeting: who has come to the place of a device that was not read again, and who cannot meet there."""

from __future__ import annotations

from collections.abc import Iterator

from audit.audited import Audited
from audit.model.arguments import Check
from audit.model.asked_of_values import Unique
from audit.model.roles import NETWORK_ROLES
from audit.model.worklist import NewlyWrong
from audit.worklist.devices import Device, devices
from audit.worklist.holders import ADDRESS, CHANNEL, Holder, Set, State, key_order, taken

REMEDY = (
    "See at once whether {other} has left that address: until then the two may answer as one. "
    "Re-read and record."
)


def perhaps_met(found: State, after: Audited) -> Iterator[NewlyWrong]:
    """Yield the devices that have moved to the place of one whose address was not read again.

    If the addresses of both were read again, the readback after the work shows the clash by itself.
    """
    again = {device.key: device for device in devices(after).values() if device.is_read(ADDRESS)}
    left = {key: _left(holder, again[key]) if key in again else holder for key, holder in found.items()}
    before, now = taken(found), taken(left)
    for came in sorted(again.keys() & found.keys(), key=key_order):
        beside = {key for cell in left[came].cells() for key in now[cell]}
        for stayed in sorted(beside - again.keys(), key=key_order):
            if not any(stayed in before[cell] for cell in found[came].cells()):
                yield _wrong(again[came], str(left[came].address), stayed[1])


def kept_apart(after: Audited) -> set[int]:
    """Return the findings of one address held by several, all of which were read on channels of their own.

    They cannot answer as one: such a device is off its network's radio, which is told by itself.
    """
    twice = {
        n: item.hit for n, item in enumerate(after.waiving.items)
        if item.hit.side == "found" and is_of_addresses(item.rule.check)
    }  # fmt: skip
    planned = devices(after).values() if twice else ()
    apart = set()
    for n, hit in twice.items():
        tags = {hit.node, *hit.others}
        named = [one for one in planned if one.network == hit.network and one.tag in tags]
        channels = {one.found.get(CHANNEL) for one in named if one.is_read(CHANNEL)}
        if len(channels) == len(named) == 1 + len(hit.others):
            apart.add(n)
    return apart


def is_of_addresses(check: Check) -> bool:
    """Return whether a rule looks for one address that several devices have."""
    return isinstance(check, Unique) and check.role == ADDRESS


def _wrong(came: Device, address: str, other: str) -> NewlyWrong:
    setting = came.setting(ADDRESS)
    name = setting.name if setting else ADDRESS
    return NewlyWrong(
        id=f"address-duplicate/{came.network}/{came.tag}/{name}",
        message=f"{came.network} {came.tag}: {name} {address} as left was that of {other}, "
        "which has not been read again",
        remedy=REMEDY.format(other=other),
    )


def _left(holder: Holder, again: Device) -> Holder:
    """Return a device as left: what was read again, and the rest as found."""
    for role in (ADDRESS, *NETWORK_ROLES):
        if again.is_read(role):
            holder = holder.after(Set(role, None, again.found.get(role)))
    return holder
