"""Opponent: DeepDiff on the whole, the devices of a baseline and those of a readback in the same form.

Exits with code 0 only if it finds as many changed settings as its last argument says.
"""

from __future__ import annotations

import csv
import json
import sys
from pathlib import Path
from typing import Any

from deepdiff import DeepDiff

Devices = dict[str, dict[str, dict[str, Any]]]
FIELDS = ("network", "tag", "serial")


def main(baseline: str, found: str, gateways: str, expected: str) -> None:
    """Compare every device in full."""
    before: Devices = json.loads(Path(baseline).read_text(encoding="utf-8"))["content"]["devices"]
    network_of = {tag: network for network, devices in before.items() for tag in devices}
    after: Devices = {network: {} for network in before}
    for name in (gateways, found):
        with Path(name).open(encoding="utf-8", newline="") as stream:
            for row in csv.DictReader(stream):
                network = network_of[row["tag"]]
                after[network][row["tag"]] = device(row, before[network][row["tag"]])
    difference = DeepDiff(before, after)
    changed = difference.get("values_changed", {})
    sys.stdout.write("".join(f"{where}: {change}\n" for where, change in changed.items()))
    sys.exit(set(difference) > {"values_changed"} or len(changed) != int(expected))


def device(row: dict[str, str], before: dict[str, Any]) -> dict[str, Any]:
    """Return a row in the form of a baseline's device; whatever is not a reading stays as it was."""
    settings = {name: plain(text) for name, text in row.items() if name not in FIELDS}
    return {**before, "serial": row["serial"], "settings": settings}


def plain(text: str) -> str:
    """Return a number without the zeros that only a display writes."""
    return text.rstrip("0").rstrip(".") if text.count(".") == 1 else text


if __name__ == "__main__":
    main(*sys.argv[1:5])
