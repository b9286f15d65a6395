"""Channels: which a network may have, which stay, and why one changes."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.assigning import channels as module
from audit.assigning.channels import Assigned, channels
from audit.assigning.colouring import Impossible
from audit.assigning.suggesting import suggest
from audit.pairing.pair import pair
from audit.reading.inputs import Inputs
from audit.reading.plan import read_plan
from tests.site_builder import SiteOf


def assigned(folder: Path, current: dict[str, int | None], **site: Any) -> Assigned:
    """Return what is assigned to networks that are 100 m apart, each with one node."""
    networks: dict[str, Any] = {
        name: {"gateway": {"position": {"x_m": 100 * n, "y_m": 0}} | ({"channel": own} if own else {})}
        for n, (name, own) in enumerate(current.items())
    }
    nodes = [{"network": name, "x_m": 100 * n + 50, "y_m": 0, **site.pop(f"node_{name}", {})}
             for n, name in enumerate(current)]  # fmt: skip
    order = SiteOf(planned=nodes, networks=networks, **site).write(folder)
    return channels(pair(read_plan(order.plan, Inputs()), []), 10, 3)


def told(found: Assigned) -> list[tuple[str, str, str]]:
    """Return network, new channel and reason of each change."""
    return [(one.network, one.after, one.why) for one in found.changes]


def test_one_of_two_on_a_channel_moves(tmp_path: Path) -> None:
    """The reason says with which network it shares the channel, and how near that is."""
    found = assigned(tmp_path, {"North": 1, "South": 1})

    ((network, after, why),) = told(found)
    assert found.kept == 1
    assert (network in ("North", "South"), after) == (True, "2")
    assert why.startswith("shares channel 1 with ")
    assert "100 m away" in why
    assert found.quality == "No assignment without conflicts changes fewer networks"


def test_networks_at_one_place_are_near_each_other(tmp_path: Path) -> None:
    """A position that gateway and node share is a position, too."""
    place = {"x_m": 0, "y_m": 0}
    networks = {name: {"gateway": {"position": place, "channel": 1}} for name in ("North", "South")}
    order = SiteOf(planned=[{"network": name, **place} for name in networks], networks=networks)

    found = channels(pair(read_plan(order.write(tmp_path).plan, Inputs()), []), 10, 3)

    assert found.not_looked_at == []
    assert "0 m away" in told(found)[0][2]


@pytest.mark.parametrize("small", ["North", "South", "East"])
def test_of_two_on_a_channel_the_one_with_fewer_nodes_moves(small: str, tmp_path: Path) -> None:
    """Each of its nodes has to be set too. What they are called, and which comes first, is all one."""
    members = ("Middle", small, small, "Middle", "Middle")
    nodes = [{"network": name, "x_m": 50, "y_m": 0, "channel": 3} for name in members]
    networks = {name: {"gateway": {"position": {"x_m": 0, "y_m": 0}, "channel": 3}} for name in members}
    order = SiteOf(planned=nodes, networks=networks).write(tmp_path)
    found = channels(pair(read_plan(order.plan, Inputs()), []), 10, 3)

    assert [one.node for one in found.changes] == [f"GW-{small}", "B", "C"]


def test_fewest_move_and_only_rivals_are_named(tmp_path: Path) -> None:
    """Of four in a row, where only neighbours are too near, two move; each reason names the neighbours."""
    row = ["North", "East", "South", "West"]
    changes = told(assigned(tmp_path, dict.fromkeys(row, 1)))

    assert len(changes) == 2
    for network, _, why in changes:
        beside = {row[n] for n in (row.index(network) - 1, row.index(network) + 1) if 0 <= n < len(row)}
        assert {name for name in row if f"{name}, 100 m away" in why} == beside


def test_a_network_without_a_channel_gets_one(tmp_path: Path) -> None:
    """The plan has to give one."""
    assert told(assigned(tmp_path, {"North": 1, "South": None})) == [
        ("South", "2", "the plan gives no channel")
    ]


CHANNEL = {"kind": "option", "options": ["3", "5", "test"]}


def test_channels_may_be_options(tmp_path: Path) -> None:
    """Those that are numbers."""
    found = assigned(tmp_path, {"North": 3, "South": 3}, hub_settings={"channel": CHANNEL})

    assert [after for _, after, _ in told(found)] == ["5"]


@pytest.mark.parametrize(
    ("current", "after"), [({"North": 1, "South": 1}, {"2"}), ({"North": 3, "South": 1}, {"2"})], ids=str
)
def test_a_channel_that_the_nodes_cannot_be_set_to_is_not_proposed(
    current: dict[str, int | None], after: set[str], tmp_path: Path
) -> None:
    """Gateways have 1 to 3, nodes 1 and 2: their gateway's 3 they could not follow."""
    hub, own = ({"channel": {"kind": "integer", "low": 1, "high": high}} for high in (3, 2))
    found = assigned(tmp_path, current, hub_settings=hub, settings=own)

    assert {one for _, one, _ in told(found)} == after


@pytest.mark.parametrize("channel", [None, {"kind": "integer"}], ids=["none", "without limits"])
def test_a_gateway_without_channels_to_choose_from(tmp_path: Path, channel: dict[str, str] | None) -> None:
    """Nobody knows what it can be set to."""
    found = assigned(tmp_path, {"North": None, "South": None}, hub_settings={"channel": channel})

    assert found.kept == 0
    assert found.not_looked_at == [
        f"{name}: its gateway and nodes cannot be set to any one channel in its band, as their types say"
        for name in ("North", "South")
    ]


def test_a_channel_lies_in_any_range_of_its_band(tmp_path: Path) -> None:
    """Of 868.55, 868.65 and 868.75 MHz the second lies between two ranges of the band."""
    radio = {"band": "eu-863-870", "channels": {"first_mhz": 868.55, "step_mhz": 0.1}}

    ((_, after, _),) = told(assigned(tmp_path, {"North": 1, "South": 1}, plan={"radio": radio}))

    assert after == "3"


def test_channels_lie_inside_the_band(tmp_path: Path) -> None:
    """Only those in the plan's list that are within the band's limits; one outside cannot stay."""
    radio = {"band": "us-902-928-digital", "channels": {"first_mhz": 900, "step_mhz": 1}}

    assert told(assigned(tmp_path, {"North": 1}, plan={"radio": radio})) == [
        ("North", "3", "channel 1 cannot be used, or is given up to another network")
    ]


def test_a_node_with_its_own_word_of_the_channel_goes_along(tmp_path: Path) -> None:
    """Otherwise its cell would keep the old channel."""
    found = assigned(tmp_path, {"North": 1, "South": 1}, node_North={"channel": 1}, node_South={"channel": 1})

    gateway, node = found.changes
    assert (node.network, node.before, node.after) == (gateway.network, "1", gateway.after)
    assert node.why == "goes with its gateway"


def test_a_node_that_has_the_new_channel_already_is_no_change(tmp_path: Path) -> None:
    """Its gateway comes to where it is."""
    found = assigned(tmp_path, {"North": 1, "South": 1}, node_North={"channel": 2}, node_South={"channel": 2})

    (gateway,) = found.changes
    assert (gateway.before, gateway.after) == ("1", "2")


@pytest.mark.parametrize(
    ("where", "by_hand", "lines"), [("site", ["A", "B"], 1), ("network", [], 2)], ids=["all", "one network"]
)
def test_a_default_is_patched_where_it_stands_for_one_network_only(
    where: str, by_hand: list[str], lines: int, tmp_path: Path
) -> None:
    """For several networks it would take the others along. The smaller network changes."""
    default = {"defaults": {"channel": 1}}
    networks: dict[str, Any] = {
        name: {"gateway": {"channel": 1, "position": {"x_m": 100 * n, "y_m": 0}},
               **(default if where == "network" else {})}
        for n, name in enumerate(("North", "South"))
    }  # fmt: skip
    nodes = [{"network": name, "x_m": 100 * n + 50, "y_m": 0}
             for n, name in enumerate(("North", "North", "South", "South", "South"))]  # fmt: skip
    order = SiteOf(planned=nodes, networks=networks, plan=default if where == "site" else {}).write(tmp_path)

    made = suggest(order.plan, "channels", 10, 3)

    assert [one.node for one in made.suggestion.changes] == ["GW-North", "A", "B"]
    assert [one.partition(":")[0] for one in made.suggestion.by_hand] == by_hand
    changed = [line for line in made.diff.splitlines() if line.startswith("+ ")]
    assert len(changed) == lines


def test_a_search_that_was_stopped_proves_nothing(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """There may still be an assignment."""
    monkeypatch.setattr(module, "recolour", lambda *_: Impossible(["North", "South"], proven=False))
    (reason,) = assigned(tmp_path, {"North": 1, "South": 1}).impossible

    assert reason.startswith("no assignment was found for North, South before the search was stopped")
