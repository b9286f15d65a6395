"""Baseline: a readback that somebody has signed for, sealed against later alteration."""

from __future__ import annotations

from typing import Annotated, Literal

from pydantic import Field, StringConstraints

from audit.model.base import AnyText, Digest, Id, Level, Name, Written
from audit.model.device import DeviceType
from audit.model.plan import Date

PartDigest = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{16}$")]
"""The first 64 bits of a SHA-256: enough to find what was altered; the whole digest proves it."""


class SealedSite(Written):
    """The site that was read."""

    name: Name
    plan_revision: str = ""
    """Revision of the plan that it was compared with."""
    formerly: tuple[Name, ...] = ()
    """Names that it had before."""

    @property
    def names(self) -> tuple[str, ...]:
        """Its name, and those that it had before."""
        return (self.name, *self.formerly)


class SealedLowered(Written):
    """A rule whose level the site rules had lowered."""

    rule: Id
    usual: Level
    level: Level
    file: AnyText
    row: int


class SealedGate(Written):
    """The gate that the verdict was given for."""

    id: Id
    title: Name
    fail_on: Level
    lowered: tuple[SealedLowered, ...] = ()
    """The rules whose lowered levels softened the verdict."""


class SealedTool(Written):
    """What made the baseline."""

    name: Name
    version: Name


class SealedPack(Written):
    """A pack of rules that was used."""

    pack: Name
    version: Name
    sha256: Digest
    rules: int


class SealedInput(Written):
    """A file that the verdict rests on."""

    file: AnyText
    kind: Name
    sha256: Digest | None = None
    """Left out if the file contains access codes: they could be guessed from a digest."""
    note: str = ""


class SealedWaiver(Written):
    """A waiver, and what became of it."""

    id: Name
    rule: Id
    node: Name
    setting: str = ""
    value: str = ""
    owner: Name
    approver: Name
    expires: Date
    state: Name


class SealedSample(Written):
    """The sample by which the readback was judged, so that not every node had to be read."""

    terms: AnyText
    """The terms it was drawn by, in words."""
    seed: Name
    decision: Literal["accept", "reject", "open"]
    not_sampled: int
    """Nodes that were not to be visited and were not read: the baseline contains nothing about them."""


UNPLANNED = "unplanned-node"
"""The rule that reports devices not in the plan; of these a baseline records only that they were there."""


class OpenFinding(Written):
    """A finding that was open when the baseline was sealed."""

    id: AnyText
    """As in the result: made up of rule, network, node and settings."""
    rule: Id
    level: Level
    network: str = ""
    node: str = ""
    serial: str = ""
    """As read, for a device that is not in the plan: it is not listed anywhere else in a baseline."""
    settings: tuple[str, ...] = ()
    since: Date
    """The day of the first baseline in the chain since which it has been listed without a break."""
    waived: str = ""
    """Id of the waiver that excuses it."""


class SealedNetwork(Written):
    """A network, and the tag of its gateway."""

    name: Name
    gateway: Name


class SealedDevice(Written):
    """A device as it was read, listed under its network and its tag."""

    type: Name
    serial: str = ""
    """As read; as planned if it was not read."""
    planned_serial: str = ""
    """The planned one, only where a different one was read."""
    read_tag: str = ""
    """The tag that was read, only if it differs from the planned one, under which the device is listed."""
    read_network: str = ""
    """The network that was read, only if it differs from the planned one, under which it is listed."""
    read_type: str = ""
    """The type that was read, only if it differs from the planned one, as which the device is listed."""
    location: str = ""
    read_at: str = ""
    read_by: str = ""
    settings: dict[str, str] = {}
    """The values read, each in the setting's own unit; empty if the device was not read."""
    planned: dict[str, str] = {}
    """The planned values, only where a different value was read, or none."""


class Content(Written):
    """What is sealed."""

    site: SealedSite
    sealed_on: Date
    signed_by: AnyText
    """Who takes responsibility for it."""
    verdict: Literal["pass", "fail"]
    gate: SealedGate
    counts: dict[str, int]
    """How much was compared, as in the result."""
    tool: SealedTool
    packs: tuple[SealedPack, ...]
    inputs: tuple[SealedInput, ...]
    waivers: tuple[SealedWaiver, ...] = ()
    findings: tuple[OpenFinding, ...] = ()
    networks: Annotated[tuple[SealedNetwork, ...], Field(min_length=1)]
    device_types: tuple[DeviceType, ...]
    """Needed to interpret the values later."""
    devices: dict[str, dict[str, SealedDevice]]
    """Network → tag → device."""
    sample: SealedSample | None = None
    """Left out if every node had to be read."""
    previous: Digest | None = None
    """The `sha256` of the previous baseline; left out in the first of a chain."""


class Signature(Written):
    """An Ed25519 signature (RFC 8032) of the digest."""

    algorithm: Literal["Ed25519"]
    public_key: Digest
    """The 32 bytes of the public key, in hexadecimal digits."""
    fingerprint: Digest
    """SHA-256 of the public key in DER form (SubjectPublicKeyInfo, RFC 8410)."""
    value: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{128}$")]


class BaselineFile(Written):
    """A baseline as it is written. Apart from its line breaks the file is canonical JSON (RFC 8785)."""

    asfound: Literal["baseline/1"]
    """Marks the file as a baseline, format 1."""
    content: Content
    parts: dict[str, PartDigest]
    """Part of the content, as an RFC 6901 pointer → its digest, which shows where an alteration is."""
    sha256: Digest
    """Of `content` in canonical form."""
    signature: Signature | None = None
