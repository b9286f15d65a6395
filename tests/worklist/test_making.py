"""Whole lists of small sites: what becomes a step, in what order, and what is held back."""

from __future__ import annotations

import json
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
from tests.worklist.sites import BLOCK, field, node, site, told, work_of


def test_a_site_as_planned_has_nothing_to_do(tmp_path: Path) -> None:
    """No steps, nothing held back."""
    work = work_of(tmp_path, **site([node(11)], [node(11)]))

    assert not work.steps
    assert not work.held_back


def test_a_finding_that_nothing_sees_to_is_known() -> None:
    """A finding without a step of its own, whose cause is not held back either."""
    making: Any = SimpleNamespace(
        audited=SimpleNamespace(causes={2: 3}), waived={}, ids={0: "a", 1: "b", 2: "c"},
        made_for={0: [], 1: [7], 2: []}, held_for={3},
    )  # fmt: skip

    assert has_no_step(making) == [0]


def test_a_value_of_the_plan_that_cannot_be_is_settled_at_the_desk(tmp_path: Path) -> None:
    """Nobody drives out to devices that only differ from a value to which no device can be set."""
    networks = {"North": {**BLOCK["North"], "defaults": {"air_rate": "77"}}}
    rows = [node(11 + n, air_rate="50") for n in range(3)]
    gateway = {"channel": 13, "air_rate": "50", "default_refused": "yes"}
    planned = [node(11 + n) for n in range(3)]
    work = work_of(tmp_path, **site(planned, rows, gateway=gateway, networks=networks))

    (step,) = work.steps
    assert (work.visits[0].title.startswith("At the desk"), len(step.findings)) == (True, 10)
    assert "planned in one place for 3 devices: air_rate is 77" in step.do
    assert "(A, B, C). Correct the plan at this place" in step.do


def test_no_device_is_set_to_a_plan_that_is_wrong(tmp_path: Path) -> None:
    """The planned address is outside the block; the device has one that is not."""
    work = work_of(tmp_path, **site([node(41)], [node(14)]))

    assert not field(work)
    (step,) = work.steps
    assert step.do.startswith("The plan itself is in doubt: address 41 is outside the block")


def test_no_range_is_set_to_a_plan_that_is_wrong_to_get_an_alarm_inside(tmp_path: Path) -> None:
    """The planned range is beyond the sensor, and the alarm lies outside the range that is set."""
    planned = node(11, range_low=0, range_high=2000, alarm_high=90)
    work = work_of(tmp_path, **site([planned], [planned | {"range_high": 50}]))

    assert not field(work)
    assert {finding.partition("/")[0] for step in work.steps for finding in step.findings} == {
        "range-beyond-sensor", "range-differs", "alarm-outside-range",
    }  # fmt: skip


def test_a_sheet_that_is_unclear_all_through_is_settled_at_the_desk(tmp_path: Path) -> None:
    """Nobody reads again at the display what is only written in another way."""
    planned, found = ([node(11 + n, alarm_high=high) for n in range(3)] for high in (7.5, "7,5"))
    work = work_of(tmp_path, **site(planned, found))

    (step,) = work.steps
    assert (work.visits[0].title.startswith("At the desk"), len(step.findings)) == (True, 4)
    assert "Say in a mapping how the file writes these values" in step.do


def test_a_word_that_no_device_has_is_not_set_to_another_before_the_file_is_understood(
    tmp_path: Path,
) -> None:
    """A mapping settles it at the desk; nobody keys in what may be there already."""
    planned, found = ([node(11 + n, loss_action=word) for n in range(3)] for word in ("low", "LOW!"))
    work = work_of(tmp_path, **site(planned, found))

    (step,) = work.steps
    assert not step.changes
    assert "Say in a mapping how the file writes these values" in step.do


@pytest.mark.parametrize("unit", ['"', "furlong"])
def test_a_number_in_a_unit_that_nobody_can_tell_is_read_again_with_it(tmp_path: Path, unit: str) -> None:
    """The number may be right in that unit; keyed over, it would be wrong."""
    work = work_of(tmp_path, **site([node(11, unit="kPa g", range_high=900)],
                                    [node(11, unit=unit, range_high=130)]))  # fmt: skip

    assert [step.changes for step in work.steps] == [[]]
    assert {"unit", "range_high"} <= {finding.rpartition("/")[2] for finding in work.steps[0].findings}


@pytest.mark.parametrize(
    ("name", "planned", "found", "reading"),
    [
        (
            "loss_action",
            "low",
            "LOW!",
            "loss_action. A device of its type cannot show loss_action LOW!; if it does",
        ),
        (
            "network_id",
            "1A07",
            "1A7",
            "network_id. A device of its type cannot show network_id 1A7; if it does",
        ),
        ("channel", 13, 99, "channel. A device of its type cannot show channel 99; if it does"),
        ("address", 11, 999, "address. A device of its type cannot show address 999; if it does"),
    ],
)
def test_what_no_display_can_show_is_read_again_and_not_changed(
    name: str, planned: object, found: object, reading: str, tmp_path: Path
) -> None:
    """A node that is right would drop out for nothing, and no device can be set back to such a value."""
    gateway = {"channel": 13, "default_refused": "yes", "network_id": "1A07"}
    rows = [node(11, network_id="1A07") | {name: value} for value in (planned, found)]

    (step,) = work_of(tmp_path, **site(rows[:1], rows[1:], gateway=gateway)).steps

    assert not step.changes
    assert step.do.startswith("Read at the display and write down: ")
    assert reading in step.do


def test_numbers_are_set_after_their_unit_and_only_where_it_has_not_converted_them(tmp_path: Path) -> None:
    """With the range set first, kPa cannot be keyed in while the unit is psi, and 232 kPa was never there."""
    planned = node(11, unit="kPa g", range_high=1600, report_interval=60)
    found = planned | {"unit": "psi", "range_high": 232, "report_interval": 30}
    work = work_of(tmp_path, **site([planned], [found]))

    steps = {step.changes[0].setting: step for step in work.steps if step.changes}
    unit, number = steps["unit"].number, steps["range_high"]
    assert (number.needs, steps["report_interval"].needs) == ([unit], [])
    assert number.do == (
        f"Read range_high after step {unit}, which may have converted it, and set it as planned if it is not"
    )
    assert number.rollback == f"undo step {unit} first, then set range_high to 232 psi again"


def test_the_unit_comes_first_also_where_the_menu_has_it_last(tmp_path: Path) -> None:
    """The range comes before the unit in this menu; if the unit is right, nothing waits for it."""
    planned, found = ([node(11 + n, units="kPa g", range_high=10 - k) for n in range(2)] for k in (0, 5))
    found[0]["units"] = "bar"
    units = {"kind": "option", "role": "unit", "options": ["kPa g", "bar"]}
    work = work_of(tmp_path, **site(planned, found, settings={"unit": None, "units": units}))

    assert field(work) == [
        "A: units bar → kPa g",
        "A: range_high 5 (unit found: bar) → 10 kPa g",
        "B: range_high 5 kPa g → 10 kPa g",
    ]
    assert [step.needs for step in work.steps if step.changes] == [[], [1], []]


def test_no_node_is_set_to_what_its_gateway_cannot_show(tmp_path: Path) -> None:
    """The gateway is read first; the node waits for it."""
    gateway = {"channel": 13, "default_refused": "yes"}
    work = work_of(tmp_path, **site([node(11)], [node(11, channel=12)], gateway=gateway,
                                    gateway_found=gateway | {"channel": 99}))  # fmt: skip

    reading = next(step for step in work.steps if "cannot show channel 99" in step.do)
    change = next(step for step in work.steps if step.changes)
    assert (reading.tag, change.tag, change.changes[0].after) == ("GW-North", "A", "13")
    assert change.needs == [reading.number]


@pytest.mark.parametrize("newest", [80, 90])
def test_what_two_undated_files_disagree_about_is_not_set(newest: int, tmp_path: Path) -> None:
    """Whichever of them counts for now, somebody first has to say which is the newer."""
    planned = [node(11 + n, alarm_high=80) for n in range(3)]
    files = {name: [{"tag": tag, **node(11 + n, alarm_high=high)} for n, tag in enumerate("ABC")]
             for name, high in (("a.csv", 170 - newest), ("b.csv", newest))}  # fmt: skip
    work = work_of(tmp_path, **site(planned, []) | {"found": files})

    (step,) = work.steps
    assert not step.changes
    assert "Say when the readings of the file were made" in step.do


@pytest.mark.parametrize(
    ("setting", "one", "other"), [("alarm_high", 80, 8), ("channel", 13, 12), ("address", 11, 12)]
)
def test_a_setting_that_was_also_read_as_planned_is_read_again_and_not_changed(
    setting: str, one: int, other: int, tmp_path: Path
) -> None:
    """The node may have been corrected by now; undoing the step would bring the fault back."""
    planned = node(11, alarm_high=80)
    rows = [
        planned | {setting: one, "read_at": ""},
        planned | {setting: other, "read_at": "2026-04-30T10:00"},
    ]
    work = work_of(tmp_path, **site([planned], []) | {"found": rows_of_one(rows)})

    assert told(work.steps) == [f"A: Read at the display and write down: {setting}"]


def test_what_was_read_in_two_ways_and_never_as_planned_is_set(tmp_path: Path) -> None:
    """Whichever is the newer, it is wrong."""
    planned = node(11, alarm_high=80)
    rows = rows_of_one([planned | {"alarm_high": high} for high in (7, 8)])

    assert field(work_of(tmp_path, **site([planned], []) | {"found": rows})) == [
        "A: alarm_high 8 kPa g → 80 kPa g"
    ]


def rows_of_one(rows: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Return some readings of node A."""
    return [{"tag": "A", "serial": "100", **row} for row in rows]


def test_a_tag_that_stands_twice_is_two_devices(tmp_path: Path) -> None:
    """The plan is in doubt; neither of the two findings gets lost."""
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


def test_address_and_radio_of_one_node_are_one_step(tmp_path: Path) -> None:
    """Half a move would strand the node: both are keyed in before the menu is left."""
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
    """While the authorisation holds, nobody switches the alarm on in spite of it."""
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
    """Return three nodes that hold each other's addresses; the first of them, A, has more faults."""
    planned = [node(11 + n, local_lock=True) for n in range(3)]
    found = [row | {"address": address} for row, address in zip(planned, (13, 11, 12), strict=True)]
    return site(planned, [found[0] | first, *found[1:]])


def test_a_menu_found_unlocked_is_locked_at_the_end_of_the_last_visit(tmp_path: Path) -> None:
    """A is visited again, to leave the spare address; a lock set before would keep people out."""
    of_a = [step for step in work_of(tmp_path, **ring_of_three(local_lock=False)).steps if step.tag == "A"]

    assert told(of_a) == ["A: address 13 → 14", "A: address 14 → 11", "A: local_lock off → on"]
    assert of_a[1].visit == of_a[2].visit


def test_a_code_is_changed_in_the_last_visit(tmp_path: Path) -> None:
    """Somebody who comes back need not know the new code yet; the menu is unlocked and locked each time."""
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


def test_what_is_changed_without_being_keyed_in_is_read_back_too(tmp_path: Path) -> None:
    """A new code and a new battery: otherwise nobody but the one who did it would look again."""
    rows = [node(11), node(12)]
    found = [rows[0] | {"default_refused": "no"}, rows[1] | {"battery_type": "X9"}]
    approved = {"approved": [{"setting": "battery_type", "values": ["LS-D"]}]}
    work = work_of(tmp_path, **site(rows, found, plan=approved))

    assert [step.tag for step in work.steps] == ["A", "B", None]
    assert work.steps[-1].do.startswith("Have all that was changed, on 2 devices, read back by someone other")


@pytest.mark.parametrize("found", [{"channel": ""}, {"default_refused": "not tried"}])
def test_a_list_that_only_reads_has_nothing_to_read_back(found: dict[str, str], tmp_path: Path) -> None:
    """What is to be read, or a factory code to be tried, changes nothing."""
    work = work_of(tmp_path, **site([node(11)], [node(11) | found]))

    assert [step.tag for step in work.steps] == ["A"]


def test_the_menu_is_unlocked_before_work_that_is_no_plain_setting(tmp_path: Path) -> None:
    """A trim without a record is taken out at the menu, and that comes before the range."""
    planned = node(11, range_high=100, local_lock=True)
    work = work_of(tmp_path, **site([planned], [planned | {"range_high": 50, "offset": 0.5}]))

    assert told(work.steps[:3]) == [
        "A: Unlock the menu (local_lock); a trim is set, and no calibration record is named for it",
        "A: range_high 50 kPa g → 100 kPa g",
        "A: local_lock unlocked → on",
    ]


def test_the_menu_is_unlocked_before_the_first_of_two_like_steps(tmp_path: Path) -> None:
    """A has the code of B and the reference of C, and both steps at A begin with the same words."""
    codes = [("5138", "v1"), ("5138", "v2"), ("5179", "v1")]
    planned = [node(11 + n, local_lock=True) for n in range(3)]
    found = [
        row | {"access_code": code, "code_reference": reference}
        for row, (code, reference) in zip(planned, codes, strict=True)
    ]
    of_a = [step.do for step in work_of(tmp_path, **site(planned, found)).steps if step.tag == "A"]

    assert [do.partition(".")[0] for do in of_a] == [
        "Unlock the menu (local_lock); 2 devices have the same access code",
        "2 devices have the same access code",
        "Lock the menu again",
    ]


def test_no_menu_is_unlocked_where_nothing_is_keyed_in(tmp_path: Path) -> None:
    """A battery is replaced at the device, and a signal is read in the gateway's list."""
    row = node(11, local_lock=True, report_interval=60)
    work = work_of(tmp_path, **site([row], [row | {"last_heard": 9999}]))

    assert work.steps
    assert not any("menu" in step.do for step in work.steps)


@pytest.mark.parametrize(("place", "words"), [("document", "documents"), ("gateway", "gateway's list")])
def test_settings_that_are_read_at_several_places_are_read_in_one_step(
    place: str, words: str, tmp_path: Path
) -> None:
    """Where the first of them is read, so that the same files always give the same list."""
    low = {"kind": "decimal", "unit": "kPa g", "step": 0.1, "low": -5000, "high": 5000, "read_at": place}
    row = node(11, host_low=0)
    work = work_of(tmp_path, **site([row], [row | {"range_low": 9000}], settings={"range_low": low}))

    (step,) = work.steps
    assert step.do.startswith(f"Read in the {words} and write down: range_low, host_low.")


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
    """A node whose address is covered by a waiver stays, and so keeps others from that address."""
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
    """Device, from, to, finding, hold point, what to expect, minutes, how to undo it."""
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
    """Moving outputs and hazardous areas are mentioned where there are any."""
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

    assert "omit --start" in refused.value.problems[0].mend


def test_a_list_that_fails_its_own_check_is_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No list is better than a bad one; the message names the step."""
    monkeypatch.setattr("audit.worklist.making.replay", lambda *_: Replayed(Fault(3, "strands A"), {}, {}))
    with pytest.raises(InputProblems, match="its own check finds that step 3 strands A"):
        work_of(tmp_path, **site([node(11)], [node(12)]))


def test_a_move_planned_in_a_wrong_order_never_gets_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """With the order of the moves broken, the check finds the step that would collide."""
    from audit.worklist import board, moves, together

    def without_waiting(*args: Any) -> moves.Planned:
        planned = moves.plan_moves(*args)
        broken = [board.Move(move.device, move.changes) for move in planned.moves]
        return moves.Planned(broken, planned.stuck)

    monkeypatch.setattr(together, "plan_moves", without_waiting)
    with pytest.raises(InputProblems, match="step 1 puts A on the channel and address of B"):
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


@pytest.mark.parametrize(("network", "title"), [({}, "wherever it is"), ({"network": "North"}, "North")])
def test_the_place_of_a_device_that_nobody_knows(tmp_path: Path, network: dict[str, str], title: str) -> None:
    """Its network, once, or wherever it is."""
    stranger = {"tag": "X", "address": 99, "channel": 13, **network}
    work = work_of(tmp_path, **site([node(11)], [{**node(11), **network}, stranger]))

    assert work.visits[0].title == title


def test_what_a_waiver_accepts_stays_though_another_setting_breaks_a_rule_with_it(tmp_path: Path) -> None:
    """The range of 100 instead of 90 is accepted; the alarm at 120 is outside it, and alone is set."""
    waiver = {"id": "W-1", "rule": "range-differs", "node": "A", "setting": "range_high",
              "value": "100 kPa g",
              "reason": "a higher tank", "owner": "A. Sample", "approver": "B. Other",
              "issued": "2026-04-01", "expires": "2026-12-01"}  # fmt: skip
    file = tmp_path / "waivers.json"
    file.write_text(json.dumps({"asfound": "waivers/1", "waivers": [waiver]}), encoding="utf-8")
    planned = [node(11, range_low=0, range_high=90, alarm_high=80)]
    found = [planned[0] | {"range_high": 100, "alarm_high": 120}]
    work = work_of(tmp_path / "s", waivers=[file], **site(planned, found))

    assert work.waived == 1
    assert field(work) == ["A: alarm_high 120 kPa g → 80 kPa g"]
