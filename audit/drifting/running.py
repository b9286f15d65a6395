"""A whole run of drift, stage by stage. A baseline takes the place of the plan in `check`."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

from audit.checking import check
from audit.comparing import compare_all
from audit.drifting.aligning import align
from audit.drifting.baseline_plan import blocks_of, known_by, plan_of
from audit.drifting.patching import patch
from audit.drifting.settings import drifting
from audit.errors import InputProblems, Problem, stop
from audit.folding.drift import DRIFT_PATTERNS
from audit.folding.registry import fold
from audit.judging.completing import command, complete
from audit.judging.judge import judge
from audit.model.drift import Drifting
from audit.model.result import Result
from audit.model.site import Block, Site
from audit.model.used import BaselineUsed, ChangeUsed, DriftUsed, PatchOperation
from audit.pairing.crossed import in_crossed_pairs
from audit.pairing.filled_in import only_read
from audit.pairing.pair import pair_blocks
from audit.pairing.planning import planned_blocks
from audit.reading.baselines import ReadBaseline, read_baseline
from audit.reading.changes import read_changes
from audit.reading.inputs import Inputs
from audit.reading.loaded_plan import LoadedPlan
from audit.reading.meanings import Meanings
from audit.reading.plan import read_plan
from audit.reading.quoting import quoted
from audit.reading.readback import read_readback
from audit.reading.rules import read_rulebook
from audit.reading.unknown_columns import NAME_IT
from audit.reading.waivers import read_waivers
from audit.run import AnyOrder, Progress, Warn
from audit.waiving import waive


@dataclass(frozen=True, slots=True, kw_only=True)
class DriftOrder(AnyOrder):
    """The order for a run of drift."""

    baseline: Path
    readback: Sequence[Path]
    plan: Path | None = None
    changes: Sequence[Path] = ()
    gate: str = "drift"
    patch: bool = False
    """Whether the result holds a JSON Patch from the baseline to the readback."""


def _plan(order: DriftOrder, baseline: ReadBaseline, inputs: Inputs) -> LoadedPlan | None:
    """Return the plan that is the third side, if one was given. Raises InputProblems if of another site."""
    if order.plan is None:
        return None
    plan = read_plan(order.plan, inputs)
    name = baseline.baseline.content.site.name
    if plan.file.site.name != name:
        message = f"is a plan of {quoted(plan.file.site.name)}, but the baseline is of {quoted(name)}"
        raise stop(message, "give the plan of this site", file=plan.name)
    return plan


def _used(
    baseline: ReadBaseline, plan: LoadedPlan | None, drift: Drifting, operations: list[PatchOperation] | None
) -> DriftUsed:
    """Return what the drift was worked out from."""
    content, signature = baseline.baseline.content, baseline.baseline.signature
    used = BaselineUsed(
        file=baseline.name,
        sha256=baseline.baseline.sha256,
        sealed_on=content.sealed_on.isoformat(),
        signed_by=content.signed_by,
        verdict=content.verdict,
        plan_revision=content.site.plan_revision or None,
        fingerprint=signature.fingerprint if signature else None,
    )
    return DriftUsed(
        baseline=used, plan=plan.name if plan else None, changes=_changes(drift), patch=operations
    )


def _changes(drift: Drifting) -> list[ChangeUsed]:
    """Return every change record once, with the worst of its states at its devices."""
    states: dict[str, ChangeUsed] = {}
    for outcome in drift.records:
        change, read = outcome.record.change, outcome.record
        states.setdefault(
            change.id,
            ChangeUsed(
                id=change.id,
                what=change.what,
                network=change.network or None,
                node=change.node or None,
                setting=change.setting,
                before=read.before or None,
                after=read.after or None,
                approved_by=change.approved_by,
                date=change.date.isoformat(),
                work_order=change.work_order or None,
                state=outcome.state,
            ),
        )
    return list(states.values())


@contextmanager
def _may_be_planned(order: DriftOrder) -> Iterator[None]:
    """Refuse what only the plan may know, an unknown column or setting, with a hint to give the plan."""
    try:
        yield
    except InputProblems as error:
        if order.plan is not None:
            raise
        raise InputProblems(map(_with_hint, error.problems)) from None


def _with_hint(problem: Problem) -> Problem:
    hint = ", or give the plan that has it (--plan)"
    if problem.message.startswith("unknown setting"):
        return replace(problem, mend=problem.mend + hint)
    return replace(problem, mend=problem.mend.replace(NAME_IT, NAME_IT + hint))


def _known(site: Site, known: Sequence[Block]) -> Site:
    """Return the site with all that the baseline knows of each device, read or planned."""
    blocks = [replace(block, planned=its.planned) for block, its in zip(site.blocks, known, strict=True)]
    return replace(site, blocks=blocks)


def run(order: DriftOrder, progress: Progress = str, warn: Warn = str) -> Result:
    """Return the result of an order. Raises InputProblems where there can be no verdict.

    `progress` and `warn` are called as by `audit.run.audited`.
    """
    inputs = Inputs()
    progress("reading the baseline")
    baseline = read_baseline(order.baseline)
    day = order.day
    sealed_on = baseline.baseline.content.sealed_on
    if sealed_on > day:
        message = f"was sealed on {sealed_on}, after {day}, the day of this run"
        raise stop(message, "give a baseline from before this run, or correct --on", file=baseline.name)
    inputs.add(baseline.file, "baseline")
    plan = _plan(order, baseline, inputs)
    also = tuple(plan.types.values()) if plan else ()
    sealed = plan_of(baseline, also)
    types = [*sealed.types.values(), *(kind for kind in also if kind.name not in sealed.types)]
    rules = [*(plan.named(plan.rules) if plan else ()), *order.rules]
    book = read_rulebook(rules, types, inputs, "drift")
    gate = book.gate(order.gate)
    with _may_be_planned(order):
        changes = read_changes(order.changes, types, inputs)
    progress("reading the readback")
    with _may_be_planned(order):
        tables = read_readback(order.readback, order.mapping, sealed.words, sealed.file.site.name, inputs)
    for warning in inputs.warnings:
        warn(warning)
    progress("pairing")
    meanings = Meanings()
    blocks = blocks_of(baseline, meanings)
    known = known_by(baseline, blocks, meanings)
    site = only_read(pair_blocks(blocks, sealed, tables, meanings, inputs.codes, known))
    crossed = in_crossed_pairs(_known(site, known))
    progress("comparing")
    differences = compare_all(site.blocks)
    aligned = align(site.blocks, planned_blocks(plan, meanings), meanings) if plan else None
    drift = drifting(site, crossed, differences, aligned, baseline.baseline.content, changes, day)
    site = replace(site, drift=drift, day=day, left_out=inputs.left_out)
    progress("checking")
    checked = check(site, differences, book.rules)
    progress("folding")
    items, causes = fold(site, checked.found, book.rules, DRIFT_PATTERNS)
    files = [*(plan.named(plan.waivers) if plan else ()), *order.waivers]
    with _may_be_planned(order):
        waivers = read_waivers(files, book.known, sealed.words, inputs)
    waiving = waive(site, items, causes, book.rules, waivers, day)
    progress("judging")
    result = judge(site, checked, (waiving, causes), {}, differences, book, gate, order.fail_on,
                   day.isoformat(), list(inputs.files.values()))  # fmt: skip
    operations = patch(baseline, site) if order.patch else None
    result = result.model_copy(update={"drift": _used(baseline, plan, drift, operations)})
    named = {"--plan": [order.plan], "--changes": order.changes, "--mapping": [order.mapping],
             "--rules": order.rules, "--waivers": order.waivers, "--since": [order.since]}  # fmt: skip
    words = command("drift", [order.baseline, *order.readback], named)
    return complete(result, (site, differences, gate), words, since=order.since, detail=order.detail)
