"""Summing up: results of several sites and dates become one summary."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Sequence
from functools import partial
from itertools import pairwise

from audit.grouping import grouped
from audit.judging.looked_again import not_looked_at
from audit.judging.since import shared_serials
from audit.model.base import level_rank
from audit.model.finding_names import under_serial
from audit.model.result import Finding, Result, own_rule
from audit.model.summary import CauseLine, Compared, ResultUsed, SiteLine, Summary, Trend, TrendPoint
from audit.read_results import ReadResult, under_last_names, was_compared_with
from audit.reading.identifiers import natural


def sum_up(results: Sequence[ReadResult]) -> Summary:
    """Return the summary. A file given twice counts once; the order in which files are given does not matter.

    Each gate is a course of its own, since gates judge different things. So is drift, which only says that a
    site is as it was. A check of the plan alone does not show that earlier findings are gone, so it counts
    only if nothing else is known of the site. The same holds for an empty readback, unless it fails: it was
    meant to show the site as it is now.
    """
    once = under_last_names({read.sha256: read for read in results}.values())
    by_site = grouped(((read.result.site.name, _compared(read)), read) for read in once)
    courses: dict[tuple[str, Compared, str], list[ReadResult]] = {}
    for (site, compared), those in by_site.items():
        for read in _with_readback(those):
            courses.setdefault((site, compared, read.result.gate.id), []).append(read)
    courses = {
        key: sorted(course, key=partial(_when, course))
        for key, course in sorted(courses.items(), key=lambda item: (natural(item[0][0]), item[0]))
    }
    latest = [course[-1] for course in courses.values()]
    counted = {read.sha256 for course in courses.values() for read in course}
    return Summary(
        schema_="asfound/summary/1",
        verdict="fail" if any(read.result.verdict == "fail" for read in latest) else "pass",
        sites=sorted((_site(course[-1], _tied(course)) for course in courses.values()), key=_worst_first),
        causes=_causes(latest),
        trends=[_trend(*key, course) for key, course in courses.items() if len(course) > 1],
        results=[
            ResultUsed(
                file=read.file,
                sha256=read.sha256,
                site=read.result.site.name,
                run_on=read.result.run_on,
                compared=_compared(read),
                counted=read.sha256 in counted,
            )
            for read in once
        ],
        cautions=list(dict.fromkeys(caution for read in latest for caution in read.result.cautions)),
    )


def _compared(read: ReadResult) -> Compared:
    return "baseline" if read.result.drift else "plan"


def _with_readback(course: Sequence[ReadResult]) -> Sequence[ReadResult]:
    """Return the results that rest on a readback, or all of them if none does."""
    return [read for read in course if read.result.counts.devices_read or _fails_blank(read.result)] or course


def _fails_blank(result: Result) -> bool:
    """Tell whether a result fails and a readback was given, whatever it held."""
    return result.verdict == "fail" and any(given.kind == "readback" for given in result.inputs)


def _when(course: Sequence[ReadResult], read: ReadResult) -> tuple[str, bool, int, bool, tuple[int, ...]]:
    """Return the key that a course is sorted by: the day, then whether other results say they came later.

    If nothing says which came later, the worse result is last and so counts: no file name hides a failure.
    """
    day = [one for one in course if one.result.run_on == read.result.run_on]
    before, its = _came_before(day, read), read.result.counts
    latest = not any(was_compared_with(later, read) for later in day)
    failed = read.result.verdict == "fail"
    return read.result.run_on, latest, before, failed, (its.errors, its.warnings, its.notes)


def _came_before(day: Sequence[ReadResult], read: ReadResult) -> int:
    """Return how many results of a day came before this one, each named by the next as its earlier result."""
    earlier = next((one for one in day if was_compared_with(read, one)), None)
    return 1 + _came_before(day, earlier) if earlier else 0


def _tied(course: Sequence[ReadResult]) -> list[str]:
    """Return the files of results of the same day that may be later than the one that counts."""
    last = course[-1]
    return [
        read.file
        for read in course[:-1]
        if read.result.run_on == last.result.run_on
        and not any(was_compared_with(later, read) for later in course)
    ]


def _site(read: ReadResult, tied: list[str]) -> SiteLine:
    result = read.result
    return SiteLine(
        site=result.site.name,
        compared=_compared(read),
        plan_revision=result.site.plan_revision,
        verdict=result.verdict,
        run_on=result.run_on,
        gate=result.gate.id,
        **result.counts.model_dump(exclude={"verified", "differing"}),
        not_checked=len(result.not_checked),
        file=read.file,
        tied=tied,
        lowered=result.gate.lowered,
    )


def _worst_first(line: SiteLine) -> tuple[bool, int, int]:
    """Return a key that keeps the order of names among sites that are as bad as each other."""
    return line.verdict == "pass", -line.errors, -line.warnings


def _causes(latest: Iterable[ReadResult]) -> list[CauseLine]:
    """Return the rules behind the causes that count, those with the most causes, then the most sites, first.

    A finding that two gates share counts once, at the worse level.
    """
    found: dict[str, dict[tuple[str, str], Finding]] = {}
    titles: dict[str, str] = {}
    for read in latest:
        titles |= {rule.id: rule.title for rule in read.result.rules}
        rule_of = read.result.rule_of
        for finding in read.result.causes:
            rule = own_rule(finding, rule_of)
            of_rule, key = found.setdefault(rule, {}), (read.result.site.name, finding.id)
            of_rule[key] = min(of_rule.get(key, finding), finding, key=lambda one: level_rank(one.level))
    lines = [
        CauseLine(
            rule=rule,
            title=titles.get(rule, rule),
            level=min((finding.level for finding in causes.values()), key=level_rank),
            causes=len(causes),
            dependents=sum(len(finding.dependents) for finding in causes.values()),
            sites=sorted({site for site, _ in causes}, key=natural),
        )
        for rule, causes in found.items()
    ]
    return sorted(lines, key=lambda line: (-line.causes, -len(line.sites), level_rank(line.level), line.rule))


def _trend(site: str, compared: Compared, gate: str, course: Sequence[ReadResult]) -> Trend:
    first = _point(course[0], None)
    points = [_point(now, before if _comparable(before, now) else None) for before, now in pairwise(course)]
    return Trend(site=site, compared=compared, gate=gate, points=[first, *points])


def _comparable(before: ReadResult, read: ReadResult) -> bool:
    """Tell whether what the next result no longer has is gone: after a new seal it is merely no drift."""
    then, now = before.result.drift, read.result.drift
    return then is None or now is None or then.baseline.sha256 == now.baseline.sha256


def _only_in(one: Result, other: Result) -> set[str]:
    """Return the ids of findings that a result has and another does not have.

    A finding on a device that has another network or tag there counts as the same, by the serial number.
    """
    ids = {finding.id for finding in other.findings}
    own = {finding.id for finding in one.findings}
    shared = shared_serials(one) | shared_serials(other)
    beside = {_by_serial(finding, shared) for finding in other.findings if finding.id not in own}
    return {
        finding.id
        for finding in one.findings
        if finding.id not in ids and _by_serial(finding, shared) not in beside
    }


def _by_serial(finding: Finding, shared: Collection[str]) -> str:
    """Return a finding's id with its serial number for network and tag; its id if no serial identifies it."""
    if not finding.serial or finding.serial in shared:
        return finding.id
    return under_serial(finding.id, (finding.network or "", finding.node or ""), finding.serial)


def _changes(read: ReadResult, before: ReadResult) -> tuple[int, int, int]:
    """Return how many findings are new, gone and not read again, as the result itself says if it does."""
    since = read.result.since
    if since and was_compared_with(read, before):
        new = sum(finding.since == "new" for finding in read.result.findings)
        return new, len(since.absent), len(since.not_read_again)
    gone = _only_in(before.result, read.result)
    unread = not_looked_at(before.result, read.result) & gone
    return len(_only_in(read.result, before.result)), len(gone - unread), len(unread)


def _point(read: ReadResult, before: ReadResult | None) -> TrendPoint:
    result = read.result
    new, gone, unread = _changes(read, before) if before else (None, None, None)
    return TrendPoint(
        run_on=result.run_on,
        verdict=result.verdict,
        gate=result.gate.id,
        plan_revision=result.site.plan_revision,
        **result.counts.model_dump(
            include={"devices", "devices_read", "errors", "warnings", "notes", "waived"}
        ),
        new=new,
        gone=gone,
        not_read_again=unread,
        file=read.file,
    )
