"""Waivers: they excuse one exact value for a time, and hide nothing."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

from audit.errors import InputProblems
from audit.model.result import Finding, Result
from audit.reporting import html_report, json_report, markdown_report, text_report
from audit.run import Order, run
from tests.site_builder import SiteOf

TODAY = "2026-05-01"
SITE: dict[str, Any] = {
    "planned": {"channel": 7, "firmware": "1.0"},
    "found": {"channel": 7, "firmware": "0.9", "default_refused": "yes"},
    "gateway": {"channel": 7},
    "gateway_found": {"channel": 7, "default_refused": "yes"},
}
"""Node A, whose firmware is 0.9 instead of 1.0."""


def waiver(**changes: Any) -> dict[str, Any]:
    """Return a live waiver of A's firmware, with some keys changed; None takes a key away."""
    keys = {
        "id": "W-1", "rule": "setting-differs", "node": "A", "setting": "firmware", "value": "0.9",
        "reason": "update planned", "owner": "O. Example", "approver": "A. Sample", "issued": "2026-03-01",
        "expires": "2026-09-01",
    } | changes  # fmt: skip
    return {key: value for key, value in keys.items() if value is not None}


def audited(folder: Path, *waivers: dict[str, Any], **changes: Any) -> Result:
    """Check the site with some waivers."""
    order = SiteOf(**(SITE | changes)).write(folder)
    file = folder / "waivers.json"
    file.write_text(json.dumps({"asfound": "waivers/1", "waivers": waivers}), encoding="utf-8")
    return run(Order(order.plan, order.readback, run_on=TODAY, waivers=[file] if waivers else []))


def about_waivers(result: Result) -> list[Finding]:
    """Return the findings about waivers."""
    return [finding for finding in result.findings if finding.rule.startswith("waiver-")]


def test_a_waiver_of_an_unknown_node_may_also_be_too_long(tmp_path: Path) -> None:
    """A waiver's term is checked even if its node is unknown: a retired node is no reason for a long one."""
    result = audited(tmp_path, waiver(node="B", issued="2026-01-01", expires="2027-03-01"))

    assert {finding.rule: finding.message for finding in about_waivers(result)} == {
        "waiver-too-long": "waiver W-1 (setting-differs on B) runs for 424 days",
        "waiver-unused": "waiver W-1 (setting-differs on B) excuses nothing that was found: no device 'B' is "
        "planned or was found; known: 'A', GW-North",
    }


def test_a_waiver_without_end_is_told_in_readable_days(tmp_path: Path) -> None:
    """Some write the last day of the calendar for none."""
    result = audited(tmp_path, waiver(expires="9999-12-31"))

    (told,) = [finding for finding in about_waivers(result) if finding.rule == "waiver-too-long"]
    assert told.message.endswith("runs for 2,912,383 days")


@pytest.mark.parametrize(
    ("planned", "found", "rule"),
    [("0.9", "0.9", "waiver-unused"), ("1.0", "1.0", "waiver-unused"), ("1.0", "0.9", "waiver-expired")],
    ids=["the plan has followed", "set back", "still off plan"],
)
def test_an_expired_waiver_of_drift(planned: str, found: str, rule: str, tmp_path: Path) -> None:
    """What it excused in drift concerns check only as long as the device is off plan with that value."""
    one = waiver(rule="drift-unexplained", expires="2026-04-30")
    sides = {"planned": SITE["planned"] | {"firmware": planned}, "found": SITE["found"] | {"firmware": found}}

    result = audited(tmp_path, one, **sides)

    assert [finding.rule for finding in about_waivers(result)] == [rule]


def test_a_live_waiver_excuses_and_hides_nothing(tmp_path: Path) -> None:
    """The finding is listed with its waiver, counts as waived, and fails no gate."""
    before, after = audited(tmp_path / "a"), audited(tmp_path / "b", waiver())

    finding = next(f for f in after.findings if f.rule == "setting-differs")
    assert (before.verdict, after.verdict) == ("fail", "pass")
    assert finding.waived is not None
    assert (finding.waived.waiver, finding.waived.approver) == ("W-1", "A. Sample")
    assert (after.counts.errors, after.counts.waived, after.counts.differing) == (0, 1, 1)
    assert [used.state for used in after.waivers] == ["in use"]


def test_a_difference_whose_waiver_has_expired_comes_where_what_is_worst_about_it_belongs(
    tmp_path: Path,
) -> None:
    """It is a note itself, but fails the run: a list of causes may be cut off after the first hundred."""
    levels = {"levels": {"setting-differs": "note", "channel-differs": "warning"}}
    result = audited(
        tmp_path, waiver(expires="2026-04-30"), site_rules=levels,
        found={"channel": 8, "firmware": "0.9", "default_refused": "yes"},
    )  # fmt: skip

    assert [(finding.level, finding.rule) for finding in result.findings] == [
        ("note", "setting-differs"), ("error", "waiver-expired"), ("warning", "channel-differs"),
    ]  # fmt: skip


def test_a_waiver_may_run_to_the_last_day_of_the_calendar(tmp_path: Path) -> None:
    """Such a waiver is in use, and has no day after it on which another could renew it."""
    result = audited(tmp_path, waiver(expires="9999-12-31"))

    assert [used.state for used in result.waivers] == ["in use"]


@pytest.mark.parametrize(
    "changes",
    [
        {"value": "0.8"},
        {"node": "B"},
        {"rule": "channel-differs", "setting": "channel", "value": "0.9"},
        {"setting": "channel"},
        {"expires": "2026-04-30"},
        {"issued": "2026-05-02"},
    ],
    ids=["another value", "another node", "another rule", "another setting", "expired", "not issued yet"],
)
def test_nothing_else_is_excused(tmp_path: Path, changes: dict[str, Any]) -> None:
    """A waiver excuses one rule's finding on one node and setting with one value, from issue to expiry."""
    result = audited(tmp_path, waiver(**changes))

    assert result.verdict == "fail"
    assert all(finding.waived is None for finding in result.findings)


def test_the_value_is_compared_as_a_value(tmp_path: Path) -> None:
    """A number counts by its value, so that 08 excuses 8."""
    site = {"planned": {"channel": 7}, "found": {"channel": 8}}
    result = audited(tmp_path, waiver(rule="channel-differs", setting="channel", value="08"), **site)

    assert [f.waived is not None for f in result.findings if f.rule == "channel-differs"] == [True]


@pytest.mark.parametrize(
    ("value", "excused"),
    [("2.8 bar = 280 kPa g", True), ("2.8 bar", True), ("280", True), ("2.9 bar", False)],
)
def test_a_value_may_be_quoted_as_reports_show_it(tmp_path: Path, value: str, excused: bool) -> None:
    """A value copied from a punch list counts as the value that was approved."""
    site = {"planned": {"alarm_high": 250}, "found": {"alarm_high": "2.8 bar"}}
    result = audited(tmp_path, waiver(rule="alarm-off-plan", setting="alarm_high", value=value), **site)

    assert [f.waived is not None for f in result.findings if f.rule == "alarm-off-plan"] == [excused]


@pytest.mark.parametrize(
    ("changes", "state", "rules"),
    [
        ({"found": {"tag": "B", "channel": 7}}, "not read", []),
        ({"found": {"channel": 7, "firmware": ""}}, "not read", []),
        ({"found": {"channel": 7, "firmware": "1.0"}}, "unused", ["waiver-unused"]),
    ],
    ids=["another node was read", "another setting was read", "it is corrected"],
)
def test_a_waiver_of_what_was_not_read_is_kept(
    tmp_path: Path, changes: dict[str, Any], state: str, rules: list[str]
) -> None:
    """A stage that reads other nodes closes no waiver: the difference may still be there."""
    result = audited(tmp_path, waiver(), **changes)

    assert [used.state for used in result.waivers] == [state]
    assert [finding.rule for finding in about_waivers(result)] == rules


@pytest.mark.parametrize(
    ("day", "shown", "state"),
    [("2026-04-14", 800, "in use"), ("2026-04-14", 500, "unused"), ("2026-04-20", 800, "not read")],
)
def test_a_waiver_of_numbers_that_are_not_side_by_side_is_kept(
    tmp_path: Path, day: str, shown: int, state: str
) -> None:
    """The host was read again six days after the device: nothing shows that the two agree now."""
    found = {"a.csv": [{"tag": "A", "reading": 500, "read_at": "2026-04-14"}],
             "b.csv": [{"tag": "A", "host_reading": shown, "read_at": day}]}  # fmt: skip
    value = "reading 500 kPa g, host_reading 800 kPa g, range_low not read, range_high not read"
    one = waiver(rule="host-reading-differs", setting="host_reading", value=value)
    result = audited(tmp_path, one, planned={"range_low": 0, "range_high": 1000}, found=found)

    assert [used.state for used in result.waivers] == [state]


@pytest.mark.parametrize(("value", "state"), [("99y9", "lapsed"), ("12x5", "in use")])
def test_an_unclear_reading_is_excused_by_the_same_text(tmp_path: Path, value: str, state: str) -> None:
    """A reading that is not a value is excused only by exactly the same text."""
    site = {"planned": {"alarm_high": 80}, "found": {"alarm_high": "12x5"}}
    result = audited(tmp_path, waiver(rule="reading-unclear", setting="alarm_high", value=value), **site)

    assert [used.state for used in result.waivers] == [state]


@pytest.mark.parametrize(
    ("value", "state"),
    [("tag A, serial S9", "in use"), ("tag A, serial S8", "lapsed"), ("S9", "lapsed"), (None, "lapsed")],
)
def test_a_finding_about_no_setting_is_excused_as_found(
    tmp_path: Path, value: str | None, state: str
) -> None:
    """A serial number that does not belong is excused by what was found, as reports show it."""
    site = {"planned": {"tag": "A", "serial": "S1"}, "found": {"tag": "A", "serial": "S9"}}
    one = waiver(rule="tag-serial-mismatch", setting=None, value=value)

    assert [used.state for used in audited(tmp_path, one, **site).waivers] == [state]


def test_a_waiver_of_a_device_not_read_that_gives_a_value_says_what_to_take_out(tmp_path: Path) -> None:
    """Reports show no value for a device that was not read, so any value is one too many."""
    site = {"planned": [{"tag": "A"}, {"tag": "B"}], "found": {"tag": "B", "channel": 7}}
    one = waiver(rule="node-not-read", setting=None, value="not read")

    (lapsed,) = about_waivers(audited(tmp_path, one, **site))
    assert "excuses not read, but reports show no value there: take the value out" in lapsed.message


@pytest.mark.parametrize(
    ("value", "state"),
    [
        ("alarm_high 90 kPa g, range_low 0 kPa g, range_high 80 kPa g", "in use"),
        ("alarm_high 90 kPa g, range_low 0 kPa g, range_high 85 kPa g", "lapsed"),
        ("90", "lapsed"),
    ],
    ids=["all values", "another range then", "one value of three"],
)
def test_a_finding_on_several_values_is_excused_with_all_of_them(
    tmp_path: Path, value: str, state: str
) -> None:
    """An alarm outside its range depends on the range as well, which somebody must have assessed."""
    site = {"planned": {"alarm_high": 90}, "found": {"alarm_high": 90, "range_low": 0, "range_high": 80}}
    one = waiver(rule="alarm-outside-range", setting="alarm_high", value=value)
    result = audited(tmp_path, one, **site)

    assert [used.state for used in result.waivers] == [state]
    assert all("found alarm_high 90 kPa g, range_low" in finding.message for finding in about_waivers(result))


def test_a_device_outside_the_plan_is_excused_as_its_report_says(tmp_path: Path) -> None:
    """Its serial number is in a column of its own, and the lapsed waiver says what value it needs."""
    stray = {"gateway_found": {"tag": "ST-1", "serial": "777"}}
    one = waiver(rule="unplanned-node", node="ST-1", setting=None, value=None)
    lapsed = audited(tmp_path / "a", one, **stray)
    stranger = next(finding for finding in lapsed.findings if finding.rule == "unplanned-node")

    assert (stranger.serial, stranger.found) == ("777", "tag ST-1 serial 777")
    assert "excuses no value; found tag ST-1 serial 777: correct it, or" in about_waivers(lapsed)[0].message
    again = audited(tmp_path / "b", one | {"value": stranger.found}, **stray)
    assert [used.state for used in again.waivers] == ["in use"]


@pytest.mark.parametrize(
    ("firmware", "state", "rule", "level"),
    [
        ("1.0", "expired, nothing left", "waiver-unused", "note"),
        ("0.9", "expired", "waiver-expired", "error"),
        ("0.8", "expired", "waiver-expired", "error"),
        ("", "expired", "waiver-expired", "error"),
    ],
    ids=["corrected", "as it was", "another value", "not read"],
)
def test_an_expired_waiver_whose_difference_is_corrected_has_to_be_closed(
    firmware: str, state: str, rule: str, level: str, tmp_path: Path
) -> None:
    """Such a waiver fails no gate; one fails it only if the difference is still there, or was not read."""
    found = SITE["found"] | {"firmware": firmware}
    result = audited(tmp_path, waiver(expires="2026-04-30"), found=found)

    assert [used.state for used in result.waivers] == [state]
    assert [(f.rule, f.level) for f in about_waivers(result)] == [(rule, level)]
    told = about_waivers(result)[0].message
    assert ("nothing shows whether the difference is still there" in told) == (firmware == "")


@pytest.mark.parametrize(
    ("first", "then", "states"),
    [
        ({"expires": "2026-04-30"}, {}, ["renewed", "in use"]),
        ({"value": "0.8"}, {}, ["renewed", "in use"]),
        ({"expires": "2026-05-20"}, {}, ["renewed", "in use"]),
        ({"expires": "2026-05-20"}, {"issued": "2026-05-21"}, ["renewed", "not yet in force"]),
        ({"expires": "2026-05-20"}, {"issued": "2026-05-22"}, ["in use", "not yet in force"]),
        ({"expires": "2026-04-30"}, {"value": "0.8"}, ["expired", "lapsed"]),
        ({"expires": "2026-04-30"}, {"issued": "2026-05-02"}, ["expired", "not yet in force"]),
    ],
    ids=["expired", "lapsed", "expiring", "from the day after", "a day between", "of another value", "later"],
)
def test_a_renewed_waiver_is_not_a_finding(
    first: dict[str, Any], then: dict[str, Any], states: list[str], tmp_path: Path
) -> None:
    """The old one is no finding if another one excuses the same from then on."""
    result = audited(tmp_path, waiver(**first), waiver(id="W-2", **then))
    waivers = {f.message.split(" (")[0] for f in about_waivers(result)}

    assert [used.state for used in result.waivers] == states
    assert ("waiver W-1" in waivers) == (states[0] != "renewed")


def test_a_renewed_waiver_of_what_was_not_read_is_not_a_finding(tmp_path: Path) -> None:
    """A stage that reads other nodes does not fail because of a waiver that was renewed."""
    result = audited(tmp_path, waiver(expires="2026-04-30"), waiver(id="W-2"), found={"tag": "B"})

    assert [used.state for used in result.waivers] == ["renewed", "not read"]
    assert about_waivers(result) == []


def test_of_two_waivers_the_one_that_runs_longest_counts(tmp_path: Path) -> None:
    """Whatever their order in the file, the report says until when the finding is excused."""
    result = audited(tmp_path, waiver(), waiver(id="W-2", expires="2026-08-01"))

    assert [f.waived.expires for f in result.findings if f.waived] == ["2026-09-01"]


@pytest.mark.parametrize(
    ("changes", "says"),
    [({"expires": "2026-04-30"}, "or have it renewed by its approver"), ({"value": "0.8"}, "found 0.9")],
    ids=["expired", "lapsed"],
)
def test_a_waiver_that_has_ended_goes_with_its_difference(
    changes: dict[str, Any], says: str, tmp_path: Path
) -> None:
    """There is one thing to correct, and one cause; what to do about the waiver is listed there."""
    result = audited(tmp_path, waiver(**changes))

    (about,) = about_waivers(result)
    assert (about.caused_by, result.counts.root_causes) == ("setting-differs/North/A/firmware", 1)
    assert says in about.message
    assert about.message[:20] in text_report.render(result).split("1 follow-on finding:")[1]


def test_a_warning_whose_waiver_has_ended_is_no_worse_for_it(tmp_path: Path) -> None:
    """The waiver's finding is listed under the difference, which keeps its own level."""
    own = {"levels": {"setting-differs": "warning"}}
    result = audited(tmp_path, waiver(expires="2026-04-30"), site_rules=own)

    (difference,) = [f for f in result.findings if f.rule == "setting-differs"]
    (about,) = about_waivers(result)
    assert (difference.level, about.level, about.caused_by) == ("warning", "error", difference.id)


def test_a_finding_about_a_waiver_says_where_and_what_was_found(tmp_path: Path) -> None:
    """Nobody has to look elsewhere for the device or the value."""
    planned = {"serial": "410033", "location": "Chamber 3", "firmware": "1.0"}
    found = SITE["found"] | {"serial": "410033"}
    (lapsed,) = about_waivers(audited(tmp_path, waiver(value="0.8"), planned=planned, found=found))

    assert (lapsed.network, lapsed.node, lapsed.serial, lapsed.location) == (
        "North", "A", "410033", "Chamber 3",
    )  # fmt: skip
    assert (lapsed.planned, lapsed.found) == ("1.0", "0.9")
    assert [Path(place.file).name for place in lapsed.evidence] == ["waivers.json", "found.csv"]


def test_a_waiver_that_excuses_nothing_is_listed_with_the_network_of_its_node(tmp_path: Path) -> None:
    """Whoever looks at one network sees it there, though nothing was found that it could be about."""
    (unused,) = about_waivers(audited(tmp_path, waiver(), found=SITE["found"] | {"firmware": "1.0"}))

    assert (unused.rule, unused.network, unused.node) == ("waiver-unused", "North", "A")


def test_the_list_of_waivers_is_blank_where_a_waiver_names_no_setting_or_value(tmp_path: Path) -> None:
    """Such as one of a finding about a whole device."""
    result = audited(tmp_path, waiver(rule="node-not-read", setting=None, value=None))

    rows = text_report.render(result).partition("\nWAIVERS\n")[2].splitlines()
    assert rows[2].split() == ["W-1", "unused", "node-not-read", "A", "2026-09-01"]


def test_a_lapsed_waiver_of_a_wrong_plan_says_what_is_planned(tmp_path: Path) -> None:
    """A fault of the plan alone has no value found; the one that a waiver would have to name is planned."""
    alarms = {"channel": 7, "range_low": 0, "range_high": 1000, "alarm_high": 950, "alarm_high_high": 900}
    wrong = waiver(rule="alarm-order-wrong", setting="alarm_high", value="950 kPa g")

    (lapsed,) = about_waivers(audited(tmp_path, wrong, planned=alarms, found=alarms))

    assert "planned alarm_high 950 kPa g, alarm_high_high 900 kPa g: correct it" in lapsed.message


def test_the_last_day_counts(tmp_path: Path) -> None:
    """A waiver is in force on the day of its issue and on the day of its expiry."""
    assert audited(tmp_path / "a", waiver(expires=TODAY)).counts.waived == 1
    assert audited(tmp_path / "b", waiver(issued=TODAY)).counts.waived == 1
    assert audited(tmp_path / "c", waiver(issued=TODAY, expires=TODAY)).counts.waived == 1


def test_what_follows_from_a_waived_finding_is_reported_separately(tmp_path: Path) -> None:
    """The waiver names one rule and value; an error that it does not name fails the gate, and is reported."""
    alarms = {"channel": 7, "range_low": 0, "range_high": 1000, "alarm_high": 800, "alarm_high_high": 900}
    found = alarms | {"alarm_high": 950, "default_refused": "yes"}
    agreed = waiver(rule="alarm-off-plan", setting="alarm_high", value="950")
    result = audited(tmp_path, agreed, planned=alarms, found=found)

    follows = next(finding for finding in result.findings if finding.rule == "alarm-order-wrong")
    assert (result.verdict, result.counts.errors, result.counts.root_causes) == ("fail", 1, 1)
    assert follows.caused_by is None
    assert "1. error: North A: alarm_high 950 kPa g is not below" in text_report.render(result)


def test_what_is_waived_under_a_cause_is_not_an_open_error_there(tmp_path: Path) -> None:
    """Each report that lists the findings under a cause says which of them are waived."""
    alarms = {"range_low": 0, "range_high": 1000, "alarm_high": 800, "alarm_high_high": 900}
    found = alarms | {"alarm_high": 950, "default_refused": "yes"}
    agreed = waiver(rule="alarm-order-wrong", setting="alarm_high",
                    value="alarm_high 950 kPa g, alarm_high_high 900 kPa g")  # fmt: skip
    result = audited(tmp_path, agreed, planned=alarms, found=found)

    assert "- waived (W-1), A: alarm_high 950 kPa g is not below" in text_report.render(result)
    assert 'waived by W-1</span> <b class="tag">A</b>: alarm_high 950' in html_report.render(result)
    assert "follow-on findings: 1, 1 of them waived" in markdown_report.render(result)


def test_a_cause_is_waived_once_all_its_findings_are(tmp_path: Path) -> None:
    """A finding that only sums up others fails no gate once all of them are waived."""
    nodes = [{"tag": tag, "firmware": "1.0"} for tag in "ABC"]
    found = [{"tag": tag, "channel": 7, "firmware": "0.9", "default_refused": "yes"} for tag in "ABC"]
    some = [waiver(id=f"W-{tag}", node=tag) for tag in "ABC"]

    assert audited(tmp_path / "a", *some, planned=nodes, found=found).verdict == "pass"
    assert audited(tmp_path / "b", *some[:2], planned=nodes, found=found).verdict == "fail"


@dataclass(frozen=True)
class Case:
    """A waiver, and whether a rule about waivers fires for it."""

    rule: str
    name: str
    changes: dict[str, Any] = field(default_factory=dict)
    says: str = ""

    def __str__(self) -> str:
        """Return the id of the case in the test report."""
        return f"{self.rule}: {self.name}"


FIRES = [
    Case("waiver-expired", "yesterday", {"expires": "2026-04-30"}, "expired on 2026-04-30"),
    Case(
        "waiver-unused",
        "expired, of a node that is gone or has another tag",
        {"expires": "2026-04-30", "node": "B"},
        "no device 'B' is planned or was found; under another tag it may still differ: close the waiver",
    ),
    Case("waiver-expiring", "today", {"expires": TODAY}, "expires on 2026-05-01, today"),
    Case("waiver-expiring", "tomorrow", {"expires": "2026-05-02"}, "expires on 2026-05-02, tomorrow"),
    Case("waiver-expiring", "in 30 days", {"expires": "2026-05-31"}, "in 30 days"),
    Case("waiver-lapsed", "another value", {"value": "0.8"}, "excuses 0.8; found 0.9"),
    Case("waiver-unused", "another node", {"node": "B"}, "excuses nothing"),
    Case(
        "waiver-unused",
        "a node that does not exist",
        {"node": "b2"},
        "no device 'b2' is planned or was found; ",
    ),
    Case("waiver-unused", "a wildcard", {"node": "A*"}, "name one, since there are no wildcards; "),
    Case(
        "waiver-unused",
        "without the setting that the rule is about",
        {"setting": None},
        "it names no setting, but the rule reports firmware",
    ),
    Case(
        "waiver-unused",
        "with another setting than the rule's",
        {"setting": "channel"},
        "it names the setting channel, but the rule reports firmware",
    ),
    Case("waiver-unused", "another rule", {"rule": "channel-differs", "setting": "channel", "value": "9"}),
    Case(
        "waiver-too-long",
        "a year and two days",
        {"issued": "2026-04-01", "expires": "2027-04-03"},
        "367 days",
    ),
    Case("waiver-not-in-force", "tomorrow", {"issued": "2026-05-02"}, "until 2026-05-02"),
]
SILENT = [
    Case("waiver-expired", "today", {"expires": TODAY}),
    Case("waiver-expiring", "in 31 days", {"expires": "2026-06-01"}),
    Case("waiver-expiring", "unused", {"expires": "2026-05-31", "node": "B"}),
    Case("waiver-lapsed", "in use"),
    Case("waiver-unused", "in use"),
    Case("waiver-too-long", "a year and a day", {"issued": "2026-04-01", "expires": "2027-04-02"}),
    Case("waiver-too-long", "over since yesterday", {"issued": "2025-01-01", "expires": "2026-04-30"}),
    Case("waiver-not-in-force", "today", {"issued": TODAY}),
]


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Case, tmp_path: Path) -> None:
    """What is wrong with a waiver is reported once, with the file and line of the waiver."""
    found = [f for f in about_waivers(audited(tmp_path, waiver(**case.changes))) if f.rule == case.rule]

    assert len(found) == 1
    assert case.says in found[0].message
    assert found[0].evidence[0].file.endswith("waivers.json")


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Case, tmp_path: Path) -> None:
    """A waiver with nothing wrong is not mentioned."""
    found = about_waivers(audited(tmp_path, waiver(**case.changes)))

    assert [f.message for f in found if f.rule == case.rule] == []


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"rule": "seting-differs"}, "unknown rule 'seting-differs'"),
        ({"rule": "default-code-acceptedd"}, "unknown rule 'default-code-acceptedd'"),
        ({"rule": "code-trivial-swordfish"}, "unknown rule (not shown, it may hold an access code)"),
        ({"rule": "default-code-8068"}, "unknown rule (not shown, it may hold an access code)"),
        ({"setting": "firmwar"}, "unknown setting 'firmwar'"),
        ({"value": None}, "does not say which value"),
        ({"approver": "o. example"}, "the same person"),
        ({"approver": "O  Example (works)"}, "the same person"),
        ({"expires": "2026-02-01"}, "expires before"),
        ({"reason": None}, "'reason' is missing"),
        ({"node": "*", "rule": "*"}, "not a name of the right form"),
        ({"rule": "code-trivial", "setting": "access_code", "value": "8068"}, "must not hold an access code"),
    ],
    ids=[
        "rule",
        "rule named for codes",
        "rule followed by a word",
        "rule followed by a number",
        "setting",
        "no value",
        "one person",
        "one person in two spellings",
        "dates",
        "no reason",
        "wildcard",
        "access code",
    ],
)
def test_waivers_that_cannot_be_used(tmp_path: Path, changes: dict[str, Any], says: str) -> None:
    """A waiver that names what is not there, or lacks what it needs, stops the run with its line."""
    with pytest.raises(InputProblems) as error:
        audited(tmp_path, waiver(**changes))

    problem = next(p for p in error.value.problems if says in p.message)
    assert problem.line > 0
    assert problem.mend
    assert "8068" not in str(error.value)


def test_all_that_is_wrong_with_waivers_is_reported_at_once(tmp_path: Path) -> None:
    """A wrong date does not hide an unknown rule, and one waiver does not hide another."""
    with pytest.raises(InputProblems) as error:
        audited(
            tmp_path,
            waiver(issued="1/3/2026", rule="seting-differs"),
            waiver(id="W-2", setting="firmwar", rule="*"),
        )

    messages = [problem.message for problem in error.value.problems]
    assert len(messages) == 4
    for says in ("'1/3/2026' is not a date", "unknown rule 'seting-differs'", "unknown setting 'firmwar'"):
        assert any(says in message for message in messages)


def test_an_id_that_is_used_twice_is_a_problem(tmp_path: Path) -> None:
    """Two waivers with the same id cannot be told apart in a record."""
    with pytest.raises(InputProblems, match="is already in"):
        audited(tmp_path, waiver(), waiver())


def test_the_plan_may_name_its_waivers(tmp_path: Path) -> None:
    """Waivers that the plan names need no option."""
    (tmp_path / "w.json").write_text(
        json.dumps({"asfound": "waivers/1", "waivers": [waiver()]}), encoding="utf-8"
    )
    order = SiteOf(**(SITE | {"plan": {"waivers": ["w.json"]}})).write(tmp_path)

    assert run(Order(order.plan, order.readback, run_on=TODAY)).counts.waived == 1


def test_what_a_sites_own_rule_says_of_a_waiver_is_gone_once_it_is_not_so(tmp_path: Path) -> None:
    """Waivers are always read, whatever the rule about them is called: no device has to be read again."""
    own = {"id": "exception-runs-long", "title": "Runs long", "level": "note", "why": "W.", "remedy": "R.",
           "check": {"kind": "waiver", "what": "too-long", "days": 90}, "source": "site rule"}  # fmt: skip
    rules = {"site_rules": {"rules": [own]}}
    before = audited(tmp_path / "1", waiver(), **rules)
    earlier = tmp_path / "earlier.json"
    earlier.write_text(json_report.render(before), encoding="utf-8")
    order = SiteOf(**(SITE | rules | {"found": {}})).write(tmp_path / "2")

    now = run(Order(order.plan, order.readback, run_on=TODAY, since=earlier)).since

    assert now is not None
    assert "exception-runs-long" in [finding.rule for finding in now.absent]
    assert "setting-differs" in [finding.rule for finding in now.not_read_again]
