"""Folding: findings with one cause stand under it, and nothing is lost or hidden on the way."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.model.result import Finding
from tests.checks.cases import Fires, Silent, fires, silent
from tests.site_builder import audit_of

QUIET: dict[str, Any] = {"settings": {"default_refused": None}, "hub_settings": {"default_refused": None}}
"""Device types without a factory code, so that nobody has to try it."""


def nodes(count: int, **settings: Any) -> list[dict[str, Any]]:
    """Return planned or found nodes N01, N02 …; a list gives each its own value."""
    return [
        {"tag": f"N{n + 1:02}", **{k: v[n] if isinstance(v, list) else v for k, v in settings.items()}}
        for n in range(count)
    ]


def causes(folder: Path, **site: Any) -> list[Finding]:
    """Return the findings that have no cause."""
    return [f for f in audit_of(folder, **QUIET, **site) if f.caused_by is None]


def fold(folder: Path, rule: str, **site: Any) -> Finding:
    """Return the finding of a folding rule, which has to be the only cause."""
    (cause,) = causes(folder, **site)
    assert cause.rule == rule
    return cause


def test_one_wrong_gateway_is_one_cause_with_all_its_nodes(tmp_path: Path) -> None:
    """Forty nodes that follow the plan are not forty faults: the gateway left it."""
    site: dict[str, Any] = {"gateway": {"channel": 13}, "planned": nodes(40), "found": nodes(40, channel=13)}

    cause = fold(tmp_path, "gateway-off-plan", gateway_found={"channel": 14}, **site)

    assert (cause.node, cause.planned, cause.found) == ("GW-North", "13", "14")
    assert cause.dependents == [f"channel-differs/North/N{n:02}/channel" for n in range(1, 41)]


def test_nodes_that_followed_their_gateway_stand_under_it(tmp_path: Path) -> None:
    """Nodes that were re-set with the gateway have the same cause as those that were not."""
    cause = fold(
        tmp_path, "gateway-off-plan", gateway={"channel": 13}, gateway_found={"channel": 14},
        planned=nodes(3), found=nodes(3, channel=[14, 14, 13]),
    )  # fmt: skip

    rules = sorted(dependent.split("/")[0] for dependent in cause.dependents)
    assert rules == ["channel-differs", "radio-off-plan", "radio-off-plan"]


def test_a_node_with_a_third_value_is_a_cause_of_its_own(tmp_path: Path) -> None:
    """A node that neither follows the plan nor its gateway is not excused by the gateway."""
    found = causes(
        tmp_path, gateway={"channel": 13}, gateway_found={"channel": 14}, planned=nodes(2),
        found=nodes(2, channel=[13, 22]),
    )  # fmt: skip

    assert [(f.rule, f.node) for f in found] == [("gateway-off-plan", "GW-North"), ("channel-differs", "N02")]


@pytest.mark.parametrize("setting", ["local_lock", "service_port", "firmware"])
def test_a_gateway_does_not_excuse_what_a_node_does_not_take_from_it(setting: str, tmp_path: Path) -> None:
    """A lock left open at the gateway is no cause of one left open at a node: both have to be visited."""
    planned, found = ("2.0", "1.0") if setting == "firmware" else ("on", "off")
    found_causes = causes(
        tmp_path, gateway={setting: planned}, gateway_found={setting: found},
        planned={setting: planned}, found={setting: found},
    )  # fmt: skip

    assert "A" in {f.node for f in found_causes}


def test_a_gateway_does_not_excuse_another_setting_without_a_role(tmp_path: Path) -> None:
    """Two settings without a role have nothing in common but that."""
    found = causes(
        tmp_path, gateway={"display_note": "x"}, gateway_found={"display_note": "y"},
        planned={"seal": "S-1"}, found={"seal": "S-2"},
    )  # fmt: skip

    assert sorted((f.rule, f.node) for f in found) == [
        ("gateway-off-plan", "GW-North"),
        ("setting-differs", "A"),
    ]


def test_a_gateway_excuses_its_own_network_only(tmp_path: Path) -> None:
    """A node of South that is off its gateway's channel has nothing to do with the gateway of North."""
    found = causes(
        tmp_path,
        networks={"North": {"gateway": {"channel": 13}, "gateway_found": {"channel": 14}},
                  "South": {"gateway": {"channel": 13}}},
        planned=[{"channel": 13}, {"channel": 13, "network": "South"}],
        found=[{"channel": 13}, {"channel": 14}],
    )  # fmt: skip

    assert sorted((f.rule, f.node) for f in found) == [
        ("channel-differs", "B"),
        ("gateway-off-plan", "GW-North"),
    ]


def test_a_series_that_was_filled_down_is_one_cause(tmp_path: Path) -> None:
    """Channels 34, 35, 36, 37 where 34 was to be repeated are one slip of a spreadsheet."""
    cause = fold(
        tmp_path, "filled-as-series", gateway={"channel": 34}, planned=nodes(4),
        found=nodes(4, channel=[34, 35, 36, 37]),
    )  # fmt: skip

    assert "counts up from device to device, 35 to 37, on 3 nodes; planned is 34" in cause.message
    assert cause.others == ["N02", "N03", "N04"]


def test_two_values_that_go_on_from_the_planned_one_are_a_series(tmp_path: Path) -> None:
    """34, 35, 36 is a series from the first row on, though only two values are wrong."""
    cause = fold(
        tmp_path, "filled-as-series", gateway={"channel": 34}, planned=nodes(3),
        found=nodes(3, channel=[34, 35, 36]),
    )  # fmt: skip

    assert len(cause.dependents) == 2


@pytest.mark.parametrize(
    ("name", "channels"),
    [("a gap", [35, 37, 39]), ("counts down", [37, 36, 35]), ("not in a row", [35, 34, 36])],
    ids=str,
)
def test_other_values_are_no_series(name: str, channels: list[int], tmp_path: Path) -> None:
    """Only values that count up by one from row to row look filled down."""
    rules = {f.rule for f in audit_of(tmp_path, gateway={"channel": 34}, planned=nodes(3),
                                      found=nodes(3, channel=channels))}  # fmt: skip

    assert "filled-as-series" not in rules


@pytest.mark.parametrize("shift", [1, -1], ids=["next", "previous"])
def test_rows_that_slipped_are_one_cause(shift: int, tmp_path: Path) -> None:
    """Each node shows its neighbour's settings: the table moved by a row against its tags."""
    address, high = [11, 23, 35, 47, 59], [100, 250, 300, 450, 500]
    moved = [(n + shift) % 5 for n in range(5)]
    end = 4 if shift == 1 else 0
    slipped = [moved[n] if n != end else n for n in range(5)]
    cause = fold(
        tmp_path, "rows-slipped", planned=nodes(5, address=address, range_high=high),
        found=nodes(5, address=[address[n] for n in slipped], range_high=[high[n] for n in slipped]),
    )  # fmt: skip

    which = "next" if shift == 1 else "previous"
    assert (
        f"4 nodes, {cause.others[0]} to {cause.others[-1]}, each show the values planned for the {which} one"
        in (cause.message)
    )
    assert len(cause.dependents) >= 8


def test_the_same_other_value_on_many_nodes_is_one_cause(tmp_path: Path) -> None:
    """Three nodes at 60 s where 300 s was planned were set from one wrong sheet."""
    cause = fold(
        tmp_path, "same-on-many-nodes", planned=nodes(5, report_interval=300),
        found=nodes(5, report_interval=[60, 60, 300, 60, 300]),
    )  # fmt: skip

    assert (cause.planned, cause.found, cause.setting) == ("300 s", "60 s", "report_interval")
    assert cause.others == ["N01", "N02", "N04"]
    assert cause.level == "error"


def test_the_same_value_in_two_spellings_is_the_same_difference(tmp_path: Path) -> None:
    """A zero in front or a unit behind a number makes no other value, here as in comparing."""
    found = nodes(4, report_interval=[60, "060", "60 s", "1 min"])

    cause = fold(tmp_path, "same-on-many-nodes", planned=nodes(4, report_interval=300), found=found)

    assert len(cause.dependents) == 4


def test_two_nodes_alike_are_two_causes(tmp_path: Path) -> None:
    """Two nodes may be wrong alike by chance; three are put together."""
    found = causes(tmp_path, planned=nodes(2, report_interval=300), found=nodes(2, report_interval=60))

    assert [f.rule for f in found] == ["report-interval-differs"] * 2


def test_nodes_of_two_networks_are_not_put_together(tmp_path: Path) -> None:
    """A network has its own sheet and its own cause."""
    planned = [
        {**row, "network": name} for name, row in zip("ABAB", nodes(4, report_interval=300), strict=True)
    ]

    found = causes(tmp_path, planned=planned, found=nodes(4, report_interval=60))

    assert len(found) == 4


def test_a_column_that_nobody_read_is_one_cause(tmp_path: Path) -> None:
    """A sheet without a column for the address leaves out one thing, not one for every node."""
    found = causes(tmp_path, planned=nodes(12, address=list(range(1, 13))), found=nodes(12))

    assert [(f.rule, f.setting, len(f.dependents)) for f in found] == [
        ("not-read-on-many-nodes", "address", 12)
    ]
    assert "address was not read on 12 devices" in found[0].message
    assert found[0].level == "error"


def test_nodes_that_nobody_read_are_one_cause(tmp_path: Path) -> None:
    """A network of which only the gateway was read is one gap."""
    found = causes(tmp_path, planned=nodes(4), found=[])

    assert [(f.rule, f.others) for f in found] == [("not-read-on-many-nodes", ["N01", "N02", "N03", "N04"])]


@pytest.mark.parametrize("text", ["", "n/a", "not tried"])
def test_a_default_code_that_nobody_tried_is_one_gap(text: str, tmp_path: Path) -> None:
    """Forty times 'not tried' is one gap in the work, whether it was written out or left blank."""
    findings = audit_of(tmp_path, planned=nodes(4), gateway_found={"default_refused": "yes"},
                        found=nodes(4, default_refused=text))  # fmt: skip

    assert len([f for f in findings if f.caused_by is None]) == 1


@pytest.mark.parametrize(
    ("symptom", "cause", "planned", "found"),
    [
        ("alarm-order-wrong", "alarm-off-plan", {"alarm_low": 20, "alarm_high": 80},
         {"alarm_low": 20, "alarm_high": 8}),
        ("alarm-outside-range", "range-differs", {"range_low": 0, "range_high": 100, "alarm_high": 80},
         {"range_low": 0, "range_high": 60, "alarm_high": 80}),
        ("range-differs", "unit-differs", {"unit": "kPa g", "range_high": 1000},
         {"unit": "bar", "range_high": 10}),
        ("address-left-default", "address-differs", {"address": 3}, {"address": 247}),
        ("register-overlap", "register-differs", [{"host_register": 1}, {"host_register": 9}],
         [{"host_register": 1}, {"host_register": 1}]),
        ("value-outside-device", "address-differs", {"address": 3}, {"address": 999}),
        ("reading-implausible", "offset-unexplained", {"range_low": 0, "range_high": 100},
         {"range_low": 0, "range_high": 100, "offset": 50, "reading": 70, "check_reading": 20}),
        ("register-overlap", "register-differs", [{"host_register": 9}, {"host_register": 1}],
         [{"host_register": 9}, {"host_register": 9}]),
        ("stale-shown-good", "silent-node", {"report_interval": 60},
         {"last_heard": 999, "host_quality": "good"}),
        ("word-order-suspect", "host-map-differs", {"host_high": 100},
         {"host_high": 200, "reading": "123.5", "host_reading": "2.4022459e-41"}),
    ],
)  # fmt: skip
def test_a_symptom_stands_under_its_cause(
    symptom: str, cause: str, planned: Any, found: Any, tmp_path: Path
) -> None:
    """What follows from another finding on the same device is told under it."""
    by_rule = {f.rule: f for f in audit_of(tmp_path, planned=planned, found=found)}

    assert by_rule[symptom].caused_by == by_rule[cause].id
    assert by_rule[symptom].id in by_rule[cause].dependents


@pytest.mark.parametrize(
    ("symptom", "cause", "found"),
    [("channel-differs", "joined-wrong-gateway", {"channel": 8, "joined_gateway": "GW-2"}),
     ("silent-node", "channel-differs", {"channel": 8, "last_heard": 999})],
)  # fmt: skip
def test_what_follows_from_the_wrong_radio(symptom: str, cause: str, found: Any, tmp_path: Path) -> None:
    """A node in another gateway's list has that one's channel; a node on another channel is silent."""
    radio = {"channel": 7}
    findings = audit_of(tmp_path, gateway=radio, gateway_found=radio, found=found,
                        planned=radio | {"report_interval": 60})  # fmt: skip
    by_rule = {f.rule: f for f in findings}

    assert by_rule[symptom].caused_by == by_rule[cause].id


def test_a_symptom_on_the_innocent_neighbour(tmp_path: Path) -> None:
    """A node that moved into its neighbour's registers is the cause on either node."""
    planned = [{"host_register": 1}, {"host_register": 9}, {"host_register": 20}]
    for moved in range(3):
        found = [dict(row) for row in planned]
        found[moved] = planned[(moved + 1) % 3]
        findings = audit_of(tmp_path / str(moved), planned=planned, found=found)
        (cause,) = [f for f in findings if f.rule == "register-differs"]

        assert {f.caused_by for f in findings if f.rule == "register-overlap"} == {cause.id}


def test_a_symptom_of_a_folded_finding_stands_under_the_root(tmp_path: Path) -> None:
    """Duplicates that come of a slipped table stand under the slip, and not under one of its rows."""
    cause = fold(
        tmp_path, "rows-slipped", planned=nodes(4, address=[1, 2, 3, 4]),
        found=nodes(4, address=[2, 3, 4, 4]),
    )  # fmt: skip

    assert any(d.startswith("address-duplicate/") for d in cause.dependents)


FIRES = [
    fires("filled-as-series", "three rows", "channel", node=None, others=["N02", "N03", "N04"],
          gateway={"channel": 34}, planned=nodes(4), found=nodes(4, channel=[34, 35, 36, 37])),
    fires("rows-slipped", "three rows", node=None, others=["N01", "N02", "N03"],
          planned=nodes(4, address=[11, 23, 35, 47]), found=nodes(4, address=[23, 35, 47, 47])),
    fires("same-on-many-nodes", "three nodes", "channel", node=None, others=["N01", "N02", "N03"],
          gateway={"channel": 7}, planned=nodes(3), found=nodes(3, channel=9),
          says="channel is 9 on 3 nodes alike, planned 7", at=[("found.csv", 2, "B")]),
    fires("not-read-on-many-nodes", "three nodes", "channel", node=None, others=["N01", "N02", "N03"],
          **QUIET, planned=nodes(3, channel=7), found=nodes(3, address=1),
          says="channel was not read on 3 devices"),
    fires("much-not-read", "three settings of a node", "channel", "air_rate", "address", node="A",
          gateway={"channel": 7, "air_rate": 50}, planned={"address": 1}, found={"default_refused": "yes"},
          says="3 settings were not read: channel, air_rate, address"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("nodes-orphaned-by-gateway", "never a finding itself", idle=None,
           gateway={"channel": 7}, gateway_found={"channel": 8}, found={"channel": 7}),
    silent("filled-as-series", "addresses are planned to count up",
           planned=nodes(3, address=[1, 2, 3]), found=nodes(3, address=[2, 3, 4])),
    silent("rows-slipped", "two rows are too few", planned=nodes(2, address=[1, 2]),
           found=nodes(2, address=[2, 1])),
    silent("same-on-many-nodes", "two nodes", planned=nodes(2, channel=7), found=nodes(2, channel=9)),
    silent("not-read-on-many-nodes", "two nodes", gateway_found={"default_refused": "yes"},
           planned=nodes(2, address=[1, 2]), found=nodes(2, default_refused="yes")),
    silent("much-not-read", "two settings", gateway_found={"default_refused": "yes"},
           planned={"address": 1, "firmware": "1"}, found={"default_refused": "yes"}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is told once, about the network, with the devices that it concerns."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What only looks alike is not put together."""
    case.check(tmp_path)
