"""Findings and the result of a run: what reports are written from."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from pydantic import BaseModel, ConfigDict

from audit.model.base import Level
from audit.model.table import Place


@dataclass(frozen=True, slots=True)
class Hit:
    """What a check found: facts only. The engine adds the rule's id, level, why and remedy."""

    network: str
    node: str
    """Tag of the device; empty for what concerns a network or the site."""
    settings: tuple[str, ...]
    message: str
    planned: str = ""
    found: str = ""
    places: tuple[Place, ...] = ()
    others: tuple[str, ...] = ()
    """Tags of the other devices concerned; of all of them, where the hit is about no single one."""
    side: str = "found"
    order: tuple[int, int] = (0, 0)
    """Block and index of the device, so that findings stand in the plan's order."""
    label: str = ""
    """What the setting is called at the device."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a check made of its rule: how much it looked at, and what it found."""

    looked_at: int
    hits: list[Hit]


class Reported(BaseModel):
    """A part of the result, as machines read it."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class EvidencePlace(Reported):
    """Where a value stands."""

    file: str
    sheet: str | None
    row: int | None
    column: str | None
    heading: str | None
    raw: str | None
    """The text as it stands there; null for an access code."""


class Finding(Reported):
    """One thing that is not as it should be."""

    id: str
    """Made of rule, network, node and settings: stays the same when rows move."""
    rule: str
    level: Level
    network: str | None
    node: str | None
    serial: str | None
    location: str | None
    setting: str | None
    """The setting concerned; the first, where there are several."""
    settings: list[str]
    planned: str | None
    found: str | None
    raw: str | None
    """The text as found, before it was read as a value; null for an access code."""
    evidence: list[EvidencePlace]
    others: list[str]
    """Tags of the other devices concerned; of all of them, where `node` is null."""
    message: str
    why: str
    remedy: str
    source: str
    caused_by: str | None
    """Id of the finding that is the cause of this one."""
    dependents: list[str]
    """Ids of the findings that this one is the cause of."""


class Counts(Reported):
    """How much was compared."""

    networks: int
    devices: int
    devices_read: int
    verified: int
    """Planned settings read back as planned."""
    differing: int
    """Planned settings read back otherwise."""
    not_read: int
    """Planned settings that were not read back, or not clearly."""
    errors: int
    warnings: int
    notes: int
    root_causes: int


class NetworkCounts(Reported):
    """The same for one network."""

    network: str
    gateway: str
    devices: int
    devices_read: int
    verified: int
    differing: int
    not_read: int
    errors: int
    warnings: int
    notes: int


class NotChecked(Reported):
    """A rule that found nothing to look at, and why."""

    rule: str
    reason: str


class InputFile(Reported):
    """A file that went into the result."""

    file: str
    kind: str
    sha256: str | None
    """Null where the file carries access codes: a hash would let them be guessed."""
    note: str | None


class Pack(Reported):
    """A pack of rules that was used."""

    pack: str
    version: str
    sha256: str
    rules: int


class SiteName(Reported):
    """What was checked."""

    name: str
    plan_revision: str | None


class Gate(Reported):
    """What the verdict was given on."""

    id: str
    title: str
    fail_on: Level


class Tool(Reported):
    """What made the result."""

    name: str
    version: str


class Result(Reported):
    """The result of a run. Verdict first."""

    schema_: Literal["asfound/result/1"]
    verdict: Literal["pass", "fail"]
    counts: Counts
    site: SiteName
    gate: Gate
    run_on: str
    tool: Tool
    networks: list[NetworkCounts]
    findings: list[Finding]
    not_checked: list[NotChecked]
    inputs: list[InputFile]
    packs: list[Pack]
    cautions: list[str]

    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        alias_generator=lambda name: name.rstrip("_"),
        populate_by_name=True,
    )
