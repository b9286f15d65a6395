"""drift: the cases of a setting, with and without a plan, with and without a record."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.drifts import SEALED_ON, Fires, Silent, fires, reported, result_of, silent
from tests.small_site import SETTINGS

HIGH: dict[str, Any] = {"now": {"N-2": {"high_alarm": "760"}}}
RECORD = {"node": "N-2", "setting": "high_alarm", "from": 780, "to": 760}
RENAMED = {"what": "retag", "node": "N-2", "from": "N-2", "to": "N-22", "date": "2026-05-02"}
METER = {"meter": [*SETTINGS, {"name": "damping", "kind": "decimal", "unit": "s", "step": 0.1,
                               "required": False}]}  # fmt: skip
PLAIN = {"plain": [setting for setting in SETTINGS if setting["name"] != "high_alarm"]}
BAR = {"range_low": 0, "range_high": 10, "high_alarm": 7.8}
IN_BAR = {
    "in bar": [{**one, "unit": "bar", "step": 0.001} if one["name"] in BAR else one for one in SETTINGS]
}
LABEL = {"N-2": {"tag": "N-22"}}
MOVED = {"what": "move", "node": "N-2", "to": "South", "date": "2026-05-02"}

FIRES: list[Fires] = [
    fires("drift-unexplained", "no plan", "N-2", "high_alarm", **HIGH,
          says="high_alarm is 760 kPa, the baseline has 780 kPa"),
    fires("drift-unexplained", "the plan is as the baseline", "N-2", "high_alarm", plan={}, **HIGH),
    fires("drift-unexplained", "the plan says nothing of it", "N-2", "sticker", plan={},
          settings=[*SETTINGS, {"name": "sticker", "kind": "text", "required": False}],
          then={"N-2": {"sticker": "a"}}, now={"N-2": {"sticker": "b"}}),
    fires("drift-unexplained", "as planned once; the plan has followed the baseline", "N-2", "high_alarm",
          then={"N-2": {"high_alarm": "700"}}, plan={"N-2": {"high_alarm": 700}}),
    fires("drift-unexplained", "at the gateway", "GW-1", "network_id", now={"GW-1": {"network_id": "A8"}}),
    fires("drift-unexplained", "a record of another node", "N-2", "high_alarm", only=False, **HIGH,
          changes=[{**RECORD, "node": "N-1"}]),
    fires("drift-unexplained", "a record of another setting", "N-2", "high_alarm", only=False, **HIGH,
          changes=[{"node": "N-2", "setting": "range_high", "to": 760}]),
    fires("drift-unexplained", "a record of another value", "N-2", "high_alarm", only=False, **HIGH,
          changes=[{**RECORD, "to": 770}]),
    fires("drift-unexplained", "a record from before the baseline", "N-2", "high_alarm", **HIGH,
          changes=[{**RECORD, "date": "2026-01-15"}],
          says="says that high_alarm is 760, but the baseline still had 780 kPa on 2026-03-31"),
    fires("drift-unexplained", "a record from after this run", "N-2", "high_alarm", only=False, **HIGH,
          changes=[{**RECORD, "date": "2026-09-15"}]),
    fires("drift-unexplained", "changed back after a recorded change", "N-2", "high_alarm", only=False,
          **HIGH,
          changes=[RECORD, {**RECORD, "from": 760, "to": 790, "date": "2026-06-01"}]),
    fires("drift-unexplained", "read before the recorded change", "N-2", "high_alarm", only=False,
          now={"N-2": {"high_alarm": "760", "read_at": "2026-05-01"}}, changes=[RECORD],
          says="approved by I. Placeholder, says that high_alarm is 760, but this reading is of"),
    fires("change-without-record", "a record from before the baseline", "N-2", "high_alarm", level="warning",
          plan={"N-2": {"high_alarm": 760}}, changes=[{**RECORD, "date": "2026-01-15"}], **HIGH,
          says="C-1 of 2026-01-15, approved by I. Placeholder, says that high_alarm is 760, but"),
    fires("drift-recorded", "from and to", "N-2", "high_alarm", level="note", changes=[RECORD], **HIGH,
          says="the baseline has 780 kPa: change C-1 of 2026-05-12, approved by I. Placeholder"),
    fires("drift-recorded", "with its work order", "N-2", "high_alarm", level="note", **HIGH,
          changes=[{**RECORD, "work_order": "WO-5521"}], says="work order WO-5521"),
    fires("drift-recorded", "in another unit", "N-2", "high_alarm", level="note", **HIGH,
          changes=[{**RECORD, "from": "7.8 bar", "to": "7.6 bar"}]),
    fires("drift-recorded", "of the whole network", "N-2", "high_alarm", level="note", only=False, **HIGH,
          changes=[{"network": "Main", "setting": "high_alarm", "to": 760}]),
    fires("drift-recorded", "two changes, one after the other", "N-2", "high_alarm", level="note", **HIGH,
          changes=[{**RECORD, "to": 770}, {**RECORD, "from": 770, "date": "2026-06-01"}], says="change C-2"),
    fires("drift-recorded", "the plan has not followed", "N-2", "high_alarm", level="note", plan={},
          changes=[RECORD], **HIGH, says="the plan says 780 kPa"),
    fires("drift-recorded", "the plan has followed", "N-2", "high_alarm", level="note",
          plan={"N-2": {"high_alarm": 760}}, changes=[RECORD], **HIGH),
    fires("drift-recorded", "on the day of the baseline", "N-2", "high_alarm", level="note", **HIGH,
          changes=[{**RECORD, "date": "2026-03-31"}]),
    fires("drift-recorded", "of the tag that it was given since", "N-2", "high_alarm", level="note",
          only=False, now={"N-2": {"tag": "N-22", "high_alarm": "760"}},
          changes=[RENAMED, {**RECORD, "node": "N-22"}]),
    fires("drift-recorded", "of the tag under which it was read for the baseline", "N-2", "high_alarm",
          level="note", only=False, then=LABEL, now={"N-2": {"tag": "N-22", "high_alarm": "760"}},
          changes=[{**RECORD, "node": "N-22"}]),
    fires("drift-unexplained", "of a tag under which two were read for the baseline", "N-2", "high_alarm",
          only=False, then={**LABEL, "N-3": {"tag": "N-22"}}, **HIGH, changes=[{**RECORD, "node": "N-22"}]),
    fires("baseline-setting-not-read", "under another tag", "N-2", "high_alarm", level="warning", only=False,
          now={"N-2": {"tag": "N-22", "high_alarm": ""}}, says="780 kPa; it was found under the tag N-22"),
    fires("drift-recorded", "of the network to which it was moved", "N-2", "high_alarm", level="note",
          only=False, now={"N-2": {"network": "South", "high_alarm": "760"}},
          changes=[MOVED, {**RECORD, "network": "South"}]),
    fires("drift-recorded", "of the network to which its gateway was moved", "N-2", "high_alarm",
          level="note", only=False, now={"N-2": {"network": "South", "high_alarm": "760"}},
          changes=[{**MOVED, "node": "GW-1"}, {**RECORD, "network": "South"}]),
    fires("drift-unexplained", "of another network's device of that new tag", "N-2", "high_alarm",
          only=False, now={"N-2": {"tag": "N-22", "high_alarm": "760"}},
          changes=[{**RENAMED, "network": "Main"}, {**RECORD, "node": "N-22", "network": "South"}]),
    fires("change-pending", "the plan alone has changed", "N-2", "high_alarm", level="warning",
          plan={"N-2": {"high_alarm": 760}},
          says="is 780 kPa, as in the baseline; the plan now says 760 kPa"),
    fires("difference-as-sealed", "the plan is the same", "N-2", "high_alarm", level="warning", plan={},
          then={"N-2": {"high_alarm": "760"}}, now={"N-2": {"high_alarm": "760"}},
          says="is 760 kPa, as in the baseline; 780 kPa was planned then, and still is"),
    fires("change-without-record", "plan and device have changed", "N-2", "high_alarm", level="warning",
          plan={"N-2": {"high_alarm": 760}}, **HIGH, says="as the plan now says"),
    fires("all-three-differ", "no two agree", "N-2", "high_alarm", plan={"N-2": {"high_alarm": 770}}, **HIGH,
          says="is 760 kPa, the baseline has 780 kPa, and the plan now says 770 kPa"),
    fires("all-three-differ", "a known difference has grown", "N-2", "high_alarm", plan={}, **HIGH,
          then={"N-2": {"high_alarm": "770"}},
          says="is 760 kPa, the baseline has 770 kPa, and the plan still says 780 kPa"),
    fires("corrected-since-baseline", "a known difference is no more", "N-2", "high_alarm", level="note",
          then={"N-2": {"high_alarm": "700"}},
          says="is 780 kPa; the baseline has 700 kPa, though 780 kPa was planned then"),
    fires("corrected-since-baseline", "with the plan", "N-2", "high_alarm", level="note", plan={},
          then={"N-2": {"high_alarm": "700"}}),
    fires("baseline-setting-not-read", "a blank", "N-2", "high_alarm", level="warning",
          now={"N-2": {"high_alarm": ""}}, says="was not read; the baseline has 780 kPa"),
    fires("baseline-setting-not-read", "the type that is planned by now does not have it", "N-2",
          "high_alarm", level="warning", only=False, plan={"N-2": {"type": "plain"}}, kinds=PLAIN,
          now={"N-2": {"type": "plain", "high_alarm": ""}},
          says="780 kPa, and the device type now planned there has no such setting"),
    fires("setting-not-in-baseline", "a blank then", "N-2", "high_alarm", level="note",
          then={"N-2": {"high_alarm": ""}},
          says="read now, but not for the baseline: high_alarm"),
    fires("setting-not-in-baseline", "of the type that is planned by now, which says nothing of it", "N-2",
          level="note", plan={"N-2": {"type": "meter"}}, now={"N-2": {"type": "meter", "damping": "2.0"}},
          only=False, kinds=METER, says="damping is 2.0 s; in the baseline it is a 'node', which has"),
    fires("new-setting-off-plan", "of the type that is planned there by now", "N-2", only=False, kinds=METER,
          plan={"N-2": {"type": "meter", "damping": 0.5}}, now={"N-2": {"type": "meter", "damping": "2.0"}},
          says="damping is 2.0 s, planned 0.5 s; in the baseline it is a 'node'"),
    fires("setting-not-in-baseline", "a device that was not read then", "N-2", level="note",
          unread_then=["N-2"], says="was not read for the baseline; read now: 6 settings"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("drift-unexplained", "nothing has changed"),
    silent("drift-unexplained", "another spelling of the same", now={"N-2": {"high_alarm": "7.800 bar"}}),
    silent("drift-unexplained", "less than the display shows", now={"N-2": {"high_alarm": "780.04"}}),
    silent("drift-unexplained", "a record explains it", changes=[RECORD], **HIGH),
    silent("drift-recorded", "nothing has changed", changes=[{**RECORD, "date": "2026-01-15"}]),
    silent("drift-recorded", "no records", idle=True, **HIGH),
    silent("change-pending", "the plan is as the baseline", plan={}),
    silent("change-pending", "no plan", idle=True),
    silent(
        "change-pending",
        "the same in the unit of its new type",
        kinds=IN_BAR,
        plan={"N-2": {**BAR, "type": "in bar"}},
    ),
    silent("difference-as-sealed", "the plan has changed", plan={"N-2": {"high_alarm": 760}}),
    silent(
        "difference-as-sealed",
        "no plan",
        idle=True,
        then={"N-2": {"high_alarm": "760"}},
        now={"N-2": {"high_alarm": "760"}},
    ),
    silent("change-without-record", "the plan has not changed", plan={}, **HIGH),
    silent("change-without-record", "no plan", idle=True, **HIGH),
    silent("all-three-differ", "two agree", plan={}, **HIGH),
    silent("all-three-differ", "no plan", idle=True, **HIGH),
    silent("corrected-since-baseline", "nothing was wrong then", **HIGH),
    silent("baseline-setting-not-read", "all was read"),
    silent("baseline-setting-not-read", "the device was not found", gone=["N-2"]),
    silent(
        "new-setting-off-plan",
        "it is as planned",
        kinds=METER,
        plan={"N-2": {"type": "meter", "damping": 0.5}},
        now={"N-2": {"type": "meter", "damping": "0.50"}},
    ),
    silent("new-setting-off-plan", "no plan", idle=True),
    silent("setting-not-in-baseline", "all was read then"),
]


@pytest.mark.parametrize("case", [*FIRES, *SILENT], ids=str)
def test_rules(case: Fires | Silent, tmp_path: Path) -> None:
    """The rule says what it should, or nothing."""
    case.check(tmp_path)


def test_a_record_that_another_has_followed_before_the_baseline_says_nothing_of_today(tmp_path: Path) -> None:
    """Set to 760 and back to 780 long ago, both on record: 760 now is nobody's change."""
    back = {**RECORD, "from": 760, "to": 780, "date": "2026-02-15"}

    (finding,) = result_of(tmp_path, **HIGH, changes=[{**RECORD, "date": "2026-01-15"}, back]).findings

    assert finding.message == "high_alarm is 760 kPa, the baseline has 780 kPa"


@pytest.mark.parametrize(
    "records",
    [
        [{**RECORD, "date": SEALED_ON}, {**RECORD, "from": 760, "to": 770}],
        [{**RECORD, "date": "2026-01-15"}, {**RECORD, "from": 760, "to": 780, "date": SEALED_ON}],
    ],
    ids=["made that day and changed since", "undone that day"],
)
def test_a_record_that_another_has_followed_is_not_set_against_the_baseline(
    records: list[dict[str, Any]], tmp_path: Path
) -> None:
    """If a record is of the day of the baseline, nothing says that the change was not made before it."""
    findings = result_of(tmp_path, **HIGH, changes=records).findings

    assert "high_alarm is 760 kPa, the baseline has 780 kPa" in [finding.message for finding in findings]


def test_what_was_seen_and_is_no_setting_does_not_drift(tmp_path: Path) -> None:
    """A reading, or the time since the node was last heard, differs every time."""
    settings = [
        {"name": "high_alarm", "kind": "decimal", "role": "alarm_high", "step": 0.1},
        {"name": "shown", "kind": "decimal", "role": "reading", "step": 0.1, "required": False},
        {"name": "age", "kind": "integer", "role": "last_heard", "required": False},
        {"name": "address", "kind": "integer", "role": "address"},
        {"name": "channel", "kind": "integer"}, {"name": "network_id", "kind": "text"},
        {"name": "range_low", "kind": "integer"}, {"name": "range_high", "kind": "integer"},
    ]  # fmt: skip
    result = result_of(tmp_path, settings=settings, then={"N-1": {"shown": "50", "age": "4"}},
                       now={"N-1": {"shown": "61", "age": "9"}, "N-2": {"shown": "3"}})  # fmt: skip

    assert reported(result) == []
    assert result.counts.differing == 0


def test_an_access_code_is_no_drift_and_is_never_shown(tmp_path: Path) -> None:
    """Codes are not in a baseline; an export that carries them is reported."""
    code = {"name": "access_code", "kind": "secret", "role": "access_code", "required": False}
    result = result_of(tmp_path, settings=[*SETTINGS, code], then={"N-1": {"access_code": "73915"}},
                       now={"N-1": {"access_code": "86420"}})  # fmt: skip

    assert [f.rule for f in result.findings] == ["code-in-clear"]
    assert "73915" not in result.model_dump_json() + (tmp_path / "then" / "baseline.json").read_text()
    assert "86420" not in result.model_dump_json()
