"""Which addresses devices are to get, and which spare addresses they may use on the way."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from audit.grouping import grouped
from audit.worklist.devices import Device
from audit.worklist.drafts import Making
from audit.worklist.held import hold_back_disputed
from audit.worklist.holders import ADDRESS, Holder, Key, Set
from audit.worklist.spares import spares_of


def spares_by_network(
    making: Making, given: Sequence[int], state: Mapping[Key, Holder]
) -> tuple[dict[str, list[Decimal]], frozenset[Decimal]]:
    """Return the spare addresses of each network, and those among them that only a person may choose.

    `given` are the addresses that a person offers.
    """
    of = grouped((device.network, device) for device in making.devices.values())
    networks = making.audited.site.plan.networks
    found = {
        network.name: spares_of(network, networks, of[network.name], state, given) for network in networks
    }
    outside = {
        spare for network in networks if (block := network.addresses) for spare in found[network.name]
        if not block.offers(spare)
    }  # fmt: skip
    return found, frozenset(outside)


def new_addresses(making: Making) -> dict[Key, Set]:
    """Return the devices that are to get another address; those planned with the same one are held back."""
    planned = grouped(
        ((device.network, device.planned.address), device)
        for device in making.in_order() if device.planned.address is not None
    )  # fmt: skip
    addresses: dict[Key, Set] = {}
    for (_, address), claimants in planned.items():
        moving = [device for device in claimants if _wants_address(making, device)]
        if moving and len(claimants) > 1:
            hold_back_disputed(making, claimants, str(address))
            continue
        addresses |= {d.key: Set(ADDRESS, d.found.address, d.planned.address) for d in moving}
    return addresses


def _wants_address(making: Making, device: Device) -> bool:
    setting = device.setting(ADDRESS)
    return (
        setting is not None
        and device.differs(setting)
        and device.found.address != device.planned.address
        and (device.order, setting.name) in making.wanted
    )
