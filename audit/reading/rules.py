"""Rule packs, site rules and gates from their files, with every name in them checked."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from audit.errors import InputProblems, Problem, nearest
from audit.model.arguments import Chosen
from audit.model.base import Level
from audit.model.device import DeviceType
from audit.model.finding import Pack
from audit.model.roles import ROLES
from audit.model.rule import Gate, GateFile, Rule, RuleFile, SiteRuleFile
from audit.reading.documents import build, read_document, read_model
from audit.reading.files import read_bytes
from audit.reading.inputs import Inputs
from audit.reading.yaml_core import Document
from audit.resources import folder, rule_files

ROLE_ARGUMENTS = ("roles", "all_but_roles", "pairs", "role", "start", "count", "same", "between",
                  "low", "high", "deadband", "device", "host")  # fmt: skip
"""Arguments of check kinds that name roles, where they hold text."""


@dataclass(frozen=True, slots=True)
class Rulebook:
    """All rules of a run, the gates, and the levels that the site has set."""

    rules: tuple[Rule, ...]
    gates: dict[str, Gate]
    levels: dict[str, Level]
    packs: tuple[Pack, ...]


def read_rulebook(
    site_rules: Iterable[Path], types: Iterable[DeviceType] | None, inputs: Inputs | None = None
) -> Rulebook:
    """Return our packs together with a site's own rules. Raises InputProblems.

    `types` are the plan's device types, against which roles and settings are checked; None where
    there is no plan.
    """
    inputs = inputs or Inputs()
    sources: list[tuple[Document, tuple[Rule, ...], bool]] = []
    packs: list[Pack] = []
    levels: dict[str, Level] = {}
    gates, _, _ = read_model(folder("rules") / "gates.yaml", GateFile, "gates", "rules/gates.yaml")
    all_gates = {gate.id: gate for gate in gates.gates}
    for path in rule_files():
        pack, document, file = read_model(path, RuleFile, "rules", f"rules/{path.name}")
        packs.append(Pack(pack=pack.pack, version=pack.version, sha256=file.sha256, rules=len(pack.rules)))
        sources.append((document, pack.rules, False))
    site_documents = []
    for path in site_rules:
        own, document, file = _site_rules(path)
        inputs.add(file, "site rules")
        packs.append(Pack(pack=file.path.stem, version=own.version, sha256=file.sha256, rules=len(own.rules)))
        sources.append((document, own.rules, True))
        levels |= own.levels
        all_gates |= {gate.id: gate for gate in own.gates}
        site_documents.append((document, own))
    _check(sources, site_documents, None if types is None else list(types))
    rules = tuple(rule for _, group, _ in sources for rule in group)
    return Rulebook(rules, all_gates, levels, tuple(packs))


def _site_rules(path: Path) -> tuple[SiteRuleFile, Document, Any]:
    """Read site rules; a plain pack of rules will do as well."""
    file = read_bytes(path)
    document = read_document(file)
    if isinstance(document.data, dict) and document.data.get("asfound") == "rules/1":
        pack = build(document, RuleFile, "rules")
        own = SiteRuleFile(asfound="site-rules/1", title=pack.title, version=pack.version, rules=pack.rules)
        return own, document, file
    own, document, file = read_model(path, SiteRuleFile, "site-rules")
    return own, document, file


def _check(
    sources: list[tuple[Document, tuple[Rule, ...], bool]],
    site_documents: list[tuple[Document, SiteRuleFile]],
    types: list[DeviceType] | None,
) -> None:
    """Raise InputProblems for names in rules that mean nothing: such a rule would check nothing."""
    ids: dict[str, str] = {}
    problems: list[Problem] = []
    for document, rules, _ in sources:
        for i, rule in enumerate(rules):
            if rule.id in ids:
                problems.append(
                    _at(
                        document,
                        ("rules", i, "id"),
                        f"rule {rule.id!r} is there already, in {ids[rule.id]}",
                        "choose another id",
                    )
                )
            ids.setdefault(rule.id, document.file)
    for document, rules, own in sources:
        for i, rule in enumerate(rules):
            for part in ("yields_to", "symptom_of"):
                for k, name in enumerate(getattr(rule, part)):
                    if name not in ids:
                        problems.append(
                            _at(
                                document,
                                ("rules", i, part, k),
                                f"unknown rule {name!r}",
                                nearest(name, ids),
                            )
                        )
            if own:
                problems.extend(_own_rule(document, i, rule, types))
    for document, site in site_documents:
        named: list[tuple[tuple[str | int, ...], str]] = [(("levels", name), name) for name in site.levels]
        for g, gate in enumerate(site.gates):
            named.extend((("gates", g, "levels", name), name) for name in gate.levels)
        problems.extend(
            _at(document, steps, f"unknown rule {name!r}", nearest(name, ids))
            for steps, name in named if name not in ids
        )  # fmt: skip
    if problems:
        raise InputProblems(problems)


def _at(document: Document, steps: tuple[Any, ...], message: str, mend: str) -> Problem:
    mark = document.mark(steps)
    return Problem(message, mend, document.file, "", mark.line, str(mark.column))


def _own_rule(document: Document, i: int, rule: Rule, types: list[DeviceType] | None) -> Iterator[Problem]:
    """Yield what is wrong with the names in a rule of the site's own."""
    used = {s.role for kind in types or () for s in kind.settings if s.role}
    settings = {s.name for kind in types or () for s in kind.settings}
    roles = used | set(ROLES)
    at = ("rules", i, "check")
    for argument in ROLE_ARGUMENTS:
        for steps, name in _texts(getattr(rule.check, argument, None)):
            if name and name not in roles:
                yield _at(
                    document,
                    (*at, argument, *steps),
                    f"unknown role {name!r}",
                    nearest(name, roles),
                )
    if types is not None:
        for k, name in enumerate(getattr(rule.check, "settings", ())):
            if name not in settings:
                yield _at(
                    document,
                    (*at, "settings", k),
                    f"unknown setting {name!r}",
                    nearest(name, settings),
                )
    if isinstance(rule.check, Chosen) and rule.check.all_but_roles is None:
        if not (rule.check.roles or rule.check.settings):
            yield _at(
                document, at, "the rule looks at nothing", "name `roles`, `settings` or `all_but_roles`"
            )
    if rule.check.kind == "expression":
        yield from _expression(document, at, rule.check, roles | settings if types is not None else None)


def _texts(argument: Any, steps: tuple[int, ...] = ()) -> Iterator[tuple[tuple[int, ...], str]]:
    """Yield every text in an argument, with its path; numbers are limits and no names."""
    if isinstance(argument, str):
        yield steps, argument
    elif isinstance(argument, tuple):
        for k, part in enumerate(argument):
            yield from _texts(part, (*steps, k))


_USED = re.compile(r"\b(?:found|planned)\s*(?:\.\s*([A-Za-z_]\w*)|\[\s*['\"]([^'\"]*)['\"]\s*\])")


def _expression(
    document: Document, at: tuple[Any, ...], check: Any, known: set[str] | None
) -> Iterator[Problem]:
    from audit.checks.expression import program

    names = {*check.needs, *check.may_use}
    for part in ("needs", "may_use"):
        for k, name in enumerate(getattr(check, part)):
            if known is not None and name not in known:
                yield _at(
                    document,
                    (*at, part, k),
                    f"unknown role or setting {name!r}",
                    nearest(name, known),
                )
    try:
        compiled = program(check.when)
    except ValueError as error:
        reason = str(error).splitlines()[0].split("ERROR: ")[-1].removeprefix("<input>:")
        yield _at(document, (*at, "when"), f"the expression is not CEL: {reason}", "see https://cel.dev")
        return
    for variable in sorted(set(compiled.variables()) - {"found", "planned"}):
        yield _at(
            document,
            (*at, "when"),
            f"the expression uses {variable!r}",
            "write found.NAME or planned.NAME",
        )
    for match in _USED.finditer(check.when):
        name = match[1] or match[2]
        if name not in names:
            yield _at(document, (*at, "when"), f"the expression uses {name!r}, which the rule does not list",
                      f"list it under `needs` or `may_use`; {nearest(name, names)}")  # fmt: skip


def level_of(rule: Rule, book: Rulebook, gate: Gate) -> Level:
    """Return how bad a breach of a rule is: the gate's word, else the site's, else the rule's."""
    return gate.levels.get(rule.id) or book.levels.get(rule.id) or rule.level
