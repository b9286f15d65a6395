"""The devices of a site as they were found, in the form that the work list needs."""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Mapping
from dataclasses import dataclass

from audit.audited import Audited
from audit.comparing import same
from audit.model.device import Setting
from audit.model.in_block import InBlock
from audit.model.roles import NETWORK_ROLES
from audit.model.site import Block, Site
from audit.model.value import Value
from audit.reading import units
from audit.reading.values import number_of
from audit.worklist.holders import ADDRESS, Holder, Key

Order = tuple[int, int]
"""Block and index of a device."""
Named = tuple[Order, str]
"""A device and the name of one of its settings."""
UNPLANNED = "not in the plan"
SILENT_RULE = "silent-node"


@dataclass(frozen=True, slots=True)
class Device(InBlock):
    """A planned device with its radio settings and address, as found and as planned."""

    order: Order
    key: Key
    found: Holder
    """As found or, if not read, as planned."""
    planned: Holder

    @property
    def gateway(self) -> bool:
        """Whether it is a gateway."""
        return self.block.gateway

    @property
    def location(self) -> str:
        """Its location; its tag if the plan has none."""
        return self.block.locations[self.i] or self.tag

    @property
    def read(self) -> bool:
        """Whether it is in the readback at all."""
        return bool(self.block.rows_read(self.i))

    def setting(self, role: str) -> Setting | None:
        """Return its setting with a role, the first if it has several inputs."""
        return self.block.first_setting(role)

    def value(self, side: str, setting: Setting) -> Value:
        """Return the value of a setting, found or planned."""
        return self.block.value(side, setting.name, self.i)

    def is_read(self, role: str) -> bool:
        """Return whether the readback shows its setting of a role."""
        setting = self.setting(role)
        return setting is not None and self.value("found", setting).read

    def shown(self, role: str) -> str:
        """Return how the found value of a role is written, or the planned one if it was not read."""
        setting = self.setting(role)
        if setting is None:
            return ""
        value = self.value("found", setting)
        return value.shown if value.read else f"{self.value('planned', setting).shown} (planned, not read)"

    def differs(self, setting: Setting) -> bool:
        """Return whether a setting is planned, was read, and is not as planned."""
        planned, found = self.value("planned", setting), self.value("found", setting)
        return planned.read and found.read and not same(found, planned, setting)


def devices(audited: Audited) -> dict[Order, Device]:
    """Return the planned devices of a site, by block and index."""
    site = audited.site
    silent = {item.hit.order for item in audited.waiving.items if item.rule.id == SILENT_RULE}
    found: dict[Order, Device] = {}
    times: Counter[Key] = Counter()
    for b, block in enumerate(site.blocks):
        for i in range(len(block)):
            key = (block.networks[i], block.tags[i], block.serials[i])
            times[key] += 1
            if times[key] > 1:  # the plan has it twice, which is a finding of its own
                key = (*key[:2], f"{key[2]} #{times[key]}")
            found[b, i] = _device(site, block, (b, i), key, silent=(b, i) in silent)
    return found


def strangers(site: Site, known: Mapping[Order, Device]) -> dict[Key, Holder]:
    """Return the devices that are not in the plan, each in every network that it may be in."""
    settings = {s.name: s for block in reversed(site.blocks) for s in block.type.settings}
    names = [network.name for network in site.plan.networks]
    found = {}
    for n, stranger in enumerate(site.strangers, 1):
        of = {
            s.role: _content(value, s, s.unit)
            for name, value in stranger.found.items() if value.read and (s := settings.get(name))
        }  # fmt: skip
        if of.get(ADDRESS) is None:
            continue
        for network in [stranger.network] if stranger.network in names else names:
            like = known[site.gateways[network]].found.radio
            radio = {
                role: of.get(role, like.get(role)) for role in NETWORK_ROLES if role in of or role in like
            }
            # Several may have neither tag nor serial number, yet each of them holds its address.
            key = (network, f"{stranger.tag or 'a device'} ({UNPLANNED})", f"{stranger.serial} #{n}")
            found[key] = Holder(network, radio=radio, address=of[ADDRESS], planned=False)
    return found


def _device(site: Site, block: Block, order: Order, key: Key, *, silent: bool) -> Device:
    i, network = order[1], key[0]
    unit_of = _gateway_units(site, network)
    planned, found = (_contents(block, side, i, unit_of) for side in ("planned", "found"))
    also = frozenset({planned.get(ADDRESS)} if silent else ()) - {None, found.get(ADDRESS)}
    as_found = _holder(network, block, planned | found, also)
    return Device(block, i, order, key, as_found, _holder(network, block, planned))


def _contents(block: Block, side: str, i: int, unit_of: Mapping[str, str]) -> dict[str, Hashable]:
    """Return role → content, of the address and the radio settings that one side of a device has."""
    return {
        s.role: _content(value, s, unit_of.get(s.role, s.unit))
        for s in block.first_settings(ADDRESS, *NETWORK_ROLES)
        if (value := block.value(side, s.name, i)).read
    }


def _holder(
    network: str, block: Block, of_role: Mapping[str, Hashable], also: frozenset[Hashable] = frozenset()
) -> Holder:
    radio = {role: content for role, content in of_role.items() if role != ADDRESS}
    return Holder(network, block.gateway, radio, of_role.get(ADDRESS), also)


def _gateway_units(site: Site, network: str) -> Mapping[str, str]:
    """Return role → the unit in which a network's gateway shows it."""
    b, _ = site.gateways[network]
    return {s.role: s.unit for s in site.blocks[b].type.settings if s.role in NETWORK_ROLES}


def _content(value: Value, setting: Setting, unit: str) -> Hashable:
    """Return a value in a form in which equal values are equal, whatever units their devices show."""
    number = number_of(value, setting)
    if number is None:
        return value.content
    converted = None if units.equal(setting.unit, unit) else units.convert(number, setting.unit, unit)
    return number if converted is None else converted
