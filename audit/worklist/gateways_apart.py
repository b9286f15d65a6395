"""Gateways that are to get what another one still has: that one changes first, or the step warns of it."""

from __future__ import annotations

from audit.grouping import grouped
from audit.worklist.devices import Device
from audit.worklist.drafts import Draft, Making, joined, step_mark
from audit.worklist.holders import Set
from audit.worklist.radio import OWN
from audit.worklist.visits import steps_behind


def keep_gateways_apart(making: Making) -> None:
    """Let a gateway wait until another one has left the channel or identity that it is to get.

    If they wait for each other, like two that were swapped, one of them has to change too early. A gateway
    that is off its plan and is not set, because its change is held back for instance, stays where it is.
    """
    gateways = {
        n: draft for n, draft in enumerate(making.drafts)
        if draft.sets and draft.device and draft.device.gateway
    }  # fmt: skip
    devices = making.gateways.values()
    leaving = grouped(
        ((one.role, one.before), n) for n, draft in gateways.items() for one in draft.sets if one.role in OWN
    )
    for n, comes in gateways.items():
        gets = [
            (f"{change.label} {change.after}", one, leaving.get((one.role, one.after), ()))
            for change, one in zip(comes.changes, comes.sets, strict=True)
        ]
        shared = grouped((other, words) for words, _, leavers in gets for other in leavers)
        for other, words in sorted(shared.items()):
            device = gateways[other].device
            if device and n in steps_behind(making)[other]:
                _hold(comes, f"{device.tag} also has {' and '.join(words)} until step {step_mark(other)}")
            else:
                comes.needs.add(other)
        for device in devices:
            stay = [
                words for words, one, leavers in gets
                if _is_off_plan_at(device, one)
                and not any(gateways[other].device is device for other in leavers)
            ]  # fmt: skip
            if stay and device is not comes.device:
                _hold(comes, f"{device.tag} also has {' and '.join(stay)}, and stays there")


def _hold(draft: Draft, what: str) -> None:
    draft.hold = joined([draft.hold, f"{what}: outage of both networks agreed"])


def _is_off_plan_at(device: Device, one: Set) -> bool:
    """Tell whether a gateway shows the channel or identity that another is to get, and another is planned."""
    setting = device.setting(one.role)
    here = one.role in OWN and device.found.get(one.role) == one.after
    return here and setting is not None and device.differs(setting)
