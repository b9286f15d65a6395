"""Planned blocks: the plan's devices grouped by type, with a column of values for each setting."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Collection, Iterable, Sequence
from dataclasses import replace
from functools import partial
from itertools import accumulate

from audit.model.base import Position
from audit.model.device import DeviceType, Setting
from audit.model.plan import PlannedObstacle
from audit.model.site import Block, PlannedAgain
from audit.model.table import Place
from audit.model.value import BLANK, Value, Values
from audit.pairing.contradicted import Part, contradicted
from audit.pairing.planned_twice import Entry, Repeats, left_out, planned_again, planned_twice
from audit.reading.identifiers import all_bare, bare
from audit.reading.loaded_plan import INLINE, Group, LoadedPlan
from audit.reading.meanings import Meanings
from audit.reading.obstacles import of_text
from audit.reading.planned_defaults import Inherited, default_text, gateways_texts

Default = tuple[str, Place] | None
Defaults = dict[str, dict[str, Default]]
"""Setting → network → what a device gets where its own cell is empty."""


def planned_blocks(plan: LoadedPlan, meanings: Meanings) -> list[Block]:
    """Return the planned devices as blocks: gateways first, then nodes, by device type."""
    blocks: list[Block] = []
    given = gateways_texts(plan)
    repeats = planned_twice(plan.nodes)
    for groups, inherited, twice in ((plan.gateways, {}, {}), (plan.nodes, given, repeats)):
        behind = left_out(twice)
        for kind in plan.types.values():
            parts = _parts(groups, kind.name, behind)
            if parts:
                block = _block(plan, kind, parts, inherited, meanings)
                again = _again(groups, parts, twice, plan.words.secrets)
                beside = contradicted(parts, kind, meanings)
                again |= {i: [*again.get(i, ()), *others] for i, others in beside.items()}
                blocks.append(replace(block, again=again) if again else block)
    return blocks


def _parts(groups: Sequence[Group], name: str, repeats: Collection[Entry]) -> list[Part]:
    parts: list[Part] = []
    several = {entry.group for entry in repeats}
    for g, group in enumerate(groups):
        types = set(group.types)
        if types == {name} and g not in several:
            parts.append((group, range(len(group.types))))
        elif name in types:
            entries = [e for e, kind in enumerate(group.types) if kind == name and (g, e) not in repeats]
            if entries:
                parts.append((group, entries))
    return parts


def _again(
    groups: Sequence[Group], parts: Iterable[Part], repeats: Repeats, secrets: Collection[str]
) -> dict[int, list[PlannedAgain]]:
    """Return device of a block → where else it is in the plan."""
    if not repeats:
        return {}
    numbers = {id(group): g for g, group in enumerate(groups)}
    entries = [Entry(numbers[id(group)], e) for group, of_one in parts for e in of_one]
    return {
        i: planned_again(groups, entry, repeats[entry], secrets)
        for i, entry in enumerate(entries) if entry in repeats
    }  # fmt: skip


def _block(
    plan: LoadedPlan,
    kind: DeviceType,
    parts: list[Part],
    inherited: Inherited,
    meanings: Meanings,
) -> Block:
    field = partial(_field, parts)
    networks = [group.networks[e] for group, entries in parts for e in entries]
    defaults: Defaults = {
        setting.name: {
            network: default_text(plan, kind, setting, network, inherited)
            for network in dict.fromkeys(networks)
        }
        for setting in kind.settings
    }
    planned = {}
    for setting in kind.settings:
        values = _column(plan, setting, parts, defaults[setting.name], meanings)
        if values.count(BLANK) < len(values):
            planned[setting.name] = values
    return Block(
        type=kind,
        tags=field("tag"),
        serials=field("serial"),
        networks=networks,
        locations=field("location"),
        installed=field("installed_on"),
        positions=_positions([field(name) for name in Position.model_fields]),
        planned=planned,
        planned_place=_places(parts, defaults),
        response_times=field("response_time_s"),
        duties=field("duties"),
        obstacles=_obstacles(field("obstacles")),
    )


def _field(parts: list[Part], name: str) -> list[str]:
    """Return what the devices of a block have in a field that is no setting."""
    found: list[str] = []
    for group, entries in parts:
        if group.further:
            found.extend(bare(group.text(e, name)) for e in entries)
        elif name in group.table.columns:
            texts = group.table.texts(name)
            found.extend(all_bare(texts if len(entries) == len(texts) else [texts[e] for e in entries]))
        else:
            found.extend([""] * len(entries))
    return found


def _positions(columns: Sequence[Sequence[str]]) -> list[Position | None]:
    """Return the positions of devices, from a column for each part; a height alone is no position."""
    if not any(map(any, columns)):
        return [None] * len(columns[0])
    names = list(Position.model_fields)
    given = [
        {n: float(t) for n, t in zip(names, texts, strict=True) if t} for texts in zip(*columns, strict=True)
    ]
    return [Position.model_validate(parts) if parts.keys() - {"height_m"} else None for parts in given]


def _obstacles(texts: Sequence[str]) -> Sequence[Sequence[PlannedObstacle]]:
    """Return the obstacles of each device; none at all if no device has any."""
    return [of_text(text) for text in texts] if any(texts) else ()


def _column(
    plan: LoadedPlan,
    setting: Setting,
    parts: list[Part],
    defaults: dict[str, Default],
    meanings: Meanings,
) -> Values:
    """Return the planned values of a setting: each device's own, or its network's default where empty."""
    usual = {
        network: _default_value(plan, setting, default, meanings) for network, default in defaults.items()
    }
    values: list[Value] = []
    among: set[Value] = set()
    for group, entries in parts:
        column = group.table.columns.get(setting.name)
        if group.further:
            stated = [_stated(group, e, setting, meanings) or usual[group.networks[e]] for e in entries]
            values.extend(stated)
            among.update(stated)
            continue
        if column is None:
            values.extend(usual[group.networks[e]] for e in entries)
            among.update(usual.values())
            continue
        own = meanings.column(column, setting)
        among |= set(own.among)
        if BLANK not in own.among and len(own) == len(entries):
            values.extend(own)
        else:
            blank = {text for text in set(column.texts) if not text.strip()}
            among.update(usual.values())
            values.extend(usual[group.networks[e]] if column.texts[e] in blank else own[e] for e in entries)
    return Values(values, among)


def _stated(group: Group, entry: int, setting: Setting, meanings: Meanings) -> Value | None:
    """Return the value that a device's own row states, or else that of a further table; None if none does."""
    row = group.stating(entry, setting.name)
    if not row.text(setting.name).strip():
        return None
    return meanings.value(row.table.columns[setting.name], setting, row.entry)


def _default_value(plan: LoadedPlan, setting: Setting, default: Default, meanings: Meanings) -> Value:
    if default is None or not default[0]:
        return BLANK
    text = default[0]
    if setting.kind == "secret":
        return meanings.code(plan.codes[text])
    return meanings.memo(setting, INLINE)[text]


def _places(parts: list[Part], defaults: Defaults) -> Callable[[int, str], Place]:
    ends = list(accumulate(len(entries) for _, entries in parts))

    def place(i: int, name: str) -> Place:
        part = bisect_right(ends, i)
        group, entries = parts[part]
        entry = entries[i - ends[part]]  # counted from the part's end
        row = group.stating(entry, name)
        if row.text(name).strip():
            return row.place(name)
        default = defaults.get(name, {}).get(group.networks[entry])
        return default[1] if default else group.table.place(entry, name)

    return place
