"""Folding under a gateway: nodes that are as planned are not blamed for it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import causes, fold, nodes
from tests.site_builder import audit_of


def test_one_wrong_gateway_is_one_cause_with_all_its_nodes(tmp_path: Path) -> None:
    """Forty nodes that follow the plan are not forty faults: the gateway left it."""
    site: dict[str, Any] = {"gateway": {"channel": 13}, "planned": nodes(40), "found": nodes(40, channel=13)}

    cause = fold(tmp_path, "gateway-off-plan", gateway_found={"channel": 14}, **site)

    assert (cause.node, cause.planned, cause.found) == ("GW-North", "13", "14")
    assert cause.dependents == [f"channel-differs/North/N{n:02}/channel" for n in range(1, 41)]


def test_nodes_that_encrypt_go_under_the_gateway_that_does_not(tmp_path: Path) -> None:
    """Encryption was switched off at the gateway to find a fault, and never switched on again."""
    site: dict[str, Any] = {"gateway": {"encryption": "on"}, "gateway_found": {"encryption": "off"}}

    cause = fold(tmp_path, "gateway-off-plan", **site, planned=nodes(3), found=nodes(3, encryption="on"))

    assert cause.dependents == [f"encryption-differs/North/N{n:02}/encryption" for n in range(1, 4)]


def test_nodes_that_followed_their_gateway_go_under_it(tmp_path: Path) -> None:
    """Nodes that were re-set with the gateway have the same cause as those that were not."""
    cause = fold(
        tmp_path, "gateway-off-plan", gateway={"channel": 13}, gateway_found={"channel": 14},
        planned=nodes(3), found=nodes(3, channel=[14, 14, 13]),
    )  # fmt: skip

    rules = sorted(dependent.split("/")[0] for dependent in cause.dependents)
    assert rules == ["channel-differs", "radio-off-plan", "radio-off-plan"]


def test_a_node_with_a_third_value_is_a_cause_of_its_own(tmp_path: Path) -> None:
    """A node that follows neither the plan nor its gateway is not excused by the gateway."""
    found = causes(
        tmp_path, gateway={"channel": 13}, gateway_found={"channel": 14}, planned=nodes(2),
        found=nodes(2, channel=[13, 22]),
    )  # fmt: skip

    assert [(f.rule, f.node) for f in found] == [("gateway-off-plan", "GW-North"), ("channel-differs", "N02")]


def test_a_gateway_does_not_excuse_what_the_plan_itself_has_wrong(tmp_path: Path) -> None:
    """A node planned on another channel than its gateway is wrong whatever the gateway is set to."""
    found = causes(
        tmp_path, gateway={"channel": 13}, gateway_found={"channel": 14}, planned=nodes(2, channel=[13, 22]),
        found=nodes(2, channel=[13, 22]),
    )  # fmt: skip

    assert [(f.node, f.id.endswith("/planned")) for f in found] == [("GW-North", False), ("N02", True)]


def test_a_gateway_that_the_plan_is_silent_about_is_one_cause(tmp_path: Path) -> None:
    """The plan gives the channel to the nodes alone; all are as planned, and only the gateway is not."""
    cause = fold(tmp_path, "gateway-against-nodes", gateway_found={"channel": 8},
                 planned=nodes(5, channel=7), found=nodes(5, channel=7))  # fmt: skip

    assert (cause.node, cause.setting, cause.found) == ("GW-North", "channel", "8")
    assert len(cause.dependents) == 5
    assert cause.message == "channel is 8; 5 nodes are as planned, with 7"


def test_a_gateway_that_the_plan_gives_another_channel_than_its_nodes(tmp_path: Path) -> None:
    """It is as planned itself: the plan is wrong, and nobody knows which side of it."""
    found = causes(tmp_path, gateway={"channel": 8}, planned=nodes(3, channel=7), found=nodes(3, channel=7))

    assert all(f.id.endswith("/planned") for f in found)


@pytest.mark.parametrize("setting", ["local_lock", "service_port", "firmware"])
def test_a_gateway_does_not_excuse_what_a_node_does_not_take_from_it(setting: str, tmp_path: Path) -> None:
    """An open lock at the gateway does not explain one at a node: both have to be visited."""
    planned, found = ("2.0", "1.0") if setting == "firmware" else ("on", "off")
    found_causes = causes(
        tmp_path, gateway={setting: planned}, gateway_found={setting: found},
        planned={setting: planned}, found={setting: found},
    )  # fmt: skip

    assert "A" in {f.node for f in found_causes}


def test_a_gateway_does_not_excuse_another_setting_without_a_role(tmp_path: Path) -> None:
    """Two settings without a role have nothing else in common."""
    found = causes(
        tmp_path, gateway={"display_note": "x"}, gateway_found={"display_note": "y"},
        planned={"seal": "S-1"}, found={"seal": "S-2"},
    )  # fmt: skip

    assert sorted((f.rule, f.node) for f in found) == [
        ("gateway-off-plan", "GW-North"),
        ("setting-differs", "A"),
    ]


@pytest.mark.parametrize(("channel", "under"), [(7, True), (9, False)])
def test_a_node_as_planned_in_another_list_goes_under_its_gateway_off_plan(
    channel: int, under: bool, tmp_path: Path
) -> None:
    """Two gateways are crossed: nodes as planned have joined the other one, and one off plan has not."""
    networks = {
        "North": {"gateway": {"channel": 7}, "gateway_found": {"channel": 9}},
        "South": {"gateway": {"channel": 9}, "gateway_found": {"channel": 7}},
    }
    planned = [*nodes(3), {"tag": "S01", "network": "South"}]
    found = [*nodes(3, channel=[channel, 7, 7], joined_gateway="GW-South"),
             {"tag": "S01", "channel": 9, "joined_gateway": "GW-North"}]  # fmt: skip

    findings = audit_of(tmp_path, networks=networks, planned=planned, found=found)

    by_id = {f.id: f for f in findings}
    wrong = {f.node: by_id.get(f.caused_by or "") for f in findings if f.rule == "joined-wrong-gateway"}
    its = {node: (cause.rule, cause.node) if cause else None for node, cause in wrong.items()}
    north, south = ("gateway-off-plan", "GW-North"), ("gateway-off-plan", "GW-South")
    assert its == {"N01": north if under else None, "N02": north, "N03": north, "S01": south}


def test_a_gateway_off_plan_does_not_explain_a_node_at_one_of_another_radio(tmp_path: Path) -> None:
    """North has lost its encryption; that does not make its nodes heard on South's channel."""
    networks = {
        "North": {"gateway": {"channel": 7, "encryption": "on"},
                  "gateway_found": {"channel": 7, "encryption": "off"}},
        "South": {"gateway": {"channel": 9}},
    }  # fmt: skip
    planned = [*nodes(3), {"tag": "S01", "network": "South"}]
    found = [*nodes(3, channel=7, joined_gateway=["GW-South", "GW-North", "GW-North"]),
             {"tag": "S01", "channel": 9, "joined_gateway": "GW-South"}]  # fmt: skip

    (wrong,) = audit_of(
        tmp_path, rules="joined-wrong-gateway", networks=networks, planned=planned, found=found
    )

    assert (wrong.node, wrong.caused_by) == ("N01", None)


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


FIRES: list[Fires] = [
    fires("gateway-against-nodes", "three nodes", "channel", node="GW-North", others=["N01", "N02", "N03"],
          gateway_found={"channel": 8}, planned=nodes(3, channel=7), found=nodes(3, channel=7),
          says="channel is 8; 3 nodes are as planned, with 7"),
    fires("gateway-against-nodes", "more than have followed it", "channel", node="GW-North",
          others=["N01", "N02", "N03"], gateway_found={"channel": 8},
          planned=nodes(5, channel=7), found=nodes(5, channel=[7, 7, 7, 8, 8])),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("nodes-orphaned-by-gateway", "never a finding itself", idle=None,
           gateway={"channel": 7}, gateway_found={"channel": 8}, found={"channel": 7}),
    silent("gateway-against-nodes", "two nodes", gateway_found={"channel": 8}, planned=nodes(2, channel=7),
           found=nodes(2, channel=7)),
    silent("gateway-against-nodes", "as many have followed it", gateway_found={"channel": 8},
           planned=nodes(6, channel=7), found=nodes(6, channel=[7, 7, 7, 8, 8, 8])),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, at the gateway, with the nodes that it concerns."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What only looks similar is not put together."""
    case.check(tmp_path)
