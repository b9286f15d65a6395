"""Judging: findings, gate and coverage become a result with its verdict."""

from __future__ import annotations

from collections.abc import Mapping

from audit import __version__
from audit.audited import Audited
from audit.judging.cautions import cautions_of
from audit.judging.counting import in_all, near_misses, of_networks
from audit.judging.findings import to_findings
from audit.judging.read_again import read_again
from audit.judging.readers import readers_of
from audit.model.base import Level, level_rank
from audit.model.result import Naming, NotChecked, Result
from audit.model.rule import Rule
from audit.model.used import Gate as GateUsed
from audit.model.used import RuleUsed, SiteName, Tool, WaiverUsed
from audit.reading.rules import level_of, lowered, packs_with
from audit.waivers_told import Used


def judge(audited: Audited, named: Mapping[int, Naming] | None = None) -> Result:
    """Return the result. The run fails if any finding is at or above the level at which it is to fail.

    `named` says how the value of a finding, by position, was perhaps mis-keyed.
    """
    site, differences = audited.site, audited.differences
    book, gate, fail_on = audited.book, audited.gate, audited.fail_on
    findings = to_findings(audited, named or {})
    failed = any(level_rank(f.level) <= level_rank(fail_on) for f in findings if f.waived is None)
    networks = of_networks(site, differences, findings)
    idle = [NotChecked(rule=rule.id, reason=reason) for rule, reason in audited.checked.idle]
    return Result(
        schema_="asfound/result/1",
        verdict="fail" if failed else "pass",
        counts=in_all(networks, findings),
        site=SiteName.of(site.plan.site),
        gate=GateUsed(
            id=gate.id,
            title=gate.title,
            fail_on=fail_on,
            lowered=lowered(book, gate),
            file=book.gate_files.get(gate.id),
        ),
        run_on=audited.day.isoformat(),
        tool=Tool(name="asfound", version=__version__),
        networks=networks,
        findings=findings,
        not_checked=sorted(idle, key=lambda one: bool(packs_with(one.rule))),
        inputs=list(audited.inputs.files.values()),
        packs=list(book.packs),
        cautions=cautions_of(site, gate),
        rules=[_rule(rule, level_of(rule, book, gate)) for rule in book.rules],
        waivers=[_waiver(used) for used in audited.waiving.states],
        since=None,
        sample=audited.sample,
        devices=None,
        read_by=readers_of(site),
        read_again=read_again(site),
        near_misses=near_misses(site, differences),
    )


def _rule(rule: Rule, level: Level) -> RuleUsed:
    return RuleUsed(
        id=rule.id, title=rule.title, level=level, why=rule.why, remedy=rule.remedy, source=rule.source
    )


def _waiver(used: Used) -> WaiverUsed:
    one, waiver = used.one, used.one.waiver
    return WaiverUsed(
        id=waiver.id,
        rule=waiver.rule,
        node=waiver.node,
        setting=waiver.setting,
        value=one.value or None,
        reason=waiver.reason,
        compensating_measure=waiver.compensating_measure or None,
        owner=waiver.owner,
        approver=waiver.approver,
        issued=waiver.issued.isoformat(),
        expires=waiver.expires.isoformat(),
        state=used.state,
    )
