"""Addresses in the work list: chains, pairs and rings, and the spare addresses that they use."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from audit.errors import InputProblems
from audit.worklist.making import Choices
from tests.worklist.sites import field, node, site, told, work_of


def test_a_chain_of_addresses_comes_backwards(tmp_path: Path) -> None:
    """A is to go where B is, and B to a free address: B goes first, and A's step says that it needs that."""
    work = work_of(tmp_path, **site([node(12), node(13)], [node(11), node(12)]))

    assert field(work) == ["B: address 12 → 13", "A: address 11 → 12"]
    assert work.steps[1].needs == [1]


@pytest.mark.parametrize(
    ("role", "wrong"), [("channel", 30), ("air_rate", 50), ("network_id", "2B00"), ("encryption", "off")]
)
def test_who_stands_at_anothers_address_leaves_it_before_that_one_is_heard(
    role: str, wrong: object, tmp_path: Path
) -> None:
    """The gateway hears B at 11, and not A, whose address that is: once A is heard too, both are lost."""
    gateway = {"channel": 13, "air_rate": 100, "network_id": "1A00", "encryption": "on"}
    planned = [node(11, **gateway), node(12, **gateway)]
    found = [{**planned[0], role: wrong}, {**planned[1], "address": 11}]
    work = work_of(tmp_path, **site(planned, found, gateway={**gateway, "default_refused": "yes"}))

    first, second = (step for step in work.steps if step.changes)
    assert field(work)[0] == "B: address 11 → 12"
    assert (second.tag, second.changes[0].setting) == ("A", role)
    assert second.needs == [first.number]


def test_addresses_that_are_chosen_from_a_list_are_numbers_all_the_same(tmp_path: Path) -> None:
    """A device may offer its addresses as options; a free one is found, and the chain is done backwards."""
    chosen = {"settings": {"address": {"kind": "option", "options": [str(n) for n in range(1, 248)]}}}
    work = work_of(tmp_path, **site([node(12), node(13)], [node(11), node(12)], **chosen))

    assert field(work) == ["B: address 12 → 13", "A: address 11 → 12"]


def test_a_pair_goes_through_the_first_free_address_of_the_block(tmp_path: Path) -> None:
    """After somebody has looked whether the units were swapped; steps say until when they can be undone."""
    work = work_of(tmp_path, **site([node(11), node(12)], [node(12), node(11)]))

    assert field(work) == ["A: address 12 → 13", "B: address 11 → 12", "A: address 13 → 11"]
    look, hop, other = work.steps[0], work.steps[1], work.steps[2]
    assert "swapped" in look.do
    assert hop.needs == [look.number]
    assert (
        hop.rollback
        == f"set address to 12 again, but not once step {other.number} is done: then stop and call"
    )


def test_boxes_that_are_set_for_where_they_hang_stay_as_they_are(tmp_path: Path) -> None:
    """Only the serial numbers are swapped: setting each unit as planned for its own breaks what works."""
    planned = [node(11, range_high=50, service_port="off"), node(12, range_high=60, service_port="off")]
    found = [planned[0] | {"tag": "A", "serial": "101", "service_port": "on"},
             planned[1] | {"tag": "B", "serial": "100"}]  # fmt: skip
    work = work_of(tmp_path, **site(planned, found))

    assert told(work.steps[:1])[0].startswith("A: the serial numbers of A and B are swapped")
    assert "Swap nothing and set nothing" in work.steps[0].do
    assert field(work) == ["A: service_port on → off"]
    assert not work.held_back


def test_boxes_that_are_set_half_for_their_places_are_left_until_somebody_has_looked(tmp_path: Path) -> None:
    """The ranges suit the places, the addresses the units: nobody knows yet which are to be changed."""
    planned = [node(11, range_high=50, alarm_high=40), node(12, range_high=60, alarm_high=45)]
    found = [planned[0] | {"tag": "A", "serial": "101", "address": 12},
             planned[1] | {"tag": "B", "serial": "100", "address": 11}]  # fmt: skip
    work = work_of(tmp_path, **site(planned, found))

    assert told(work.steps[:1]) == [
        "A: the units of A and B have been swapped: each was found under the other's tag"
    ]
    assert field(work) == []
    (held,) = work.held_back
    assert held.change == "A: address 12 → 11; B: address 11 → 12"
    assert "units were swapped" in held.why
    assert "correct the plan's serial numbers" in held.mend


def test_an_address_that_is_not_known_is_read_before_another_leaves_its_place(tmp_path: Path) -> None:
    """A is where B belongs: the two may have been swapped, and at 11 they would answer as one."""
    work = work_of(tmp_path, **site([node(11), node(12)], [node(12), node(12) | {"address": "?1"}]))
    read, move = work.steps[0], work.steps[1]

    assert (read.tag, move.tag) == ("B", "A")
    assert read.do.startswith("Read at the display and write down")
    assert move.needs == [read.number]
    assert move.hold
    assert move.hold.startswith(f"step {read.number}: B does not show address 11; if it does, leave it")


def test_an_address_that_is_not_known_holds_up_nobody_from_elsewhere(tmp_path: Path) -> None:
    """A came from 13, where nobody belongs."""
    work = work_of(tmp_path, **site([node(11), node(12)], [node(13), node(12) | {"address": "?1"}]))

    (move,) = (step for step in work.steps if step.changes)
    assert (move.tag, move.needs) == ("A", [])


def test_without_a_spare_the_ring_is_held_back_and_the_rest_comes(tmp_path: Path) -> None:
    """The message says what to free, and a spare address that could be stated."""
    planned = [node(11), node(12), node(13, range_high=100)]
    found = [node(12), node(11), node(13, range_high=50)]
    work = work_of(
        tmp_path, **site(planned, found, networks={"North": {"addresses": {"first": 11, "last": 13}}})
    )

    (held,) = work.held_back
    assert held.devices == ["A", "B"]
    assert "no address from 11 to 13 is free" in held.why
    assert "free one address from 11 to 13" in held.mend
    assert "--spare 14" in held.mend
    assert field(work) == ["C: range_high 50 kPa g → 100 kPa g"]


TWO = {"addresses": {"first": 11, "last": 12}}
FULL: dict[str, dict[str, Any]] = {"North": TWO, "South": {**TWO, "gateway": {"channel": 14}}}
"""Two networks with the same two addresses, and no spare address."""


def both(north: list[dict[str, Any]], south: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return nodes A and B of North, and C and D of South."""
    named = zip("ABCD", [*north, *south], ["North", "North", "South", "South"], strict=True)
    return [{**row, "tag": tag, "network": network} for tag, row, network in named]


def test_who_would_meet_somebody_on_the_way_from_another_network_needs_a_spare(tmp_path: Path) -> None:
    """A is at 12 on South's channel: there D is at 12 and C at 11, and at 12 on its own is B."""
    planned = both([node(11), node(12)], [node(11, channel=14), node(12, channel=14)])
    found = [{**planned[0], "channel": 14, "address": 12}, *planned[1:]]
    work = work_of(tmp_path / "a", **site(planned, found, networks=FULL))

    (held,) = work.held_back
    assert held.why.startswith("whichever setting is keyed in first, it collides with B, C, so it would")
    assert held.mend.endswith("for instance --spare 13")
    work = work_of(tmp_path / "b", Choices(spares=[13]), **site(planned, found, networks=FULL))
    assert not work.held_back


def test_gateways_wait_for_a_spare_where_their_nodes_do(tmp_path: Path) -> None:
    """All of North and all of South have swapped channels, and have the same addresses."""
    planned = both([node(11), node(12)], [node(11, channel=14), node(12, channel=14)])
    found = [{**row, "channel": 27 - row["channel"]} for row in planned]
    gateways = {name: {**network, "gateway_found": {"channel": channel, "default_refused": "yes"}}
                for (name, network), channel in zip(FULL.items(), (14, 13), strict=True)}  # fmt: skip
    choices = Choices(radio={"North": "plan", "South": "plan"})
    work = work_of(tmp_path / "a", choices, **site(planned, found, networks=gateways))

    assert [held.devices[0] for held in work.held_back] == ["GW-North", "GW-South"]
    assert "--spare 13" in work.held_back[0].mend
    choices = replace(choices, spares=[13])
    work = work_of(tmp_path / "b", choices, **site(planned, found, networks=gateways))
    assert not work.held_back
    hop = next(step for step in work.steps if step.changes)
    assert (hop.changes[0].setting, hop.changes[0].after) == ("address", "13")
    assert hop.findings == ["radio-off-plan/North/A/channel"]


def test_a_reserved_address_is_no_spare_unless_a_person_says_so(tmp_path: Path) -> None:
    """Reserved addresses are kept for something; using one gets a hold point."""
    block = {"North": {"addresses": {"first": 11, "last": 13, "reserved": [13]}}}
    swap = site([node(11), node(12)], [node(12), node(11)], networks=block)

    assert work_of(tmp_path / "a", **swap).held_back
    work = work_of(tmp_path / "b", Choices(spares=[13]), **swap)
    assert field(work)[0] == "A: address 12 → 13"
    assert "radio engineer confirms that nobody uses 13" in (work.steps[1].hold or "")


@pytest.mark.parametrize(
    ("spare", "message"),
    [
        (11, " is not free (held by or planned for A, B of North)"),
        (15, " is not free (held by or planned for N of North)"),
        (300, ": no device accepts this address"),
        (0, ": no device accepts this address"),
    ],
)
def test_a_spare_that_is_of_no_use_is_refused(tmp_path: Path, spare: int, message: str) -> None:
    """Held, planned or not settable at all: the message names the holder."""
    rows = [node(11, tag="A"), node(12, tag="B"), node(15, tag="N")]
    with pytest.raises(InputProblems) as error:
        work_of(tmp_path, Choices(spares=[spare]), **site(rows, [node(12, tag="A"), node(11, tag="B")]))

    assert f"--spare {spare}{message}" in str(error.value)


def test_a_spare_in_another_networks_block_is_used_there_only(tmp_path: Path) -> None:
    """It belongs to South, even if no device holds it yet: North's swap does not use it."""
    networks = {
        "North": {"addresses": {"first": 11, "last": 12}},
        "South": {"addresses": {"first": 31, "last": 40}},
    }
    south = node(31, network="South", tag="S")
    rows = site([node(11), node(12), south], [node(12), node(11), south], networks=networks)

    assert work_of(tmp_path, Choices(spares=[35]), **rows).held_back


@pytest.mark.parametrize("given", [(), (14,)])
def test_networks_with_one_block_have_their_spares_in_it(given: tuple[int, ...], tmp_path: Path) -> None:
    """Each has its own 11 to 20; what South has there is no matter of North."""
    block = {"addresses": {"first": 11, "last": 20}}
    networks = {"North": block, "South": {**block, "gateway": {"channel": 14}}}
    planned = both([node(11), node(12)], [node(13, channel=14), node(14, channel=14)])
    found = [{**planned[0], "address": 12}, {**planned[1], "address": 11}, *planned[2:]]
    work = work_of(tmp_path, Choices(spares=given), **site(planned, found, networks=networks))

    spare = given[0] if given else 13
    assert field(work) == [f"A: address 12 → {spare}", "B: address 11 → 12", f"A: address {spare} → 11"]
    assert "which the plan does not offer" not in str([step.hold for step in work.steps])


def test_an_unread_node_keeps_its_planned_address_from_being_a_spare(tmp_path: Path) -> None:
    """C was not read and is planned at 13: the swap uses 14, and C is to be read."""
    work = work_of(tmp_path, **site([node(11), node(12), node(13)], [node(12), node(11)]))

    assert field(work)[0] == "A: address 12 → 14"
    assert any(step.tag == "C" and "write them down" in step.do for step in work.steps)


def test_a_silent_node_keeps_both_addresses(tmp_path: Path) -> None:
    """S was last seen at 14 and is planned at 13; it moves, and no device goes to either before that."""
    rows = [node(11), node(12), node(13, tag="S", report_interval=60)]
    found = [node(12), node(11), node(14, tag="S", report_interval=60, last_heard=9000)]
    work = work_of(tmp_path, **site(rows, found))

    assert "A: address 12 → 15" in field(work)
    assert "S: address 14 → 13" in field(work)


def test_who_is_silent_since_its_channel_is_wrong_is_put_on_its_channel(tmp_path: Path) -> None:
    """Three of five nodes are off channel alike: no battery is measured before that is set."""
    planned = [node(11 + n, report_interval=60, last_heard=None) for n in range(5)]
    found = [row | {"last_heard": 9999, "channel": 14} if n < 3 else row for n, row in enumerate(planned)]
    work = work_of(tmp_path, **site(planned, found))

    assert [step.do.partition(".")[0] for step in work.steps if step.tag == "A"] == [
        "Set it to its gateway's radio settings"
    ]
    change = next(step for step in work.steps if step.tag == "A")
    assert {finding.partition("/")[0] for finding in change.findings} == {"channel-differs", "silent-node"}


def test_who_is_not_in_the_plan_keeps_its_address(tmp_path: Path) -> None:
    """A cannot go where the unplanned device is; the list says which to find, and has a step for it."""
    work = work_of(tmp_path, **site([node(11)], [node(12), node(11, tag="X", network="North")]))

    (held,) = work.held_back
    assert held.devices == ["A"]
    assert "X (not in the plan)" in held.why
    assert held.mend.startswith("free address 11: find X, and plan it or take it out")
    assert any("not in the plan" in step.do for step in work.steps)
    assert not any(step.changes for step in work.steps)


@pytest.mark.parametrize(("role", "wrong"), [("channel", 30), ("air_rate", 50), ("encryption", "off")])
def test_nobody_is_set_so_that_it_is_heard_beside_a_stranger(
    role: str, wrong: object, tmp_path: Path
) -> None:
    """The gateway hears X at 11; A, whose address that is, stays apart until X is found."""
    gateway = {"channel": 13, "air_rate": 100, "encryption": "on"}
    planned = [node(11, **gateway)]
    stranger = node(11, tag="X", network="North", **gateway)
    found = [{**planned[0], role: wrong}, stranger]
    work = work_of(tmp_path, **site(planned, found, gateway={**gateway, "default_refused": "yes"}))

    (held,) = work.held_back
    assert (held.devices, field(work)) == (["A"], [])
    assert held.mend.startswith("free address 11: find X, and plan it or take it out")


def test_what_follows_from_a_change_that_is_held_back_waits_with_it(tmp_path: Path) -> None:
    """A has not joined, since its channel is wrong; where it belongs stands X."""
    planned = [node(11), node(12)]
    sheet = [planned[0] | {"channel": 30}, planned[1], node(11, tag="X", network="North")]
    found = {"sheet.csv": sheet, "list.csv": [{"tag": "B", "joined_gateway": "GW-North"}]}
    work = work_of(tmp_path, **{**site(planned, []), "found": found})

    (held,) = work.held_back
    assert held.findings == ["channel-differs/North/A/channel", "not-joined/North/A/joined_gateway"]
    assert not any(step.tag == "A" for step in work.steps)


def test_who_is_held_back_in_another_network_is_not_asked_for_its_battery(tmp_path: Path) -> None:
    """A is set for South and in no list: the reason is known, and held back, since X is where A belongs."""
    radio = {"North": {"channel": 13, "network_id": "1A00"}, "South": {"channel": 14, "network_id": "1A01"}}
    networks = {name: {"gateway": {**own, "default_refused": "yes"}} for name, own in radio.items()}
    planned = [node(n, tag=tag, network=name, **radio[name])
               for n, tag, name in ((11, "A", "North"), (12, "B", "North"), (21, "C", "South"))]  # fmt: skip
    sheet = [planned[0] | radio["South"], *planned[1:], planned[0] | {"tag": "X"}]
    joined = [{"tag": "B", "joined_gateway": "GW-North"}, {"tag": "C", "joined_gateway": "GW-South"}]
    found = {"sheet.csv": sheet, "list.csv": joined}
    work = work_of(tmp_path, planned=planned, found=found, networks=networks)

    (held,) = work.held_back
    assert "not-joined/North/A/joined_gateway" in held.findings
    assert [step.do.partition(":")[0] for step in work.steps if step.tag == "A"] == ["it is set for South"]


def test_whose_address_is_taken_gets_its_radio_all_the_same(tmp_path: Path) -> None:
    """A is brought onto its gateway's channel; only its address waits for the unplanned device to go."""
    found = [node(12, channel=9), node(11, tag="X", network="North")]
    work = work_of(tmp_path, **site([node(11)], found))

    (held,) = work.held_back
    assert field(work) == ["A: channel 9 → 13"]
    assert held.change == "A: address 12 → 11"
    assert "find X, and plan it or take it out" in held.mend


def test_who_is_not_in_the_plan_need_not_be_heard(tmp_path: Path) -> None:
    """The gateway goes back to its channel even if a leftover test node would lose it."""
    rows = [node(11 + n) for n in range(3)]
    stray = {"tag": "X", "address": 20, "joined_gateway": "GW-North"}
    gateway = {"channel": 14, "default_refused": "yes"}

    work = work_of(tmp_path, **site(rows, [*rows, stray], gateway_found=gateway))

    assert field(work) == ["GW-North: channel 14 → 13"]


def test_two_planned_at_one_address_wait_for_the_plan(tmp_path: Path) -> None:
    """The plan has to be settled before any device moves."""
    work = work_of(tmp_path, **site([node(11), node(11)], [node(11), node(12)]))

    (step,) = work.steps
    assert step.do.startswith("The plan itself is in doubt: address 11 is held by")
    assert len(step.findings) == 2


def test_two_at_one_address_and_planned_at_another_one_stay_where_they_are(tmp_path: Path) -> None:
    """They clash as found and would clash as planned."""
    work = work_of(tmp_path, **site([node(11), node(11)], [node(12), node(12)]))

    assert any("the plan gives address 11 to A, B" in held.why for held in work.held_back)
    assert not field(work)


CHOSEN = {"settings": {"address": {"kind": "option", "options": [str(n) for n in range(1, 21)]}}}


def test_a_spare_among_chosen_addresses_is_free(tmp_path: Path) -> None:
    """If addresses are options, a ring uses one that no device has."""
    taken = [node(11), node(12), node(13)]
    work = work_of(tmp_path, **site(taken, [node(12), node(11), node(13)], **CHOSEN))

    assert field(work) == ["A: address 12 → 14", "B: address 11 → 12", "A: address 14 → 11"]


def test_no_spare_lies_beyond_the_options(tmp_path: Path) -> None:
    """A device cannot be sent to an address that its menu does not offer."""
    nodes = [node(20), node(19)]
    block = {"networks": {"North": {"addresses": {"first": 19, "last": 40}}}}
    work = work_of(tmp_path, **site(nodes, nodes[::-1], **CHOSEN, **block))

    assert not field(work)
    assert "no address from 19 to 40 is free" in work.held_back[0].why


def test_every_device_without_tag_and_serial_holds_its_address(tmp_path: Path) -> None:
    """Two unknown devices at 13 and 14: neither address is a spare."""
    parts = site([node(11), node(12)], [node(12), node(11), node(13, tag=None), node(14, tag=None)])
    parts["found"] = [*parts["found"][:2], *({**row, "serial": ""} for row in parts["found"][2:])]
    work = work_of(tmp_path, **parts)

    assert "A: address 12 → 15" in field(work)


def test_a_spare_suits_the_devices_of_one_network(tmp_path: Path) -> None:
    """Devices of another network, which accept other addresses, do not matter."""
    planned = [node(11), node(12), node(120, type="meter", network="South")]
    ranges = {"settings": {"address": {"kind": "integer", "low": 1, "high": 99}},
              "meter_settings": {"address": {"kind": "integer", "low": 100, "high": 247}}}  # fmt: skip
    networks = {"networks": {"North": {"addresses": {"first": 11, "last": 12}}, "South": {}}}
    work = work_of(tmp_path, Choices(spares=[50]),
                   **site(planned, [node(12), node(11), node(120)], **ranges, **networks))  # fmt: skip

    assert "A: address 12 → 50" in field(work)
