"""A whole run of drift, stage by stage. A baseline takes the place of the plan in `check`."""

from __future__ import annotations

import datetime
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path

from audit.audited import Audited
from audit.checking import check
from audit.comparing import Difference, compare_all
from audit.drifting.aligning import align
from audit.drifting.baseline_plan import blocks_of, known_by, plan_of
from audit.drifting.patching import patch
from audit.drifting.sampled import as_sampled
from audit.drifting.told import drift_used, sample_asked
from audit.drifting.whole import drifting
from audit.errors import InputProblems, Problem, stop
from audit.folding.registry import fold
from audit.judging.completing import command, complete
from audit.judging.judge import judge
from audit.model.drift import ReadChange
from audit.model.result import Result
from audit.model.sample import Sample
from audit.model.site import Block, Site
from audit.model.table import Table
from audit.pairing.crossed import in_crossed_pairs
from audit.pairing.filled_in import only_read
from audit.pairing.pair import pair_blocks
from audit.pairing.planning import planned_blocks
from audit.phrases import IF_RENAMED
from audit.reading.baselines import ReadBaseline, read_baseline
from audit.reading.changes import read_changes
from audit.reading.inputs import Inputs
from audit.reading.loaded_plan import LoadedPlan
from audit.reading.meanings import Meanings
from audit.reading.plan import read_plan
from audit.reading.quoting import quoted
from audit.reading.readback import read_readback
from audit.reading.rules import Rulebook, read_rulebook
from audit.reading.unknown_columns import NAME_IT
from audit.reading.waivers import read_waivers
from audit.run import AnyOrder, Progress, Warn
from audit.sampling.visited import without_unread
from audit.waiving import waive


@dataclass(frozen=True, slots=True, kw_only=True)
class DriftOrder(AnyOrder):
    """The order for a run of drift."""

    baseline: Path
    readback: Sequence[Path]
    plan: Path | None = None
    changes: Sequence[Path] = ()
    sample: Path | None = None
    """A sample drawn from the plan: only its nodes had to be read."""
    gate: str = "drift"
    patch: bool = False
    """Whether the result holds a JSON Patch from the baseline to the readback."""


def _plan(order: DriftOrder, baseline: ReadBaseline, inputs: Inputs) -> LoadedPlan | None:
    """Return the plan that is the third side, if one was given. Raises InputProblems if of another site."""
    if order.plan is None:
        return None
    plan = read_plan(order.plan, inputs)
    name = baseline.baseline.content.site.name
    if name not in plan.file.site.names:
        message = f"is a plan of {quoted(plan.file.site.name)}, but the baseline is of {quoted(name)}"
        raise stop(message, f"give the plan of this site{IF_RENAMED}", file=plan.name)
    return plan


@contextmanager
def _may_be_planned(order: DriftOrder) -> Iterator[None]:
    """Refuse what only the plan may know, a column, a setting or a new name, with a hint to give the plan."""
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
    if problem.mend.endswith(IF_RENAMED):
        message = problem.message.replace("but the plan is for", "but the baseline is of")
        return replace(problem, message=message, mend=f"{problem.mend}, and give that (--plan)")
    return replace(problem, mend=problem.mend.replace(NAME_IT, NAME_IT + hint))


def _as_planned(site: Site, sealed: Sequence[Block]) -> Site:
    """Return the site with the planned side that its devices have in blocks of the baseline."""
    blocks = [replace(block, planned=its.planned) for block, its in zip(site.blocks, sealed, strict=True)]
    return replace(site, blocks=blocks)


@dataclass(frozen=True, slots=True)
class Against:
    """What a readback is held against: the baseline, and whatever says what was to change."""

    baseline: ReadBaseline
    sealed: LoadedPlan
    """The baseline in the form of a plan."""
    plan: LoadedPlan | None
    book: Rulebook
    changes: Sequence[ReadChange]
    sample: Sample | None


def _against(order: DriftOrder, inputs: Inputs) -> Against:
    """Read all but the readback. Raises InputProblems."""
    baseline = read_baseline(order.baseline)
    sealed_on = baseline.baseline.content.sealed_on
    if sealed_on > order.day:
        message = f"was sealed on {sealed_on}, after {order.day}, the day of this run"
        raise stop(message, "give a baseline from before this run, or correct --on", file=baseline.name)
    inputs.add(baseline.file, "baseline")
    plan = _plan(order, baseline, inputs)
    also = tuple(plan.types.values()) if plan else ()
    sealed = plan_of(baseline, plan)
    types = [*sealed.types.values(), *(kind for kind in also if kind.name not in sealed.types)]
    rules = [*(plan.named(plan.rules) if plan else ()), *order.rules]
    book = read_rulebook(rules, types, inputs, "drift")
    book.gate(order.gate)  # an unknown gate is told before files are read for nothing
    with _may_be_planned(order):
        changes = read_changes(order.changes, types, inputs)
    return Against(baseline, sealed, plan, book, changes, _sample(order, plan, inputs))


def _sample(order: DriftOrder, plan: LoadedPlan | None, inputs: Inputs) -> Sample | None:
    """Return the recorded sample, if one was given. Raises InputProblems if the plan it is of was not."""
    if order.sample is None:
        return None
    if plan is None:
        raise stop("--sample: a sample is drawn from a plan, and there is none", "give the plan (--plan)")
    from audit.sampling.reading import read_sample

    return read_sample(order.sample, plan, inputs)


def _drifted(
    against: Against, tables: Sequence[Table], inputs: Inputs, day: datetime.date
) -> tuple[Site, Mapping[tuple[int, str], Difference]]:
    """Return the site with its drift, and what differs, the baseline on the planned side."""
    baseline, plan, meanings = against.baseline, against.plan, Meanings()
    blocks = blocks_of(baseline, meanings)
    known = known_by(baseline, blocks, meanings)
    paired = pair_blocks(blocks, against.sealed, tables, meanings, inputs.codes, known)
    read = only_read(_as_planned(paired, known))  # a blank row is no reading of a device unread then either
    site, crossed = _as_planned(read, blocks), in_crossed_pairs(read)
    differences = compare_all(site.blocks)
    aligned = align(site.blocks, planned_blocks(plan, meanings), meanings) if plan else None
    content = baseline.baseline.content
    drift = drifting(site, crossed, differences, aligned, content, against.changes, day)
    if aligned and against.sample:
        drift = as_sampled(drift, site, aligned, against.sample)
    return replace(site, drift=drift, day=day, left_out=inputs.left_out), differences


def _audited(order: DriftOrder, progress: Progress, warn: Warn) -> tuple[Audited, Against]:
    """Return a site with its drift and findings, and what it was held against. Raises InputProblems."""
    inputs = Inputs()
    progress("reading the baseline")
    against = _against(order, inputs)
    plan, sealed, book = against.plan, against.sealed, against.book
    progress("reading the readback")
    with _may_be_planned(order):
        tables = read_readback(order.readback, order.mapping, sealed.words, sealed.file.site.names, inputs)
    for warning in inputs.warnings:
        warn(warning)
    progress("pairing and comparing")
    site, differences = _drifted(against, tables, inputs, order.day)
    progress("checking")
    checked = check(site, differences, book.rules)
    if site.drift and site.drift.not_sampled:
        checked = replace(checked, found=without_unread(checked.found, site.drift.not_sampled))
    progress("folding")
    items, causes = fold(site, checked.found, book.rules)
    files = [*(plan.named(plan.waivers) if plan else ()), *order.waivers]
    with _may_be_planned(order):
        waivers = read_waivers(files, book.known, sealed.words, inputs)
    waiving = waive(site, items, causes, book.rules, waivers, order.day)
    gate = book.gate(order.gate)
    fail_on = order.fail_on or gate.fail_on
    found = Audited(site, differences, checked, waiving, causes, book, gate, fail_on, order.day, inputs)
    return found, against


def run(order: DriftOrder, progress: Progress = str, warn: Warn = str) -> Result:
    """Return the result of an order. Raises InputProblems where there can be no verdict.

    `progress` and `warn` are called as by `audit.run.paired`.
    """
    found, against = _audited(order, progress, warn)
    progress("judging")
    result = judge(found)
    operations = patch(against.baseline, found.site) if order.patch else None
    asked = None
    if order.sample and against.sample:
        asked = sample_asked(order.sample.as_posix(), against.sample, found.site)
    used = drift_used(against.baseline, against.plan, found.site, asked, operations)
    result = result.model_copy(update={"drift": used})
    named = {"--plan": [order.plan], "--changes": order.changes, "--mapping": [order.mapping],
             "--rules": order.rules, "--waivers": order.waivers, "--sample": [order.sample],
             "--since": [order.since]}  # fmt: skip
    words = command("drift", [order.baseline, *order.readback], named)
    return complete(result, found, words, since=order.since, detail=order.detail)
