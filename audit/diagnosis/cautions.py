"""The cautions that go with a diagnosis of nodes of some types."""

from __future__ import annotations

from collections.abc import Iterable

from audit.judging.cautions import of_types
from audit.model.device import DeviceType
from audit.model.roles import concerns_alarms

AUTHORISES_NOTHING = (
    "This diagnosis is calculated from weights that are judgement, and from what was written down. It "
    "authorises nothing: local codes, permits and licensed people prevail."
)
RETRIES = (
    "After a fix, wait as long as the node takes between its attempts to join before you call it a failure: "
    "the wait grows with each attempt."
)
PLACES = (
    "Before a trip: have a permit to work, and somebody who knows where you are; heights, water, confined "
    "spaces and traffic have rules of their own."
)
ALARMS = (
    "Alarms and trips from a silent node do not get through: tell the control room now. Bypasses need "
    "authority, compensating measures and an end time (IEC 61511-1, from memory, not verified)."
)
RADIO = (
    "Antenna, power and channel are governed by the radio licence: check with the authority before changing "
    "them."
)


def cautions(types: Iterable[DeviceType], *, trip: bool = True) -> list[str]:
    """Return the cautions for devices of some types, with the one for a trip if there is to be one."""
    types = list(types)
    found = [AUTHORISES_NOTHING, RETRIES]
    if any(concerns_alarms(s.role) for kind in types for s in kind.settings):
        found.append(ALARMS)
    return [*found, *of_types(types), *([PLACES] if trip else []), RADIO]
