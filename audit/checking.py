"""Checking: the rulebook runs over the paired site."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from audit.checks.context import Context
from audit.checks.registry import CHECKS
from audit.comparing import Difference
from audit.model.finding import Hit
from audit.model.rule import Rule
from audit.model.site import Site


@dataclass(frozen=True, slots=True)
class Found:
    """A hit and the rule that it is a breach of."""

    rule: Rule
    hit: Hit


@dataclass(frozen=True, slots=True)
class Checked:
    """What the rules found, and which of them had nothing to look at, with the reason."""

    found: list[Found]
    idle: list[tuple[Rule, str]]


def check(site: Site, differences: Mapping[tuple[int, str], Difference], rules: Sequence[Rule]) -> Checked:
    """Return the breaches of all rules, in the order of the rules."""
    found: list[Found] = []
    idle: list[tuple[Rule, str]] = []
    for rule in rules:
        if rule.check.kind == "fold":
            continue
        outcome = CHECKS[rule.check.kind](Context(site, differences, rule), rule.check)
        found.extend(Found(rule, hit) for hit in outcome.hits)
        if not outcome.looked_at and not outcome.hits:
            idle.append((rule, _why_idle(rule, site)))
    return Checked(_without_superfluous(found), idle)


def _without_superfluous(found: list[Found]) -> list[Found]:
    """Return the breaches without those that a rule named under `yields_to` has reported already."""
    reported: dict[str, set[tuple[object, ...]]] = {}
    for item in found:
        keys = reported.setdefault(item.rule.id, set())
        keys.update((item.hit.order, item.hit.side, name) for name in item.hit.settings or ("",))
        keys.update((other, name) for other in item.hit.others for name in item.hit.settings or ("",))
    return [item for item in found if not _superfluous(item, reported)]


def _superfluous(item: Found, reported: Mapping[str, set[tuple[object, ...]]]) -> bool:
    hit = item.hit
    return any(
        (hit.order, hit.side, name) in reported.get(rule, ()) or (hit.node, name) in reported.get(rule, ())
        for rule in item.rule.yields_to for name in hit.settings or ("",)
    )  # fmt: skip


def _why_idle(rule: Rule, site: Site) -> str:
    """Return why a rule had nothing to look at."""
    if not site.readback and "planned" not in rule.sides:
        return "needs a readback"
    check = rule.check
    roles = [r for a in ("roles", "role", "start", "deadband", "needs", "device", "host") for r in _names(getattr(check, a, ()))]
    known = {s.role for block in site.blocks for s in block.type.settings} | {
        s.name for block in site.blocks for s in block.type.settings
    }
    missing = [role for role in dict.fromkeys(roles) if role not in known]
    if missing and (len(missing) == len(set(roles)) or getattr(check, "needs", ())):
        return f"no device type has a setting with the role {', '.join(missing)}"
    where = {("planned",): "planned", ("found",): "read back"}.get(tuple(rule.sides), "planned or read back")
    return f"nothing of the kind is {where}"


def _names(argument: object) -> tuple[str, ...]:
    if isinstance(argument, str):
        return (argument,) if argument else ()
    return tuple(x for x in argument if isinstance(x, str)) if isinstance(argument, tuple) else ()
