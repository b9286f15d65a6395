"""Ticking off: done, not done, other value, not read again, newly wrong."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from audit.model.worklist import WorkList
from audit.run import audited
from audit.worklist.making import Choices, make
from audit.worklist.ticking import is_over, tick_off
from tests.site_builder import SiteOf, write_csv
from tests.worklist.sites import BLOCK, DAY, made_from, node, site

Rows = Sequence[dict[str, Any]]
JOINED_SOUTH = "the node has joined GW-South, a gateway that is not in the plan; it is planned in North"
NOT_LISTED = "the node was read, but is not in its gateway's list"


def after(folder: Path, planned: Rows, found: Rows, left: Rows, **more: Any) -> WorkList:
    """Return the list of a site, ticked off with a readback after the work."""
    order = SiteOf(**site(list(planned), list(found), **more)).write(folder)
    made = made_from(order, Choices())
    path = folder / "left.csv"
    write_csv(path, [{key: str(value) for key, value in row.items()} for row in left])
    return tick_off(made, audited(replace(order, readback=[path], run_on=DAY)))


def identified(rows: Rows) -> list[dict[str, Any]]:
    """Return rows of A, B, C and so on, with the tags and serial numbers that these have in the plan."""
    return [row | {"tag": "ABCD"[n], "serial": str(100 + n)} for n, row in enumerate(rows)]


def states(work: WorkList) -> list[tuple[str | None, str | None, str | None]]:
    """Return tag, state and value as left of each step."""
    return [(step.tag, step.status, step.as_left) for step in work.steps]


def test_what_is_as_planned_now_is_done(tmp_path: Path) -> None:
    """And the value as left is shown."""
    work = after(tmp_path, [node(11, range_high=9)], [node(11, range_high=5)],
                 [node(11, tag="A", serial="100", range_high=9)])  # fmt: skip

    assert states(work) == [("A", "done", "9 kPa g"), (None, "by hand", None)]
    assert (work.counts.done, work.counts.by_hand, work.counts.open) == (1, 1, 0)
    assert is_over(work)


def test_a_doubt_is_done_with_once_the_setting_was_read_again(tmp_path: Path) -> None:
    """A clear reading leaves the rule nothing to look at, which is what was asked for."""
    planned = node(11, channel=13)
    rows = [{"tag": "A", **planned, "channel": channel, "serial": "100"} for channel in (13, 12)]
    order = SiteOf(**site([planned], []) | {"found": {"a.csv": rows[:1], "b.csv": rows[1:]}}).write(tmp_path)
    made = made_from(order, Choices())
    write_csv(tmp_path / "left.csv", [{key: str(value) for key, value in rows[0].items()}])

    work = tick_off(made, audited(replace(order, readback=[tmp_path / "left.csv"], run_on=DAY)))

    assert [step.do for step in work.steps if step.tag] == ["Read at the display and write down: channel"]
    assert states(work)[0] == ("A", "done", None)


@pytest.mark.parametrize(
    ("left", "status"),
    [
        ({"read_at": "2026-03-25"}, "done"),
        ({"read_at": "2026-03-25", "configured_at": "2026-03-20"}, "done"),
        ({"read_at": "2026-03-10", "configured_at": "2026-03-20"}, "not done"),
        ({"read_at": "2026-03-10", "configured_at": "2026-03-05"}, "done"),
        ({"read_at": "2026-03-10"}, "not read again"),
        ({}, "not read again"),
    ],
    ids=str,
)
def test_what_was_read_before_it_was_set_is_done_once_it_was_read_again(
    left: dict[str, Any], status: str, tmp_path: Path
) -> None:
    """The new row need not say again when the device was set, but when it was read."""
    early = {"read_at": "2026-03-10", "configured_at": "2026-03-20"}
    as_left = node(11, tag="A", serial="100", **left)
    work = after(tmp_path, [node(11)], [node(11, **early)], [as_left])

    assert [step.status for step in work.steps if step.findings] == [status]


@pytest.mark.parametrize(
    ("off", "left", "status"),
    [
        ({"alarm_enabled": "off", "alarm_authorisation": "AUT-8"}, {"alarm_enabled": "on"}, "done"),
        ({"alarm_enabled": "off", "alarm_authorisation": "AUT-8"}, {}, "not read again"),
        ({"offset": 1.5}, {"offset": 0}, "done"),
        ({"offset": 1.5}, {}, "not read again"),
    ],
    ids=str,
)
def test_an_alarm_that_is_on_again_and_a_trim_that_was_taken_back_need_no_record(
    off: dict[str, Any], left: dict[str, Any], status: str, tmp_path: Path
) -> None:
    """What would excuse them is blank then; but they themselves have to be read."""
    as_planned = node(11, tag="A", serial="100")
    blanks = dict.fromkeys([*off, "calibration_record"], "")
    work = after(tmp_path, [node(11)], [node(11, **off)], [{**as_planned, **blanks, **left}])

    assert [step.status for step in work.steps if step.findings] == [status]


def test_what_is_as_found_is_not_done_and_something_else_is_told(tmp_path: Path) -> None:
    """After another slip the step is neither done nor as it was."""
    planned = [node(11, range_high=9), node(12, range_high=9), node(13, range_high=9)]
    found = [row | {"range_high": 5} for row in planned]
    left = [
        node(11, tag="A", range_high=5),
        node(12, tag="B", range_high=90),
        node(13, tag="C"),
    ]
    work = after(tmp_path, planned, found, left)

    assert [state for state in states(work) if state[0]] == [
        ("A", "not done", "5 kPa g"),
        ("B", "other value", "90 kPa g"),
        ("C", "not read again", "not read"),
    ]
    assert not is_over(work)
    assert work.counts.open == 3


def test_a_device_that_is_not_in_the_readback_is_not_ticked_off(tmp_path: Path) -> None:
    """A readback of some devices says nothing about the others; that is no new finding."""
    planned = [node(11, range_high=9), node(12, range_high=9)]
    work = after(tmp_path, planned, [row | {"range_high": 5} for row in planned],
                 [node(11, tag="A", range_high=9)])  # fmt: skip

    assert [state[1] for state in states(work)][:2] == ["done", "not read again"]
    assert work.newly_wrong == []


def test_whoever_has_come_home_has_been_at_the_spare(tmp_path: Path) -> None:
    """The step to the spare address is done if the step from it is."""
    planned = [node(11), node(12)]
    left = [node(11, tag="A"), node(12, tag="B")]
    work = after(tmp_path, planned, [node(12), node(11)], left)

    assert all(step.status == "done" for step in work.steps if step.changes)


def test_half_a_ring_is_open(tmp_path: Path) -> None:
    """A waits at the spare: its way there is done, the rest is not."""
    planned = [node(11), node(12)]
    left = [node(13, tag="A"), node(11, tag="B")]
    work = after(tmp_path, planned, [node(12), node(11)], left)

    assert [step.status for step in work.steps if step.changes] == ["done", "not done", "not done"]


def test_what_was_right_and_is_wrong_now_is_told(tmp_path: Path) -> None:
    """Somebody keyed a wrong alarm while they were at it."""
    planned = [node(11, range_high=90, alarm_high=80)]
    work = after(tmp_path, planned, [node(11, range_high=5, alarm_high=80)],
                 [node(11, tag="A", range_high=90, alarm_high=8)])  # fmt: skip

    (one,) = work.newly_wrong or []
    assert one.id == "alarm-off-plan/North/A/alarm_high"
    assert one.message == "North A: alarm_high is 8 kPa g, planned 80 kPa g"
    assert not is_over(work)


def test_what_is_newly_wrong_by_one_cause_is_told_once_with_its_place(tmp_path: Path) -> None:
    """The row of B was typed as that of A: address, range and alarm are not three slips."""
    planned = [node(11, range_high=90, alarm_high=80), node(12, range_high=70, alarm_high=60)]
    left = [node(11, tag="A", range_high=90, alarm_high=80), node(11, tag="B", range_high=90, alarm_high=80)]
    work = after(tmp_path, planned, [planned[0], planned[1] | {"range_high": 5}], left)

    (one,) = work.newly_wrong or []
    assert one.id.startswith("neighbour-row-shown/")
    assert {name.split("/")[0] for name in one.with_it} == {
        "address-differs", "address-duplicate", "alarm-off-plan",
    }  # fmt: skip
    assert one.place
    assert (Path(one.place.file).name, one.place.row, one.place.raw) == ("left.csv", 3, "11")


def test_what_follows_from_what_is_still_to_be_done_is_not_told_beside_it(tmp_path: Path) -> None:
    """The range was set to another value again, and the planned alarm is outside it; its step is open."""
    planned = [node(11, range_low=0, range_high=90, alarm_high=80)]
    work = after(
        tmp_path, planned, [planned[0] | {"range_high": 100}], [planned[0] | {"tag": "A", "range_high": 60}]
    )

    assert work.steps[0].status == "other value"
    assert work.newly_wrong == []


@pytest.mark.parametrize(
    ("left", "told"),
    [
        ({"A": 11}, "North A: address 11 as left was that of B, which has not been read again"),
        ({"A": 13}, "North A: address 13 as left was that of C, which has not been read again"),
        ({"A": 11, "B": 11}, "North B: address 11 is held by B and A"),
        ({"A": 11, "B": 14}, None),
        ({"A": 14}, None),
        ({"C": 13}, None),
    ],
)
def test_who_came_to_a_place_that_nobody_is_known_to_have_left_is_told(
    left: dict[str, int], told: str | None, tmp_path: Path
) -> None:
    """A and B are at each other's place; one moved before the other has made way does not count as done."""
    rows = [node(address, tag=tag, serial=str(100 + "ABC".index(tag))) for tag, address in left.items()]
    work = after(tmp_path, [node(11), node(12), node(13)], [node(12), node(11), node(13)], rows)

    assert [one.message for one in work.newly_wrong or []] == [told] * bool(told)
    assert not is_over(work)


def test_who_is_set_as_the_list_says_before_the_plan_follows_is_not_newly_wrong(tmp_path: Path) -> None:
    """All but C are on 14; by the list, C and the plan are to follow: C now is on 14, the plan on 13."""
    planned = [node(11 + n) for n in range(4)]
    found = [row if n == 2 else row | {"channel": 14} for n, row in enumerate(planned)]
    left = [row | {"channel": 14} for row in identified(planned)]
    gateway = {"channel": 14, "default_refused": "yes"}
    work = after(tmp_path, planned, found, [*left, {"tag": "GW-North", **gateway}], gateway_found=gateway)

    assert work.newly_wrong == []
    assert ("C", "done", "14; right once the plan is amended") in states(work)
    assert not is_over(work)


def test_who_is_not_yet_set_is_not_called_right_later(tmp_path: Path) -> None:
    """The other nodes are on 14, to which the plan is to be amended; C is still on 13."""
    planned = [node(11 + n) for n in range(4)]
    found = [row if n == 2 else row | {"channel": 14} for n, row in enumerate(planned)]
    left = identified(found)
    gateway = {"channel": 14, "default_refused": "yes"}
    work = after(tmp_path, planned, found, [*left, {"tag": "GW-North", **gateway}], gateway_found=gateway)

    assert ("C", "not done", "13") in states(work)


def test_nodes_that_the_gateway_was_set_to_are_not_newly_wrong(tmp_path: Path) -> None:
    """All nodes are on 14 and the gateway goes there, as advised; the plan is yet to be amended."""
    planned = [node(11 + n) for n in range(4)]
    found = [row | {"channel": 14} for row in planned]
    left = identified(found)
    gateway = {"channel": 14, "default_refused": "yes"}
    work = after(tmp_path, planned, found, [*left, {"tag": "GW-North", **gateway}])

    assert work.newly_wrong == []


def test_a_code_counts_as_changed_only_where_somebody_has_tried(tmp_path: Path) -> None:
    """A blank is not a pass."""
    planned, found = [node(11, default_refused="yes")], [node(11, default_refused="no")]
    tried = after(tmp_path / "a", planned, found, [node(11, tag="A")])
    blank = after(tmp_path / "b", planned, found, [{"tag": "A", "address": 11, "channel": 13}])

    assert states(tried)[0][1] == "done"
    assert states(blank)[0][1] == "not read again"


@pytest.mark.parametrize(
    ("left", "told"),
    [
        ({"range_high": 9}, [("done", "9 kPa g"), ("done", "on")]),
        ({"range_high": 5}, [("not done", "5 kPa g"), ("not done", None)]),
        ({"range_high": 7}, [("other value", "7 kPa g"), ("not done", None)]),
        ({"range_high": 9, "local_lock": False}, [("done", "9 kPa g"), ("not done", "off")]),
    ],
)  # fmt: skip
def test_a_lock_is_still_to_come_where_the_menu_has_to_be_unlocked_again(
    left: dict[str, Any], told: list[tuple[str, str | None]], tmp_path: Path
) -> None:
    """It was locked as found; with the lock ticked off, doing the open steps would leave it unlocked."""
    planned = node(11, range_high=9, local_lock=True)
    work = after(tmp_path, [planned], [planned | {"range_high": 5}], [planned | {"tag": "A"} | left])

    assert [step.do.partition(" ")[0] for step in work.steps[:2]] == ["Unlock", "Lock"]
    assert [(status, as_left) for tag, status, as_left in states(work) if tag] == told


def test_a_lock_is_done_where_what_is_still_open_needs_no_menu(tmp_path: Path) -> None:
    """Two addresses without a spare are held back, and somebody has still to look at the labels."""
    block = {"North": {"addresses": {"first": 11, "last": 12}}}
    planned = [node(11, range_high=9, local_lock=True), node(12)]
    found = [node(12, range_high=5, local_lock=True), node(11)]
    left = [node(12, tag="A", range_high=9, local_lock=True), node(11, tag="B")]
    work = after(tmp_path, planned, found, left, networks=block)

    assert [(step.do[:4], step.status) for step in work.steps if step.tag == "A"] == [
        ("A ha", "not done"), ("Unlo", "done"), ("Lock", "done"),
    ]  # fmt: skip


def test_who_was_never_moved_to_a_spare_address_is_not_at_another_one(tmp_path: Path) -> None:
    """The second move of a swap starts from the spare, where the node never was."""
    planned, found = [node(11), node(12)], [node(12), node(11)]
    left = [node(12, tag="A"), node(11, tag="B")]
    work = after(tmp_path, planned, found, left)

    moves = [step for step in work.steps if step.changes]
    assert [step.changes[0].before for step in moves] == ["12", "11", "13"]
    assert [(step.tag, step.status, step.as_left) for step in moves] == [
        ("A", "not done", "12"), ("B", "not done", "11"), ("A", "not done", "12"),
    ]  # fmt: skip


def test_what_was_held_back_stays_open_until_it_is_mended(tmp_path: Path) -> None:
    """A swap for which there was no spare address; then somebody did it all the same."""
    block = {"North": {"addresses": {"first": 11, "last": 12}}}
    planned, found = [node(11), node(12)], [node(12), node(11)]
    still = after(tmp_path / "a", planned, found, [node(12, tag="A"), node(11, tag="B")], networks=block)
    mended = after(tmp_path / "b", planned, found, [node(11, tag="A"), node(12, tag="B")], networks=block)

    assert len(still.held_back) == 1
    assert not mended.held_back
    assert is_over(mended)


def test_the_readback_after_the_work_is_among_the_inputs(tmp_path: Path) -> None:
    """With its digest."""
    work = after(tmp_path, [node(11)], [node(12)], [node(11, tag="A")], networks=BLOCK)

    kinds = {Path(file.file).name: file.kind for file in work.inputs}
    assert kinds["left.csv"] == "readback after the work"


@pytest.mark.parametrize(("serial", "status"), [("100", "done"), ("", "not read again")])
def test_a_look_at_the_label_is_done_where_its_serial_number_was_read(
    serial: str, status: str, tmp_path: Path
) -> None:
    """No setting need be read for that, but the tag alone was in the sheet from the start."""
    work = after(tmp_path, [node(11), node(12)], [node(11, tag="0A", serial=""), node(12)],
                 [{"tag": "A", "serial": serial}, node(12, tag="B", serial="101")])  # fmt: skip

    assert [state[:2] for state in states(work) if state[0]] == [("A", status)]


@pytest.mark.parametrize(("left", "status"), [(["11", "12"], "by hand"), (["11"], "not read again")])
def test_a_stranger_that_nobody_mentions_is_not_ticked_off(
    left: Sequence[str], status: str, tmp_path: Path
) -> None:
    """That a readback does not show it proves nothing: sheets have no row for what is not in the plan."""
    planned = [node(11), node(12)]
    found = [*planned, node(13, tag="X", serial="999")]
    again = {"11": node(11, tag="A", serial="100"), "12": node(12, tag="B", serial="101")}
    work = after(tmp_path, planned, found, [again[name] for name in left])

    assert [step.status for step in work.steps if {*step.findings} & {"unplanned-node/X"}] == [status]


@pytest.mark.parametrize(
    ("left", "status"),
    [
        ({"address": 11, "report_interval": 60}, "not read again"),
        ({"address": 11, "report_interval": 60, "last_heard": "1 d 02:00"}, "not read again"),
        ({"joined_gateway": "GW-North", "last_heard": "never"}, "not done"),
        ({"joined_gateway": "GW-North", "last_heard": "20"}, "done"),
    ],
)
def test_a_silent_node_is_heard_again_only_where_a_list_says_so(
    left: dict[str, Any], status: str, tmp_path: Path
) -> None:
    """Neither its display nor a list that is not understood shows it; only a readable list does."""
    planned = node(11, report_interval=60)
    work = after(tmp_path, [planned], [planned | {"last_heard": "never"}], [{"tag": "A", **left}])

    assert [step.status for step in work.steps if step.tag == "A"] == [status]


@pytest.mark.parametrize(("heard", "status"), [("20", "done"), ("", "not read again")])
def test_what_a_list_did_not_say_clearly_is_read_there_again(heard: str, status: str, tmp_path: Path) -> None:
    """A step at the desk, about which the sheets of the devices say nothing."""
    planned = node(11, report_interval=60)
    work = after(tmp_path, [planned], [planned | {"last_heard": "some time"}],
                 [planned | {"tag": "A", "last_heard": heard}])  # fmt: skip

    assert [(step.place, step.status) for step in work.steps] == [("desk", status)]


@pytest.mark.parametrize(("day", "status"), [("2026-04-20", "done"), ("2026-04-25", "not read again")])
def test_numbers_that_were_not_read_side_by_side_are_read_again(
    day: str, status: str, tmp_path: Path
) -> None:
    """The host showed 800 beside 500; since then only the device, or both of them, were read on the 25th."""
    span = {"range_low": 0, "range_high": 1000}
    planned, found = [node(11, **span), node(12, **span)], [node(11, reading=500, host_reading=800), node(12)]
    order = SiteOf(**site(planned, found)).write(tmp_path)
    row = {"serial": "100", "reading": "800", "read_at": "2026-04-20"}
    other = {"serial": "101", "reading": "800", "host_reading": "800"}
    write_csv(tmp_path / "left.csv", [{"tag": "A"} | row, {"tag": "B"} | other])
    write_csv(tmp_path / "host.csv", [{"tag": "A", "host_reading": "800", "read_at": day}])
    left = audited(replace(order, readback=[tmp_path / "left.csv", tmp_path / "host.csv"], run_on=DAY))

    work = tick_off(made_from(order, Choices()), left)

    assert [s.status for s in work.steps if any("host-reading" in name for name in s.findings)] == [status]


def test_a_rule_that_could_not_look_elsewhere_leaves_a_step_done(tmp_path: Path) -> None:
    """A is in its gateway's list now; that no list of South was read does not concern A."""
    planned = [node(11), node(12), node(11, network="South")]
    lists = {"list.csv": [{"tag": "B", "serial": "101", "joined_gateway": "GW-North"}]}
    found = [node(11 + n, tag=tag, serial=str(100 + n)) for n, tag in enumerate("AB")]
    order = SiteOf(**site(planned, []) | {"found": {"sheet.csv": found, **lists}}).write(tmp_path)
    write_csv(tmp_path / "left.csv", [{"tag": tag, "joined_gateway": "GW-North"} for tag in "AB"])
    left = audited(replace(order, readback=[tmp_path / "left.csv"], run_on=DAY))

    work = tick_off(made_from(order, Choices()), left)

    assert [step.status for step in work.steps if "not-joined/North/A/joined_gateway" in step.findings] == [
        "done"
    ]


@pytest.mark.parametrize(
    ("lists", "told"),
    [
        ({"later.csv": "AB"}, ("done", "13")),
        ({"later.csv": "B"}, ("not done", f"13; but A: {NOT_LISTED}")),
        ({}, ("not read again", "13; its gateway's list was not read")),
        ({"south.csv": "A"}, ("not done", f"13; but A: {JOINED_SOUTH}")),
    ],
)  # fmt: skip
def test_a_node_that_was_set_to_its_gateway_s_radio_is_done_once_it_is_heard(
    lists: dict[str, str], told: tuple[str, str], tmp_path: Path
) -> None:
    """A was on channel 14 and in no list; that it is now on 13 is not enough."""
    planned = [node(11), node(12)]
    before = [{"tag": "B", "joined_gateway": "GW-North"}]
    found = {"sheet.csv": [planned[0] | {"tag": "A", "channel": 14}, planned[1] | {"tag": "B"}],
             "list.csv": before}  # fmt: skip
    order = SiteOf(**site(planned, []) | {"found": found}).write(tmp_path)
    left = {"left.csv": [row | {"tag": tag} for tag, row in zip("AB", planned, strict=True)]}
    left |= {name: [{"tag": tag, "joined_gateway": "GW-South" if name == "south.csv" else "GW-North"}
                    for tag in tags] for name, tags in lists.items()}  # fmt: skip
    for name, rows in left.items():
        write_csv(tmp_path / name, [{key: str(text) for key, text in row.items()} for row in rows])
    again = audited(replace(order, readback=[tmp_path / name for name in left], run_on=DAY))

    work = tick_off(made_from(order, Choices()), again)

    assert [state[1:] for state in states(work) if state[0] == "A"] == [told]


@pytest.mark.parametrize(
    ("left", "status"),
    [
        ([node(11, tag="A", serial="100"), node(12, tag="B", serial="101")], "not read again"),
        ([{"tag": "A", "joined_gateway": "GW-North"}], "done"),
    ],
)
def test_a_stranger_of_a_gateway_s_list_is_gone_where_a_later_list_is_without_it(
    left: Rows, status: str, tmp_path: Path
) -> None:
    """The displays of all nodes say nothing about it; the list need not have all nodes."""
    planned = [node(11), node(12)]
    listed = [{"tag": "", "serial": serial, "joined_gateway": "GW-North"} for serial in ("100", "101", "999")]
    work = after(tmp_path, planned, listed, left)

    assert [step.status for step in work.steps if {*step.findings} & {"unplanned-node/North/999"}] == [status]


def test_an_address_that_two_strangers_hold_is_ticked_off_like_any_other(tmp_path: Path) -> None:
    """Neither of them is a planned device, whose settings could be asked for."""
    strange = [node(13, tag="X", serial="998"), node(13, tag="Y", serial="999")]
    work = after(tmp_path, [node(11)], [node(11), *strange], [node(11, tag="A", serial="100"), *strange])

    assert any(step.status == "not done" for step in work.steps)


def test_who_waits_for_its_step_is_not_newly_wrong_once_the_gateway_is_set(tmp_path: Path) -> None:
    """A followed the gateway to 14; the gateway is back on 13, and the step of A is open."""
    planned = [node(11), node(12), node(13), node(14)]
    found = [planned[0] | {"channel": 14}, *planned[1:]]
    gateway = {"channel": 14, "default_refused": "yes"}
    left = identified(found)
    work = after(tmp_path, planned, found, [*left, {"tag": "GW-North", **gateway, "channel": 13}],
                 gateway_found=gateway)  # fmt: skip

    assert ("A", "not done", "14") in states(work)
    assert work.newly_wrong == []


@pytest.mark.parametrize(("channel", "told"), [(14, []), (13, ["North A: address 12 is held by A and B"])])
def test_two_at_one_address_on_two_channels_do_not_meet(
    channel: int, told: list[str], tmp_path: Path
) -> None:
    """B has come to its planned address 12, where A is still, on the gateway's channel or on another."""
    planned = [node(11), node(12)]
    found = [node(12, channel=channel), node(14)]
    left = [node(12, tag="A", serial="100", channel=channel), node(12, tag="B", serial="101")]
    work = after(tmp_path, planned, found, left)

    assert [one.message for one in work.newly_wrong or []] == told


def test_two_at_one_address_may_meet_where_the_channel_of_one_was_not_read_again(tmp_path: Path) -> None:
    """A and B were on 14; that A is on 13 by now, as planned, nobody has seen."""
    planned = [node(11), node(12)]
    found = [node(12, channel=14), node(14, channel=14)]
    left = [node(12, tag="A", serial="100", channel=""), node(12, tag="B", serial="101", channel=14)]
    work = after(tmp_path, planned, found, left)

    assert [one.message for one in work.newly_wrong or []] == ["North A: address 12 is held by A and B"]


def test_who_was_set_to_yet_another_channel_is_told(tmp_path: Path) -> None:
    """A was off plan and still is, but not as it was: the step says so, and nothing hides its address."""
    planned = [node(11), node(12)]
    found = [node(11, channel=14), node(12)]
    left = [node(15, tag="A", serial="100", channel=14), node(12, tag="B", serial="101")]
    work = after(tmp_path, planned, found, left)

    assert [one.id for one in work.newly_wrong or []] == ["address-differs/North/A/address"]


def test_who_has_left_the_channel_that_its_gateway_has_come_to_is_told(tmp_path: Path) -> None:
    """A differed from its gateway, which alone was wrong; now it is right, and A is where it was."""
    gateway = {"channel": 14, "default_refused": "yes"}
    planned = [node(11), node(12), node(13)]
    left = identified(planned)
    left = [left[0] | {"channel": 14}, *left[1:], {"tag": "GW-North", **gateway, "channel": 13}]
    work = after(tmp_path, planned, planned, left, gateway_found=gateway)

    assert states(work)[1][:2] == ("GW-North", "done")
    assert [one.message for one in work.newly_wrong or []] == ["North A: channel is 14, the gateway has 13"]
    assert not is_over(work)


def test_a_gateway_that_was_set_though_the_plan_was_to_follow_it_leaves_its_nodes(tmp_path: Path) -> None:
    """All were on 14, and the plan was to be amended; the gateway alone went to 13: no step asks for it."""
    gateway = {"channel": 14, "default_refused": "yes"}
    found = [node(11, channel=14), node(12, channel=14), node(13, channel=14)]
    left = identified(found)
    work = after(tmp_path, [node(11), node(12), node(13)], found,
                 [*left, {"tag": "GW-North", **gateway, "channel": 13}], gateway_found=gateway)  # fmt: skip

    assert [one.message for one in work.newly_wrong or []] == ["North: channel is 14 on 3 nodes, planned 13"]


def test_what_a_waiver_no_longer_accepts_is_told(tmp_path: Path) -> None:
    """The range of 100 was accepted, so no step sets it; 120 is not."""
    waiver = {"id": "W-1", "rule": "range-differs", "node": "A", "setting": "range_high",
              "value": "100 kPa g", "reason": "a higher tank", "owner": "A. Sample", "approver": "B. Other",
              "issued": "2026-04-01", "expires": "2026-12-01"}  # fmt: skip
    file = tmp_path / "waivers.json"
    file.write_text(json.dumps({"asfound": "waivers/1", "waivers": [waiver]}), encoding="utf-8")
    order = SiteOf(**site([node(11, range_high=90)], [node(11, range_high=100)])).write(tmp_path)
    order = replace(order, waivers=[file], run_on=DAY)
    made = make(audited(order), Choices())
    told = {}
    for high in (100, 120):
        write_csv(tmp_path / "left.csv", [{"tag": "A", "serial": "100", "range_high": str(high)}])
        work = tick_off(made, audited(replace(order, readback=[tmp_path / "left.csv"])))
        told[high] = [one.message for one in work.newly_wrong or []]

    assert told == {100: [], 120: ["North A: range_high is 120 kPa g, planned 90 kPa g"]}


def test_who_stay_at_the_address_that_a_third_has_left_are_not_newly_wrong(tmp_path: Path) -> None:
    """Three were at 11, told of B; B has gone, and C and A are as they were, the step of C being open."""
    planned = [node(11), node(12), node(13)]
    found = [node(11, tag=tag, serial=str(100 + n)) for n, tag in enumerate("ABC")]
    work = after(tmp_path, planned, found, [found[0], found[1] | {"address": 12}, found[2]])

    assert [status for tag, status, _ in states(work) if tag] == ["done", "not done"]
    assert work.newly_wrong == []


def test_who_left_one_device_s_address_for_that_of_another_is_told(tmp_path: Path) -> None:
    """B was at the address of A; its step is open, but says nothing of C."""
    planned = [node(11), node(12), node(13)]
    found = [node(11), node(11), node(13)]
    left = [node(11, tag="A", serial="100"), node(13, tag="B", serial="101"), node(13, tag="C", serial="102")]
    work = after(tmp_path, planned, found, left)

    assert ("B", "other value", "13") in states(work)
    assert [one.message for one in work.newly_wrong or []] == ["North B: address 13 is held by B and C"]


def test_who_was_set_to_the_channel_that_its_gateway_is_to_leave_is_told(tmp_path: Path) -> None:
    """The gateway is still on 14, as its step says; that A was right and has followed it, no step says."""
    gateway = {"channel": 14, "default_refused": "yes"}
    planned = [node(11), node(12), node(13)]
    left = identified(planned)
    left = [left[0] | {"channel": 14}, *left[1:], {"tag": "GW-North", **gateway}]
    work = after(tmp_path, planned, planned, left, gateway_found=gateway)

    assert ("GW-North", "not done", "14") in states(work)
    assert [one.message for one in work.newly_wrong or []] == ["North A: channel is 14, planned 13"]


def test_a_lock_is_done_where_only_the_gateway_s_list_is_missing(tmp_path: Path) -> None:
    """A shows its gateway's channel and is locked again; nobody has to unlock it to read a list."""
    planned = [node(11, local_lock=True), node(12)]
    before = [{"tag": "B", "joined_gateway": "GW-North"}]
    found = {"sheet.csv": [planned[0] | {"tag": "A", "channel": 14}, planned[1] | {"tag": "B"}],
             "list.csv": before}  # fmt: skip
    order = SiteOf(**site(planned, []) | {"found": found}).write(tmp_path)
    left = [{key: str(value) for key, value in planned[0].items()} | {"tag": "A"}]
    write_csv(tmp_path / "left.csv", left)

    work = tick_off(made_from(order, Choices()), audited(replace(order, readback=[tmp_path / "left.csv"])))

    assert [state for state in states(work) if state[0] == "A"] == [
        ("A", "not read again", "13; its gateway's list was not read"), ("A", "done", "on"),
    ]  # fmt: skip


@pytest.mark.parametrize("listed", ["GW-South", ""])
def test_whether_a_node_is_heard_is_no_news_before_its_own_step(listed: str, tmp_path: Path) -> None:
    """A followed the gateway to 14, which is back on 13; A is where it was, heard by another or by none.

    C, which had nothing to wait for, is in no list either: that is told.
    """
    gateway = {"channel": 14, "default_refused": "yes"}
    planned = [node(11), node(12), node(13), node(14)]
    found = [planned[0] | {"channel": 14}, *planned[1:]]
    order = SiteOf(**site(planned, found, gateway_found=gateway)).write(tmp_path)
    rows = identified(found)
    rows.append({"tag": "GW-North", **gateway, "channel": 13})
    heard = [{"tag": tag, "joined_gateway": "GW-North"} for tag in "BD"]
    heard += [{"tag": "A", "joined_gateway": listed}] if listed else []
    for name, its in {"left.csv": rows, "list.csv": heard}.items():
        write_csv(tmp_path / name, [{key: str(value) for key, value in row.items()} for row in its])
    again = audited(replace(order, readback=[tmp_path / "left.csv", tmp_path / "list.csv"], run_on=DAY))

    work = tick_off(made_from(order, Choices()), again)

    assert ("A", "not done") in [state[:2] for state in states(work)]
    assert [one.message for one in work.newly_wrong or []] == [f"North C: {NOT_LISTED}"]


def test_what_folding_finds_alike_among_findings_that_wait_is_no_news(tmp_path: Path) -> None:
    """Three in a ring; once the first has gone to the spare address, all are one above their own."""
    planned = [node(13), node(11), node(12)]
    found = [node(11), node(12), node(13)]
    left = [node(address, tag=tag, serial=str(100 + n))
            for n, (tag, address) in enumerate(zip("ABC", (14, 12, 13), strict=True))]  # fmt: skip
    work = after(tmp_path, planned, found, left, networks={"North": {"addresses": {"first": 11, "last": 14}}})

    assert [status for _, status, _ in states(work)] == [
        "done",
        "not done",
        "not done",
        "not done",
        "by hand",
    ]
    assert work.newly_wrong == []


@pytest.mark.parametrize(("east", "told"), [(15, []), (14, ["East"])])
def test_a_gateway_that_comes_to_another_s_channel_as_its_step_says_is_no_news(
    east: int, told: list[str], tmp_path: Path
) -> None:
    """North and South are swapped; South is home, where North still is. No step sends East there."""
    home, found = {"North": 13, "South": 14, "East": 15}, {"North": 14, "South": 13, "East": 15}
    networks: dict[str, Any] = {
        name: {"gateway": {"channel": channel, "default_refused": "yes", "position": {"x_m": 0, "y_m": 0}},
               "gateway_found": {"channel": found[name], "default_refused": "yes"}}
        for name, channel in home.items()
    }  # fmt: skip
    rows = [node(11 + n, network=name, tag=f"{name}-{n}", channel=channel)
            for name, channel in home.items() for n in range(3)]  # fmt: skip
    order = SiteOf(planned=[row | {"x_m": 9, "y_m": 9} for row in rows], found=rows, networks=networks)
    made = made_from(order.write(tmp_path))
    left = found | {"South": 14, "East": east}
    write_csv(tmp_path / "left.csv", [{"tag": f"GW-{name}", "channel": str(channel)}
                                      for name, channel in left.items()])  # fmt: skip

    again = audited(replace(order.write(tmp_path), readback=[tmp_path / "left.csv"], run_on=DAY))
    work = tick_off(made, again)

    assert [step.status for step in work.steps if step.changes] == ["done", "not done"]
    assert [one.message.split()[0] for one in work.newly_wrong or []] == told


@pytest.mark.parametrize(
    ("off", "gateway", "listed", "told"),
    [({"address": 15}, {"channel": 13}, "GW-South", JOINED_SOUTH),
     ({"channel": 14}, {"channel": 14}, "", NOT_LISTED)],
    ids=["its address waits", "all wait, and nothing was done"],
)  # fmt: skip
def test_a_node_that_was_heard_and_is_no_longer_is_news_though_it_waits(
    off: dict[str, int], gateway: dict[str, int], listed: str, told: str, tmp_path: Path
) -> None:
    """A and its gateway have the same radio settings as before the work, with which A was heard."""
    planned = [node(11), node(12), node(13), node(14)]
    found = identified([planned[0] | off, *(row | gateway for row in planned[1:])])
    before = [{"tag": tag, "joined_gateway": "GW-North"} for tag in "ABCD"]
    its = {"default_refused": "yes", **gateway}
    more = {"gateway_found": its, "found": {"sheet.csv": found, "list.csv": before}}
    order = SiteOf(**site(planned, []) | more).write(tmp_path)
    now = [*before[1:], *([{"tag": "A", "joined_gateway": listed}] if listed else [])]
    for name, left in {"left.csv": [*found, {"tag": "GW-North", **its}], "now.csv": now}.items():
        write_csv(tmp_path / name, [{key: str(value) for key, value in row.items()} for row in left])
    again = audited(replace(order, readback=[tmp_path / "left.csv", tmp_path / "now.csv"], run_on=DAY))

    work = tick_off(made_from(order, Choices()), again)

    assert [one.message for one in work.newly_wrong or []] == [f"North A: {told}"]
