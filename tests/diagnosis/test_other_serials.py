"""Nodes that are listed under a serial number that is not the planned one."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.diagnosis.asked import Asked
from audit.diagnosis.causes import read_causes
from audit.diagnosis.diagnose import diagnose
from audit.diagnosis.gathering.work import past
from audit.diagnosis.missing import state_of
from audit.diagnosis.site import Basis, of_all
from audit.diagnosis.site import case_of as find
from audit.reading.inputs import Inputs
from tests.diagnosis.sites import examined, record

Rows = list[dict[str, Any]]
PLANNED = [{"serial": "101"}, {"serial": "102"}, {"serial": "103"}]
EXCHANGED = record("exchange", **{"from": "101", "to": "999"})
BACK = record("exchange", "2026-03-25", **{"from": "999", "to": "101"})


def listing(*rows: dict[str, Any]) -> dict[str, Rows]:
    """Return a list of GW-North with B and C, and with these rows."""
    others = [{"serial": "102", "tag": "B"}, {"serial": "103", "tag": "C"}]
    more = {"gateway": "GW-North", "last_heard": 20, "read_at": "2026-04-20"}
    return {"list.csv": [{**more, **row} for row in (*others, *rows)]}


@pytest.mark.parametrize(
    ("row", "changes", "state", "words"),
    [
        ({"serial": "999"}, [EXCHANGED], "heard",
         "so it has joined, as 999, the unit of change CR-2026-03-20: put it in the plan instead of 101"),
        ({"serial": "999", "tag": "A"}, [], "heard", ", as 999, planned 101: read at the node which of the"),
        ({"serial": "999", "tag": "A", "last_heard": 99999}, [EXCHANGED], "silent", "before its list"),
        ({"serial": "999"}, [], "not listed", "; in that list, but not in the plan: 999"),
        ({"serial": "999"}, [EXCHANGED, BACK], "not listed", "; in that list, but not in the plan: 999"),
        ({"serial": "999", "tag": "B"}, [], "not listed", "; in that list, but not in the plan: 999"),
    ],
    ids=["by a record", "by its tag", "silent by both", "by neither", "exchanged back", "another's tag"],
)  # fmt: skip
def test_a_unit_that_the_plan_does_not_know(
    tmp_path: Path, row: dict[str, Any], changes: list[dict[str, Any]], state: str, words: str
) -> None:
    """It has joined, under the record's serial number or with its tag; if not, it is named as unplanned."""
    site = examined(tmp_path, listing(row), changes, planned=PLANNED, found=[{}, {}, {}])
    case = find(site, "A")

    assert state_of(site, case.target)[0] == state
    assert words in diagnose(case, Asked()).state_words


def test_a_unit_of_which_the_plan_gives_no_serial_number(tmp_path: Path) -> None:
    """It replaces nothing in the plan."""
    planned = [{"serial": ""}, *PLANNED[1:]]
    site = examined(tmp_path, listing({"serial": "999"}), [EXCHANGED], planned=planned, found=[{}, {}, {}])

    assert diagnose(find(site, "A"), Asked()).state_words.endswith(": put it in the plan")


def test_the_exchanged_unit_has_joined_before(tmp_path: Path) -> None:
    """So nobody is sent to enrol it."""
    site = examined(tmp_path, listing({"serial": "999"}), [EXCHANGED], planned=PLANNED, found=[{}, {}, {}])

    assert past(find(site, "A")).joined == "was"
    assert "999 is taken for A by change CR-2026-03-20, planned with 101" in site.lists.assumed[0]


def test_a_unit_that_was_read_at_the_node_has_joined_though_its_list_gives_no_tags(tmp_path: Path) -> None:
    """So it is not reported as missing, and nobody is sent to enrol it."""
    site = examined(tmp_path, listing({"serial": "999"}), planned=PLANNED, found=[{"serial": "999"}, {}, {}])

    assert state_of(site, find(site, "A").target)[0] == "heard"
    assert "999 is taken for A, under whose tag it was read, planned with 101" in site.lists.assumed[0]


@pytest.mark.parametrize(("exchange", "said"), [("2026-03-20", True), ("2026-04-20", False)])
def test_an_old_unit_that_is_still_listed_is_told(tmp_path: Path, exchange: str, said: bool) -> None:
    """The list is of 20 April: on the day of the exchange itself, either unit may be in it."""
    change = record("exchange", exchange, **{"from": "101", "to": "999"})
    old = listing({"serial": "101", "tag": "A"})
    site = examined(tmp_path, old, [change], planned=PLANNED, found=[{}, {}, {}])
    words = diagnose(find(site, "A"), Asked()).state_words

    assert (f"as 101, though change CR-{exchange} of {exchange} brought 999: the exchange was not made, or "
            "the old unit is still switched on" in words) == said  # fmt: skip
    assert any("A (North) is heard as 101" in doubt for doubt in site.lists.doubts) == said


def test_an_old_unit_that_was_heard_only_before_its_exchange_is_not_still_on(tmp_path: Path) -> None:
    """Some gateways list what they have lost: the row is of the old unit, so the new one has never joined."""
    old = listing({"serial": "101", "last_heard": "40 d 2 h", "rssi": -70, "battery_volts": 2.9})
    read = {"serial": "999", "channel": 8, "address": 31, "read_at": "2026-04-19"}
    site = examined(
        tmp_path, old, [EXCHANGED], gateway={"channel": 7},
        planned=[{**PLANNED[0], "address": 31}, *PLANNED[1:]], found=[read, {}, {}],
    )  # fmt: skip
    node = diagnose(find(site, "A"), Asked())
    told = {one.id: one.words for one in node.evidence}

    assert not any("is heard as 101" in doubt for doubt in site.lists.doubts)
    assert node.joined_before == "never"
    assert told["radio-differs"] == "channel is 8 (read on 2026-04-19), the gateway has 7"
    assert not {"address-shared", "volts-low", "volts-fell"} & told.keys()


def test_a_unit_with_the_tag_of_a_missing_node_does_not_share_its_address(tmp_path: Path) -> None:
    """The planned unit is in the list, but silent; what was read under its tag is in its place."""
    planned = [{**row, "address": 31 + n} for n, row in enumerate(PLANNED)]
    read = {"serial": "999", "address": 31, "read_at": "2026-04-19"}

    def answers(last_heard: int) -> set[str]:
        rows = listing({"serial": "101", "last_heard": last_heard})
        folder = tmp_path / str(last_heard)
        site = examined(folder, rows, planned=planned, found=[read, planned[1], planned[2]])
        return {one.id for one in diagnose(find(site, "A"), Asked()).evidence}

    assert "address-shared" not in answers(99999)
    assert "address-shared" in answers(20)


@pytest.mark.parametrize("row", [{"serial": "999"}, {"serial": "999", "tag": "A"}])
def test_a_serial_number_that_a_record_brought_is_no_other_one(tmp_path: Path, row: dict[str, Any]) -> None:
    """With its tag in the list or without: it does not speak for another unit."""
    site = examined(tmp_path, listing(row), [EXCHANGED], planned=PLANNED, found=[{}, {}, {}])
    told = {one.id: one.words for one in diagnose(find(site, "A"), Asked()).evidence}

    assert "serial-differs" not in told
    if "tag" in row:
        assert told["serial-as-planned"] == "serial 999 is the one that change CR-2026-03-20 brought"


def test_the_planned_unit_counts_before_another_with_its_tag(tmp_path: Path) -> None:
    """Both are listed; the other one is not in the plan."""
    rows = ({"serial": "101", "tag": "A"}, {"serial": "999", "tag": "A", "last_heard": 99999})
    site = examined(tmp_path, listing(*rows), planned=PLANNED, found=[{}, {}, {}])
    newest = site.lists.newest("North")

    assert state_of(site, find(site, "A").target)[0] == "heard"
    assert newest
    assert newest.unplanned() == "; in that list, but not in the plan: 999"


def test_a_list_that_is_given_twice_says_the_same(tmp_path: Path) -> None:
    """What counts as A by its tag is no stranger because a copy of the list has it too."""
    once = listing({"serial": "999", "tag": "A"})
    sites = [
        examined(tmp_path / name, lists, planned=PLANNED, found=[{}, {}, {}])
        for name, lists in (("one", once), ("two", once | {"copy.csv": once["list.csv"]}))
    ]
    newest = [site.lists.newest("North") for site in sites]

    assert [(one.size, one.unplanned()) for one in newest if one] == [(3, ""), (3, "")]


def test_strangers_are_named_where_a_node_is_missing(tmp_path: Path) -> None:
    """The report on a node shows that its gateway lists a device that is not in the plan."""
    site = examined(tmp_path, listing({"serial": "999"}), planned=PLANNED, found=[{}, {}, {}])

    (there,) = of_all(site, Asked(), Basis(read_causes(None, Inputs()), None, "2026-04-22", [])).gateways

    assert there.words.endswith("; in that list, but not in the plan: 999")


def test_by_what_a_row_under_another_serial_number_is_taken(tmp_path: Path) -> None:
    """By its tag if it has one; if not, since the unit was read at the node: here two units are swapped."""
    addresses = [{"serial": "101", "address": 31}, {"serial": "102", "address": 32}]
    crosswise = [{"tag": "A", "serial": "102", "address": 31}, {"tag": "B", "serial": "101", "address": 32}]
    tagged = listing({"serial": "999", "tag": "A"})
    untagged = {"list.csv": [{"serial": "102", "gateway": "GW-North", "last_heard": 20}]}

    by_tag = examined(tmp_path / "a", tagged, planned=PLANNED, found=[{}, {}, {}])
    by_reading = examined(tmp_path / "b", untagged, planned=addresses, found=crosswise)

    assert "999 is taken for A by its tag, planned with 101" in by_tag.lists.assumed[0]
    assert "102 is taken for A, under whose tag it was read, planned with 101" in by_reading.lists.assumed[0]
