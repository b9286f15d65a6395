"""Doubt: when the plan, or the readback as written, is more likely to be wrong than the device."""

from __future__ import annotations

from collections import Counter, defaultdict

from audit.model.device import Setting
from audit.model.result import Side
from audit.model.roles import NETWORK_ROLES
from audit.model.site import Site
from audit.model.value import Content, Value
from audit.reading.values import default_value, plain
from audit.slips.around import ALONE
from audit.slips.case import case_of

FEWEST_ALIKE = 3
"""Devices, including the gateway, that must show the same value before it is not seen as a slip on one."""
SHARE_ALIKE = 0.75
"""Share of the devices read that must show it: judgement."""


class Doubts:
    """What speaks against the plan or the readback, device by device. A role is counted when first needed."""

    def __init__(self, site: Site) -> None:
        self._site = site
        self._read: dict[str, dict[str, Counter[Content]]] = {}
        """Role → network → value → how many nodes show it."""

    def of(self, device: tuple[int, int], setting: Setting) -> tuple[Side, str] | None:
        """Return the side that is more likely to be wrong than the device, and why, in words."""
        b, i = device
        block = self._site.blocks[b]
        planned, found = (block.value(side, setting.name, i) for side in ("planned", "found"))
        if not possible(setting, planned):
            return "plan", f"the plan may be wrong: {planned.shown} is {_beyond(setting)}"
        if found.read and (alike := self._alike(block.networks[i], setting, found)):
            return "plan", f"the plan may be wrong: {alike} show {found.shown}"
        if found.read and not found.converted and not possible(setting, found):
            return "readback", f"the readback may be wrong: {found.shown} is {_beyond(setting)}"
        return None

    def decided(self, device: tuple[int, int], setting: Setting) -> bool:
        """Tell whether a value is hardly a slip, because part of the network shares it.

        This applies to options, and to a gateway that some of its nodes have followed. It does not apply to
        the factory default, which all share anyway, nor where nearly all share the value: then the slip may
        be in the plan.
        """
        b, i = device
        block, found = self._site.blocks[b], self._site.blocks[b].value("found", setting.name, i)
        default = default_value(setting)
        if not setting.role or not found.read or (default and default.content == found.content):
            return False
        if setting.kind != "option" and not block.gateway:
            return False
        nodes = self._nodes(block.networks[i], setting.role)
        alike = nodes[found.content]
        return alike + block.gateway >= FEWEST_ALIKE and alike < SHARE_ALIKE * nodes.total()

    def _alike(self, network: str, setting: Setting, value: Value) -> str:
        """Return who shows a value if the gateway and most of its nodes do, else an empty text.

        A gateway at its factory default was never set, and nor were its nodes, unless that is planned for it.
        """
        b, g = self._site.gateways[network]
        block = self._site.blocks[b]
        own = block.first_setting(setting.role) if setting.role in NETWORK_ROLES else None
        if own is None or block.value("found", own.name, g).content != value.content:
            return ""
        default = default_value(own)
        if default and default.content == value.content != block.value("planned", own.name, g).content:
            return ""
        nodes = self._nodes(network, setting.role)
        alike, read = nodes[value.content], nodes.total()
        if alike + 1 < FEWEST_ALIKE or alike < SHARE_ALIKE * read:
            return ""
        return f"the gateway and {alike:,} of its {read:,} nodes read"

    def _nodes(self, network: str, role: str) -> Counter[Content]:
        """Return how many nodes of a network show each value of a role."""
        if role not in self._read:
            read = self._read[role] = defaultdict(Counter)
            for block in self._site.blocks:
                for setting in [] if block.gateway else block.first_settings(role):
                    column = block.values("found", setting.name)
                    for (where, value), number in Counter(zip(block.networks, column, strict=True)).items():
                        if value.read:
                            read[where][value.content] += number
        return self._read[role][network]


def possible(setting: Setting, value: Value) -> bool:
    """Tell whether a device can hold a value, however fine its display is."""
    case = case_of(setting, value, ALONE)
    return case is None or case.legal(case.plan)


def _beyond(setting: Setting) -> str:
    """Return how a value that a setting cannot take lies outside what it can."""
    if setting.options:
        return f"none of {', '.join(setting.options)}"
    if setting.low is not None and setting.high is not None:
        unit = f" {setting.unit}" if setting.unit else ""
        return f"outside {plain(setting.low)} to {plain(setting.high)}{unit}"
    return "more than the device can be set to"
