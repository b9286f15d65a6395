"""unique: addresses within a network, tags and serial numbers within the site."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.site_builder import SETTINGS, audit_of

PLANNED = [{"address": 1}, {"address": 2}, {"address": 3}]

NUMBERED = [{"serial": "S1", "address": 1}, {"serial": "S2", "address": 2}]
LABELS = [{**row, "tag": "A", "read_at": "2026-04-07"} for row in NUMBERED]
"""Both have the label of the first."""

FIRES = [
    fires("address-duplicate", "in the plan", "address", side="planned", others=["B"],
          planned=[{"address": 7}, {"address": "07"}], says="address 7 is held by A and B",
          at=[("North.csv", 2, "B"), ("North.csv", 3, "B")]),
    fires("address-duplicate", "the one that is off the plan is named first", "address", node="B",
          others=["A"],
          planned=PLANNED, found=[{"address": 1}, {"address": 1}, {"address": 3}],
          says="address 1 is held by B and A", at=[("found.csv", 2, "B")]),
    fires("address-duplicate", "four nodes are counted, not listed", "address", others=["B", "C", "D"],
          planned=[{"address": a} for a in (1, 2, 3, 4)], found=[{"address": 9}] * 4,
          says="address 9 is held by 4 devices"),
    fires("address-duplicate", "nodes of two device types", "address", node="B", others=["A"],
          planned=[{"address": 1}, {"address": 2, "type": "meter"}], found=[{"address": 1}, {"address": 1}]),
    fires("tag-duplicate", "in the plan, in two networks", side="planned", others=["A"],
          planned=[{"serial": "S1"}, {"tag": "A", "network": "South", "location": "Pit 2"}],
          says="tag A is held twice: North, serial S1; South, Pit 2",
          at=[("North.csv", 2, "A"), ("South.csv", 2, "A")]),
    fires("tag-duplicate", "one tag on two devices", network=None, others=["A"],
          says="tag A is held twice: serial S2, not in the plan; North, serial S1", planned={"serial": "S1"},
          found=[{"serial": "S1"}, {"tag": "A", "serial": "S2"}],
          at=[("found.csv", 2, "A"), ("found.csv", 3, "A")]),
    fires("tag-duplicate", "on a second device whose own list gives none", node="B", others=["A"],
          says="tag A is held by B and A", planned=[{"serial": "S1"}, {"serial": "S2"}],
          found={"sheet.csv": [{"tag": "A", "serial": "S1"}, {"tag": "A", "serial": "S2"}],
                 "list.csv": [{"tag": "", "serial": "S1", "address": 1},
                              {"tag": "", "serial": "S2", "address": 2}]},
          at=[("sheet.csv", 3, "A"), ("sheet.csv", 2, "A")]),
    fires("tag-duplicate", "on a label, and another in a later export", node="B", others=["A"],
          says="tag A is held by B and A", planned=NUMBERED,
          found={"labels.csv": LABELS,
                 "export.csv": [NUMBERED[1] | {"read_at": "2026-04-08", "channel": 7}]}),
    fires("serial-duplicate", "in the plan", side="planned", others=["B"],
          planned=[{"serial": "S1"}, {"serial": "S1"}], says="serial S1 is held by A and B"),
    fires("serial-duplicate", "under one tag in two networks", side="planned", others=["A"],
          planned=[{"serial": "S1"}, {"tag": "A", "serial": "S1", "network": "South"}],
          says="serial S1 is held by A in North and A in South"),
    fires("serial-duplicate", "found beside two tags", node="B", others=["A"],
          planned=[{"serial": "S1"}, {"serial": "S2"}], found=[{"serial": "S1"}, {"serial": "S1"}],
          says="serial S1 is held by B and A", at=[("found.csv", 3, "B"), ("found.csv", 2, "B")]),
    fires("serial-duplicate", "a gateway's number on a node",
          gateway={"serial": "S1"}, planned={"serial": "S2"}, found={"serial": "S1"}, others=["GW-North"],
          says="serial S1 is held by A and GW-North"),
]  # fmt: skip

SILENT = [
    silent("address-duplicate", "the same address in two networks",
           planned=[{"address": 7}, {"address": 7, "network": "South"}],
           found=[{"address": 7}, {"address": 7}]),
    silent("address-duplicate", "blanks are not alike", planned=PLANNED,
           found=[{"address": "n/a"}, {"address": ""}, {"address": 3}]),
    silent("address-duplicate", "two files agree about one node", planned={"address": 1},
           found={"one.csv": [{"address": 1}], "two.csv": [{"address": 1}]}),
    silent("address-duplicate", "a device of another network that is not in the plan",
           planned=[{"address": 7}, {"address": 8, "network": "South"}],
           found=[{"address": 7}, {"address": 8}, {"tag": "Z", "network": "South", "address": 7}]),
    silent("tag-duplicate", "tags that differ", planned=[{}, {}], found=[{}, {}]),
    silent("tag-duplicate", "the second device has its own tag by now",
           planned=NUMBERED, found=[*LABELS, NUMBERED[1] | {"tag": "B", "read_at": "2026-04-08"}]),
    silent("tag-duplicate", "two files name one device", planned={},
           found={"one.csv": [{}], "two.csv": [{}]}),
    silent("serial-duplicate", "numbers that differ by a zero in front",
           planned=[{"serial": "0123"}, {"serial": "123"}], found=[{"serial": "0123"}, {"serial": "123"}]),
    silent("serial-duplicate", "none given", idle=True, planned=[{}, {}], found=[{}, {}]),
    silent("serial-duplicate", "numbers that a spreadsheet made alike are serial-damaged's matter",
           planned=[{"serial": "402118300101"}, {"serial": "402118300102"}],
           found=[{"serial": "4.02E+11"}, {"serial": "4.02E+11"}]),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """A value held twice is one finding, on the device that should not have it, and names the others."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """Different values, different scopes, and two readings of one device are no duplicates."""
    case.check(tmp_path)


def test_a_third_node_that_joins_a_planned_duplicate_is_reported_as_found(tmp_path: Path) -> None:
    """The plan's own duplicate is reported once, and so is the node that joined it on site."""
    findings = audit_of(
        tmp_path,
        rules="address-duplicate",
        planned=[{"address": 7}, {"address": 7}, {"address": 9}],
        found=[{"address": 7}, {"address": 7}, {"address": 7}],
    )

    assert [(f.node, f.found) for f in findings] == [("A", None), ("C", "7")]


@pytest.mark.parametrize("found", [[7, None], [None, 7], [7, 9], [None, None]], ids=str)
def test_a_duplicate_of_the_plan_keeps_its_id_whatever_is_read(
    found: list[int | None], tmp_path: Path
) -> None:
    """Otherwise it would be new, and the one reported before anyone drove out would be gone."""
    (finding,) = audit_of(
        tmp_path, rules="address-duplicate", planned=[{"address": 7}, {"address": 7}],
        found=[{"address": value} if value else {} for value in found],
    )  # fmt: skip

    assert finding.id == "address-duplicate/North/A/address/planned"


def test_a_duplicate_is_listed_under_the_slip_that_made_it(tmp_path: Path) -> None:
    """The node that took another's address is one cause: its address differs."""
    findings = audit_of(tmp_path, planned=PLANNED, found=[{"address": 1}, {"address": 1}, {"address": 3}])

    by_rule = {f.rule: f for f in findings}
    assert by_rule["address-duplicate"].caused_by == by_rule["address-differs"].id


def test_two_devices_that_are_not_in_the_plan_can_share_an_address(tmp_path: Path) -> None:
    """Two strangers at one address are one finding, about the first of them."""
    strangers = [{"tag": tag, "network": "North", "address": 9} for tag in ("Y", "Z")]

    (finding,) = audit_of(
        tmp_path, rules="address-duplicate", planned={"address": 1}, found=[{"address": 1}, *strangers]
    )

    assert (finding.node, finding.others) == ("Y", ["Z (not in the plan)"])


def test_an_address_shared_with_a_device_that_is_not_in_the_plan(tmp_path: Path) -> None:
    """The message says which address it is, and which of the two is not in the plan."""
    (finding,) = audit_of(
        tmp_path,
        rules="address-duplicate",
        planned={"address": 12},
        found=[{"address": 12}, {"tag": "Z", "network": "North", "address": 12}],
    )

    assert "address 12 " in finding.message
    assert "Z (not in the plan)" in finding.message
    assert {finding.node, *finding.others} >= {"A"}
    assert [(e.row, e.column) for e in finding.evidence if e.raw == "12"].count((3, "B")) == 1


def own_rule(check: dict[str, object], *sides: str) -> dict[str, object]:
    """Return site rules with one rule `own`."""
    rule = {"id": "own", "title": "An own rule", "level": "error", "why": "w", "remedy": "r", "source": "s"}
    return {"rules": [{**rule, "check": {"kind": "unique", **check}, "sides": list(sides)}]}


def test_zero_is_a_value_like_any_other(tmp_path: Path) -> None:
    """Two devices at register 0 hold the same register."""
    rules = own_rule({"role": "host_register", "within": "site"}, "planned")

    findings = audit_of(tmp_path, rules="own", planned=[{"host_register": 0}] * 2, site_rules=rules)

    assert [(f.node, f.others) for f in findings] == [("A", ["B"])]


def test_a_serial_number_may_have_to_be_unique_in_its_network(tmp_path: Path) -> None:
    """Rows of several files are more than there are devices, and each is looked at."""
    rules = own_rule({"field": "serial", "within": "network"}, "found")
    files = {"a.csv": [{"serial": "S1"}, {"serial": "S1"}], "b.csv": [{"serial": "S1"}]}

    findings = audit_of(
        tmp_path, rules="own", planned=[{"serial": "S1"}, {"serial": "S2"}], found=files, site_rules=rules
    )

    assert [(f.node, f.others) for f in findings] == [("B", ["A"])]


def test_one_device_that_holds_a_value_at_two_of_its_settings(tmp_path: Path) -> None:
    """It is reported as one device, with the settings that hold the value."""
    rules = own_rule({"role": "host_register", "within": "site"}, "planned")
    second = {"register_2": SETTINGS["host_register"] | {"role": "host_register", "input": "two"}}

    (finding,) = audit_of(tmp_path, rules="own", planned={"host_register": 40, "register_2": 40},
                          site_rules=rules, settings=second)  # fmt: skip

    assert finding.message == "host_register 40 is held twice by A: host_register and register_2"
