"""Asking: what a person is asked to read at each device, in the order in which the device shows it.

Settings that hold access codes are never asked for, whichever device type calls them so; whether the factory
code was refused is.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from audit.errors import InputProblems, Problem, nearest, stop
from audit.model.device import DeviceType, Setting
from audit.model.site import Block
from audit.model.value import BLANK, Value
from audit.planning import planned_blocks
from audit.reading.loaded_plan import LoadedPlan
from audit.reading.meanings import Meanings
from audit.reading.values import bare

AT_A_NODE = ("display", "label")
"""Where settings are read by who stands at a node; the others come from the gateway, host or documents."""
AT_A_GATEWAY = (*AT_A_NODE, "gateway")


@dataclass(frozen=True, slots=True)
class AskedDevice:
    """A planned device as it is gone to."""

    network: str
    tag: str
    type: DeviceType
    serial: str
    """As planned; empty where it is not known."""
    location: str
    planned: Mapping[str, Value]
    """Setting → planned value, where there is one. No access codes."""


def asked_devices(plan: LoadedPlan, network: str | None = None) -> list[AskedDevice]:
    """Return the devices of a plan, or of one network, in the plan's order, gateways before their nodes.

    Raises InputProblems where a planned text is no value, where a tag stands twice in a network, since
    entries could not tell the two apart, and for a network that the plan does not have.
    """
    names = [one.name for one in plan.file.networks]
    if network is not None and network not in names:
        raise stop(f"--network {network!r}: the plan has no such network", nearest(network, names))
    order = _order(plan)
    devices = [
        _device(block, i, plan.words.secrets)
        for block in planned_blocks(plan, Meanings())
        for i in range(len(block))
        if network in (None, block.networks[i])
    ]
    return sorted(devices, key=lambda one: (names.index(one.network), order[one.network, one.tag]))


def asked_settings(kind: DeviceType, secrets: frozenset[str]) -> list[Setting]:
    """Return the settings that are read at a device of a type, in display order, without access codes."""
    places = AT_A_GATEWAY if kind.device == "gateway" else AT_A_NODE
    return [
        setting
        for setting in kind.settings
        if setting.kind != "secret" and setting.name not in secrets and setting.read_at in places
    ]


def _device(block: Block, i: int, secrets: frozenset[str]) -> AskedDevice:
    planned = {
        setting.name: value
        for setting in asked_settings(block.type, secrets)
        if (value := block.value("planned", setting.name, i)) is not BLANK and value.read
    }
    return AskedDevice(
        block.networks[i], block.tags[i], block.type, block.serials[i], block.locations[i], planned
    )


def _order(plan: LoadedPlan) -> dict[tuple[str, str], int]:
    """Return network and tag → rank in the plan. Raises InputProblems for tags that stand twice."""
    order: dict[tuple[str, str], int] = {}
    problems: list[Problem] = []
    for group in [*plan.gateways, *plan.nodes]:
        tags: Sequence[str] = group.table.texts("tag")
        for entry, (name, text) in enumerate(zip(group.networks, tags, strict=True)):
            tag = bare(text)
            if (name, tag) in order:
                message = f"the tag {tag!r} stands twice in network {name!r}; entries could not tell the two apart"
                problems.append(group.table.place(entry, "tag").problem(message, "give each its own tag"))
            order.setdefault((name, tag), len(order))
    if problems:
        raise InputProblems(problems)
    return order
