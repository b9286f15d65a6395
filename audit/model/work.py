"""How corrective work is done: minutes, hold points and cautions, as given in rules/work.yaml."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cached_property
from typing import Annotated, Literal, get_args

from pydantic import Field

from audit.model.base import Id, Name, Written

Phase = Literal["look", "read", "unlock", "power", "address", "radio", "setting", "port", "code", "lock"]
"""The phases of one visit to a device, in this order."""
PHASES: tuple[Phase, ...] = get_args(Phase)
At = Literal["device", "desk", "host", "closing"]
"""Where the work is done: at the device, at a desk before anyone drives out, at the host, or at the end."""
Minutes = Annotated[float, Field(gt=0, le=10_000)]
"""Minutes of work, an estimate."""


class Manner(Written):
    """What goes with a piece of work, apart from the work itself."""

    phase: Phase = "setting"
    at: At = "device"
    minutes: Minutes
    hold: str = ""
    """The hold point: who has to agree, or what has to be the case, before it is begun."""
    expect: str = ""
    """What confirms that it has worked."""
    rollback: str = ""
    """How it is undone."""


class SettingWork(Manner):
    """How settings of some roles are changed."""

    roles: tuple[str, ...] = ()
    """The roles; if none, every setting that no other entry names."""


class RuleWork(Manner):
    """What is done about the findings of some rules, where changing a setting is not enough."""

    rules: Annotated[tuple[Id, ...], Field(min_length=1)]
    do: str = ""
    """What is done; if left out, the rule's own remedy."""
    first: bool = False
    """Whether it is done before changing the settings that the same finding is about."""
    each: bool = False
    """Whether the minutes are for each device concerned."""


class Caution(Written):
    """A caution, and when it is repeated."""

    when: Literal["always", "alarms", "moves_outputs", "hazardous_area"]
    """What the list's devices have to include; `always` is printed with every list."""
    text: Name
    short: str = ""
    """The short form printed beside a step."""


class Amounts(Written):
    """Estimates that do not belong to any step."""

    next_place_minutes: Minutes
    """To get from one place to the next."""
    amend_plan_minutes: Minutes
    """To have the plan changed under a change record."""


class WorkFile(Written):
    """How corrective work is done."""

    asfound: Literal["work/1"]
    """Marks the file as work, format 1."""
    title: Name
    version: Name
    source: Name
    """Where the minutes come from."""
    amounts: Amounts
    cautions: Annotated[tuple[Caution, ...], Field(min_length=1)]
    never_set: tuple[str, ...] = ()
    """Roles that nobody keys in at a device: what is observed, tried or recorded elsewhere."""
    settings: Annotated[tuple[SettingWork, ...], Field(min_length=1)]
    rules: tuple[RuleWork, ...] = ()
    other_rules: Manner
    """Applies to findings of rules that are not listed: the rule's remedy is the work."""

    def for_role(self, role: str) -> SettingWork:
        """Return how a setting of a role is changed."""
        named = next((work for work in self.settings if role and role in work.roles), None)
        return named or next(work for work in self.settings if not work.roles)

    def for_rule(self, rule: str) -> RuleWork | None:
        """Return what is done about the findings of a rule, or None."""
        return self.by_rule.get(rule)

    @cached_property
    def by_rule(self) -> Mapping[str, RuleWork]:
        """Rule → what is done about its findings."""
        return {rule: work for work in reversed(self.rules) for rule in work.rules}
