"""change-record: records that no reading confirms, and readings older than what they should show."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any, get_args

import pytest

from audit.drifting import outcomes
from audit.model.change import What
from audit.reading.identifiers import spelling
from tests.drifts import Fires, Silent, fires, result_of, silent
from tests.small_site import node

RECORD = {"node": "N-2", "setting": "high_alarm", "from": 780, "to": 760}
DONE: dict[str, Any] = {"now": {"N-2": {"high_alarm": "760"}}}
OLD = {"N-2": {"read_at": "2026-05-01T10:00"}}

RETUNED: dict[str, Any] = {"changes": [{"node": "GW-1", "setting": "channel", "from": 7, "to": 9}]}

SPARE: dict[str, Any] = {"now": {"N-2": {"serial": "555001"}}}
EXCHANGED = {"what": "exchange", "node": "N-2", "from": "100002", "to": "555001"}
BACK = {**EXCHANGED, "from": "555001", "to": "100002", "date": "2026-06-01"}
LABEL = {"N-2": {"tag": "N-22"}}
RETAG = {"what": "retag", "node": "N-2", "from": "N-2", "to": "N-33"}
MOVED: dict[str, Any] = {"now": {"N-2": {"network": "South"}}}

SIX = [node(n) for n in range(1, 7)]
ROUND = ("08:01", "08:12", "08:26", "09:04", "09:43", "11:13", "11:21")
"""When the gateway and six nodes were read, to the minute."""
FIVES = ("08:00", "08:10", "08:25", "09:05", "09:40", "11:15", "11:20")
SECONDS = tuple(f"{time}:30" for time in FIVES)


def at(day: str, times: Sequence[str] = ROUND, **more: str) -> dict[str, dict[str, str]]:
    """Return when each device was read."""
    tags = ("GW-1", *(one["tag"] for one in SIX))
    return {tag: {"read_at": f"{day}T{time}", **more} for tag, time in zip(tags, times, strict=True)}


def twice(*changed: str, **more: str) -> dict[str, Any]:
    """Return a round that was read again, with other times for its first devices."""
    return {"nodes": SIX, "then": at("2026-03-30"),
            "now": at("2026-06-29", (*changed, *ROUND[len(changed) :]), **more)}  # fmt: skip


FIRES: list[Fires] = [
    fires("read-at-the-same-times", "an earlier sheet with another date", None, level="warning", **twice(),
          says="7 of 7 devices with times to the minute were read at the times of day of the baseline's "
               "readings, such as GW-1 at 2026-03-30 08:01 and 2026-06-29 08:01"),
    fires("read-at-the-same-times", "some of its times were changed as well", None, level="warning",
          **twice("08:06", "08:31"), says="5 of 7 devices"),
    fires("read-at-the-same-times", "to the second", None, level="warning", nodes=SIX,
          then=at("2026-03-30", SECONDS), now=at("2026-06-29", SECONDS), says="7 of 7 devices"),
    fires("record-not-borne-out", "from and to of an exchange the wrong way round", "N-2", level="warning",
          only=False, changes=[BACK], **SPARE, says="555001 was found: perhaps its from and to are"),
    fires("record-not-borne-out", "from and to of a move the wrong way round", "N-2", level="warning",
          only=False, changes=[{"what": "move", "node": "N-2", "from": "South", "to": "Main"}], **MOVED,
          says="was moved to Main; South was found: perhaps"),
    fires("record-from-differs", "an exchange of another unit than the baseline has", "N-2", level="warning",
          only=False, changes=[{**EXCHANGED, "from": "100009"}], **SPARE,
          says="says the serial number was 100009; the baseline has 100002"),
    fires("record-from-differs", "an exchange of another unit than the record before it brought", "N-2",
          level="warning", only=False, **SPARE, says="was 100009; change C-1 made it 100007",
          changes=[{**EXCHANGED, "to": "100007"}, {**EXCHANGED, "from": "100009", "date": "2026-06-01"}]),
    fires("record-from-differs", "a move from another network than the baseline has", "N-2", level="warning",
          only=False, changes=[{"what": "move", "node": "N-2", "from": "North", "to": "South"}], **MOVED,
          says="says the network was North; the baseline has Main"),
    fires("record-not-borne-out", "a node that was left behind by its gateway", "N-2", "channel",
          level="warning", only=False, **RETUNED,
          now={tag: {"channel": "9"} for tag in ("GW-1", "N-1", "N-3")},
          says="says channel is 9 now; it is 7, as in the baseline, at 1 node of GW-1"),
    fires("record-not-borne-out", "several nodes that were left behind: not its gateway, which has changed",
          None, "channel", level="warning", only=False, **RETUNED,
          now={tag: {"channel": "9"} for tag in ("GW-1", "N-1")},
          says="says channel is 9 now; it is 7, as in the baseline, at 2 nodes of GW-1"),
    fires("record-not-borne-out", "a gateway that was not changed, and so neither were its nodes", "GW-1",
          "channel", level="warning", **RETUNED,
          says="says channel is 9 now; it is 7, as in the baseline"),
    fires("record-not-borne-out", "nothing was changed", "N-2", "high_alarm", level="warning",
          changes=[RECORD],
          says="says high_alarm is 760 now; it is 780 kPa, as in the baseline"),
    fires("record-not-borne-out", "a node that is not there", "N-7", "high_alarm", level="warning",
          changes=[{**RECORD, "node": "N-7"}], says="which is not in the baseline"),
    fires("record-not-borne-out", "a node of another network", "N-2", "high_alarm", level="warning",
          changes=[{**RECORD, "network": "South"}],
          says="of N-2 in South, which is not in the baseline: perhaps N-2 in Main is meant"),
    fires("record-not-borne-out", "a node by its serial number", "100002", "high_alarm", level="warning",
          changes=[{**RECORD, "node": "100002"}], says="not in the baseline: perhaps N-2 in Main is meant"),
    fires("record-not-borne-out", "a node in small letters", "n-2", "high_alarm", level="warning",
          changes=[{**RECORD, "node": "n-2"}], says="not in the baseline: perhaps N-2 in Main is meant"),
    fires("record-not-borne-out", "dated after this run", "N-2", "high_alarm", level="warning",
          changes=[{**RECORD, "date": "2026-09-01"}], says="is dated after the day of this run, 20"),
    fires("record-not-borne-out", "an exchange that was not made", "N-2", level="warning",
          changes=[{"what": "exchange", "node": "N-2", "to": "555001"}],
          says="N-2 was exchanged for serial 555001"),
    fires("record-not-borne-out", "a removal that was not made", "N-2", level="warning",
          changes=[{"what": "removed", "node": "N-2"}], says="N-2 was removed"),
    fires("record-not-borne-out", "a move of a gateway that was not made", "GW-1", level="warning",
          changes=[{"what": "move", "node": "GW-1", "to": "South"}], says="GW-1 was moved to South"),
    fires("record-not-borne-out", "one that did not come", "N-9", level="warning",
          changes=[{"what": "added", "node": "N-9"}], says="N-9 was added"),
    fires("record-not-borne-out", "all of a network", None, "high_alarm", level="warning",
          changes=[{"network": "Main", "setting": "high_alarm", "to": 760}]),
    fires("record-differs", "another value was found", "N-2", "high_alarm", level="warning", only=False,
          changes=[{**RECORD, "to": 750}], **DONE, says="says high_alarm is 750 now; 760 kPa was found"),
    fires("record-from-differs", "the baseline has another value", "N-2", "high_alarm", level="warning",
          only=False, changes=[{**RECORD, "from": 790}], **DONE,
          says="says high_alarm was 790; the baseline has 780"),
    fires("evidence-predates-change", "read before a setting was changed", "N-2", "high_alarm",
          level="warning",
          changes=[RECORD], now=OLD, says="is newer than the reading of 2026-05-01"),
    fires("evidence-predates-change", "read before an exchange", "N-2", level="warning", now=OLD,
          changes=[{"what": "exchange", "node": "N-2", "to": "555001"}]),
    fires("evidence-predates-baseline", "an old readback", None, level="warning",
          then={"N-2": {"read_at": "2026-03-30"}}, now={"N-2": {"read_at": "2025-04-01"}},
          says="1 device has no reading newer than the baseline's"),
    fires("evidence-predates-baseline", "the readback that was sealed", None, level="warning",
          then={"N-2": {"read_at": "2026-03-30T10:00"}}, now={"N-2": {"read_at": "2026-03-30T10:00"}},
          says="1 device has no reading newer than the baseline's"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("read-at-the-same-times", "a round that begins at the same time",
           **twice("08:01", "08:11", "08:24", "09:06", "09:42", "11:16", "11:21")),
    silent("read-at-the-same-times", "rounds written in steps of five minutes", idle=True, nodes=SIX,
           then=at("2026-03-30", FIVES), now=at("2026-06-29", FIVES)),
    silent("read-at-the-same-times", "one time for the whole round, both times", nodes=SIX,
           then=at("2026-03-30", ["08:01"] * 7), now=at("2026-06-29", ["08:01"] * 7)),
    silent("read-at-the-same-times", "a machine's clock", idle=True,
           **twice(read_how="export of the gateway")),
    silent("read-at-the-same-times", "days alone", idle=True, nodes=SIX,
           then={tag: {"read_at": "2026-03-30"} for tag in at("")},
           now={tag: {"read_at": "2026-06-29"} for tag in at("")}),
    silent("read-at-the-same-times", "the readback that was sealed, of which another rule speaks", idle=True,
           nodes=SIX, then=at("2026-03-30"), now=at("2026-03-30")),
    silent("read-at-the-same-times", "nothing says when", idle=True),
    silent("record-from-differs", "the tag that was read for the baseline", then=LABEL,
           changes=[{**RETAG, "node": "N-22", "from": "N-22", "to": "N-2"}]),
    silent("record-from-differs", "the tag under which it stands in the baseline", then=LABEL,
           now={"N-2": {"tag": "N-33"}}, changes=[RETAG]),
    silent("record-from-differs", "the network that was read for the baseline", then=MOVED["now"],
           changes=[{"what": "move", "node": "N-2", "from": "South", "to": "Main"}]),
    silent("record-not-borne-out", "it was done", changes=[RECORD], **DONE),
    silent("record-not-borne-out", "one node went elsewhere, which is drift of its own", **RETUNED,
           now={"GW-1": {"channel": "9"}, "N-1": {"channel": "9"}, "N-2": {"channel": "8"},
                "N-3": {"channel": "9"}}),
    silent("record-not-borne-out", "a second exchange followed", **SPARE,
           changes=[{**EXCHANGED, "to": "100007"}, {**EXCHANGED, "from": "100007", "date": "2026-06-01"}]),
    silent("record-not-borne-out", "out for repair and back", changes=[EXCHANGED, BACK]),
    silent("record-not-borne-out", "exchanged on the day of the baseline, which has it",
           changes=[{"what": "exchange", "node": "N-2", "to": "100002", "date": "2026-03-31"}]),
    silent("record-from-differs", "a move from its gateway's network", **MOVED,
           changes=[{"what": "move", "node": "N-2", "from": "GW-1", "to": "South"}]),
    silent("record-not-borne-out", "done before the baseline, which has it",
          then={"N-2": {"high_alarm": "760"}},
           changes=[{**RECORD, "date": "2026-03-31"}], **DONE),
    silent("record-not-borne-out", "from before the baseline", changes=[{**RECORD, "date": "2026-01-01"}]),
    silent("record-not-borne-out", "the device was not read", changes=[RECORD], gone=["N-2"]),
    silent("record-not-borne-out", "of an access code", changes=[{"node": "N-2", "setting": "access_code"}],
           settings=[{"name": "access_code", "kind": "secret", "role": "access_code", "required": False},
                     *({"name": n, "kind": "text"} for n in ("channel", "network_id", "address", "range_low",
                                                             "range_high", "high_alarm"))]),
    silent("record-not-borne-out", "no records", idle=True),
    silent("record-not-borne-out", "from before the baseline, about a node that was retired since",
           changes=[{**RECORD, "node": "N-7", "date": "2026-01-15"}]),
    silent("record-differs", "it was done", changes=[RECORD], **DONE),
    silent("record-differs", "the setting was not read", changes=[RECORD], now={"N-2": {"high_alarm": ""}}),
    silent("record-differs", "done at a device whose serial number is under another tag, neither read then",
           unread_then=["N-1", "N-2"], changes=[RECORD],
           now={"N-1": {"serial": "100002"}, "N-2": {"serial": "100001", "high_alarm": "760"}}),
    silent("record-differs", "followed by another change", **DONE,
           changes=[{**RECORD, "to": 770}, {**RECORD, "from": 770, "date": "2026-06-01"}]),
    silent("record-from-differs", "it begins where the baseline ends", changes=[RECORD], **DONE),
    silent("record-from-differs", "it does not say from where", **DONE,
           changes=[{"node": "N-2", "setting": "high_alarm", "to": 760}]),
    silent("evidence-predates-change", "read on that day", changes=[RECORD],
           now={"N-2": {"high_alarm": "760", "read_at": "2026-05-12T08:00"}}),
    silent("evidence-predates-change", "nothing says when it was read", changes=[RECORD], **DONE),
    silent("evidence-predates-baseline", "read later", then={"N-2": {"read_at": "2026-03-30"}},
           now={"N-2": {"read_at": "2026-06-01"}}),
    silent("evidence-predates-baseline", "nothing says when"),
    silent("evidence-predates-baseline", "a day alone is not before a time of that day",
           then={"N-2": {"read_at": "2026-03-30T10:00"}}, now={"N-2": {"read_at": "2026-03-30"}}),
    silent("evidence-predates-baseline", "one of the two states an offset",
           then={"N-2": {"read_at": "2026-03-30T10:00"}}, now={"N-2": {"read_at": "2026-03-30T11:00+02:00"}}),
]  # fmt: skip


@pytest.mark.parametrize("case", [*FIRES, *SILENT], ids=str)
def test_rules(case: Fires | Silent, tmp_path: Path) -> None:
    """The rule says what it should, or nothing."""
    case.check(tmp_path)


def test_every_record_is_listed_with_what_became_of_it(tmp_path: Path) -> None:
    """The result holds all records, whether there is a finding about them or not."""
    changes = [
        RECORD,
        {"node": "N-1", "setting": "high_alarm", "to": 700},
        {"node": "N-3", "setting": "high_alarm", "to": 780, "date": "2025-01-01"},
        {"what": "exchange", "node": "N-3"},
        {"node": "N-3", "setting": "range_high", "to": 900, "date": "2027-01-01"},
    ]
    result = result_of(tmp_path, changes=changes, now={**DONE["now"], "N-3": {"serial": "555001"}})

    assert result.drift is not None
    assert {change.id: change.state for change in result.drift.changes} == {
        "C-1": "borne out", "C-2": "not borne out", "C-3": "before the baseline", "C-4": "borne out",
        "C-5": "not yet",
    }  # fmt: skip


def test_a_gateway_that_was_not_changed_and_its_nodes_are_one_finding(tmp_path: Path) -> None:
    """Whoever sets the gateway sets its nodes too."""
    found = result_of(tmp_path, **RETUNED).findings

    assert [(one.node, one.others) for one in found] == [("GW-1", ["GW-1", "N-1", "N-2", "N-3"])]


def test_a_record_dated_after_this_run_is_listed_in_the_network_of_its_device(tmp_path: Path) -> None:
    """Where the device is, is known even if the record does not say so."""
    (finding,) = result_of(tmp_path, changes=[{**RECORD, "date": "2026-09-01"}]).findings
    assert finding.network == "Main"


def test_which_device_records_mean_is_looked_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Searching the tags of all devices for each record took a minute at 4,000 of both."""
    asked: list[str] = []

    def counted(name: str) -> str:
        asked.append(name)
        return spelling(name)

    monkeypatch.setattr(outcomes, "spelling", counted)

    result_of(tmp_path, changes=[{**RECORD, "node": f"n-{n}"} for n in range(2, 8)])

    assert asked == ["n-2", "n-3", "n-4", "n-5", "n-6", "n-7"]


def test_a_record_of_a_network_that_did_not_move_says_so(tmp_path: Path) -> None:
    """It names the network, and the one that the baseline does not have as such."""
    moved = {"what": "move", "to": "South"}
    known, unknown = (
        result_of(tmp_path / name, changes=[moved | {"network": name}]).findings[0].message
        for name in ("Main", "Nain")
    )

    assert "says that the network Main was moved to South; nothing that was found bears it out" in known
    assert "is about the network Nain, which is not in the baseline" in unknown


@pytest.mark.parametrize("what", [what for what in get_args(What) if what != "setting"])
def test_every_kind_of_change_to_a_device_has_its_words(what: str, tmp_path: Path) -> None:
    """Of each kind, a record that nothing bears out is told with what it says."""
    (finding,) = result_of(tmp_path, changes=[{"what": what, "node": "N-2", "to": "X"}]).findings

    assert "says that N-2 was" in finding.message
