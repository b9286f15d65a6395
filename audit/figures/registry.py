"""The figures by the names that rules use."""

from __future__ import annotations

from functools import partial

from audit.figures import (
    airtimes,
    alarm_times,
    availability,
    battery_volts,
    clearances,
    links,
    neighbours,
    power_life,
    powers,
    reports,
    room,
)
from audit.figures.answers import DeviceFigure, NetworkFigure
from audit.model.roles import SETPOINTS

FIGURES: dict[str, DeviceFigure | NetworkFigure] = {
    "link-margin": DeviceFigure(
        title="link margin", unit="dB", lacks=links.margin_lacks, of=links.link_margin,
        roles=(*links.ON_THE_WAY, "air_rate", "rssi"), places=True,
    ),
    "availability": DeviceFigure(
        title="availability of the link", unit="%", digits=1, lacks=availability.lacks,
        of=availability.availability, roles=(*links.ON_THE_WAY, "air_rate", "rssi"), places=True,
    ),
    "path-clearance": DeviceFigure(
        title="path clearance", unit="%", lacks=clearances.lacks, of=clearances.path_clearance,
        roles=("frequency", "channel"), places=True,
    ),
    "missing-signal": DeviceFigure(
        title="missing signal", unit="dB", lacks=links.signal_lacks, of=links.missing_signal,
        roles=(*links.ON_THE_WAY, "rssi"), places=True,
        assumes=("beyond_free_space_db", "beyond_path_db", "two_rays_db"),
        surplus="signal stronger than expected by",
    ),
    "radiated-power": DeviceFigure(
        title="radiated power", unit="dBm", digits=1, lacks=powers.power_lacks, of=powers.radiated_power,
        roles=links.ON_THE_WAY,
    ),
    "outside-band": DeviceFigure(
        title="outside the band by", unit="MHz", digits=3, lacks=powers.frequency_lacks,
        of=powers.outside_band, roles=("frequency", "channel"),
    ),
    "duty": DeviceFigure(
        title="duty", unit="%", digits=3, lacks=airtimes.duty_lacks, of=airtimes.duty,
        roles=(*reports.REPORTING, "frequency", "channel"),
    ),
    "airtime": NetworkFigure(
        title="airtime", unit="%", of=airtimes.airtime, assumes=("collision_percent",),
    ),
    "battery-life": DeviceFigure(
        title="battery life", unit="years", digits=1, lacks=power_life.lacks, of=power_life.battery_life,
        roles=reports.REPORTING,
    ),
    "battery-volts": DeviceFigure(
        title="battery", unit="V", digits=2, lacks=partial(battery_volts.lacks, limit="cutoff_v"),
        of=battery_volts.volts, roles=(battery_volts.VOLTS,),
    ),
    "battery-volts-when-warm": DeviceFigure(
        title="battery", unit="V", digits=2, lacks=partial(battery_volts.lacks, limit="low_v"),
        of=battery_volts.volts_when_warm, roles=(battery_volts.VOLTS, battery_volts.WARMTH),
    ),
    "alarm-time": DeviceFigure(
        title="time from event to alarm", unit="s", lacks=alarm_times.lacks, of=alarm_times.alarm_time,
        roles=(*reports.REPORTING, *SETPOINTS), response=True,
    ),
    "reuse-distance": NetworkFigure(
        title="distance between the gateways", unit="m", of=neighbours.shared_channels,
        assumes=("required_db", "exponent"),
    ),
}  # fmt: skip
"""Figures that rules may give limits to."""

ALSO_LISTED: dict[str, DeviceFigure | NetworkFigure] = {
    "expected-signal": DeviceFigure(
        title="expected signal", unit="dBm", lacks=links.power_lacks, of=links.expected_signal,
        roles=links.ON_THE_WAY, places=True,
    ),
    "room": NetworkFigure(
        title="room for", unit="more nodes", of=room.room, assumes=("collision_percent",),
    ),
}  # fmt: skip
"""Figures that nothing has to be above or below, but that people plan and set up by."""
