"""A baseline in place of a plan: its devices as blocks, each value with its line in the file."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from audit.errors import stop
from audit.grouping import grouped
from audit.model.baseline import Content, SealedDevice
from audit.model.device import DeviceType
from audit.model.mapping import DEFAULT_BLANKS
from audit.model.plan import Gateway, Network, PlanFile, SiteInfo
from audit.model.roles import NO_DRIFT_ROLES
from audit.model.site import Block
from audit.model.table import Place, Style
from audit.model.value import Values
from audit.reading.baselines import ReadBaseline
from audit.reading.identifiers import natural
from audit.reading.loaded_plan import LoadedPlan
from audit.reading.meanings import Meanings
from audit.reading.vocabulary import vocabulary
from audit.sealing.canonical import in_order, line_of

USUAL = Style(blanks=frozenset(DEFAULT_BLANKS))
"""How most readbacks write values. Read in the same style, equal texts give the same Value object."""
Entry = tuple[str, str, SealedDevice, int]
"""Network, tag, device, and the line on which it begins."""
ONE_LINE = ("location", "planned_serial", "read_at", "read_by", "read_network", "read_tag", "read_type",
            "serial", "type")  # fmt: skip
"""Members of a device that take a line each, where they are given."""


def plan_of(read: ReadBaseline, now: LoadedPlan | None) -> LoadedPlan:
    """Return a baseline as a plan without devices, which are in blocks.

    The plan as it is `now`, if one is given, has further known types, and the site's present name.
    Raises InputProblems where a network has no gateway, since no such baseline is ever sealed.
    """
    content = read.baseline.content
    types = {kind.name: kind for kind in content.device_types}
    for devices in content.devices.values():
        if all(types[device.type].device != "gateway" for device in devices.values()):
            raise stop("is not as it was sealed: a network has no gateway", "use the file that was sealed",
                       file=read.name)  # fmt: skip
    networks = [
        Network(name=n.name, gateway=_gateway(n.gateway, content.devices.get(n.name, {}).get(n.gateway)))
        for n in content.networks
    ]
    site = now.file.site if now else content.site
    file = PlanFile(
        asfound="plan/1",
        site=SiteInfo(name=site.name, formerly=site.formerly, revision=content.site.plan_revision),
        device_types=tuple(types),
        networks=tuple(networks),
    )
    words = vocabulary([*types.values(), *(now.types.values() if now else ())])
    return LoadedPlan(read.name, read.file.path, file, types, words, [], [], [], {}, {}, [], [])


def _gateway(tag: str, its: SealedDevice | None) -> Gateway:
    return Gateway(tag=tag, type=its.type, serial=its.serial) if its else Gateway(tag=tag, type="gateway")


def blocks_of(read: ReadBaseline, meanings: Meanings, *, as_planned: bool = False) -> list[Block]:
    """Return the devices of a baseline as blocks: gateways first, then nodes, by device type.

    With `as_planned`, devices that were not read have the values that were planned: by these they can be
    told apart, though nothing can be compared with them.
    """
    content = read.baseline.content
    of_type = grouped((entry[2].type, entry) for entry in _entries(content))
    types = sorted(content.device_types, key=lambda kind: kind.device != "gateway")
    return [
        _block(read.name, kind, of_type[kind.name], meanings, as_planned=as_planned)
        for kind in types if kind.name in of_type
    ]  # fmt: skip


def known_by(read: ReadBaseline, blocks: list[Block], meanings: Meanings) -> list[Block]:
    """Return the blocks of a baseline with all that is known of each device, read or planned."""
    devices = (device for its in read.baseline.content.devices.values() for device in its.values())
    if all(device.settings for device in devices):
        return blocks
    return blocks_of(read, meanings, as_planned=True)


def _entries(content: Content) -> list[Entry]:
    """Return the devices, network by network as listed, tags in the order of their numbers."""
    before = content.model_dump(mode="json", exclude={"devices"}, exclude_defaults=True) | {"devices": {}}
    line = line_of({"content": before}, ("content", "devices")) + 1  # after the line of "asfound"
    entries: list[Entry] = []
    for network in in_order(content.devices):
        devices = content.devices[network]
        line += 1
        for tag in in_order(devices) if devices else ():
            line += 1
            entries.append((network, tag, devices[tag], line))
            line += sum(_lines(devices[tag]).values()) + 1  # its closing bracket
        line += bool(devices)
    listed = {network.name: n for n, network in enumerate(content.networks)}
    of_network = grouped((entry[0], entry) for entry in entries)
    ordered = sorted(of_network, key=lambda name: listed.get(name, 0))
    return [
        entry
        for network in ordered
        for entry in sorted(of_network[network], key=lambda entry: natural(entry[1]))
    ]


def _lines(device: SealedDevice) -> dict[str, int]:
    """Return the members that a device has, each with its number of lines, those of brackets included."""
    lines = {name: 1 for name in ONE_LINE if getattr(device, name)}
    for name, group in (("planned", device.planned), ("settings", device.settings)):
        if group:
            lines[name] = len(group) + 2
    return lines


def _line(entry: Entry, name: str) -> int:
    """Return the line of a field or setting of a device, or else that of the device."""
    _, _, device, line = entry
    lines = _lines(device)
    for member in in_order(lines):
        if member == name:
            return line + 1
        if member == "settings" and name in device.settings:
            return line + 2 + in_order(device.settings).index(name)
        line += lines[member]
    return entry[3]


def _block(
    file: str, kind: DeviceType, entries: Sequence[Entry], meanings: Meanings, *, as_planned: bool
) -> Block:
    planned = {}
    columns = _columns(
        [device.settings or (device.planned if as_planned else {}) for _, _, device, _ in entries]
    )
    for setting in kind.settings:
        if setting.kind == "secret" or setting.role in NO_DRIFT_ROLES or setting.name not in columns:
            continue
        texts = columns[setting.name]
        distinct = set(texts)
        if distinct != {""}:
            usual, odd = meanings.memo(setting, USUAL), meanings.memo(setting, Style())
            values = {text: (odd if USUAL.is_blank(text) else usual)[text] for text in distinct}
            planned[setting.name] = Values(
                map(values.__getitem__, texts), {values[text] for text in distinct}
            )
    return Block(
        type=kind,
        tags=[tag for _, tag, _, _ in entries],
        serials=[device.serial for _, _, device, _ in entries],
        networks=[network for network, _, _, _ in entries],
        locations=[device.location for _, _, device, _ in entries],
        installed=[""] * len(entries),
        positions=[None] * len(entries),
        planned=planned,
        planned_place=_places(file, entries),
    )


def _columns(rows: Sequence[dict[str, str]]) -> dict[str, Sequence[str]]:
    """Return setting → its text for each device; fast if all have the same settings in the same order."""
    names = set(map(tuple, rows))
    if len(names) == 1:
        return dict(zip(next(iter(names)), zip(*(row.values() for row in rows), strict=True), strict=True))
    everything = in_order({name for some in names for name in some})
    return {name: [row.get(name, "") for row in rows] for name in everything}


def _places(file: str, entries: Sequence[Entry]) -> Callable[[int, str], Place]:
    def place(i: int, name: str) -> Place:
        _, tag, device, _ = entries[i]
        raw = device.settings.get(name) or (tag if name == "tag" else str(getattr(device, name, "")))
        return Place(file, "", _line(entries[i], name), "1", name, raw)

    return place
