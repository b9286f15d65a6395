"""Judging: findings, gate and coverage become a result with its verdict."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from audit import __version__
from audit.checking import Checked
from audit.comparing import Difference
from audit.folding.causes import Causes
from audit.judging.cautions import cautions_of
from audit.judging.counting import in_all, near_misses, of_networks
from audit.judging.findings import to_findings
from audit.judging.readers import readers_of
from audit.model.base import Level, level_rank
from audit.model.result import Naming, NotChecked, Result
from audit.model.rule import Gate, Rule
from audit.model.site import Site
from audit.model.used import Gate as GateUsed
from audit.model.used import InputFile, RuleUsed, SiteName, Tool, WaiverUsed
from audit.reading.rules import Rulebook, level_of, lowered
from audit.waivers_told import Used
from audit.waiving import Waiving


def judge(
    site: Site,
    checked: Checked,
    folded: tuple[Waiving, Causes],
    named: Mapping[int, Naming],
    differences: Mapping[tuple[int, str], Difference],
    book: Rulebook,
    gate: Gate,
    fail_on: Level | None,
    run_on: str,
    inputs: Sequence[InputFile],
) -> Result:
    """Return the result. The run fails if any finding is at or above the gate's level."""
    fail_on = fail_on or gate.fail_on
    waiving, causes = folded
    findings = to_findings(site, waiving, causes, named, book, gate)
    failed = any(level_rank(f.level) <= level_rank(fail_on) for f in findings if f.waived is None)
    networks = of_networks(site, differences, findings)
    return Result(
        schema_="asfound/result/1",
        verdict="fail" if failed else "pass",
        counts=in_all(networks, findings),
        site=SiteName(name=site.plan.site.name, plan_revision=site.plan.site.revision or None),
        gate=GateUsed(
            id=gate.id,
            title=gate.title,
            fail_on=fail_on,
            lowered=lowered(book, gate),
            file=book.gate_files.get(gate.id),
        ),
        run_on=run_on,
        tool=Tool(name="asfound", version=__version__),
        networks=networks,
        findings=findings,
        not_checked=[NotChecked(rule=rule.id, reason=reason) for rule, reason in checked.idle],
        inputs=list(inputs),
        packs=list(book.packs),
        cautions=cautions_of(site, gate),
        rules=[_rule(rule, level_of(rule, book, gate)) for rule in book.rules],
        waivers=[_waiver(used) for used in waiving.states],
        since=None,
        devices=None,
        read_by=readers_of(site),
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
