"""Chains of baselines with any content, for tests of the history."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from audit.model.baseline import Content
from audit.sealing.contents import sealed

Devices = Mapping[str, Mapping[str, str]]
"""Tag → settings as read, and `serial`, `network` (if not North) and other fields read.

An empty setting was not read. `planned high_alarm` is what was planned where something else was read.
"""

SETTINGS: list[dict[str, Any]] = [
    {"name": "channel", "kind": "integer", "role": "channel"},
    {"name": "address", "kind": "integer", "role": "address"},
    {"name": "range_low", "kind": "decimal", "role": "range_low", "unit": "m", "step": 0.01},
    {"name": "range_high", "kind": "decimal", "role": "range_high", "unit": "m", "step": 0.01},
    {"name": "high_alarm", "kind": "decimal", "role": "alarm_high", "unit": "m", "step": 0.01},
    {"name": "report_interval", "kind": "integer", "role": "report_interval", "unit": "s"},
    {"name": "rssi", "kind": "integer", "role": "rssi", "unit": "dBm"},
    {"name": "firmware", "kind": "text", "role": "firmware"},
]


def chain(
    folder: Path,
    years: Sequence[Devices],
    findings: Sequence[Sequence[dict[str, Any]]] = (),
    settings: Sequence[Sequence[dict[str, Any]]] = (),
) -> list[Path]:
    """Write one baseline a year from 2020 on, each naming the one before. GW-N is the gateway.

    `settings` are those of the level nodes, year by year, if they are not always SETTINGS.
    """
    paths: list[Path] = []
    previous: str | None = None
    for n, devices in enumerate(years):
        known = settings[n] if settings else SETTINGS
        data = _content(f"{2020 + n}-05-10", devices, findings[n] if findings else (), known)
        content = Content.model_validate_json(json.dumps(data | ({"previous": previous} if previous else {})))
        text, made = sealed(content)
        path = folder / f"{2020 + n}.json"
        path.write_text(text, encoding="utf-8", newline="")
        paths.append(path)
        previous = made.sha256
    return paths


def _content(
    day: str, devices: Devices, findings: Sequence[dict[str, Any]], settings: Sequence[dict[str, Any]]
) -> dict[str, Any]:
    placed: dict[str, dict[str, Any]] = {}
    for tag, values in devices.items():
        placed.setdefault(values.get("network", "North"), {})[tag] = _device(tag, dict(values))
    return {
        "site": {"name": "Hillside (invented)"},
        "sealed_on": day,
        "signed_by": "R. Sample",
        "verdict": "fail" if findings else "pass",
        "gate": {"id": "handover", "title": "Quality gate", "fail_on": "error"},
        "counts": {},
        "tool": {"name": "asfound", "version": "0"},
        "packs": [],
        "inputs": [],
        "findings": list(findings),
        "networks": [{"name": name, "gateway": f"GW-{name[0]}"} for name in placed],
        "device_types": [
            {"asfound": "device-type/1", "name": "level", "title": "Level (invented)", "device": "node",
             "settings": list(settings)},
            {"asfound": "device-type/1", "name": "gateway", "title": "Gateway (invented)",
             "device": "gateway", "settings": SETTINGS[:1]},
        ],
        "devices": placed,
    }  # fmt: skip


def _device(tag: str, values: dict[str, str]) -> dict[str, Any]:
    serial = values.pop("serial", f"S{tag}")
    values.pop("network", None)
    names = {"read_tag": values.pop("read_tag", ""), "read_network": values.pop("read_network", "")}
    kind = "gateway" if tag.startswith("GW") else "level"
    planned = {name.removeprefix("planned "): values.pop(name) for name in list(values) if " " in name}
    return {"type": kind, "serial": serial, "settings": values, "planned": planned} | names
