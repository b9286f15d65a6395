"""Judging: findings, gate and coverage become levels, counts and a verdict."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given

from audit.model.base import LEVELS, Level, level_rank
from audit.model.result import Finding, Result
from audit.model.roles import ROLES
from audit.reading.rules import read_rulebook
from tests.random_sites import QUICK, result, sites
from tests.site_builder import audit_of, result_of

NOT_READ: dict[str, Any] = {
    "planned": {"channel": 7}, "found": {"display_note": "x"}, "gateway": {"default_refused": "yes"},
    "settings": {"default_refused": None},
}  # fmt: skip
"""One node that was read, except for its channel, and with nothing else wrong."""
CLEAN: dict[str, Any] = NOT_READ | {"found": {"channel": 7}}


def own_gate(fail_on: Level, **levels: Level) -> dict[str, Any]:
    """Return site rules with a gate of the site's own."""
    named = {rule.replace("_", "-"): level for rule, level in levels.items()}
    return {"gates": [{"id": "own", "title": "Own gate", "fail_on": fail_on, "levels": named}]}


def level(folder: Path, rule: str, **site: Any) -> Level:
    """Return the level of a rule's only finding."""
    (finding,) = [f for f in result_of(folder, **site).findings if f.rule == rule]
    return finding.level


def test_a_site_as_planned_passes(tmp_path: Path) -> None:
    """Without findings the run passes, with every planned setting verified."""
    found = result_of(tmp_path, **CLEAN)

    assert (found.verdict, found.findings) == ("pass", [])
    assert (found.counts.verified, found.counts.not_read, found.counts.root_causes) == (2, 0, 0)


def test_a_rule_of_the_site_that_was_not_checked_comes_before_ours(tmp_path: Path) -> None:
    """Reports name the first few: whoever wrote a rule has to see that it looks at nothing."""
    rule = {"id": "own-rule", "title": "Own rule", "level": "warning", "why": "It matters here.",
            "remedy": "Mend it.", "source": "site rule", "applies_to": "gateway",
            "check": {"kind": "equals-plan", "roles": ["alarm_high"]}}  # fmt: skip
    idle = result_of(tmp_path, **CLEAN, site_rules={"rules": [rule]}).not_checked

    assert idle[0].rule == "own-rule"
    assert len(idle) > 10


@pytest.mark.parametrize(
    ("gate", "expected", "verdict"),
    [("handover", "error", "fail"), ("annual", "error", "fail"), ("own", "warning", "pass")],
)
def test_a_blank_fails_the_handover_and_the_annual_audit_and_no_gate_besides(
    gate: str, expected: Level, verdict: str, tmp_path: Path
) -> None:
    """A required setting that was not read is an error at handover and audit, elsewhere a warning."""
    found = result_of(tmp_path, gate=gate, **NOT_READ, site_rules=own_gate("error"))
    levels = [(f.rule, f.level) for f in found.findings if f.rule != "reading-undated"]

    assert levels == [("setting-not-read", expected)]
    assert (found.verdict, found.gate.id) == (verdict, gate)


@pytest.mark.parametrize(
    ("rule_level", "fail_on", "verdict"),
    [
        (found, at, "fail" if level_rank(found) <= level_rank(at) else "pass")
        for found, at in itertools.product(LEVELS, LEVELS)
    ],
)
def test_the_threshold_decides(rule_level: Level, fail_on: Level, verdict: str, tmp_path: Path) -> None:
    """A finding at or above the level given fails the run, one below it does not."""
    site = NOT_READ | {"site_rules": own_gate("error", setting_not_read=rule_level)}

    found = result_of(tmp_path, gate="own", fail_on=fail_on, **site)

    assert found.verdict == verdict
    assert found.gate.fail_on == fail_on


def test_a_gate_has_a_threshold_of_its_own(tmp_path: Path) -> None:
    """If no level is given, the gate's threshold applies."""
    assert result_of(tmp_path, gate="own", **NOT_READ, site_rules=own_gate("warning")).verdict == "fail"
    assert result_of(tmp_path, gate="own", **NOT_READ, site_rules=own_gate("error")).verdict == "pass"


def test_the_gate_wins_over_the_site_and_the_site_over_the_rule(tmp_path: Path) -> None:
    """Levels come from the gate, else from the site, else from the rule itself."""
    site = {**NOT_READ, "gate": "own"}
    in_both = own_gate("error", setting_not_read="note") | {"levels": {"setting-not-read": "error"}}
    in_site = own_gate("error") | {"levels": {"setting-not-read": "error"}}

    assert level(tmp_path, "setting-not-read", **site, site_rules=own_gate("error")) == "warning"
    assert level(tmp_path, "setting-not-read", **site, site_rules=in_site) == "error"
    assert level(tmp_path, "setting-not-read", **site, site_rules=in_both) == "note"


def test_a_folded_cause_is_as_bad_as_the_worst_that_it_stands_for(tmp_path: Path) -> None:
    """Grouping findings never lowers their level."""
    site = NOT_READ | {"planned": [{"channel": 7}] * 3, "found": [NOT_READ["found"]] * 3}

    assert level(tmp_path, "not-read-on-many-nodes", **site) == "error"
    assert (
        level(tmp_path, "not-read-on-many-nodes", gate="own", **site, site_rules=own_gate("error"))
        == "warning"
    )


def test_a_cause_is_as_bad_as_what_it_causes(tmp_path: Path) -> None:
    """A stranger is a warning, and an error if the gateway cannot serve it along with the planned nodes."""
    row = {"channel": 7, "default_refused": "yes"}
    site: dict[str, Any] = {
        "planned": row,
        "gateway": row,
        "found": [row, {**row, "tag": "Z", "network": "North"}],
    }
    full = result_of(tmp_path / "full", **site, networks={"North": {"capacity": {"nodes": 1}}}).findings

    assert level(tmp_path / "room", "unplanned-node", **site) == "warning"
    assert [(f.rule, f.level, f.caused_by is None) for f in full] == [
        ("unplanned-node", "error", True), ("gateway-over-capacity", "error", False),
    ]  # fmt: skip


def test_findings_are_told_worst_first_and_causes_before_symptoms(tmp_path: Path) -> None:
    """Errors come before warnings and notes, and in each level causes before what follows from them."""
    findings = result_of(
        tmp_path,
        planned=[{"address": 1, "local_lock": "on"}, {"address": 2, "alarm_enabled": "on"}],
        found=[{"address": 2, "local_lock": "off"},
               {"address": 2, "alarm_enabled": "off", "alarm_authorisation": "AUT-1 until 2026-06-30"}],
    ).findings  # fmt: skip

    keys = [(level_rank(f.level), f.caused_by is not None) for f in findings]
    assert keys == sorted(keys)
    assert {f.level for f in findings} == {"error", "warning", "note"}


def test_of_a_device_it_is_told_first_who_it_is(tmp_path: Path) -> None:
    """Nobody sets the alarm of a device before its identity is known."""
    planned, found = {"serial": "S1", "alarm_high": 90}, {"serial": "S9", "alarm_high": 80}
    findings = audit_of(
        tmp_path, rules=("alarm-off-plan", "tag-serial-mismatch"), planned=planned, found=found
    )

    assert [f.rule for f in findings] == ["tag-serial-mismatch", "alarm-off-plan"]


def test_a_finding_says_who_and_where(tmp_path: Path) -> None:
    """Tag, serial number, location and raw text are the device's own, never another's."""
    found = result_of(
        tmp_path,
        planned=[{"serial": "S1", "location": "Weir", "channel": 7}, {"channel": 7}],
        found=[{"channel": "08"}, {"channel": "19"}],
    )

    mine = [f for f in found.findings if f.setting == "channel"]
    assert [(f.node, f.serial, f.location, f.raw) for f in mine] == [
        ("A", "S1", "Weir", "08"),
        ("B", None, None, "19"),
    ]


def test_what_was_not_read_has_no_text_as_found(tmp_path: Path) -> None:
    """Its evidence is in the plan, whose text is not what was found."""
    found = result_of(tmp_path, planned=[{"channel": 7, "local_lock": "on"}, {}], found={"channel": 7})

    unread = [f for f in found.findings if f.rule in ("setting-not-read", "node-not-read")]
    assert [(f.node, f.evidence[0].raw, f.raw) for f in unread] == [("A", "on", None), ("B", "B", None)]


def test_where_the_plan_is_wrong_it_is_mended_first(tmp_path: Path) -> None:
    """Nobody is sent out to set what is wrongly planned."""
    site: dict[str, Any] = {
        "planned": {"address": 9},
        "networks": {"North": {"addresses": {"first": 11, "last": 20}}},
    }

    (in_plan,) = audit_of(tmp_path / "plan", rules="address-out-of-block", **site)
    found = {**site, "planned": {"address": 11}, "found": {"address": 9}}
    (at_node,) = audit_of(tmp_path / "found", rules="address-out-of-block", **found)

    assert in_plan.remedy.startswith("Give the node an address of its block in the plan")
    assert at_node.remedy == "Set the planned address, re-read and record."


@pytest.mark.parametrize("tags", [["X", "X", "X/2"], ["X/2", "X", "X"], ["X/2", "X", "X", "X/2"]])
def test_ids_are_unique_whatever_tags_hold(tags: list[str], tmp_path: Path) -> None:
    """The second finding on X, numbered 2, is not the finding on X/2."""
    strangers = [{"tag": tag, "serial": str(n), "channel": 7} for n, tag in enumerate(tags)]
    ids = [f.id for f in audit_of(tmp_path, rules="unplanned-node", planned={"channel": 7}, found=strangers)]

    assert len(set(ids)) == len(ids) == len(tags)


def test_an_access_code_leaves_no_raw_text(tmp_path: Path) -> None:
    """Where a file holds a code, its place is named but the text is not."""
    findings = result_of(tmp_path, found={"access_code": "7777"}).findings

    (finding,) = [f for f in findings if f.rule == "code-trivial"]
    assert finding.raw is None
    assert [(e.heading, e.raw) for e in finding.evidence] == [("access_code", None)]


@pytest.mark.parametrize(
    ("change", "word"),
    [
        ({"moves_outputs": True}, "Outputs"),
        ({"hazardous_area": True}, "Hazardous areas"),
        ({}, "Before changing"),
    ],
    ids=["outputs", "hazardous area", "alarms"],
)
def test_cautions_are_those_of_the_devices(change: dict[str, bool], word: str, tmp_path: Path) -> None:
    """A caution is given if a device of the site calls for it, and otherwise not."""
    with_it = result_of(tmp_path, type_keys=change, planned={})
    bare = {role: None for role in ROLES if role.startswith("alarm_") or role == "loss_action"}
    without = result_of(tmp_path, planned={}, settings=bare, hub_settings=bare)

    assert any(caution.startswith(word) for caution in with_it.cautions)
    assert not any(caution.startswith(word) for caution in without.cautions)


@pytest.mark.parametrize("gate", ["handover", "annual"])
def test_our_gates_name_rules_that_exist(gate: str) -> None:
    """A gate cannot raise the level of a rule that does not exist."""
    book = read_rulebook((), None)

    assert set(book.gates[gate].levels) <= {rule.id for rule in book.rules}


@QUICK
@given(sites())
def test_a_result_agrees_with_itself(site: dict[str, Any]) -> None:
    """Counts add up, causes and dependents agree, and what was counted as different is said."""
    found = result(site)

    assert_the_counts_add_up(site, found)
    assert_causes_and_dependents_agree(found.findings)
    assert_nothing_counted_as_different_goes_unsaid(found)


def assert_the_counts_add_up(site: dict[str, Any], found: Result) -> None:
    """Every planned setting is verified, differs, or was not read; levels, devices and causes add up too."""
    counts = found.counts
    own = ("tag", "serial", "network")
    nodes = sum(1 for row in site["planned"] for name in row if name not in own)
    inherited = sum(
        2 if row["network"] == "South" and "report_interval" not in row else 1 for row in site["planned"]
    )
    gateways = 2 * len(found.networks)

    assert counts.verified + counts.differing + counts.not_read == nodes + inherited + gateways
    assert counts.devices == len(site["planned"]) + len(found.networks)
    assert counts.errors + counts.warnings + counts.notes == len(found.findings)
    assert counts.root_causes == sum(f.caused_by is None for f in found.findings)
    for name in ("devices", "devices_read", "verified", "differing", "not_read"):
        assert getattr(counts, name) == sum(getattr(network, name) for network in found.networks)
    for network in found.networks:
        levels = [f.level for f in found.findings if f.network == network.network]
        assert (network.errors, network.warnings, network.notes) == tuple(map(levels.count, LEVELS))
        assert min(network.verified, network.differing, network.not_read) >= 0
    assert (found.verdict == "fail") == (counts.errors > 0)


def assert_causes_and_dependents_agree(findings: Sequence[Finding]) -> None:
    """Every cause exists, has no cause itself and lists the finding; ids are unique; there is no cycle."""
    by_id = {f.id: f for f in findings}

    assert len(by_id) == len(findings)
    for finding in findings:
        if finding.caused_by is not None:
            assert by_id[finding.caused_by].caused_by is None
            assert finding.id in by_id[finding.caused_by].dependents
        for name in finding.dependents:
            assert by_id[name].caused_by == finding.id
    assert len({name for f in findings for name in f.dependents}) == sum(len(f.dependents) for f in findings)


def assert_nothing_counted_as_different_goes_unsaid(found: Result) -> None:
    """Look for as many settings that differ, in the findings of each network, as were counted in it."""
    for network in found.networks:
        differing = {
            (f.node, name) for f in found.findings for name in f.settings
            if f.network == network.network and f.planned and f.found and f.node
        }  # fmt: skip
        assert len(differing) >= network.differing


@pytest.mark.parametrize(
    ("type_keys", "found", "words"),
    [
        ({}, {"alarm_high": "60"}, ["Before changing"]),
        ({}, {"channel": "8"}, []),
        ({"moves_outputs": True}, {"channel": "8"}, ["Outputs"]),
        ({"hazardous_area": True}, {"alarm_high": "60"}, ["Before changing", "Hazardous"]),
    ],
    ids=["an alarm", "a channel", "a channel of a device with outputs", "an alarm in a hazardous area"],
)
def test_a_finding_has_the_cautions_of_its_own_device(
    type_keys: dict[str, bool], found: dict[str, str], words: list[str], tmp_path: Path
) -> None:
    """So that a row of a punch list says what concerns it, and not all that concerns the site."""
    planned = {"channel": 7, "alarm_high": 80}
    findings = result_of(tmp_path, type_keys=type_keys, planned=planned, found=planned | found).findings

    (own,) = {tuple(one.cautions) for one in findings if one.settings == [*found]}
    assert [caution.startswith(word) for caution, word in zip(own, words, strict=True)] == [True] * len(words)
