"""Since: how the findings of a run stand to those of an earlier one."""

from __future__ import annotations

from collections.abc import Sequence

from audit.model.result import Finding, Result, Since


def compare(
    findings: Sequence[Finding], earlier: Result, file: str, sha256: str
) -> tuple[list[Finding], Since]:
    """Return the findings marked as new, unchanged or updated, and what is no more.

    Findings are told apart by their id, which does not depend on rows or on other findings.
    """
    before = {finding.id: finding for finding in earlier.findings}
    marked = [
        finding.model_copy(update={"since": _state(finding, before.get(finding.id))}) for finding in findings
    ]
    now = {finding.id for finding in findings}
    absent = [finding for finding in earlier.findings if finding.id not in now]
    return marked, Since(file=file, sha256=sha256, run_on=earlier.run_on, absent=absent)


def _state(finding: Finding, before: Finding | None) -> str:
    if before is None:
        return "new"
    told = ("level", "planned", "found", "message", "waived")
    return "unchanged" if all(getattr(finding, k) == getattr(before, k) for k in told) else "updated"
