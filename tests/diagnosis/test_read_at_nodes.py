"""Sheets that people filled in at the nodes: they show those nodes, and not that others are missing."""

from __future__ import annotations

from pathlib import Path

import pytest

from audit.diagnosis.evidence import Answered
from audit.diagnosis.gathering.siblings import siblings
from audit.diagnosis.gathering.work import past
from audit.diagnosis.missing import missing
from tests.diagnosis.listed import SITE, Rows, rows, told
from tests.diagnosis.sites import case_of, examined

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
    ("nobody read when one was heard",
     {"one.csv": [*sheet("2026-04-20", "A", "B"), {**sheet("2026-04-20", "C")[0], "last_heard": ""}]},
     {}, []),
    ("nobody read which gateway one had joined",
     {"one.csv": [*sheet("2026-04-20", "A", "B"), {**sheet("2026-04-20", "C")[0], "joined_gateway": ""}]},
     {}, []),
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
    assert beside.words.startswith("the only other node that was read is heard")


def test_a_sheet_does_not_show_that_a_node_has_never_joined(tmp_path: Path) -> None:
    """Two lists that leave it out would; a list and a sheet of the day before do not."""
    sheets = {"one.csv": sheet("2026-04-20", "A")}
    case = case_of(tmp_path, "B", lists=made("2026-04-21T08:00", "A"), found=sheets)

    assert past(case).joined == "unknown"
