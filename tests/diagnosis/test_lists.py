"""Gateway lists: whose they are, of which day, and which nodes are missing from them."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.diagnosis.asked import Asked
from audit.diagnosis.causes import read_causes
from audit.diagnosis.diagnose import diagnose
from audit.diagnosis.missing import state_of
from audit.diagnosis.site import Basis, of_all
from audit.diagnosis.site import case_of as find
from audit.reading.inputs import Inputs
from tests.diagnosis.listed import SITE, Rows, lists, rows, told
from tests.diagnosis.sites import examined

NORTH_ALL, SOUTH_ALL = rows("A", "B", "C", gateway="GW-North"), rows("S", "T", gateway="GW-South")
SILENT = rows("S", "T", gateway="GW-South", last_heard=99999)


@pytest.mark.parametrize(
    ("lists", "expected"),
    [
        ({}, {"unknown": 2}),
        ({"one.csv": [*NORTH_ALL, *SOUTH_ALL]}, {}),
        ({"one.csv": [*NORTH_ALL[:2], *SOUTH_ALL]}, {"GW-North": ["C"]}),
        ({"one.csv": NORTH_ALL[:2]}, {"GW-North": ["C"], "unknown": 1}),
        ({"n.csv": rows("A", "B"), "s.csv": rows("S", "T")}, {"GW-North": ["C"]}),
        ({"one.csv": [*NORTH_ALL, *SILENT]}, {"!GW-South": ["S", "T"]}),
        ({"one.csv": [*NORTH_ALL, *SOUTH_ALL[:1]]}, {"GW-South": ["T"]}),
    ],
    ids=["no list", "all there", "one missing", "one gateway's list", "a list a gateway", "silent gateway",
         "a node of two"],
)  # fmt: skip
def test_who_is_missing(tmp_path: Path, lists: dict[str, Rows], expected: dict[str, Any]) -> None:
    """A node is missing if its gateway's list does not have it, or it was heard too long ago."""
    assert told(tmp_path, lists) == expected


def test_a_gateway_whose_only_node_is_missing_is_not_silent_for_that(tmp_path: Path) -> None:
    """It is as probable that the node is."""
    lists = {"one.csv": [*NORTH_ALL, *rows("X", gateway="GW-East", last_heard=99_999)]}
    site = {"planned": [*SITE["planned"][:3], {"tag": "X", "network": "East"}]}

    assert told(tmp_path, lists, **site) == {"GW-East": ["X"]}


def test_a_gateway_left_out_of_a_list_of_all_hears_nobody(tmp_path: Path) -> None:
    """A file that lists two of three gateways shows that no node has joined the third."""
    site = {"planned": [*SITE["planned"], {"tag": "X", "network": "East"}, {"tag": "Y", "network": "East"}]}

    assert told(tmp_path, {"one.csv": [*NORTH_ALL, *SOUTH_ALL]}, **site) == {"!GW-East": ["X", "Y"]}


def test_a_gateway_that_is_no_more_in_the_newest_list(tmp_path: Path) -> None:
    """It was in yesterday's file and is not in today's: today it hears no nodes."""
    lists = {
        "1.csv": [{**row, "read_at": "2026-01-01"} for row in (*NORTH_ALL, *SOUTH_ALL)],
        "2.csv": [
            {**row, "read_at": "2026-01-02"} for row in (*NORTH_ALL, *rows("Z", gateway="GW-Elsewhere"))
        ],
        "3.csv": [{**row, "read_at": "2026-01-02"} for row in (*NORTH_ALL, *rows("X", gateway="GW-East"))],
    }
    site = {"planned": [*SITE["planned"], {"tag": "X", "network": "East"}]}

    assert told(tmp_path, lists, **site) == {"!GW-South": ["S", "T"]}


def test_the_newest_list_counts(tmp_path: Path) -> None:
    """Files may be given in any order; an older list does not show that a node is joined now."""
    lists = {
        "new.csv": rows("A", "B", gateway="GW-North", read_at="2026-02-01"),
        "old.csv": rows("A", "B", "C", gateway="GW-North", read_at="2026-01-01"),
    }

    assert told(tmp_path, lists) == {"GW-North": ["C"], "unknown": 1}


@pytest.mark.parametrize(
    ("listed", "networks", "says"),
    [("ABS", ["North"], "most of its nodes are planned for North"),
     ("SABT", ["North", "South"], "its nodes count as in the list of the gateway that they are planned for")],
    ids=["most of one network", "half and half"],
)  # fmt: skip
def test_a_list_that_does_not_say_whose_it_is(
    listed: str, networks: list[str], says: str, tmp_path: Path
) -> None:
    """It is taken as the list of the gateway of most of its nodes, if there is one; the report says so."""
    known = examined(tmp_path, {"one.csv": rows(*listed)}, **SITE)

    assert sorted(network for network, lists in known.lists.by_network.items() if lists) == networks
    assert f"one.csv does not say whose list it is; {says}" in known.lists.assumed[0]


def test_other_readbacks_are_no_lists(tmp_path: Path) -> None:
    """A readback at the display does not show which nodes are heard."""
    known = examined(tmp_path, found=[{"channel": 7}, {"channel": 7}], **SITE)

    assert not known.lists.by_network


@pytest.mark.parametrize(("unit", "interval", "seconds", "state"), [
    ("s", 60, "180", "heard"), ("s", 60, "181", "silent"), ("min", 1, "4 min", "silent"),
    ("s", "", "3600", "heard"), ("s", "", "3601", "silent"),
])  # fmt: skip
def test_silent_after_three_intervals(
    tmp_path: Path, unit: str, interval: Any, seconds: str, state: str
) -> None:
    """Three planned report intervals, in whatever unit, or an hour if none is planned."""
    settings = {"report_interval": {"kind": "integer", "unit": unit}}
    lists = {"one.csv": [{"tag": "A", "last_heard": seconds}]}

    known = examined(tmp_path, lists, planned=[{"report_interval": interval}], settings=settings)

    assert state_of(known, (1, 0))[0] == state


def test_a_node_is_silent_by_the_interval_it_is_set_to(tmp_path: Path) -> None:
    """A node found to report every 600 s has missed nothing after 300 s, whatever was planned."""
    lists = {"one.csv": [{"tag": "A", "last_heard": "300"}]}

    known = examined(tmp_path, lists, planned={"report_interval": 60}, found={"report_interval": 600})

    assert state_of(known, (1, 0))[0] == "heard"


def test_a_list_by_serial_number(tmp_path: Path) -> None:
    """Lists name nodes by serial number, as gateways know them; an unplanned number belongs to no node."""
    planned = [{"serial": "101"}, {"serial": "102"}]
    lists = {"one.csv": [{"serial": "101"}, {"serial": "999"}]}

    known = examined(tmp_path, lists, planned=planned)
    newest = known.lists.newest("North")

    assert newest
    assert (len(newest.sightings), newest.size) == (1, 2)


@pytest.mark.parametrize("heard", ["2026-03-01T08:00", "2026-03-01 08:00"])
def test_a_list_may_tell_the_time_at_which_a_node_was_heard(tmp_path: Path, heard: str) -> None:
    """A month before the list was made: it is silent."""
    site = examined(tmp_path, lists(heard), found=[{}, {}, {}])

    node = diagnose(find(site, "A"), Asked())

    assert node.state == "silent"
    assert "had last heard it 31 days before" in node.state_words


def test_what_is_no_time_is_told(tmp_path: Path) -> None:
    """The report says why such a node counts as heard and how to write the time, and so does the verdict."""
    dated = examined(tmp_path / "dated", lists("2026-04-01 07:58", read_at=""))
    site = examined(tmp_path, lists("a while"), found=[{}, {}, {}])

    told = of_all(site, Asked(), Basis(read_causes(None, Inputs()), None, "2026-04-02", []))

    assert (
        "in 1 row; such nodes count as heard; for example, 'a while' does not say how long ago; write"
        in told.not_known[0]
    )
    assert "'2026-04-01 07:58' does not say how long ago; write seconds, hh:mm:ss" in dated.lists.doubts[0]
    assert "what is listed below as not known may hide one" in told.verdict
    assert "heard a while before" not in diagnose(find(site, "A"), Asked()).state_words


def test_a_list_of_other_gateways_tells_of_nobody(tmp_path: Path) -> None:
    """Its gateway names are not in the plan, so it does not show which nodes are missing."""
    rows = [{"tag": "A", "joined_gateway": "North gw", "last_heard": 20}]
    site = examined(tmp_path, {"list.csv": rows}, found=[{}, {}, {}])

    told = of_all(site, Asked(), Basis(read_causes(None, Inputs()), None, "2026-04-02", []))

    assert told.verdict.startswith(
        "it is not known which nodes are missing: no row of the lists that were given names"
    )
