"""Forms for tests: made as the command makes them, and taken apart again."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

from audit.asking import asked_devices
from audit.foretelling import tables_of_slips
from audit.reading.inputs import Inputs
from audit.reading.plan import read_plan
from audit.reporting.form_html import render


def form_of(plan: Path, *networks: str) -> str:
    """Return the form for a plan, or for some of its networks."""
    loaded = read_plan(plan, Inputs())
    site = loaded.file.site
    return render(site, asked_devices(loaded, networks), tables_of_slips(site.elevation_m))


def data_of(page: str) -> dict[str, Any]:
    """Return the data in a form."""
    found = re.search(r'<script type="application/json" id="plan">(.*?)</script>', page, re.DOTALL)
    assert found
    data: dict[str, Any] = json.loads(found[1])
    return data


def devices_of(page: str) -> dict[str, dict[str, Any]]:
    """Return the devices of a form by tag: network, title, location, serial, settings in order, expected."""
    data = data_of(page)
    found = {}
    for network, tag, kind, location, serial, expected in data["devices"]:
        settings = [data["settings"][i] for i in data["types"][kind]["settings"]]
        found[tag] = {
            "network": data["networks"][network],
            "title": data["types"][kind]["title"],
            "location": location,
            "serial": serial,
            "settings": settings,
            "elsewhere": data["types"][kind]["elsewhere"],
            "expected": {
                setting["name"]: data["expected"][e][0]
                for setting, e in zip(settings, expected, strict=True)
                if e >= 0
            },
            "slips": {
                setting["name"]: slips_of(data, data["expected"][e][1])
                for setting, e in zip(settings, expected, strict=True)
                if e >= 0
            },
        }
    return found


def slips_of(data: dict[str, Any], table: int) -> dict[str, str]:
    """Return a table of slips as value → words; of a run of values the first and the last."""
    return {
        value: data["words"][said]
        for said, values, runs in data["tables"][table]
        for value in (*values, *(end for run in runs for end in run))
    }
