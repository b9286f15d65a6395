"""Faults of one setting of one node, each with the rule that must report it and what follows from it.

A fault changes one device, or a few, and names them. `also` lists rules that the fault makes fire on the
same devices as well, each with the reason; nothing else may be reported.
"""

from __future__ import annotations

import random
import struct
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from tests.study.draft import Draft


@dataclass(frozen=True, kw_only=True)
class Seeded:
    """A fault seeded in a site: the devices that its rule must report, and those that it concerns."""

    rule: str
    nodes: tuple[str | None, ...]
    """The rule must have a finding on one of them."""
    concerns: frozenset[str]
    """Devices whose findings the fault may explain."""
    also: Mapping[str, str] = field(default_factory=dict)
    """Further rules that may fire, with the reason."""


Plant = Callable[[Draft, random.Random, int], Seeded]
FAULTS: dict[str, Plant] = {}
"""Name of a fault → the function that seeds it on the node with a given number."""


def fault(name: str) -> Callable[[Plant], Plant]:
    """Register a fault under a name."""

    def registered(plant: Plant) -> Plant:
        FAULTS[name] = plant
        return plant

    return registered


def seeded(rule: str, *tags: str | None, about: tuple[str, ...] = (), **also: str) -> Seeded:
    """Return a seeded fault; further keywords are rules, with `_` for `-`."""
    concerns = frozenset([*(tag for tag in tags if tag), *about])
    reasons = {name.replace("_", "-"): reason for name, reason in also.items()}
    return Seeded(rule=rule, nodes=tags, concerns=concerns, also=reasons)


def found(rule: str, setting: str, value: Callable[[Any, random.Random], Any], **also: str) -> Plant:
    """Return a fault in which one setting of one node is found with another value."""

    def plant(draft: Draft, chance: random.Random, i: int) -> Seeded:
        row = draft.found[i]
        row[setting] = value(row.get(setting), chance)
        return seeded(rule, row["tag"], about=(f"GW-{draft.planned[i]['network']}",), **also)

    return plant


def constant(value: Any) -> Callable[[Any, random.Random], Any]:
    """Return a function that always gives one value."""
    return lambda _old, _chance: value


def plus(step: float) -> Callable[[Any, random.Random], Any]:
    """Return a function that adds to the old value."""
    return lambda old, _chance: round(old + step, 1)


HOST = "the host scale is compared with the range that was found"
FOUND: dict[str, Plant] = {
    "a channel": found("channel-differs", "channel", plus(1)),
    "an air rate": found("air-rate-differs", "air_rate", constant("9.6")),
    "a network id": found("network-id-differs", "network_id", constant("ZZ99")),
    "a free address": found("address-differs", "address", plus(100), address_out_of_block="beyond the block",
                            value_outside_device="or beyond the device",
                            address_left_default="147 + 100 is the factory's"),
    "the factory address": found("address-left-default", "address", constant(247), address_differs="differs",
                                 address_out_of_block="beyond the block"),
    "a report interval": found("report-interval-differs", "report_interval", constant(120),
                               alarm_too_slow="the alarm waits for the report",
                               host_timeout_short="the host waits for three reports"),
    "a high alarm": found("alarm-off-plan", "alarm_high", plus(-3)),
    "a deadband": found("alarm-off-plan", "deadband", constant(3)),
    "an alarm beyond the next": found("alarm-order-wrong", "alarm_high",
                                      lambda old, _chance: round(old * 1.2, 1), alarm_off_plan="differs"),
    "an alarm beyond the range": found("alarm-outside-range", "alarm_high_high",
                                       lambda old, _chance: round(old * 1.5, 1), alarm_off_plan="differs"),
    "no deadband": found("deadband-unworkable", "deadband", constant(0), alarm_off_plan="differs"),
    "an alarm off at its setpoint": found("alarm-off-at-setpoint", "alarm_high", constant("OFF")),
    "an alarm switched off": found("alarm-disabled", "alarm_enabled", constant("off")),
    "a loss action": found("loss-action-differs", "loss_action", constant("low")),
    "a register beside": found("register-off-by-one", "host_register", plus(1)),
    "a register": found("register-differs", "host_register", constant(9000)),
    "a host device": found("register-differs", "host_device", constant(9)),
    "a register out of reach": found("register-out-of-reach", "host_register", constant(65535),
                                     register_differs="differs"),
    "a host scale": found("host-scale-differs", "host_high", plus(50)),
    "a word order": found("host-map-differs", "host_word_order", constant("little first")),
    "a host timeout": found("host-timeout-short", "host_timeout", constant(100), host_map_differs="differs"),
    "a node silent": found("silent-node", "last_heard", constant(900), stale_shown_good="and shown good"),
    "another gateway": found("joined-wrong-gateway", "joined_gateway", constant("GW-99")),
    "a band": found("band-variant-wrong", "band", constant("high band")),
    "a weak signal": found("weak-link-margin", "rssi", constant(-92), path_loss_odd="far",
                           link_availability_low="a weak link fades"),
    "a signal that fades": found("link-availability-low", "rssi", constant(-86)),
    "a strong signal": found("path-loss-odd", "rssi", constant(-45)),
    "too much power": found("radiated-power-excess", "radio_power", constant(20), setting_differs="differs",
                            path_loss_odd="more was sent than arrives"),
    "a frequency off the band": found("frequency-off-band", "frequency", constant(870.4),
                                      setting_differs="differs"),
    "reports in haste": found("battery-life-short", "report_interval", constant(2),
                              report_interval_differs="differs",
                              silent_node="it has missed reports of its own interval",
                              stale_shown_good="and shown good",
                              reports_over_capacity="the gateway is full"),
    "a unit": found("unit-differs", "unit", constant("bar")),
    "a range": found("range-differs", "range_high", plus(100), host_scale_differs=HOST,
                     range_beyond_sensor="the sensor ends at 1000"),
    "a range beyond the sensor": found("range-beyond-sensor", "range_high", constant(1600),
                                       range_differs="differs", host_scale_differs=HOST),
    "a pulse weight": found("pulse-weight-differs", "pulse_weight", constant(5)),
    "a trim": found("offset-unexplained", "offset", constant(1.5)),
    "a reading": found("reading-implausible", "reading", lambda old, _chance: round(old * 1.4, 1),
                       host_reading_differs="the host shows what it was"),
    "a host's reading": found("host-reading-differs", "host_reading",
                              lambda old, _chance: round(old * 1.4, 1)),
    "a value no device has": found("value-outside-device", "channel", constant(77),
                                   channel_differs="differs"),
    "a seal": found("setting-differs", "seal", constant("SL-0")),
    "the factory code": found("default-code-accepted", "default_refused", constant("no")),
    "a code not tried": found("default-code-not-tried", "default_refused", constant("not tried")),
    "an old code": found("code-too-old", "code_changed_on", constant("2024-11-30")),
    "a code of no known age": found("code-age-unknown", "code_changed_on", constant("")),
    "a lock": found("local-config-unlocked", "local_lock", constant("off")),
    "a service port": found("service-port-on", "service_port", constant("on")),
    "no encryption": found("encryption-off", "encryption", constant("off")),
    "an old firmware": found("firmware-off-list", "firmware", constant("1.04"), setting_differs="differs"),
    "a battery from a shop": found("battery-type-wrong", "battery_type", constant("X9")),
    "a battery nearly used up": found("battery-low", "battery_volts", constant(3.1)),
    "a battery below the cut-off": found("battery-flat", "battery_volts", constant(2.2)),
    "a blank": found("setting-not-read", "loss_action", constant("")),
    "a blank seal": found("critical-setting-not-read", "seal", constant("")),
    "an unclear number": found("reading-unclear", "pulse_weight", constant("1o?")),
    "read before it was set": found("read-before-set", "configured_at", constant("2026-04-30")),
    "read too early": found("read-before-installation", "read_at", constant("2026-02-20")),
}  # fmt: skip
FAULTS |= FOUND


@fault("a span too small")
def _span(draft: Draft, chance: random.Random, i: int) -> Seeded:
    row = draft.found[i]
    row["range_high"] = row["range_low"] + 40
    return seeded("span-too-small", row["tag"], range_differs="differs", host_scale_differs=HOST,
                  alarm_outside_range="the alarms are above it",
                  deadband_unworkable="the low alarm is at its end")  # fmt: skip


@fault("two words of a number swapped")
def _words(draft: Draft, chance: random.Random, i: int) -> Seeded:
    row = draft.found[i]
    first = struct.pack(">f", row["reading"])
    row["host_reading"] = f"{struct.unpack('>f', first[2:] + first[:2])[0]:.9g}"
    return seeded("word-order-suspect", row["tag"])
