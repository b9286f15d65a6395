"""Change records as evidence: only what was done to the node or its gateway before the node was lost."""

from __future__ import annotations

from pathlib import Path
from typing import Any, get_args

import pytest

from audit.diagnosis.asked import Asked
from audit.diagnosis.diagnose import diagnose
from audit.diagnosis.evidence import Answered
from audit.diagnosis.gathering import GATHERERS
from audit.diagnosis.gathering.work import past
from audit.diagnosis.missing import lost_between
from audit.diagnosis.site import case_of as find
from audit.model.change import What
from audit.reading.inputs import Inputs
from tests.diagnosis.listed import lists
from tests.diagnosis.sites import case_of, diagnosed, examined, now, record

DAY = "2026-03-31T12:00"
SILENT_A_DAY = {"list.csv": [{"tag": "A", "last_heard": 86_400, "read_at": DAY},
                             {"tag": "B", "last_heard": 10, "read_at": DAY}]}  # fmt: skip
LISTED_THEN = {
    "1.csv": [{"tag": "A", "last_heard": 10, "read_at": "2026-01-10"}],
    "2.csv": [{"tag": "B", "last_heard": 10, "read_at": "2026-02-10"}],
    "3.csv": [{"tag": "B", "last_heard": 10, "read_at": "2026-03-10"}],
}
CHANNEL: dict[str, Any] = {"setting": "channel", "from": 7, "to": 8}


def answer(folder: Path, **site: Any) -> str:
    """Return the answer to the question about work."""
    told = GATHERERS["work"](case_of(folder, **site))
    assert isinstance(told, Answered)
    return told.answer


def test_when_a_silent_node_was_lost(tmp_path: Path) -> None:
    """Its last report, as the list says."""
    lost = lost_between(case_of(tmp_path, lists=SILENT_A_DAY))

    assert lost is not None
    assert {at.isoformat() for at in lost} == {"2026-03-30T12:00:00"}


def test_when_a_node_was_lost_that_is_no_more_listed(tmp_path: Path) -> None:
    """Between the last list that has it and the first after that."""
    first, last = lost_between(case_of(tmp_path, lists=LISTED_THEN)) or (None, None)

    assert str(first) == "2026-01-10 00:00:00"
    assert str(last) == "2026-02-11 00:00:00"


@pytest.mark.parametrize("lists", [{}, {"list.csv": [{"tag": "A", "last_heard": 10, "read_at": DAY}]}])
def test_a_node_that_was_not_lost(tmp_path: Path, lists: dict[str, Any]) -> None:
    """Nobody knows when, or the node is heard."""
    assert lost_between(case_of(tmp_path, lists=lists)) is None


@pytest.mark.parametrize(
    ("date", "told"),
    [
        ("2026-01-09", "record-set"),
        ("2026-02-10", "record-set"),
        ("2026-02-12", "no-recent-work"),
        ("2025-11-30", "no-recent-work"),
    ],
)
def test_only_what_was_done_before_the_loss_counts(tmp_path: Path, date: str, told: str) -> None:
    """A change after the loss, or long before it, did not cause it."""
    assert answer(tmp_path, lists=LISTED_THEN, changes=[record(date=date, **CHANNEL)]) == told


@pytest.mark.parametrize(
    "about",
    [
        {"node": "B"},
        {"node": "GW-South"},
        {"network": "South"},
        {"node": "A", "network": "South"},
    ],
)
def test_records_about_others_say_nothing(tmp_path: Path, about: dict[str, str]) -> None:
    """Records of another node, another gateway or another network do not count."""
    site: dict[str, Any] = {"planned": [{}, {}, {"tag": "S", "network": "South"}], "lists": SILENT_A_DAY}

    assert answer(tmp_path, changes=[record(**about, **CHANNEL)], **site) == "no-recent-work"


def test_the_most_telling_record_answers(tmp_path: Path) -> None:
    """A retuned gateway is stronger evidence than a visit to the node; both are shown."""
    changes = [
        record(setting="report_interval", to=60),
        record(date="2026-03-29", node="GW-North", **CHANNEL),
    ]
    told = GATHERERS["work"](case_of(tmp_path, lists=SILENT_A_DAY, changes=changes))

    assert isinstance(told, Answered)
    assert told.answer == "record-gateway"
    assert told.words.index("GW-North") < told.words.index("report_interval")
    assert [place.row for place in told.places] == [1, 1]


def test_records_count_where_no_row_is_dated(tmp_path: Path) -> None:
    """They were said not to have been given. What was done long before the run is not recent."""
    undated = {"list.csv": [{"tag": "B", "joined_gateway": "GW-North"}]}
    site: dict[str, Any] = {"lists": undated, "on": "2026-04-20"}

    assert answer(tmp_path, changes=[record("removed", "2025-01-01")], **site) == "record-gone"
    assert answer(tmp_path, changes=[record(date="2026-04-01", **CHANNEL)], **site) == "record-set"
    assert answer(tmp_path, changes=[record(date="2025-01-01", **CHANNEL)], **site) == "no-recent-work"


def test_what_is_to_be_done_after_the_run_has_not_been_done(tmp_path: Path) -> None:
    """A removal and an exchange that are planned for next month explain nothing today, and this is told."""
    inputs = Inputs()
    planned = [record("removed", "2026-05-01"), record("exchange", "2026-05-02", to="S9")]
    done = record(date="2026-03-20", **CHANNEL)

    there = examined(tmp_path, SILENT_A_DAY, [*planned, done], on="2026-04-20", inputs=inputs)

    assert [read.change.id for read in there.changes] == [done["id"]]
    assert there.exchanges == {}
    assert [warning.message for warning in inputs.warnings] == [
        f"change {one['id']} of {one['date']}, approved by K. Sample, is dated after the day of this run, "
        "2026-04-20: it does not count"
        for one in planned
    ]


def test_what_is_done_on_the_day_of_the_run_counts(tmp_path: Path) -> None:
    """The day of the run belongs to what can have been done."""
    there = examined(tmp_path, SILENT_A_DAY, [record("removed", "2026-04-20")], on="2026-04-20")

    assert len(there.changes) == 1


def test_a_node_that_was_added_again_is_not_gone(tmp_path: Path) -> None:
    """The later record counts."""
    changes = [record("removed", "2026-03-01"), record("added", "2026-03-28")]

    assert answer(tmp_path, lists=SILENT_A_DAY, changes=changes) == "recent-work"


def test_a_node_that_was_moved_to_where_it_is_planned_is_not_gone(tmp_path: Path) -> None:
    """However long ago; and if that was shortly before the loss, it was worked on."""
    old = [record("move", "2024-03-20", to="North")]
    recent = [record("move", "2026-03-20", to="GW-North")]

    assert answer(tmp_path / "old", lists=SILENT_A_DAY, changes=old) == "no-recent-work"
    assert answer(tmp_path / "recent", lists=SILENT_A_DAY, changes=recent) == "recent-work"


def test_a_node_that_was_moved_back_is_not_gone(tmp_path: Path) -> None:
    """The later record counts, whether or not it names the network that the node came from."""
    away, back = record("move", "2026-03-01", to="South"), {"to": "North", "date": "2026-03-28"}

    for name, where in (("a", {}), ("b", {"network": "South", "node": "A"})):
        changes = [away, record("move", **back, **where)]
        assert answer(tmp_path / name, lists=SILENT_A_DAY, changes=changes) == "recent-work"


def test_a_node_that_was_moved_is_not_held_against_the_gateway_that_it_left(tmp_path: Path) -> None:
    """It has the settings of the gateway to which a record moved it: they are not what is wrong."""
    site: dict[str, Any] = {
        "planned": [{"address": 31}, {"address": 32}, {"tag": "S", "network": "South", "address": 31}],
        "found": [{"channel": 8, "address": 33, "read_at": "2026-03-30"}, {}, {}],
        "lists": {"list.csv": [{"tag": "A", "joined_gateway": "GW-South", "read_at": DAY},
                               {"tag": "B", "joined_gateway": "GW-North", "read_at": DAY}]},
    }  # fmt: skip
    before = diagnosed(tmp_path / "before", **site)
    node = diagnosed(tmp_path / "after", changes=[record("move", to="South")], **site)

    assert before.causes[0].id == "radio-settings"
    assert node.causes[0].id == "joined-elsewhere"
    assert now(node, "radio-settings") < 0.2
    assert {"radio-differs", "node-off-plan", "address-off-plan"}.isdisjoint(one.id for one in node.evidence)
    why = "it was moved to South on 2026-03-20 by change CR-2026-03-20"
    assert f"whether its radio settings match its gateway's: {why}" in node.not_known


@pytest.mark.parametrize("day", ["2026-03-01", "2026-03-10"], ids=["later", "on the same day"])
@pytest.mark.parametrize("turn", [1, -1], ids=["given first", "given last"])
def test_a_node_that_was_moved_on_is_told_as_where_it_is_now(turn: int, day: str, tmp_path: Path) -> None:
    """The second record names the network that it left, for which it is not planned either."""
    planned = [{}, {}, *({"tag": network[0], "network": network} for network in ("South", "East"))]
    away = record("move", day, to="GW-South") | {"id": "CR-1"}
    on = record("move", "2026-03-10", node="A", network="South", to="East")
    node = diagnosed(tmp_path, lists=LISTED_THEN, planned=planned, changes=[away, on][::turn])

    why = "it was moved to East on 2026-03-10 by change CR-2026-03-10"
    assert f"whether its radio settings match its gateway's: {why}" in node.not_known


@pytest.mark.parametrize(
    "change", [record("move", "2025-10-05", to="South"), record("removed", "2025-10-05")]
)
def test_a_node_that_its_own_gateway_heard_since_has_not_gone(tmp_path: Path, change: dict[str, Any]) -> None:
    """The move was not done, or was undone: what the node has is held against its planned gateway."""
    planned = [{}, {}, {"tag": "S", "network": "South"}]
    found = [{"channel": 8, "read_at": "2026-03-12"}, {}, {}]
    site: dict[str, Any] = {
        "lists": LISTED_THEN,
        "planned": planned,
        "gateway": {"channel": 7},
        "found": found,
        "changes": [change],
    }
    node = diagnosed(tmp_path, **site)

    assert answer(tmp_path, **site) == "no-recent-work"
    assert "radio-differs" in {one.id for one in node.evidence}


@pytest.mark.parametrize("to", ["South", "East"])
@pytest.mark.parametrize(("day", "further"), [("2026-03-12", ""), ("2026-01-10", ""), ("2026-03-12", "West")])
def test_a_node_that_the_gateway_to_which_it_was_moved_hears_now_has_gone(
    to: str, day: str, further: str, tmp_path: Path
) -> None:
    """The move was carried out months after its record: its own gateway had heard it meanwhile.

    Even if both gateways have it on one day, or a third one has heard it since.
    """
    there = [
        {"tag": "A", "last_heard": 10, "joined_gateway": f"GW-{name}", "read_at": when}
        for name, when in ((to, day), (further, "2026-03-14")) if name
    ]  # fmt: skip
    planned = [{}, {}, *({"tag": name[0], "network": name} for name in (to, further) if name)]
    changes = [record("move", "2025-10-05", to=f"GW-{to}")]

    told = answer(tmp_path, lists={**LISTED_THEN, "4.csv": there}, planned=planned, changes=changes)

    assert told == "record-gone"


def test_what_the_unit_before_did_does_not_count(tmp_path: Path) -> None:
    """An exchanged unit that is in no list since has never joined, though its tag was listed before."""
    found = past(case_of(tmp_path, lists=LISTED_THEN, changes=[record("exchange", "2026-02-20")]))

    assert found.joined == "never"
    assert "its unit was exchanged on 2026-02-20" in found.words
    assert [Path(place.file).name for place in found.places] == ["changes.json", "3.csv"]


@pytest.mark.parametrize(
    ("change", "cause"),
    [
        (record("removed"), "removed"),
        (record(node="GW-North", **CHANNEL), "gateway"),
        (record(**CHANNEL), "radio-settings"),
        (record("exchange"), "not-enrolled"),
    ],
    ids=["removed", "gateway", "radio-settings", "not-enrolled"],
)
def test_a_record_speaks_for_its_cause(tmp_path: Path, change: dict[str, Any], cause: str) -> None:
    """With the record the cause is at least twice as probable as without."""
    silent = now(diagnosed(tmp_path / "without", Asked(), SILENT_A_DAY), cause)
    with_it = now(diagnosed(tmp_path / "with", Asked(), SILENT_A_DAY, changes=[change]), cause)

    assert with_it > 2 * silent


@pytest.mark.parametrize(
    ("heard", "read_at"),
    [("99999999999999", "2026-04-01"), ("184467440737", "2026-04-01"), ("1200000", "0001-01-02")],
)
def test_a_node_that_was_heard_before_the_calendar(tmp_path: Path, heard: str, read_at: str) -> None:
    """Some gateways write their largest number for `never`."""
    site = examined(
        tmp_path, lists(heard, read_at), changes=[record("removed", node="C")], found=[{}, {}, {}]
    )

    assert diagnose(find(site, "A"), Asked()).state == "silent"


def test_a_list_of_the_last_day_of_the_calendar(tmp_path: Path) -> None:
    """There is no later day to look for."""
    days = (("older.csv", "A", "9999-12-30"), ("newer.csv", "B", "9999-12-31"))
    rows = {name: [{"tag": tag, "gateway": "GW-North", "read_at": day}] for name, tag, day in days}
    site = examined(tmp_path, rows, changes=[record("removed", node="C")], found=[{}, {}, {}])

    assert diagnose(find(site, "A"), Asked()).state == "not listed"


@pytest.mark.parametrize("what", get_args(What))
def test_every_kind_of_change_has_its_words(tmp_path: Path, what: str) -> None:
    """Whatever was done to the node is told, with its day and record."""
    change = record(what, setting="channel", to=8) if what == "setting" else record(what, to="X")
    told = GATHERERS["work"](case_of(tmp_path, lists=SILENT_A_DAY, changes=[change]))

    assert isinstance(told, Answered)
    assert "on 2026-03-20 by change CR-2026-03-20" in told.words
