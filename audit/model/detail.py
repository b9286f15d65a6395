"""Every device of a result with its settings, for reports that list or draw all of them."""

from __future__ import annotations

from typing import Literal

from audit.model.reported import Reported


class SettingDetail(Reported):
    """The outcome for one setting of a device."""

    name: str
    label: str
    role: str | None
    input: str
    unit: str | None
    planned: str | None
    found: str | None
    planned_number: float | None
    """For drawing, in the setting's unit."""
    found_number: float | None
    state: Literal["as planned", "differs", "not read", "unclear", "not planned"]


DeviceState = Literal["as planned", "waived", "partly read", "with a finding", "differs", "not read"]


class DeviceDetail(Reported):
    """The outcome for one device."""

    network: str
    tag: str
    serial: str | None
    location: str | None
    type: str
    gateway: bool
    east_m: float | None
    """Metres east of its gateway, where the plan gives positions."""
    north_m: float | None
    state: DeviceState
    """`not read`: there is no reading; `differs`: a setting differs; `with a finding`: there is another error
    or warning, not excused by a waiver; otherwise `partly read`: a required setting was not read, or not
    clearly; `waived`: everything that was found is excused."""
    settings: list[SettingDetail]
    """Settings that are planned or were read, in display order."""
