"""Folding of what nearly all nodes of a network have in common."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import QUIET, causes, nodes

PLANNED = nodes(5, report_interval=60)


def test_a_dead_gateway_is_one_cause_and_not_one_for_every_node(tmp_path: Path) -> None:
    """Nobody has heard any of five nodes: they share their gateway."""
    (cause,) = causes(tmp_path, planned=PLANNED, found=nodes(5, report_interval=60, last_heard=9999))

    assert (cause.rule, cause.node, len(cause.dependents)) == ("network-silent", "GW-North", 5)
    assert cause.message == "5 of 5 nodes have been silent for longer than allowed"


def test_a_list_of_another_gateway_is_one_cause(tmp_path: Path) -> None:
    """All nodes are in the neighbouring network's list: two networks share one identity."""
    planned = [*nodes(4), {"tag": "S01", "network": "South"}]
    found = [*nodes(4, joined_gateway="GW-South"), {"tag": "S01", "joined_gateway": "GW-South"}]

    (cause,) = causes(tmp_path, planned=planned, found=found)

    assert (cause.rule, cause.node, len(cause.dependents)) == ("network-silent", "GW-North", 4)


def test_the_gateway_that_left_the_plan_comes_first(tmp_path: Path) -> None:
    """It is known already why the nodes are silent."""
    (cause,) = causes(tmp_path, gateway={"channel": 7}, gateway_found={"channel": 8}, planned=PLANNED,
                      found=nodes(5, report_interval=60, channel=7, last_heard=9999))  # fmt: skip

    assert cause.rule == "gateway-off-plan"


def test_a_node_silent_for_its_own_reason_says_nothing_of_the_others(tmp_path: Path) -> None:
    """Three of seven nodes are on a channel of their own, and the other four are not heard either."""
    planned = nodes(7, channel=7, report_interval=60)
    found = nodes(7, channel=[8, 8, 8, 7, 7, 7, 7], report_interval=60, last_heard=9999)

    alike, silent_ones = sorted(
        causes(tmp_path, gateway={"channel": 7}, planned=planned, found=found),
        key=lambda cause: cause.node or "",
    )

    assert (alike.rule, silent_ones.rule) == ("same-on-many-nodes", "network-silent")
    assert len(silent_ones.dependents) == 4
    assert silent_ones.message.endswith("and 3 more with causes of their own")


def test_a_single_node_with_a_reason_of_its_own_is_worded_as_one(tmp_path: Path) -> None:
    """It has a cause, not causes."""
    planned = nodes(5, channel=7, report_interval=60)
    found = nodes(5, channel=[8, 7, 7, 7, 7], report_interval=60, last_heard=9999)

    (silent,) = (
        cause
        for cause in causes(tmp_path, gateway={"channel": 7}, planned=planned, found=found)
        if cause.rule == "network-silent"
    )
    assert silent.message.endswith("and 1 more with a cause of its own")


def test_a_gateway_with_another_name_in_its_list_need_not_be_looked_at(tmp_path: Path) -> None:
    """All nodes are in one list, with a name that the plan does not know: first ask whose list it is."""
    (cause,) = causes(tmp_path, planned=nodes(4), found=nodes(4, joined_gateway="Mast 1"))

    assert (cause.rule, cause.node, len(cause.dependents)) == ("nodes-under-unplanned-gateway", "GW-North", 4)
    assert cause.message == (
        "4 of 4 nodes are in the list of Mast 1, which is not planned as a gateway: it is GW-North under "
        "another name, or another gateway"
    )


@pytest.mark.parametrize(
    "listed", [["Mast 1", "Mast 1", "Mast 2", "Mast 2"], "GW-South"], ids=["two", "known"]
)
def test_nodes_in_two_lists_or_in_a_known_one_are_at_another_gateway(
    listed: list[str] | str, tmp_path: Path
) -> None:
    """One gateway has one name, and a gateway of the plan is not another one under that name."""
    planned = [*nodes(4), {"tag": "S01", "network": "South"}]
    found = [*nodes(4, joined_gateway=listed), {"tag": "S01", "joined_gateway": "GW-South"}]

    (cause,) = causes(tmp_path, planned=planned, found=found)

    assert cause.rule == "network-silent"


def test_nodes_that_are_set_for_the_other_gateway_are_their_own_cause(tmp_path: Path) -> None:
    """Their gateway is as planned: there is no point in looking at its power."""
    networks = {"North": {"gateway": {"channel": 7}}, "South": {"gateway": {"channel": 9}}}
    planned = [*nodes(4, channel=7), {"tag": "S01", "network": "South", "channel": 9}]
    south = {"tag": "S01", "joined_gateway": "GW-South", "channel": 9}
    found = [*nodes(4, channel=9, joined_gateway="GW-South"), south]

    (cause,) = causes(tmp_path, networks=networks, planned=planned, found=found)

    assert (cause.rule, len(cause.others)) == ("same-finding-on-many-nodes", 4)
    assert cause.message == (
        "on 4 devices: the node has joined GW-South, the gateway of South; it is planned in North"
    )


FIRES: list[Fires] = [
    fires("nodes-under-unplanned-gateway", "three nodes", node="GW-North", others=["N01", "N02", "N03"],
          planned=nodes(3), found=nodes(3, joined_gateway="Mast 1"), says="3 of 3 nodes are in the list"),
    fires("network-silent", "four of five nodes", node="GW-North", others=["N01", "N02", "N03", "N04"],
          **QUIET, planned=PLANNED,
          found=nodes(5, last_heard=[999, 999, 999, 999, 1]), says="4 of 5 nodes have been silent"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("nodes-under-unplanned-gateway", "two of five nodes", idle=None, planned=nodes(5),
           found=nodes(5, joined_gateway=["Mast 1", "Mast 1", "GW-North", "GW-North", "GW-North"])),
    silent("network-silent", "three of five nodes", planned=PLANNED,
           found=nodes(5, last_heard=[999, 999, 999, 1, 1])),
    silent("network-silent", "two nodes, which are all", planned=nodes(2, report_interval=60),
           found=nodes(2, last_heard=999)),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, with the devices that it concerns."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What only looks similar is not put together."""
    case.check(tmp_path)
