"""Parts of results that the tests of several writers need."""

from __future__ import annotations

from audit.model.result import Finding, Result, Since, Waived
from tests.the_examples import audit

WAIVED = Waived(
    waiver="W-1",
    reason="the meter is replaced in June",
    compensating_measure="weekly reading by hand",
    owner="A. Example",
    approver="B. Sample",
    expires="2026-06-30",
)
DIGEST = "0" * 64


def finding(number: int, **more: object) -> Finding:
    """Return a finding of no particular kind."""
    fields = {
        "id": f"rule/{number}", "rule": "channel-differs", "level": "error",
        "network": "North",
        "node": f"N-{number}", "serial": None, "location": None,
        "setting": "channel", "settings": ["channel"],
        "planned": "7.50", "found": "1e5", "raw": "1e5", "evidence": [], "others": [],
        "message": f"message {number}",
        "why": "because", "remedy": "mend it", "source": "common practice",
        "caused_by": None, "dependents": [], "waived": None, "since": None,
    }  # fmt: skip
    return Finding.model_validate(fields | more)


def with_all_there_is() -> Result:
    """Return a result with waived findings, an earlier result, and findings without a place."""
    result = audit("merrow-vale", "as-found")
    changed = [one.model_copy(update={"since": "unchanged"}) for one in result.findings]
    changed[0] = changed[0].model_copy(update={"waived": WAIVED, "since": "updated"})
    changed.append(finding(1, network=None, node=None, settings=[], setting=None, since="new"))
    since = Since(file="earlier.json", sha256=DIGEST, run_on="2025-04-20", absent=[finding(2)])
    return result.model_copy(update={"findings": changed, "since": since})
