"""One site of the study: faults are seeded, the site is checked, and the findings are compared with them."""

from __future__ import annotations

import random
import tempfile
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

from audit.model.arguments import Fold
from audit.model.result import Finding
from audit.reading.rules import read_rulebook
from audit.run import Order, run
from tests.study.devices import NAMES, PLAIN
from tests.study.draft import Draft, clean
from tests.study.faults import FAULTS, Seeded
from tests.study.forms import in_a_form

MOST_FAULTS = 6
FOLDS = frozenset(rule.id for rule in read_rulebook((), None).rules if isinstance(rule.check, Fold))
"""Rules whose findings have others under them: such a finding is right if those are."""


@dataclass(frozen=True)
class Judged:
    """What came of the site of one seed."""

    seed: int
    form: str
    seeded: tuple[tuple[str, str], ...]
    """Name and rule of each fault."""
    missed: tuple[tuple[str, str], ...]
    extra: tuple[tuple[str, str], ...]
    """Rule and message of each finding that no fault explains."""
    findings: int


def rule_of(name: str) -> str:
    """Return the rule that is to report a fault."""
    chance = random.Random(0)
    ((_, fault),) = _seeded(clean(chance), chance, (name,))
    return fault.rule


def judged(seed: int, names: tuple[str, ...] | None = None) -> Judged:
    """Return what comes of the site of a seed; faults in `names` are seeded instead of drawn ones."""
    chance = random.Random(seed)
    draft = clean(chance)
    faults = _seeded(draft, chance, names)
    with tempfile.TemporaryDirectory() as folder:
        order = draft.site().write(Path(folder))
        form, readback, mapping = in_a_form(list(order.readback), chance)
        findings = run(Order(order.plan, readback, mapping=mapping, run_on="2026-05-01")).findings
    missed = [(name, fault.rule) for name, fault in faults if not any(_is(fault, one) for one in findings)]
    extra = [one for one in findings if not _explained(one, [fault for _, fault in faults], findings)]
    return Judged(
        seed=seed,
        form=form,
        seeded=tuple((name, fault.rule) for name, fault in faults),
        missed=tuple(missed),
        extra=tuple((one.rule, f"{one.node or ''} {one.message}") for one in extra),
        findings=len(findings),
    )


def _seeded(draft: Draft, chance: random.Random, names: tuple[str, ...] | None) -> list[tuple[str, Seeded]]:
    """Seed faults, each on nodes of its own, and at most one of a whole network in each network."""
    if names is None:
        names = tuple(chance.sample(NAMES, chance.randint(0, MOST_FAULTS)))
    free = list(range(len(draft.planned)))
    gateways = set()
    faults = []
    for name in names:
        usable = [
            i
            for i in free
            if i + 1 in free and draft.planned[i]["network"] == draft.planned[i + 1]["network"]
        ]
        usable = [i for i in usable if name in PLAIN or draft.planned[i]["network"] not in gateways]
        if not usable:
            continue
        i = chance.choice(usable)
        free.remove(i)
        free.remove(i + 1)
        if name not in PLAIN:
            gateways.add(draft.planned[i]["network"])
        faults.append((name, FAULTS[name](draft, chance, i)))
    return faults


def _is(fault: Seeded, finding: Finding) -> bool:
    return finding.rule == fault.rule and (finding.node in fault.nodes or finding.node in fault.concerns)


def _explained(finding: Finding, faults: Iterable[Seeded], findings: Iterable[Finding]) -> bool:
    for fault in faults:
        about = finding.node in fault.concerns or finding.node in fault.nodes
        anybody = None in fault.nodes or finding.node is None
        if (finding.rule == fault.rule or finding.rule in fault.also) and (about or anybody):
            return True
    if finding.rule in FOLDS:
        mine = [one for one in findings if one.caused_by == finding.id]
        return bool(mine) and all(_explained(one, faults, ()) for one in mine)
    return False
