"""expression: rules in CEL, ours and a site's own."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.site_builder import audit_of, result_of
from tests.small_site import SETTINGS, small_site

SPAN = {"range_low": 0, "range_high": 1000}
FROM_A_LIST: dict[str, Any] = {
    "settings": {"report_interval": {"kind": "option", "options": ["10", "60", "600"], "unit": "s"}}
}

TWO = [{"report_interval": 300}] * 2


def _list(text: str, other_gateway: str = "GW-1", **more: str) -> dict[str, Any]:
    """Return a gateway's list with a text for when a node was heard, and 20 s for another."""
    rows = [{"tag": "A", "joined_gateway": "GW-1", "last_heard": text},
            {"tag": "B", "joined_gateway": other_gateway, "last_heard": "20"}]  # fmt: skip
    return {"list.csv": [row | more for row in rows]}


FIRES = [
    fires("host-timeout-short", "an interval chosen from a list", "host_timeout", "report_interval",
          side="planned", planned={"report_interval": "60", "host_timeout": 179}, **FROM_A_LIST),
    fires("silent-node", "an interval chosen from a list", "last_heard", "report_interval",
          planned={"report_interval": "60"}, found={"last_heard": 181}, **FROM_A_LIST),
    fires("silent-node", "one second more than three intervals", "last_heard", "report_interval",
          planned={"report_interval": 300}, found={"last_heard": 901},
          says="last heard longer ago than three report intervals"),
    *(fires("silent-node", f"last heard: {text}", "last_heard", "report_interval",
            planned={"report_interval": 300}, found={"last_heard": text}, says=f": {text}")
      for text in ("never", "Offline")),
    *(fires("silent-node", f"{text or 'a blank'} in a list where another row says when", "last_heard",
            "report_interval", planned=TWO, found=_list(text),
            says="has times for other nodes but none for it: it was not heard") for text in ("-", "n/a", "")),
    fires("stale-shown-good", "silent, and good at the host", "last_heard", "host_quality", "report_interval",
          planned={"report_interval": 300}, found={"last_heard": 901, "host_quality": "Good"}),
    fires("host-timeout-short", "one second less than three intervals", "host_timeout", "report_interval",
          planned={"report_interval": 300, "host_timeout": 900},
          found={"report_interval": 300, "host_timeout": 899},
          says="the host gives up before three report intervals have passed"),
    fires("host-timeout-short", "in the plan", "host_timeout", "report_interval", side="planned",
          planned={"report_interval": 300, "host_timeout": 600}),
    fires("host-timeout-short", "the planned interval where none was read", "host_timeout", "report_interval",
          planned={"report_interval": 300, "host_timeout": 900}, found={"host_timeout": 600}),
    fires("host-timeout-short", "an interval in minutes", "host_timeout", "report_interval", side="planned",
          settings={"report_interval": {"kind": "integer", "unit": "min"}},
          planned={"report_interval": 5, "host_timeout": 600}),
    fires("offset-unexplained", "one display step", "offset", "calibration_record", found={"offset": "0.1"}),
    fires("offset-unexplained", "below zero", "offset", "calibration_record",
          found={"offset": "-0.1", "calibration_record": "n/a"}),
    fires("offset-unexplained", "the record says that there is none", "offset", "calibration_record",
          found={"offset": "0.1", "calibration_record": "No"}),
    fires("offset-unexplained", "the plan says that there is none", "offset", "calibration_record",
          planned={"calibration_record": "No"}, found={"offset": "0.1", "calibration_record": ""}),
    fires("offset-unexplained", "whether there is one, no", "offset", "calibration_record",
          settings={"calibration_record": {"kind": "flag"}},
          found={"offset": "0.1", "calibration_record": "no"}),
    fires("reading-implausible", "one display step more than 2 % of the span",
          "reading", "check_reading", "range_low", "range_high",
          planned=SPAN, found=SPAN | {"reading": "520.1", "check_reading": 500}),
    fires("reading-implausible", "the other way round", "reading", "check_reading", "range_low", "range_high",
          planned=SPAN, found=SPAN | {"reading": 500, "check_reading": "520.1"}),
    fires("host-reading-differs", "a moved point at the host",
          "reading", "host_reading", "range_low", "range_high",
          planned=SPAN, found=SPAN | {"reading": "523.5", "host_reading": "52.35"}),
    fires("host-reading-differs", "read in the control room later that day",
          "reading", "host_reading", "range_low", "range_high",
          planned=SPAN, found={
              "a.csv": [SPAN | {"tag": "A", "reading": 500, "read_at": "2026-04-20T08:00"}],
              "b.csv": [{"tag": "A", "host_reading": 800, "read_at": "2026-04-20"}]}),
    fires("host-reading-differs", "one display step more than 2 % of the span",
          "reading", "host_reading", "range_low", "range_high",
          planned=SPAN, found=SPAN | {"reading": 500, "host_reading": "520.1"}),
    fires("offset-unexplained", "one step, in kelvins", "offset", "calibration_record",
          settings={"offset": {"kind": "decimal", "unit": "°C", "step": 0.1}}, found={"offset": "0.1 K"}),
]  # fmt: skip

SILENT = [
    silent("silent-node", "as often as the device is set to report", planned={"report_interval": 60},
           found={"report_interval": 600, "last_heard": 300}),
    silent("reading-implausible", "a range that falls", planned={"range_low": 100, "range_high": 0},
           found={"reading": 50, "check_reading": 50}),
    silent("silent-node", "exactly three intervals", planned={"report_interval": 300},
           found={"last_heard": 900}),
    *(silent("silent-node", f"last heard {text}", planned={"report_interval": 300},
             found={"list.csv": [{"last_heard": text, "read_at": "2026-04-01T08:00"}]})
      for text in ("00:15:00", "2026-04-01T07:45:00")),
    silent("silent-node", "not in the gateway's list", idle=True, planned={"report_interval": 300},
           found={"last_heard": "n/a"}),
    silent("silent-node", "a dash in a list in which no row of its gateway says when", planned=TWO,
           found=_list("-", other_gateway="GW-9")),
    silent("silent-node", "a dash in a sheet that was filled in at the devices", planned=TWO,
           found=_list("-", report_interval="300")),
    silent("silent-node", "no interval planned", idle=None, found={"last_heard": 901}),
    silent("silent-node", "an interval in minutes", planned={"report_interval": 5}, found={"last_heard": 600},
           settings={"report_interval": {"kind": "integer", "unit": "min"}}),
    silent("stale-shown-good", "silent, and bad at the host",
           planned={"report_interval": 300}, found={"last_heard": 901, "host_quality": "bad"}),
    silent("stale-shown-good", "exactly three intervals",
           planned={"report_interval": 300}, found={"last_heard": 900, "host_quality": "good"}),
    silent("stale-shown-good", "no interval planned", idle=None,
           found={"last_heard": 901, "host_quality": "good"}),
    silent("host-timeout-short", "exactly three intervals",
           planned={"report_interval": 300, "host_timeout": 900},
           found={"report_interval": 300, "host_timeout": 900}),
    silent("host-timeout-short", "no interval anywhere", idle=None,
           planned={"host_timeout": 900}, found={"host_timeout": 900}),
    silent("offset-unexplained", "zero", found={"offset": "0.0"}),
    silent("offset-unexplained", "the plan names the record",
           planned={"offset": "3.2", "calibration_record": "CAL-7"}, found={"offset": "3.2"}),
    silent("offset-unexplained", "with a record", found={"offset": "3.2", "calibration_record": "CAL-7"}),
    silent("offset-unexplained", "with a record that is a number",
           settings={"calibration_record": {"kind": "integer"}},
           planned={"calibration_record": 7}, found={"offset": "3.2", "calibration_record": "7"}),
    silent("reading-implausible", "exactly 2 % of the span",
           planned=SPAN, found=SPAN | {"reading": 520, "check_reading": 500}),
    silent("host-reading-differs", "exactly 2 % of the span: they are not read in the same second",
           planned=SPAN, found=SPAN | {"reading": 520, "host_reading": 500}),
    silent("host-reading-differs", "the same in another unit",
           settings={"host_reading": {"kind": "decimal", "unit": "bar", "step": 0.001}},
           planned=SPAN, found=SPAN | {"reading": 520, "host_reading": 5.2}),
    silent("host-reading-differs", "in percent of the range", idle=None,
           settings={"host_reading": {"kind": "decimal", "unit": "%", "step": 0.1}},
           planned=SPAN, found=SPAN | {"reading": 500, "host_reading": 50}),
    silent("host-reading-differs", "gauge beside absolute pressure", idle=None,
           settings={"reading": {"kind": "decimal", "unit": "kPa abs", "step": 0.1}},
           planned=SPAN, found=SPAN | {"reading": 312, "host_reading": 211}),
    silent("host-reading-differs", "read on another day, when the value may have been another", idle=None,
           planned=SPAN, found={
               "a.csv": [{"tag": "A", "reading": 500, "read_at": "2026-04-14T08:00"}],
               "b.csv": [{"tag": "A", "host_reading": 800, "read_at": "2026-04-20"}]}),
    silent("host-reading-differs", "no range planned", idle=None,
           found={"reading": 520, "host_reading": 100}),
    silent("reading-implausible", "no range planned", idle=None,
           found={"reading": 520, "check_reading": 100}),
    silent("reading-implausible", "the same in another unit",
           settings={"check_reading": {"kind": "decimal", "unit": "bar", "step": 0.001}},
           planned=SPAN, found={"reading": 520, "check_reading": 5.2}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """A device for which the expression is true is reported with all values that the expression uses."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """An expression that is false, or lacks what it needs, reports nothing and stops nothing."""
    case.check(tmp_path)


def own_rule(when: str, **check: object) -> dict[str, object]:
    """Return site rules with one rule `own`, an expression."""
    rule = {"id": "own", "title": "An own rule", "level": "note", "why": "w", "remedy": "r", "source": "s",
            "check": {"kind": "expression", "when": when, **check}}  # fmt: skip
    return {"rules": [rule]}


def test_a_site_can_say_what_no_kind_can(tmp_path: Path) -> None:
    """A site's own rule sees settings by role and by name, and its title is the message."""
    rules = own_rule(
        "found.channel > 30.0 && found.display_note.startsWith('roof')", needs=["channel", "display_note"]
    )
    found = [
        {"channel": 31, "display_note": "roof 1"},
        {"channel": 31, "display_note": "hall"},
        {"channel": 31},
    ]

    findings = audit_of(tmp_path, rules="own", planned=[{}, {}, {}], found=found, site_rules=rules)

    assert [(f.node, f.message, f.level) for f in findings] == [("A", "An own rule", "note")]


def test_a_rule_that_lacks_what_it_needs_is_listed_with_the_reason(tmp_path: Path) -> None:
    """A rule whose role no device type has is not silently a pass."""
    rules = own_rule("found.offset > 1.0", needs=["offset"])

    result = result_of(
        tmp_path, found={}, site_rules=rules, settings={"offset": None}, hub_settings={"offset": None}
    )

    reasons = {entry.rule: entry.reason for entry in result.not_checked}
    assert reasons["own"] == "no device type has a setting for it: offset"


def test_numbers_that_are_not_side_by_side_are_not_checked(tmp_path: Path) -> None:
    """Readings of different days, and 50 % beside 500 kPa, are neither a finding nor a pass."""
    shown = {"host_reading": {"kind": "decimal", "unit": "%", "step": 0.1}}
    found = {
        "device.csv": [{"tag": "A", "reading": 500, "read_at": "2026-04-14"},
                       {"tag": "B", "reading": 500, "read_at": "2026-04-14"}],
        "host.csv": [{"tag": "A", "host_reading": 50, "read_at": "2026-04-20"},
                     {"tag": "B", "host_reading": 50, "read_at": "2026-04-14"}],
    }  # fmt: skip
    site: dict[str, Any] = {"planned": [SPAN, SPAN], "found": found}

    days = result_of(tmp_path / "days", **site)
    units = result_of(tmp_path / "units", **site, settings=shown)

    told = [{e.rule: e.reason for e in one.not_checked}["host-reading-differs"] for one in (days, units)]
    assert told == ["in part, for lack of readings of one day on 1 (A)",
                    "for lack of units that convert into each other"]  # fmt: skip


def test_a_device_is_not_checked_where_a_blank_leaves_an_expression_without_a_result(tmp_path: Path) -> None:
    """B has no planned range, and what was read of it was not told as passed, nor as not read."""
    planned: list[dict[str, Any]] = [SPAN, {}]
    found = [{"reading": 500, "host_reading": 500}, {"reading": 500, "host_reading": 800}]
    result = result_of(tmp_path / "some", planned=planned, found=found)
    alone = result_of(tmp_path / "all", planned=planned[1:2], found=found[1:2])

    told = {entry.rule: entry.reason for entry in result.not_checked}
    assert told["host-reading-differs"] == "in part, for lack of a planned range_low, range_high on 1 (B)"
    told = {entry.rule: entry.reason for entry in alone.not_checked}
    assert told["host-reading-differs"] == "for lack of a planned range_low, range_high"


def test_numbers_of_a_plan_are_side_by_side_whenever_they_were_read(tmp_path: Path) -> None:
    """A site's rule on the plan as well is not kept from it by readings of two days."""
    rules = own_rule("planned.alarm_low > planned.alarm_high", needs=["alarm_low", "alarm_high"],
                     side_by_side=True)  # fmt: skip
    rules["rules"][0]["sides"] = ["planned", "found"]  # type: ignore[index]
    found = {"a.csv": [{"tag": "A", "alarm_low": 90, "read_at": "2026-04-14"}],
             "b.csv": [{"tag": "A", "alarm_high": 80, "read_at": "2026-04-20"}]}  # fmt: skip
    site: dict[str, Any] = {
        "planned": {"alarm_low": 90, "alarm_high": 80},
        "found": found,
        "site_rules": rules,
    }

    days = result_of(tmp_path / "days", **site)
    site["settings"] = {"alarm_low": {"kind": "decimal", "unit": "%", "step": 0.1}}
    units = result_of(tmp_path / "units", **site)

    assert [f.node for f in days.findings if f.rule == "own"] == ["A"]
    told = [{e.rule: e.reason for e in one.not_checked}["own"] for one in (days, units)]
    assert told == ["in part, for lack of readings of one day on 1 (A)",
                    "for lack of units that convert into each other"]  # fmt: skip


@pytest.mark.parametrize(("high", "found"), [("79", []), ("81", ["own-rule"])])
def test_a_difference_has_no_zero_to_shift(high: str, found: list[str], tmp_path: Path) -> None:
    """A deadband of 2 K takes 2 from an alarm in °C, and not 2 - 273.15."""
    celsius = {"kind": "decimal", "unit": "°C", "step": 0.1}
    site = small_site(
        tmp_path,
        settings=[*SETTINGS, {"name": "hot", "role": "alarm_high_high", **celsius},
                  {"name": "band", "role": "deadband", **celsius, "unit": "K"}],
        found={"N-1": {"hot": high, "band": "2"}},
    )  # fmt: skip
    rules = site.own_rules({"kind": "expression", "when": "found.alarm_high_high - found.deadband > 78.0",
                            "needs": ["alarm_high_high", "deadband"]})  # fmt: skip

    assert [r for r in site.rules_found("--rules", rules) if r == "own-rule"] == found


def test_a_setting_that_a_rule_may_use_and_no_device_has_is_null(tmp_path: Path) -> None:
    """A device type without report interval has nothing for the rule on silent nodes, and breaks nothing."""
    without: dict[str, Any] = {
        "settings": {"report_interval": None},
        "hub_settings": {"report_interval": None},
    }

    assert audit_of(tmp_path, rules="silent-node", planned={}, found={"last_heard": 9}, **without) == []


def test_a_text_is_compared_with_a_setting_that_no_device_has(tmp_path: Path) -> None:
    """What no device type has is null, and is not checked against options."""
    site = small_site(tmp_path)
    when = 'found.join_window == "open" && found.channel == 7.0'
    rules = site.own_rules(
        {"kind": "expression", "when": when, "needs": ["channel"], "may_use": ["join_window"]}
    )

    assert site.check("--rules", rules).code == 0


@pytest.mark.parametrize(("options", "code"), [(["9.6", "50"], 0), (["slow", "fast"], 2)])
def test_options_that_are_numbers_can_be_calculated_with(
    options: list[str], code: int, tmp_path: Path
) -> None:
    """As our own rules do; options that are words cannot, which is reported before any check."""
    rate = {"name": "rate", "kind": "option", "options": options}
    site = small_site(tmp_path, settings=[*SETTINGS, rate], defaults={"rate": options[0]})
    own = site.own_rules({"kind": "expression", "when": "double(found.rate) > 10.0", "needs": ["rate"]})

    assert site.check("--rules", own).code == code


def test_an_expression_that_divides_by_zero_is_reported_in_words(tmp_path: Path) -> None:
    """Arithmetic that fails is a slip in the rule, reported with the device on which it fails."""
    site = small_site(tmp_path)
    rules = site.own_rules(
        {"kind": "expression", "when": "1 / (int(found.channel) - 7) > 0", "needs": ["channel"]}
    )

    outcome = site.check("--rules", rules)

    assert outcome.code == 2
    assert "'own-rule': its expression cannot be evaluated: division by zero" in outcome.stderr
    assert "with the values of N-1" in outcome.stderr
    assert "found.csv:3:" in outcome.stderr


@pytest.mark.parametrize("text", ["00:15:01", "2026-04-01T07:44:59"])
def test_a_span_or_a_time_of_hearing_counts_as_seconds(tmp_path: Path, text: str) -> None:
    """One second more than three intervals before the list was made; the text is shown as written."""
    found = {"list.csv": [{"last_heard": text, "read_at": "2026-04-01T08:00"}]}
    result = result_of(tmp_path, planned={"report_interval": 300}, found=found)

    (finding,) = (finding for finding in result.findings if finding.rule == "silent-node")
    assert (finding.raw, finding.found) == (text, "last_heard 901 s, report_interval not read")


def test_the_shell_of_the_library_is_not_loaded() -> None:
    """A small site is checked in the time that its import would take."""
    code = "from audit.checks.expression import program; import sys; program('1 > 0'); print(*sys.modules)"
    loaded = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True).stdout

    assert "cel" in loaded.split()
    assert not {"prompt_toolkit", "rich", "typer"} & {*loaded.split()}
