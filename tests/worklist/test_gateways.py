"""Gateways in the work list: which side is changed, what is advised, and what has to be read before."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from audit.errors import InputProblems
from audit.worklist.making import Choices
from tests.worklist.sites import field, node, site, work_of


def test_a_gateway_alone_is_changed_alone(tmp_path: Path) -> None:
    """Five nodes are as planned, and their gateway is not: one step, with all their findings."""
    rows = [node(11 + n) for n in range(5)]
    gateway = {"channel": 14, "default_refused": "yes"}
    work = work_of(tmp_path, **site(rows, rows, gateway_found=gateway))

    assert field(work) == ["GW-North: channel 14 → 13"]
    best, other = work.alternatives
    assert (best.way, best.advised, best.listed) == ("change one gateway (GW-North)", True, True)
    assert (other.nodes, other.amends_plan) == (5, True)
    assert best.blind_node_minutes < other.blind_node_minutes
    (step,) = (step for step in work.steps if step.changes)
    assert len(step.findings) == 6


@pytest.mark.parametrize(
    ("nodes", "expected"),
    [(1, "the only node of North is in its list and reports within three intervals"),
     (2, "all 2 nodes of North are in its list and report within three intervals")],
)  # fmt: skip
def test_a_gateway_that_was_set_hears_all_of_its_nodes(nodes: int, expected: str, tmp_path: Path) -> None:
    """However many these are."""
    rows = [node(11 + n) for n in range(nodes)]
    gateway = {"channel": 14, "default_refused": "yes"}
    work = work_of(tmp_path, Choices(radio={"North": "plan"}), **site(rows, rows, gateway_found=gateway))

    assert [step.expect for step in work.steps if step.changes] == [expected]


def test_a_gateway_is_set_before_anything_is_proved_at_its_nodes(tmp_path: Path) -> None:
    """Its nodes are not heard before that; what is only read there need not wait."""
    rows = [node(11 + n, loss_action="low", alarm_high=80) for n in range(4)]
    found = [rows[0] | {"loss_action": "hold"}, rows[1] | {"alarm_high": ""}, *rows[2:]]
    gateway = {"channel": 14, "default_refused": "yes"}
    work = work_of(tmp_path, **site(rows, found, gateway_found=gateway))

    (its,) = (step for step in work.steps if step.tag == "GW-North")
    change, reading = (next(step for step in work.steps if step.tag == tag) for tag in "AB")
    assert (change.changes[0].setting, change.needs) == ("loss_action", [its.number])
    assert not reading.needs


def test_nodes_that_have_all_followed_their_gateway_are_left_and_the_plan_amended(tmp_path: Path) -> None:
    """The network works as it is, so a decision is asked for, and no device is touched."""
    rows = [node(11 + n) for n in range(5)]
    followed = [row | {"channel": 14} for row in rows]
    gateway = {"channel": 14, "default_refused": "yes"}
    work = work_of(tmp_path, **site(rows, followed, gateway_found=gateway))

    assert not field(work)
    assert work.alternatives[0].way == "amend the plan under a change record"
    assert work.alternatives[0].blind_node_minutes == 0
    assert "The plan then has to say channel 14 instead of 13" in work.steps[0].do
    assert work.steps[0].expect == "decision, name and date written down, plan revised"


@pytest.mark.parametrize("of_gateway", [18, 17], ids=["gateway too", "nodes alone"])
def test_a_decision_about_a_network_deals_with_its_own_findings_alone(
    of_gateway: int, tmp_path: Path
) -> None:
    """In North all have left the plan, and in South as well, or there only the nodes."""
    rows = [node(11 + n) for n in range(3)]
    there = [node(31 + n, network="South", channel=17) for n in range(3)]
    known = {"default_refused": "yes"}
    work = work_of(
        tmp_path, planned=[*rows, *there],
        found=[*(row | {"channel": 14} for row in rows), *(node(31 + n, channel=18) for n in range(3))],
        networks={"North": {"gateway": known | {"channel": 13}, "gateway_found": known | {"channel": 14}},
                  "South": {"gateway": known | {"channel": 17},
                            "gateway_found": known | {"channel": of_gateway}}},
    )  # fmt: skip

    desks = [step for step in work.steps if step.do.startswith("Agree with the plan's owner")]
    assert [step.network for step in desks] == ["North", "South"]
    for step in desks:
        assert {name.split("/")[1] for name in step.findings} == {step.network}


@pytest.mark.parametrize("channel", [13, 14], ids=["gateway changed", "nodes followed"])
def test_what_the_gateway_lacks_and_nodes_are_planned_with_differently_is_set_at_each(
    tmp_path: Path, channel: int
) -> None:
    """No decision about the network's channel switches on the encryption that three of its nodes lack."""
    rows = [node(11 + n, encryption="on" if n < 3 else "off") for n in range(5)]
    found = [row | {"encryption": "off", "channel": channel} for row in rows]
    gateway = {"channel": 14, "default_refused": "yes"}
    work = work_of(tmp_path, **site(rows, found, gateway_found=gateway))

    assert [step.tag for step in work.steps if "Set encryption as planned" in step.do] == ["A", "B", "C"]
    assert {one.setting for one in work.alternatives} == {"channel"}


def test_encryption_of_nodes_stays_theirs_where_their_gateway_has_it_off_and_no_plan(tmp_path: Path) -> None:
    """The gateway's channel has nothing to do with it; that it is off there is no decision."""
    rows = [node(11 + n, encryption="on" if n < 3 else "off") for n in range(5)]
    found = [row | {"encryption": "off"} for row in rows]
    gateway = {"channel": 14, "default_refused": "yes", "encryption": "off"}
    work = work_of(tmp_path, **site(rows, found, gateway_found=gateway))

    (its,) = (step for step in work.steps if step.tag == "GW-North")
    assert [name for name in its.findings if "encryption" in name] == []
    assert [step.tag for step in work.steps if "Set encryption as planned" in step.do] == ["A", "B", "C"]


def test_encryption_that_some_nodes_are_planned_with_is_not_switched_off_at_their_gateway(
    tmp_path: Path,
) -> None:
    """Setting the nodes takes longer, and what to set is what their gateway shows."""
    rows = [node(11 + n, encryption="on" if n < 3 else "off") for n in range(5)]
    found = [row | {"encryption": "off"} for row in rows]
    gateway = {"channel": 13, "default_refused": "yes", "encryption": "on"}
    work = work_of(tmp_path, **site(rows, found, gateway_found=gateway))

    assert field(work) == [f"{tag}: encryption off → on" for tag in "ABCDE"]
    assert work.alternatives[1].against == "it switches off encryption, which is planned on"


@pytest.mark.parametrize("channel", [13, 14], ids=["as planned", "all off plan"])
@pytest.mark.parametrize("encrypted", [2, 3], ids=["few", "most"])
def test_encryption_that_nodes_have_as_planned_is_not_switched_off_for_their_gateway(
    encrypted: int, channel: int, tmp_path: Path
) -> None:
    """Their gateway has it off, and no plan: it is switched on there, and at the nodes that lack it."""
    rows = [node(11 + n, **({"encryption": "on"} if n < encrypted else {})) for n in range(5)]
    found = [{"encryption": "off"} | row | {"channel": channel} for row in rows]
    gateway = {"channel": channel, "default_refused": "yes", "encryption": "off"}
    work = work_of(tmp_path, **site(rows, found, gateway_found=gateway))

    switched = [line.partition(":")[0] for line in field(work) if line.endswith("encryption off → on")]
    assert switched == ["GW-North", *"ABCDE"[encrypted:]]
    assert not [line for line in field(work) if "on → off" in line]
    assert work.alternatives[0].against is None
    assert work.alternatives[-1].against == "it switches off encryption, which is planned on"


def test_a_node_that_has_encryption_alone_may_be_on_another_channel(tmp_path: Path) -> None:
    """The gateway's is planned."""
    rows = [node(11, encryption="on"), *(node(12 + n) for n in range(4))]
    found = [rows[0] | {"channel": 20}, *(row | {"encryption": "off"} for row in rows[1:])]
    gateway = {"channel": 13, "default_refused": "yes", "encryption": "off"}
    work = work_of(tmp_path, **site(rows, found, gateway_found=gateway))

    assert "A: channel 20 → 13" in field(work)
    assert "GW-North: encryption off → on" in field(work)


def test_a_node_that_may_keep_its_encryption_is_no_reason_to_change_its_gateway(tmp_path: Path) -> None:
    """A waiver excuses the only node that has it on."""
    rows = [node(11 + n, encryption="off" if n else "on") for n in range(3)]
    waiver = {"id": "W-1", "rule": "encryption-differs", "node": "A", "setting": "encryption", "value": "on",
              "reason": "It is on loan.", "owner": "R. Sample", "approver": "I. Placeholder",
              "issued": "2026-04-01", "expires": "2026-06-30"}  # fmt: skip
    waivers = tmp_path / "waivers.yaml"
    waivers.write_text(json.dumps({"asfound": "waivers/1", "waivers": [waiver]}), encoding="utf-8")
    gateway = {"channel": 13, "default_refused": "yes", "encryption": "off"}
    work = work_of(tmp_path / "site", None, [waivers], **site(rows, rows, gateway_found=gateway))

    assert not work.alternatives


def test_only_the_settings_that_differ_are_spoken_of(tmp_path: Path) -> None:
    """Encryption is planned for the nodes, and is as planned; none is planned for the gateway."""
    rows = [node(11 + n, encryption="on") for n in range(5)]
    parts = site(rows, [row | {"channel": 14} for row in rows])
    gateway = {"channel": 14, "default_refused": "yes", "encryption": "on"}
    work = work_of(tmp_path, **parts, gateway_found=gateway)

    assert {one.setting for one in work.alternatives} == {"channel"}
    assert work.steps[0].do.endswith("The plan then has to say channel 14 instead of 13.")


def test_a_gateway_whose_plan_is_silent_follows_the_plan_of_its_nodes(tmp_path: Path) -> None:
    """The nodes are as planned and cannot hear it; re-setting them would need another plan."""
    rows = [node(11 + n, channel=7) for n in range(5)]
    parts = {**site(rows, rows), "gateway": {"default_refused": "yes"}}
    other = {"default_refused": "yes", "channel": 8}
    work = work_of(tmp_path / "a", **parts, gateway_found=other)

    assert field(work) == ["GW-North: channel 8 → 7"]
    best, worse = work.alternatives
    assert (best.way, best.amends_plan) == ("change one gateway (GW-North)", False)
    assert (worse.nodes, worse.amends_plan) == (5, True)
    work = work_of(tmp_path / "b", Choices(radio={"North": "gateway"}), **parts, gateway_found=other)
    assert field(work) == [f"{tag}: channel 7 → 8" for tag in "ABCDE"]
    assert work.steps[0].do.endswith("The plan then has to say channel 8 instead of 7.")


def test_what_nobody_has_planned_is_said_to_be_so(tmp_path: Path) -> None:
    """Three nodes are on one channel and their gateway on another, and the plan has none."""
    rows = [node(11 + n, channel=None) for n in range(3)]
    parts = {**site(rows, [row | {"channel": 7} for row in rows]), "gateway": {"default_refused": "yes"}}
    work = work_of(tmp_path, **parts, gateway_found={"default_refused": "yes", "channel": 8})

    assert field(work) == ["GW-North: channel 8 → 7"]
    assert work.steps[0].do.endswith("The plan then has to say channel 7 (not planned so far).")


def test_a_gateway_whose_plan_is_silent_stays_where_nobody_asks(tmp_path: Path) -> None:
    """Somebody has accepted that the node cannot hear it."""
    waiver = {"id": "W-1", "rule": "channel-differs", "node": "A", "setting": "channel", "value": 7,
              "reason": "a second gateway comes next month", "owner": "A. Sample", "approver": "B. Other",
              "issued": "2026-04-01", "expires": "2026-12-01"}  # fmt: skip
    file = tmp_path / "waivers.json"
    file.write_text(json.dumps({"asfound": "waivers/1", "waivers": [waiver]}), encoding="utf-8")
    parts = {**site([node(11, channel=7)], [node(11, channel=7)]), "gateway": {"default_refused": "yes"}}
    found = {"default_refused": "yes", "channel": 8}
    work = work_of(tmp_path / "s", waivers=[file], **parts, gateway_found=found)

    assert work.waived == 1
    assert not work.steps


def test_a_gateway_is_not_set_to_what_is_excused_on_its_nodes(tmp_path: Path) -> None:
    """Somebody has accepted the channel of every node: nothing is to be weighed or agreed on."""
    waivers = [{"id": f"W-{tag}", "rule": "channel-differs", "node": tag, "setting": "channel", "value": 8,
                "reason": "the gateway follows next month", "owner": "A. Sample", "approver": "B. Other",
                "issued": "2026-04-01", "expires": "2026-12-01"} for tag in "ABC"]  # fmt: skip
    file = tmp_path / "waivers.json"
    file.write_text(json.dumps({"asfound": "waivers/1", "waivers": waivers}), encoding="utf-8")
    rows = [node(11 + n) for n in range(3)]
    work = work_of(tmp_path / "s", waivers=[file], **site(rows, [row | {"channel": 8} for row in rows]))

    assert work.waived == 4  # the three, and the cause that they have in common
    assert (work.steps, work.alternatives) == ([], [])


def test_another_way_than_advised_can_be_chosen(tmp_path: Path) -> None:
    """Back to the plan: nodes first, the gateway last, after all of them."""
    rows = [node(11 + n) for n in range(3)]
    followed = [row | {"channel": 14} for row in rows]
    gateway = {"channel": 14, "default_refused": "yes"}
    work = work_of(tmp_path, Choices(radio={"North": "plan"}), **site(rows, followed, gateway_found=gateway))

    assert field(work) == [*(f"{tag}: channel 14 → 13" for tag in "ABC"), "GW-North: channel 14 → 13"]
    changed = [step for step in work.steps if step.changes]
    assert changed[-1].needs == [step.number for step in changed[:-1]]
    assert f"only after step {changed[-1].number}" in changed[0].expect
    assert "second gateway" in (changed[-1].hold or "")


@pytest.mark.parametrize(
    ("setting", "planned_for", "against"),
    [
        ("channel", {"North": 13, "South": 14}, "South is on that channel"),
        ("network_id", {"North": "1A00", "South": "1A01"}, "South has that identity"),
    ],
)
def test_a_way_onto_a_neighbours_channel_or_identity_is_advised_against(
    setting: str, planned_for: Mapping[str, Any], against: str, tmp_path: Path
) -> None:
    """All of North have gone to what is planned for South."""
    rows = [node(11 + n) | {setting: planned_for["North"]} for n in range(3)]
    south = {"network": "South", "tag": "S", "address": 11, "default_refused": "yes"}
    south[setting] = planned_for["South"]
    gateway = {"default_refused": "yes"}
    networks: Mapping[str, Any] = {
        name: {"gateway": {setting: value}, "gateway_found": {**gateway, setting: planned_for["South"]}}
        for name, value in planned_for.items()
    }
    followed = [*(row | {setting: planned_for["South"]} for row in rows), south]
    work = work_of(tmp_path, **site([*rows, south], followed, gateway=gateway, networks=networks))

    advised = next(way for way in work.alternatives if way.advised)
    other = next(way for way in work.alternatives if not way.advised)
    assert not advised.amends_plan
    assert other.against == against


def test_a_channel_that_two_networks_share_by_plan_speaks_against_nothing(tmp_path: Path) -> None:
    """They are far from each other. In North all have gone to another air rate."""
    rows = [node(11 + n, air_rate="50") for n in range(3)]
    south = node(11, network="South", tag="S", air_rate="50")
    gateway = {"channel": 13, "air_rate": "50", "default_refused": "yes"}
    networks: Mapping[str, Any] = {"North": {"gateway_found": {**gateway, "air_rate": "100"}}, "South": {}}
    followed = [*(row | {"air_rate": "100"} for row in rows), south]
    work = work_of(tmp_path, **site([*rows, south], followed, gateway=gateway, networks=networks))

    assert [way.against for way in work.alternatives] == [None, None]
    assert work.alternatives[0].amends_plan


def test_all_that_keep_a_gateway_from_moving_are_to_be_settled(tmp_path: Path) -> None:
    """Whoever found only one of the strangers at A's address would be stopped by the other again."""
    rows = [node(11 + n, tag=tag) for n, tag in enumerate("ABC")]
    strangers = [node(11, tag=tag, network="North", serial=f"99{n}") for n, tag in enumerate("XY")]
    followed = [*(row | {"channel": 14} for row in rows), *strangers]
    gateway = {"channel": 14, "default_refused": "yes"}
    work = work_of(tmp_path, Choices(radio={"North": "plan"}), **site(rows, followed, gateway_found=gateway))

    (held,) = work.held_back
    assert "X (not in the plan), Y (not in the plan) are in the way" in held.why
    assert held.mend == (
        "find X, and plan it or take it out; find Y, and plan it or take it out; "
        "read again and make a new list"
    )


def test_a_gateway_stays_where_not_all_of_its_nodes_can_go_along(tmp_path: Path) -> None:
    """On channel 13 an unplanned device has A's address: no node of North moves until it is found."""
    rows = [node(11 + n, tag=tag) for n, tag in enumerate("ABC")]
    stranger = node(11, tag="X", network="North", serial="999")
    followed = [*(row | {"channel": 14} for row in rows), stranger]
    gateway = {"channel": 14, "default_refused": "yes"}
    work = work_of(tmp_path, Choices(radio={"North": "plan"}), **site(rows, followed, gateway_found=gateway))

    assert not field(work)
    (held,) = work.held_back
    assert held.devices == ["GW-North", "A", "B", "C"]
    assert (
        "X (not in the plan) is in the way, and moving the gateway alone would strand the others" in held.why
    )
    assert held.mend.startswith("find X")


def test_a_gateway_that_was_not_read_is_read_before_a_radio_is_set_towards_it(tmp_path: Path) -> None:
    """A node off its planned channel is brought back to it only if the gateway is seen to be on it."""
    work = work_of(tmp_path, **site([node(11)], [node(11, channel=9)], gateway_found=None))

    assert "A: channel 9 → 13" in field(work)
    reading = next(step for step in work.steps if step.tag == "GW-North")
    change = next(step for step in work.steps if step.changes)
    assert "write them down" in reading.do
    assert reading.number in change.needs
    shows = f"step {reading.number}: GW-North shows channel 13; if not, leave it and make a new list"
    assert (change.hold or "").startswith(shows)


@pytest.mark.parametrize(
    "shown", [None, {"channel": "13?", "default_refused": "yes"}], ids=["unread", "unclear"]
)
def test_a_gateway_is_read_before_a_node_gets_what_it_has(
    shown: dict[str, Any] | None, tmp_path: Path
) -> None:
    """No plan says what channel C is to get; two of three nodes are on 13."""
    rows = [node(11 + n) for n in range(3)]
    work = work_of(
        tmp_path, planned=[{"address": row["address"]} for row in rows], gateway_found=shown,
        found=[*rows[:2], rows[2] | {"channel": 31}],
    )  # fmt: skip

    reading, setting = (next(step for step in work.steps if step.tag == tag) for tag in ("GW-North", "C"))
    assert "write down" in reading.do or "write them down" in reading.do
    assert "Set the node to its gateway's channel" in setting.do
    assert setting.needs == [reading.number]


def test_a_node_that_was_not_read_goes_along_only_if_it_is_found_as_planned(tmp_path: Path) -> None:
    """All others have gone to 14, and so may D; its menu may be locked as planned."""
    rows = [node(11 + n, tag=tag, local_lock="on") for n, tag in enumerate("ABCD")]
    followed = [row | {"channel": 14} for row in rows[:3]]
    gateway = {"channel": 14, "default_refused": "yes"}
    work = work_of(tmp_path, **site(rows, followed, gateway_found=gateway))

    reading, change, lock = (step for step in work.steps if step.tag == "D")
    assert change.needs[-1:] == [reading.number]
    shows = f"step {reading.number}: D shows channel 13 and address 14; if not, leave it and make a new list"
    assert (change.hold or "").startswith(shows)
    assert change.do.startswith("Unlock the menu (local_lock), if it is locked. Set it to its")
    assert [(one.before, one.after) for one in lock.changes] == [("unlocked", "on")]


def test_a_node_joins_only_if_it_is_not_at_anothers_address(tmp_path: Path) -> None:
    """Its address was not read, so that it might answer together with another node."""
    rows = [node(11 + n) for n in range(3)]
    found = [*rows[:2], rows[2] | {"channel": 14, "address": ""}]
    work = work_of(tmp_path, **site(rows, found))

    reading, change = (step for step in work.steps if step.tag == "C")
    assert [c.setting for c in change.changes] == ["channel"]
    assert change.needs == [reading.number]
    shows = f"step {reading.number}: C shows address 13; if not, leave it and make a new list"
    assert change.hold is not None
    assert change.hold.startswith(shows)


def test_what_was_not_read_of_a_node_is_read_though_its_gateway_is_set(tmp_path: Path) -> None:
    """A may be on any channel: that its gateway gets the planned one reads nothing at A."""
    rows = [node(11 + n) for n in range(4)]
    gateway = {"channel": 14, "default_refused": "yes"}
    work = work_of(tmp_path, **site(rows, [rows[0] | {"channel": ""}, *rows[1:]], gateway_found=gateway))

    (its,) = (step for step in work.steps if step.tag == "GW-North")
    (reading,) = (step for step in work.steps if step.tag == "A")
    assert reading.do.startswith("Read at the display and write down: channel")
    assert not set(reading.findings) & set(its.findings)


def test_a_gateway_that_was_not_read_is_not_set_to_what_its_nodes_show(tmp_path: Path) -> None:
    """All nodes are on 14, and nobody knows the gateway's channel: perhaps it is there already."""
    rows = [node(11 + n) for n in range(3)]
    work = work_of(tmp_path, **site(rows, [row | {"channel": 14} for row in rows], gateway_found=None))

    assert not any(change.startswith("GW-North") for change in field(work))
    assert not any(way.amends_plan and way.gateways for way in work.alternatives)


def test_a_change_of_plan_that_half_of_the_nodes_follow_is_not_undone(tmp_path: Path) -> None:
    """The plan and five of ten nodes are on 13, the gateway waits on 14: going back would cost less."""
    rows = [node(11 + n) for n in range(10)]
    half = [row | {"channel": 14} if n < 5 else row for n, row in enumerate(rows)]
    gateway = {"channel": 14, "default_refused": "yes"}
    work = work_of(tmp_path, **site(rows, half, gateway_found=gateway))

    advised, other = work.alternatives
    assert (advised.advised, advised.amends_plan, other.amends_plan) == (True, False, True)
    assert other.against == "5 of 10 nodes are already as planned"


def test_nodes_that_may_stay_off_the_plan_do_not_count_as_planned(tmp_path: Path) -> None:
    """All nodes are on 14 with their gateway, and three of five are excused: the network works as it is."""
    waivers = [{"id": f"W-{tag}", "rule": "radio-off-plan", "node": tag, "setting": "channel", "value": 14,
                "reason": "a trial", "owner": "A. Sample", "approver": "B. Other",
                "issued": "2026-04-01", "expires": "2026-12-01"} for tag in "ABC"]  # fmt: skip
    file = tmp_path / "waivers.json"
    file.write_text(json.dumps({"asfound": "waivers/1", "waivers": waivers}), encoding="utf-8")
    rows = [node(11 + n) for n in range(5)]
    parts = site(rows, [row | {"channel": 14} for row in rows],
                 gateway_found={"channel": 14, "default_refused": "yes"})  # fmt: skip
    work = work_of(tmp_path / "s", waivers=[file], **parts)

    (advised,) = (way for way in work.alternatives if way.advised)
    assert (advised.way, advised.against) == ("amend the plan under a change record", None)


def test_encryption_that_is_planned_is_not_advised_away(tmp_path: Path) -> None:
    """Seven of twelve nodes without it are no reason to switch it off at the others."""
    secure = {"channel": 13, "encryption": "on", "default_refused": "yes"}
    planned = [node(n, encryption="on") for n in range(11, 17)]
    found = [node(n, encryption="off" if n < 15 else "on") for n in range(11, 17)]

    work = work_of(tmp_path, **site(planned, found, gateway=secure))

    (advised,) = [way for way in work.alternatives if way.advised]
    assert (advised.gateways, advised.nodes, advised.amends_plan) == (0, 4, False)
    assert "it switches off encryption, which is planned on" in {way.against for way in work.alternatives}


def test_a_network_left_at_the_factory_setting_is_not_made_the_plan(tmp_path: Path) -> None:
    """Nodes on which nothing was set show no decision."""
    named = {"channel": 13, "network_id": "1A07", "default_refused": "yes"}
    planned = [node(n, network_id="1A07") for n in range(11, 15)]
    found = [row | {"network_id": "0000"} for row in planned]

    work = work_of(tmp_path, **site(planned, found, gateway=named))

    (advised,) = [way for way in work.alternatives if way.advised]
    assert (advised.nodes, advised.amends_plan) == (4, False)
    assert "network_id 0000 is the factory setting" in {way.against for way in work.alternatives}


def test_an_unknown_way_or_network_is_refused(tmp_path: Path) -> None:
    """The message lists the alternatives or networks that exist."""
    rows = [node(11), node(12)]
    retuned = site(rows, rows, gateway_found={"channel": 14, "default_refused": "yes"})
    with pytest.raises(InputProblems, match="its alternatives are: plan, gateway"):
        work_of(tmp_path / "a", Choices(radio={"North": "nodes"}), **retuned)
    with pytest.raises(InputProblems, match="no network 'Nort'"):
        work_of(tmp_path / "b", Choices(radio={"Nort": "plan"}), **retuned)


def test_a_radio_setting_that_gateway_and_node_have_in_other_kinds(tmp_path: Path) -> None:
    """50 as a number and 50 as an option are the same; 9.6 is set to it."""
    nodes = [node(11, air_rate="50"), node(12, air_rate="50")]
    parts = site(nodes, [nodes[0], node(12, air_rate="9.6")])
    hub = {"hub_settings": {"air_rate": {"kind": "integer", "unit": "kbit/s"}}}
    work = work_of(tmp_path, **{**parts, "gateway": {**parts["gateway"], "air_rate": "50"}, **hub})

    assert field(work) == ["B: air_rate 9.6 kbit/s → 50 kbit/s"]


def test_a_node_is_told_the_gateways_value_in_its_own_unit(tmp_path: Path) -> None:
    """A gateway that counts in bit/s, and nodes that offer kbit/s."""
    parts = site([node(11, air_rate="9.6"), node(12, air_rate="9.6")],
                 [node(11, air_rate="50"), node(12, air_rate="9.6")])  # fmt: skip
    gateway = {"channel": 13, "default_refused": "yes"}
    more = {"gateway": {**gateway, "air_rate": "9600"}, "gateway_found": {**gateway, "air_rate": "50000"},
            "hub_settings": {"air_rate": {"kind": "integer", "unit": "bit/s"}}}  # fmt: skip
    work = work_of(tmp_path, Choices(radio={"North": "gateway"}), **{**parts, **more})

    assert field(work) == ["B: air_rate 9.6 kbit/s → 50 kbit/s"]


def test_alternatives_name_nodes_in_order(tmp_path: Path) -> None:
    """N-9 before N-10."""
    nodes = [{**node(11 + n), "tag": f"N-{n}"} for n in (8, 9, 10, 11)]
    found = [{**one, "channel": 14} for one in nodes]
    work = work_of(tmp_path, **site(nodes, found))

    assert "change 4 nodes (N-8, N-9, N-10 and 1 more)" in {one.way for one in work.alternatives}


def test_zeros_that_a_file_has_lost_are_no_matter_of_the_decision_about_a_network(tmp_path: Path) -> None:
    """The gateway is on another channel; also, all identities in the sheet have become numbers."""
    four = {"settings": {"network_id": {"kind": "text", "digits": 4}}}
    rows = [node(11 + n, network_id="0225") for n in range(4)]
    found = [row | {"network_id": "225"} for row in rows]
    gateway = {"channel": 14, "default_refused": "yes"}
    work = work_of(tmp_path, **site(rows, found, gateway_found=gateway, **four))

    assert field(work) == ["GW-North: channel 14 → 13"]
    readings = [one for one in work.steps if any(name.startswith("unclear-alike") for name in one.findings)]
    assert ["Say in a mapping how the file writes these values" in one.do for one in readings] == [True]


def test_a_gateway_stays_with_a_node_that_may_stay_where_it_is(tmp_path: Path) -> None:
    """A may be on 14, where the gateway is too: set to 13 alone, it would no longer hear A."""
    rows = [node(11 + n) for n in range(4)]
    waiver = {"id": "W-1", "rule": "radio-off-plan", "node": "A", "setting": "channel", "value": 14,
              "reason": "a trial", "owner": "A. Sample", "approver": "B. Other",
              "issued": "2026-04-01", "expires": "2026-12-01"}  # fmt: skip
    file = tmp_path / "waivers.json"
    file.write_text(json.dumps({"asfound": "waivers/1", "waivers": [waiver]}), encoding="utf-8")
    gateway = {"channel": 14, "default_refused": "yes"}
    parts = site(rows, [rows[0] | {"channel": 14}, *rows[1:]], gateway_found=gateway)

    back = work_of(tmp_path / "s", waivers=[file], **parts)
    as_it_is = work_of(tmp_path / "t", Choices(radio={"North": "gateway"}), waivers=[file], **parts)

    assert field(back) == []
    assert [(one.devices, one.why) for one in back.held_back] == [
        (["GW-North"], "the gateway would no longer hear A, whose radio stays as it is")
    ]
    assert field(as_it_is) == [f"{tag}: channel 13 → 14" for tag in "BCD"]


def test_a_unit_swapped_with_one_of_another_network_keeps_no_gateway_from_its_plan(tmp_path: Path) -> None:
    """A was found as E, on 14 as is planned for E; its own gateway is there too, by mistake."""
    networks: dict[str, Any] = {
        name: {"gateway": {"channel": channel, "default_refused": "yes"},
               "gateway_found": {"channel": 14, "default_refused": "yes"}}
        for name, channel in (("North", 13), ("South", 14))
    }  # fmt: skip
    planned = [node(11 + n, tag=tag, serial=f"S{n}", network="South" if tag in "EFG" else "North",
                    channel=14 if tag in "EFG" else 13) for n, tag in enumerate("ABCDEFG")]  # fmt: skip
    found = [row | {"channel": 14} if row["tag"] == "A" else row for row in planned]
    names = [{key: found[n][key] for key in ("tag", "network")} for n in (0, 4)]
    found[0], found[4] = found[0] | names[1], found[4] | names[0]
    work = work_of(tmp_path, planned=planned, found=found, networks=networks)

    assert "GW-North: channel 14 → 13" in field(work)
    assert any("A: channel 14 → 13" in one.change for one in work.held_back)
