"""Folding of faults in the plan: at one place for many devices, or values that no device can have."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import QUIET, causes, nodes

DEFAULT_77: dict[str, Any] = {"networks": {"North": {"defaults": {"air_rate": "77"}}}}
"""A default that no device can be set to."""


def test_a_default_that_is_wrong_is_one_cause_with_all_that_differs_from_it(tmp_path: Path) -> None:
    """Each device is as its gateway: nothing has to be done at any of them, only one word in the plan."""
    (cause,) = causes(tmp_path, **DEFAULT_77, gateway={"air_rate": "50"}, planned=nodes(3),
                      found=nodes(3, air_rate="50"))  # fmt: skip

    assert cause.rule == "plan-wrong-for-many"
    assert sorted({name.split("/")[0] for name in cause.dependents}) == [
        "air-rate-differs", "radio-off-plan", "value-outside-device",
    ]  # fmt: skip
    assert [place.raw for place in cause.evidence] == ["77", "50"]


def test_a_default_of_the_site_is_one_cause_in_all_networks(tmp_path: Path) -> None:
    """One line of the plan is wrong: with it go what the devices cannot be set to, and their power."""
    site: dict[str, Any] = {
        "plan": {"defaults": {"radio_power": 27}, "radio": {"licence": {"erp_dbm": 14}}},
        "settings": {"radio_power": {"kind": "decimal", "unit": "dBm", "step": 1, "low": 0, "high": 14}},
    }
    planned = [{"network": network} for network in ("North", "North", "South", "South")]
    (cause,) = causes(tmp_path, planned=planned, **site)

    assert (cause.rule, cause.network, cause.others) == ("plan-wrong-for-many", None, ["A", "B", "C", "D"])
    assert cause.message.startswith("planned in one place for 4 devices in 2 networks: radio_power 27")
    assert {name.split("/")[0] for name in cause.dependents} == {
        "value-outside-device", "radiated-power-excess",
    }  # fmt: skip
    assert len(cause.dependents) == 8


def test_one_planned_value_that_cannot_be_is_one_cause_with_what_differs_from_it(tmp_path: Path) -> None:
    """The node shows what its gateway has; the plan of this one node is wrong."""
    (cause,) = causes(tmp_path, gateway={"channel": 7}, planned={"channel": 9}, found={"channel": 7})

    assert (cause.rule, cause.node, cause.id.endswith("/planned")) == ("channel-differs", "A", True)
    assert cause.dependents == ["radio-off-plan/North/A/channel"]


def test_a_value_planned_twice_differently_is_one_cause_whichever_the_device_shows(tmp_path: Path) -> None:
    """Nobody knows which entry holds: the device must not be set to the first one's value."""
    one = {"tag": "A", "serial": "S1", "address": 11, "range_high": 100}
    (cause,) = causes(tmp_path, planned=[one, one | {"range_high": 200}], found=[one | {"range_high": 200}])

    assert (cause.rule, cause.dependents) == ("node-planned-twice", ["range-differs/North/A/range_high"])


def test_a_value_planned_twice_the_same_is_a_difference_of_its_own(tmp_path: Path) -> None:
    """The plan leaves no doubt about it."""
    one = {"tag": "A", "serial": "S1", "address": 11, "range_high": 100}
    found = causes(tmp_path, planned=[one, one | {"address": 12}], found=[one | {"range_high": 200}])

    assert {cause.rule for cause in found} == {"node-planned-twice", "range-differs"}


@pytest.mark.parametrize("field", ["serial", "tag"])
def test_names_that_were_filled_down_in_the_plan_are_one_cause(field: str, tmp_path: Path) -> None:
    """The devices have names of their own: their findings go under what the plan gives to all."""
    found = nodes(3, serial=["S1", "S2", "S3"], address=[11, 12, 13])

    (cause,) = causes(tmp_path, planned=[row | {field: found[0][field]} for row in found], found=found)

    assert cause.rule == f"{field}-duplicate"
    assert [name.split("/")[0] for name in cause.dependents] == ["tag-serial-mismatch"] * 2


@pytest.mark.parametrize("network", ["North", "South"])
def test_a_node_that_was_moved_in_the_plan_and_left_where_it_was_is_one_cause(
    network: str, tmp_path: Path
) -> None:
    """It is planned in two networks and was read in one: nobody has to go to the other place for it."""
    planned = [{"tag": "A", "serial": "S1", "network": name} for name in ("North", "South")]
    found = [{"tag": "A", "serial": "S1", "network": network}]

    (cause,) = causes(tmp_path, planned=planned, found=found)

    assert (cause.rule, cause.id.endswith("/planned")) == ("tag-duplicate", True)
    assert sorted(name.split("/")[0] for name in cause.dependents) == ["node-not-read", "serial-duplicate"]


def test_another_device_with_the_tag_of_a_node_that_was_moved_is_unread(tmp_path: Path) -> None:
    """Its serial number shows that it is another one, and nobody has been there."""
    planned = [{"tag": "A", "serial": "S1", "network": name} for name in ("North", "South")]
    other = {"tag": "A", "serial": "S2", "network": "East"}

    told = causes(tmp_path, planned=[*planned, other], found=[planned[0]])

    assert [one.network for one in told if one.rule == "node-not-read"] == ["South", "East"]


def test_a_node_in_two_networks_that_was_read_in_neither_is_unread(tmp_path: Path) -> None:
    """Whichever place holds, somebody has to go there."""
    planned = [{"tag": "A", "serial": "S1", "network": name} for name in ("North", "South")]
    found = [{"tag": "B", "serial": "S2", "network": "North"}]

    told = causes(tmp_path, planned=[*planned, *found], found=found)

    assert sorted(one.rule for one in told) == ["node-not-read", "node-not-read", "tag-duplicate"]


def test_what_nodes_take_from_their_gateway_goes_under_the_gateway(tmp_path: Path) -> None:
    """The plan gives the gateway's air rate to its nodes as well: it is corrected at the gateway."""
    (cause,) = causes(tmp_path, gateway={"air_rate": "77"}, planned=nodes(2))

    assert (cause.rule, cause.node) == ("value-outside-device", "GW-North")
    assert len(cause.dependents) == 2


def test_a_plan_that_cannot_be_right_does_not_follow_from_a_reading(tmp_path: Path) -> None:
    """The gateway was found on another rate than planned, and the planned one does not exist."""
    found = causes(tmp_path, gateway={"air_rate": "77"}, gateway_found={"air_rate": "50"},
                   planned=nodes(2), found=nodes(2, air_rate="50"))  # fmt: skip

    assert [(f.rule, f.node, f.id.endswith("/planned")) for f in found] == [
        ("value-outside-device", "GW-North", True)
    ]


@pytest.mark.parametrize(
    ("rule", "planned", "found"),
    [
        ("address-out-of-block", {"address": 41}, {"address": 14}),
        ("alarm-outside-range", {"range_low": 0, "range_high": 100, "alarm_high": 120},
         {"range_low": 0, "range_high": 100, "alarm_high": 90}),
        ("alarm-order-wrong", {"alarm_low": 80, "alarm_high": 20}, {"alarm_low": 10, "alarm_high": 20}),
    ],
)  # fmt: skip
def test_what_differs_from_a_wrong_plan_goes_under_it(
    rule: str, planned: Any, found: Any, tmp_path: Path
) -> None:
    """The device does not have the fault: the plan is corrected before anybody goes there."""
    (cause,) = causes(tmp_path, planned=planned, found=found,
                      networks={"North": {"addresses": {"first": 11, "last": 20}}})  # fmt: skip

    assert (cause.rule, cause.id.endswith("/planned"), len(cause.dependents)) == (rule, True, 1)


def test_a_device_with_the_fault_of_the_plan_keeps_its_own_finding(tmp_path: Path) -> None:
    """Both are outside the range, but with different values."""
    alarms = {"range_low": 0, "range_high": 100, "alarm_high": 120}
    found = causes(tmp_path, planned=alarms, found=alarms | {"alarm_high": 130})

    assert {(f.rule, f.id.endswith("/planned")) for f in found} == {
        ("alarm-outside-range", True), ("alarm-off-plan", False),
    }  # fmt: skip


def test_a_fault_among_found_values_does_not_go_away_with_the_plan(tmp_path: Path) -> None:
    """The planned range is beyond the sensor; A is within limits, but B's alarm is outside its set range."""
    planned = nodes(2, range_low=0, range_high=2000, alarm_high=90)
    found = nodes(2, range_low=0, range_high=[100, 50], alarm_high=90)
    roots = causes(tmp_path, planned=planned, found=found)

    assert ("alarm-outside-range", "N02") in {(f.rule, f.node) for f in roots}
    assert not any(f.rule == "range-differs" for f in roots)


def test_a_value_that_is_in_order_with_the_plan_in_no_way_keeps_its_finding(tmp_path: Path) -> None:
    """900 < 730 is planned: the low alarm was found in order with the high one, the high one never is."""
    planned = {"alarm_low": 900, "alarm_high": 730}
    roots = causes(tmp_path, planned=planned, found={"alarm_low": 220, "alarm_high": 500})

    assert {(f.rule, *f.settings) for f in roots} == {
        ("alarm-order-wrong", "alarm_low", "alarm_high"), ("alarm-off-plan", "alarm_high"),
    }  # fmt: skip


def test_two_faults_of_one_place_are_both_reported(tmp_path: Path) -> None:
    """A default alarm limit fits one range and not the others: the limit need not be what is wrong."""
    planned = nodes(3, range_low=0, range_high=[100, 200, 1000])
    site: dict[str, Any] = {"networks": {"North": {"defaults": {"alarm_high": 500}}}}

    assert {f.rule for f in causes(tmp_path, planned=planned, **site)} == {"alarm-outside-range"}


FIRES: list[Fires] = [
    fires("plan-wrong-for-many", "a default", "air_rate", node=None, others=["N01", "N02"], side="planned",
          **QUIET, **DEFAULT_77, planned=nodes(2), says="planned in one place for 2 devices: air_rate 77 "),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("plan-wrong-for-many", "one node", **QUIET, **DEFAULT_77, planned=nodes(1)),
    silent("plan-wrong-for-many", "two links that are weak for being as long", **QUIET, planned=[
        {"radio_power": "", "air_rate": "50", "x_m": x, "y_m": 0} for x in (9000, -9000)],
        type_keys={"sensitivity_dbm": {"50": -98}},
        networks={"North": {"gateway": {"position": {"x_m": 0, "y_m": 0}, "frequency": 868.3},
                            "defaults": {"radio_power": 14}}}),
    silent("plan-wrong-for-many", "each has its own", **QUIET, planned=nodes(3, air_rate="77")),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, for the network, with the devices that it concerns."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What only looks similar is not put together."""
    case.check(tmp_path)
