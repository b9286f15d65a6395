"""Checking: the rules run over the paired site."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from audit.checks.access_code import ASKED_OF
from audit.checks.context import Context
from audit.checks.drift import NEED_A_PLAN
from audit.checks.registry import CHECKS
from audit.comparing import Difference, same
from audit.model.arguments import ChangeRecord, DeviceDrift, Drift, PatternName
from audit.model.asked_of_evidence import AccessCode
from audit.model.drift import Drifting
from audit.model.finding import Gap, Hit, Outcome
from audit.model.role_names import roles_named
from audit.model.rule import Rule
from audit.model.site import Site
from audit.phrases import listed

NO_READBACK = "needs a readback"
NO_SETTING = "no device type has a setting for it"
"""Begins the reason if a rule needs roles that no device has; the roles follow."""
LACKING = "for lack of "
"""Begins the reason if a rule looked at no device, because all lacked something."""
IN_PART = f"in part, {LACKING}"
"""Begins the reason if a rule looked at only some devices."""

MOST_TAGS = 5
"""Most devices named as lacking something."""

NOT_OF_THE_SITE = ("fold", "waiver", "sample")
"""Check kinds that look at findings, waivers and the sample, and run in stages of their own."""


@dataclass(frozen=True, slots=True)
class Found:
    """A hit and the rule that it breaches."""

    rule: Rule
    hit: Hit

    def asks(self, kind: str, *aspects: str) -> bool:
        """Tell whether its rule is of a given kind and looks at one of these aspects (`what`)."""
        return self.rule.check.kind == kind and getattr(self.rule.check, "what", None) in aspects

    def folds(self, *patterns: PatternName) -> bool:
        """Tell whether it names a cause that folding found: by any pattern, or by one of those given."""
        check = self.rule.check
        return check.kind == "fold" and (not patterns or check.pattern in patterns)

    @property
    def remedy(self) -> str:
        """What to do, beginning with the plan if it is the plan that is wrong."""
        remedy = self.rule.remedy
        if self.hit.side != "planned" or "correct the plan" in remedy.casefold():
            return remedy
        return self.rule.remedy_in_plan or f"Correct the plan first. {remedy}"


@dataclass(frozen=True, slots=True)
class Checked:
    """What the rules found, and which rules had nothing or too little to look at, with the reason."""

    found: list[Found]
    idle: list[tuple[Rule, str]]


def check(site: Site, differences: Mapping[tuple[int, str], Difference], rules: Sequence[Rule]) -> Checked:
    """Return the breaches of all rules, in the order of the rules."""
    found: list[Found] = []
    idle: list[tuple[Rule, str]] = []
    for rule in rules:
        if rule.check.kind in NOT_OF_THE_SITE or (rule.check.kind == "code-marks" and site.marks is None):
            continue
        outcome = CHECKS[rule.check.kind](Context(site, differences, rule), rule.check)
        hits = _without_rounded(site, rule, outcome.hits)
        found.extend(Found(rule, hit) for hit in _without_repeated(site, hits))
        if not outcome.looked_at and not outcome.hits:
            idle.append((rule, _why_idle(rule, site, outcome)))
        elif outcome.gaps:
            idle.append((rule, IN_PART + ", ".join(map(_part, outcome.gaps))))
    return Checked(_without_superfluous(found), idle)


def _part(gap: Gap) -> str:
    """Return what was missing, on how many devices, and on which ones if the plan has to give it."""
    tags = f" ({listed(gap.tags, MOST_TAGS)})" if gap.tags else ""
    return f"{gap.what} on {gap.number:,}{tags}"


OF_ONE_DEVICE = (
    "deadband-workable",
    "equals-setting",
    "in-order",
    "one-of",
    "smallest-span",
    "within-limits",
)
"""Check kinds that look only at the settings of one device."""


def _without_rounded(site: Site, rule: Rule, hits: Sequence[Hit]) -> Sequence[Hit]:
    """Return hits without those on readings that are as planned, where the rule has looked at the plan too.

    232.06 psi counts as the planned 1600 kPa, so it is not beyond a sensor that ends there.
    """
    if "planned" not in rule.sides or rule.check.kind not in OF_ONE_DEVICE:
        return hits
    return [
        hit
        for hit in hits
        if hit.side == "planned"
        or hit.exact
        or not all(_as_planned(site, hit, name) for name in hit.settings)
    ]


def _without_repeated(site: Site, hits: Sequence[Hit]) -> list[Hit]:
    """Return hits without those on the found side that only repeat a hit on the planned side.

    A hit repeats one if that is on the same device and what was found is as planned.
    """
    on_plan: dict[tuple[tuple[int, int], str], set[str]] = {}
    for hit in hits:
        if hit.side == "planned":
            on_plan.setdefault((hit.order, hit.node), set()).update((hit.node, *hit.others))
    return [
        hit
        for hit in hits
        if hit.side == "planned"
        or not {hit.node, *hit.others} <= on_plan.get((hit.order, hit.node), set())
        or not all(_as_planned(site, hit, name) for name in hit.settings)
    ]


def _as_planned(site: Site, hit: Hit, name: str) -> bool:
    """Tell whether a setting was found as planned; one that was not read counts as such."""
    b, i = hit.order
    block = site.blocks[b]
    found, planned, setting = (
        block.value("found", name, i),
        block.value("planned", name, i),
        block.type.setting(name),
    )
    if not found.read:
        return True
    return planned.read and setting is not None and same(found, planned, setting)


def _without_superfluous(found: list[Found]) -> list[Found]:
    """Return the breaches without those that a rule named under `yields_to` has also reported."""
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


OPTIONAL = ("all_but_roles", "count", "same", "length")
"""Arguments that name roles which a check can do without."""


def _why_idle(rule: Rule, site: Site, outcome: Outcome) -> str:
    """Return why a rule had nothing to look at; `needs …` for a missing input (see `judging/since.py`)."""
    if site.drift is not None and (reason := _why_no_drift(rule, site.drift)):
        return reason
    if not site.readback and "planned" not in rule.sides:
        return NO_READBACK
    if outcome.gaps:
        return f"{LACKING}{' and '.join(gap.what for gap in outcome.gaps)}"
    if missing := _missing_roles(rule, site):
        return f"{NO_SETTING}: {', '.join(missing)}"
    if isinstance(rule.check, AccessCode) and not site.readback:
        return NO_READBACK  # no plan should have access codes
    if rule.sides == ("found",):
        return "nothing of this kind was read back"
    if not site.readback:
        return "nothing of this kind was planned"
    return "nothing of this kind was planned or read back"


def _missing_roles(rule: Rule, site: Site) -> list[str]:
    """Return the roles that no device has a setting for, if a rule cannot do with those that are there."""
    settings = [setting for block in site.blocks for setting in block.type.settings]
    known = {setting.role for setting in settings} | {setting.name for setting in settings}
    needed = list(getattr(rule.check, "needs", ()))
    named = [name for steps, name, _ in roles_named(rule.check) if steps[0] not in OPTIONAL]
    if isinstance(rule.check, AccessCode):
        named = list(ASKED_OF[rule.check.what])
    fewest = 2 if rule.check.kind == "in-order" else 1  # a setting is in order with another one
    if known.issuperset(needed) and len(known.intersection(named)) >= fewest:
        return []
    return [name for name in dict.fromkeys(needed + named) if name not in known]


def _why_no_drift(rule: Rule, drift: Drifting) -> str:
    """Return what a drift rule needs but does not have."""
    check = rule.check
    case = check.what if isinstance(check, Drift) else check.case if isinstance(check, DeviceDrift) else ""
    if (isinstance(check, ChangeRecord) or case == "recorded") and not drift.with_records:
        return "needs change records (--changes)"
    if case in NEED_A_PLAN and not drift.with_plan:
        return "needs a plan (--plan)"
    return ""
