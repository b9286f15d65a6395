"""What was as it should be before a node was lost speaks neither for nor against what has happened since."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.diagnosis.asked import Asked
from audit.diagnosis.evidence import Answered
from audit.diagnosis.gathering import GATHERERS
from audit.diagnosis.gathering.beforehand import BEFORE
from tests.diagnosis.sites import case_of, diagnosed, now

ROW: dict[str, Any] = {"channel": 7, "address": 31, "serial": "100001", "firmware": "1.2"}
OF_B: dict[str, Any] = {"tag": "B", "address": 32}
QUESTIONS = ("settings", "address", "identity", "variant")


def site(read_at: str, others_read_at: str = "") -> dict[str, Any]:
    """Return a site whose nodes were read once, all as planned."""
    return {
        "gateway": {"channel": 7},
        "planned": [{"address": 31, "serial": "100001", "firmware": "1.2"}, {"address": 32}, {"address": 33}],
        "found": [{**ROW, "tag": "A", "read_at": read_at}, {**OF_B, "read_at": others_read_at or read_at}],
    }


def lists(listed: str, without: str = "2026-04-01T12:00") -> dict[str, Any]:
    """Return a list that has node A, and a later one without it."""
    with_b = [{"tag": "A", "last_heard": 60, "read_at": listed}, {"tag": "B", "read_at": listed}]
    return {"1.csv": with_b, "2.csv": [{"tag": "B", "read_at": without}]}


WHEN = [
    # read, in its gateway's list, no longer in the list, whether it was read beforehand
    ("2026-03-01", "2026-03-20T08:00", "2026-04-01T12:00", True),
    ("2026-03-20T09:00", "2026-03-20T08:00", "2026-04-01T12:00", True),
    ("2026-04-01T12:00", "2026-03-20T08:00", "2026-04-01T12:00", True),
    ("2026-04-01T12:01", "2026-03-20T08:00", "2026-04-01T12:00", False),
    ("2026-04-05", "2026-03-20", "2026-04-01", False),
    ("", "2026-03-20T08:00", "2026-04-01T12:00", False),
]  # fmt: skip


@pytest.mark.parametrize("question", QUESTIONS)
@pytest.mark.parametrize(("read_at", "listed", "without", "beforehand"), WHEN)
def test_what_was_right_before_it_was_lost_has_no_weight(
    tmp_path: Path, question: str, read_at: str, listed: str, without: str, beforehand: bool
) -> None:
    """Until a list no longer has it, nobody knows that it is lost; what is not dated may be newer."""
    told = GATHERERS[question](case_of(tmp_path, lists=lists(listed, without), **site(read_at)))

    assert isinstance(told, Answered)
    assert told.beforehand is beforehand
    assert told.words.endswith(BEFORE) is beforehand


CLOCKS = [
    # read, no longer in the list, whether it was read beforehand
    ("2026-04-01T12:30+02:00", "2026-04-01T12:00", False),
    ("2026-03-31T21:00+02:00", "2026-04-01T12:00", True),
    ("2026-04-01T11:30+02:00", "2026-04-01T12:00+02:00", True),
    ("2026-04-01T12:30+02:00", "2026-04-01T12:00+02:00", False),
]  # fmt: skip


@pytest.mark.parametrize("question", QUESTIONS)
@pytest.mark.parametrize(("read_at", "without", "beforehand"), CLOCKS)
def test_a_clock_that_states_no_offset_may_differ_by_hours(
    tmp_path: Path, question: str, read_at: str, without: str, beforehand: bool
) -> None:
    """`enter` states the offset, a gateway's list mostly not: who looks in the afternoon looks later."""
    listed = f"2026-03-20T08:00{without[len('2026-04-01T12:00') :]}"
    told = GATHERERS[question](case_of(tmp_path, lists=lists(listed, without), **site(read_at)))

    assert isinstance(told, Answered)
    assert told.beforehand is beforehand


@pytest.mark.parametrize("question", QUESTIONS)
def test_what_its_gateway_has_heard_since_was_read_beforehand(tmp_path: Path, question: str) -> None:
    """Also if it is still in the newest list, and was lost after that."""
    heard = {"1.csv": lists("2026-03-20T08:00")["1.csv"]}
    before, since = (
        GATHERERS[question](case_of(tmp_path / day, lists=heard, **site(day)))
        for day in ("2026-03-19", "2026-03-20")
    )

    assert isinstance(before, Answered)
    assert before.beforehand
    assert isinstance(since, Answered)
    assert not since.beforehand


@pytest.mark.parametrize("question", QUESTIONS)
def test_without_a_list_every_reading_counts(tmp_path: Path, question: str) -> None:
    """It may never have joined, so that what was read is what keeps it out, or does not."""
    told = GATHERERS[question](case_of(tmp_path, **site("2026-03-01")))

    assert isinstance(told, Answered)
    assert not told.beforehand


@pytest.mark.parametrize("read_at", [("2026-03-01", "2026-04-02"), ("2026-04-02", "2026-03-01")])
def test_an_address_is_alone_as_of_the_newest_reading_of_any(
    tmp_path: Path, read_at: tuple[str, str]
) -> None:
    """Its own address, or that of another node, could have been wrong once this one was lost."""
    told = GATHERERS["address"](case_of(tmp_path, lists=lists("2026-03-20T08:00"), **site(*read_at)))

    assert isinstance(told, Answered)
    assert not told.beforehand


def test_a_silent_node_was_lost_when_it_was_last_heard(tmp_path: Path) -> None:
    """Its serial number in the list is as old as its last message, however new the list is."""
    silent = {"tag": "A", "serial": "100001", "last_heard": 86400, "read_at": "2026-04-01T12:00"}
    old = case_of(tmp_path / "a", lists={"1.csv": [silent, OF_B]}, **site("2026-03-31T11:59"))
    new = case_of(tmp_path / "b", lists={"1.csv": [silent, OF_B]}, **site("2026-03-31T12:01"))

    for case, beforehand in ((old, True), (new, False)):
        told = {name: GATHERERS[name](case) for name in ("settings", "identity")}
        assert {getattr(one, "beforehand", None) for one in told.values()} == {beforehand}


def test_a_wrong_value_of_before_keeps_its_weight_where_its_gateway_was_not_heard_since(
    tmp_path: Path,
) -> None:
    """It may have been set wrong after its last message: only what is right says nothing."""
    wrong = {**site("2026-04-01T11:00"), "found": [{**ROW, "channel": 8, "read_at": "2026-04-01T11:00"}, {}]}
    told = GATHERERS["settings"](case_of(tmp_path, lists=lists("2026-03-20T08:00"), **wrong))

    assert isinstance(told, Answered)
    assert (told.answer, told.beforehand) == ("radio-differs", False)


def test_causes_keep_their_weights(tmp_path: Path) -> None:
    """Read long before, wrong settings stay as probable as they were; read since, they hardly are."""
    before, since = (
        diagnosed(tmp_path / day, lists=lists("2026-03-20T08:00"), **site(day))
        for day in ("2026-03-01", "2026-04-02")
    )
    prior = next(one.prior for one in before.causes if one.id == "radio-settings")

    assert now(before, "radio-settings") > 0.8 * prior
    assert now(since, "radio-settings") < 0.5 * prior
    for cause in ("removed", "address-twice", "variant"):
        assert now(before, cause) > now(since, cause)
    numbers = [one.number for one in before.evidence if one.words.endswith(BEFORE)]
    assert len(numbers) == len(QUESTIONS)
    assert not any({*one.speaks_for, *one.speaks_against} & set(numbers) for one in before.causes)


def test_who_looks_now_gives_it_weight(tmp_path: Path) -> None:
    """`--saw radio-same` is of today."""
    node = diagnosed(
        tmp_path, Asked(saw=("radio-same",)), lists=lists("2026-03-20T08:00"), **site("2026-03-01")
    )
    seen = next(one for one in node.evidence if one.id == "radio-same")

    assert seen.source == "saw"
    assert not seen.words.endswith(BEFORE)
    assert seen.factors["radio-settings"] < 0.5
