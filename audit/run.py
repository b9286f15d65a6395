"""A whole run, stage by stage: reading, pairing, comparing, checking, folding, judging."""

from __future__ import annotations

import datetime
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from audit.audited import Audited
from audit.checking import check
from audit.comparing import Difference, compare_all
from audit.errors import Problem, stop
from audit.folding.registry import fold
from audit.judging.completing import command, complete
from audit.judging.judge import judge
from audit.model.base import Level
from audit.model.code_mark import KnownMarks
from audit.model.result import Naming, Result
from audit.model.rule import Gate
from audit.model.sample import Sample
from audit.model.site import Site
from audit.pairing.filled_in import only_read
from audit.pairing.pair import pair
from audit.phrases import typed
from audit.reading import bands
from audit.reading.inputs import Inputs
from audit.reading.loaded_plan import LoadedPlan
from audit.reading.plan import read_plan
from audit.reading.readback import read_readback
from audit.reading.rules import Rulebook, read_rulebook
from audit.reading.vocabulary import Vocabulary, vocabulary
from audit.reading.waivers import ReadWaiver, read_waivers
from audit.waiving import waive

OF_ADDRESSES = ("address-duplicate", "address-out-of-block", "address-not-planned")
SHARED_CHANNEL = "channel-shared-nearby"
"""Rules whose findings on the plan `asfound plan --suggest` can resolve."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AnyOrder:
    """The options of a run that hold whatever the readback is compared with."""

    mapping: Path | None = None
    rules: Sequence[Path] = ()
    gate: str = "handover"
    fail_on: Level | None = None
    run_on: str = ""
    """The run's date in ISO form; empty: today."""
    waivers: Sequence[Path] = ()
    since: Path | None = None
    detail: bool = False
    """Whether the result lists every device with its settings."""

    @property
    def day(self) -> datetime.date:
        """The run's date."""
        return datetime.date.fromisoformat(self.run_on) if self.run_on else datetime.date.today()


@dataclass(frozen=True, slots=True)
class Order(AnyOrder):
    """The options of a run that compares with a plan."""

    plan: Path
    readback: Sequence[Path] = ()
    sample: Path | None = None
    """A recorded sample: only the nodes in it had to be read."""
    marks: Path | None = None
    """The file of code marks; the run has to take place within `keyed_by` the site's key."""
    code_key: bytes | None = field(default=None, repr=False)
    """The site's key for the code marks."""


@dataclass(frozen=True, slots=True)
class Done:
    """A result with the site and differences it was made from, for callers that need more than the result."""

    result: Result
    site: Site
    differences: Mapping[tuple[int, str], Difference]


Progress = Callable[[str], object]
Warn = Callable[[Problem], object]


@dataclass(frozen=True, slots=True)
class Paired:
    """A site, planned and found side by side, and what it is judged by."""

    site: Site
    plan: LoadedPlan
    book: Rulebook
    """At the level of the gate."""
    gate: Gate
    inputs: Inputs


def paired(order: Order, progress: Progress = str, warn: Warn = str) -> Paired:
    """Read all files but waivers and pair them. Raises InputProblems if that cannot be done.

    `progress` is called with the name of each stage, `warn` with each fault of an input that is still usable.
    """
    inputs = Inputs()
    progress("reading the plan")
    plan = read_plan(order.plan, inputs)
    if not plan.nodes:
        raise stop(
            "the plan has no nodes, so there is nothing to check",
            "add `nodes` or `node_tables`",
            file=plan.name,
        )
    book = rulebook(order, plan, inputs)
    gate = book.gate(order.gate)
    sample = _sample(order, plan, inputs)
    progress("reading the readback")
    tables = read_readback(order.readback, order.mapping, readback_words(plan), plan.file.site.names, inputs)
    for warning in inputs.warnings:
        warn(warning)
    progress("pairing")
    marks = _marks(order, plan, inputs)
    site = replace(pair(plan, tables, inputs.codes), day=order.day, sample=sample, marks=marks,
                   left_out=inputs.left_out)  # fmt: skip
    return Paired(only_read(site), plan, book.at(gate), gate, inputs)


def audited(order: Order, progress: Progress = str, warn: Warn = str) -> Audited:
    """Return a site with its findings. Raises InputProblems if it cannot be checked.

    `progress` and `warn` are called as by `paired`.
    """
    read = paired(order, progress, warn)
    site, book, gate, day = read.site, read.book, read.gate, order.day
    progress("comparing")
    differences = compare_all(site.blocks)
    progress("checking")
    checked = check(site, differences, book.rules)
    if site.sample:
        from audit.sampling.visited import asked_for, not_sampled, without_unread

        others = not_sampled(site, asked_for(site.sample))
        checked = replace(checked, found=without_unread(checked.found, others))
    progress("folding")
    items, causes = fold(site, checked.found, book.rules)
    waiving = waive(site, items, causes, book.rules, _waivers(order, read), day)
    fail_on = order.fail_on or gate.fail_on
    found = Audited(site, differences, checked, waiving, causes, book, gate, fail_on, day, read.inputs)
    if order.sample:
        from audit.sampling.deciding import decide

        found = decide(found, order.sample.as_posix())
    return found


def run(order: Order, progress: Progress = str, warn: Warn = str) -> Result:
    """Return the result of an order. Raises InputProblems if there can be no verdict."""
    return run_whole(order, progress, warn).result


def run_whole(order: Order, progress: Progress = str, warn: Warn = str) -> Done:
    """Return the result of an order and what it was made from. Raises InputProblems as `run` does."""
    found = audited(order, progress, warn)
    named = _named(found)
    progress("judging")
    result = judge(_with_odds(found) if named else found, named)
    of_work = {"--mapping": [order.mapping], "--rules": order.rules, "--waivers": order.waivers,
               "--sample": [order.sample]}  # fmt: skip
    if result.verdict == "fail" and result.counts.devices_read:
        words = command("worklist", [order.plan, *order.readback], of_work)
        result = result.model_copy(update={"next_command": typed(*words)})
    elif result.verdict == "fail" and not order.readback and (what := _to_suggest(result, found.site)):
        words = [*command("plan", [order.plan], {}), "--suggest", what]
        result = result.model_copy(update={"next_command": typed(*words)})
    files = {**of_work, "--code-marks": [order.marks], "--since": [order.since]}
    words = command("check", [order.plan, *order.readback], files)
    result = complete(result, found, words, since=order.since, detail=order.detail)
    return Done(result, found.site, found.differences)


def _to_suggest(result: Result, site: Site) -> str:
    """Return what `asfound plan` can suggest to resolve findings on the plan alone; blank if nothing."""
    with_block = {network.name for network in site.plan.networks if network.addresses}
    if any(one.rule in OF_ADDRESSES and one.network in with_block for one in result.findings):
        return "addresses"
    return "channels" if any(one.rule == SHARED_CHANNEL for one in result.findings) else ""


def _named(found: Audited) -> dict[int, Naming]:
    """Return position of a finding → how its value was perhaps mis-keyed."""
    if not found.site.readback or not found.waiving.items:
        return {}
    from audit.slips.naming import name_slips

    return name_slips(found.site, found.waiving.items, found.causes)


def _with_odds(found: Audited) -> Audited:
    """Return what was found with a rulebook that lists the pack of the odds of slips too."""
    from audit.slips.priors import pack

    return replace(found, book=replace(found.book, packs=(*found.book.packs, pack())))


def _marks(order: Order, plan: LoadedPlan, inputs: Inputs) -> KnownMarks | None:
    """Return the code marks of other runs, if a file of them and its key were given."""
    if order.marks is None or order.code_key is None:
        return None
    from audit.reading.code_marks import read_marks

    return KnownMarks(read_marks(order.marks, order.code_key, plan.file.site, inputs), order.day)


def _sample(order: Order, plan: LoadedPlan, inputs: Inputs) -> Sample | None:
    """Return the recorded sample, if one was given. Raises InputProblems if there is no readback."""
    if order.sample is None:
        return None
    if not order.readback:
        raise stop("--sample: there is no readback to judge by it", "name the readback after the plan")
    from audit.sampling.reading import read_sample

    return read_sample(order.sample, plan, inputs)


def _waivers(order: Order, read: Paired) -> list[ReadWaiver]:
    """Return the waivers from the files that the plan and the command line name."""
    files = [*read.plan.named(read.plan.waivers), *order.waivers]
    return read_waivers(files, read.book.known, readback_words(read.plan), read.inputs)


def rulebook(order: Order, plan: LoadedPlan, inputs: Inputs) -> Rulebook:
    """Return the built-in rules with those from the files that the plan and the command line name."""
    book = read_rulebook([*plan.named(plan.rules), *order.rules], plan.types.values(), inputs)
    return replace(book, packs=(*book.packs, bands.pack())) if bands.named_in(plan.file) else book


def readback_words(plan: LoadedPlan) -> Vocabulary:
    """Return the vocabulary of readbacks for a plan."""
    return vocabulary(plan.types.values())
