"""The summary of several results as text, for a person at a terminal."""

from __future__ import annotations

from audit.model.summary import SiteLine, Summary
from audit.phrases import counted
from audit.reporting.lines import Lines, table
from audit.reporting.words import softened


def render(summary: Summary, width: int = 80, colour: bool = False) -> str:
    """Return the summary as text of the given width."""
    lines = Lines(width, colour)
    failing = len(summary.failing)
    style = "bad" if failing else "good"
    lines.add(f"{summary.verdict.upper()}  {failing} of {counted(len(summary.names), 'site')} failing", style)
    dates = sorted(used.run_on for used in summary.results)
    lines.add(f"from {counted(len(summary.results), 'result')}, runs of {_span(dates)}")
    _sites(lines, summary)
    _causes(lines, summary)
    _trends(lines, summary)
    lines.head("RESULTS, with SHA-256")
    for used in summary.results:
        alone = "" if used.counted else ", nothing was read: not counted"
        lines.add(f"{used.file} ({used.site}, {used.run_on}{alone})", indent=2, hang=4)
        lines.block(used.sha256, 4)
    lines.cautions(summary.cautions)
    return lines.text()


def _span(dates: list[str]) -> str:
    return dates[0] if dates[0] == dates[-1] else f"{dates[0]} to {dates[-1]}"


def _sites(lines: Lines, summary: Summary) -> None:
    lines.head("SITES, each by its latest result at each gate")
    heads = ["site", "verdict", "run on", "gate", "errors", "warnings", "waived", "read"]
    rows = [
        [_name(line), line.verdict.upper(), line.run_on, line.gate, line.errors, line.warnings, line.waived,
         f"{line.devices_read:,}/{line.devices:,}"]
        for line in summary.sites
    ]  # fmt: skip
    lines.block(table(rows, heads, lines.width), 2)
    lines.add("read: devices read back. Settings that were not read, and rules that had nothing to check, "
              "are listed in each site's own report.", indent=2)  # fmt: skip
    for line in summary.sites:
        if line.tie:
            lines.add(f"{line.tie}.", "warning", indent=2, hang=2)
        if line.lowered:
            lines.add(f"{line.site}, {line.gate}: {softened(line)}.", "warning", indent=2, hang=2)


def _name(line: SiteLine) -> str:
    """Return the site, marked if the result is one of drift, which compares it with its baseline."""
    return line.site if line.compared == "plan" else f"{line.site}, drift"


def _causes(lines: Lines, summary: Summary) -> None:
    if not summary.causes:
        return
    lines.head("COMMONEST CAUSES")
    heads = ["rule", "worst", "causes", "follow-on", "sites", "what"]
    rows = [
        [line.rule, line.level, line.causes, line.dependents, len(line.sites), line.title]
        for line in summary.causes
    ]
    lines.block(table(rows, heads, lines.width), 2)


def _trends(lines: Lines, summary: Summary) -> None:
    heads = ["run on", "verdict", "errors", "warnings", "waived", "read", "new", "gone", "not read again"]
    for trend in summary.trends:
        lines.head(f"TREND of {trend.site}, {trend.gate}, against the {trend.compared}")
        rows = [
            [point.run_on, point.verdict.upper(), point.errors, point.warnings,
             point.waived, f"{point.devices_read:,}/{point.devices:,}",
             *("" if n is None else n for n in (point.new, point.gone, point.not_read_again))]
            for point in trend.points
        ]  # fmt: skip
        lines.block(table(rows, heads, lines.width), 2)
