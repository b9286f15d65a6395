"""Lists carried out as printed, on simulated devices, and what is read afterwards."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from audit.model.worklist import Step, WorkList
from audit.run import Order, audited
from audit.worklist.making import Choices
from audit.worklist.ticking import tick_off
from tests.site_builder import SiteOf
from tests.worklist.sites import DAY, made_from

CHANNELS = {"North": 13, "South": 14, "East": 15}
Found = dict[str, dict[str, Any]]
"""Tag → what a device shows."""


def planned() -> Found:
    """Return four nodes a network, each network with a block of its own and two spare addresses."""
    return {
        f"{network[0]}{n}": {
            "network": network, "tag": f"{network[0]}{n}", "serial": f"{place}{n}", "channel": channel,
            "address": 10 * place + n, "local_lock": "on", "alarm_high": 80, "default_refused": "yes",
        }
        for place, (network, channel) in enumerate(CHANNELS.items(), 1) for n in range(1, 5)
    }  # fmt: skip


def spoil(chance: random.Random, found: Found, gateways: Found) -> None:
    """Put some faults into a site: gateways swapped, addresses in rings or doubled, nodes on other radios."""
    if chance.random() < 0.7:
        group = chance.sample(sorted(gateways), chance.choice((2, 3)))
        channels = [gateways[name]["channel"] for name in group]
        for name, channel in zip(group, channels[1:] + channels[:1], strict=True):
            gateways[name]["channel"] = channel
            for row in found.values():
                if row["network"] == name and chance.random() < 0.4:
                    row["channel"] = channel
    ring = chance.sample([row for row in found.values() if row["network"] == "North"], chance.choice((2, 3)))
    addresses = [row["address"] for row in ring]
    for row, address in zip(ring, addresses[1:] + addresses[:1], strict=True):
        row["address"] = address
    south = [row for row in found.values() if row["network"] == "South"]
    south[0]["address"] = south[chance.randrange(1, 4)]["address"]
    gone, host = chance.sample([row for row in found.values() if row["network"] != "North"], 2)
    gone |= {"channel": CHANNELS[host["network"]]}
    chance.choice(list(found.values()))["alarm_high"] = 70
    chance.choice(list(found.values()))["local_lock"] = "off"


def order_of(folder: Path, found: Found, gateways: Found) -> Order:
    """Write the site and return the order to read it."""
    networks: Mapping[str, Any] = {
        name: {"addresses": {"first": 10 * place + 1, "last": 10 * place + 6},
               "gateway": {"channel": channel, "local_lock": "on", "default_refused": "yes"},
               "gateway_found": gateways[name]}
        for place, (name, channel) in enumerate(CHANNELS.items(), 1)
    }  # fmt: skip
    rows = [{key: value for key, value in row.items() if key != "network"} for row in found.values()]
    site = SiteOf(planned=list(planned().values()), found=rows, networks=networks)
    return replace(site.write(folder), run_on=DAY)


def carry_out(work: WorkList, devices: Found, gateways: set[str]) -> None:
    """Do what each step says, and see that nothing goes wrong on the way."""
    locked = {tag for tag, shown in devices.items() if shown["local_lock"] == "on"}
    done: set[int] = set()
    for step in work.steps:
        assert done.issuperset(step.needs)
        done.add(step.number)
        locked -= {step.tag or ""} if step.do.startswith("Unlock") else set()
        nodes, hubs = _together(devices, gateways)
        _key_in(step, devices, locked)
        after, hubs_after = _together(devices, gateways)
        assert after <= nodes, f"step {step.number}: {after - nodes} come to one address"
        assert hubs_after <= hubs or "outage of both" in (step.hold or ""), f"step {step.number}"
    assert locked == {tag for tag, shown in devices.items() if shown["local_lock"] == "on"}


def _key_in(step: Step, devices: Found, locked: set[str]) -> None:
    for change in step.changes:
        assert step.tag
        if change.setting != "local_lock":
            assert step.tag not in locked
            assert str(devices[step.tag][change.setting]) == change.before.split()[0]
            devices[step.tag][change.setting] = int(change.after.split()[0])
        elif change.after == "on":
            devices[step.tag]["local_lock"] = "on"
            locked.add(step.tag)


def _together(devices: Found, gateways: set[str]) -> tuple[set[frozenset[str]], set[frozenset[str]]]:
    """Return the nodes that share channel and address, and the gateways that share a channel, in pairs."""
    channel = {tag: shown["channel"] for tag, shown in devices.items()}
    pairs = [(a, b) for a in devices for b in devices if a < b and channel[a] == channel[b]]
    hubs = {frozenset(pair) for pair in pairs if gateways.issuperset(pair)}
    nodes = [pair for pair in pairs if gateways.isdisjoint(pair)]
    return {frozenset((a, b)) for a, b in nodes if devices[a]["address"] == devices[b]["address"]}, hubs


@pytest.mark.parametrize("seed", range(12))
def test_a_list_that_is_carried_out_leaves_nothing_to_do(seed: int, tmp_path: Path) -> None:
    """No two devices meet on the way, every step is ticked off, and a new list has no steps."""
    found = planned()
    gateways: Found = {
        name: {"channel": channel, "local_lock": "on", "default_refused": "yes"}
        for name, channel in CHANNELS.items()
    }
    spoil(random.Random(seed), found, gateways)
    order = order_of(tmp_path / "found", found, gateways)
    made = made_from(order, as_planned(made_from(order).list))
    assert not made.list.held_back
    tags = {f"GW-{name}": shown for name, shown in gateways.items()}
    carry_out(made.list, found | tags, set(tags))

    left = replace(order, readback=order_of(tmp_path / "left", found, gateways).readback)
    ticked = tick_off(made, audited(left))
    assert {step.status for step in ticked.steps} <= {"done", "by hand"}
    assert not ticked.newly_wrong
    assert not made_from(left).list.steps


def as_planned(work: WorkList) -> Choices:
    """Return the choices that bring every network back to its plan, where there is a choice."""
    return Choices(radio=dict.fromkeys((way.network for way in work.alternatives if way.choose), "plan"))
