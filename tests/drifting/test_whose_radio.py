"""Records of two networks, whose nodes hang where they are not planned, or are moved: each has one radio."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from audit.drifting.running import DriftOrder, run
from tests.site_builder import SiteOf, write_csv
from tests.small_site import run as run_command

Changes = Sequence[Mapping[str, Any]]
DEVICES: Mapping[str, Mapping[str, Any]] = {
    "A": {"serial": "101", "network": "North", "channel": 7},
    "B": {"serial": "102", "network": "North", "channel": 7},
    "S": {"serial": "103", "network": "South", "channel": 9},
    "GW-North": {"network": "North", "channel": 7},
    "GW-South": {"network": "South", "channel": 9},
}
"""What is planned, and found for the baseline unless a case says otherwise."""
IN_SOUTH = {"A": {"network": "South", "channel": 9}}
ELSEWHERE = {"A": {"network": "", "channel": 9}}
"""A is on the channel of South, and no column says in which network."""


def move(node: str, day: str, to: str, **more: str) -> Mapping[str, Any]:
    """Return the record of a move."""
    return {"what": "move", "node": node, "date": day, "to": to, **more}


def channel(day: str, before: int, after: int, **of: str) -> Mapping[str, Any]:
    """Return the record that a gateway, or a whole network, was set to another channel."""
    return {"setting": "channel", "date": day, "from": before, "to": after, **of}


@dataclass(frozen=True, kw_only=True)
class Case:
    """What differs from the plan for the baseline and now, what the records say, and what is reported."""

    name: str
    then: Mapping[str, Mapping[str, Any]] = field(default_factory=dict)
    more: Mapping[str, Any] = field(default_factory=dict)
    """What all devices have in addition, then and now."""
    changes: Changes
    now: Mapping[str, Mapping[str, Any]]
    told: Sequence[tuple[str, str]] = ()
    """Rule and node of each finding above a note."""

    def run(self, folder: Path) -> list[tuple[str, str | None]]:
        """Seal what was found then, and return what is reported of what is found now."""
        nodes = [{"tag": tag, **its} for tag, its in DEVICES.items() if "serial" in its]
        gateways = {its["network"]: {"gateway": {"channel": its["channel"], **self.more}}
                    for its in DEVICES.values() if "serial" not in its}  # fmt: skip
        site = SiteOf(planned=[{key: row[key] for key in ("tag", "serial", "network")} for row in nodes],
                      networks=gateways).write(folder / "site")  # fmt: skip
        _write(folder / "then.csv", self.then, {**self.more, "read_at": "2026-03-30"})
        _write(folder / "now.csv", self.now, {**self.more, "read_at": "2026-06-15"})
        sealed = run_command("seal", site.plan, folder / "then.csv", "--signed-by", "R. Sample", "--on",
                             "2026-03-31", "--even-failing", "--out", folder / "then.json")  # fmt: skip
        assert sealed.code == 0, sealed.written
        changes = [
            {"id": f"C-{n}", "approved_by": "I. Placeholder", **one} for n, one in enumerate(self.changes)
        ]
        records = folder / "changes.json"
        records.write_text(json.dumps({"asfound": "changes/1", "changes": changes}), encoding="utf-8")
        result = run(DriftOrder(baseline=folder / "then.json", readback=[folder / "now.csv"],
                                changes=[records], run_on="2026-06-20"))  # fmt: skip
        ours = ("drift-", "node-", "record-", "unit-")
        return [(one.rule, one.node) for one in result.findings
                if one.level != "note" and one.rule.startswith(ours)]  # fmt: skip


def _write(path: Path, otherwise: Mapping[str, Mapping[str, Any]], more: Mapping[str, Any]) -> None:
    """Write a readback of all devices, some of them otherwise than planned."""
    rows = [{"tag": tag, "serial": "", **its, **otherwise.get(tag, {}), **more}
            for tag, its in DEVICES.items()]  # fmt: skip
    write_csv(path, [{key: str(text) for key, text in row.items()} for row in rows])


CASES = [
    Case(name="the gateway of its plan is set, and it hangs at the other",
         then=IN_SOUTH, changes=[channel("2026-04-09", 7, 20, network="North")],
         now={**IN_SOUTH, "B": {"channel": 20}, "GW-North": {"channel": 20}}),
    Case(name="both gateways are set",
         then=IN_SOUTH,
         changes=[channel("2026-04-06", 9, 21, node="GW-South"),
                  channel("2026-04-14", 7, 20, network="North")],
         now={"A": {"network": "South", "channel": 21}, "B": {"channel": 20}, "S": {"channel": 21},
              "GW-North": {"channel": 20}, "GW-South": {"channel": 21}}),
    Case(name="it had left when its gateway was set",
         changes=[move("A", "2026-04-10", "GW-South"), channel("2026-04-30", 7, 20, node="GW-North")],
         now={**IN_SOUTH, "B": {"channel": 20}, "GW-North": {"channel": 20}}),
    Case(name="it came, and its new gateway was set twice",
         changes=[move("S", "2026-04-05", "North"), channel("2026-04-14", 7, 21, network="North"),
                  channel("2026-04-24", 21, 22, network="North")],
         now={"S": {"network": "North", "channel": 22}, "A": {"channel": 22}, "B": {"channel": 22},
              "GW-North": {"channel": 22}}),
    Case(name="it was left behind where it hung",
         then=IN_SOUTH, changes=[channel("2026-04-06", 9, 21, node="GW-South")],
         now={**IN_SOUTH, "S": {"channel": 21}, "GW-South": {"channel": 21}},
         told=[("record-not-borne-out", "A")]),
    Case(name="its gateway is set, and no column says in which network it is now",
         changes=[channel("2026-04-14", 7, 20, node="GW-North")],
         now={"A": {"network": "", "channel": 20}, "B": {"channel": 20}, "GW-North": {"channel": 20}}),
    Case(name="a record of its tag in a network where it never was",
         changes=[channel("2026-04-14", 7, 20, node="A", network="South")], now={"A": {"channel": 20}},
         told=[("drift-unexplained", "A"), ("record-not-borne-out", "A")]),
    Case(name="its channel alone shows that it was moved",
         changes=[move("A", "2026-04-10", "South")], now=ELSEWHERE),
    Case(name="its channel alone shows that it was moved, which two records say",
         changes=[move("A", "2026-04-10", "GW-South"), move("A", "2026-04-12", "South")], now=ELSEWHERE),
    Case(name="its channel shows that it was not moved",
         changes=[move("A", "2026-04-10", "South")], now={"A": {"network": ""}},
         told=[("record-not-borne-out", "A")]),
    Case(name="the channel was not read, and an air rate that both gateways have shows no move",
         more={"air_rate": 50}, changes=[move("A", "2026-04-10", "South")],
         now={"A": {"network": "", "channel": ""}}, told=[("record-not-borne-out", "A")]),
    Case(name="it was not moved, as its channel shows, and its gateway was set since",
         changes=[move("A", "2026-04-10", "South"), channel("2026-05-06", 7, 20, network="North")],
         now={"A": {"network": "", "channel": 20}, "B": {"channel": 20}, "GW-North": {"channel": 20}},
         told=[("record-not-borne-out", "A")]),
    Case(name="removed, and added at the other gateway",
         changes=[{"what": "removed", "node": "A", "date": "2026-04-09"},
                  {"what": "added", "node": "A", "network": "South", "date": "2026-04-10"}],
         now=IN_SOUTH),
    Case(name="exchanged, moved to a gateway, and renamed there",
         changes=[{"what": "exchange", "node": "A", "date": "2026-04-09", "to": "900"},
                  move("A", "2026-04-23", "GW-South"),
                  {"what": "retag", "node": "A", "network": "South", "date": "2026-05-01", "to": "AX"}],
         now={"A": {**IN_SOUTH["A"], "tag": "AX", "serial": "900"}}),
    Case(name="exchanged and renamed where it hung",
         then=IN_SOUTH,
         changes=[{"what": "exchange", "node": "A", "date": "2026-04-09", "to": "900"},
                  {"what": "retag", "node": "A", "date": "2026-05-01", "to": "AX"}],
         now={"A": {**IN_SOUTH["A"], "tag": "AX", "serial": "900"}}),
]  # fmt: skip


@pytest.mark.parametrize("case", CASES, ids=[case.name for case in CASES])
def test_a_node_has_the_radio_of_one_gateway(case: Case, tmp_path: Path) -> None:
    """That to which it was moved, or where it is found, and not also that of its plan."""
    assert case.run(tmp_path) == list(case.told)
