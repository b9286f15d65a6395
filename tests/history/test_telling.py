"""The history of a site: what changed, crept, flipped, and how long findings were open."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.errors import InputProblems
from audit.history.courses import DeviceCourse, SettingCourse, courses
from audit.history.happenings import events
from audit.history.patterns import creeps
from audit.history.standing import standing
from audit.history.telling import read_all, tell
from audit.model.baseline import Content, OpenFinding, SealedDevice
from audit.model.device import Setting
from audit.model.history import History
from audit.reporting.history_text import render
from tests.histories import SETTINGS, Devices, chain


def told(folder: Path, *years: Devices, findings: Any = ()) -> History:
    """Return the history of baselines a year apart."""
    return tell(read_all(chain(folder, years, findings)))


def with_south(paths: Sequence[Path]) -> list[Content]:
    """Return the contents of baselines, each with a device LT-1 in South too, which was not read."""
    south = {"South": {"LT-1": SealedDevice(type="level", serial="S")}}
    contents = (one.baseline.content for one in read_all(paths))
    return [one.model_copy(update={"devices": one.devices | south})
            for one in sorted(contents, key=lambda content: content.sealed_on)]  # fmt: skip


def highs(*values: str) -> list[Devices]:
    """Return a node's high alarm over years, in a range of ten metres; empty: not read."""
    fixed = {"range_low": "0", "range_high": "10"}
    return [{"LT-1": fixed | ({"high_alarm": value} if value else {})} for value in values]


def test_nothing_happened(tmp_path: Path) -> None:
    """Baselines that are the same have no history, and the devices are counted."""
    history = told(tmp_path, *highs("8", "8", "8"))

    assert (history.creeps, history.flips, history.changes, history.events, history.doubts) == (
        [],
        [],
        [],
        [],
        [],
    )
    assert [(n.network, n.devices, n.unchanged) for n in history.networks] == [("North", [], 1)]


def test_a_value_in_another_unit_has_not_changed(tmp_path: Path) -> None:
    """The device showed feet in the first year."""
    read = read_all(chain(tmp_path, highs("26.25", "8", "8.1")))
    first, *others = sorted((one.baseline.content for one in read), key=lambda content: content.sealed_on)
    level, gateway = first.device_types
    in_feet = [one.model_copy(update={"unit": "ft"}) for one in level.settings]
    level = level.model_copy(update={"settings": tuple(in_feet)})

    (device,) = courses([first.model_copy(update={"device_types": (level, gateway)}), *others])

    (alarm,) = [course for course in device.settings if course.setting.name == "high_alarm"]
    assert alarm.values == ("8", "8", "8.1")


def test_what_changed_under_the_old_unit_is_told_on_a_coarser_display(tmp_path: Path) -> None:
    """The device now shows tenths of a metre; in feet it was moved by less than that, which was seen."""
    read = read_all(chain(tmp_path, highs("26.25", "26.3", "8")))
    contents = sorted((one.baseline.content for one in read), key=lambda content: content.sealed_on)
    level, gateway = contents[0].device_types

    def of(**update: Any) -> tuple[Any, ...]:
        settings = tuple(one.model_copy(update=update) for one in level.settings)
        return level.model_copy(update={"settings": settings}), gateway

    kinds = [of(unit="ft"), of(unit="ft"), of(step=Decimal("0.1"))]
    (device,) = courses(
        [c.model_copy(update={"device_types": its}) for c, its in zip(contents, kinds, strict=True)]
    )

    (alarm,) = [course for course in device.settings if course.setting.name == "high_alarm"]
    assert alarm.values == ("8.001", "8.0162", "8")


def test_an_alarm_moved_the_same_way_three_years_running_creeps(tmp_path: Path) -> None:
    """Two moves upward running, with their total."""
    (creep,) = told(tmp_path, *highs("8", "8.1", "8.3")).creeps

    assert (creep.node, creep.setting, creep.alarm, creep.moves) == ("LT-1", "high_alarm", True, 2)
    assert (creep.total, creep.percent_of_range, creep.still) == ("+0.3", 3.0, True)
    assert [(v.sealed_on, v.value) for v in creep.values] == [
        ("2020-05-10", "8"), ("2021-05-10", "8.1"), ("2022-05-10", "8.3"),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("values", "moves"),
    [
        (("8", "8.1"), []),  # once is no creep
        (("8", "8.1", "8", "8.1"), []),  # back and forth is none either
        (("8", "8.1", "", "8.3"), [2]),  # a year without a reading breaks nothing
        (("8", "8.1", "8.1", "8.3"), [2]),
        (("8", "8.2", "8.1", "8", "7.9"), [3]),  # the longest run counts
        (("8", "8.1", "8.2", "8"), [2]),  # and is told even where it has ended
        (("9", "10", "11"), [2]),  # as numbers, not as texts
    ],
)
def test_what_creeps(values: tuple[str, ...], moves: list[int], tmp_path: Path) -> None:
    """Two moves running, both the same way."""
    assert [creep.moves for creep in told(tmp_path, *highs(*values)).creeps] == moves


def test_a_correction_is_no_move(tmp_path: Path) -> None:
    """From 8 to the 8.5 that was planned, somebody put right a fault; what was decided later is one move."""
    years = [{"high_alarm": "8", "planned high_alarm": "8.5"}, {"high_alarm": "8.5"}, {"high_alarm": "8.7"}]

    assert told(tmp_path, *({"LT-1": year} for year in years)).creeps == []


def test_what_goes_on_after_a_correction_is_a_run_of_its_own(tmp_path: Path) -> None:
    """Two moves after it creep; the correction is not among them. Nor is it where a year was not read."""
    first = {"high_alarm": "8", "planned high_alarm": "8.5"}
    years = [first, {"address": "1"}, *({"high_alarm": high} for high in ("8.5", "8.6", "8.7"))]

    (creep,) = told(tmp_path, *({"LT-1": year} for year in years)).creeps

    assert [reading.value for reading in creep.values] == ["8.5", "8.6", "8.7"]


IN_CM = [setting | ({"unit": "cm"} if setting.get("unit") == "m" else {}) for setting in SETTINGS]


@pytest.mark.parametrize(("high", "creeps"), [("850", 0), ("840", 1)])
def test_a_correction_is_seen_in_another_unit_too(high: str, creeps: int, tmp_path: Path) -> None:
    """8.5 m were planned, and the unit that was put in next shows centimetres."""
    planned = {"planned high_alarm": "8.5"}
    years = [{"high_alarm": "8", **planned}, {"high_alarm": "8.2", **planned}, {"high_alarm": high}]
    paths = chain(tmp_path, [{"LT-1": year} for year in years], settings=[SETTINGS, SETTINGS, IN_CM])

    assert len(tell(read_all(paths)).creeps) == creeps


def test_a_move_away_from_the_plan_is_no_correction(tmp_path: Path) -> None:
    """It was 8.3 that was planned, not 8.1."""
    years = [{"high_alarm": "8", "planned high_alarm": "8.3"}, {"high_alarm": "8.1"}, {"high_alarm": "8.2"}]

    assert [creep.moves for creep in told(tmp_path, *({"LT-1": year} for year in years)).creeps] == [2]


def test_an_ended_creep_says_so(tmp_path: Path) -> None:
    """Somebody noticed and put it back."""
    (creep,) = told(tmp_path, *highs("8", "8.1", "8.2", "8")).creeps

    assert not creep.still


def test_of_two_creeps_as_long_the_later_is_told(tmp_path: Path) -> None:
    """It went up for two years and came down again for two, which it may still do."""
    (creep,) = told(tmp_path, *highs("8", "8.1", "8.2", "8.1", "8")).creeps

    assert (creep.total, creep.still) == ("-0.2", True)


def test_addresses_and_observations_do_not_creep(tmp_path: Path) -> None:
    """A larger address is not more of anything, and a signal is not a setting."""
    years = [{"LT-1": {"address": str(n), "rssi": str(-80 - n)}} for n in (1, 2, 3)]
    history = told(tmp_path, *years)

    assert history.creeps == []
    assert [change.setting for change in history.changes] == ["address", "address"]


def test_registers_of_the_host_do_not_creep(tmp_path: Path) -> None:
    """A register that moves up each year is elsewhere in the host's map, and not more of anything."""
    roles = ("host_register", "host_device")
    settings = [*SETTINGS, *({"name": role, "kind": "integer", "role": role} for role in roles)]
    years = [{"LT-1": {role: str(2000 + n) for role in roles}} for n in (1, 2, 3)]
    history = tell(read_all(chain(tmp_path, years, settings=[settings] * 3)))

    assert history.creeps == []
    assert [change.setting for change in history.changes] == [*roles, *roles]


def test_back_and_forth(tmp_path: Path) -> None:
    """A setting that returns to an earlier value, and how often."""
    (flip,) = told(tmp_path, *highs("8", "8.5", "8", "8.5")).flips

    assert (flip.setting, flip.returns, [v.value for v in flip.values]) == (
        "high_alarm",
        2,
        ["8", "8.5", "8", "8.5"],
    )


def test_a_change_after_a_gap_says_when_it_was_last_read(tmp_path: Path) -> None:
    """A blank does not mean 'unchanged': the change lies somewhere between the readings."""
    history = told(tmp_path, *highs("8", "", "9"))
    (change,) = history.changes

    assert (change.before, change.last_read_on, change.after, change.sealed_on) == (
        "8", "2020-05-10", "9", "2022-05-10",
    )  # fmt: skip
    assert [line.settings_not_read for line in history.baselines] == [0, 1, 0]


def test_a_setting_that_a_device_type_did_not_have_yet_was_not_left_unread(tmp_path: Path) -> None:
    """The firmware of the first year has no report interval: nobody could have read one."""
    years = [{"LT-1": {"high_alarm": "8"}}, {"LT-1": {"high_alarm": "8", "report_interval": "60"}}]
    old = [one for one in SETTINGS if one["name"] != "report_interval"]

    without = tell(read_all(chain(tmp_path, years, settings=[old, SETTINGS])))

    assert [line.settings_not_read for line in without.baselines] == [0, 0]
    assert [line.settings_not_read for line in told(tmp_path, *years).baselines] == [1, 0]


def test_nodes_that_went_with_their_gateway(tmp_path: Path) -> None:
    """A gateway retuned with its nodes is one change; a node that went elsewhere is another."""
    before = {"GW-N": {"channel": "7"}, "LT-1": {"channel": "7"}, "LT-2": {"channel": "7"}}
    after = {"GW-N": {"channel": "9"}, "LT-1": {"channel": "9"}, "LT-2": {"channel": "8"}}
    changes = told(tmp_path, before, after).changes

    assert [(c.node, c.with_gateway) for c in changes] == [("GW-N", False), ("LT-1", True), ("LT-2", False)]


def test_devices_that_came_went_moved_and_were_exchanged(tmp_path: Path) -> None:
    """Each once; a serial number that turns up under another tag is a move, not a coming and going."""
    before = {"A": {"serial": "1", "channel": "7"}, "B": {"serial": "2"}, "C": {"serial": "3"}}
    after = {"A": {"serial": "9", "channel": "7"}, "D": {"serial": "3"}, "E": {"serial": "5"}}
    history = told(tmp_path, before, after)

    assert {(e.node, e.what, e.before, e.after) for e in history.events} == {
        ("A", "exchanged", "1", "9"),
        ("B", "gone", "2", None),
        ("D", "renamed", "North C", "North D"),
        ("E", "came", None, "5"),
    }


def test_a_device_that_the_plan_left_out_or_took_up_while_it_was_there_neither_went_nor_came(
    tmp_path: Path,
) -> None:
    """Of B and C the baselines say themselves that they were found, unplanned; D went and E came."""
    unplanned = {"rule": "unplanned-node", "level": "warning", "network": "North", "since": "2020-05-10"}
    before = {"A": {"serial": "1"}, "B": {"serial": "2"}, "D": {"serial": "4"}}
    after = {"A": {"serial": "1"}, "C": {"serial": "3"}, "E": {"serial": "5"}}
    findings = [[unplanned | {"id": f"unplanned-node/North/{tag}", "node": tag, "serial": serial}]
                for tag, serial in (("C", "3"), ("B", "2"))]  # fmt: skip
    history = told(tmp_path, before, after, findings=findings)

    assert {(e.node, e.what) for e in history.events} == {("D", "gone"), ("E", "came")}


def test_the_planned_number_of_a_device_that_was_not_read_is_no_exchange(tmp_path: Path) -> None:
    """A spare, a year without a reading, and the spare again: it was put in once, and stayed."""
    spare = {"serial": "9", "channel": "7"}
    history = told(
        tmp_path, {"A": {"serial": "1", "channel": "7"}}, {"A": spare}, {"A": {"serial": "1"}}, {"A": spare}
    )

    assert [(e.what, e.sealed_on, e.before, e.after) for e in history.events] == [
        ("exchanged", "2021-05-10", "1", "9")
    ]


def test_a_number_that_several_devices_have_tells_no_move(tmp_path: Path) -> None:
    """Such as TBC in a plan: nobody knows which unit went where. A unit that replaced another is known."""
    history = told(
        tmp_path,
        {"A": {"serial": "TBC"}, "B": {"serial": "TBC"}, "C": {"serial": "3", "channel": "7"}},
        {
            "B": {"serial": "TBC"},
            "D": {"serial": "TBC"},
            "C": {"serial": "4", "channel": "7"},
            "E": {"serial": "3"},
        },
    )

    assert {(e.node, e.what, e.before, e.after) for e in history.events} == {
        ("A", "gone", "TBC", None),
        ("D", "came", None, "TBC"),
        ("C", "exchanged", "3", "4"),
        ("E", "moved", "North C", "North E"),
    }


def test_a_device_to_which_something_happened_twice_is_one_device(tmp_path: Path) -> None:
    """Exchanged each year: two lines for one device, which is counted once."""
    history = told(tmp_path, *({"A": {"serial": serial, "channel": "7"}} for serial in "123"))

    assert len(history.events) == 2
    assert "devices that came, went, moved, or were renamed or exchanged: 1" in " ".join(
        render(history).split()
    )


RENAMED = {"PIT-1": {"serial": "1", "high_alarm": "8.1"}}
MOVED = {"LT-1": {"serial": "1", "network": "East", "high_alarm": "8.1"}}


@pytest.mark.parametrize(
    ("second", "what", "after", "where"),
    [
        (RENAMED, "renamed", "North PIT-1", ("North", "PIT-1")),
        (MOVED, "moved", "East LT-1", ("East", "LT-1")),
    ],
    ids=["renamed", "moved"],
)
def test_a_device_under_another_name_is_followed_by_its_serial_number(
    second: Any, what: str, after: str, where: tuple[str, str], tmp_path: Path
) -> None:
    """What changed along with the name is reported, a creep goes on, and no finding ends."""
    off = {"rule": "alarm-off-plan", "level": "error", "settings": ["high_alarm"], "since": "2020-05-10"}
    names = [("North", "LT-1"), where, where]
    findings = [[off | {"id": f"alarm-off-plan/{network}/{tag}/high_alarm", "network": network, "node": tag}]
                for network, tag in names]  # fmt: skip
    first = {"LT-1": {"serial": "1", "high_alarm": "8"}}
    third = {tag: values | {"high_alarm": "8.3"} for tag, values in second.items()}
    history = told(tmp_path, first, second, third, findings=findings)

    assert [(e.network, e.node, e.what, e.before, e.after) for e in history.events] == [
        (*where, what, "North LT-1", after)
    ]
    assert [(c.network, c.node, c.before, c.after) for c in history.changes] == [
        (*where, "8", "8.1"), (*where, "8.1", "8.3"),
    ]  # fmt: skip
    assert [(c.network, c.node, c.moves) for c in history.creeps] == [(*where, 2)]
    assert [(s.network, s.node, s.since, s.end) for s in history.standing] == [(*where, "2020-05-10", "open")]


@pytest.mark.parametrize(
    ("read", "planned", "what", "after"),
    [
        ({"read_tag": "LT-9"}, {"LT-9": {"serial": "1"}}, "renamed", "North LT-9"),
        ({"read_network": "East"}, {"LT-1": {"serial": "1", "network": "East"}}, "moved", "East LT-1"),
    ],
    ids=["renamed", "moved"],
)
@pytest.mark.parametrize("third", [{"high_alarm": "8"}, {}], ids=["read", "not read"])
def test_a_new_name_is_told_when_it_was_found_and_not_when_the_plan_followed(
    read: Any, planned: Any, what: str, after: str, third: Any, tmp_path: Path
) -> None:
    """Whatever the plan calls it, and whether or not it was read in between."""
    first = {"LT-1": {"serial": "1", "high_alarm": "8"}}
    second = {"LT-1": first["LT-1"] | read}
    unread = {"LT-1": {"serial": "1"}}
    last = {tag: its | third for tag, its in planned.items()}
    history = told(tmp_path, first, second, unread, second, last)

    assert [(e.what, e.sealed_on, e.before, e.after) for e in history.events] == [
        (what, "2021-05-10", "North LT-1", after)
    ]


def test_units_under_each_others_tag_got_no_other_name(tmp_path: Path) -> None:
    """Nor was a unit renamed that took the place of one found under another tag."""
    value = {"high_alarm": "8"}
    plain = {"A": value | {"serial": "1"}, "B": value | {"serial": "2"}}
    crossed = {"A": plain["A"] | {"read_tag": "B"}, "B": plain["B"] | {"read_tag": "A"}}
    labelled = {"A": plain["A"] | {"read_tag": "C"}, "B": plain["B"]}
    replaced = {"A": value | {"serial": "9"}, "B": plain["B"], "C": plain["A"]}

    (tmp_path / "crossed").mkdir()
    assert told(tmp_path / "crossed", plain, crossed, plain).events == []
    history = told(tmp_path, labelled, replaced)
    assert [(e.node, e.what) for e in history.events if e.what == "renamed"] == []


def test_a_serial_number_that_stands_twice_follows_nobody(tmp_path: Path) -> None:
    """Nobody knows which of the two went where."""
    before = {"A": {"serial": "1", "channel": "7"}, "B": {"serial": "1", "channel": "7"}}
    history = told(tmp_path, before, {"C": {"serial": "1", "channel": "9"}})

    assert history.changes == []


def test_a_network_with_another_name_is_told_once(tmp_path: Path) -> None:
    """Its gateway has the new name too, so none of its devices has moved."""
    tags = ("GW-N", "LT-1", "LT-2")
    old = {tag: {"channel": "7"} for tag in tags}
    history = told(tmp_path, old, {tag: {"channel": "7", "network": "North Bank"} for tag in tags})

    assert {(e.node, e.what) for e in history.events} == {(tag, "renamed") for tag in tags}
    assert "North Bank GW-N, LT-1, LT-2 renamed North North Bank" in " ".join(render(history).split())


def test_a_unit_exchanged_in_a_network_with_another_name_is_told_as_both(tmp_path: Path) -> None:
    """The timeline has room for everything that happened to a device between two baselines."""
    read, net = {"channel": "7"}, {"network": "Nether"}
    before = {"GW-N": {"serial": "G"}, "LT-1": {"serial": "1"} | read}
    after = {"GW-N": {"serial": "G"} | net, "LT-1": {"serial": "9"} | read | net}

    cell = told(tmp_path, before, after).networks[0].devices[1].cells[1]

    assert [(e.what, e.before, e.after) for e in cell.events] == [
        ("renamed", "North LT-1", "Nether LT-1"),
        ("exchanged", "1", "9"),
    ]


def test_a_unit_that_was_moved_and_exchanged_is_followed_by_its_tag(tmp_path: Path) -> None:
    """As drift does: it did not come and go, and what was changed along with it is told."""
    before = {"LT-1": {"serial": "1", "high_alarm": "8"}, "LT-2": {"serial": "2"}}
    after = {"LT-1": {"serial": "9", "network": "East", "high_alarm": "8.1"}, "LT-2": {"serial": "2"}}
    history = told(tmp_path, before, after)

    assert [(e.network, e.node, e.what, e.before, e.after) for e in history.events] == [
        ("East", "LT-1", "moved", "North LT-1", "East LT-1"),
        ("East", "LT-1", "exchanged", "1", "9"),
    ]
    assert [(c.node, c.before, c.after) for c in history.changes] == [("LT-1", "8", "8.1")]


def test_a_unit_exchanged_in_a_network_with_another_name_is_followed_though_its_tag_is_not_the_only_one(
    tmp_path: Path,
) -> None:
    """Its gateway shows that North is Nether now; South has a device of that tag too."""
    before = {"GW-N": {"serial": "G"}, "LT-1": {"serial": "1"}}
    after = {"GW-N": {"serial": "G", "network": "Nether"}, "LT-1": {"serial": "9", "network": "Nether"}}

    devices = courses(with_south(chain(tmp_path, [before, after])))

    assert {(one.network, one.names) for one in devices if one.tag == "LT-1"} == {
        ("Nether", (("North", "LT-1"), ("Nether", "LT-1"))),
        ("South", (("South", "LT-1"), ("South", "LT-1"))),
    }


def test_a_device_is_followed_to_one_place_only(tmp_path: Path) -> None:
    """The unit of LT-1 went South as LT-9; another unit got its tag in the West, and has come."""
    before = {"LT-1": {"serial": "1"}, "LT-2": {"serial": "2"}}
    after = {"LT-9": {"serial": "1", "network": "South"}, "LT-1": {"serial": "9", "network": "West"},
             "LT-2": {"serial": "2"}}  # fmt: skip

    history = told(tmp_path, before, after)

    assert {(e.network, e.node, e.what, e.before) for e in history.events} == {
        ("South", "LT-9", "moved", "North LT-1"),
        ("West", "LT-1", "came", None),
    }


def test_a_gateway_that_went_to_a_new_network_takes_no_tags_along(tmp_path: Path) -> None:
    """Its old network is still there; South has a device of that tag too, so the tag alone tells nothing."""
    before = {"GW-N": {"serial": "G"}, "LT-1": {"serial": "1"}, "LT-2": {"serial": "2"}}
    after = {"GW-N": {"serial": "G", "network": "Nether"}, "LT-1": {"serial": "9", "network": "Nether"},
             "LT-2": {"serial": "2"}}  # fmt: skip

    devices = courses(with_south(chain(tmp_path, [before, after])))

    assert {(one.network, one.names) for one in devices if one.tag == "LT-1"} == {
        ("North", (("North", "LT-1"), None)),
        ("Nether", (None, ("Nether", "LT-1"))),
        ("South", (("South", "LT-1"), ("South", "LT-1"))),
    }


@pytest.mark.parametrize(
    ("more", "ends"), [({}, [None]), ({"LT-9": {"high_alarm": "8"}}, [None, "2021-05-10"])]
)
def test_a_new_name_of_a_network_ends_no_finding_about_it(
    more: Devices, ends: list[str | None], tmp_path: Path
) -> None:
    """Its gateway shows the new name, unless a network with the old name is still there."""
    before = {"GW-N": {"serial": "G"}, "LT-1": {"serial": "1"}}
    after = {**{tag: {**its, "network": "Nether"} for tag, its in before.items()}, **more}
    about = {"rule": "nodes-alike", "level": "error"}
    findings = [
        [{**about, "id": f"nodes-alike/{name}", "network": name, "since": day}]
        for name, day in (("North", "2020-05-10"), ("Nether", "2021-05-10"))
    ]

    standing = told(tmp_path, before, after, findings=findings).standing

    assert [one.gone_by for one in standing] == ends


def test_how_long_findings_stood_open(tmp_path: Path) -> None:
    """One is still open; one went and came back, and is listed twice."""
    old = {"id": "a", "rule": "alarm-off-plan", "level": "error", "node": "LT-1", "since": "2020-05-10"}
    back = {"id": "b", "rule": "self-checked", "level": "warning"}
    findings = [[old, back | {"since": "2020-05-10"}], [old], [old, back | {"since": "2022-05-10"}]]
    history = told(tmp_path, *highs("8", "8", "8"), findings=findings)

    assert [(s.rule, s.since, s.gone_by, s.days) for s in history.standing] == [
        ("alarm-off-plan", "2020-05-10", None, 730),
        ("self-checked", "2022-05-10", None, 0),
        ("self-checked", "2020-05-10", "2021-05-10", 365),
    ]


@pytest.mark.parametrize(
    ("second", "ends"),
    [
        ({"LT-1": {}}, ["open, not read 2021-05-10"]),  # not read at all
        ({"LT-1": {"range_high": "10"}}, ["open, not read 2021-05-10"]),  # nor the setting that it is about
        ({"LT-1": {"high_alarm": "8"}}, ["open", "2021-05-10"]),
        ({"LT-2": {"high_alarm": "8"}}, ["open", "2021-05-10"]),  # the node is no more in the plan
    ],
)
def test_a_year_without_a_reading_closes_no_finding(second: Any, ends: list[str], tmp_path: Path) -> None:
    """An alarm that is off the plan stays open until somebody has seen it corrected."""
    off = {"id": "a", "rule": "alarm-off-plan", "level": "error", "network": "North", "node": "LT-1",
           "settings": ["high_alarm"]}  # fmt: skip
    found = [[off | {"since": "2020-05-10"}], [], [off | {"since": "2022-05-10"}]]
    read = {"LT-1": {"high_alarm": "9"}}
    stood = told(tmp_path, read, second, read, findings=found).standing

    assert [one.end for one in stood] == ends
    assert stood[0].since == ("2020-05-10" if len(ends) == 1 else "2022-05-10")


def test_a_device_of_the_same_tag_in_another_network_keeps_no_finding_open(tmp_path: Path) -> None:
    """LT-1 of South was never read; the finding is about the one in North, which was."""
    off = {"id": "a", "rule": "alarm-off-plan", "level": "error", "network": "North", "node": "LT-1",
           "settings": ["high_alarm"], "since": "2020-05-10"}  # fmt: skip

    (stood,) = standing(with_south(chain(tmp_path, highs("9", "8"), [[off], []])))

    assert stood.gone_by == "2021-05-10"


def test_a_finding_about_an_access_code_ends_though_no_baseline_holds_codes(tmp_path: Path) -> None:
    """Whether a code was read cannot be seen in a baseline; that the device was read has to do."""
    off = {"id": "a", "rule": "default-code", "level": "error", "network": "North", "node": "LT-1",
           "settings": ["access_code"], "since": "2020-05-10"}  # fmt: skip
    known = [*SETTINGS, {"name": "access_code", "kind": "secret", "role": "access_code"}]
    paths = chain(tmp_path, highs("8", "8"), [[off], []], [known, known])

    (stood,) = tell(read_all(paths)).standing

    assert stood.gone_by == "2021-05-10"


def test_an_excused_finding_names_its_waiver(tmp_path: Path) -> None:
    """How long a difference has stood is another matter where somebody answers for it."""
    off = {"id": "a", "rule": "alarm-off-plan", "level": "error", "since": "2020-05-10", "waived": "W-1"}

    (stood,) = told(tmp_path, *highs("9"), findings=[[off]]).standing

    assert stood.waived == "W-1"


def test_a_finding_that_was_not_read_last_is_open_and_says_so(tmp_path: Path) -> None:
    """Nothing shows that it was corrected, nor that it still holds."""
    off = {
        "id": "a",
        "rule": "default-code-accepted",
        "level": "error",
        "node": "LT-1",
        "since": "2020-05-10",
    }
    (stood,) = told(tmp_path, *highs("9"), {"LT-1": {}}, findings=[[off], []]).standing

    assert (stood.end, stood.days) == ("open, not read 2021-05-10", 365)


def test_a_missing_link_is_a_doubt(tmp_path: Path) -> None:
    """What the files say is reported, with the doubt first."""
    paths = chain(tmp_path, highs("8", "8.5", "9"))
    history = tell(read_all([paths[2], paths[0]]))

    assert [line.sealed_on for line in history.baselines] == ["2020-05-10", "2022-05-10"]
    assert len(history.doubts) == 1
    assert "chain is broken" in history.doubts[0]


def test_an_altered_baseline_is_refused(tmp_path: Path) -> None:
    """Everything that is wrong with any of the files is reported at once."""
    paths = chain(tmp_path, highs("8", "8.5", "9"))
    for path in paths[:2]:
        path.write_text(path.read_text().replace('"high_alarm":"8', '"high_alarm":"7'), newline="")

    with pytest.raises(InputProblems) as caught:
        read_all(paths)

    assert len(caught.value.problems) == 2


@given(st.lists(st.sampled_from(["", "1", "2", "3"]), min_size=1, max_size=8), st.randoms())
def test_changes_lead_from_the_first_reading_to_the_last(values: list[str], random: Any) -> None:
    """Whatever the course and the order of the files, each change begins where the last one ended."""
    import tempfile

    with tempfile.TemporaryDirectory() as folder:
        paths = chain(Path(folder), highs(*values))
        random.shuffle(paths)
        history = tell(read_all(paths))

    read = [value for value in values if value]
    steps = [value for n, value in enumerate(read) if n == 0 or value != read[n - 1]]
    assert [change.after for change in history.changes] == steps[1:]
    assert [change.before for change in history.changes] == steps[:-1]


def course(values: tuple[str, ...], role: str = "", **setting: Any) -> SettingCourse:
    """Return the course of a decimal."""
    return SettingCourse(
        Setting(name=setting.pop("name", role), kind="decimal", step=0.1, role=role, **setting), values
    )


def device(tag: str, sealed: Sequence[SealedDevice | None], *settings: SettingCourse) -> DeviceCourse:
    """Return a node that always had its name."""
    names = (("North", tag),) * len(sealed)
    return DeviceCourse("North", tag, "t", False, tuple(sealed), settings, names, names)


def test_a_setting_that_was_no_number_once_does_not_creep() -> None:
    """A device type may have been written differently in earlier years."""
    once_a_word = device("A", [None] * 4, course(("auto", "5", "6", "7"), "alarm_high"))

    assert creeps([once_a_word], ["1", "2", "3", "4"]) == []


def test_creep_is_told_in_parts_of_its_own_inputs_range() -> None:
    """A second input with another range has nothing to do with the alarm of the first."""
    its = [
        course(("0",) * 3, "range_low"),
        course(("10",) * 3, "range_high"),
        course(("5", "6", "7"), "alarm_high"),
    ]
    other = [course(("0",) * 3, "range_low", name="low2", input="second"),
             course(("1000",) * 3, "range_high", name="high2", input="second")]  # fmt: skip

    (creep,) = creeps([device("A", [None] * 3, *its, *other)], ["1", "2", "3"])

    assert creep.percent_of_range == 20


def test_findings_that_stand_and_devices_that_moved_are_all_told() -> None:
    """However many there are."""
    findings = [
        OpenFinding(id=f"r/{n}", rule="r", level="note", since=datetime.date(2026, 1, 1)) for n in range(90)
    ]
    contents: Any = [
        SimpleNamespace(findings=findings, sealed_on=datetime.date(2026, 1, k)) for k in (1, 2, 3)
    ]
    units = [SealedDevice(type="t", serial=str(n)) for n in range(90)]
    old = [device(f"A-{n}", [unit, None]) for n, unit in enumerate(units)]
    new = [device(f"B-{n}", [None, unit]) for n, unit in enumerate(units)]

    assert len(standing(contents)) == 90
    assert {event.what for event in events([*old, *new], ["1", "2"], [set(), set()])} == {"moved"}
