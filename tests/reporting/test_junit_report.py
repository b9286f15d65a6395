"""The result as JUnit XML: what fails, what is skipped and what passes, as a pipeline shows it."""

from __future__ import annotations

from typing import Any

import pytest
from lxml import etree

from audit.judging.since import NOT_READ
from audit.model.base import Level
from audit.model.counts import NetworkCounts
from audit.model.detail import DeviceDetail
from audit.model.result import Finding, Result
from audit.reading.rules import read_rulebook
from audit.reporting.junit_report import render
from tests.reporting.parts import WAIVED, finding

NOT_READ_RULES = sorted(NOT_READ)


def network(name: str = "North", **counts: int) -> NetworkCounts:
    """Return a network that was read as planned, except for what is given."""
    usual = {"devices": 3, "devices_read": 3, "verified": 9}
    zero = dict.fromkeys(("differing", "not_read", "errors", "warnings", "notes", "waived"), 0)
    return NetworkCounts.model_validate({"network": name, "gateway": "GW"} | zero | usual | counts)


def device(tag: str, state: str) -> DeviceDetail:
    """Return a device in North."""
    nothing = dict.fromkeys(("serial", "location", "east_m", "north_m"))
    fields = {"network": "North", "tag": tag, "type": "probe", "gateway": False, "settings": []}
    return DeviceDetail.model_validate({**nothing, **fields, "state": state})


def suites(result: Result, *findings: Finding, fail_on: Level = "error", **more: object) -> dict[str, Any]:
    """Return the suites of a result with one network, North, and these findings."""
    gate = result.gate.model_copy(update={"fail_on": fail_on})
    update = {"findings": list(findings), "networks": [network()], "gate": gate, "devices": None, **more}
    root = etree.fromstring(render(result.model_copy(update=update)).encode())
    return {suite.get("name"): suite for suite in root}


def outcomes(result: Result, *findings: Finding, fail_on: Level = "error", **more: object) -> dict[str, str]:
    """Return the outcome of each case of North."""
    cases = suites(result, *findings, fail_on=fail_on, **more)["North"].iter("testcase")
    return {
        case.get("name"): next((part.tag for part in case if part.tag != "system-out"), "passed")
        for case in cases
    }


def test_a_suite_a_network_and_one_for_the_site(failed: Result) -> None:
    """Networks are in the plan's order, after what concerns the site."""
    root = etree.fromstring(render(failed).encode())

    assert [suite.get("name") for suite in root] == [failed.site.name, "Upper", "Middle", "Lower"]


def test_a_case_a_node_and_rule(failed: Result) -> None:
    """Two settings that break one rule on one node are one case, which reports both."""
    made = suites(
        failed,
        finding(1, node="N-1", setting="high_alarm", message="high is off"),
        finding(2, node="N-1", setting="low_alarm", message="low is off"),
        finding(3, node="N-2"),
    )
    cases = list(made["North"].iter("testcase"))
    failure = cases[0].find("failure")

    assert [case.get("name") for case in cases] == [
        "N-1 channel-differs",
        "N-2 channel-differs",
        "settings as planned",
    ]
    assert (failure.get("type"), failure.get("message")) == ("channel-differs", "high is off; low is off")
    assert "error: low is off" in failure.text
    assert "remedy: mend it" in failure.text
    assert "None" not in failure.text


CASES: dict[str, tuple[dict[str, object], Level, str]] = {
    "error": ({"level": "error"}, "error", "failure"),
    "warning": ({"level": "warning"}, "error", "passed"),
    "warning that the gate fails on": ({"level": "warning"}, "warning", "failure"),
    "note": ({"level": "note"}, "error", "passed"),
    "note that the gate fails on": ({"level": "note"}, "note", "failure"),
    "waived error": ({"level": "error", "waived": WAIVED}, "error", "passed"),
    "not read, a warning": ({"level": "warning", "rule": "setting-not-read"}, "error", "skipped"),
    "not read, the gate fails on it": (
        {"level": "warning", "rule": "setting-not-read"},
        "warning",
        "failure",
    ),
    "not read, waived": (
        {"level": "warning", "rule": "setting-not-read", "waived": WAIVED},
        "error",
        "passed",
    ),
}


@pytest.mark.parametrize(("fields", "fail_on", "outcome"), list(CASES.values()), ids=list(CASES))
def test_how_a_case_comes_out(
    failed: Result, fields: dict[str, object], fail_on: Level, outcome: str
) -> None:
    """A case fails if the gate fails on it, is skipped if something was not read, and passes otherwise."""
    one = finding(1, **fields)

    assert outcomes(failed, one, fail_on=fail_on)[f"N-1 {one.rule}"] == outcome


@pytest.mark.parametrize("rule", NOT_READ_RULES)
def test_rules_about_what_was_not_read_are_rules(rule: str) -> None:
    """Every rule that is skipped is one of the rules that come with the tool."""
    assert rule in {used.id for used in read_rulebook((), None, work=None).rules}


def test_one_failure_among_waived_findings_fails_the_case(failed: Result) -> None:
    """A waiver for one setting does not pass the others of the node."""
    made = suites(failed, finding(1, node="N-1", waived=WAIVED), finding(2, node="N-1"))
    failure = made["North"].find("testcase/failure")

    assert failure.get("message") == "message 2"
    assert "waived by: W-1 until 2026-06-30: the meter is replaced in June" in failure.text


def test_what_is_waived_is_told(failed: Result) -> None:
    """A case that passes because of a waiver says which, why and who is responsible for it."""
    case = suites(failed, finding(1, waived=WAIVED))["North"].find("testcase")

    assert "owner, approver: A. Example, B. Sample" in case.findtext("system-out")


def test_findings_outside_any_network_are_the_sites(failed: Result) -> None:
    """What concerns no network, such as a waiver that has expired, fails the site's suite."""
    made = suites(failed, finding(1, network=None, rule="waiver-expired"))
    site = made[failed.site.name]

    assert [case.get("name") for case in site.iter("testcase")] == ["N-1 waiver-expired"]
    assert site.get("failures") == "1"


def test_a_site_without_findings_of_its_own_passes(failed: Result) -> None:
    """The site's suite is never empty, which some pipelines take for a fault."""
    case = suites(failed)[failed.site.name].find("testcase")

    assert case.get("name") == "no finding on the site as a whole"


def test_devices_without_findings_pass(failed: Result) -> None:
    """Where devices are listed, each has a case: those as planned pass, those not read are skipped."""
    devices = [
        device("N-1", "differs"),
        device("N-2", "as planned"),
        device("N-3", "not read"),
        device("N-4", "not read"),
        device("N-5", "partly read"),  # seen in a list, but outside the sample
    ]
    told = finding(3, rule="node-not-read")

    assert outcomes(failed, finding(1), told, devices=devices) == {
        "N-1 channel-differs": "failure",
        "N-2 as planned": "passed",
        "N-3 node-not-read": "failure",
        "N-4 as planned": "skipped",
        "N-5 as planned": "skipped",
    }


WITHOUT_DEVICES: dict[str, tuple[NetworkCounts, dict[str, str]]] = {
    "all as planned": (network(), {"settings as planned": "passed"}),
    "some not read": (network(not_read=2), {"settings as planned": "skipped"}),
    "some differ": (network(differing=2), {}),
}


@pytest.mark.parametrize(("counts", "cases"), list(WITHOUT_DEVICES.values()), ids=list(WITHOUT_DEVICES))
def test_one_case_a_network_where_devices_are_not_listed(
    failed: Result, counts: NetworkCounts, cases: dict[str, str]
) -> None:
    """A network passes as a whole only if all its settings were read as planned."""
    assert outcomes(failed, networks=[counts]) == cases


def test_a_single_setting_that_was_not_read(failed: Result) -> None:
    """One was, several were."""
    said = etree.tostring(suites(failed, networks=[network(not_read=1)])["North"]).decode()

    assert "1 was not read" in said


def test_gate_verdict_and_counts_are_properties(failed: Result) -> None:
    """The site's suite shows the run and its outcome, and each network's suite its counts."""
    made = etree.fromstring(render(failed).encode())
    site, upper = (properties(suite) for suite in made[:2])

    assert site["verdict"] == "fail"
    assert site["gate"] == "handover"
    assert site["run_on"] == "2026-07-31"
    assert site["plan revision"] == "C"
    assert site["errors"] == "16"
    assert upper["devices_read"] == "23"


def properties(suite: Any) -> dict[str, str]:
    """Return the properties of a suite."""
    return {one.get("name"): one.get("value") for one in suite.find("properties")}


def test_characters_that_xml_cannot_hold_are_written_out(failed: Result) -> None:
    """A control character in a tag does not break the file, and can be seen."""
    assert list(outcomes(failed, finding(1, node="N\x00\uffff-1"), networks=[network(differing=1)])) == [
        r"N\u0000\uffff-1 channel-differs"
    ]
