"""What differs, by this tool and by another: random fleets, compared also by DeepDiff.

Source: DeepDiff (a library that compares Python values of any depth) as an independent judge. It is given
the fleet's own typed values, which the tool never sees; the tool is given texts, in which one value is
spelled in many ways and in several units.

A value counts as differing exactly if DeepDiff says `values_changed`, as not read if it says that the item
was removed. All values are whole display steps, so that no rounding blurs what differs.

The second half checks, role by role, that a difference in it is reported at all.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from shutil import copy

import pytest
import yaml
from deepdiff import DeepDiff

from audit.model.result import Finding, Result
from audit.model.roles import ROLES
from audit.reading.rules import read_rulebook
from audit.run import Order, run, run_whole
from tests.outside.fleets import Fleet, fleet
from tests.outside.sites import DATA, audited, plan_text, write_rows

Places = set[tuple[str, str]]
"""Tags and settings."""


@dataclass(frozen=True)
class Judged:
    """A fleet, what DeepDiff says about its values, and what the tool says about its files."""

    fleet: Fleet
    changed: Places
    removed: Places
    """Not read, on nodes that were read."""
    missing: set[str]
    """Nodes that were not read at all."""
    differing: Places
    unread: Places
    """What comparing the paired site finds."""
    result: Result


@pytest.fixture(scope="module", params=[1, 2, 3], ids="seed {}".format)
def judged(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Judged:
    """Return a fleet of 2,000 nodes, judged by both."""
    made = fleet(request.param, tmp_path_factory.mktemp("fleet"))
    tree = DeepDiff(made.planned, made.found, view="tree")
    assert set(tree) == {"values_changed", "dictionary_item_removed"}
    done = run_whole(Order(made.plan, [made.readback]))
    compared = [(done.site.blocks[b].tags, name, one) for (b, name), one in done.differences.items()]
    changed, removed = (
        [tuple(level.path(output_format="list")) for level in tree[kind]]
        for kind in ("values_changed", "dictionary_item_removed")
    )
    return Judged(
        made,
        {(path[0], path[1]) for path in changed},
        {(path[0], path[1]) for path in removed if len(path) == 2},
        {path[0] for path in removed if len(path) == 1},
        {(tags[i], name) for tags, name, one in compared for i in one.differing},
        {(tags[i], name) for tags, name, one in compared for i in one.unread},
        done.result,
    )


@cache
def comparing_rules() -> set[str]:
    """Return the ids of the rules that compare each setting by itself with the plan."""
    return {
        rule.id for rule in read_rulebook((), None).rules if rule.check.kind in ("equals-plan", "within-one")
    }


def test_the_fleets_are_worth_comparing(judged: Judged) -> None:
    """Each fleet has faults in values of every kind, blanks, and nodes that were not read."""
    assert len(judged.fleet.planned) == 2000
    assert len(judged.changed) > 100
    assert {type(judged.fleet.planned[tag][name]).__name__ for tag, name in judged.changed} == {
        "int",
        "Decimal",
        "str",
        "bool",
    }
    assert len(judged.removed) > 20
    assert len(judged.missing) == 10


def test_the_same_values_differ(judged: Judged) -> None:
    """Comparing the paired site finds exactly the values that DeepDiff finds, and the same blanks."""
    assert judged.differing == judged.changed
    assert judged.unread == judged.removed


def test_the_counts_are_those_of_the_values(judged: Judged) -> None:
    """Verified, differing and not read add up to all that is planned."""
    counts, settings = judged.result.counts, len(next(iter(judged.fleet.planned.values())))
    assert counts.differing == len(judged.changed)
    assert counts.not_read == len(judged.removed) + settings * len(judged.missing)
    assert counts.verified + counts.differing + counts.not_read == settings * len(judged.fleet.planned)


def test_the_findings_that_compare_name_the_same_values(judged: Judged) -> None:
    """The rules that compare with the plan report each differing value once, and no other."""
    findings = [finding for finding in judged.result.findings if finding.rule in comparing_rules()]
    named = [(finding.node or "", finding.setting or "") for finding in findings]
    assert set(named) == judged.changed
    assert len(named) == len(judged.changed)
    assert all(finding.planned and finding.found and finding.planned != finding.found for finding in findings)


def test_findings_quote_the_text_as_it_was_found(judged: Judged) -> None:
    """The raw text of a finding is the text of the cell, character for character."""
    findings = [finding for finding in judged.result.findings if finding.rule in comparing_rules()]
    quoted = {(finding.node or "", finding.setting or ""): finding.raw for finding in findings}
    assert quoted == {place: judged.fleet.texts[place] for place in judged.changed}


def test_nothing_that_differs_goes_unreported(judged: Judged) -> None:
    """Each value that differs, each blank and each node not read is named by some finding."""
    said = {(finding.node or "", name) for finding in judged.result.findings for name in finding.settings}
    assert judged.changed <= said
    assert judged.removed <= said
    not_read = {finding.node for finding in judged.result.findings if finding.rule == "node-not-read"}
    assert not_read >= judged.missing


PLANNED = {
    "channel": "10", "address": "10", "host_register": "10", "host_register_count": "2", "host_device": "10",
    "pulse_weight": "10", "report_interval": "60", "last_heard": "30", "host_timeout": "300", "offset": "0",
    "frequency": "868", "radio_power": "10", "antenna_gain": "2", "feeder_loss": "1", "rssi": "-80",
    "battery_volts": "4", "reading": "50", "check_reading": "50", "host_reading": "50",
    "range_low": "0", "range_high": "100", "host_low": "0", "host_high": "100", "deadband": "2",
    "alarm_low_low": "10", "alarm_low": "20", "alarm_high": "80", "alarm_high_high": "90",
    "encryption": "on", "local_lock": "on", "service_port": "off", "alarm_enabled": "on",
    "default_refused": "yes", "joined_gateway": "GW-1", "device_temperature": "20",
}  # fmt: skip
"""Role → planned value; roles not listed are texts, and planned as `A1`."""
OTHER = {"on": "off", "off": "on", "yes": "no", "GW-1": "GW-9", "A1": "A2"}
"""Planned value → the value found; a number is found as one more."""
WITH_EVERY_ROLE = yaml.safe_load((DATA / "every-role.yaml").read_text(encoding="utf-8"))
COMPARED = [one["role"] for one in WITH_EVERY_ROLE["settings"]]
"""All roles but that of access codes, which are not compared with a plan: it should hold none."""


def node_findings(found: dict[str, str], folder: Path) -> list[Finding]:
    """Return the findings on a node that is planned with all roles, for what differs on it."""
    node = {its: PLANNED.get(its, "A1") for its in COMPARED}
    result = audited("every-role.yaml", {"N-1": node}, found={"N-1": {**node, **found}})
    return [finding for finding in result.findings if finding.node == "N-1"]


def gateway_findings(found: dict[str, str], folder: Path) -> list[Finding]:
    """Return the same for a gateway."""
    kind = (DATA / "every-role.yaml").read_text(encoding="utf-8")
    kind = kind.replace("name: every-role\n", "name: gateway\ndevice: gateway\n")
    gateway = {its: PLANNED.get(its, "A1") for its in COMPARED}
    settings = ", ".join(f"{its}: {value}" for its, value in gateway.items())
    plan = plan_text("spellings.yaml", [{"N-1": {}}])
    plan = plan.replace("type: gateway}", f"type: gateway, settings: {{{settings}}}}}")
    (folder / "gateway.yaml").write_text(kind, encoding="utf-8")
    copy(DATA / "spellings.yaml", folder)
    (folder / "plan.yaml").write_text(plan, encoding="utf-8")
    write_rows(folder / "found.csv", [{"tag": "GW-1", **gateway, **found}])
    result = run(Order(folder / "plan.yaml", [folder / "found.csv"]))
    return [finding for finding in result.findings if finding.node == "GW-1"]


FindingsOn = Callable[[dict[str, str], Path], list[Finding]]
each_device = pytest.mark.parametrize(
    "findings_on", [node_findings, gateway_findings], ids=["node", "gateway"]
)


def test_every_role_is_compared() -> None:
    """A new role has its setting in the device type of these tests."""
    assert sorted(set(ROLES) - {"access_code"} - set(COMPARED)) == [], "add it to data/every-role.yaml"


@each_device
@pytest.mark.parametrize("role", COMPARED)
def test_a_difference_in_any_role_is_reported(role: str, findings_on: FindingsOn, tmp_path: Path) -> None:
    """Whatever a setting means to the rules, a difference from the plan is found."""
    planned = PLANNED.get(role, "A1")
    other = OTHER.get(planned) or str(int(planned) + 1)
    findings = [finding for finding in findings_on({role: other}, tmp_path) if role in finding.settings]
    assert any(other in (finding.found or "") for finding in findings)


@each_device
def test_agreement_in_every_role_is_not_reported(findings_on: FindingsOn, tmp_path: Path) -> None:
    """A device that was found as planned, with a setting of every role, has no finding on any of them."""
    assert [
        finding.rule for finding in findings_on({}, tmp_path) if set(COMPARED) & {*finding.settings}
    ] == []
