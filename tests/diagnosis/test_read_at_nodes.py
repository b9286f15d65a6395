"""Sheets that people filled in at the nodes: they show those nodes, and not that others are missing."""

from __future__ import annotations

from datetime import date, datetime
from pathlib import Path

import pytest

from audit.diagnosis.asked import Asked
from audit.diagnosis.causes import read_causes
from audit.diagnosis.diagnose import diagnose
from audit.diagnosis.evidence import Answered, NotKnown
from audit.diagnosis.gathering.afterwards import read_there
from audit.diagnosis.gathering.courses import course
from audit.diagnosis.gathering.elsewhere import elsewhere
from audit.diagnosis.gathering.identity import identity
from audit.diagnosis.gathering.siblings import siblings
from audit.diagnosis.gathering.work import past
from audit.diagnosis.missing import lost_between, missing
from audit.diagnosis.site import Basis, of_all
from audit.reading.inputs import Inputs
from tests.diagnosis.listed import SITE, Rows, rows, told
from tests.diagnosis.sites import case_of, diagnosed, examined

Sheets = dict[str, Rows]


def sheet(at: str, *tags: str, heard: int = 20, person: str = "R. Sample") -> Rows:
    """Return rows of a sheet that was filled in at nodes of GW-North."""
    return rows(*tags, channel=7, joined_gateway="GW-North", last_heard=heard, read_by=person, read_at=at)


def made(at: str, *tags: str) -> Sheets:
    """Return a list that GW-North made."""
    return {"list.csv": rows(*tags, gateway="GW-North", last_heard=20, read_at=at)}


TWO_PEOPLE = {"one.csv": sheet("2026-04-20", "A"), "two.csv": sheet("2026-04-21", "B", "C", person="A. N.")}
CASES: list[tuple[str, Sheets, Sheets, list[str]]] = [
    ("two people on two days", TWO_PEOPLE, {}, []),
    ("two people in turns",
     {"one.csv": [*sheet("2026-04-20", "A"), *sheet("2026-04-22", "C")], "two.csv": sheet("2026-04-21", "B")},
     {}, []),
    ("a month for one round", {"one.csv": sheet("2026-03-20", "A"), "two.csv": sheet("2026-04-21", "B", "C")},
     {}, []),
    ("one is silent", {**TWO_PEOPLE, "three.csv": sheet("2026-04-22", "A", heard=90_000)}, {}, ["A"]),
    ("one read since the list", {"one.csv": sheet("2026-04-22", "C")},
     made("2026-04-21T08:00", "A", "B", "C"), []),
    ("one silent since the list", {"one.csv": sheet("2026-04-22", "C", heard=90_000)},
     made("2026-04-21T08:00", "A", "B", "C"), ["C"]),
    ("one joined since the list", {"one.csv": sheet("2026-04-22", "A")},
     made("2026-04-21T08:00", "B", "C"), []),
    ("one joined on the day of the list", {"one.csv": sheet("2026-04-21", "A")},
     made("2026-04-21T08:00", "B", "C"), []),
    ("one lost before the list", {"one.csv": sheet("2026-04-20", "A")},
     made("2026-04-21T08:00", "B", "C"), ["A"]),
    ("one lost since it was read on the day of the list", {"one.csv": sheet("2026-04-21T06:00", "A")},
     made("2026-04-21T08:00", "B", "C"), ["A"]),
    ("one had joined no gateway, since the list",
     {"one.csv": [{**sheet("2026-04-22", "A")[0], "joined_gateway": "none", "last_heard": ""}]},
     made("2026-04-21T08:00", "A", "B", "C"), ["A"]),
    ("one had joined no gateway, and there is no list",
     {"one.csv": [*sheet("2026-04-20", "A", "B"), {**sheet("2026-04-20", "C")[0], "joined_gateway": "lost"}]},
     {}, ["C"]),
    ("nobody read when one was heard",
     {"one.csv": [*sheet("2026-04-20", "A", "B"), {**sheet("2026-04-20", "C")[0], "last_heard": ""}]},
     {}, []),
    ("nobody read which gateway one had joined",
     {"one.csv": [*sheet("2026-04-20", "A", "B"), {**sheet("2026-04-20", "C")[0], "joined_gateway": ""}]},
     {}, []),
    ("one silent since the newer of two lists", {"one.csv": sheet("2026-04-22", "C", heard=90_000)},
     {**made("2026-04-20T08:00", "A", "B", "C"),
      "new.csv": made("2026-04-21T08:00", "A", "B", "C")["list.csv"]},
     ["C"]),
    ("one lost since it was read, while the list was made, whose newest row stands first",
     {"one.csv": sheet("2026-04-21T08:05", "A")},
     {"list.csv": [*made("2026-04-21T08:10", "B")["list.csv"], *made("2026-04-21T08:00", "C")["list.csv"]]},
     ["A"]),
    ("one lost between two lists", {"one.csv": sheet("2026-04-20T12:00", "A")},
     {**made("2026-04-20T08:00", "B", "C"), "new.csv": made("2026-04-20T20:00", "B", "C")["list.csv"]},
     ["A"]),
]  # fmt: skip


@pytest.mark.parametrize(("sheets", "lists", "missing"), [case[1:] for case in CASES],
                         ids=[case[0] for case in CASES])  # fmt: skip
def test_a_sheet_shows_the_nodes_in_it_and_no_others(
    tmp_path: Path, sheets: Sheets, lists: Sheets, missing: list[str]
) -> None:
    """A node that another person read, or nobody since the gateway's list, is not missing for that."""
    found = told(tmp_path, lists, found=sheets, planned=SITE["planned"][:3])

    assert found == ({"GW-North": missing} if missing else {})


@pytest.mark.parametrize("of_c", [[], rows("C", channel=7, read_by="R. Sample", read_at="2026-04-20")],
                         ids=["not read at all", "not read in the list of its gateway"])  # fmt: skip
def test_whether_a_node_had_joined_that_nobody_read_is_not_known(tmp_path: Path, of_c: Rows) -> None:
    """It is not called missing, and no node is asked for as its sibling."""
    known = examined(tmp_path, found={"one.csv": [*sheet("2026-04-20", "A", "B"), *of_c]})

    assert missing(known) == (
        [], ["GW-North (North): no list of it was given, and nobody has read whether C had joined"],
    )  # fmt: skip


def test_what_a_node_that_nobody_read_has_beside_it(tmp_path: Path) -> None:
    """Of the nodes beside it only those that were read count."""
    beside = siblings(case_of(tmp_path, "B", found={"one.csv": sheet("2026-04-20", "A")}))

    assert isinstance(beside, Answered)
    assert beside.words == (
        "the only other node that was read is heard by GW-North, by readings at the nodes of 2026-04-20"
    )


def test_a_sheet_does_not_show_that_a_node_has_never_joined(tmp_path: Path) -> None:
    """Two lists that leave it out would; a list and a sheet of the day before do not."""
    sheets = {"one.csv": sheet("2026-04-20", "A")}
    case = case_of(tmp_path, "B", lists=made("2026-04-21T08:00", "A"), found=sheets)

    assert past(case).joined == "unknown"


@pytest.mark.parametrize(
    ("heard", "words"),
    [
        (20, "GW-North had heard it 20 s before, so it has joined"),
        (90_000, "GW-North had heard it 1 day 1 h before; it counts as silent after 1 h"),
        ("never", "GW-North had not heard it"),
        ("", "it had joined GW-North, so it has joined"),
    ],
)  # fmt: skip
def test_what_was_read_at_a_node_is_told_with_its_own_day(tmp_path: Path, heard: object, words: str) -> None:
    """That of the list, which is older, has nothing to do with it."""
    read = {"one.csv": [{**sheet("2026-04-23", "A")[0], "last_heard": heard}]}

    node = diagnosed(tmp_path, lists=made("2026-04-21T08:00", "A", "B"), found=read)

    assert node.state_words == f"it was read at the node on 2026-04-23 that {words}"


def test_what_was_read_at_a_silent_node_was_so_when_it_was_read(tmp_path: Path) -> None:
    """Not three weeks before, when its gateway last heard it; only its signal is as old as that."""
    read = sheet("2026-04-23", "A", heard=21 * 86_400)[0] | {
        "serial": "1001",
        "battery_volts": 3.1,
        "rssi": -90,
    }
    at_display = {"rssi": {"kind": "decimal", "unit": "dBm", "step": 1}}
    case = case_of(tmp_path, found={"one.csv": [read]}, planned=[{"serial": "1001"}, {}], settings=at_display)

    days = {role: [one.at.date() for one in course(case, role, unit)]
            for role, unit in (("battery_volts", "V"), ("rssi", "dBm"))}  # fmt: skip
    label = identity(case)

    assert days == {"battery_volts": [date(2026, 4, 23)], "rssi": [date(2026, 4, 2)]}
    assert isinstance(label, Answered)
    assert (label.words, label.beforehand) == ("serial 1001 is the planned one", False)


def test_a_node_that_was_read_as_joining_none_is_told_so_where_that_is_written(tmp_path: Path) -> None:
    """A word for none in the column of the gateway is no blank; what its list of before shows counts, too."""
    read = {"one.csv": [{**sheet("2026-04-23", "A")[0], "joined_gateway": "none"}]}
    node = diagnosed(tmp_path, lists=made("2026-04-21T08:00", "A", "B"), found=read)

    assert node.state_words == "it was read at the node on 2026-04-23 that it had joined no gateway"
    assert [(place.heading, place.raw) for place in node.state_places] == [("joined_gateway", "none")]
    assert node.joined_before == "was"


def test_that_a_node_had_joined_none_does_not_say_when_others_were_heard(tmp_path: Path) -> None:
    """So nothing is in doubt of a sheet that has no times at all."""
    read = [{**row, "last_heard": ""} for row in sheet("2026-04-23", "A", "B", "C")]
    found = {"one.csv": [{**read[0], "joined_gateway": "none"}, *read[1:]]}

    told_in_doubt = examined(tmp_path, found=found).lists.doubts

    assert [words for words in told_in_doubt if "as others do" in words] == []


def test_a_node_that_was_read_at_another_gateway_since_its_own_list_is_not_at_its_own(tmp_path: Path) -> None:
    """Its gateway's list of the day before still has it. Nobody has read S, at the other one."""
    planned = [{}, {}, {"tag": "S", "network": "South"}]
    read = {"one.csv": [{**sheet("2026-04-22", "A")[0], "joined_gateway": "GW-South"}]}
    lists = made("2026-04-21T08:00", "A", "B")
    missing_at = told(tmp_path, lists, found=read, planned=planned)
    ((there,), _) = missing(examined(tmp_path, lists, found=read, planned=planned))
    node = diagnosed(tmp_path, lists=lists, found=read, planned=planned)

    assert missing_at == {"GW-North": ["A"], "unknown": 1}
    assert node.state_words == "it was read at the node on 2026-04-22 that it had joined GW-South"
    assert there.why.startswith("according to ")
    assert ", and to what was read at its nodes since: " in there.why
    assert there.why.endswith("one.csv")


def test_what_is_known_of_a_node_that_nobody_read(tmp_path: Path) -> None:
    """A sheet that does not have it is no evidence of that."""
    case = case_of(tmp_path, "B", found={"one.csv": sheet("2026-04-20", "A")})
    node = diagnose(case, Asked())

    assert node.state_words.startswith("no list of GW-North was given")
    assert node.state_places == []


def test_nodes_read_at_another_gateway_do_not_show_that_it_lacks_this_one(tmp_path: Path) -> None:
    """Its list would; a node that was read there was heard there."""
    planned = [{}, {}, {"tag": "S", "network": "South"}]
    at_south = [{**sheet("2026-04-20", "S")[0], "joined_gateway": "GW-South"}]
    case = case_of(tmp_path, "A", planned=planned, found={"one.csv": at_south})
    moved = [*at_south, {**at_south[0], "tag": "A"}]
    elsewhere_now = elsewhere(case_of(tmp_path, "A", planned=planned, found={"one.csv": moved}))

    assert elsewhere(case) == NotKnown("whether it is in another gateway's list: none was given")
    assert isinstance(elsewhere_now, Answered)
    assert elsewhere_now.words == (
        "it was read at the node on 2026-04-20 that GW-South (South) had heard it 20 s before"
    )


def test_a_sheet_of_nodes_at_one_gateway_says_nothing_of_another_one(tmp_path: Path) -> None:
    """It does not cover all gateways, as an export may."""
    planned = [{}, {"tag": "S", "network": "South"}]
    _, unknown = missing(examined(tmp_path, planned=planned, found={"one.csv": sheet("2026-04-20", "A")}))

    assert unknown == [
        "GW-South (South): no list of it was given, so it is not known which nodes are missing"
    ]


def test_a_node_was_lost_before_the_first_list_without_it(tmp_path: Path) -> None:
    """Not before another node was read, in a sheet that was filled in for days."""
    sheets = {"one.csv": [*sheet("2026-04-01", "A"), *sheet("2026-04-10", "B")]}
    case = case_of(tmp_path, "A", lists=made("2026-04-20T08:00", "B"), found=sheets)

    assert lost_between(case) == (datetime(2026, 4, 1), datetime(2026, 4, 20, 8))


def test_a_node_was_lost_when_its_list_was_made_and_not_when_another_was_read(tmp_path: Path) -> None:
    """What was read at it in between was read after it was lost."""
    sheets = {"one.csv": sheet("2026-04-23", "A"), "two.csv": rows("C", channel=7, read_at="2026-04-22")}
    case = case_of(tmp_path, "C", lists=made("2026-04-21T08:00", "A", "B"), found=sheets)

    assert [at for at, _ in read_there(case)] == [datetime(2026, 4, 22)]


def test_the_verdict_names_readings_at_nodes_as_such(tmp_path: Path) -> None:
    """They are no list of the gateway."""
    known = examined(tmp_path, found={"one.csv": sheet("2026-04-20", "A", "B")})

    assert of_all(known, Asked(), Basis(read_causes(None, Inputs()), None, "2026-04-20", [])).verdict == (
        "no planned node is missing at the gateways or nodes that were read, which are not all, "
        "according to the readings at nodes of 2026-04-20"
    )
