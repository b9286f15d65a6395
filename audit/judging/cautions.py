"""Cautions: what every result says to those who act on it."""

from __future__ import annotations

from collections.abc import Iterable

from audit.model.device import DeviceType
from audit.model.finding import Hit
from audit.model.roles import concerns_alarms
from audit.model.rule import Gate
from audit.model.site import Site

CAUTION = (
    "This result compares settings. It does not say that a site is fit for use: local codes, permits "
    "and licensed people prevail."
)
CAUTION_OUTPUTS = (
    "Outputs (valves, pumps, gates) may move when a node is re-set or loses communication: lock out, "
    "keep people clear, and work under a permit."
)
CAUTION_HAZARDOUS = (
    "Hazardous areas: permit to work, certified parts and batteries, competent persons (IEC 60079-14, -17)."
)
CAUTION_ALARMS = (
    "Before changing an alarm, a range or a loss action: tell the control room. Bypasses need authority "
    "and an end time."
)

TELL_TOO = ("deadband", "range_low", "range_high", "unit")
"""Roles of settings of which the control room is told before a change, beside alarms and the loss action."""


def cautions_of(site: Site, gate: Gate) -> list[str]:
    """Return the cautions that apply to a site and a gate."""
    cautions = [CAUTION]
    types = [block.type for block in site.blocks]
    if any(concerns_alarms(s.role) for kind in types for s in kind.settings):
        cautions.append(CAUTION_ALARMS)
    return [*cautions, *of_types(types), *gate.cautions]


def at_finding(site: Site, hit: Hit) -> list[str]:
    """Return the cautions for whoever corrects a finding at one device; none for other findings."""
    b, i = hit.order
    if not hit.node or b >= len(site.blocks) or site.blocks[b].tags[i] != hit.node:
        return []
    kind = site.blocks[b].type
    roles = [setting.role for setting in kind.settings if setting.name in hit.settings]
    tell = any(concerns_alarms(role) or role in TELL_TOO for role in roles)
    return [*([CAUTION_ALARMS] if tell else []), *of_types([kind])]


def of_types(
    types: Iterable[DeviceType], outputs: str = CAUTION_OUTPUTS, hazardous: str = CAUTION_HAZARDOUS
) -> list[str]:
    """Return the cautions that device types call for: about outputs that move and about hazardous areas."""
    types = list(types)
    moves = [outputs] if any(kind.moves_outputs for kind in types) else []
    return [*moves, *([hazardous] if any(kind.hazardous_area for kind in types) else [])]
