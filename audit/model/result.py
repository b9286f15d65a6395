"""The result of a run: what reports are written from. A report computes nothing, so all is here."""

from __future__ import annotations

from typing import Any, Literal, NamedTuple

from audit.model.base import Level
from audit.model.evidence import Evidence
from audit.model.reported import Document, Reported
from audit.model.sample_verdict import SampleUsed


class EvidencePlace(Reported):
    """Where a value stands."""

    file: str
    sheet: str | None
    row: int | None
    column: str | None
    heading: str | None
    raw: str | None
    """The text as it stands there; null for an access code."""


class Waived(Reported):
    """The waiver that excuses a finding."""

    waiver: str
    reason: str
    compensating_measure: str | None
    owner: str
    approver: str
    expires: str


Side = Literal["plan", "readback"]


class Slip(Reported):
    """One way in which a value was perhaps mis-keyed. A name for the finding, never a correction."""

    id: str
    words: str
    """What happened, in plain words."""
    probability: float
    """How probable it is among all explanations, chance included: from judged priors, not from counts."""
    likely: bool
    """Whether it is probable enough to be called likely."""
    advice: str
    """What to look at, to see whether it was this."""


class Naming(NamedTuple):
    """What there is to say of how a finding's value came about."""

    slips: list[Slip]
    words: str | None
    doubtful_side: Side | None
    doubt: str | None


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
    waived: Waived | None
    """The live waiver that excuses it; a waived finding is listed and fails no gate."""
    since: Literal["new", "unchanged", "updated"] | None
    """How it stands to an earlier result, where one was given."""
    slips: list[Slip] = []
    """How the value was perhaps mis-keyed, the most probable first. It changes no level and no value."""
    slip: str | None = None
    """The same in one line, for people."""
    doubtful_side: Side | None = None
    """Which side is likelier to be wrong than the device: the plan, or the writing of the readback."""
    doubt: str | None = None
    """Why, in one line."""
    requirements: list[str] = []
    """Requirements that it is about, by number; at gates that ask for evidence."""

    @property
    def hints(self) -> list[str]:
        """The lines on how the value came about."""
        return [line for line in (self.slip, self.doubt) if line]


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
    """Findings of this level that no waiver excuses; so for the next two."""
    warnings: int
    notes: int
    waived: int
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
    waived: int


class NotChecked(Reported):
    """A rule that found nothing to look at, or only in part, and why."""

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


class RuleUsed(Reported):
    """A rule of the run, in words."""

    id: str
    title: str
    level: Level
    why: str
    remedy: str
    source: str


class WaiverUsed(Reported):
    """A waiver, and what became of it. All are listed."""

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
        "not yet in force",
        "expired",
        "expired, nothing left",
        "lapsed",
        "unused",
        "of another command",
    ]
    """`expired, nothing left`: what it excused was looked at, and is no more; `of another command`: its rule
    runs in `check` or in `drift`, and not in this run."""


class Since(Reported):
    """The earlier result that findings are compared with."""

    file: str
    sha256: str
    run_on: str
    absent: list[Finding]
    """Findings of the earlier result that are no more."""


class BaselineUsed(Reported):
    """The baseline that the readback is compared with."""

    file: str
    sha256: str
    """Of its content, as it is written in it."""
    sealed_on: str
    signed_by: str
    verdict: Literal["pass", "fail"]
    plan_revision: str | None
    fingerprint: str | None
    """Of the key that signed it; null where none did. `asfound seal --verify` checks the signature."""


class ChangeUsed(Reported):
    """A change record, and what became of it. All are listed."""

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
    """An operation of a JSON Patch (RFC 6902) on the baseline's file."""

    op: Literal["test", "add", "remove", "replace"]
    path: str
    value: Any = None


class DriftUsed(Reported):
    """What drift was told from."""

    baseline: BaselineUsed
    plan: str | None
    """The plan that is the third side, where one was given."""
    changes: list[ChangeUsed]
    patch: list[PatchOperation] | None
    """From the baseline to the readback; only where asked for."""


class SettingDetail(Reported):
    """What became of one setting of a device."""

    name: str
    label: str
    role: str | None
    input: str
    unit: str | None
    planned: str | None
    found: str | None
    planned_number: float | None
    """For drawing; in the setting's unit."""
    found_number: float | None
    state: Literal["as planned", "differs", "not read", "unclear", "not planned"]


DeviceState = Literal["as planned", "waived", "partly read", "differs", "not read"]


class DeviceDetail(Reported):
    """What became of one device."""

    network: str
    tag: str
    serial: str | None
    location: str | None
    type: str
    gateway: bool
    east_m: float | None
    """Metres east of its gateway, where the plan gives positions."""
    north_m: float | None
    state: DeviceState
    """`not read` without any reading; `differs` where a setting differs, or an error or warning stands, that
    no waiver excuses; else `partly read` where a required setting was not read, or not clearly; `waived`
    where all that stands is excused."""
    settings: list[SettingDetail]
    """Settings that are planned or were read, in display order."""


class Result(Document):
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
    rules: list[RuleUsed]
    waivers: list[WaiverUsed]
    since: Since | None
    devices: list[DeviceDetail] | None
    """Every device with its settings; only where asked for, since it is long."""
    evidence: Evidence | None = None
    """What an auditor asks for besides, at gates that ask for it."""
    drift: DriftUsed | None = None
    """For drift: the baseline, which stands in the place of the plan in all else that is told."""
    sample: SampleUsed | None = None
    """For a check of a sample: what it was drawn by, and what it has shown."""
