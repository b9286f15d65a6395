"""The result as SARIF 2.1.0, for pipelines and viewers of findings.

Clauses are those of 'Static Analysis Results Interchange Format (SARIF) Version 2.1.0 Plus Errata 01',
OASIS Standard, 28 August 2023 (read in a transcription).
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from audit.model.result import Finding, Result, Waived
from audit.model.used import InputFile, RuleUsed
from audit.phrases import clean
from audit.reporting.markdown_report import escaped
from audit.reporting.sarif_places import Logical, Part, braced, location, main_location, message, unique, uri
from audit.reporting.words import softened, where

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
FINGERPRINT = "findingId/v1"
"""Name of the fingerprint, which is the finding's id: what that is made of, `Finding.id` says."""
ROLES = {
    "plan": "analysisTarget",
    "node table": "analysisTarget",
    "readback": "analysisTarget",
    "not read": "",
}
"""Kind of an input → its role; inputs of other kinds say how to check."""
NOT_KNOWN = "open"
"""Kind of a result that was not read again, so that too little is known to say whether it still holds."""


def render(result: Result) -> str:
    """Return the result as a SARIF log: one run, sorted, with no time other than the run's date."""
    log = {"$schema": SCHEMA, "version": "2.1.0", "runs": [_run(result)]}
    return json.dumps(_cleaned(log), indent=2, ensure_ascii=False) + "\n"


def _run(result: Result) -> Part:
    inputs = sorted(result.inputs, key=lambda file: file.file)
    artifacts = {file.file: i for i, file in enumerate(inputs)}
    rules = sorted(result.rules, key=lambda rule: rule.id)
    index = {rule.id: i for i, rule in enumerate(rules)}
    logical = Logical()
    states: list[tuple[Finding, str | None]] = [(finding, finding.since) for finding in result.findings]
    if result.since:
        gone = NOT_KNOWN if result.since.note else "absent"
        states += [(finding, gone) for finding in result.since.absent]
        states += [(finding, NOT_KNOWN) for finding in result.since.not_read_again]
    results = [_result(finding, state, index, artifacts, logical) for finding, state in states]
    return {
        "tool": {
            "driver": {
                "name": result.tool.name,
                "version": result.tool.version,
                "language": "en",
                "rules": [_rule(rule) for rule in rules],
            }
        },
        "invocations": [{"executionSuccessful": True}],
        "automationDetails": {"id": f"{result.site.name}/{result.gate.id}/{result.run_on}"},
        "columnKind": "unicodeCodePoints",
        "artifacts": [_artifact(file) for file in inputs],
        "logicalLocations": logical.parts,
        "results": sorted(results, key=_by_place),
        "properties": _about(result),
    }


def _rule(rule: RuleUsed) -> Part:
    parts = {"Why": rule.why, "Remedy": rule.remedy, "Source": rule.source}
    return {
        "id": rule.id,
        "shortDescription": {"text": message(rule.title)},
        "fullDescription": {"text": message(rule.why)},
        "help": {
            "text": "\n".join(f"{head}: {message(text)}" for head, text in parts.items()),
            "markdown": "\n\n".join(f"**{head}:** {braced(escaped(text))}" for head, text in parts.items()),
        },
        "defaultConfiguration": {"level": rule.level},
    }


def _artifact(file: InputFile) -> Part:
    role = ROLES.get(file.kind, "userSpecifiedConfiguration")
    return {
        "location": {"uri": uri(file.file)},
        **({"roles": [role]} if role else {}),
        **({"hashes": {"sha-256": file.sha256}} if file.sha256 else {}),
        **({"description": {"text": message(file.note)}} if file.note else {}),
        "properties": {"kind": file.kind},
    }


def _about(result: Result) -> Part:
    """Return what the run was about, and its outcome."""
    return {
        "verdict": result.verdict,
        "gate": {
            "id": result.gate.id,
            "title": result.gate.title,
            "failOn": result.gate.fail_on,
            **({"levelsLowered": softened(result.gate)} if result.gate.lowered else {}),
        },
        "site": result.site.name,
        "planRevision": result.site.plan_revision,
        "runOn": result.run_on,
        "counts": result.counts.model_dump(),
        "rulePacks": [pack.model_dump() for pack in result.packs],
        "notChecked": [idle.model_dump() for idle in result.not_checked],
        "cautions": result.cautions,
        "since": result.since and result.since.model_dump(exclude={"absent", "not_read_again"}),
    }


def _result(
    finding: Finding,
    state: str | None,
    rules: Mapping[str, int],
    artifacts: Mapping[str, int],
    logical: Logical,
) -> Part:
    related = [location(place, artifacts) for place in finding.evidence[1:]]
    network = None if finding.node else finding.network  # the other of two devices may be in another network
    related += [{"logicalLocations": [logical.of(network, tag)]} for tag in finding.others if tag]
    return {
        "ruleId": finding.rule,
        **({"ruleIndex": rules[finding.rule]} if finding.rule in rules else {}),
        **({"kind": "open", "level": "none"} if state == NOT_KNOWN else {"level": finding.level}),
        "message": {"text": message(_told(finding))},
        "locations": main_location(finding, artifacts, logical),
        **({"relatedLocations": unique(related)} if related else {}),
        "partialFingerprints": {FINGERPRINT: finding.id},
        "suppressions": [_suppression(finding.waived)] if finding.waived else [],  # on all or none: 3.27.23
        **({"baselineState": "unchanged" if state == NOT_KNOWN else state} if state else {}),
        "properties": {
            **finding.model_dump(include={"serial", "location", "settings", "planned", "found"}),
            "causedBy": finding.caused_by,
            "dependents": finding.dependents,
            "slips": [slip.model_dump() for slip in finding.slips],
            "doubtfulSide": finding.doubtful_side,
            **({"requirements": finding.requirements} if finding.requirements else {}),
        },
    }


def _told(finding: Finding) -> str:
    """Return place, condition, risk and response, as 3.27.11 asks for."""
    hints = "".join(f" {hint[0].upper()}{hint[1:]}." for hint in finding.hints)
    return f"{where(finding)}{finding.message}.{hints} {finding.why} {finding.remedy}"


def _suppression(waived: Waived) -> Part:
    return {
        "kind": "external",
        "status": "accepted",
        "justification": waived.grounds,
        "properties": waived.model_dump(include={"waiver", "owner", "approver", "expires"}),
    }


def _by_place(result: Part) -> tuple[Any, ...]:
    """Return the key that results are sorted by: file, line, column, rule, id (as in Appendix F.3)."""
    physical: Part = next(
        (at["physicalLocation"] for at in result["locations"] if "physicalLocation" in at), {}
    )
    region = physical.get("region", {})
    return (
        physical.get("artifactLocation", {}).get("uri", ""),
        region.get("startLine", 0),
        region.get("startColumn", 0),
        result["ruleId"],
        result["partialFingerprints"][FINGERPRINT],
        result.get("baselineState", ""),
    )


def _cleaned(part: Any) -> Any:
    """Return a part of the log with control and direction-changing characters written out; line ends stay."""
    if isinstance(part, str):
        return "\n".join(map(clean, part.split("\n")))
    if isinstance(part, Mapping):
        return {key: _cleaned(value) for key, value in part.items()}
    if isinstance(part, Sequence):
        return [_cleaned(value) for value in part]
    return part
