"""The roles: what a setting means to the rules, whatever its device calls it.

A device type gives a setting one of these roles, or a role of its own whose name begins with `x_`.
"""

from __future__ import annotations

DIFFERENCES = ("deadband", "offset")
"""Roles whose numbers are differences: converted without the offset between temperature scales."""

ROLES: dict[str, str] = {
    # radio
    "channel": "radio channel; must equal the gateway's",
    "air_rate": "over-air bit rate; must equal the gateway's",
    "network_id": "network identity or key reference; must equal the gateway's",
    "address": "the node's own address; unique in its network",
    "encryption": "encryption of the radio messages, on or off; must equal the gateway's",
    "band": "radio band variant of the device",
    "report_interval": "time between reports",
    "frequency": "radio frequency, in MHz",
    "radio_power": "power of the transmitter, in dBm",
    "antenna_gain": "gain of the antenna, in dBi",
    "feeder_loss": "loss of feeder and connectors, in dB",
    "join_window": "whether the gateway accepts new nodes, open or closed",
    # seen at the gateway
    "joined_gateway": "tag of the gateway that lists the node",
    "last_heard": "time since the gateway last heard the node",
    "rssi": "strength of the node's signal at the receiver, in dBm",
    # access
    "access_code": "access code of the local menu; never stored or shown",
    "default_refused": "whether the factory access code was tried and refused: yes, no, not tried",
    "code_reference": "where the access code is kept, for instance a vault entry; not the code",
    "code_changed_on": "day on which the access code was last changed; not the code",
    "local_lock": "lock of the local menu, on or off",
    "service_port": "service port or local interface, on or off",
    # identity of the hardware
    "firmware": "firmware version",
    "battery_type": "make or class of the battery fitted",
    "battery_volts": "voltage of the battery, under load if it can be read that way",
    "device_temperature": "temperature inside the device when its battery was read",
    # measurement
    "unit": "engineering unit selected at the device",
    "range_low": "lower range value (LRV)",
    "range_high": "upper range value (URV)",
    "pulse_weight": "quantity for each pulse",
    "offset": "trim or zero offset entered at the device",
    "calibration_record": "number of the calibration record behind a trim",
    "reading": "what the device showed when it was read",
    "check_reading": "what an independent instrument showed at the same time",
    # alarms
    "alarm_low_low": "low-low setpoint (LL)",
    "alarm_low": "low setpoint (L)",
    "alarm_high": "high setpoint (H)",
    "alarm_high_high": "high-high setpoint (HH)",
    "deadband": "how far a value must return before an alarm clears",
    "alarm_enabled": "alarms of the device, on or off",
    "alarm_authorisation": "number of the live authorisation for an alarm that is off",
    "alarm_authorised_until": "last day of that authorisation; or write `until 2026-03-31` after its number",
    "loss_action": "what the output or value does on loss of communication",
    # host system
    "host_register": "first register of the value in the host map",
    "host_register_count": "number of registers the value takes",
    "host_device": "address of the device on the host side that holds the registers",
    "host_low": "low end of the host's scale",
    "host_high": "high end of the host's scale",
    "host_word_order": "which of the two words of a number the host takes first",
    "host_reading": "what the host showed when the device was read",
    "host_quality": "quality the host gives the value, good or bad",
    "host_timeout": "time after which the host calls the value stale",
}

OBSERVED_ROLES = (
    "reading", "check_reading", "last_heard", "rssi", "battery_volts", "device_temperature", "host_reading",
    "host_quality",
)  # fmt: skip
"""What was observed at the time of reading and is not a setting: it changes without anybody setting it."""

NO_DRIFT_ROLES = (*OBSERVED_ROLES, "default_refused", "code_changed_on")
"""What drift does not compare: also a trial's outcome, and the day on which a code was changed."""

EXCUSING_ROLES = ("alarm_authorisation", "alarm_authorised_until", "calibration_record")
"""What excuses an alarm that is off, or a trim; blank where nothing has to be excused."""

NEVER_PLANNED_ROLES = (*NO_DRIFT_ROLES, "joined_gateway", "code_reference", *EXCUSING_ROLES)
"""What no plan sets: also which gateway lists a node, and who has authorised a setting."""

SWITCHES = ("encryption", "local_lock", "service_port", "alarm_enabled")
"""Roles that are on or off: their settings are flags, since rules and work lists expect on or off."""

RANGE_ENDS = ("range_low", "range_high")
"""Roles of the two ends of a range."""

SETPOINTS = ("alarm_low_low", "alarm_low", "alarm_high", "alarm_high_high")
"""Roles of the numbers at which alarms are raised."""

HIGH_SETPOINTS = ("alarm_high", "alarm_high_high")
"""Those of alarms that clear below their setpoint; the others clear above it."""

NUMBERS = ("range_low", "range_high", "offset", *SETPOINTS, "deadband",
           "host_register", "host_register_count", "host_low", "host_high")  # fmt: skip
"""Roles whose numbers rules compare: with a text, they would silently compare nothing."""

TRIALS = ("yes", "no", "not tried")
"""What `default_refused` can be, in upper or lower case: rules know these words and no others."""

NETWORK_ROLES = ("channel", "air_rate", "network_id", "encryption")
"""A node takes these from its gateway's plan unless the node, its network or the site says otherwise."""


ASKED_LAST = "default_refused"
"""Role of what is tried after everything else has been read: a lockout would end the reading."""


def concerns_alarms(role: str) -> bool:
    """Return whether the control room has to be told before a setting with this role is changed."""
    return role.startswith("alarm_") or role == "loss_action"


def is_role(name: str) -> bool:
    """Return whether `name` is a known role, or a site's own (`x_…`)."""
    return name in ROLES or name.startswith("x_")
