"""Sheets that people filled in at the nodes: they show those nodes, and not that others are missing."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.diagnosis.listed import SITE, Rows, rows, told

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
