"""Folding of what one rule reports in the same words for many devices of a network."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from audit.run import run
from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import nodes
from tests.site_builder import SiteOf, audit_of


def test_codes_that_nobody_has_changed_are_one_cause_with_the_remedy_of_each(tmp_path: Path) -> None:
    """A hundred nodes are not a hundred causes: somebody was not told, or had no codes."""
    findings = audit_of(tmp_path, planned=nodes(4), found=nodes(4, default_refused="no"))
    (cause,) = [one for one in findings if one.rule == "same-finding-on-many-nodes"]
    each = next(one for one in findings if one.rule == "default-code-accepted")

    assert (cause.level, cause.why, cause.others) == ("error", each.why, ["N01", "N02", "N03", "N04"])
    assert cause.message == f"on 4 devices: {each.message}"
    assert cause.remedy == f"Ask what these devices have in common, before correcting each. {each.remedy}"
    assert len(cause.dependents) == 4
    assert each.caused_by == cause.id


def test_a_gateway_among_them_does_not_make_it_the_gateways(tmp_path: Path) -> None:
    """Nodes of a sample count as faulty, even if the first of the devices is their gateway."""
    findings = audit_of(tmp_path, planned=nodes(2), found=nodes(2, default_refused="no"),
                        gateway_found={"default_refused": "no"})  # fmt: skip
    (cause,) = [one for one in findings if one.rule == "same-finding-on-many-nodes"]

    assert (cause.node, cause.others) == (None, ["GW-North", "N01", "N02"])


def test_it_has_the_requirements_of_each_at_the_annual_audit(tmp_path: Path) -> None:
    """An auditor asks for them at the cause."""
    order = SiteOf(planned=nodes(3), found=nodes(3, default_refused="no")).write(tmp_path)
    findings = run(replace(order, gate="annual", run_on="2026-06-01")).findings
    (cause,) = [one for one in findings if one.rule == "same-finding-on-many-nodes"]

    assert "IEC 62443-4-2: CR 1.5" in cause.requirements


OWN_RULE: dict[str, Any] = {
    "rules": [
        {"id": "too-close", "title": "High alarms are too close", "level": "warning", "source": "site rule",
         "why": "Too close.", "remedy": "Set both. Re-read and record.",
         "check": {"kind": "expression", "when": "found.alarm_high_high - found.alarm_high < 11.0",
                   "needs": ["alarm_high", "alarm_high_high"]}}
    ]
}  # fmt: skip


def test_devices_with_other_values_are_reported_one_by_one(tmp_path: Path) -> None:
    """The message has no values, and those of the first device would be taken for all."""
    found = [{"alarm_high": 80 + n, "alarm_high_high": 90 + n} for n in range(3)]
    findings = audit_of(tmp_path, planned=[{}, {}, {}], found=found, site_rules=OWN_RULE)

    assert {one.caused_by for one in findings if one.rule == "too-close"} == {None}
    assert "same-finding-on-many-nodes" not in {one.rule for one in findings}


FIRES: list[Fires] = [
    fires("same-finding-on-many-nodes", "codes", "default_refused", node=None, network="North",
          planned=nodes(3), found=nodes(3, default_refused="no"), others=("N01", "N02", "N03"),
          says="on 3 devices: the factory access code was tried and accepted"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("same-finding-on-many-nodes", "two of them", planned=nodes(2),
           found=nodes(2, default_refused="no")),
    silent("same-finding-on-many-nodes", "in two networks",
           planned=[row | {"network": name} for row, name in zip(nodes(4), "AABB", strict=True)],
           found=nodes(4, default_refused="no")),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, for the network."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """A few devices are reported one by one."""
    case.check(tmp_path)
