"""Gateways that go to another one's channel: that one leaves first; of two swapped ones both are named."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

from audit.model.worklist import Step, WorkList
from tests.worklist.sites import node, work_of

PLANNED = {"North": 13, "South": 14, "East": 15}


def gateways(folder: Path, found: Mapping[str, int]) -> dict[str, Step]:
    """Return network → the step of its gateway, for gateways found on other channels than planned."""
    networks: dict[str, Any] = {
        name: {"gateway": {"channel": channel, "default_refused": "yes"},
               "gateway_found": {"channel": found[name], "default_refused": "yes"}}
        for name, channel in PLANNED.items()
    }  # fmt: skip
    rows = [node(11 + n, network=name, tag=f"{name}-{n}", channel=channel)
            for name, channel in PLANNED.items() for n in range(3)]  # fmt: skip
    work: WorkList = work_of(folder, planned=rows, found=rows, networks=networks)
    return {str(step.network): step for step in work.steps if step.changes}


def test_a_gateway_waits_for_the_one_that_is_on_its_channel(tmp_path: Path) -> None:
    """North is on South's channel, South on that of East: North goes home first, then South, then East."""
    steps = gateways(tmp_path, {"North": 14, "South": 15, "East": 30})

    assert steps["North"].number < steps["South"].number < steps["East"].number
    assert steps["South"].needs[-1:] == [steps["North"].number]
    assert not any("also has" in (step.hold or "") for step in steps.values())


def test_two_exchanged_gateways_share_a_channel_for_a_while_and_both_networks_are_told(
    tmp_path: Path,
) -> None:
    """Whichever is set first comes to the channel that the other still has."""
    steps = gateways(tmp_path, {"North": 14, "South": 13, "East": 15})
    first, second = sorted(steps.values(), key=lambda step: step.number)

    shared = f"{second.tag} also has channel {first.changes[0].after} until step {second.number}"
    assert f"{shared}: outage of both networks agreed" in (first.hold or "")
    assert second.needs[-1:] == [first.number]
    assert "also has" not in (second.hold or "")


def test_a_gateway_that_stays_where_another_one_arrives_is_named(tmp_path: Path) -> None:
    """South is on the channel of North, and cannot go home: a stranger has the place of its node D."""
    networks: dict[str, Any] = {
        name: {"gateway": {"channel": PLANNED[name], "default_refused": "yes"},
               "gateway_found": {"channel": found, "default_refused": "yes"}}
        for name, found in (("North", 30), ("South", 13))
    }  # fmt: skip
    of = {"A": "North", "B": "North", "C": "South", "D": "South"}
    rows = [
        node(11 + n, tag=tag, network=network, channel=PLANNED[network])
        for n, (tag, network) in enumerate(of.items())
    ]
    stranger = {**rows[3], "tag": "X", "serial": "900"}
    found = [*rows[:3], {**rows[3], "channel": 13}, stranger]
    work = work_of(tmp_path, planned=rows, found=found, networks=networks)

    (held,) = work.held_back
    assert held.devices[0] == "GW-South"
    (step,) = (step for step in work.steps if step.changes)
    assert step.tag == "GW-North"
    assert step.hold
    assert "GW-South also has channel 13, and stays there: outage of both networks agreed" in step.hold
