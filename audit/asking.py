"""Asking: what a person is asked to read at each device, in the order in which the device shows it.

Settings that hold an access code in any device type are never asked for. Whether the factory code was refused
is asked after everything else that the device shows, since trying a code may lock the menu. What is read
elsewhere comes last.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from audit.errors import Problem, nearest, stop, stop_if
from audit.model.device import AT_THE_DEVICE, DeviceType, Setting
from audit.model.in_block import InBlock
from audit.model.roles import ASKED_LAST
from audit.model.value import Value
from audit.pairing.planning import planned_blocks
from audit.reading.identifiers import bare
from audit.reading.loaded_plan import LoadedPlan
from audit.reading.meanings import Meanings

AT_A_GATEWAY = (*AT_THE_DEVICE, "gateway")
"""Where somebody at a gateway reads settings; its own list is there too."""


@dataclass(frozen=True, slots=True)
class AskedDevice(InBlock):
    """A planned device as a person comes to it."""

    settings: Sequence[Setting]
    """What is read at it, in display order, without access codes."""
    elsewhere: Sequence[Setting] = ()
    """Those of its settings that have to be read elsewhere: at its gateway, at the host, in a document."""

    @property
    def type(self) -> DeviceType:
        """Its device type."""
        return self.block.type

    def planned(self, setting: Setting) -> Value | None:
        """Return what is planned for one of its settings, None if nothing is."""
        value = self.block.value("planned", setting.name, self.i)
        asked = (*self.settings, *self.elsewhere)
        return value if value.read and any(one.name == setting.name for one in asked) else None


def asked_devices(plan: LoadedPlan, networks: Sequence[str] = ()) -> list[AskedDevice]:
    """Return the devices of a plan, or of some of its networks, in the plan's order, each gateway first.

    Raises InputProblems for a tag that occurs twice in a network (entries could not tell the two apart), and
    for a network that is not in the plan.
    """
    known = [one.name for one in plan.file.networks]
    check_networks(plan, networks)
    order = _order(plan)
    devices = [
        AskedDevice(block, i, settings, elsewhere)
        for block in planned_blocks(plan, Meanings())
        for settings, elsewhere in [_here_and_elsewhere(block.type)]
        for i, network in enumerate(block.networks)
        if network in networks or not networks
    ]
    return sorted(devices, key=lambda one: (known.index(one.network), order[one.network, one.tag]))


def check_networks(plan: LoadedPlan, names: Iterable[str]) -> None:
    """Raise InputProblems for a network that is not in the plan."""
    known = [one.name for one in plan.file.networks]
    for name in names:
        if name not in known:
            raise stop(f"--network: unknown network {name!r}", nearest(name, known), file=plan.name)


def turn(setting: Setting) -> int:
    """Return 0 for what a device shows, 1 for whether the factory code was refused, 2 for the rest."""
    if setting.role == ASKED_LAST:
        return 1
    return 0 if setting.read_at in AT_THE_DEVICE else 2


def in_turn(settings: Iterable[Setting]) -> list[Setting]:
    """Return settings in the order in which a person is asked for them: by turn, then in display order."""
    return sorted(settings, key=turn)


def asked_settings(kind: DeviceType) -> list[Setting]:
    """Return what a person is asked for at devices of a type, wherever it is read; never an access code."""
    return in_turn(s for s in kind.settings if s.kind != "secret")


def _here_and_elsewhere(kind: DeviceType) -> tuple[list[Setting], list[Setting]]:
    """Return what is read at a device of a type, and what has to be read elsewhere."""
    places = AT_A_GATEWAY if kind.device == "gateway" else AT_THE_DEVICE
    asked = asked_settings(kind)
    return (
        [setting for setting in asked if setting.read_at in places],
        [setting for setting in asked if setting.read_at not in places and setting.required],
    )


def _order(plan: LoadedPlan) -> dict[tuple[str, str], int]:
    """Return network and tag → rank in the plan. Raises InputProblems for tags that occur twice."""
    order: dict[tuple[str, str], int] = {}
    problems: list[Problem] = []
    for group in [*plan.gateways, *plan.nodes]:
        for entry, (network, text) in enumerate(zip(group.networks, group.table.texts("tag"), strict=True)):
            tag = bare(text)
            if (network, tag) in order:
                message = f"the tag {tag!r} occurs twice in network {network!r}"
                mend = "keep the right row, or give each its own tag; entries could not tell them apart"
                problems.append(group.table.place(entry, "tag").problem(message, mend))
            order.setdefault((network, tag), len(order))
    stop_if(problems)
    return order
