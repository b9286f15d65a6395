"""Names in rules: a rule that names a role, setting or rule that does not exist would check nothing."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from typing import Any

from audit.errors import Problem, nearest
from audit.model.arguments import Check
from audit.model.asked_of_figures import FigureLimits
from audit.model.asked_of_values import Chosen, Expression, OneOf, WithinLimits
from audit.model.base import Written
from audit.model.device import DeviceType, Setting
from audit.model.role_names import roles_named
from audit.model.roles import ROLES
from audit.model.rule import Gate, Rule, SiteRuleFile
from audit.reading.approved import impossible
from audit.reading.marks import Document
from audit.reading.quoting import quoted
from audit.reading.values import is_number

Source = tuple[Document, tuple[Rule, ...], bool]
"""A file, its rules, and whether they are a site's own."""


OF_A_READBACK = ("equals-plan", "within-one", "swapped-pair", "word-order", "read-back", "alarm-authority",
                 "identity", "evidence", "code-age", "code-marks", "change-record")  # fmt: skip
"""Check kinds that compare what was found with the plan, or look at the readback itself."""


def unknown_names(
    sources: Sequence[Source],
    site_files: Sequence[tuple[Document, SiteRuleFile]],
    types: Sequence[DeviceType] | None,
) -> list[Problem]:
    """Return a problem, with its line, for each name in the rules that does not exist.

    `types` are the plan's device types; None if there is no plan to check settings against.
    """
    ids: dict[str, str] = {}
    problems: list[Problem] = []
    for document, rules, _ in sources:
        problems.extend(_taken(document, "rule", rules, ids))
    for document, rules, own in sources:
        for i, rule in enumerate(rules):
            problems.extend(_other_rules(document, i, rule, ids))
            problems.extend(_own_rule(document, ("rules", i, "check"), rule, types) if own else ())
            if own and rule.check.kind in OF_A_READBACK and "found" not in rule.sides:
                message = f"the kind {rule.check.kind!r} looks at what was found, never at the plan alone"
                mend = "write sides: [found], or leave `sides` out"
                problems.append(document.problem(("rules", i, "sides"), message, mend))
    for document, site in site_files:
        problems.extend(_levels(document, site, ids))
    return problems


def gates_twice(site_files: Sequence[tuple[Document, SiteRuleFile]], ours: dict[str, str]) -> list[Problem]:
    """Return a problem for each gate of a site whose id is taken: it would hide what the other fails on."""
    ids = dict(ours)
    return [problem for document, site in site_files for problem in _taken(document, "gate", site.gates, ids)]


def _taken(
    document: Document, what: str, named: Sequence[Rule | Gate], ids: dict[str, str]
) -> Iterator[Problem]:
    """Yield a problem for each rule or gate whose id is in `ids` (id → file), and add the others to it."""
    for i, one in enumerate(named):
        if one.id in ids:
            message = f"{what} {one.id!r} is already in {ids[one.id]}"
            yield document.problem((f"{what}s", i, "id"), message, "choose another id")
        ids.setdefault(one.id, document.file)


def _other_rules(document: Document, i: int, rule: Rule, ids: dict[str, str]) -> Iterator[Problem]:
    for part in ("yields_to", "symptom_of"):
        for k, name in enumerate(getattr(rule, part)):
            if name not in ids:
                yield document.problem(("rules", i, part, k), f"unknown rule {name!r}", nearest(name, ids))


def _levels(document: Document, site: SiteRuleFile, ids: dict[str, str]) -> Iterator[Problem]:
    named: list[tuple[tuple[str | int, ...], str]] = [(("levels", name), name) for name in site.levels]
    for g, gate in enumerate(site.gates):
        named.extend((("gates", g, "levels", name), name) for name in gate.levels)
    for steps, name in named:
        if name not in ids:
            yield document.problem(steps, f"unknown rule {name!r}", nearest(name, ids))


def _own_rule(
    document: Document, at: tuple[Any, ...], rule: Rule, types: Sequence[DeviceType] | None
) -> Iterator[Problem]:
    """Yield what is wrong with the names in one of the site's own rules."""
    of_types = [setting for kind in types or () for setting in kind.settings]
    yield from _chosen(document, at, rule.check, of_types, known=types is not None)
    if isinstance(rule.check, Chosen) and not rule.check.chooses_any():
        mend = "name `roles`, `settings` or `all_but_roles`"
        yield document.problem(at, "the rule looks at nothing", mend)
    if isinstance(rule.check, OneOf):
        chosen = [s for s in of_types if s.kind != "secret" and rule.check.chooses(s.role, s.name)]
        yield from _values(document, (*at, "values"), rule.check, chosen)
    if isinstance(rule.check, FigureLimits):
        yield from _figure(document, at, rule.check)
    if isinstance(rule.check, Expression):
        yield from _expression(document, at, rule.id, rule.check, types)


def _chosen(
    document: Document, at: tuple[Any, ...], check: Check, of_types: Sequence[Setting], *, known: bool
) -> Iterator[Problem]:
    """Yield roles and settings that do not exist, or that are no numbers although the check compares some.

    `known` tells whether there is a plan, so that the settings of its device types are all there are.
    """
    settings = {setting.name for setting in of_types}
    roles = {setting.role for setting in of_types if setting.role} | set(ROLES)
    for steps, name, number in roles_named(check):
        if name not in roles:
            message = f"unknown role {name!r}"
            yield document.problem((*at, *steps), message, nearest(name, roles))
        elif number or _asks_for_numbers(check):
            yield from _no_number(document, (*at, *steps), name, [s for s in of_types if s.role == name])
    for k, name in enumerate(getattr(check, "settings", ())):
        here = (*at, "settings", k)
        if known and name not in settings:
            message = f"unknown setting {name!r}"
            yield document.problem(here, message, nearest(name, settings))
        elif _asks_for_numbers(check):
            yield from _no_number(document, here, name, [s for s in of_types if s.name == name])


def _values(
    document: Document, at: tuple[Any, ...], check: OneOf, settings: Sequence[Setting]
) -> Iterator[Problem]:
    """Yield the values that none of the settings the rule looks at can have, if there are such settings."""
    reasons = [dict(impossible(setting, check.values)) for setting in settings]
    for k in range(len(check.values)) if reasons else ():
        if all(k in of_one for of_one in reasons):
            message = f"{settings[0].name}: {reasons[0][k]}"
            yield document.problem((*at, k), message, "write values that the setting can have")


def _figure(document: Document, at: tuple[Any, ...], check: FigureLimits) -> Iterator[Problem]:
    """Yield assumptions that a figure needs but the rule lacks, and those that it gives needlessly."""
    from audit.figures.registry import FIGURES

    needed = FIGURES[check.figure].assumes
    for name in needed:
        if name not in check.assume:
            mend = f"write assume: {{{name}: …}}; `asfound rules` shows what ours assume"
            yield document.problem(at, f"the figure {check.figure!r} needs an assumed {name!r}", mend)
    for name in check.assume:
        if name not in needed:
            message = f"the figure {check.figure!r} does not use {name!r}"
            yield document.problem((*at, "assume", name), message, nearest(name, needed))


def _asks_for_numbers(check: Written) -> bool:
    """Return whether the settings that a check chooses are compared with limits that are numbers."""
    return isinstance(check, WithinLimits) and check.limits != "device"


def _no_number(
    document: Document, at: tuple[Any, ...], name: str, settings: Sequence[Setting]
) -> Iterator[Problem]:
    """Yield a problem if device types have a setting for a name, but none of them is a number."""
    if settings and not any(s.numeric or all(map(is_number, s.options or ("",))) for s in settings):
        message = f"{name!r} is of kind {settings[0].kind}, but the check compares numbers"
        yield document.problem(at, message, "choose a setting that is a number, or another kind of check")


OPERATORS = "and is &&, or is ||, not is !, equal is ==, in CEL: see https://cel.dev"
_LOOP = re.compile(r"\.\s*(all|exists|exists_one|filter|map)\s*\(")
"""Loops over lists. Without them the time that an expression takes is bounded by its length."""
_USED = re.compile(r"\b(?:found|planned)\s*(?:\.\s*([A-Za-z_]\w*)|\[\s*['\"]([^'\"]*)['\"]\s*\])")


def _expression(
    document: Document,
    at: tuple[Any, ...],
    rule_id: str,
    check: Expression,
    types: Sequence[DeviceType] | None,
) -> Iterator[Problem]:
    """Yield what is wrong with an expression: its names, its text, or its use of the device types."""
    from audit.checks.expression import mend, program, trial

    unknown = [*_unknown_words(document, at, check, types)]
    yield from unknown
    when = (*at, "when")
    try:
        compiled = program(check.when)
    except ValueError as error:
        reason = str(error).splitlines()[0].split("ERROR: ")[-1].removeprefix("<input>:")
        reason = reason.replace("Syntax error: ", "").partition(" expecting {")[0]
        yield document.problem(when, f"the expression is not CEL: {reason}", OPERATORS)
        return
    if loop := _LOOP.search(check.when):
        message = f"the expression uses {loop[1]!r}, which loops over lists"
        yield document.problem(when, message, "settings are not lists; write out each comparison")
        return
    strange = [name for name in sorted(set(compiled.variables())) if name not in ("found", "planned")]
    for variable in strange:
        message = f"the expression uses {variable!r}"
        yield document.problem(when, message, "write found.NAME or planned.NAME")
    listed = {*check.needs, *check.may_use}
    unlisted = [m[1] or m[2] for m in _USED.finditer(check.when) if (m[1] or m[2]) not in listed]
    for name in () if unknown else unlisted:
        message = f"the expression uses {name!r}, which the rule does not list"
        advice = "list it under `needs` or `may_use`" + (f"; {nearest(name, listed)}" if listed else "")
        yield document.problem(when, message, advice)
    if types is not None and not (unknown or strange or unlisted):
        reason = trial(check, types)
        if reason:
            yield document.problem(when, f"rule {rule_id!r}: {reason}", mend(reason))


def _unknown_words(
    document: Document, at: tuple[Any, ...], check: Expression, types: Sequence[DeviceType] | None
) -> Iterator[Problem]:
    """Yield the names that an expression lists but no device type has; none if there are no types."""
    settings = [setting for kind in types or () for setting in kind.settings]
    known = {name for setting in settings for name in (setting.name, setting.role)} | set(ROLES)
    for part in ("needs", "may_use") if types is not None else ():
        for k, name in enumerate(getattr(check, part)):
            if name not in known:
                message = f"unknown role or setting {quoted(name)}"
                yield document.problem((*at, part, k), message, nearest(name, known))
