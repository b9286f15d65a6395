"""The result as JUnit XML, for pipelines: one suite per network, one case per device and rule.

There is no standard. The form is that of `junit-10.xsd` (2014), which CI systems read.
"""

from __future__ import annotations

import xml.etree.ElementTree as ET
from collections.abc import Iterator, Mapping, Sequence, Set
from dataclasses import dataclass
from typing import Literal

from audit.grouping import grouped
from audit.judging.since import NOT_READ
from audit.model.base import Level, level_rank
from audit.model.counts import NetworkCounts
from audit.model.result import Finding, Result
from audit.phrases import clean
from audit.reporting.text_report import where_it_stands
from audit.reporting.words import softened, words_of

UNREAD = {"not read": "it was not read back", "partly read": "not all of it was read back"}
"""State of a device → why its case is skipped, where no finding says so: nobody had to read it."""


@dataclass(frozen=True, slots=True)
class Case:
    """A test case: passed, failed or skipped, and what is reported with it."""

    name: str
    outcome: Literal["passed", "failure", "skipped"] = "passed"
    type: str = ""
    """Id of the rule."""
    message: str = ""
    text: str = ""


def render(result: Result) -> str:
    """Return the result as XML: the site's suite first, then the networks in the plan's order."""
    found, fail_on = result.findings_in, result.gate.fail_on
    root = ET.Element("testsuites", name=clean(result.site.name))
    at_large = _cases(found[None], fail_on) or [Case("no finding on the site as a whole")]
    _suite(root, result.site.name, _about(result), at_large)
    for network in result.networks:
        its = found[network.network]
        own = [*_cases(its, fail_on), *_without_findings(result, network, {one.node for one in its})]
        _suite(root, network.network, network.model_dump(exclude={"network"}), own)
    for name in ("tests", "failures", "errors"):
        root.set(name, str(sum(int(suite.get(name, "0")) for suite in root)))
    ET.indent(root)
    return "<?xml version='1.0' encoding='UTF-8'?>\n" + ET.tostring(root, encoding="unicode") + "\n"


def _cases(findings: Sequence[Finding], fail_on: Level) -> list[Case]:
    """Return a case for each device and rule."""
    groups = grouped(((finding.node or "", finding.rule), finding) for finding in findings)
    return [_case(f"{node} {rule}".strip(), findings, fail_on) for (node, rule), findings in groups.items()]


def _case(name: str, findings: Sequence[Finding], fail_on: Level) -> Case:
    """Return the case for what one rule found on one device.

    It fails if the gate fails on it, so that a job is red for the same reason as the exit code is 1. Findings
    below the gate's level, and those that a live waiver excuses, pass and are shown in the output. A finding
    that something was not read is skipped, unless the gate fails on it.
    """
    live = [finding for finding in findings if finding.waived is None]
    failed = [finding for finding in live if level_rank(finding.level) <= level_rank(fail_on)]
    skipped = [finding for finding in live if finding.rule in NOT_READ]
    reported = failed or skipped or findings
    return Case(
        name,
        "failure" if failed else "skipped" if skipped else "passed",
        clean(reported[0].rule),
        "; ".join(finding.message for finding in reported),
        "\n\n".join("\n".join(_lines(finding)) for finding in findings),
    )


def _lines(finding: Finding) -> Iterator[str]:
    """Yield the details of a finding, one per line."""
    parts = [
        (finding.level, finding.message),
        *(("in", where_it_stands(place)) for place in finding.evidence),
        ("devices", ", ".join(finding.others)),
        ("how it came about", "; ".join(finding.hints)),
        ("why", finding.why),
        ("remedy", finding.remedy),
        ("source", finding.source),
        ("caused by", finding.caused_by),
        ("since the earlier result", finding.since),
    ]
    if finding.waived:
        waived = finding.waived
        parts += [
            ("waived by", f"{waived.waiver} until {waived.expires}: {waived.reason}"),
            ("meanwhile", waived.compensating_measure),
            ("owner, approver", f"{waived.owner}, {waived.approver}"),
        ]
    return (clean(f"{name}: {text}") for name, text in parts if text)


def _without_findings(result: Result, network: NetworkCounts, nodes: Set[str | None]) -> Iterator[Case]:
    """Yield a case for each device without findings; a single one for all if devices are not listed."""
    words = words_of(result)
    if result.devices is None:
        if network.not_read:
            were = "was" if network.not_read == 1 else "were"
            text = f"{network.not_read:,} {were} not read"
            yield Case(f"settings {words.alike}", "skipped", "not-read", text)
        elif not network.differing:
            text = f"{words.settings} read {words.alike}: {network.verified:,}"
            yield Case(f"settings {words.alike}", text=text)
        return
    states = {d.tag: d.state for d in result.devices if d.network == network.network and d.tag not in nodes}
    for tag, state in states.items():
        if state in UNREAD:
            yield Case(f"{tag} {words.alike}", "skipped", "not-read", UNREAD[state])
        elif state == "as planned":
            yield Case(f"{tag} {words.alike}")


def _about(result: Result) -> dict[str, object]:
    return {
        "verdict": result.verdict,
        "gate": result.gate.id,
        "gate fails on": result.gate.fail_on,
        **({"levels lowered": softened(result.gate)} if result.gate.lowered else {}),
        "run_on": result.run_on,
        "plan revision": result.site.plan_revision or "",
        "tool": f"{result.tool.name} {result.tool.version}",
        **result.counts.model_dump(),
    }


def _suite(root: ET.Element, name: str, about: Mapping[str, object], cases: Sequence[Case]) -> None:
    outcomes = [case.outcome for case in cases]
    suite = ET.SubElement(
        root, "testsuite", name=clean(name), tests=str(len(cases)), errors="0",
        failures=str(outcomes.count("failure")), skipped=str(outcomes.count("skipped")),
    )  # fmt: skip
    properties = ET.SubElement(suite, "properties")
    for key, value in about.items():
        ET.SubElement(properties, "property", name=key, value=clean(str(value)))
    for case in cases:
        element = ET.SubElement(suite, "testcase", classname=clean(name), name=clean(case.name))
        if case.outcome != "passed":
            attributes = {"type": case.type, "message": clean(case.message)}
            ET.SubElement(element, case.outcome, attributes).text = case.text or None
        elif case.text:
            ET.SubElement(element, "system-out").text = case.text
