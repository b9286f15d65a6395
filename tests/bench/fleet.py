"""Invented fleets: a plan with its node tables, a readback, and faults seeded in known places.

Planned numbers are written short (0.5), found ones as a display shows them (0.50), so that texts
differ where values do not. The opponents read the same two files, `planned.csv` and `found.csv`.
"""

from __future__ import annotations

import json
import random
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

FAULTY = 0.02
"""The fraction of the nodes that have a fault, one each."""
IDENTITY = ("network", "tag", "serial")

ALARM = "kind: decimal, unit: kPa, step: 0.1"
SETTINGS = {
    "channel": "kind: integer, role: channel, low: 1, high: 40, default: 1",
    "air_rate": "kind: option, role: air_rate, unit: kbit/s, options: ['4.8', '9.6', '38.4', '50', '100']",
    "network_id": "kind: text, role: network_id, digits: 4",
    "address": "kind: integer, role: address, low: 1, high: 247, default: 247",
    "report_interval": "kind: integer, role: report_interval, unit: s, low: 5, high: 3600",
    "encryption": "kind: flag, role: encryption",
    "loss_action": "kind: option, role: loss_action, options: [alarm, hold, low]",
    "menu_lock": "kind: flag, role: local_lock",
    "service_port": "kind: flag, role: service_port",
    "firmware": "kind: text, role: firmware",
    "unit": "kind: option, role: unit, options: [kPa, bar, psi]",
    "range_low": f"{ALARM}, role: range_low",
    "range_high": f"{ALARM}, role: range_high",
    "low_low_alarm": f"{ALARM}, role: alarm_low_low",
    "low_alarm": f"{ALARM}, role: alarm_low",
    "high_alarm": f"{ALARM}, role: alarm_high",
    "high_high_alarm": f"{ALARM}, role: alarm_high_high",
    "deadband": f"{ALARM}, role: deadband",
    "pulse_weight": "kind: integer, role: pulse_weight, unit: L, low: 1, high: 1000",
    "damping": "kind: decimal, unit: s, step: 0.01",
    "cut_off": "kind: decimal, unit: '%', step: 0.01",
    "trim": "kind: decimal, step: 0.001",
    "warm_up": "kind: integer, unit: ms",
    "retries": "kind: integer, low: 0, high: 9",
    "transmit_power": "kind: integer, unit: dBm",
    "log_interval": "kind: integer, unit: s",
    "contrast": "kind: integer, low: 0, high: 100",
    "filter": "kind: option, options: [off, mean, median]",
    "display": "kind: option, options: [value, bar, both]",
    "backlight": "kind: flag",
}
"""Name → what the device type says about it: 30 settings."""

CHOICES: dict[str, Sequence[str]] = {
    "channel": [str(n) for n in range(1, 41)],
    "air_rate": ["4.8", "9.6", "38.4", "50", "100"],
    "network_id": [f"{n:03d}{letter}" for letter in "ABCDFGHK" for n in range(1000)],
    "address": [str(n) for n in range(1, 247)],
    "report_interval": ["30", "60", "120", "300", "600", "900"],
    "encryption": ["on", "off"],
    "loss_action": ["alarm", "hold", "low"],
    "menu_lock": ["on", "off"],
    "service_port": ["off", "on"],
    "firmware": ["2.4.1", "2.4.2", "2.5.0"],
    "unit": ["kPa", "bar", "psi"],
    "pulse_weight": ["1", "10", "100", "1000"],
    "damping": [f"{n / 100:.2f}" for n in range(1000)],
    "cut_off": [f"{n / 100:.2f}" for n in range(500)],
    "trim": [f"{n / 1000:.3f}" for n in range(-2000, 2000)],
    "warm_up": [str(n) for n in range(2000)],
    "retries": [str(n) for n in range(10)],
    "transmit_power": [str(n) for n in range(-10, 28)],
    "log_interval": ["60", "300", "900", "3600"],
    "contrast": [str(n) for n in range(101)],
    "filter": ["off", "mean", "median"],
    "display": ["value", "bar", "both"],
    "backlight": ["on", "off"],
}
"""Values to plan, and to slip to; those of range and alarms depend on each other and are drawn below."""
RADIO = ("channel", "air_rate", "network_id")
FREE = tuple(CHOICES)[tuple(CHOICES).index("pulse_weight") :]
NODE_TYPE = """asfound: device-type/1
name: transmitter
sensors: {main: {low: -100, high: 100000, smallest_span: 10}}
settings:
"""
GATEWAY_TYPE = """asfound: device-type/1
name: gateway
device: gateway
settings:
"""
PLAN = """asfound: plan/1
site: {name: Invented fleet}
device_types: [gateway.yaml, node.yaml]
approved:
  - {setting: firmware, values: ["2.4.1", "2.4.2", "2.5.0"]}
networks:
"""
NETWORK = """  - name: "{name}"
    gateway: {{tag: GW-{name}, type: gateway, serial: "9{name}",
      settings: {{channel: {channel}, air_rate: {air_rate}, network_id: "{network_id}"}}}}
    capacity: {{nodes: 247, reports_per_hour: 1000000}}
    addresses: {{first: 1, last: 247}}
    node_type: transmitter
"""


@dataclass(frozen=True, slots=True)
class Fleet:
    """A fleet in its folder."""

    folder: Path
    nodes: int

    @property
    def inputs(self) -> list[str]:
        """The arguments of `asfound check`."""
        return [str(self.folder / name) for name in ("plan.yaml", "found.csv", "gateways.csv")]

    @property
    def tables(self) -> list[str]:
        """The two files that the opponents read."""
        return [str(self.folder / name) for name in ("planned.csv", "found.csv")]

    @property
    def faults(self) -> set[tuple[str, str]]:
        """Tag and setting of every fault."""
        return {(tag, name) for tag, name in json.loads((self.folder / "faults.json").read_text())}


def make(folder: Path, nodes: int, a_network: int, *, split: bool = False, seed: int = 2) -> Fleet:
    """Write a fleet, unless it is there already; its faults are written last.

    `split` gives each network a node table of its own, besides the one for the opponents.
    """
    fleet = Fleet(folder, nodes)
    if not (folder / "faults.json").exists():
        (folder / "nodes").mkdir(parents=True, exist_ok=True)
        (folder / "node.yaml").write_text(NODE_TYPE + _lines(SETTINGS))
        (folder / "gateway.yaml").write_text(GATEWAY_TYPE + _lines(RADIO))
        faults = list(_write(folder, nodes, a_network, split, random.Random(seed)))
        (folder / "faults.json").write_text(json.dumps(faults))
    return fleet


def _lines(names: Iterable[str]) -> str:
    return "".join(f"  - {{name: {name}, {SETTINGS[name]}}}\n" for name in names)


def _write(
    folder: Path, nodes: int, a_network: int, split: bool, chance: random.Random
) -> Iterator[tuple[str, str]]:
    """Write plan, tables and readback node by node, and yield each fault."""
    faulty = set(chance.sample(range(nodes), round(FAULTY * nodes)))
    heading = ",".join((*IDENTITY, *SETTINGS))
    with (
        (folder / "plan.yaml").open("w") as plan,
        (folder / "planned.csv").open("w") as planned,
        (folder / "found.csv").open("w") as found,
        (folder / "gateways.csv").open("w") as gateways,
    ):
        plan.write(PLAN)
        planned.write(f"{heading}\n")
        found.write(f"{heading}\n")
        gateways.write("tag,serial,channel,air_rate,network_id\n")
        firsts = range(0, nodes, a_network)
        identities = chance.sample(CHOICES["network_id"], len(firsts))  # no two networks are alike
        for n, first in enumerate(firsts):
            name = f"{n + 1:04d}"
            radio = {name: chance.choice(CHOICES[name]) for name in RADIO} | {"network_id": identities[n]}
            plan.write(NETWORK.format(name=name, **radio))
            gateways.write(",".join((f"GW-{name}", f"9{name}", *radio.values())) + "\n")
            rows = []
            for k in range(first, min(first + a_network, nodes)):
                who = [name, f"T-{k + 1:06d}", f"{41_000_000 + k}"]
                values = _values(radio, k - first + 1, chance)
                rows.append(",".join([*who, *map(_short, values.values())]) + "\n")
                if k in faulty:
                    setting = chance.choice(list(values))
                    values[setting] = slipped(setting, values[setting], chance)
                    yield who[1], setting
                found.write(",".join([*who, *values.values()]) + "\n")
            planned.writelines(rows)
            if split:
                plan.write(f"    node_tables: [{{file: nodes/{name}.csv}}]\n")
                (folder / "nodes" / f"{name}.csv").write_text(f"{heading}\n{''.join(rows)}")
        if not split:
            plan.write("node_tables: [{file: planned.csv}]\n")


def _values(radio: dict[str, str], address: int, chance: random.Random) -> dict[str, str]:
    """Return the settings of one node as its display shows them, in the order of SETTINGS."""
    span = chance.choice((100, 250, 400, 600, 1000, 1600, 2500, 4000))
    parts = [0, 100, chance.randint(4, 9), chance.randint(14, 25), chance.randint(75, 85)]
    scaled = [
        f"{part * span / 100:.1f}" for part in (*parts, chance.randint(90, 96), chance.choice((1, 2, 1.5)))
    ]
    free = {name: chance.choice(CHOICES[name]) for name in FREE}
    interval = chance.choice(CHOICES["report_interval"])
    firmware = chance.choice(CHOICES["firmware"])
    fixed = (str(address), interval, "on", "alarm", "on", "off", firmware, "kPa")
    return dict(zip(SETTINGS, (*radio.values(), *fixed, *scaled, *free.values()), strict=True))


def slipped(name: str, value: str, chance: random.Random) -> str:
    """Return another value of a setting: one of its choices, or for range and alarms another number."""
    if name in CHOICES:
        return chance.choice([other for other in CHOICES[name] if other != value])
    return f"{chance.choice((float(value) + 1, float(value) - 0.2, 10 * float(value) + 5)):.1f}"


def _short(text: str) -> str:
    """Return a number without the zeros that only a display writes."""
    return text.rstrip("0").rstrip(".") if "." in text and text.count(".") == 1 else text
