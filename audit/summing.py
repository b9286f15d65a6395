"""Summing up: the results of several sites and dates become one summary."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from audit.model.base import level_rank
from audit.model.result import Finding, Result
from audit.model.summary import CauseLine, Compared, ResultUsed, SiteLine, Summary, Trend, TrendPoint


@dataclass(frozen=True, slots=True)
class ReadResult:
    """A result with the file that it was read from."""

    result: Result
    file: str
    sha256: str


def sum_up(results: Sequence[ReadResult]) -> Summary:
    """Return the summary. A file given twice counts once; of one date, the last given is latest.

    Drift, which only says that a site is as it was, is a course of its own. A plan that was checked alone
    does not show that what was found is gone: it counts where nothing else is known of a site.
    """
    once = list({read.sha256: read for read in results}.values())
    by_site: dict[tuple[str, Compared], list[ReadResult]] = {}
    for read in sorted(once, key=lambda read: read.result.run_on):
        by_site.setdefault((read.result.site.name, _compared(read)), []).append(read)
    courses = {key: _with_readback(course) for key, course in by_site.items()}
    latest = [course[-1] for course in courses.values()]
    return Summary(
        schema_="asfound/summary/1",
        verdict="fail" if any(read.result.verdict == "fail" for read in latest) else "pass",
        sites=sorted(map(_site, latest), key=_worst_first),
        causes=_causes(latest),
        trends=[_trend(*key, course) for key, course in sorted(courses.items()) if len(course) > 1],
        results=[
            ResultUsed(
                file=read.file,
                sha256=read.sha256,
                site=read.result.site.name,
                run_on=read.result.run_on,
                compared=_compared(read),
                counted=read in courses[read.result.site.name, _compared(read)],
            )
            for read in once
        ],
        cautions=list(dict.fromkeys(caution for read in latest for caution in read.result.cautions)),
    )


def _compared(read: ReadResult) -> Compared:
    return "baseline" if read.result.drift else "plan"


def _with_readback(course: Sequence[ReadResult]) -> Sequence[ReadResult]:
    """Return the results that rest on a readback, or all where none does."""
    return [read for read in course if read.result.counts.devices_read] or course


def _site(read: ReadResult) -> SiteLine:
    result, counts = read.result, read.result.counts
    return SiteLine(
        site=result.site.name,
        compared=_compared(read),
        plan_revision=result.site.plan_revision,
        verdict=result.verdict,
        run_on=result.run_on,
        gate=result.gate.id,
        networks=counts.networks,
        devices=counts.devices,
        devices_read=counts.devices_read,
        not_read=counts.not_read,
        errors=counts.errors,
        warnings=counts.warnings,
        notes=counts.notes,
        waived=counts.waived,
        root_causes=counts.root_causes,
        not_checked=len(result.not_checked),
        file=read.file,
    )


def _worst_first(line: SiteLine) -> tuple[bool, int, int, str]:
    return line.verdict == "pass", -line.errors, -line.warnings, line.site + line.compared


def _causes(latest: Iterable[ReadResult]) -> list[CauseLine]:
    """Return the rules behind the causes that count, by how many causes, then sites, they stand for."""
    found: dict[str, list[tuple[str, Finding]]] = {}
    titles: dict[str, str] = {}
    for read in latest:
        titles |= {rule.id: rule.title for rule in read.result.rules}
        for finding in read.result.findings:
            if finding.caused_by is None and finding.waived is None:
                found.setdefault(finding.rule, []).append((read.result.site.name, finding))
    lines = [
        CauseLine(
            rule=rule,
            title=titles.get(rule, rule),
            level=min((finding.level for _, finding in causes), key=level_rank),
            causes=len(causes),
            dependents=sum(len(finding.dependents) for _, finding in causes),
            sites=sorted({site for site, _ in causes}),
        )
        for rule, causes in found.items()
    ]
    return sorted(lines, key=lambda line: (-line.causes, -len(line.sites), level_rank(line.level), line.rule))


def _trend(site: str, compared: Compared, course: Sequence[ReadResult]) -> Trend:
    first = _point(course[0], None)
    return Trend(
        site=site,
        compared=compared,
        points=[first, *(_point(now, before) for before, now in pairwise(course))],
    )


def _point(read: ReadResult, before: ReadResult | None) -> TrendPoint:
    result, counts = read.result, read.result.counts
    now = {finding.id for finding in result.findings}
    then = {finding.id for finding in before.result.findings} if before else set()
    return TrendPoint(
        run_on=result.run_on,
        verdict=result.verdict,
        gate=result.gate.id,
        plan_revision=result.site.plan_revision,
        devices=counts.devices,
        devices_read=counts.devices_read,
        errors=counts.errors,
        warnings=counts.warnings,
        notes=counts.notes,
        waived=counts.waived,
        new=len(now - then) if before else None,
        gone=len(then - now) if before else None,
        file=read.file,
    )
