"""A site of random size without a fault, in which faults are then seeded."""

from __future__ import annotations

import random
from dataclasses import dataclass, field
from typing import Any

from tests.site_builder import SiteOf

NETWORKS = ("North", "South", "East", "West")
APPROVED = {"firmware": ["2.10", "2.11"], "battery_type": ["L1", "L2"], "band": ["low band"]}
PLAN = {
    "approved": [{"setting": name, "values": values} for name, values in APPROVED.items()],
    "access_codes": {"change_every_days": 365},
    "radio": {"band": "eu-863-870", "licence": {"airtime_s_per_hour": 30}, "availability_percent": 95},
    "service_interval_years": 4,
}
TYPE_KEYS = {
    "sensitivity_dbm": {"9.6": -104, "50": -98, "100": -95},
    "message": {"bits": 480},
    "battery": {"capacity_ah": 19, "usable_percent": 80, "sleep_ua": 10, "transmit_ma": 30,
                "receive_ma": 30, "receive_s": 0.1, "low_v": 3.2, "cutoff_v": 2.7},
}  # fmt: skip


@dataclass
class Draft:
    """What is planned and what was found, row by row, to be changed at will."""

    planned: list[dict[str, Any]]
    found: list[dict[str, Any]]
    gateways: dict[str, dict[str, Any] | None]
    """Network → what was found on its gateway; None: it was not read."""
    networks: dict[str, dict[str, Any]]
    plan: dict[str, Any] = field(default_factory=lambda: dict(PLAN))

    def site(self) -> SiteOf:
        """Return the site to be written."""
        networks = {
            name: {**keys, "gateway_found": self.gateways[name]} for name, keys in self.networks.items()
        }
        read = [row for row in self.found if row]
        return SiteOf(
            planned=self.planned, found=read, networks=networks, plan=self.plan, type_keys=TYPE_KEYS
        )

    def on(self, network: str) -> list[int]:
        """Return the row numbers of a network's nodes."""
        return [i for i, node in enumerate(self.planned) if node["network"] == network]


def clean(chance: random.Random) -> Draft:
    """Return a site of 1 to 4 networks of 4 to 14 nodes, read back as planned."""
    planned: list[dict[str, Any]] = []
    found: list[dict[str, Any]] = []
    gateways: dict[str, dict[str, Any] | None] = {}
    networks: dict[str, dict[str, Any]] = {}
    channels = chance.sample(range(3, 38, 2), len(NETWORKS))
    for n, name in enumerate(NETWORKS[: chance.randint(1, len(NETWORKS))]):
        nodes = chance.randint(4, 14)
        first = 10 + 40 * n
        gateway = {"channel": channels[n], "air_rate": "50", "network_id": f"N{chance.randint(10, 99)}{n}",
                   "encryption": "on", "local_lock": "on", "service_port": "off", "firmware": "2.11",
                   "join_window": "closed", "frequency": 868.3}  # fmt: skip
        networks[name] = {
            "gateway": {
                **gateway,
                "serial": f"GS{chance.randint(10, 99)}{n}77",
                "position": {"x_m": 0, "y_m": 9000 * n},
            },
            "addresses": {"first": first, "last": first + 19},
            "capacity": {"nodes": nodes, "reports_per_hour": 60 * nodes + 1},
        }
        gateways[name] = {**gateway, "default_refused": "yes", "code_changed_on": "2026-02-02",
                          "code_reference": f"vault/g{n}"}  # fmt: skip
        addresses = chance.sample(range(first, first + 20), nodes)
        for address in addresses:
            row, read = _node(chance, len(planned), name, gateway, address, 9000 * n)
            planned.append(row)
            found.append(read)
    return Draft(planned, found, gateways, networks)


def _node(
    chance: random.Random, number: int, network: str, gateway: dict[str, Any], address: int, north_m: int
) -> tuple[dict[str, Any], dict[str, Any]]:
    high = chance.choice([250, 400, 600, 1000])
    both = {
        "channel": gateway["channel"], "air_rate": gateway["air_rate"], "network_id": gateway["network_id"],
        "address": address, "encryption": "on", "band": "low band", "report_interval": 60,
        "frequency": 868.3, "radio_power": 10, "antenna_gain": 2, "feeder_loss": 1,
        "local_lock": "on", "service_port": "off", "firmware": chance.choice(APPROVED["firmware"]),
        "battery_type": chance.choice(APPROVED["battery_type"]), "unit": "kPa g", "range_low": 0,
        "range_high": high, "pulse_weight": chance.choice([1, 10, 100]),
        "alarm_low_low": round(high * 0.05, 1), "alarm_low": round(high * 0.1 + chance.randint(0, 9), 1),
        "alarm_high": round(high * 0.8 - chance.randint(0, 9), 1), "alarm_high_high": round(high * 0.9, 1),
        "deadband": 2, "alarm_enabled": "on", "loss_action": "hold", "host_register": 400 + 4 * number,
        "host_register_count": 2, "host_device": 3, "host_low": 0, "host_high": high, "host_timeout": 300,
        "host_word_order": "big first", "seal": f"SL-{chance.randint(1000, 9999)}{number}",
    }  # fmt: skip
    name = {"tag": f"PT-{101 + number}", "serial": f"K{chance.randint(10, 99)}R{4000 + 7 * number}"}
    reading = round(high * chance.uniform(0.3, 0.6), 1)
    distance = chance.randint(150, 900)
    only_found = {
        "default_refused": "yes", "code_reference": f"vault/{number}", "code_changed_on": "2026-02-01",
        "last_heard": chance.randint(5, 90), "rssi": -chance.randint(80, 84), "offset": 0,
        "calibration_record": "", "reading": reading, "check_reading": reading,
        "host_reading": reading, "host_quality": "good", "joined_gateway": f"GW-{network}",
        "read_at": f"2026-04-{2 + number // 8:02d}", "read_by": "A. Sample", "configured_by": "B. Other",
        "plan_revision": "3", "battery_volts": round(3.6 - number % 9 / 100, 2),
    }  # fmt: skip
    planned = {**name, "network": network, "installed_on": "2026-03-01", "x_m": distance, "y_m": north_m,
               "response_time_s": 120, **both}  # fmt: skip
    return planned, {**name, **both, **only_found}
