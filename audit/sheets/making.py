"""Making sheets from a plan.

Only tags, locations, networks and device types are taken from the plan, so that a blank sheet cannot show a
planned value. Planned values come from the stage that compares them, and only if they are asked for.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence

from audit.asking import check_networks, in_turn
from audit.model.device import DeviceType
from audit.pairing.planned_twice import each_once
from audit.pairing.planning import planned_blocks
from audit.reading.identifiers import bare
from audit.reading.loaded_plan import Group, LoadedPlan
from audit.reading.meanings import Meanings
from audit.reading.vocabulary import Vocabulary, vocabulary
from audit.sheets.headings import heading, where_to_read
from audit.sheets.model import Book, Column, Device, Sheet
from audit.sheets.ordering import in_one_order


def book_of(plan: LoadedPlan, networks: Sequence[str] = (), *, with_plan: bool = False) -> Book:
    """Return the sheets for a plan, or for some of its networks. Raises InputProblems."""
    known = [network.name for network in plan.file.networks]
    check_networks(plan, networks)
    words = vocabulary(plan.types.values())
    kinds = {name: _without_codes(kind) for name, kind in plan.types.items()}
    entries = [*each_once(plan.gateways), *each_once(plan.nodes)]
    planned = _planned(plan, entries) if with_plan else [{}] * len(entries)
    devices = [
        (group.networks[e], _device(kinds[group.types[e]], group, e, texts))
        for (group, e), texts in zip(entries, planned, strict=True)
    ]
    wanted = [name for name in known if name in networks or not networks]
    by_network = {name: [(net, device) for net, device in devices if net == name] for name in wanted}
    sheets = [_sheet(name, by_network[name], words) for name in wanted]
    whole = _sheet("", [one for name in wanted for one in by_network[name]], words)
    site = plan.file.site
    return Book(site.name, site.revision, sheets, whole, with_plan)


def _without_codes(kind: DeviceType) -> DeviceType:
    """Return a device type without the settings that hold access codes: no later step sees these."""
    settings = tuple(setting for setting in kind.settings if setting.kind != "secret")
    return kind.model_copy(update={"settings": settings})


def _device(kind: DeviceType, group: Group, entry: int, planned: Mapping[str, str]) -> Device:
    tag, location = (bare(group.text(entry, name)) for name in ("tag", "location"))
    return Device(tag, location, kind, planned)


def _sheet(network: str, devices: Sequence[tuple[str, Device]], words: Vocabulary) -> Sheet:
    """Return a sheet; the order of its columns is that of the commonest type of node."""
    count = Counter(device.type.name for _, device in devices)
    kinds = {device.type.name: device.type for _, device in devices}
    first = sorted(kinds.values(), key=lambda kind: (kind.device == "gateway", -count[kind.name]))
    names = in_one_order([in_turn(kind.settings) for kind in first])
    return Sheet(network, devices, [_column(name, first, words) for name in names])


def _column(name: str, kinds: Sequence[DeviceType], words: Vocabulary) -> Column:
    having = {kind.name: setting for kind in kinds if (setting := kind.setting(name))}
    text = heading(list(having.values()), words)
    return Column(text, where_to_read(having.items(), text), having)


def _planned(plan: LoadedPlan, devices: Sequence[tuple[Group, int]]) -> list[dict[str, str]]:
    """Return what is planned for each device: setting → text."""
    found: list[dict[str, str]] = []
    of_type = {block.type.name: block for block in planned_blocks(plan, Meanings())}
    turn: Counter[str] = Counter()
    for group, e in devices:  # a block holds the devices of its type in this order
        kind = group.types[e]
        i, turn[kind] = turn[kind], turn[kind] + 1
        shown = {name: values[i].shown for name, values in of_type[kind].planned.items()}
        found.append({name: text for name, text in shown.items() if name not in plan.words.secrets})
    return found
