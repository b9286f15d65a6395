"""A reading older than a change record no longer counts: the record's value does, or nothing is known."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.diagnosis.evidence import Answered, NotKnown
from audit.diagnosis.gathering import GATHERERS
from audit.diagnosis.gathering.courses import course
from tests.diagnosis.sites import case_of, diagnosed, record

READ: dict[str, Any] = {"channel": 7, "read_at": "2026-03-01"}
CHANNEL: dict[str, Any] = {"setting": "channel", "from": 7, "to": 9}
ALL_READ: dict[str, Any] = {"gateway": {"channel": 7}, "gateway_found": READ, "found": READ}
ADDRESS = record(setting="address", to=39)
EXCHANGED = record("exchange", **{"from": "100001", "to": "100099"})

SET = [
    # change records, answer, words
    ([], "radio-same", "channel 7, read on 2026-03-01: the same as its gateway"),
    ([record(**CHANNEL)], "radio-differs", "channel is 9 (by change CR-2026-03-20 of 2026-03-20), the"),
    ([record(**CHANNEL, node="GW-North")], "radio-differs", "channel is 7 (read on 2026-03-01), the gateway "
     "has 9 (by change CR-2026-03-20 of 2026-03-20)"),
    ([record(**CHANNEL, network="North")], "radio-same", "channel 9 (by change CR-2026-03-20 of"),
    ([record(**CHANNEL, node="B")], "radio-same", "channel 7"),
    ([record(**CHANNEL, date="2026-02-20")], "radio-same", "channel 7"),
    ([record(**CHANNEL, date="2026-03-01")], "radio-same", "channel 7"),
    ([EXCHANGED, record(**CHANNEL, date="2026-03-21")], "radio-differs", "channel is 9"),
]  # fmt: skip


@pytest.mark.parametrize(("changes", "answer", "words"), SET)
def test_what_a_record_has_set_since_it_was_read_counts(
    tmp_path: Path, changes: list[dict[str, Any]], answer: str, words: str
) -> None:
    """Records of the node, its gateway or the network count; not of others, nor older than the reading."""
    told = GATHERERS["settings"](case_of(tmp_path, changes=changes, **ALL_READ))

    assert isinstance(told, Answered)
    assert told.answer == answer
    assert words in told.words


@pytest.mark.parametrize(
    ("channel", "words"),
    [
        (7, "channel 7, read on 2026-03-20: the same as its gateway, read on 2026-03-01"),
        (8, "channel is 8 (read on 2026-03-20), the gateway has 7 (read on 2026-03-01)"),
    ],
)
def test_a_gateway_that_was_read_on_another_day_may_have_changed_since(
    tmp_path: Path, channel: int, words: str
) -> None:
    """So its day is said; if both were read on one day, once is enough."""
    found = {"channel": channel, "read_at": "2026-03-20"}
    told = GATHERERS["settings"](case_of(tmp_path, **{**ALL_READ, "found": found}))

    assert isinstance(told, Answered)
    assert told.words == words


def test_what_was_read_of_the_unit_before_is_not_known_of_this_one(tmp_path: Path) -> None:
    """Settings, volts and signal; so the check that would show them does not count as done."""
    read = {**READ, "battery_volts": 3.6, "rssi": -70}
    site: dict[str, Any] = {**ALL_READ, "found": read, "changes": [EXCHANGED]}
    case = case_of(tmp_path / "a", **site)

    told = GATHERERS["settings"](case)
    assert isinstance(told, NotKnown)
    assert "was read, since its unit was exchanged on 2026-03-20 by change CR-2026-03-20" in told.words
    assert course(case, "battery_volts", "V") == course(case, "rssi", "dBm") == []
    assert "compare" not in diagnosed(tmp_path / "b", **site).done


@pytest.mark.parametrize("approved", [[], [{"setting": "firmware", "values": ["1.2"]}]])
def test_the_firmware_of_the_unit_before_is_not_that_of_this_one(
    tmp_path: Path, approved: list[dict[str, Any]]
) -> None:
    """As planned or not: a wrong variant is most probable with a spare unit that was just fitted."""
    for n, firmware in enumerate(("1.2", "0.9")):
        site: dict[str, Any] = {
            "planned": [{"firmware": "1.2"}, {}], "plan": {"approved": approved}, "changes": [EXCHANGED],
            "found": [{"firmware": firmware, "read_at": "2026-03-01"}, {}],
        }  # fmt: skip
        told = GATHERERS["variant"](case_of(tmp_path / str(n), **site))

        assert isinstance(told, NotKnown)
        assert told.words.startswith("its band and firmware: not read, since its unit was exchanged on")


def test_a_setting_that_a_record_has_set_is_no_slip_of_the_keys(tmp_path: Path) -> None:
    """Somebody allowed it: the question how it was mis-keyed does not arise."""
    assert GATHERERS["slip"](case_of(tmp_path, changes=[record(**CHANNEL)], **ALL_READ)) is None


@pytest.mark.parametrize(("changes", "answer"), [([], "radio-differs"), ([ADDRESS], "radio-same")])
def test_an_address_that_a_record_has_set_is_not_off_plan(
    changes: list[dict[str, Any]], answer: str, tmp_path: Path
) -> None:
    """Somebody allowed it, whatever the plan says; without a record, 39 in place of 31 is a fault."""
    site: dict[str, Any] = {**ALL_READ, "found": {**READ, "address": 31 if changes else 39}}

    told = GATHERERS["settings"](case_of(tmp_path, changes=changes, **site))

    assert isinstance(told, Answered)
    assert told.answer == answer


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ([], "address 31 (read on 2026-03-01) is held by no other device"),
        ([record(setting="address", to=32)], "address 32 (by change CR-2026-03-20 of 2026-03-20), planned "
         "31, is also held by B (as planned)"),
        ([record(setting="address", to=31, node="B")], "by B (planned 32) (by change CR-2026-03-20 of"),
    ],
)  # fmt: skip
def test_an_address_that_a_record_has_set_is_held(
    tmp_path: Path, changes: list[dict[str, Any]], words: str
) -> None:
    """The node's own, and another's."""
    found = [{"address": address, "read_at": "2026-03-01"} for address in (31, 32)]
    told = GATHERERS["address"](case_of(tmp_path, found=found, changes=changes))

    assert isinstance(told, Answered)
    assert words in told.words


def heard(read_at: str, last_heard: int = 60) -> dict[str, Any]:
    """Return a list that has node A, and a newer one without it."""
    had = {"tag": "A", "last_heard": last_heard, "read_at": read_at}
    return {
        "1.csv": [had, {"tag": "B", "read_at": read_at}],
        "2.csv": [{"tag": "B", "read_at": "2026-04-01"}],
    }


SET_TO_8 = record(setting="channel", to=8, date="2026-03-20")
ON_8: dict[str, Any] = {"gateway": {"channel": 7}, "found": {**READ, "channel": 8}}
DISPROVED = [
    # list that has the node, site, answer
    ("2026-03-31", ON_8, None),
    ("2026-03-01", ON_8, "radio-differs"),
    ("2026-02-01", ON_8, "radio-differs"),
    ("2026-03-31", {**ON_8, "gateway_found": {"channel": 9}}, "radio-differs"),
    ("2026-03-31", {**ON_8, "changes": [SET_TO_8]}, "radio-differs"),
]  # fmt: skip


@pytest.mark.parametrize(("listed", "site", "answer"), DISPROVED)
def test_a_reading_that_later_lists_disprove(
    tmp_path: Path, listed: str, site: dict[str, Any], answer: str | None
) -> None:
    """On channel 8 its gateway on 7 could not have heard it since, unless the gateway has changed."""
    case = case_of(tmp_path, lists=heard(listed), **site)

    told = GATHERERS["settings"](case)
    assert getattr(told, "answer", None) == answer
    if not answer:
        says = "8 was read on 2026-03-01, but GW-North has heard it since, by its list of 2026-03-31"
        assert told
        assert says in told.words
        assert GATHERERS["slip"](case) is None
        assert GATHERERS["off-plan"](case) is None


def test_a_row_that_was_heard_long_before_disproves_nothing(tmp_path: Path) -> None:
    """It was in the list as not heard for two months: the reading is newer than that."""
    case = case_of(tmp_path, lists=heard("2026-03-31", 60 * 86400), **ON_8)

    assert isinstance(GATHERERS["settings"](case), Answered)


def test_an_address_with_which_it_was_heard_does_not_keep_it_out(tmp_path: Path) -> None:
    """Whatever keeps it out happened later."""
    found = [{"address": 45, "read_at": "2026-03-01"}, {"address": 32, "read_at": "2026-03-01"}]
    case = case_of(tmp_path, lists=heard("2026-03-31"), found=found)

    told = GATHERERS["address"](case)
    assert isinstance(told, NotKnown)
    assert "its address keeps it out: 45 was read on 2026-03-01, but GW-North has" in told.words
    assert not isinstance(GATHERERS["settings"](case), Answered)


def test_a_unit_with_another_serial_number_has_a_course_of_its_own(tmp_path: Path) -> None:
    """Nobody recorded the exchange: what the two show is no fall of one battery, and no slide of a signal."""
    read = {
        f"{day}.csv": [{"tag": "A", "serial": serial, "read_at": day, "battery_volts": volts, "rssi": rssi}]
        for day, serial, volts, rssi in (
            ("2026-01-10", "100", 3.6, -60),
            ("2026-02-10", "100", 3.6, -62),
            ("2026-03-10", "999", 3.3, -71),
            ("2026-03-20", "999", 3.3, -71),
        )
    }
    case = case_of(tmp_path, planned=[{"serial": "100"}, {}], found=read)

    assert [one.shown for one in course(case, "battery_volts", "V")] == ["3.3 V", "3.3 V"]
    for question, answer in (("volts", "volts-steady"), ("signal", "signal-steady")):
        told = GATHERERS[question](case)
        assert isinstance(told, Answered)
        assert told.answer == answer
