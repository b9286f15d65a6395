"""What a result was made from: files, rules, waivers, a baseline, the tool."""

from __future__ import annotations

from typing import Any, Literal, Self

from audit.model.base import Level
from audit.model.plan import SiteInfo
from audit.model.reported import Reported


class InputFile(Reported):
    """A file that went into the result."""

    file: str
    kind: str
    sha256: str | None
    """Null if the file contains access codes: they could be guessed from a hash."""
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
    formerly: list[str] = []
    """Names that it had before."""

    @classmethod
    def of(cls, site: SiteInfo) -> Self:
        """Return what a plan says of its site."""
        return cls(name=site.name, plan_revision=site.revision or None, formerly=list(site.formerly))

    @property
    def names(self) -> tuple[str, ...]:
        """Its name, and those that it had before."""
        return (self.name, *self.formerly)


class Lowered(Reported):
    """A rule whose level the site rules have lowered."""

    rule: str
    usual: Level
    level: Level
    """Its level in this run."""
    file: str
    row: int


class Gate(Reported):
    """The gate that the verdict was given for."""

    id: str
    title: str
    fail_on: Level
    lowered: list[Lowered] = []
    """The rules whose lowered levels soften the verdict."""
    file: str | None = None
    """The site rules that define it; null for a gate of ours."""


class ReadBy(Reported):
    """What one person read at the devices, as far as the readback says."""

    name: str | None
    """Null if nobody is named."""
    devices: int
    first: str | None
    """The first day or minute, by the clock of whoever wrote it; null if there is none."""
    last: str | None
    undated: int
    """Devices of which nothing says when they were read."""
    how: dict[str, int]
    """How it was read, in the words of the readback → devices; empty if it does not say."""


class ReadAgain(Reported):
    """A device with settings that were read as planned only when they were read again on the same day."""

    network: str
    node: str
    settings: list[str]


class Tool(Reported):
    """What made the result."""

    name: str
    version: str


class RuleUsed(Reported):
    """A rule of the run, in words."""

    id: str
    title: str
    level: Level
    why: str
    remedy: str
    source: str


class WaiverUsed(Reported):
    """A waiver, and its state after the run. All are listed."""

    id: str
    rule: str
    node: str
    setting: str | None
    value: str | None
    reason: str
    compensating_measure: str | None
    owner: str
    approver: str
    issued: str
    expires: str
    state: Literal[
        "in use",
        "renewed",
        "not yet in force",
        "expired",
        "expired, nothing left",
        "lapsed",
        "unused",
        "not read",
        "of another command",
    ]
    """`not read`: its subject was not looked at, so it may be needed;
    `renewed`: another waiver excuses the same, from now or when it expires;
    `expired, nothing left`: its subject was looked at, and there is nothing left to excuse;
    `of another command`: its rule runs only in the other of `check` and `drift`, not in this run."""


class BaselineUsed(Reported):
    """The baseline that the readback is compared with."""

    file: str
    sha256: str
    """The digest of its content, as stated in the file."""
    sealed_on: str
    signed_by: str
    verdict: Literal["pass", "fail"]
    plan_revision: str | None
    fingerprint: str | None
    """Fingerprint of the key that signed it; null if none. `asfound seal --verify` checks the signature."""


class ChangeUsed(Reported):
    """A change record, and its outcome. All are listed."""

    id: str
    what: str
    network: str | None
    node: str | None
    setting: str | None
    before: str | None
    after: str | None
    approved_by: str
    date: str
    work_order: str | None
    state: str


class PatchOperation(Reported):
    """An operation of a JSON Patch (RFC 6902) to the baseline file."""

    op: Literal["test", "add", "remove", "replace"]
    path: str
    value: Any = None


class NotSampled(Reported):
    """The nodes of a network that are outside the sample and were not read."""

    network: str
    nodes: list[str]


class SampleAsked(Reported):
    """The sample whose nodes had to be read; `check` decides on its lot."""

    file: str
    plan_revision: str | None
    """Revision of the plan that it was drawn from."""
    not_sampled: list[NotSampled]
    """By their names in the baseline, those new in the plan by theirs there; nothing is known of them."""


class DriftUsed(Reported):
    """What drift was worked out from."""

    baseline: BaselineUsed
    plan: str | None
    """The plan that is the third side, if one was given."""
    plan_revision: str | None = None
    """Its revision; that of the site is the one which the baseline was sealed against."""
    changes: list[ChangeUsed]
    sample: SampleAsked | None = None
    """The sample whose nodes had to be read, if one was given."""
    patch: list[PatchOperation] | None
    """From the baseline to the readback; only if asked for."""
