"""A fleet then and now: changes of many sorts, some of them on record, and what must be reported of each."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from audit.drifting.running import DriftOrder
from tests.drifts import RUN_ON, SEALED_ON
from tests.small_site import SmallSite, as_csv, small_site
from tests.small_site import run as command

NODES, NETWORKS = 5000, 10
CHANGES, RECORDED = 200, 90


@dataclass
class FleetThen:
    """A fleet's plan, what was found then and is found now, what is on record, and what must be reported."""

    planned: dict[str, dict[str, str]] = field(default_factory=dict)
    plan_now: dict[str, dict[str, str]] = field(default_factory=dict)
    then: dict[str, dict[str, str]] = field(default_factory=dict)
    now: dict[str, dict[str, str]] = field(default_factory=dict)
    records: list[dict[str, Any]] = field(default_factory=list)
    expected: list[tuple[str, str, str | None]] = field(default_factory=list)
    """Rule, tag and setting."""

    def record(self, tag: str, **change: Any) -> None:
        """Put a change on record."""
        network = self.planned[tag]["network"] if tag in self.planned else "Net 0"
        number = f"C-{len(self.records) + 1:03d}"
        self.records.append({"id": number, "node": tag, "network": network, "approved_by": "I. Placeholder",
                             "date": "2026-05-12"} | change)  # fmt: skip


Sort = Callable[[FleetThen, str, bool], None]


def drifted(fleet: FleetThen, tag: str, recorded: bool) -> None:
    """Change a setpoint."""
    fleet.now[tag]["high_alarm"] = "760"
    if recorded:
        fleet.record(tag, setting="high_alarm", **{"from": 780, "to": 760})
    fleet.expected.append(("drift-recorded" if recorded else "drift-unexplained", tag, "high_alarm"))


def planned_anew(fleet: FleetThen, tag: str, recorded: bool) -> None:
    """Change the plan but not the device; a record says that the device was changed."""
    fleet.plan_now[tag]["range_high"] = "1600"
    fleet.expected.append(("change-pending", tag, "range_high"))
    if recorded:
        fleet.record(tag, setting="range_high", **{"from": 1000, "to": 1600})
        fleet.expected.append(("record-not-borne-out", tag, "range_high"))


def followed(fleet: FleetThen, tag: str, recorded: bool) -> None:
    """Change plan and device to the same value."""
    fleet.plan_now[tag]["high_alarm"] = fleet.now[tag]["high_alarm"] = "755"
    if recorded:
        fleet.record(tag, setting="high_alarm", to=755)
    fleet.expected.append(("drift-recorded" if recorded else "change-without-record", tag, "high_alarm"))


def at_odds(fleet: FleetThen, tag: str, recorded: bool) -> None:
    """Change plan and device to different values."""
    fleet.plan_now[tag]["high_alarm"], fleet.now[tag]["high_alarm"] = "750", "745"
    if recorded:
        fleet.record(tag, setting="high_alarm", to=745)
    fleet.expected.append(("drift-recorded" if recorded else "all-three-differ", tag, "high_alarm"))


def corrected(fleet: FleetThen, tag: str, recorded: bool) -> None:
    """Correct what differed from the plan then."""
    fleet.then[tag]["high_alarm"] = "700"
    if recorded:
        fleet.record(tag, setting="high_alarm", **{"from": 700, "to": 780})
    fleet.expected.append(("drift-recorded" if recorded else "corrected-since-baseline", tag, "high_alarm"))


def exchanged(fleet: FleetThen, tag: str, recorded: bool) -> None:
    """Put a spare in its place, with another value of one setting."""
    serial = f"55{tag[2:]}"
    fleet.now[tag] |= {"serial": serial, "range_low": "5"}
    if recorded:
        fleet.record(tag, what="exchange", to=serial)
    fleet.expected.append(("device-change-recorded" if recorded else "unit-exchanged", tag, None))
    fleet.expected.append(("drift-unexplained", tag, "range_low"))


def renamed(fleet: FleetThen, tag: str, recorded: bool) -> None:
    """Give the node another tag."""
    fleet.now[tag]["tag"] = f"X-{tag}"
    if recorded:
        fleet.record(tag, what="retag", to=f"X-{tag}")
    fleet.expected.append(("device-change-recorded" if recorded else "node-renamed", tag, None))


def moved(fleet: FleetThen, tag: str, recorded: bool) -> None:
    """Move the node to another network."""
    fleet.now[tag]["network"] = "Elsewhere"
    if recorded:
        fleet.record(tag, what="move", to="Elsewhere")
    fleet.expected.append(("device-change-recorded" if recorded else "node-moved", tag, None))


def went(fleet: FleetThen, tag: str, recorded: bool) -> None:
    """Take the node away."""
    del fleet.now[tag]
    if recorded:
        fleet.record(tag, what="removed")
    fleet.expected.append(("device-change-recorded" if recorded else "node-gone", tag, None))


def came(fleet: FleetThen, tag: str, recorded: bool) -> None:
    """Put a device beside it that is not in the plan."""
    new = f"NEW-{tag}"
    fleet.now[new] = {**fleet.now[tag], "tag": new, "serial": f"88{tag[2:]}"}
    if recorded:
        fleet.record(new, what="added", network=fleet.planned[tag]["network"])
    fleet.expected.append(("device-change-recorded" if recorded else "node-added", new, None))


def read_too_early(fleet: FleetThen, tag: str, recorded: bool) -> None:
    """Change it, and record a change that is later than the reading."""
    fleet.now[tag]["range_high"] = "1200"
    fleet.expected.append(("drift-unexplained", tag, "range_high"))
    if recorded:
        fleet.now[tag]["read_at"] = "2026-05-02"
        fleet.record(tag, setting="range_high", to=1200)
        fleet.expected.append(("evidence-predates-change", tag, "range_high"))


def to_another_value(fleet: FleetThen, tag: str, recorded: bool) -> None:
    """Change it to a value other than the recorded one."""
    fleet.now[tag]["address"] = str(int(fleet.then[tag]["address"]) + 1000)
    fleet.expected.append(("drift-unexplained", tag, "address"))
    if recorded:
        fleet.record(tag, setting="address", to=int(fleet.then[tag]["address"]) + 2000)
        fleet.expected.append(("record-differs", tag, "address"))


SORTS: tuple[Sort, ...] = (
    drifted, planned_anew, followed, at_odds, corrected, exchanged, renamed, moved, went, came,
    read_too_early, to_another_value,
)  # fmt: skip


def fleet_of(seed: int) -> FleetThen:
    """Return a fleet with 200 changes of 12 sorts, each on a different node, 90 of them on record."""
    chance, fleet = random.Random(seed), FleetThen()
    for n in range(NODES):
        row = {"tag": f"T-{n:04d}", "serial": f"41{n:04d}", "network": f"Net {n % NETWORKS}", "channel": "7",
               "network_id": "A7", "address": str(n // NETWORKS + 1), "range_low": "0", "range_high": "1000",
               "high_alarm": "780", "read_at": "2026-06-15"}  # fmt: skip
        fleet.planned[row["tag"]] = row
    for tag, row in fleet.planned.items():
        fleet.plan_now[tag], fleet.then[tag], fleet.now[tag] = (
            dict(row), {**row, "read_at": "2026-03-30"}, dict(row),
        )  # fmt: skip
    tags = chance.sample(list(fleet.planned), CHANGES)
    on_record = set(chance.sample(range(CHANGES), RECORDED))
    for k, tag in enumerate(tags):
        SORTS[k % len(SORTS)](fleet, tag, k in on_record)
    return fleet


def write(fleet: FleetThen, folder: Path) -> DriftOrder:
    """Write the fleet, seal what was found then, and return the order for drift."""
    site = small_site(folder)
    radio = {"channel": "7", "network_id": "A7"}
    gateways = [
        {"tag": f"GW-{n}", "serial": f"9{n}", "network": f"Net {n}", **radio} for n in range(NETWORKS)
    ]

    def plan(name: str, rows: dict[str, dict[str, str]]) -> None:
        site.write(
            f"{name}.csv", as_csv([{k: v for k, v in row.items() if k != "read_at"} for row in rows.values()])
        )
        networks = [{"name": g["network"], "node_type": "node", "gateway": {
            "tag": g["tag"], "type": "gateway", "serial": g["serial"],
            "settings": {"channel": 7, "network_id": "A7"}}} for g in gateways]  # fmt: skip
        site.write(f"{name}.yaml", {"asfound": "plan/1", "site": {"name": "Fleet (invented)"},
                                    "networks": networks, "device_types": ["gateway.yaml", "node.yaml"],
                                    "node_tables": [{"file": f"{name}.csv"}]})  # fmt: skip

    plan("plan", fleet.planned)
    plan("plan-now", fleet.plan_now)
    site.write("then/nodes.csv", as_csv(list(fleet.then.values())))
    site.write("then/gateways.csv", as_csv(gateways))
    site.write("now/nodes.csv", as_csv(list(fleet.now.values())))
    site.write("now/gateways.csv", as_csv(gateways))
    changes = site.write("changes.json", {"asfound": "changes/1", "changes": fleet.records})
    baseline = _sealed(site)
    return DriftOrder(baseline=baseline, readback=[folder / "now"], plan=folder / "plan-now.yaml",
                      changes=[changes], run_on=RUN_ON)  # fmt: skip


def _sealed(site: SmallSite) -> Path:
    path = site.folder / "b.json"
    outcome = command("seal", site.plan, site.folder / "then", "--signed-by", "R. Sample", "--on", SEALED_ON,
                      "--out", path, "--even-failing", "--quiet")  # fmt: skip
    assert outcome.code == 0, outcome.written
    return path
