"""The rules as text: a list, one explained, and the roles."""

from __future__ import annotations

from typing import Any

from audit.model.roles import ROLES
from audit.model.rule import Rule
from audit.reading.rules import Rulebook
from audit.reporting.lines import Lines


def listing(book: Rulebook, width: int) -> str:
    """Return every rule with its level and title, pack by pack."""
    lines = Lines(width, colour=False)
    rules = iter(book.rules)
    longest = max(len(rule.id) for rule in book.rules)
    for pack in book.packs:
        lines.add(f"{pack.pack}, version {pack.version}")
        for _, rule in zip(range(pack.rules), rules, strict=False):
            lines.add(f"{rule.id:{longest}}  {rule.level:7}  {rule.title}", indent=2, hang=longest + 11)
        lines.add()
    lines.add("gates: " + ", ".join(f"{gate.id} ({gate.title})" for gate in book.gates.values()))
    lines.add("`asfound rules ID` explains one rule.")
    return lines.text()


def explanation(rule: Rule, book: Rulebook, width: int) -> str:
    """Return all there is to say about one rule."""
    lines = Lines(width, colour=False)
    lines.add(f"{rule.id}: {rule.title}")
    lines.add()
    lines.add(f"level: {rule.level}{_elsewhere(rule, book)}", hang=2)
    lines.add(f"applies to: {rule.applies_to}; looks at values {' and '.join(rule.sides)}", hang=2)
    lines.add(f"check: {rule.check.kind}. {_first_line(type(rule.check).__doc__)}", hang=2)
    for name, value in rule.check.model_dump(exclude_defaults=True).items():
        if name != "kind":
            lines.add(f"{name}: {_words(value)}", indent=2, hang=4)
    lines.add()
    lines.add(f"why: {rule.why}", hang=2)
    lines.add(f"remedy: {rule.remedy}", hang=2)
    lines.add(f"source: {rule.source}", hang=2)
    if rule.symptom_of:
        lines.add(f"stands under: {', '.join(rule.symptom_of)}, where one of them is the cause", hang=2)
    if rule.yields_to:
        lines.add(f"left out where already reported by: {', '.join(rule.yields_to)}", hang=2)
    return lines.text()


def roles(width: int) -> str:
    """Return the roles with their meanings."""
    lines = Lines(width, colour=False)
    for role, meaning in ROLES.items():
        lines.add(f"{role}: {meaning}", hang=4)
    lines.add("x_…: a site's own role, for its own rules")
    return lines.text()


def _elsewhere(rule: Rule, book: Rulebook) -> str:
    levels = [
        f"{gate.levels[rule.id]} at gate {gate.id}" for gate in book.gates.values() if rule.id in gate.levels
    ]
    site = [f"{book.levels[rule.id]} at this site"] if rule.id in book.levels else []
    return "".join(f", {words}" for words in (*site, *levels))


def _first_line(docstring: str | None) -> str:
    return (docstring or "").strip().split("\n")[0]


def _words(value: Any) -> str:
    if isinstance(value, dict):
        return ", ".join(f"{name} {_words(part)}" for name, part in value.items())
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, tuple):
        return ", ".join(" and ".join(part) if isinstance(part, tuple) else str(part) for part in value)
    return str(value)
