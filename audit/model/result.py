"""The result of a run, from which reports are written. Reports compute nothing, so everything is here."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from typing import Literal, NamedTuple

from audit.grouping import grouped
from audit.model.base import Level
from audit.model.counts import Counts, NearMisses, NetworkCounts
from audit.model.detail import DeviceDetail
from audit.model.evidence import Evidence
from audit.model.reported import Document, Reported
from audit.model.sample_verdict import SampleUsed
from audit.model.used import (
    DriftUsed,
    Gate,
    InputFile,
    Pack,
    ReadAgain,
    ReadBy,
    RuleUsed,
    SiteName,
    Tool,
    WaiverUsed,
)

ON_MANY = "same-finding-on-many-nodes"
"""The rule of a finding that stands for the same finding on many devices."""


class EvidencePlace(Reported):
    """Where a value is written."""

    file: str
    sheet: str | None
    row: int | None
    column: str | None
    heading: str | None
    raw: str | None
    """The text exactly as written there; null for an access code."""
    record: int | None = None
    """The number of the record in a JSON or YAML file of records; `column` is then a key."""


class Waived(Reported):
    """The waiver that excuses a finding."""

    waiver: str
    reason: str
    compensating_measure: str | None
    owner: str
    approver: str
    expires: str

    @property
    def grounds(self) -> str:
        """Why it excuses the finding, and what is done meanwhile."""
        meanwhile = f"; meanwhile: {self.compensating_measure}" if self.compensating_measure else ""
        return f"{self.reason}{meanwhile}"


Side = Literal["plan", "readback"]


class Slip(Reported):
    """One way in which a value may have been mis-keyed. It names the finding, and corrects nothing."""

    id: str
    words: str
    """What happened, in plain words."""
    probability: float
    """Its probability among all explanations, including chance: from judged priors, not from counts."""
    likely: bool
    """Whether it is probable enough to be called likely."""
    advice: str
    """What to look at to see whether this is what happened."""


class Naming(NamedTuple):
    """What can be said about how a finding's value came about."""

    slips: list[Slip]
    words: str | None
    doubtful_side: Side | None
    doubt: str | None


class Finding(Reported):
    """One thing that is not as it should be."""

    id: str
    """Made up of rule, network, node and settings: it stays the same when rows move.

    What stands for several settings of a device, such as that much was not read, is named without them.
    For a finding that concerns two devices equally, it names the one whose type comes first in the plan,
    and of one type the one planned first.
    """
    rule: str
    level: Level
    network: str | None
    node: str | None
    serial: str | None
    location: str | None
    setting: str | None
    """The setting concerned; the first if there are several."""
    settings: list[str]
    planned: str | None
    found: str | None
    raw: str | None
    """The text as found, before it was read as a value; null for an access code."""
    evidence: list[EvidencePlace]
    others: list[str]
    """Tags of the other devices concerned; of all of them if `node` is null."""
    message: str
    why: str
    remedy: str
    source: str
    caused_by: str | None
    """Id of the finding that is the cause of this one."""
    dependents: list[str]
    """Ids of the findings that this one is the cause of."""
    waived: Waived | None
    """The live waiver that excuses it; a waived finding is listed but fails no gate."""
    since: Literal["new", "unchanged", "updated"] | None
    """How it compares with an earlier result, if one was given."""
    slips: list[Slip] = []
    """How the value may have been mis-keyed, most probable first. This changes no level and no value."""
    slip: str | None = None
    """The same in one line, for people."""
    doubtful_side: Side | None = None
    """Which side is more likely to be wrong than the device: the plan, or the readback as written down."""
    doubt: str | None = None
    """Why, in one line."""
    requirements: list[str] = []
    """Requirements that it concerns, by number; only at gates that ask for evidence."""
    cautions: list[str] = []
    """What to mind when it is corrected at its device, beside what the whole result says."""

    @property
    def about_a_waiver(self) -> bool:
        """Whether it is about a waiver, by whatever rule: its first evidence is then the waiver itself."""
        place = self.evidence[0] if self.evidence else None
        return place is not None and place.heading == f"waiver {place.raw}"

    @property
    def hints(self) -> list[str]:
        """The lines on how the value came about."""
        return [line for line in (self.slip, self.doubt) if line]


def own_rule(finding: Finding, rule_of: Mapping[str, str]) -> str:
    """Return the rule that says what is wrong: for the same finding on many devices, its rule.

    `rule_of`: id of a finding → its rule.
    """
    same = finding.rule == ON_MANY and finding.dependents
    return rule_of.get(finding.dependents[0], finding.rule) if same else finding.rule


class NotChecked(Reported):
    """A rule that had nothing to look at, or could look only at a part, and why."""

    rule: str
    reason: str


class Since(Reported):
    """The earlier result that findings are compared with."""

    file: str
    sha256: str
    run_on: str
    absent: list[Finding]
    """Findings of the earlier result that no longer exist."""
    not_read_again: list[Finding] = []
    """Those that this run does not report either, but whose subject was not read: nothing is known."""
    changed: list[str] = []
    """Files of the plan, device types and rules, and our own rules, that are not as in the earlier result."""
    rules_of_new: str | None = None
    """Our own rules that are not as in the earlier result, if a new finding may come from that."""
    note: str | None = None
    """What to bear in mind before believing that a finding is closed."""


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
    """Every device with its settings; only if asked for, since it is long."""
    evidence: Evidence | None = None
    """What an auditor asks for in addition, at gates that ask for it."""
    drift: DriftUsed | None = None
    """For drift: the baseline, which takes the place of the plan in everything else that is reported."""
    sample: SampleUsed | None = None
    """For a check of a sample: the terms it was drawn by, and what it has shown."""
    read_by: list[ReadBy] = []
    """Who read the devices, when and how; empty where no file says anything of that."""
    read_again: list[ReadAgain] = []
    """Where a reading is as planned, and an earlier one of the same day is not."""
    near_misses: NearMisses | None = None
    """Null if every number that counts as planned is the planned one."""
    command: str = ""
    """The command that reproduces this result from the same files in the same folder."""
    next_command: str = ""
    """After a check that failed: the command that lists the work, or suggests changes to the plan alone."""

    @property
    def not_sampled(self) -> list[tuple[str, list[str]]]:
        """Networks with nodes that are outside the sample and were not read, with the tags of these."""
        if self.sample:
            return [(one.network, one.not_sampled) for one in self.sample.networks if one.not_sampled]
        if self.drift and self.drift.sample:
            return [(one.network, one.nodes) for one in self.drift.sample.not_sampled]
        return []

    @property
    def causes(self) -> list[Finding]:
        """The findings that follow from no other and that no waiver excuses, worst first."""
        return [finding for finding in self.findings if finding.caused_by is None and finding.waived is None]

    @property
    def findings_in(self) -> defaultdict[str | None, list[Finding]]:
        """Network → its findings; under None those that belong to none of the networks."""
        names = {network.network for network in self.networks}
        return grouped((one.network if one.network in names else None, one) for one in self.findings)

    @property
    def rule_of(self) -> dict[str, str]:
        """Id of a finding → its rule."""
        return {finding.id: finding.rule for finding in self.findings}

    @property
    def counted_networks(self) -> list[NetworkCounts]:
        """The networks, then what belongs to none of them, if anything; they add up to the counts."""
        rest = {
            level: getattr(self.counts, level) - sum(getattr(network, level) for network in self.networks)
            for level in ("errors", "warnings", "notes", "waived")
        }
        nobody = dict.fromkeys(("devices", "devices_read", "verified", "differing", "not_read"), 0)
        outside = NetworkCounts(network="(none)", gateway="", **nobody, **rest)
        return [*self.networks, outside] if any(rest.values()) else self.networks
