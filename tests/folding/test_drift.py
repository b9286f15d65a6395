"""Folding of drift: a gateway with its nodes is one cause, and so are many nodes with the same change."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import Any

import pytest

from audit.model.result import Finding, Result
from tests.drifts import Fires, Silent, Then, fires, result_of, silent
from tests.small_site import SETTINGS, as_planned, node, run

TAGS = ("N-1", "N-2", "N-3")
RETUNED: dict[str, Mapping[str, str]] = {tag: {"channel": "9"} for tag in ("GW-1", *TAGS)}
ALIKE: dict[str, Any] = {"now": {tag: {"high_alarm": "760"} for tag in TAGS}}

FIRES: list[Fires] = [
    fires("same-drift-on-many-nodes", "three with the same change", None, "high_alarm", only=False, **ALIKE,
          says="high_alarm on 3 devices is 760 kPa, the baseline has 780 kPa"),
    fires("same-drift-on-many-nodes", "three under one record", None, "high_alarm", only=False, level="note",
          changes=[{"network": "Main", "setting": "high_alarm", "to": 760}], **ALIKE),
]  # fmt: skip
SILENT: list[Silent] = [
    silent("same-drift-on-many-nodes", "only two", now={tag: {"high_alarm": "760"} for tag in TAGS[:2]}),
    silent("same-drift-on-many-nodes", "three with other changes",
           now={tag: {"high_alarm": str(700 + n)} for n, tag in enumerate(TAGS)}),
    silent("same-drift-on-many-nodes", "three that are off the plan as they were then", plan={}, **ALIKE,
           then=ALIKE["now"]),
    silent("same-drift-on-many-nodes", "three for which the plan alone has changed",
           plan={tag: {"high_alarm": 760} for tag in TAGS}),
    silent("same-drift-on-many-nodes", "the same, and nobody knows what it was then",
           then={tag: {"high_alarm": ""} for tag in TAGS}),
    silent("nodes-followed-gateway", "nobody changed"),
    silent("numbers-in-the-unit-selected", "nobody changed"),
]  # fmt: skip


@pytest.mark.parametrize("case", [*FIRES, *SILENT], ids=str)
def test_rules(case: Fires | Silent, tmp_path: Path) -> None:
    """The rule reports what it should, or nothing."""
    case.check(tmp_path)


def causes(result: Result) -> list[Finding]:
    """Return the findings that have no cause."""
    return [finding for finding in result.findings if finding.caused_by is None]


@pytest.mark.parametrize("date", ["2026-01-15", "2026-05-12"])
def test_what_one_record_says_is_not_said_of_many(date: str, tmp_path: Path) -> None:
    """Each device has a record of its own, from before the baseline or since; the cause names none."""
    changes = [{"node": tag, "setting": "high_alarm", "to": 760, "date": date} for tag in TAGS]

    (cause,) = causes(result_of(tmp_path, changes=changes, **ALIKE))

    assert cause.message == "high_alarm on 3 devices is 760 kPa, the baseline has 780 kPa"


@pytest.mark.parametrize(
    ("then", "own_rule"),
    [({"now": {}, "then": ALIKE["now"]}, "corrected-since-baseline"),
     ({**ALIKE, "changes": [{"network": "Main", "setting": "high_alarm", "to": 760}]}, "drift-recorded")],
    ids=["corrected", "recorded"],
)  # fmt: skip
def test_nobody_is_asked_to_approve_what_was_approved_or_planned(
    then: dict[str, Any], own_rule: str, tmp_path: Path
) -> None:
    """The cause of what many devices have in common has the remedy of its follow-on findings."""
    findings = result_of(tmp_path, **then).findings

    (cause,) = (finding for finding in findings if finding.rule == "same-drift-on-many-nodes")
    assert {cause.remedy} == {finding.remedy for finding in findings if finding.rule == own_rule}


def test_a_gateway_that_was_retuned_takes_its_nodes_along(tmp_path: Path) -> None:
    """One change to a network is one cause: the gateway's, with every node under it."""
    result = result_of(tmp_path, now=RETUNED)

    (cause,) = causes(result)
    assert (cause.rule, cause.node, cause.setting) == ("drift-unexplained", "GW-1", "channel")
    assert len(cause.dependents) == 3


def test_a_record_of_the_gateway_holds_for_the_nodes_that_follow_it(tmp_path: Path) -> None:
    """Whoever approves a gateway's channel also approves that its nodes follow."""
    result = result_of(tmp_path, now=RETUNED,
                       changes=[{"node": "GW-1", "setting": "channel", "from": 7, "to": 9}])  # fmt: skip

    assert result.verdict == "pass"
    (cause,) = causes(result)
    assert (cause.rule, cause.node) == ("drift-recorded", "GW-1")
    assert len(cause.dependents) == 3


def test_a_node_that_went_elsewhere_is_a_cause_of_its_own(tmp_path: Path) -> None:
    """It did not follow its gateway, so nothing explains it."""
    result = result_of(tmp_path, now={**RETUNED, "N-2": {"channel": "8"}},
                       changes=[{"node": "GW-1", "setting": "channel", "from": 7, "to": 9}])  # fmt: skip

    assert sorted((c.rule, c.node) for c in causes(result)) == (
        [("drift-recorded", "GW-1"), ("drift-unexplained", "N-2")]
    )


def test_a_gateway_that_moved_with_all_its_nodes_is_one_cause(tmp_path: Path) -> None:
    """Forty nodes that are in another network because their gateway is are one move."""
    nodes = [node(n) for n in range(1, 41)]
    moved = {row["tag"]: {"network": "South"} for row in as_planned(nodes)}

    result = result_of(tmp_path / "a", nodes=nodes, now=moved)
    recorded = result_of(tmp_path / "b", nodes=nodes, now=moved,
                         changes=[{"what": "move", "node": "GW-1", "to": "South"}])  # fmt: skip

    (cause,), (allowed,) = causes(result), causes(recorded)
    assert (cause.rule, cause.node, len(cause.dependents)) == ("node-moved", "GW-1", 40)
    assert (allowed.rule, allowed.node, len(allowed.dependents)) == ("device-change-recorded", "GW-1", 40)
    assert (result.verdict, recorded.verdict) == ("fail", "pass")


def test_a_node_that_was_moved_is_one_cause_with_its_radio_settings(tmp_path: Path) -> None:
    """Channel, network and address go with the move; a changed alarm does not."""
    there = {"network": "South", "channel": "12", "network_id": "B2", "address": "59", "high_alarm": "700"}

    result = result_of(tmp_path, now={"N-2": there})

    move, alarm = sorted(causes(result), key=lambda cause: len(cause.dependents), reverse=True)
    assert (move.rule, len(move.dependents), move.level) == ("node-moved", 3, "error")
    assert (alarm.rule, alarm.setting) == ("drift-unexplained", "high_alarm")


def test_a_move_of_a_network_in_the_plan_alone_is_one_cause(tmp_path: Path) -> None:
    """It has to be done once."""
    arguments = Then(plan={}).write(tmp_path)
    plan = arguments[arguments.index("--plan") + 1]
    assert isinstance(plan, Path)
    plan.write_text(plan.read_text().replace("Main", "South"))

    assert run("drift", *arguments, "--out", tmp_path / "result.json").code == 0

    result = Result.model_validate_json((tmp_path / "result.json").read_text())
    (cause,) = causes(result)
    assert (cause.rule, cause.node, len(cause.dependents)) == ("device-change-pending", "GW-1", 3)


def test_a_setting_does_not_change_with_the_name_of_its_device(tmp_path: Path) -> None:
    """A record that a node was renamed does not explain why its alarm has changed."""
    result = result_of(tmp_path, now={"N-2": {"tag": "N-22", "high_alarm": "700"}},
                       plan={"N-2": {"tag": "N-22", "high_alarm": 700}})  # fmt: skip

    assert [cause.rule for cause in causes(result)] == [
        "change-without-record",
        "device-change-without-record",
    ]


def test_many_that_were_not_read_are_one_cause(tmp_path: Path) -> None:
    """A column missing from the new export is reported once."""
    result = result_of(tmp_path, now={tag: {"high_alarm": ""} for tag in TAGS})

    assert [cause.rule for cause in causes(result)] == ["not-read-on-many-nodes"]


def test_a_network_of_which_nobody_read_anything_is_one_cause(tmp_path: Path) -> None:
    """A readback of part of the site is reported as such, and not device by device."""
    result = result_of(tmp_path, gone=TAGS)

    (cause,) = causes(result)
    assert (cause.rule, cause.level, cause.others) == ("not-read-on-many-nodes", "error", list(TAGS))
    assert cause.message == "nothing at all was read on 3 devices"


UNIT = {"name": "unit", "kind": "option", "options": ["kPa", "bar"], "role": "unit"}
IN_KPA: dict[str, Any] = {
    "nodes": [one | {"settings": {**one["settings"], "unit": "kPa"}} for one in (node(1), node(2), node(3))],
    "settings": [*SETTINGS, UNIT],
}
"""A site whose nodes have a unit to select, and have all selected kPa."""
IN_BAR = {"unit": "bar", "range_low": "0", "range_high": "10", "high_alarm": "7.8"}


@pytest.mark.parametrize(("alarm", "roots"), [("7.8", ["unit"]), ("7.5", ["high_alarm", "unit"])])
def test_a_unit_selected_at_the_display_is_one_cause_with_its_numbers(
    alarm: str, roots: list[str], tmp_path: Path
) -> None:
    """The numbers are the same quantities; one that is not has changed as well."""
    result = result_of(tmp_path, **IN_KPA, now={"N-2": IN_BAR | {"high_alarm": alarm}})

    assert sorted(cause.setting or "" for cause in causes(result)) == roots
    (unit,) = (cause for cause in causes(result) if cause.setting == "unit")
    same = unit.message.removeprefix("unit is bar, the baseline has kPa")
    converted = "; its 3 numbers are those of the baseline, converted to bar"
    assert same == (converted if roots == ["unit"] else "")


@pytest.mark.parametrize(("alarm", "rules"), [
    ("7.8", {"drift-recorded": ["high_alarm", "range_high", "unit"]}),
    ("7.5", {"drift-recorded": ["range_high", "unit"], "drift-unexplained": ["high_alarm"]}),
])  # fmt: skip
def test_a_record_of_a_unit_allows_the_numbers_that_are_the_same_in_it(
    alarm: str, rules: dict[str, list[str]], tmp_path: Path
) -> None:
    """Nobody writes a record for each number; one that is another quantity needs its own."""
    change = {"node": "N-2", "setting": "unit", "from": "kPa", "to": "bar"}

    result = result_of(tmp_path, **IN_KPA, now={"N-2": IN_BAR | {"high_alarm": alarm}}, changes=[change])

    told: dict[str, list[str]] = {}
    for finding in sorted(result.findings, key=lambda finding: finding.setting or ""):
        told.setdefault(finding.rule, []).append(finding.setting or "")
    assert told == rules


def test_numbers_that_the_plan_has_in_another_unit_now_are_as_it_says(tmp_path: Path) -> None:
    """The type was revised from kPa to bar, and all nodes were set so; check finds nothing wrong."""
    plan = {tag: {"unit": "bar", "range_high": 10, "high_alarm": 7.8} for tag in TAGS}
    arguments = Then(**IN_KPA, now=dict.fromkeys(TAGS, IN_BAR), plan=plan).write(tmp_path)
    revised = tmp_path / "plan" / "node.yaml"
    text = revised.read_text(encoding="utf-8")
    revised.write_text(text.replace("unit: kPa", "unit: bar"), encoding="utf-8")

    outcome = run("drift", *arguments, "--quiet", "--out", tmp_path / "r.json")

    result = Result.model_validate_json((tmp_path / "r.json").read_text(encoding="utf-8"))
    told = {finding.rule for finding in result.findings if finding.node}
    assert (outcome.code, told) == (0, {"change-without-record"})
