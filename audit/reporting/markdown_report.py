"""The result as Markdown, for merge requests and job pages: verdict first, short enough to be shown in full."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from audit.model.result import Finding, Result
from audit.reporting.lines import clean
from audit.reporting.text_report import where_it_stands

MOST_BYTES = 60_000
"""Job pages cut longer ones, or do not show them (common practice, no source)."""
FOR_THE_END = 4_000
"""Bytes kept for cautions and for what is said of the parts left out."""
LONGEST_TEXT = 400
"""Characters of one name, value or message; the JSON result has them in full."""

SPECIAL = re.compile(r"([\\`*_{}\[\]<>#+!|~$&@^:])")
"""ASCII characters that mean something in Markdown, in its tables, or where names and links are recognised."""


def render(result: Result) -> str:
    """Return the summary."""
    page = _Page(MOST_BYTES - FOR_THE_END)
    page.add(*_verdict(result))
    page.rows("networks", NETWORK_HEADS, [_network_row(network) for network in result.networks])
    causes = [f for f in result.findings if f.caused_by is None and f.waived is None]
    page.parts("causes", "## Causes", [_cause(n, finding) for n, finding in enumerate(causes, 1)])
    numbers = {finding.id: n for n, finding in enumerate(causes, 1)}
    rest = [f for f in result.findings if f.caused_by is not None and f.waived is None]
    page.folded("findings with a cause", [_dependent(finding, numbers) for finding in rest])
    page.folded("waived findings", [_waived(finding) for finding in result.findings if finding.waived])
    absent = result.since.absent if result.since else []
    page.folded("findings of the earlier result that are no more", [f"- {_headline(f)}" for f in absent])
    page.folded("rules with nothing to look at", _not_checked(result))
    page.folded("input files, with SHA-256", [_input(file.file, file.sha256, file.note) for file in result.inputs])
    page.room = FOR_THE_END
    page.parts("cautions", "## Cautions", [f"- {escaped(caution)}" for caution in result.cautions])
    return page.text(f"{escaped(result.tool.name)} {escaped(result.tool.version)}, run on {escaped(result.run_on)}")
