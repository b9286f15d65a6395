"""A small site written in one call, so that a test of a rule takes only a few lines.

    findings = audit_of(tmp_path, rules="channel-differs", gateway={"channel": 7}, found={"channel": 8})

Settings are named after their roles. Rows without a tag are A, B, C … in their order. Each network's
nodes are in `<network>.csv`, what was found in `found.csv`, and the gateways as found in
`gateways.csv`, so that a test can say in which row and column a value is.
"""

from __future__ import annotations

import csv
import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from audit.model.base import Level
from audit.model.readback import FIELDS
from audit.model.result import Finding, Result
from audit.model.roles import ROLES
from audit.model.table import column_letter
from audit.run import Order, run

Row = Mapping[str, Any]
"""Field, setting or role → the value of the cell. Where tags are left out, they are given in order."""
Rows = Row | Sequence[Row]
Cell = tuple[str, int, str, str]
"""File, row, column, text."""

AS_PLANNED = "as planned"
"""The gateway reads back as it is planned."""

_PRESSURE = {"kind": "decimal", "unit": "kPa g", "step": 0.1}
SETTINGS: dict[str, dict[str, Any]] = {
    "channel": {"kind": "integer", "low": 1, "high": 40, "digits": 2, "default": 1},
    "air_rate": {"kind": "option", "unit": "kbit/s", "options": ["9.6", "50", "100"], "default": "9.6"},
    "network_id": {"kind": "text", "digits": 4, "default": "0000"},
    "address": {"kind": "integer", "low": 1, "high": 247, "digits": 3, "default": 247},
    "encryption": {"kind": "flag"},
    "band": {"kind": "option", "options": ["low band", "high band"]},
    "report_interval": {"kind": "integer", "unit": "s", "low": 1, "high": 3600},
    "join_window": {"kind": "option", "options": ["open", "closed"]},
    "joined_gateway": {"kind": "text", "read_at": "gateway"},
    "last_heard": {"kind": "integer", "unit": "s", "read_at": "gateway"},
    "rssi": {"kind": "decimal", "unit": "dBm", "step": 1, "read_at": "gateway"},
    "battery_volts": {"kind": "decimal", "unit": "V", "step": 0.01},
    "device_temperature": {"kind": "integer", "unit": "°C"},
    "frequency": {"kind": "decimal", "unit": "MHz", "step": 0.1},
    "radio_power": {"kind": "decimal", "unit": "dBm", "step": 1},
    "antenna_gain": {"kind": "decimal", "unit": "dBi", "step": 0.1},
    "feeder_loss": {"kind": "decimal", "unit": "dB", "step": 0.1},
    "access_code": {"kind": "secret", "default": "8205"},
    "default_refused": {"kind": "option", "options": ["yes", "no", "not tried"]},
    "code_reference": {"kind": "text", "read_at": "document"},
    "local_lock": {"kind": "flag"},
    "service_port": {"kind": "flag"},
    "firmware": {"kind": "text"},
    "battery_type": {"kind": "text"},
    "unit": {"kind": "option", "options": ["kPa g", "kPa abs", "bar", "psi"]},
    "range_low": {**_PRESSURE, "low": -5000, "high": 5000},
    "range_high": {**_PRESSURE, "low": -5000, "high": 5000},
    "pulse_weight": {"kind": "decimal", "unit": "L", "step": 0.1},
    "offset": _PRESSURE,
    "calibration_record": {"kind": "text", "read_at": "document"},
    "reading": _PRESSURE,
    "check_reading": _PRESSURE,
    "alarm_low_low": _PRESSURE,
    "alarm_low": _PRESSURE,
    "alarm_high": _PRESSURE,
    "alarm_high_high": _PRESSURE,
    "deadband": _PRESSURE,
    "alarm_enabled": {"kind": "flag"},
    "alarm_authorisation": {"kind": "text", "read_at": "document"},
    "loss_action": {"kind": "option", "options": ["hold", "low", "high"]},
    "host_register": {"kind": "integer", "read_at": "host"},
    "host_register_count": {"kind": "integer", "read_at": "host"},
    "host_device": {"kind": "integer", "read_at": "host"},
    "host_low": {**_PRESSURE, "read_at": "host"},
    "host_high": {**_PRESSURE, "read_at": "host"},
    "host_reading": {**_PRESSURE, "read_at": "host"},
    "host_quality": {"kind": "option", "options": ["good", "bad"], "read_at": "host"},
    "host_timeout": {"kind": "integer", "unit": "s", "read_at": "host"},
}
"""A setting for every role, named after it (invented). A new role is a text until it is added here."""
SETTINGS |= {role: {"kind": "text"} for role in ROLES if role not in SETTINGS}
ROLELESS: dict[str, dict[str, Any]] = {
    "display_note": {"kind": "text", "role": ""},
    "seal": {"kind": "text", "role": "", "critical": True},
    "sticker": {"kind": "text", "role": "", "required": False},
}
"""Settings without a role: an ordinary one, a critical one and one that is not required."""
SENSOR = {"low": 0, "high": 1000, "smallest_span": 50}
WIDE_SENSOR = {"low": -5000, "high": 5000}


@dataclass(frozen=True, kw_only=True)
class SiteOf:
    """A site to be written: what is planned and what was found; everything else can be left out."""

    planned: Rows = field(default_factory=dict)
    """Nodes; `network` puts one into a network other than North, `type` makes it a `meter`, not a `probe`."""
    found: Rows | Mapping[str, Sequence[Row]] | None = None
    """Rows of found.csv, or of several files by name; None: check the plan alone."""
    gateway: Row = field(default_factory=dict)
    """What is planned for the gateways, called GW-North and so on."""
    gateway_found: Row | str | None = AS_PLANNED
    """What was found on them; None: they were not read."""
    networks: Mapping[str, Row] = field(default_factory=dict)
    """More about a network: addresses, capacity, defaults, its own `gateway` and `gateway_found`."""
    plan: Row = field(default_factory=dict)
    """More keys of the plan, for instance `approved`; `site` is merged."""
    settings: Mapping[str, Row | None] = field(default_factory=dict)
    """Changes to the settings of nodes; a new name adds a setting, None removes one."""
    meter_settings: Mapping[str, Row | None] = field(default_factory=dict)
    """Further changes, to the settings of meters only."""
    hub_settings: Mapping[str, Row | None] = field(default_factory=dict)
    """The same for gateways."""
    type_keys: Row = field(default_factory=dict)
    """More keys of the device types of nodes, for instance `moves_outputs`."""
    prefix: str = ""
    """Put before every setting's name, which is then not its role."""
    site_rules: Row | None = None

    def rows(self, side: str) -> dict[str, list[dict[str, str]]]:
        """Return the rows of each file of a side, as texts, without the gateways."""
        given = self.planned if side == "planned" else self.found
        if side == "planned":
            files: dict[str, list[Row]] = {}
            for row in _tagged(_listed(given)):
                files.setdefault(f"{row.get('network', 'North')}.csv", []).append(row)
            return {name: [_texts(row, without="network") for row in rows] for name, rows in files.items()}
        if isinstance(given, Mapping) and any(name.endswith(".csv") for name in given):
            return {name: [_texts(row) for row in _tagged(rows)] for name, rows in given.items()}
        rows = _tagged(_listed(given))
        return {"found.csv": [_texts(row) for row in rows]} if rows else {}

    def cells(self, side: str, tag: str, name: str) -> list[Cell]:
        """Return the cells of a node's field or setting on one side, in all files."""
        found = []
        for file, rows in self.rows(side).items():
            headings = _headings(rows)
            for number, row in enumerate(rows, 2):
                if row.get("tag") == tag and name in row:
                    found.append((file, number, column_letter(headings.index(name)), row[name]))
        return found

    def network_names(self) -> list[str]:
        """Return the networks that have nodes, or are described."""
        names = [name.removesuffix(".csv") for name in self.rows("planned")]
        return list(dict.fromkeys([*names, *self.networks])) or ["North"]

    def write(self, folder: Path) -> Order:
        """Write all files into a folder and return the order to check them."""
        folder.mkdir(exist_ok=True)
        types = self._types()
        for name, device in types.items():
            _write_json(folder / f"{name}.json", device, indent=None)
        plan_rows = self.rows("planned")
        for name, rows in plan_rows.items():
            write_csv(folder / name, rows)
        site = {"name": "Testwick (invented)", "revision": "3", **self.plan.get("site", {})}
        plan: dict[str, Any] = {
            "asfound": "plan/1",
            "device_types": [f"{name}.json" for name in types],
            **self.plan,
            "site": site,
            "networks": [self._network(name, f"{name}.csv" in plan_rows) for name in self.network_names()],
        }
        if self.site_rules is not None:
            head = {"asfound": "site-rules/1", "title": "Own rules (invented)", "version": "1"}
            _write_json(folder / "own.yaml", {**head, **self.site_rules})
            plan["rules"] = ["own.yaml"]
        _write_json(folder / "plan.yaml", plan)
        return Order(folder / "plan.yaml", self._readback(folder))

    def _types(self) -> dict[str, dict[str, Any]]:
        probe = {**SETTINGS, **ROLELESS, **self.settings}
        hub = {**SETTINGS, **ROLELESS, **self.hub_settings}
        kinds = {
            "hub": ("gateway", hub, None),
            "probe": ("node", probe, SENSOR),
        }
        if self._has_meters():
            kinds["meter"] = ("node", {**probe, **self.meter_settings}, WIDE_SENSOR)
        return {
            name: {
                "asfound": "device-type/1",
                "name": name,
                "device": device,
                "sensors": {"main": sensor} if sensor else {},
                **(self.type_keys if device == "node" else {}),
                "settings": [
                    {"role": key if key in ROLES else "", **setting, "name": self.prefix + key}
                    for key, setting in settings.items() if setting is not None
                ],
            }
            for name, (device, settings, sensor) in kinds.items()
        }  # fmt: skip

    def _has_meters(self) -> bool:
        """Tell whether anything names a meter. Reading its type takes a tenth of the time of a small site."""
        return bool(self.meter_settings) or "'meter'" in repr(
            (self.planned, self.found, self.networks, self.plan)
        )

    def _gateway(self, network: str, side: str) -> Row | None:
        own = self.networks.get(network, {})
        planned = {"tag": f"GW-{network}", **self.gateway, **own.get("gateway", {})}
        if side == "planned":
            return planned
        found = own.get("gateway_found", self.gateway_found)
        if found is None or found == AS_PLANNED:
            return None if found is None else {k: v for k, v in planned.items() if k != "position"}
        return {"tag": planned["tag"], **found}

    def _network(self, name: str, has_nodes: bool) -> dict[str, Any]:
        gateway = dict(self._gateway(name, "planned") or {})
        texts = ("tag", "serial", "location")
        fields: dict[str, Any] = {key: str(gateway.pop(key)) for key in texts if key in gateway}
        fields |= {"position": gateway.pop("position")} if "position" in gateway else {}
        extra = {k: v for k, v in self.networks.get(name, {}).items() if not k.startswith("gateway")}
        tables = [{"file": f"{name}.csv"}] if has_nodes else []
        return {"name": name, "gateway": {"type": "hub", **fields, "settings": gateway}, "node_type": "probe",
                "node_tables": tables, **extra}  # fmt: skip

    def _readback(self, folder: Path) -> list[Path]:
        if self.found is None:
            return []
        files = dict(self.rows("found"))
        gateways = [self._gateway(name, "found") for name in self.network_names()]
        read = [_texts(gateway) for gateway in gateways if gateway is not None]
        if read:
            files["gateways.csv"] = read
        for name, rows in files.items():
            write_csv(folder / name, rows)
        return [folder / name for name in files]


def _listed(rows: Rows | Mapping[str, Sequence[Row]] | None) -> Sequence[Row]:
    if rows is None:
        return []
    return [rows] if isinstance(rows, Mapping) else rows


def _tagged(rows: Sequence[Row]) -> list[Row]:
    """Give a row without a tag the letter of its place; `tag: None` leaves it without one."""
    return [{"tag": column_letter(i), **row} for i, row in enumerate(rows)]


def _texts(row: Row, without: str = "") -> dict[str, str]:
    return {key: as_text(value) for key, value in row.items() if key != without}


def as_text(value: object) -> str:
    """Return the text of a cell for a value: on and off for flags, nothing for None."""
    if isinstance(value, bool):
        return "on" if value else "off"
    return "" if value is None else str(value)


def _headings(rows: Iterable[Mapping[str, str]]) -> list[str]:
    return list(dict.fromkeys(key for row in rows for key in row))


def write_csv(path: Path, rows: Sequence[Mapping[str, str]]) -> None:
    """Write rows as a CSV file, with its columns in the order in which they first appear."""
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, _headings(rows), restval="")
        writer.writeheader()
        writer.writerows(rows)


def _write_json(path: Path, data: object, indent: int | None = 1) -> None:
    path.write_text(json.dumps(data, indent=indent, ensure_ascii=False), encoding="utf-8")


def result_of(folder: Path, *, gate: str = "handover", fail_on: Level | None = None, **site: Any) -> Result:
    """Write a site and return the whole result of checking it."""
    order = SiteOf(**site).write(folder)
    return run(Order(order.plan, order.readback, gate=gate, fail_on=fail_on, run_on="2026-05-01"))


def audit_of(folder: Path, *, rules: str | Sequence[str] = (), **site: Any) -> list[Finding]:
    """Write a site, check it, and return the findings of some rules, or all of them."""
    wanted = [rules] if isinstance(rules, str) else rules
    return [f for f in result_of(folder, **site).findings if not wanted or f.rule in wanted]


def is_field(name: str) -> bool:
    """Return whether a key of a row is a field such as `tag`, and not a setting."""
    return name in FIELDS or name in ("installed_on", "network")
