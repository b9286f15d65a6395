"""Which rows form one list, and which list of a gateway is the newest."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from audit.diagnosis.asked import Asked
from audit.diagnosis.causes import read_causes
from audit.diagnosis.diagnose import diagnose
from audit.diagnosis.examined import Examined, Files, examine
from audit.diagnosis.missing import lost_between
from audit.diagnosis.site import Basis, of_all
from audit.diagnosis.site import case_of as find
from audit.errors import InputProblems
from audit.model.diagnosis import Diagnosis
from audit.reading.inputs import Inputs
from tests.diagnosis.listed import SITE, Rows, rows, told
from tests.diagnosis.sites import examined, our_causes
from tests.site_builder import SiteOf, write_csv

MORNING, NIGHT = "2026-04-20T08:00", "2026-04-20T22:10"


def north(*tags: str, at: str) -> Rows:
    """Return rows of the list of GW-North at a time."""
    return rows(*tags, gateway="GW-North", last_heard=20, read_at=at)


ONE_DAY: list[tuple[str, dict[str, Rows], list[str]]] = [
    ("two exports", {"1.csv": north("A", "B", "C", at=MORNING), "2.csv": north("A", "B", at=NIGHT)}, ["C"]),
    ("given in any order",
     {"2.csv": north("A", "B", at=NIGHT), "1.csv": north("A", "B", "C", at=MORNING)}, ["C"]),
    ("both in one file",
     {"log.csv": [*north("A", "B", "C", at=MORNING), *north("A", "B", at=NIGHT)]}, ["C"]),
    ("a time a row",
     {"1.csv": [*north("A", at="2026-04-20T08:00"), *north("B", "C", at="2026-04-20T08:01")],
      "2.csv": [*north("A", at="2026-04-20T22:10"), *north("B", at="2026-04-20T22:11")]}, ["C"]),
    ("one list over midnight",
     {"1.csv": [*north("A", "B", at="2026-04-20T23:59"), *north("C", at="2026-04-21T00:01")]}, []),
    ("two pages of one list", {"1.csv": north("A", "B", at=MORNING), "2.csv": north("C", at=NIGHT)}, []),
    ("a day alone is its first moment",
     {"1.csv": north("A", "B", "C", at="2026-04-20"), "2.csv": north("A", "B", at=NIGHT)}, ["C"]),
    ("no time of the day",
     {"1.csv": north("A", "B", "C", at="2026-04-20"), "2.csv": north("A", "B", at="2026-04-20")}, []),
]  # fmt: skip


@pytest.mark.parametrize(
    ("lists", "missing"), [case[1:] for case in ONE_DAY], ids=[case[0] for case in ONE_DAY]
)
def test_lists_of_one_day(tmp_path: Path, lists: dict[str, Rows], missing: list[str]) -> None:
    """The later export counts: a node that was there in the morning may be missing at night."""
    found = told(tmp_path, lists, planned=[{}, {}, {}])

    assert found == ({"GW-North": missing} if missing else {})


def test_a_gateway_that_is_no_more_in_the_list_of_the_night(tmp_path: Path) -> None:
    """Both files list several gateways; in the later one of the same day South is gone."""
    site: dict[str, Any] = {"planned": [*SITE["planned"], {"tag": "X", "network": "East"}]}
    east, south = ({"gateway": f"GW-{name}", "last_heard": 20} for name in ("East", "South"))
    lists = {
        "1.csv": [*north("A", "B", "C", at=MORNING), *rows("S", "T", read_at=MORNING, **south),
                  *rows("X", read_at=MORNING, **east)],
        "2.csv": [*north("A", "B", "C", at=NIGHT), *rows("X", read_at=NIGHT, **east)],
    }  # fmt: skip

    assert told(tmp_path, lists, **site) == {"!GW-South": ["S", "T"]}


def test_what_was_read_at_the_nodes_one_after_the_other_is_no_later_list(tmp_path: Path) -> None:
    """A readback of a round at noon has B again; A and C still count as in the morning's list."""
    site: dict[str, Any] = {
        "planned": [{}, {}, {}],
        "found": [{"tag": "B", "joined_gateway": "GW-North", "read_at": "2026-04-20T12:00"}],
    }

    assert told(tmp_path, {"1.csv": north("A", "B", "C", at=MORNING)}, **site) == {}


def test_of_two_lists_of_a_day_the_time_is_told(tmp_path: Path) -> None:
    """And the node was lost between the two."""
    lists = {"1.csv": north("A", "B", "C", at=MORNING), "2.csv": north("B", "C", at=NIGHT)}
    case = find(examined(tmp_path, lists), "A")

    assert diagnose(case, Asked()).state_words == f"it is not in the list of GW-North of {NIGHT}"
    assert [at.isoformat(timespec="minutes") for at in lost_between(case) or ()] == [MORNING, NIGHT]


def test_a_list_without_a_date_does_not_show_when_a_node_was_lost(tmp_path: Path) -> None:
    """It had been silent for a day when the list was made, and nobody knows when that was."""
    lists = {"1.csv": [*rows("A", gateway="GW-North", last_heard=86_400),
                       *rows("B", "C", gateway="GW-North", last_heard=20)]}  # fmt: skip
    case = find(examined(tmp_path, lists), "A")

    assert "had last heard it 1 day before its list" in diagnose(case, Asked()).state_words
    assert lost_between(case) is None


def test_a_list_that_leaves_a_node_out_shows_that_as_a_whole(tmp_path: Path) -> None:
    """No row of it says so, so none is quoted."""
    case = find(examined(tmp_path, {"1.csv": north("B", "C", at=MORNING)}), "A")

    (place,) = diagnose(case, Asked()).state_places

    assert (Path(place.file).name, place.row, place.column) == ("1.csv", None, None)


def test_a_list_with_a_gateway_that_is_not_in_the_plan_is_no_list_of_all_gateways(tmp_path: Path) -> None:
    """South is not in it either, but nothing shows that it hears no nodes."""
    lists = {"1.csv": [*north("A", "B", "C", at=MORNING), *rows("X", gateway="GW-Hill", read_at=MORNING)]}

    assert told(tmp_path, lists) == {"unknown": 1}


@pytest.mark.parametrize(("read", "older"), [("2026-04-20T10:10", True), ("2026-04-20T07:10", False)])
def test_a_list_that_is_older_than_a_reading_of_its_node_is_told(
    tmp_path: Path, read: str, older: bool
) -> None:
    """A was read at ten and is not in the list of eight: a new list has to be taken first."""
    found = [{"tag": "A", "channel": 7, "read_at": read}]
    lists = {"1.csv": north("B", "C", at=MORNING)}
    site = examined(tmp_path, lists, planned=[{}, {}, {}], found=found)
    words = diagnose(find(site, "A"), Asked()).state_words
    (gateway,) = of_all(site, Asked(), Basis(read_causes(None, Inputs()), None, "2026-04-21", [])).gateways

    told = f"of {MORNING}, which is older than its reading of {read}: take a new list first"
    assert words.endswith(told) == older
    assert (f"; read after that list, of {MORNING}: A ({read}); take a new list first"
            in gateway.words) == older  # fmt: skip


ALL = [*north("A", "B", "C", at=MORNING), *rows("S", "T", gateway="GW-South", last_heard=20, read_at=MORNING)]


@pytest.mark.parametrize(
    ("newer", "verdict", "doubt"),
    [
        ({}, "according to the lists of 2026-04-20", ""),
        ({"2.csv": rows("S", "T", gateway="GW-South", read_at="2026-04-21")},
         "according to the lists of 2026-04-20 and 2026-04-21; "
         "what is listed below as not known may hide one",
         f"GW-North (North): its newest list of {MORNING} is older than 2.csv of 2026-04-21, which"),
        ({"2.csv": rows("S", "T", gateway="GW-South", read_at="2026-04-21"),
          "3.csv": north("A", "B", "C", at="2026-04-21T09:00")},
         "according to the lists of 2026-04-21", ""),
    ],
    ids=["one list of all", "then one of a single gateway", "then one of each"],
)  # fmt: skip
def test_a_gateway_that_may_be_left_out_of_the_newest_list(
    tmp_path: Path, newer: dict[str, Rows], verdict: str, doubt: str
) -> None:
    """A list of one gateway may or may not cover all: the report says so, with the days of the lists."""
    site = examined(tmp_path, {"1.csv": ALL, **newer}, **SITE)

    told = of_all(site, Asked(), Basis(read_causes(None, Inputs()), None, "2026-04-22", []))

    assert told.verdict == f"no planned node is missing at any gateway, {verdict}"
    words = diagnose(find(site, "A"), Asked()).state_words
    assert ("it had joined then; what has happened since is not known" in words) == bool(doubt)
    assert [doubt in one.replace(f"{tmp_path.as_posix()}/", "") for one in site.lists.doubts] == [
        True
    ] * bool(doubt)


@pytest.mark.parametrize(("south", "doubted"), [("2026-04-26", False), ("2026-04-29", True)])
def test_a_list_that_is_days_older_than_another_gateways(tmp_path: Path, south: str, doubted: bool) -> None:
    """Each gateway has a file of its own: GW-North may have failed before the last round."""
    lists = {
        "north.csv": north("A", "B", "C", at="2026-04-20T09:00"),
        "south.csv": rows("S", "T", gateway="GW-South", last_heard=20, read_at=f"{south}T09:30"),
    }
    site = examined(tmp_path, lists, **SITE)
    told = of_all(site, Asked(), Basis(read_causes(None, Inputs()), None, "2026-04-29", []))

    doubts = [one.replace(f"{tmp_path.as_posix()}/", "") for one in told.not_known]
    assert doubts == [
        "GW-North (North): its newest list of 2026-04-20T09:00 is older than south.csv of 2026-04-29T09:30; "
        "which of its nodes it has lost since is not known: take a new list"
    ] * doubted  # fmt: skip
    assert told.verdict.endswith("what is listed below as not known may hide one") == doubted
    joined_then = "it had joined then; what has happened since is not known"
    assert (joined_then in diagnose(find(site, "A"), Asked()).state_words) == doubted


def test_how_old_the_lists_are_is_said(tmp_path: Path) -> None:
    """In the verdict, at each gateway and of a single node; a list without a date is said to have none."""
    old = examined(tmp_path / "a", {"1.csv": ALL}, **SITE)
    lost = examined(tmp_path / "b", {"1.csv": north("B", "C", at=MORNING)}, planned=[{}, {}, {}])
    undated = examined(tmp_path / "c", {"1.csv": rows("B", "C")}, planned=[{}, {}, {}])
    old, lost, undated = (replace(one, on="2026-04-27") for one in (old, lost, undated))

    def told(site: Examined) -> Diagnosis:
        return of_all(site, Asked(), Basis(read_causes(None, Inputs()), None, "2026-04-27", []))

    assert told(old).verdict.endswith("according to the lists of 2026-04-20 (7 days old)")
    assert told(lost).gateways[0].words.endswith("1.csv of 2026-04-20 (7 days old)")
    assert told(undated).gateways[0].words.endswith("1.csv (no date)")
    words = [diagnose(find(site, "A"), Asked()).state_words for site in (lost, undated)]
    assert words == [f"it is not in the list of GW-North{age}" for age in (" of 2026-04-20 (7 days old)",
                                                                             " (no date)")]  # fmt: skip
    assert "old)" not in told(replace(lost, on="2026-04-20")).gateways[0].words


def test_a_list_of_a_day_to_come_is_said_to_be(tmp_path: Path) -> None:
    """Its date is wrong, or that of the run; it counts as the newest for ever."""
    lost = examined(tmp_path, {"1.csv": north("B", "C", at=MORNING)}, planned=[{}, {}, {}])

    told = of_all(replace(lost, on="2026-04-19"), Asked(), Basis(read_causes(None, Inputs()), None, "", []))

    assert told.gateways[0].words.endswith("1.csv of 2026-04-20 (after the day of this run)")


@pytest.mark.parametrize(
    ("heard", "words"),
    [
        (("2026-04-20T07:00", "2026-04-20T06:58"),
         "; it had heard the last of them 1 h before, unless its clock is behind by as much"),
        (("2026-04-19T07:00", "2026-04-19T07:02"), "; it had heard the last of them 1 day before"),
        (("1 h", "never"), "; it had heard the last of them 1 h before"),
        (("never", "never"), ""),
    ],
)  # fmt: skip
def test_when_a_silent_gateway_had_heard_the_last_of_its_nodes(
    tmp_path: Path, heard: tuple[str, str], words: str
) -> None:
    """A clock that is behind, for instance by summer time, makes all nodes look silent."""
    listed = [{"tag": tag, "gateway": "GW-North", "last_heard": at, "read_at": MORNING}
              for tag, at in zip("AB", heard, strict=True)]  # fmt: skip
    planned = [{"report_interval": 60}, {"report_interval": 60}]
    site = examined(tmp_path, {"1.csv": listed}, planned=planned)
    (there,) = of_all(site, Asked(), Basis(read_causes(None, Inputs()), None, "2026-04-20", [])).gateways

    assert f"1.csv of 2026-04-20{words}; look at it before any node" in there.words


NOBODY = "serial,tag,gateway,last_heard,read_at\n"


def given_nobody(folder: Path, lists: dict[str, Rows], **site: Any) -> Diagnosis:
    """Return the diagnosis of all nodes of a site whose newest list has only a heading row."""
    (folder / "nobody.csv").write_text(NOBODY, encoding="utf-8")
    order = SiteOf(**site).write(folder)
    for name, of_file in lists.items():
        write_csv(folder / name, [{key: str(text) for key, text in row.items()} for row in of_file])
    files = [folder / name for name in (*lists, "nobody.csv")]
    known = examine(Files(order.plan, order.readback, files, on="2026-04-21"), our_causes(), Inputs())
    return of_all(known, Asked(), Basis(read_causes(None, Inputs()), None, "2026-04-21", []))


@pytest.mark.parametrize("older", [{}, {"1.csv": north("A", "B", "C", at=MORNING)}])
def test_a_list_of_nobody_is_that_of_a_silent_gateway(tmp_path: Path, older: dict[str, Rows]) -> None:
    """Nothing proves more plainly that it hears none of its nodes; the day is that of the run."""
    told = given_nobody(tmp_path, older, planned=[{}, {}, {}])

    assert "first look at GW-North (North), which hears none of its nodes" in told.verdict
    assert "nobody.csv of 2026-04-21 lists no nodes" in told.gateways[0].words
    assert "is taken as the gateway's current list" in told.not_known[0]


def test_a_list_of_nobody_has_to_say_whose_it_is(tmp_path: Path) -> None:
    """With two gateways nobody can tell which of them is silent; the remedy says how to go on."""
    with pytest.raises(
        InputProblems, match=r"lists no nodes, and does not say which of the 2 gateways"
    ) as error:
        given_nobody(tmp_path, {}, **SITE)

    assert "--saw siblings-silent" in str(error.value)
