"""The diagnosis of nodes that do not join: the data that reports are written from."""

from __future__ import annotations

from typing import Literal

from audit.model.reported import Document, Reported
from audit.model.result import EvidencePlace
from audit.model.used import InputFile, SiteName, Tool


class CauseNow(Reported):
    """A cause, and how probable it is."""

    id: str
    title: str
    prior: float
    """Before anything was known about this node: judged weights and recorded calls."""
    posterior: float
    if_never_joined: float
    """What it would be if the node were known never to have joined."""
    if_was_joined: float
    """What it would be if the node were known to have joined before."""
    speaks_for: list[int]
    """Numbers of the evidence that is more likely under this cause than under the others."""
    speaks_against: list[int]
    remedy: str


class EvidenceUsed(Reported):
    """Something that is known about the node."""

    number: int
    id: str
    """The name of the answer, as `--saw` takes it."""
    question: str
    words: str
    source: Literal["files", "saw", "check"]
    error: float
    """How often something like this is reported although it is not so."""
    places: list[EvidencePlace]
    likelihoods: dict[str, float]
    """Cause → the probability that this is reported if that is the cause."""
    factors: dict[str, float]
    """Cause → how many times more likely that is than under the other causes."""


class CheckNext(Reported):
    """A check to do."""

    id: str
    title: str
    where: Literal["desk", "site", "gateway"]
    minutes: float
    chance: float
    """The probability that it finds the cause, given what is known now."""
    finds: list[str]
    """The causes that it can find, the most probable first."""
    how: str
    take: list[str]


class Trip(Reported):
    """The trip to the node, with all checks there."""

    travel_minutes: float
    travel_basis: str
    """What the travel time is based on."""
    minutes: float
    """Travel and all checks there."""
    chance: float
    """The probability that the trip finds the cause, given what is known now."""
    worth: Literal["now", "after the desk", "hardly"]
    words: str
    take: list[str]


class NodeDiagnosis(Reported):
    """Why one node does not join."""

    node: str
    network: str
    gateway: str
    serial: str | None
    location: str | None
    state: Literal["heard", "silent", "not listed", "not known"]
    """Its state in the newest list of its gateway."""
    heard_by: str | None
    """The other gateway that hears it, according to that gateway's newest list; null if none does."""
    state_words: str
    state_places: list[EvidencePlace]
    joined_before: Literal["never", "was", "unknown"]
    joined_stated: bool
    """Whether a person has stated whether it had joined before."""
    joined_words: str
    joined_places: list[EvidencePlace]
    settled: bool
    """Whether the first cause is probable enough to be corrected without another check."""
    causes: list[CauseNow]
    """The most probable first."""
    evidence: list[EvidenceUsed]
    mend_first: list[str]
    """What was read off plan, at this node or another, and is to be corrected before any check."""
    checks: list[CheckNext]
    """What to check next, in the order with the shortest expected time."""
    trip: Trip | None
    expected_minutes: float
    """Expected minutes until the cause is found in this order, or all checks are done."""
    none_finds: float
    """The probability that none of the checks finds the cause."""
    done: list[str]
    """Checks that need not be done: their questions are already answered."""
    not_known: list[str]
    cautions: list[str]


class MissingThere(Reported):
    """The nodes missing at one gateway."""

    network: str
    gateway: str
    planned: int
    missing: int
    silent_gateway: bool
    """Whether none of its nodes is heard: if so it comes first, and its nodes are not reported singly."""
    words: str
    places: list[EvidencePlace]
    """What shows that the gateway is off plan, and the change records about it."""
    nodes: list[str]
    by_gateway: list[str]
    """Two or more of them that are most probably missing because of the gateway; none if it is silent."""
    off_plan: bool
    """Whether the gateway was found off plan: if so, the work list has the ways to correct it."""


class WeightsUsed(Reported):
    """What the probabilities are based on."""

    file: str
    version: str
    sha256: str
    basis: str
    worth: float
    """How many recorded calls the judged weights count as."""
    log: str | None
    calls: int
    """Recorded calls that have adjusted the weights."""
    floor: float
    readback_error: float
    not_read_error: float


class Diagnosis(Document):
    """Why nodes do not join, and what to check next. The verdict first."""

    schema_: Literal["asfound/diagnosis/1"]
    verdict: str
    site: SiteName
    run_on: str
    tool: Tool
    gateways: list[MissingThere]
    """Only if all missing nodes were asked for: silent gateways first."""
    nodes: list[NodeDiagnosis]
    not_known: list[str]
    weights: WeightsUsed
    cautions: list[str]
    inputs: list[InputFile]
