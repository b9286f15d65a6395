"""The result as SARIF: places as a viewer opens them, stable identities, what was waived or is gone."""

from __future__ import annotations

import csv
import json
import re
import shutil
from pathlib import Path
from typing import Any

import pytest

from audit.model.result import EvidencePlace, Finding, Result, Since
from audit.model.used import InputFile
from audit.reporting.sarif_places import uri
from audit.reporting.sarif_report import render
from audit.run import Order, run
from tests.reporting.parts import DIGEST, WAIVED, finding
from tests.the_examples import EXAMPLES


def run_of(result: Result) -> dict[str, Any]:
    """Return the one run of a result's log."""
    log: dict[str, Any] = json.loads(render(result))
    return dict(log["runs"][0])


def results_of(result: Result, *findings: Finding, since: Since | None = None) -> dict[str, dict[str, Any]]:
    """Return the results of findings by their ids."""
    made = run_of(result.model_copy(update={"findings": list(findings), "since": since}))["results"]
    return {one["partialFingerprints"]["findingId/v1"]: one for one in made}


def result_of(result: Result, **fields: object) -> dict[str, Any]:
    """Return the SARIF result of one finding."""
    return results_of(result, finding(1, **fields))["rule/1"]


def test_every_rule_of_the_run_is_told_with_its_help(failed: Result) -> None:
    """A viewer shows title, reason, remedy, source and level of a rule without another file."""
    rules = run_of(failed)["tool"]["driver"]["rules"]
    used = {rule.id: rule for rule in failed.rules}

    assert [rule["id"] for rule in rules] == sorted(used)
    for rule in rules:
        its = used[rule["id"]]
        assert rule["shortDescription"]["text"] == its.title
        assert rule["fullDescription"]["text"] == its.why
        assert its.remedy in rule["help"]["text"]
        assert its.source in rule["help"]["text"]
        assert rule["help"]["markdown"].startswith("**Why:** ")
        assert rule["defaultConfiguration"] == {"level": its.level}


def test_results_point_at_their_rules(failed: Result) -> None:
    """The rule index of a result leads to the rule with that id."""
    made = run_of(failed)
    rules = made["tool"]["driver"]["rules"]

    assert len(made["results"]) == len(failed.findings)
    assert all(rules[one["ruleIndex"]]["id"] == one["ruleId"] for one in made["results"])


def test_a_rule_that_is_no_more_has_no_index(failed: Result) -> None:
    """An earlier result may have findings of a rule that this run did not use."""
    assert "ruleIndex" not in result_of(failed, rule="rule-of-old")


def test_a_message_tells_place_condition_risk_and_response(failed: Result) -> None:
    """A message is enough to act on (SARIF 2.1.0, 3.27.11)."""
    text = result_of(failed)["message"]["text"]

    assert text == "North N-1: message 1. because mend it"


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("set {0} here", "set {{0}} here"),
        ("see [this](http://example.invalid)", "see [this] (http://example.invalid)"),
    ],
    ids=["placeholder", "link"],
)
def test_a_message_holds_no_placeholder_and_no_link(failed: Result, text: str, written: str) -> None:
    """Text from a file is not taken for SARIF's own marks (3.11.5, 3.11.6)."""
    assert written in result_of(failed, message=text)["message"]["text"]


# Where


def place(
    file: str,
    row: int | None,
    column: str | None,
    heading: str = "CH",
    sheet: str = "",
    record: int | None = None,
) -> EvidencePlace:
    """Return a place as a finding holds it."""
    return EvidencePlace(
        file=file, sheet=sheet or None, row=row, column=column, heading=heading, raw="22", record=record
    )


PLACES = {
    "csv": (place("a.csv", 12, "R"), {"startLine": 12, "startColumn": 18}, "a.csv!R12"),
    "csv, column with two letters": (
        place("a.csv", 3, "AB"),
        {"startLine": 3, "startColumn": 28},
        "a.csv!AB3",
    ),
    "csv, row alone": (place("a.csv", 3, None), {"startLine": 3}, None),
    "xlsx": (place("a.xlsx", 6, "C", sheet="Read back"), None, "a.xlsx[Read back]!C6"),
    "ods": (place("a.ods", 6, "C", sheet="Sheet1"), None, "a.ods[Sheet1]!C6"),
    "sheet without a name": (place("a.ods", 6, "C"), None, "a.ods!C6"),
    "yaml plan": (place("plan.yaml", 47, "27"), {"startLine": 47, "startColumn": 27}, None),
    "yaml record": (place("a.yaml", 9, "CH", record=2), {"startLine": 9}, "a.yaml!2/CH"),
    "json record": (place("a.json", 25, "radio.ch", record=2), {"startLine": 25}, "a.json!2/radio.ch"),
    "json lines": (place("a.jsonl", 3, "CH", record=2), {"startLine": 3}, "a.jsonl!2/CH"),
    "entries": (place("a.jsonl", 3, "value"), {"startLine": 3}, "a.jsonl!3/value"),
    "entries from a phone": (place("a.jsonl.txt", 3, "value"), {"startLine": 3}, "a.jsonl.txt!3/value"),
    "json record of an earlier result": (
        place("a.json", 2, "CH", heading="CH"),
        None,
        "a.json!2/CH",
    ),
    "json text": (place("plan.json", 4, "15"), {"startLine": 4, "startColumn": 15}, None),
    "file alone": (place("a.csv", None, None), None, None),
}


@pytest.mark.parametrize(("where", "region", "name"), list(PLACES.values()), ids=list(PLACES))
def test_a_place_is_given_as_its_file_allows(
    failed: Result, where: EvidencePlace, region: dict[str, int] | None, name: str | None
) -> None:
    """Text files have line and column, workbooks a cell, records a key; a record number is not a line."""
    location = result_of(failed, evidence=[where])["locations"][0]
    names = [part["fullyQualifiedName"] for part in location["logicalLocations"]]

    assert location["physicalLocation"].get("region") == region
    assert names == ["North/N-1/channel", *([name] if name else [])]


URIS = {
    "relative": ("site/as found/nö#1?.csv", "site/as%20found/n%C3%B6%231%3F.csv"),
    "percent": ("100%.csv", "100%25.csv"),
    "colon": ("a:b.csv", "a%3Ab.csv"),
    "folder above": ("../plan.yaml", "../plan.yaml"),
    "absolute": ("/data/a b.csv", "file:///data/a%20b.csv"),
    "absolute on Windows": ("C:/data/a.csv", "file:///C:/data/a.csv"),
    "no text": ("a\udcff.csv", "a%3F.csv"),
}


@pytest.mark.parametrize(("file", "written"), list(URIS.values()), ids=list(URIS))
def test_file_names_become_uris(file: str, written: str) -> None:
    """What a URI cannot hold is encoded, and a relative name stays relative."""
    assert uri(file) == written


def test_logical_locations_lead_from_setting_to_network(failed: Result) -> None:
    """Each setting is under its device, and that under its network, each listed once."""
    made = run_of(failed)
    parts = made["logicalLocations"]
    one = next(one for one in made["results"] if one["ruleId"] == "alarm-order-wrong")
    low, high = (parts[part["index"]] for part in one["locations"][0]["logicalLocations"][:2])

    assert (low["name"], high["name"]) == ("low_alarm", "high_alarm")
    assert low["parentIndex"] == high["parentIndex"]
    device = parts[low["parentIndex"]]
    assert (device["name"], device["kind"]) == ("PT-66", "device")
    assert parts[device["parentIndex"]] == {
        "name": "Middle",
        "fullyQualifiedName": "Middle",
        "kind": "network",
    }
    assert len({part["fullyQualifiedName"] for part in parts}) == len(parts)


def test_further_evidence_and_devices_are_related(failed: Result) -> None:
    """The planned value and the other devices concerned are one click away."""
    evidence = [place("found.csv", 2, "C"), place("plan.csv", 3, "D"), place("plan.csv", 3, "D")]
    related = result_of(failed, evidence=evidence, others=["N-2"])["relatedLocations"]

    assert related[0]["physicalLocation"]["artifactLocation"]["uri"] == "plan.csv"
    assert related[0]["message"]["text"] == "CH: 22"
    assert [part["fullyQualifiedName"] for part in related[1]["logicalLocations"]] == ["N-2"]
    assert len(related) == 2


def test_a_finding_about_the_site_needs_no_place(failed: Result) -> None:
    """If there is no place, none is made up."""
    assert result_of(failed, network=None, node=None, setting=None, settings=[])["locations"] == []


# Identity


def test_fingerprints_stay_when_rows_move(tmp_path: Path, failed: Result) -> None:
    """A readback with its rows in another order has the same fingerprints at other lines."""
    folder = tmp_path / "site"
    shutil.copytree(EXAMPLES / "merrow-vale", folder)
    table = folder / "as-found" / "upper.csv"
    with table.open(encoding="utf-8", newline="") as stream:
        heads, *rows = csv.reader(stream)
    with table.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows([heads, *reversed(rows)])
    moved = run(Order(folder / "plan.yaml", [folder / "as-found"], run_on="2026-07-31"))

    before, after = (lines_by_fingerprint(result) for result in (failed, moved))

    assert before.keys() == after.keys()
    assert before["address-differs/Upper/LT-38/address"] != after["address-differs/Upper/LT-38/address"]


def lines_by_fingerprint(result: Result) -> dict[str, int | None]:
    """Return the line of each result by its fingerprint."""
    return {
        one["partialFingerprints"]["findingId/v1"]: one["locations"][0]["physicalLocation"]
        .get("region", {})
        .get("startLine")
        for one in run_of(result)["results"]
    }


def test_results_are_in_the_order_of_their_places(failed: Result) -> None:
    """By line, then by column: a reader goes through the file once."""
    places = [("P", 9), ("AA", 3), ("C", 3)]
    several = [finding(n, evidence=[place("a.csv", row, column)]) for n, (column, row) in enumerate(places)]
    made = run_of(failed.model_copy(update={"findings": several, "since": None}))

    regions = [one["locations"][0]["physicalLocation"]["region"] for one in made["results"]]
    assert [(one["startLine"], one["startColumn"]) for one in regions] == [(3, 3), (3, 27), (9, 16)]


def test_the_other_of_two_devices_may_be_of_another_network(failed: Result) -> None:
    """If two networks share a serial number, a device of one is not put into the other."""
    pair = finding(1, network="North", node="A", others=["B"])
    whole = finding(2, network="North", node=None, settings=[], setting=None, others=["C"])
    made = run_of(failed.model_copy(update={"findings": [pair, whole], "since": None}))

    assert {part["fullyQualifiedName"] for part in made["logicalLocations"] if part["kind"] == "device"} == {
        "North/A", "B", "North/C",
    }  # fmt: skip


# Waivers, and an earlier result


def test_waived_findings_are_suppressed_and_say_why(failed: Result) -> None:
    """A viewer hides what is excused, and shows on request who excused it, why and until when."""
    made = results_of(failed, finding(1, waived=WAIVED), finding(2))
    suppression = made["rule/1"]["suppressions"][0]

    assert (suppression["kind"], suppression["status"]) == ("external", "accepted")
    assert suppression["justification"] == "the meter is replaced in June; meanwhile: weekly reading by hand"
    assert suppression["properties"] == {
        "waiver": "W-1",
        "owner": "A. Example",
        "approver": "B. Sample",
        "expires": "2026-06-30",
    }


def test_suppressions_stand_on_all_results_or_none(failed: Result) -> None:
    """An empty list says 'not suppressed', and no list 'not known', so all have one (3.27.23)."""
    assert all(one["suppressions"] == [] for one in run_of(failed)["results"])


def test_states_since_an_earlier_result(failed: Result) -> None:
    """New, unchanged and updated findings say so; those that are gone are absent, those not read are open."""
    since = Since(file="earlier.json", sha256=DIGEST, run_on="2025-04-20", absent=[finding(4)],
                  not_read_again=[finding(5)])  # fmt: skip
    made = results_of(
        failed,
        finding(1, since="new"),
        finding(2, since="unchanged"),
        finding(3, since="updated"),
        since=since,
    )

    assert {name: one["baselineState"] for name, one in made.items()} == {
        "rule/1": "new",
        "rule/2": "unchanged",
        "rule/3": "updated",
        "rule/4": "absent",
        "rule/5": "unchanged",
    }
    assert {name: one["level"] for name, one in made.items() if one.get("kind") == "open"} == {
        "rule/5": "none"
    }


def test_no_states_without_an_earlier_result(failed: Result) -> None:
    """Without an earlier result, no result claims to be new (3.27.24)."""
    assert not any("baselineState" in one for one in run_of(failed)["results"])


# The run


def test_inputs_are_artifacts_with_digests(failed: Result) -> None:
    """Every input is listed with its SHA-256, or with the reason why there is none."""
    withheld = InputFile(file="codes.csv", kind="readback", sha256=None, note="its digest is withheld")
    made = run_of(failed.model_copy(update={"inputs": [*failed.inputs, withheld]}))["artifacts"]
    by_uri = {artifact["location"]["uri"]: artifact for artifact in made}

    for file in failed.inputs:
        assert by_uri[uri(file.file)]["hashes"] == {"sha-256": file.sha256}
    assert "hashes" not in by_uri["codes.csv"]
    assert by_uri["codes.csv"]["description"]["text"] == "its digest is withheld"


def test_places_point_at_their_artifact(failed: Result) -> None:
    """The index of a place leads to the artifact with its name."""
    made = run_of(failed)

    for one in made["results"]:
        artifact = one["locations"][0]["physicalLocation"]["artifactLocation"]
        assert made["artifacts"][artifact["index"]]["location"]["uri"] == artifact["uri"]


def test_the_run_tells_gate_and_verdict(failed: Result) -> None:
    """A pipeline can read what was decided, and about what."""
    made = run_of(failed)

    assert made["properties"]["verdict"] == "fail"
    assert made["properties"]["gate"]["id"] == "handover"
    assert made["properties"]["counts"]["errors"] == failed.counts.errors
    assert made["invocations"] == [{"executionSuccessful": True}]
    assert made["columnKind"] == "unicodeCodePoints"
    assert made["automationDetails"]["id"].endswith("/handover/2026-07-31")


def test_no_time_but_the_run_date(failed: Result) -> None:
    """The log holds no clock time, so that it is the same whenever it is written."""
    assert not re.search(r"\d\d:\d\d", render(failed))
    assert run_of(failed)["properties"]["runOn"] == "2026-07-31"


def test_results_are_sorted_by_place(failed: Result) -> None:
    """Results are in the order of file, line and column, whatever the order of findings (Appendix F.3)."""
    turned = failed.model_copy(update={"findings": failed.findings[::-1]})
    order = [one["partialFingerprints"] for one in run_of(failed)["results"]]

    assert [one["partialFingerprints"] for one in run_of(turned)["results"]] == order
