"""Rules, packs of rules and gates, as they are written."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from audit.model.arguments import Check
from audit.model.base import Id, Level, Name, Written

Framework = Literal["iec-62443-4-2", "iec-62443-3-3", "nist-sp-800-53r5"]
FRAMEWORKS: dict[Framework, str] = {
    "iec-62443-4-2": "IEC 62443-4-2",
    "iec-62443-3-3": "IEC 62443-3-3",
    "nist-sp-800-53r5": "NIST SP 800-53 r5, SP 800-82 r3 overlay",
}
"""Lists of requirements → their names in reports. The overlay of SP 800-82 r3 uses SP 800-53's controls."""
Number = Annotated[
    str,
    StringConstraints(
        pattern=r"^([SC]R|[EHN]DR|SAR) [1-7]\.[0-9]{1,2}$|^[A-Z]{2}-[0-9]{1,2}(\([0-9]{1,2}\))?$"
    ),
]
"""The number of a requirement: CR 1.5, SR 7.6, IA-5, IA-5(1)."""
AppliesTo = Literal["node", "gateway", "device", "network", "site"]
Side = Literal["planned", "found"]
Work = Literal["check", "drift"]
"""What the readback is compared with: a plan, or a baseline."""


class Rule(Written):
    """One rule: what is checked, how bad a breach is, why, and what to do."""

    id: Id
    """Kebab-case description of what is wrong, for instance `channel-differs`."""
    title: Name
    """What is wrong, in one line."""
    level: Level
    """How bad a breach is, unless a site or a gate says otherwise."""
    applies_to: AppliesTo = "node"
    """What is looked at; `device` means nodes and gateways."""
    check: Check
    """The check kind and its arguments."""
    sides: Annotated[tuple[Side, ...], Field(min_length=1)] = ("found",)
    """Whether the planned values, the found ones, or both are looked at."""
    why: Name
    """Why it matters."""
    remedy: Name
    """What to do about it."""
    remedy_in_plan: Name | None = None
    """What to do where the plan is wrong; if left out: `Correct the plan first.` and the remedy."""
    source: Name
    """Where the rule comes from: a standard with its clause, or `common practice`."""
    requirements: dict[Framework, tuple[Number, ...]] = {}
    """Requirements that a breach concerns, by number; shown at gates that ask for evidence."""
    yields_to: tuple[str, ...] = ()
    """Rules that make this one superfluous where they already report the same device and setting."""
    symptom_of: tuple[str, ...] = ()
    """Rules whose findings on the same device are the cause of this one's."""
    everywhere: bool = False
    """Whether a finding of a `symptom_of` rule is the cause whichever setting it concerns."""
    runs_in: Annotated[tuple[Work, ...], Field(min_length=1)] = ("check",)
    """Whether it is run by `asfound check`, by `asfound drift`, or by both."""
    for_evidence: bool = False
    """Whether it is run only at gates that ask for evidence."""


class RuleFile(Written):
    """A pack of rules."""

    asfound: Literal["rules/1"]
    """Marks the file as rules, format 1."""
    pack: Id
    title: Name
    version: Name
    """Version of the pack; recorded in every result."""
    rules: Annotated[tuple[Rule, ...], Field(min_length=1)]


class Gate(Written):
    """Which findings fail a run."""

    id: Id
    """What `--gate` calls it."""
    title: Name
    """What it is, in words, as results quote it."""
    fail_on: Level = "error"
    """Findings at or above this level fail the run."""
    levels: dict[str, Level] = {}
    """Rule id → level at this gate."""
    evidence: bool = False
    """Whether results add what an auditor asks for: inventory, access, changes, exceptions."""
    cautions: tuple[str, ...] = ()
    """Sentences to print with every result of this gate."""
    runs_in: Annotated[tuple[Work, ...], Field(min_length=1)] = ("check", "drift")
    """What may judge by it: `check` is `asfound check` and `asfound seal`, `drift` is `asfound drift`."""


class GateFile(Written):
    """The gates that come with asfound."""

    asfound: Literal["gates/1"]
    """Marks the file as gates, format 1."""
    gates: Annotated[tuple[Gate, ...], Field(min_length=1)]


class SiteRuleFile(Written):
    """A site's own rules, its levels for our rules, and its gates."""

    asfound: Literal["site-rules/1"]
    """Marks the file as site rules, format 1."""
    title: Name
    """What they are, in words."""
    version: Name
    """Their version; recorded in every result."""
    levels: dict[str, Level] = {}
    """Rule id → level at this site."""
    rules: tuple[Rule, ...] = ()
    gates: tuple[Gate, ...] = ()
