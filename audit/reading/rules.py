"""Rule packs, site rules and gates from their files, with every name in them checked."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from pathlib import Path

from audit.errors import nearest, stop, stop_if
from audit.model.asked_of_figures import FigureLimits
from audit.model.base import Level, level_rank
from audit.model.device import DeviceType
from audit.model.rule import Gate, GateFile, Rule, RuleFile, SiteRuleFile, Work
from audit.model.used import Lowered, Pack
from audit.reading.documents import build, read_document, read_model, with_marks
from audit.reading.files import FileBytes, read_bytes
from audit.reading.inputs import Inputs
from audit.reading.marks import Document
from audit.reading.marks import Path as Steps
from audit.reading.rule_names import Source, gates_twice, unknown_names
from audit.reading.same_files import once
from audit.resources import folder, rule_files

JUDGED: dict[Work, tuple[str, str]] = {
    "check": ("a readback by its plan", "use asfound check PLAN READBACK"),
    "drift": ("what has changed since a baseline", "use asfound drift BASELINE READBACK"),
}
"""Work that a gate is for → what it judges, and which command to use."""


@dataclass(frozen=True, slots=True)
class Rulebook:
    """All rules of a run, the gates, and the levels that the site has set."""

    rules: tuple[Rule, ...]
    gates: dict[str, Gate]
    levels: dict[str, Level]
    packs: tuple[Pack, ...]
    known: tuple[Rule, ...] = ()
    """The rules of every kind of work: a waiver may name a rule that another command runs."""
    set_at: Mapping[tuple[str, str], tuple[str, int]] = field(default_factory=dict)
    """Gate of the site (blank: all gates) and rule → file and line where the rule's level is set."""
    gate_files: Mapping[str, str] = field(default_factory=dict)
    """Gate of the site → the file that defines it."""
    work: Work | None = None
    """The kind of work that `rules` are for; None: for all."""

    def gate(self, name: str) -> Gate:
        """Return the gate that the command line names. Raises InputProblems if there is none."""
        if name not in self.gates:
            of_this_work = [gate.id for gate in self.gates.values() if self.work in (None, *gate.runs_in)]
            raise stop(f"--gate: unknown gate {name!r}", nearest(name, of_this_work))
        gate = self.gates[name]
        if self.work and self.work not in gate.runs_in:
            judged, command = JUDGED[gate.runs_in[0]]
            raise stop(f"--gate: {name!r} judges {judged}", command)
        return gate

    def at(self, gate: Gate) -> Rulebook:
        """Return the rulebook with only the rules that are run at a gate."""
        return replace(self, rules=tuple(r for r in self.rules if gate.evidence or not r.for_evidence))


def read_rulebook(
    site_rules: Iterable[Path],
    types: Iterable[DeviceType] | None,
    inputs: Inputs | None = None,
    work: Work | None = "check",
) -> Rulebook:
    """Return our packs together with a site's own rules. Raises InputProblems.

    `types` are the plan's device types, against which roles and settings are checked; None if there is
    no plan. Only the rules for one kind of work are returned; None: all.
    """
    inputs = inputs or Inputs()
    sources: list[Source] = []
    packs: list[Pack] = []
    levels: dict[str, Level] = {}
    our_gates = {gate.id: gate for gate in _our_gates().gates}
    all_gates = dict(our_gates)
    for pack, document, file in _our_packs():
        if any(_wanted(rule, work) for rule in pack.rules):
            used = Pack(pack=pack.pack, version=pack.version, sha256=file.sha256, rules=len(pack.rules))
            packs.append(used)
        sources.append((document, pack.rules, False))
    site_documents = []
    set_at: dict[tuple[str, str], tuple[str, int]] = {}
    gate_files: dict[str, str] = {}
    for path in once(site_rules):
        own, document, file = read_site_rules(path)
        own_rules = tuple(map(_in_any_case, own.rules))
        inputs.add(file, "site rules")
        packs.append(Pack(pack=file.path.stem, version=own.version, sha256=file.sha256, rules=len(own.rules)))
        sources.append((document, own_rules, True))
        levels |= own.levels
        all_gates |= {gate.id: gate for gate in own.gates}
        set_at |= _set_at(document, own)
        gate_files |= dict.fromkeys((gate.id for gate in own.gates), document.file)
        site_documents.append((document, own))
    problems = unknown_names(sources, site_documents, None if types is None else list(types))
    problems += gates_twice(site_documents, dict.fromkeys(our_gates, "rules/gates.yaml"))
    stop_if(problems)
    known = tuple(rule for _, group, _ in sources for rule in group)
    rules = tuple(rule for rule in known if _wanted(rule, work))
    return Rulebook(rules, all_gates, levels, tuple(packs), known, set_at, gate_files, work)


@cache
def _our_packs() -> tuple[tuple[RuleFile, Document, FileBytes], ...]:
    return tuple(read_model(path, RuleFile, "rules", f"rules/{path.name}") for path in rule_files())


def packs_with(rule: str) -> list[str]:
    """Return the names of our packs that have a rule; none if it is a site's own, or no longer there."""
    return [pack.pack for pack, _, _ in _our_packs() if any(rule == one.id for one in pack.rules)]


@cache
def _our_gates() -> GateFile:
    return read_model(folder("rules") / "gates.yaml", GateFile, "gates", "rules/gates.yaml")[0]


def _in_any_case(rule: Rule) -> Rule:
    """Return a site's rule such that its limits for a figure hold whatever limits the plan gives."""
    check = rule.check
    if not isinstance(check, FigureLimits) or "in_any_case" in check.model_fields_set:
        return rule
    return rule.model_copy(update={"check": check.model_copy(update={"in_any_case": True})})


def _wanted(rule: Rule, work: Work | None) -> bool:
    return work is None or work in rule.runs_in


def read_site_rules(path: Path) -> tuple[SiteRuleFile, Document, FileBytes]:
    """Read site rules; a plain pack of rules is accepted too."""
    file = read_bytes(path)
    document = with_marks(read_document(file))
    if isinstance(document.data, dict) and document.data.get("asfound") == "rules/1":
        pack = build(document, RuleFile, "rules")
        own = SiteRuleFile(asfound="site-rules/1", title=pack.title, version=pack.version, rules=pack.rules)
        return own, document, file
    return build(document, SiteRuleFile, "site-rules"), document, file


def _set_at(document: Document, own: SiteRuleFile) -> dict[tuple[str, str], tuple[str, int]]:
    """Return where site rules set the levels of rules, for all gates and for their own."""
    steps: dict[tuple[str, str], Steps] = {("", rule): ("levels", rule) for rule in own.levels}
    for g, gate in enumerate(own.gates):
        steps |= {(gate.id, rule): ("gates", g, "levels", rule) for rule in gate.levels}
    return {key: (document.file, document.key(path).line) for key, path in steps.items()}


def lowered(book: Rulebook, gate: Gate) -> list[Lowered]:
    """Return the rules whose levels at a gate the site rules have lowered."""
    told = []
    for rule in book.rules:
        here = level_of(rule, book, gate)
        at = book.set_at.get((gate.id if rule.id in gate.levels else "", rule.id))
        if at and level_rank(here) > level_rank(rule.level):
            told.append(Lowered(rule=rule.id, usual=rule.level, level=here, file=at[0], row=at[1]))
    return told


def level_of(rule: Rule, book: Rulebook, gate: Gate) -> Level:
    """Return the level of a rule: the gate's, else the site's, else the rule's own."""
    return gate.levels.get(rule.id) or book.levels.get(rule.id) or rule.level
