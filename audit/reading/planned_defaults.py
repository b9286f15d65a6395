"""What a device gets where its own cell in the plan is empty: its nearest default, or its gateway's value."""

from __future__ import annotations

from audit.model.device import DeviceType, Setting
from audit.model.roles import NETWORK_ROLES
from audit.model.table import Place
from audit.reading.loaded_plan import LoadedPlan

Inherited = dict[str, dict[str, tuple[str, Place]]]
"""Network → role → text and place of what its gateway is planned to have."""


def gateways_texts(plan: LoadedPlan) -> Inherited:
    """Return what nodes take over from their gateways: the settings that they have to share."""
    given: Inherited = {}
    for gateway in plan.gateways:
        kind = plan.types.get(gateway.types[0])
        given[gateway.networks[0]] = {
            setting.role: (row.text(setting.name), row.place(setting.name))
            for setting in (kind.settings if kind else ())
            if setting.role in NETWORK_ROLES
            and setting.name in (row := gateway.stating(0, setting.name)).table.columns
        }
    return given


def default_text(
    plan: LoadedPlan, kind: DeviceType, setting: Setting, network: str, inherited: Inherited
) -> tuple[str, Place] | None:
    """Return the text that a node gets where its own cell is empty, and its place; None if none."""
    if kind.device == "gateway":
        return None
    for level in plan.defaults.get(network, ()):
        if setting.name in level:
            return level[setting.name]
    return inherited.get(network, {}).get(setting.role)
