"""A fault that was put right: what is still told of it where one readback has as-found and as-left rows."""

from __future__ import annotations

import copy
import random
import tempfile
from functools import cache
from pathlib import Path

from audit.model.result import Finding
from audit.run import Order, run
from tests.study.draft import Draft, clean
from tests.study.faults import FAULTS

STRAY = "a device that is not in the plan"
LASTING = {
    "code-in-clear": ("a code in clear", "the older file still has the code"),
    "code-trivial": ("a code in clear, and a trivial one", "only the older reading shows the code"),
    "tag-respelled": ("a tag respelled", "the older row is still written so"),
    "serial-corrected": ("two tags swapped", "the older row may be of another unit"),
    "unit-replaced": ("another serial number", "both units may be there"),
    "unplanned-node": (STRAY, "nothing shows that it is gone"),
    "gateway-over-capacity": (STRAY, "nothing shows that the stray is gone"),
    "reports-over-capacity": ("another serial number", "both units may be there"),
    "address-duplicate": ("another serial number", "both units may be there"),
    "tag-duplicate": ("another serial number", "both units may be there"),
    "device-type-differs": ("another device type", "only the older reading says what type it is"),
    "read-before-set": ("read before it was set", "it was set on a later day than all readings"),
}
"""Rule that a later reading as planned does not answer → a fault of which it is told, and why."""


@cache
def told_after(name: str) -> list[Finding]:
    """Return the findings on a site where a fault was found and, three weeks later, all was as planned."""
    chance = random.Random(name)
    draft = clean(chance)
    left = _later(draft, chance)
    FAULTS[name](draft, chance, 0)
    with tempfile.TemporaryDirectory() as folder:
        found, again = (
            one.site().write(Path(folder) / name) for name, one in (("found", draft), ("left", left))
        )
        return run(Order(found.plan, [*found.readback, *again.readback], run_on="2026-05-01")).findings


def at_devices(name: str) -> bool:
    """Tell whether a fault is one of the devices, or of what was read of them, and not of the plan."""
    chance = random.Random(name)
    draft = clean(chance)
    planned = copy.deepcopy((draft.planned, draft.networks, draft.plan))
    FAULTS[name](draft, chance, 0)
    return (draft.planned, draft.networks, draft.plan) == planned


def _later(draft: Draft, chance: random.Random) -> Draft:
    """Return a site read as it is in a draft, later, with other signals and readings, as these always are."""
    left = copy.deepcopy(draft)
    for row in left.found:
        reading = round(row["reading"] + chance.randint(1, 5) / 10, 1)
        row |= {"read_at": f"2026-04-25T{chance.randint(8, 16):02d}:{chance.randint(0, 59):02d}",
                "last_heard": chance.randint(5, 90), "battery_volts": row["battery_volts"] - 0.02,
                "reading": reading, "check_reading": reading, "host_reading": reading}  # fmt: skip
    for gateway in left.gateways.values():
        if gateway is not None:
            gateway |= {"read_at": "2026-04-25T07:00", "read_by": "A. Sample"}
    for gateway in draft.gateways.values():
        if gateway is not None:
            gateway |= {"read_at": "2026-04-02T07:00", "read_by": "A. Sample"}
    return left
