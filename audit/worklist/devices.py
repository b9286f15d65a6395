"""The devices of a site as they were found, as the work list sees them."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Hashable, Mapping
from dataclasses import dataclass, replace

from audit.checking import Found
from audit.checks.disagreeing import perhaps_as_planned
from audit.comparing import same
from audit.folding.undated import ASPECTS
from audit.model.base import Position
from audit.model.device import Setting
from audit.model.roles import NETWORK_ROLES
from audit.model.site import Block, Site
from audit.model.value import Value, Values
from audit.pairing.stating import measured_in
from audit.reading import units
from audit.reading.values import number_of
from audit.run import Audited
from audit.worklist.holders import ADDRESS, CHANNEL, Holder, Key

Order = tuple[int, int]
"""Block and index of a device."""
Named = tuple[Order, str]
"""A device and the name of one of its settings."""
UNPLANNED = "not in the plan"
SILENT_RULE = "silent-node"


@dataclass(frozen=True, slots=True)
class Device:
    """A planned device with what it holds as found, and what it is planned to hold."""

    order: Order
    key: Key
    block: Block
    silent: bool
    found: Holder
    """As found; where it was not read, as planned."""
    planned: Holder

    @property
    def network(self) -> str:
        """Name of its network."""
        return self.key[0]

    @property
    def tag(self) -> str:
        """Its tag."""
        return self.key[1]

    @property
    def serial(self) -> str:
        """Its serial number, as planned."""
        return self.block.serials[self.order[1]]

    @property
    def location(self) -> str:
        """Where it stands; its tag where the plan does not say."""
        return self.block.locations[self.order[1]] or self.tag

    @property
    def position(self) -> Position | None:
        """Its position, where the plan has one."""
        return self.block.positions[self.order[1]]

    @property
    def read(self) -> bool:
        """Whether it stands in the readback at all."""
        return bool(self.block.rows and self.block.rows[self.order[1]])

    def setting(self, role: str) -> Setting | None:
        """Return its setting with a role, the first where it has several inputs."""
        return next(iter(self.block.settings(role)), None)

    def value(self, side: str, setting: Setting) -> Value:
        """Return what a setting is on one side."""
        return self.block.value(side, setting.name, self.order[1])

    def is_read(self, role: str) -> bool:
        """Tell whether the readback shows its setting of a role."""
        setting = self.setting(role)
        return setting is not None and self.value("found", setting).read

    def shown(self, role: str) -> str:
        """Return how the found value of a role is written, or the planned one where it was not read."""
        setting = self.setting(role)
        if setting is None:
            return ""
        value = self.value("found", setting)
        return value.shown if value.read else f"{self.value('planned', setting).shown} (planned, not read)"

    def differs(self, setting: Setting) -> bool:
        """Tell whether a setting is planned, was read, and is another than planned."""
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


def wanted(audited: Audited, unclear: frozenset[Named]) -> dict[Named, list[int]]:
    """Return device and setting → the findings that no waiver excuses, and that ask for it to be changed.

    Nothing is set to what the plan says where the plan itself has to be mended first, nor where it is not
    known yet what was read.
    """
    items, waived = audited.waiving.items, audited.waiving.waived
    found: dict[Named, list[int]] = defaultdict(list)
    doubtful = unclear | {
        (items[n].hit.order, name)
        for n, cause in audited.causes.items()
        if cause not in waived and (
            _is_not_known(items[cause])
            or (items[cause].hit.side == "planned" and items[n].rule.check.kind == "equals-plan")
        )
        for name in items[n].hit.settings
    }  # fmt: skip
    for n, item in enumerate(items):
        cause = audited.causes.get(n, n)
        excused = n in waived or cause in waived or items[cause].hit.side == "planned"
        if not excused and item.hit.side == "found" and item.hit.order[0] < len(audited.site.blocks):
            for name in item.hit.settings if item.hit.node else ():
                if (item.hit.order, name) not in doubtful:
                    found[item.hit.order, name].append(n)
    return dict(found)


def never_shown(audited: Audited) -> frozenset[Named]:
    """Return device and setting where what was read is nothing that the device's display can show.

    Until it is read again nobody knows what to change, or what to set back. A waiver says that it is shown.
    """
    blocks, waived = audited.site.blocks, audited.waiving.waived
    return frozenset(
        (item.hit.order, name)
        for n, item in enumerate(audited.waiving.items)
        if n not in waived and item.hit.side == "found" and item.hit.order[0] < len(blocks)
        for name in item.hit.settings if item.hit.node
        if _beyond_limits(item) or _of_another_length(blocks[item.hit.order[0]], item.hit.order[1], name)
    )  # fmt: skip


def of_unknown_unit(audited: Audited, odd: Collection[Named]) -> frozenset[Named]:
    """Return device and setting of numbers beside a unit that was not read clearly, or is among the `odd`.

    They may be right in that unit, so they are read again with it.
    """
    return frozenset(
        ((b, i), setting.name)
        for b, block in enumerate(audited.site.blocks)
        for selector in block.settings("unit") if selector.name in block.planned
        for i, value in enumerate(block.found.get(selector.name, ()))
        if value.state == "unclear" or ((b, i), selector.name) in odd
        for setting in measured_in(block, selector, i) if block.found[setting.name][i].read
    )  # fmt: skip


def in_doubt(audited: Audited) -> frozenset[Named]:
    """Return device and setting of readings that disagree, where the newer one may well be as planned.

    Those that a whole file disagrees on wait for what is said of the file.
    """
    items, waived = audited.waiving.items, audited.waiving.waived
    return frozenset(
        (item.hit.order, name)
        for n, item in enumerate(items)
        if n not in waived and item.rule.check.kind == "evidence" and item.rule.check.what in ASPECTS
        if (cause := audited.causes.get(n)) is None or cause in waived or not _is_not_known(items[cause])
        for name in item.hit.settings
        if perhaps_as_planned(audited.site.blocks[item.hit.order[0]], item.hit.order[1], name)
    )


def as_unread(audited: Audited, named: Collection[Named]) -> Audited:
    """Return a site in which some settings count as unclear."""
    blocks = list(audited.site.blocks)
    of_column: dict[tuple[int, str], list[int]] = defaultdict(list)
    for (b, i), name in named:
        of_column[b, name].append(i)
    for (b, name), devices_of in of_column.items():
        column = list(blocks[b].found[name])
        for i in devices_of:
            column[i] = replace(column[i], content=None, state="unclear")
        blocks[b] = replace(blocks[b], found={**blocks[b].found, name: Values(column)})
    return replace(audited, site=replace(audited.site, blocks=blocks))


def _beyond_limits(item: Found) -> bool:
    check = item.rule.check
    return check.kind == "within-limits" and check.limits == "device"


def _of_another_length(block: Block, i: int, name: str) -> bool:
    """Tell whether a text is too long or short for its field, which the planned one fills."""
    setting = block.type.setting(name)
    found, planned = (block.value(side, name, i) for side in ("found", "planned"))
    full = setting is not None and setting.kind == "text" and setting.digits == len(planned.shown)
    return full and found.read and len(found.shown) != len(planned.shown)


def is_remark(item: Found) -> bool:
    """Tell whether a finding is about rows that hold no reading and name no device."""
    return item.rule.check.kind == "identity" and item.rule.check.what == "no-reading"


def _is_not_known(cause: Found) -> bool:
    """Tell whether a cause leaves open what was read: how or where a file was written, or which is newer."""
    check = cause.rule.check
    return check.kind == "fold" and check.pattern in ("unclear-alike", "undated", "another-site")


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
            channel = of.get(CHANNEL, known[site.gateways[network]].found.radio.get(CHANNEL))
            radio = {} if channel is None else {CHANNEL: channel}
            # Several may have neither tag nor serial number, and each of them holds its address.
            key = (network, f"{stranger.tag or 'a device'} ({UNPLANNED})", f"{stranger.serial} #{n}")
            found[key] = Holder(network, radio=radio, address=of[ADDRESS], planned=False)
    return found


def _device(site: Site, block: Block, order: Order, key: Key, *, silent: bool) -> Device:
    i, network = order[1], key[0]
    unit_of = _gateway_units(site, network)
    contents: dict[str, dict[str, Hashable]] = {"planned": {}, "found": {}}
    for side, of_role in contents.items():
        for role in (ADDRESS, *NETWORK_ROLES):
            for setting in block.settings(role)[:1]:
                value = block.value(side, setting.name, i)
                if value.read:
                    of_role[role] = _content(value, setting, unit_of.get(role, setting.unit))
    planned, found = contents["planned"], contents["found"]
    also = {planned.get(ADDRESS)} if silent else set()
    holders = [
        Holder(network, block.gateway, {r: c for r, c in of.items() if r != ADDRESS}, of.get(ADDRESS), extra)
        for of, extra in (
            ({**planned, **found}, frozenset(also - {None, found.get(ADDRESS)})),
            (planned, frozenset()),
        )
    ]
    return Device(order, key, block, silent, *holders)


def _gateway_units(site: Site, network: str) -> Mapping[str, str]:
    """Return role → the unit in which a network's gateway shows it."""
    b, _ = site.gateways[network]
    return {s.role: s.unit for s in site.blocks[b].type.settings if s.role in NETWORK_ROLES}


def _content(value: Value, setting: Setting, unit: str) -> Hashable:
    """Return a value so that equal ones are equal, in whatever units and kinds their devices show them."""
    number = number_of(value, setting)
    if number is None:
        return value.content
    converted = None if units.equal(setting.unit, unit) else units.convert(number, setting.unit, unit)
    return number if converted is None else converted
