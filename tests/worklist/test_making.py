"""Whole lists of small sites: what becomes a step, in what order, and what is held back."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from audit.errors import InputProblems
from audit.model.base import Position
from audit.worklist.asking import has_no_step
from audit.worklist.making import Choices
from audit.worklist.replay import Fault, Replayed
from tests.worklist.sites import field, told, work_of

BLOCK = {"North": {"addresses": {"first": 11, "last": 20}}}


def node(address: int, **more: Any) -> dict[str, Any]:
    """Return a node whose factory code is refused, so that nothing else is found on it."""
    return {"address": address, "default_refused": "yes", "channel": 13, **more}


def site(planned: list[dict[str, Any]], found: list[dict[str, Any]], **more: Any) -> dict[str, Any]:
    """Return a site of one network, its gateway as planned unless it is said otherwise."""
    gateway = {"channel": 13, "default_refused": "yes"}
    serials = [{"serial": str(100 + n)} for n in range(max(len(planned), len(found)))]
    return {
        "planned": [serial | row for serial, row in zip(serials, planned, strict=False)],
        "found": [serial | row for serial, row in zip(serials, found, strict=False)],
        "gateway": gateway,
        "networks": BLOCK,
        **more,
    }


def test_a_site_as_planned_has_nothing_to_do(tmp_path: Path) -> None:
    """No steps, nothing held back."""
    work = work_of(tmp_path, **site([node(11)], [node(11)]))

    assert not work.steps
    assert not work.held_back


def test_a_chain_of_addresses_comes_backwards(tmp_path: Path) -> None:
    """A is to go where B is, and B to a free address: B first, and A's step says that it needs it."""
    work = work_of(tmp_path, **site([node(12), node(13)], [node(11), node(12)]))

    assert field(work) == ["B: address 12 → 13", "A: address 11 → 12"]
    assert work.steps[1].needs == [1]


def test_addresses_that_are_chosen_from_a_list_are_numbers_all_the_same(tmp_path: Path) -> None:
    """A device may offer its addresses as options; a free one is found, and the chain comes backwards."""
    chosen = {"settings": {"address": {"kind": "option", "options": [str(n) for n in range(1, 248)]}}}
    work = work_of(tmp_path, **site([node(12), node(13)], [node(11), node(12)], **chosen))

    assert field(work) == ["B: address 12 → 13", "A: address 11 → 12"]


def test_a_finding_that_nothing_sees_to_is_known() -> None:
    """One without a step of its own, whose cause is not held back either."""
    waiving = SimpleNamespace(waived={})
    audited = SimpleNamespace(waiving=waiving, causes={2: 3})
    making: Any = SimpleNamespace(
        audited=audited, ids={0: "a", 1: "b", 2: "c"}, made_for={0: [], 1: [7], 2: []}, held_for={3}
    )

    assert has_no_step(making) == [0]


def test_a_pair_goes_through_the_first_free_address_of_the_block(tmp_path: Path) -> None:
    """After somebody has looked whether the boxes were exchanged; what can be undone is said until when."""
    work = work_of(tmp_path, **site([node(11), node(12)], [node(12), node(11)]))

    assert field(work) == ["A: address 12 → 13", "B: address 11 → 12", "A: address 13 → 11"]
    look, hop, other = work.steps[0], work.steps[1], work.steps[2]
    assert "exchanged" in look.do
    assert hop.needs == [look.number]
    assert (
        hop.rollback
        == f"set address to 12 again, but not once step {other.number} is done: stop and call then"
    )


def test_boxes_that_are_set_for_where_they_hang_stay_as_they_are(tmp_path: Path) -> None:
    """Only the serial numbers are exchanged: to set each as planned for its own would break what works."""
    planned = [node(11, range_high=50, service_port="off"), node(12, range_high=60, service_port="off")]
    found = [planned[0] | {"tag": "A", "serial": "101", "service_port": "on"},
             planned[1] | {"tag": "B", "serial": "100"}]  # fmt: skip
    work = work_of(tmp_path, **site(planned, found))

    assert told(work.steps[:1])[0].startswith("A: the serial numbers of A and B stand crosswise")
    assert "Exchange nothing and set nothing" in work.steps[0].do
    assert field(work) == ["A: service_port on → off"]
    assert not work.held_back


def test_boxes_that_are_set_half_for_their_places_are_left_until_somebody_has_looked(tmp_path: Path) -> None:
    """The ranges are the places', the addresses the boxes': nobody knows yet which is to be changed."""
    planned = [node(11, range_high=50, alarm_high=40), node(12, range_high=60, alarm_high=45)]
    found = [planned[0] | {"tag": "A", "serial": "101", "address": 12},
             planned[1] | {"tag": "B", "serial": "100", "address": 11}]  # fmt: skip
    work = work_of(tmp_path, **site(planned, found))

    assert told(work.steps[:1]) == [
        "A: the units of A and B have changed places: each stands under the other's tag"
    ]
    assert field(work) == []
    (held,) = work.held_back
    assert held.change == "A: address 12 → 11; B: address 11 → 12"
    assert "boxes have changed places" in held.why
    assert "correct the plan's serial numbers" in held.mend


def test_without_a_spare_the_ring_is_held_back_and_the_rest_comes(tmp_path: Path) -> None:
    """It says what to free, and a number that could be stated."""
    planned = [node(11), node(12), node(13, range_high=100)]
    found = [node(12), node(11), node(13, range_high=50)]
    work = work_of(
        tmp_path, **site(planned, found, networks={"North": {"addresses": {"first": 11, "last": 13}}})
    )

    (held,) = work.held_back
    assert held.devices == ["A", "B"]
    assert "no address of 11 to 13 is free" in held.why
    assert "free one address of 11 to 13" in held.mend
    assert "--spare 14" in held.mend
    assert field(work) == ["C: range_high 50 kPa g → 100 kPa g"]


def test_a_reserved_address_is_no_spare_unless_a_person_says_so(tmp_path: Path) -> None:
    """Reserved addresses are kept for something; who gives one gets a hold point."""
    block = {"North": {"addresses": {"first": 11, "last": 13, "reserved": [13]}}}
    swap = site([node(11), node(12)], [node(12), node(11)], networks=block)

    assert work_of(tmp_path / "a", **swap).held_back
    work = work_of(tmp_path / "b", Choices(spares=[13]), **swap)
    assert field(work)[0] == "A: address 12 → 13"
    assert "radio engineer confirms that nobody uses 13" in (work.steps[1].hold or "")


@pytest.mark.parametrize(
    ("spare", "message"),
    [
        (11, "is not free (A, B of North held or planned there)"),
        (15, "is not free (N of North held or planned there)"),
        (300, "no device takes this address"),
        (0, "no device takes this address"),
    ],
)
def test_a_spare_that_is_of_no_use_is_refused(tmp_path: Path, spare: int, message: str) -> None:
    """Held, planned, or not to be set at all: with the holder's name."""
    rows = [node(11, tag="A"), node(12, tag="B"), node(15, tag="N")]
    with pytest.raises(InputProblems) as error:
        work_of(tmp_path, Choices(spares=[spare]), **site(rows, [node(12, tag="A"), node(11, tag="B")]))

    assert f"--spare {spare}: {message}" in str(error.value)


def test_a_spare_in_another_networks_block_is_used_there_only(tmp_path: Path) -> None:
    """It belongs to South, even if nobody holds it yet: North's swap does not go through it."""
    networks = {
        "North": {"addresses": {"first": 11, "last": 12}},
        "South": {"addresses": {"first": 31, "last": 40}},
    }
    south = node(31, network="South", tag="S")
    rows = site([node(11), node(12), south], [node(12), node(11), south], networks=networks)

    assert work_of(tmp_path, Choices(spares=[35]), **rows).held_back


def test_an_unread_node_keeps_its_planned_address_from_being_a_spare(tmp_path: Path) -> None:
    """C was not read and is planned at 13: the swap goes through 14, and C is to be read."""
    work = work_of(tmp_path, **site([node(11), node(12), node(13)], [node(12), node(11)]))

    assert field(work)[0] == "A: address 12 → 14"
    assert any(step.tag == "C" and "write them down" in step.do for step in work.steps)


def test_a_silent_node_keeps_both_addresses(tmp_path: Path) -> None:
    """S was last seen at 14 and is planned at 13; it moves itself, and nobody goes to either before."""
    rows = [node(11), node(12), node(13, tag="S", report_interval=60)]
    found = [node(12), node(11), node(14, tag="S", report_interval=60, last_heard=9000)]
    work = work_of(tmp_path, **site(rows, found))

    assert "A: address 12 → 15" in field(work)
    assert "S: address 14 → 13" in field(work)


def test_who_is_silent_since_its_channel_is_wrong_is_put_on_its_channel(tmp_path: Path) -> None:
    """Three of five nodes are alike off their channel: no battery is measured before that is set."""
    planned = [node(11 + n, report_interval=60, last_heard=None) for n in range(5)]
    found = [row | {"last_heard": 9999, "channel": 14} if n < 3 else row for n, row in enumerate(planned)]
    work = work_of(tmp_path, **site(planned, found))

    assert [step.do.partition(".")[0] for step in work.steps if step.tag == "A"] == [
        "Set it to its gateway's radio settings"
    ]
    change = next(step for step in work.steps if step.tag == "A")
    assert {finding.partition("/")[0] for finding in change.findings} == {"channel-differs", "silent-node"}


def test_who_is_not_in_the_plan_keeps_its_address(tmp_path: Path) -> None:
    """A cannot go where the stranger is; the list says whom to find, and has a step for it."""
    work = work_of(tmp_path, **site([node(11)], [node(12), node(11, tag="X", network="North")]))

    (held,) = work.held_back
    assert held.devices == ["A"]
    assert "X (not in the plan)" in held.why
    assert held.mend.startswith("free address 11: find X, and plan it or take it out")
    assert any("not in the plan" in step.do for step in work.steps)
    assert not any(step.changes for step in work.steps)


def test_whose_address_is_taken_gets_its_radio_all_the_same(tmp_path: Path) -> None:
    """A is brought onto its gateway's channel; only its address waits for the stranger to go."""
    found = [node(12, channel=9), node(11, tag="X", network="North")]
    work = work_of(tmp_path, **site([node(11)], found))

    (held,) = work.held_back
    assert field(work) == ["A: channel 9 → 13"]
    assert held.change == "A: address 12 → 11"
    assert "find X, and plan it or take it out" in held.mend


def test_who_is_not_in_the_plan_need_not_be_heard(tmp_path: Path) -> None:
    """The gateway goes back to its channel though a test node that somebody left would lose it."""
    rows = [node(11 + n) for n in range(3)]
    stray = {"tag": "X", "address": 20, "joined_gateway": "GW-North"}
    gateway = {"channel": 14, "default_refused": "yes"}

    work = work_of(tmp_path, **site(rows, [*rows, stray], gateway_found=gateway))

    assert field(work) == ["GW-North: channel 14 → 13"]


def test_two_planned_at_one_address_wait_for_the_plan(tmp_path: Path) -> None:
    """The plan has to be settled before anybody moves."""
    work = work_of(tmp_path, **site([node(11), node(11)], [node(11), node(12)]))

    (step,) = work.steps
    assert step.do.startswith("The plan itself is in doubt: address 11 is held by")
    assert len(step.findings) == 2


def test_two_at_one_address_and_planned_at_another_one_stay_where_they_are(tmp_path: Path) -> None:
    """They clash as found and would clash as planned."""
    work = work_of(tmp_path, **site([node(11), node(11)], [node(12), node(12)]))

    assert any("the plan gives address 11 to A, B" in held.why for held in work.held_back)
    assert not field(work)


def test_a_value_of_the_plan_that_cannot_be_is_settled_at_the_desk(tmp_path: Path) -> None:
    """Nobody drives out to devices that only differ from what no device can be set to."""
    networks = {"North": {**BLOCK["North"], "defaults": {"air_rate": "77"}}}
    rows = [node(11 + n, air_rate="50") for n in range(3)]
    gateway = {"channel": 13, "air_rate": "50", "default_refused": "yes"}
    planned = [node(11 + n) for n in range(3)]
    work = work_of(tmp_path, **site(planned, rows, gateway=gateway, networks=networks))

    (step,) = work.steps
    assert (work.visits[0].title.startswith("At the desk"), len(step.findings)) == (True, 10)
    assert "planned once for 3 devices: air_rate is 77" in step.do
    assert "(A, B, C). Correct the plan at this place" in step.do


def test_no_device_is_set_to_a_plan_that_is_wrong(tmp_path: Path) -> None:
    """The planned address is outside the block; the device has one that is not."""
    work = work_of(tmp_path, **site([node(41)], [node(14)]))

    assert not field(work)
    (step,) = work.steps
    assert step.do.startswith("The plan itself is in doubt: address 41 is outside the block")


def test_no_range_is_set_to_a_plan_that_is_wrong_to_get_an_alarm_inside(tmp_path: Path) -> None:
    """The planned range is beyond the sensor, and the alarm lies outside of the range that is set."""
    planned = node(11, range_low=0, range_high=2000, alarm_high=90)
    work = work_of(tmp_path, **site([planned], [planned | {"range_high": 50}]))

    assert not field(work)
    assert {finding.partition("/")[0] for step in work.steps for finding in step.findings} == {
        "range-beyond-sensor", "range-differs", "alarm-outside-range",
    }  # fmt: skip


def test_a_sheet_that_is_unclear_all_through_is_settled_at_the_desk(tmp_path: Path) -> None:
    """Nobody reads again at the display what only is written another way."""
    planned, found = ([node(11 + n, alarm_high=high) for n in range(3)] for high in (7.5, "7,5"))
    work = work_of(tmp_path, **site(planned, found))

    (step,) = work.steps
    assert (work.visits[0].title.startswith("At the desk"), len(step.findings)) == (True, 4)
    assert "Say in a mapping how the file writes it" in step.do


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


def test_nodes_that_have_all_followed_their_gateway_are_left_and_the_plan_amended(tmp_path: Path) -> None:
    """The network works as it stands, so a decision is asked for, and no device is touched."""
    rows = [node(11 + n) for n in range(5)]
    followed = [row | {"channel": 14} for row in rows]
    gateway = {"channel": 14, "default_refused": "yes"}
    work = work_of(tmp_path, **site(rows, followed, gateway_found=gateway))

    assert not field(work)
    assert work.alternatives[0].way == "amend the plan under a change record"
    assert work.alternatives[0].blind_node_minutes == 0
    assert "The plan then says channel 14 for 13" in work.steps[0].do
    assert work.steps[0].expect == "decision, name and date written down, plan revised"


def test_only_the_settings_that_differ_are_spoken_of(tmp_path: Path) -> None:
    """Encryption is planned for the nodes, and is as planned; the plan of the gateway is silent about it."""
    rows = [node(11 + n, encryption="on") for n in range(5)]
    parts = site(rows, [row | {"channel": 14} for row in rows])
    gateway = {"channel": 14, "default_refused": "yes", "encryption": "on"}
    work = work_of(tmp_path, **parts, gateway_found=gateway)

    assert {one.setting for one in work.alternatives} == {"channel"}
    assert work.steps[0].do.endswith("The plan then says channel 14 for 13.")


def test_a_gateway_whose_plan_is_silent_follows_the_plan_of_its_nodes(tmp_path: Path) -> None:
    """The nodes are as planned and cannot hear it; to re-set them would need another plan."""
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
    assert work.steps[0].do.endswith("The plan then says channel 8 for 7.")


def test_what_nobody_has_planned_is_said_to_be_so(tmp_path: Path) -> None:
    """Three nodes are on one channel and their gateway on another, and the plan has none."""
    rows = [node(11 + n, channel=None) for n in range(3)]
    parts = {**site(rows, [row | {"channel": 7} for row in rows]), "gateway": {"default_refused": "yes"}}
    work = work_of(tmp_path, **parts, gateway_found={"default_refused": "yes", "channel": 8})

    assert field(work) == ["GW-North: channel 8 → 7"]
    assert work.steps[0].do.endswith("The plan then says channel 7 (not planned so far).")


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


def test_a_way_onto_a_neighbours_channel_is_advised_against(tmp_path: Path) -> None:
    """All have gone to 14, which is the channel of South."""
    rows = [node(11 + n) for n in range(3)]
    south = {"network": "South", "tag": "S", "channel": 14, "address": 11, "default_refused": "yes"}
    networks: Mapping[str, Any] = {
        "North": {**BLOCK["North"], "gateway_found": {"channel": 14, "default_refused": "yes"}},
        "South": {"gateway": {"channel": 14}},
    }
    planned, found = [*rows, south], [*(row | {"channel": 14} for row in rows), south]
    work = work_of(tmp_path, **site(planned, found, networks=networks))

    advised = next(way for way in work.alternatives if way.advised)
    other = next(way for way in work.alternatives if not way.advised)
    assert not advised.amends_plan
    assert other.against == "South is on that channel"


def test_a_gateway_stays_where_not_all_of_its_nodes_can_go_along(tmp_path: Path) -> None:
    """On channel 13 a stranger has A's address: nobody of North is moved, and it says whom to find."""
    rows = [node(11 + n, tag=tag) for n, tag in enumerate("ABC")]
    stranger = node(11, tag="X", network="North", serial="999")
    followed = [*(row | {"channel": 14} for row in rows), stranger]
    gateway = {"channel": 14, "default_refused": "yes"}
    work = work_of(tmp_path, Choices(radio={"North": "plan"}), **site(rows, followed, gateway_found=gateway))

    assert not field(work)
    (held,) = work.held_back
    assert held.devices == ["GW-North", "A", "B", "C"]
    assert "X (not in the plan) is in the way, and the gateway alone would strand the rest" in held.why
    assert held.mend.startswith("find X")


def test_a_gateway_that_was_not_read_is_read_before_a_radio_is_set_towards_it(tmp_path: Path) -> None:
    """A node off its planned channel is brought back to it only if the gateway is seen to be on it."""
    work = work_of(tmp_path, **site([node(11)], [node(11, channel=9)], gateway_found=None))

    assert "A: channel 9 → 13" in field(work)
    reading = next(step for step in work.steps if step.tag == "GW-North")
    change = next(step for step in work.steps if step.changes)
    assert "write them down" in reading.do
    assert reading.number in change.needs
    shows = f"step {reading.number}: GW-North shows channel 13; if not, leave it and make the list anew"
    assert (change.hold or "").startswith(shows)


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
    assert other.against == "5 of 10 nodes are as planned already"


def test_a_tag_that_stands_twice_is_two_devices(tmp_path: Path) -> None:
    """The plan is in doubt; neither of the two gets lost."""
    rows = [{"tag": "A", **node(11)}, {"tag": "A", **node(12)}]
    work = work_of(tmp_path, planned=rows, found=[{"tag": "Z", **node(13)}], networks=BLOCK,
                   gateway={"channel": 13, "default_refused": "yes"})  # fmt: skip

    assert sum(step.tag == "A" and "Read" in step.do for step in work.steps) == 2


def test_a_site_without_addresses_or_radio_has_its_other_work(tmp_path: Path) -> None:
    """Nothing but settings."""
    none = dict.fromkeys(("address", "channel", "air_rate", "network_id", "encryption"))
    planned, found = {"range_high": 9, "default_refused": "yes"}, {"range_high": 5, "default_refused": "yes"}
    hub: dict[str, Any] = {"gateway": {"default_refused": "yes"}, "hub_settings": none}
    work = work_of(tmp_path, planned=planned, found=found, settings=none, **hub)

    assert field(work) == ["A: range_high 5 kPa g → 9 kPa g"]


def test_an_unknown_way_or_network_is_refused(tmp_path: Path) -> None:
    """With the ways or networks that there are."""
    rows = [node(11), node(12)]
    retuned = site(rows, rows, gateway_found={"channel": 14, "default_refused": "yes"})
    with pytest.raises(InputProblems, match="its ways are: plan, gateway"):
        work_of(tmp_path / "a", Choices(radio={"North": "nodes"}), **retuned)
    with pytest.raises(InputProblems, match="no network 'Nort'"):
        work_of(tmp_path / "b", Choices(radio={"Nort": "plan"}), **retuned)


def test_address_and_radio_of_one_node_are_one_step(tmp_path: Path) -> None:
    """Half a move is neither here nor there: both are keyed in before the menu is left."""
    work = work_of(tmp_path, **site([node(11)], [node(12, channel=9)]))

    assert field(work) == ["A: address 12 → 11, channel 9 → 13"]


def test_a_visit_goes_from_looking_to_locking(tmp_path: Path) -> None:
    """Radio before settings, then the port, the code, and the lock last; unlocking comes first of all."""
    planned = node(11, range_high=100, local_lock=True, service_port=False)
    found = node(11, range_high=50, local_lock=True, service_port=True, channel=9, default_refused="no")
    work = work_of(tmp_path, **site([planned], [found]))

    assert told(work.steps[:5]) == [
        "A: channel 9 → 13",
        "A: range_high 50 kPa g → 100 kPa g",
        "A: service_port on → off",
        "A: the factory access code was tried and accepted",
        "A: local_lock unlocked → on",
    ]
    assert work.steps[0].do.startswith("Unlock the menu")
    assert len({step.visit for step in work.steps[:5]}) == 1


@pytest.mark.parametrize("number", ["AUT-7", "AUT-7 until 2026-06-30"])
def test_an_authorised_alarm_is_asked_for_before_it_is_switched_on(number: str, tmp_path: Path) -> None:
    """While the authorisation holds, nobody switches the alarm on against it."""
    found = node(11, alarm_enabled="off", alarm_authorisation=number)
    work = work_of(tmp_path, **site([node(11, alarm_enabled=True)], [found]))

    assert "leave out the step that sets the alarm" in work.steps[0].do
    assert (told(work.steps[1:2]), work.steps[1].needs) == (["A: alarm_enabled off → on"], [1])


def test_a_lock_that_is_to_come_off_comes_off_first(tmp_path: Path) -> None:
    """And is not put on again."""
    work = work_of(
        tmp_path,
        **site([node(11, local_lock=False, range_high=9)], [node(11, local_lock=True, range_high=5)]),
    )

    assert field(work) == ["A: local_lock on → off", "A: range_high 5 kPa g → 9 kPa g"]


def ring_of_three(**first: Any) -> dict[str, Any]:
    """Return three nodes that hold each other's addresses; more is wrong with the first of them, A."""
    planned = [node(11 + n, local_lock=True) for n in range(3)]
    found = [row | {"address": address} for row, address in zip(planned, (13, 11, 12), strict=True)]
    return site(planned, [found[0] | first, *found[1:]])


def test_a_menu_found_unlocked_is_locked_at_the_end_of_the_last_visit(tmp_path: Path) -> None:
    """A is come back to, to leave the spare address; a lock set before would keep people out."""
    of_a = [step for step in work_of(tmp_path, **ring_of_three(local_lock=False)).steps if step.tag == "A"]

    assert told(of_a) == ["A: address 13 → 14", "A: address 14 → 11", "A: local_lock off → on"]
    assert of_a[1].visit == of_a[2].visit


def test_a_code_is_changed_in_the_last_visit(tmp_path: Path) -> None:
    """Who comes back need not know the new one yet; the menu is unlocked and locked each time."""
    of_a = [
        step for step in work_of(tmp_path, **ring_of_three(default_refused="no")).steps if step.tag == "A"
    ]

    assert told(of_a) == [
        "A: address 13 → 14",
        "A: local_lock unlocked → on",
        "A: address 14 → 11",
        "A: the factory access code was tried and accepted",
        "A: local_lock unlocked → on",
    ]
    assert [step.do.startswith("Unlock the menu") for step in of_a] == [True, False, True, False, False]


def test_the_menu_is_unlocked_before_work_that_is_no_plain_setting(tmp_path: Path) -> None:
    """A trim without a record is taken out at the menu, and that comes before the range."""
    planned = node(11, range_high=100, local_lock=True)
    work = work_of(tmp_path, **site([planned], [planned | {"range_high": 50, "offset": 0.5}]))

    assert told(work.steps[:3]) == [
        "A: Unlock the menu (local_lock); a trim is set, and no calibration record is named for it",
        "A: range_high 50 kPa g → 100 kPa g",
        "A: local_lock unlocked → on",
    ]


def test_no_menu_is_unlocked_where_nothing_is_keyed_in(tmp_path: Path) -> None:
    """A battery is replaced at the device, and a signal is read in the gateway's list."""
    row = node(11, local_lock=True, report_interval=60)
    work = work_of(tmp_path, **site([row], [row | {"last_heard": 9999}]))

    assert work.steps
    assert not any("menu" in step.do for step in work.steps)


def test_the_join_window_is_closed_before_the_menu_is_locked(tmp_path: Path) -> None:
    """Though the display shows it after the lock."""
    joining = {"kind": "option", "options": ["open", "closed"], "role": "join_window"}
    planned = {"channel": 13, "default_refused": "yes", "local_lock": "on", "joining": "closed"}
    found = planned | {"local_lock": "off", "joining": "open"}
    parts = site([node(11)], [node(11)], hub_settings={"join_window": None, "joining": joining})
    work = work_of(tmp_path, **{**parts, "gateway": planned, "gateway_found": found})

    assert field(work) == ["GW-North: joining open → closed", "GW-North: local_lock off → on"]


def test_many_nodes_alike_are_weighed_against_amending_the_plan(tmp_path: Path) -> None:
    """Somebody is asked first; the nodes' steps need that."""
    planned = [node(11 + n, range_high=100) for n in range(5)]
    work = work_of(tmp_path, **site(planned, [row | {"range_high": 50} for row in planned]))

    assert [one.amends_plan for one in work.alternatives] == [False, True]
    assert work.steps[0].place == "desk"
    assert all(step.needs == [1] for step in work.steps if step.changes)


def test_waived_findings_make_no_step(tmp_path: Path) -> None:
    """A node whose address somebody has accepted stays, and so keeps others from it."""
    waivers = {
        "asfound": "waivers/1",
        "waivers": [
            {"id": "W-1", "rule": "address-differs", "node": "A", "setting": "address", "value": 12,
             "reason": "its place is out of reach", "owner": "A. Sample", "approver": "B. Other",
             "issued": "2026-04-01", "expires": "2026-12-01"}
        ],
    }  # fmt: skip
    file = tmp_path / "waivers.json"
    file.write_text(json.dumps(waivers), encoding="utf-8")
    work = work_of(tmp_path / "s", waivers=[file], **site([node(11), node(12)], [node(12), node(13)]))

    assert not field(work)
    assert work.waived >= 1
    (held,) = work.held_back
    assert held.devices == ["B"]
    assert "held by A" in held.why


def test_every_step_says_what_belongs_to_it(tmp_path: Path) -> None:
    """Who, from, to, finding, hold point, what to expect, minutes, how to undo it."""
    work = work_of(tmp_path, **site([node(11, alarm_high=80)], [node(11, alarm_high=8)]))
    step = work.steps[0]

    assert (step.tag, step.serial, step.network) == ("A", "100", "North")
    assert step.findings == ["alarm-off-plan/North/A/alarm_high"]
    assert "control room" in (step.hold or "")
    assert "alarm comes" in step.expect
    assert step.minutes > 0
    assert step.rollback == "set alarm_high to 8 kPa g again"
    assert any("bypass" in caution for caution in step.cautions)


@pytest.mark.parametrize(
    ("key", "words"), [("moves_outputs", "lock out"), ("hazardous_area", "permit to work")]
)
def test_cautions_are_those_of_the_devices_in_the_list(tmp_path: Path, key: str, words: str) -> None:
    """Outputs that move and hazardous areas are spoken of where there are any."""
    wrong = site([node(11, range_high=9)], [node(11, range_high=5)])

    def cautions(work: Any) -> str:
        return " ".join([*work.cautions, *work.steps[0].cautions]).casefold()

    assert words not in cautions(work_of(tmp_path / "a", **wrong))
    told_ = cautions(work_of(tmp_path / "b", **wrong, type_keys={key: True}))
    assert words in told_
    assert "authorises nothing" in told_


def test_the_start_puts_visits_in_order_by_distance(tmp_path: Path) -> None:
    """From the far end, the far node comes first."""
    planned = [node(11 + n, range_high=9, x_m=100 * n, y_m=0) for n in range(3)]
    found = [node(11 + n, range_high=5) for n in range(3)]
    near = work_of(tmp_path / "a", Choices(start=Position(x_m=-50, y_m=0)), **site(planned, found))

    assert near.route.metres == 500
    assert "exact" in near.route.how
    assert [visit.metres for visit in near.visits if visit.metres is not None] == [50, 100, 100]


def test_a_start_without_any_position_is_refused(tmp_path: Path) -> None:
    """The plan has no positions."""
    with pytest.raises(InputProblems, match="no device of the work list has a position") as refused:
        work_of(tmp_path, Choices(start=Position(x_m=0, y_m=0)),
                **site([node(11, range_high=9)], [node(11, range_high=5)]))  # fmt: skip

    assert "leave --start out" in refused.value.problems[0].mend


def test_a_list_that_fails_its_own_check_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No list rather than a bad one, and the step is named."""
    monkeypatch.setattr("audit.worklist.making.replay", lambda *_: Replayed(Fault(3, "strands A"), {}, {}))
    with pytest.raises(InputProblems, match="by its own check step 3 strands A"):
        work_of(tmp_path, **site([node(11)], [node(12)]))


def test_a_move_planned_in_a_wrong_order_never_gets_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With the order of the moves broken, the check finds the step that would collide."""
    from audit.worklist import joining, moves

    def without_waiting(*args: Any) -> moves.Planned:
        planned = moves.plan_moves(*args)
        broken = [moves.Move(move.device, move.changes) for move in planned.moves]
        return moves.Planned(broken, planned.stuck)

    monkeypatch.setattr(joining, "plan_moves", without_waiting)
    with pytest.raises(InputProblems, match="step 1 puts A on channel and address of B"):
        work_of(tmp_path, **site([node(12), node(13)], [node(11), node(12)]))


RADIO = st.sampled_from([13, 13, 13, 14, 9])


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(chance=st.data())
def test_whatever_is_found_the_list_passes_its_check_and_forgets_nothing(
    tmp_path_factory: pytest.TempPathFactory, chance: st.DataObject
) -> None:
    """Addresses in any order, any channels, locks on and off, nodes not read, a node that nobody planned.

    `make` replays the list, looks for findings without a step, and raises where anything is wrong.
    """
    size = chance.draw(st.integers(1, 6))
    addresses = chance.draw(st.permutations(range(11, 11 + size)))
    if chance.draw(st.booleans()):
        addresses = [*addresses[:-1], addresses[0]]
    planned = [node(11 + n, local_lock=chance.draw(st.booleans())) for n in range(size)]
    found = [
        node(addresses[n], tag=chr(65 + n), channel=chance.draw(RADIO), local_lock=chance.draw(st.booleans()))
        for n in range(size) if n == 0 or chance.draw(st.integers(0, 5))
    ]  # fmt: skip
    if chance.draw(st.booleans()):
        found.append({"tag": "X", "joined_gateway": "GW-North", "address": chance.draw(st.integers(10, 19))})
    gateway = {"channel": chance.draw(RADIO), "default_refused": "yes"}
    block = {"North": {"addresses": {"first": 11, "last": 11 + size - chance.draw(st.integers(0, 1))}}}
    more: dict[str, Any] = {"networks": block, "gateway_found": gateway}
    as_planned = {"channel": 13, "default_refused": "yes"}
    folder = tmp_path_factory.mktemp("site")
    work = work_of(folder, planned=planned, found=found, gateway=as_planned, **more)

    assert [step.number for step in work.steps] == list(range(1, len(work.steps) + 1))
    assert all(need < step.number for step in work.steps for need in step.needs)


def test_rows_in_another_order_give_the_same_list(tmp_path: Path) -> None:
    """Neither the plan's nor the readback's order of rows matters."""
    planned = [node(11 + n, tag=f"T-{n}", serial=str(n), range_high=9) for n in range(8)]
    found = [node(11 + (n + 3) % 8, tag=f"T-{n}", serial=str(n), range_high=5) for n in range(8)]
    base: dict[str, Any] = {"gateway": {"channel": 13, "default_refused": "yes"}, "networks": BLOCK}
    one = work_of(tmp_path / "a", planned=planned, found=found, **base)
    other = work_of(tmp_path / "b", planned=planned[::-1], found=found[3:] + found[:3], **base)

    assert told(one.steps) == told(other.steps)
    assert [step.needs for step in one.steps] == [step.needs for step in other.steps]


CHOSEN = {"settings": {"address": {"kind": "option", "options": [str(n) for n in range(1, 21)]}}}


def test_a_spare_among_chosen_addresses_is_free(tmp_path: Path) -> None:
    """Where addresses are options, a ring goes through one that nobody has."""
    taken = [node(11), node(12), node(13)]
    work = work_of(tmp_path, **site(taken, [node(12), node(11), node(13)], **CHOSEN))

    assert field(work) == ["A: address 12 → 14", "B: address 11 → 12", "A: address 14 → 11"]


def test_no_spare_lies_beyond_the_options(tmp_path: Path) -> None:
    """A device cannot be sent to an address that its menu does not offer."""
    nodes = [node(20), node(19)]
    block = {"networks": {"North": {"addresses": {"first": 19, "last": 40}}}}
    work = work_of(tmp_path, **site(nodes, nodes[::-1], **CHOSEN, **block))

    assert not field(work)
    assert "no address of 19 to 40 is free" in work.held_back[0].why


def test_every_device_without_tag_and_serial_holds_its_address(tmp_path: Path) -> None:
    """Two unknown devices at 13 and 14: neither is a spare."""
    parts = site([node(11), node(12)], [node(12), node(11), node(13, tag=None), node(14, tag=None)])
    parts["found"] = [*parts["found"][:2], *({**row, "serial": ""} for row in parts["found"][2:])]
    work = work_of(tmp_path, **parts)

    assert "A: address 12 → 15" in field(work)


@pytest.mark.parametrize(("network", "title"), [({}, "wherever it is"), ({"network": "North"}, "North")])
def test_the_place_of_a_device_that_nobody_knows(tmp_path: Path, network: dict[str, str], title: str) -> None:
    """Its network, once, or wherever it is."""
    stranger = {"tag": "X", "address": 99, "channel": 13, **network}
    work = work_of(tmp_path, **site([node(11)], [{**node(11), **network}, stranger]))

    assert work.visits[0].title == title


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


def test_a_spare_suits_the_devices_of_one_network(tmp_path: Path) -> None:
    """Devices of another network, which take other addresses, do not matter."""
    planned = [node(11), node(12), node(120, type="meter", network="South")]
    ranges = {"settings": {"address": {"kind": "integer", "low": 1, "high": 99}},
              "meter_settings": {"address": {"kind": "integer", "low": 100, "high": 247}}}  # fmt: skip
    networks = {"networks": {"North": {"addresses": {"first": 11, "last": 12}}, "South": {}}}
    work = work_of(tmp_path, Choices(spares=[50]),
                   **site(planned, [node(12), node(11), node(120)], **ranges, **networks))  # fmt: skip

    assert "A: address 12 → 50" in field(work)


def test_alternatives_name_nodes_in_order(tmp_path: Path) -> None:
    """N-9 before N-10."""
    nodes = [{**node(11 + n), "tag": f"N-{n}"} for n in (8, 9, 10, 11)]
    found = [{**one, "channel": 14} for one in nodes]
    work = work_of(tmp_path, **site(nodes, found))

    assert "change 4 nodes (N-8, N-9, N-10 and 1 more)" in {one.way for one in work.alternatives}
