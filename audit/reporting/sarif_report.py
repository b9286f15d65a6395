"""The result as SARIF 2.1.0, for pipelines and viewers of findings.

Clauses are those of 'Static Analysis Results Interchange Format (SARIF) Version 2.1.0 Plus Errata 01',
OASIS Standard, 28 August 2023 (read in a transcription).
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any
from urllib.parse import quote

from audit.model.result import EvidencePlace, Finding, Result, Waived
from audit.model.table import column_index
from audit.model.used import InputFile, RuleUsed
from audit.phrases import clean
from audit.reporting.markdown_report import escaped
from audit.reporting.words import where

SCHEMA = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
FINGERPRINT = "findingId/v1"
"""Name of the fingerprint: the finding's id, which is made of rule, network, node and settings."""
BINARY = (".xlsx", ".xlsm", ".xls", ".ods")
RECORDS = (".json", ".yaml", ".yml")
ROLES = {
    "plan": "analysisTarget",
    "node table": "analysisTarget",
    "readback": "analysisTarget",
    "not read": "",
}
"""Kind of an input → its role; other kinds say how to check."""

Part = dict[str, Any]


def render(result: Result) -> str:
    """Return the result as a SARIF log: one run, sorted, without any time but the run's date."""
    log = {"$schema": SCHEMA, "version": "2.1.0", "runs": [_run(result)]}
    return json.dumps(_cleaned(log), indent=2, ensure_ascii=False) + "\n"


def _run(result: Result) -> Part:
    artifacts = {file.file: i for i, file in enumerate(sorted(result.inputs, key=lambda file: file.file))}
    rules = sorted(result.rules, key=lambda rule: rule.id)
    index = {rule.id: i for i, rule in enumerate(rules)}
    logical = _Logical()
    states: list[tuple[Finding, str | None]] = [(finding, finding.since) for finding in result.findings]
    if result.since:
        states += [(finding, "absent") for finding in result.since.absent]
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
        "artifacts": [_artifact(file) for file in sorted(result.inputs, key=lambda file: file.file)],
        "logicalLocations": logical.parts,
        "results": sorted(results, key=_by_place),
        "properties": _about(result),
    }


def _rule(rule: RuleUsed) -> Part:
    told = {"Why": rule.why, "Remedy": rule.remedy, "Source": rule.source}
    return {
        "id": rule.id,
        "shortDescription": {"text": _message(rule.title)},
        "fullDescription": {"text": _message(rule.why)},
        "help": {
            "text": "\n".join(f"{head}: {_message(text)}" for head, text in told.items()),
            "markdown": "\n\n".join(f"**{head}:** {_braced(escaped(text))}" for head, text in told.items()),
        },
        "defaultConfiguration": {"level": rule.level},
    }


def _artifact(file: InputFile) -> Part:
    role = ROLES.get(file.kind, "userSpecifiedConfiguration")
    return {
        "location": {"uri": uri(file.file)},
        **({"roles": [role]} if role else {}),
        **({"hashes": {"sha-256": file.sha256}} if file.sha256 else {}),
        **({"description": {"text": _message(file.note)}} if file.note else {}),
        "properties": {"kind": file.kind},
    }


def _about(result: Result) -> Part:
    """Return what the run was, and what it came to."""
    return {
        "verdict": result.verdict,
        "gate": {"id": result.gate.id, "title": result.gate.title, "failOn": result.gate.fail_on},
        "site": result.site.name,
        "planRevision": result.site.plan_revision,
        "runOn": result.run_on,
        "counts": result.counts.model_dump(),
        "rulePacks": [pack.model_dump() for pack in result.packs],
        "notChecked": [idle.model_dump() for idle in result.not_checked],
        "cautions": result.cautions,
        "since": result.since and result.since.model_dump(exclude={"absent"}),
    }


def _result(
    finding: Finding,
    state: str | None,
    rules: Mapping[str, int],
    artifacts: Mapping[str, int],
    logical: _Logical,
) -> Part:
    related = [_location(place, artifacts) for place in finding.evidence[1:]]
    network = None if finding.node else finding.network  # the other of two devices may be of another network
    related += [{"logicalLocations": [logical.of(network, tag)]} for tag in finding.others if tag]
    return {
        "ruleId": finding.rule,
        **({"ruleIndex": rules[finding.rule]} if finding.rule in rules else {}),
        "level": finding.level,
        "message": {"text": _message(_told(finding))},
        "locations": _main_location(finding, artifacts, logical),
        **({"relatedLocations": _unique(related)} if related else {}),
        "partialFingerprints": {FINGERPRINT: finding.id},
        "suppressions": [_suppression(finding.waived)] if finding.waived else [],  # on all or none: 3.27.23
        **({"baselineState": state} if state else {}),
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


def _main_location(finding: Finding, artifacts: Mapping[str, int], logical: _Logical) -> list[Part]:
    location = _location(finding.evidence[0], artifacts) if finding.evidence else {}
    names: list[str | None] = [*finding.settings] or [None]
    concerned = [logical.of(finding.network, finding.node, name) for name in names]
    parts = _unique(part for part in (*concerned, *location.get("logicalLocations", [])) if part)
    if parts:
        location["logicalLocations"] = parts
    return [location] if location else []


def _unique(parts: Iterable[Part]) -> list[Part]:
    """Return the parts without those that stand there already."""
    return list({json.dumps(part): part for part in parts}.values())


def _location(place: EvidencePlace, artifacts: Mapping[str, int]) -> Part:
    """Return a place in a file, with its cell or key where a line does not tell enough."""
    artifact: Part = {"uri": uri(place.file)}
    if place.file in artifacts:
        artifact["index"] = artifacts[place.file]
    region, cell = _region(place), _cell(place)
    said = ": ".join(filter(None, (place.heading, place.raw)))
    return {
        "physicalLocation": {"artifactLocation": artifact, **({"region": region} if region else {})},
        **({"logicalLocations": [cell]} if cell else {}),
        **({"message": {"text": _message(said)}} if said else {}),
    }


def _region(place: EvidencePlace) -> Part:
    """Return line and column of a text file; other files have none (3.30.1).

    A table's column is counted in cells. The n-th cell begins at the n-th character or behind it, and the
    region reaches to the end of the line (3.30.2), so that it holds the cell.
    """
    name = place.file.lower()
    if not place.row or place.sheet or name.endswith(BINARY):
        return {}
    if _is_key(place):  # the row of a JSON file is the number of a record
        return {} if name.endswith(".json") else {"startLine": place.row}
    column = _column_number(place.column or "")
    return {"startLine": place.row, **({"startColumn": column} if column else {})}


def _is_key(place: EvidencePlace) -> bool:
    """Tell whether a place's column is the key of a record."""
    column = place.column or ""
    in_records = place.file.lower().endswith(RECORDS)
    return in_records and bool(column) and (not column.isdigit() or column == place.heading)


def _column_number(column: str) -> int | None:
    """Return a column as a number: that of a character, or of the letters of a spreadsheet's column."""
    if re.fullmatch("[1-9][0-9]{0,8}", column):
        return int(column)
    if re.fullmatch("[A-Z]{1,4}", column):
        return column_index(column) + 1
    return None


def _cell(place: EvidencePlace) -> Part:
    """Return the cell of a table as file[Sheet]!C6, or the key of a record, as a logical location."""
    if not place.row or not place.column:
        return {}
    table = f"{place.file}[{place.sheet}]" if place.sheet else place.file
    if _is_key(place):
        return {"fullyQualifiedName": f"{table}!{place.row}/{place.column}", "kind": "key"}
    if place.column.isdigit():
        return {}
    return {"fullyQualifiedName": f"{table}!{place.column}{place.row}", "kind": "cell"}


class _Logical:
    """The networks, devices and settings that results are about, each listed once, under its parent."""

    def __init__(self) -> None:
        self.parts: list[Part] = []
        self._known: dict[tuple[str, ...], int] = {}

    def of(self, network: str | None, node: str | None, setting: str | None = None) -> Part:
        """Return a reference to the innermost of them; empty for the site as a whole."""
        names: tuple[str, ...] = ()
        part: Part = {}
        parent = -1
        for kind, name in (("network", network), ("device", node), ("setting", setting)):
            if not name:
                continue
            names = (*names, f"{kind} {name}")
            if names not in self._known:
                self._known[names] = len(self.parts)
                full = f"{part['fullyQualifiedName']}/{name}" if part else name
                above = {"parentIndex": parent} if part else {}
                self.parts.append({"name": name, "fullyQualifiedName": full, "kind": kind, **above})
            parent = self._known[names]
            part = {"fullyQualifiedName": self.parts[parent]["fullyQualifiedName"], "index": parent}
        return part


def _suppression(waived: Waived) -> Part:
    meanwhile = f"; meanwhile: {waived.compensating_measure}" if waived.compensating_measure else ""
    return {
        "kind": "external",
        "status": "accepted",
        "justification": f"{waived.reason}{meanwhile}",
        "properties": waived.model_dump(include={"waiver", "owner", "approver", "expires"}),
    }


def _by_place(result: Part) -> tuple[Any, ...]:
    """Return what results are sorted by: file, line, column, rule, id (as in Appendix F.3)."""
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


def uri(file: str) -> str:
    """Return a file name as a URI: relative where the name is, with what a URI cannot hold encoded."""
    name = quote(file, safe="/:" if re.match("[A-Za-z]:/", file) else "/", errors="replace")
    if file.startswith("/"):
        return f"file://{name}"
    return f"file:///{name}" if ":" in name else name


def _message(text: str) -> str:
    """Return a text as a plain message that holds no placeholder and no link (3.11.5, 3.11.6)."""
    return _braced(text.replace("](", "] ("))


def _braced(text: str) -> str:
    return text.replace("{", "{{").replace("}", "}}")


def _cleaned(part: Any) -> Any:
    """Return a part of the log with control and direction-changing characters written out, but line ends."""
    if isinstance(part, str):
        return "\n".join(map(clean, part.split("\n")))
    if isinstance(part, Mapping):
        return {key: _cleaned(value) for key, value in part.items()}
    if isinstance(part, Sequence):
        return [_cleaned(value) for value in part]
    return part
