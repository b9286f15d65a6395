"""The diagnosis of nodes that do not join: what reports are written from."""

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
    """Before anything was known of this node: judged weights and recorded calls."""
    posterior: float
    if_never_joined: float
    """What it would be, were it known that the node has never joined."""
    if_was_joined: float
    """What it would be, were it known that the node had joined before."""
    speaks_for: list[int]
    """Numbers of the evidence that is likelier under this cause than under the others."""
    speaks_against: list[int]
    remedy: str


class EvidenceUsed(Reported):
    """Something that is known of the node."""

    number: int
    id: str
    """The name of the answer, as `--saw` takes it."""
    question: str
    words: str
    source: Literal["files", "saw", "check"]
    error: float
    """How often such a thing is told and is not so."""
    places: list[EvidencePlace]
    likelihoods: dict[str, float]
    """Cause → how probable it is under that cause that this is told."""
    factors: dict[str, float]
    """Cause → how many times likelier that is than under the other causes."""


class CheckNext(Reported):
    """A check to do."""

    id: str
    title: str
    where: Literal["desk", "site", "gateway"]
    minutes: float
    chance: float
    """How probable it is that it finds the cause, by what is known now."""
    finds: list[str]
    """The causes that it can find, the most probable first."""
    how: str
    take: list[str]


class Trip(Reported):
    """The trip to the node, with all checks there."""

    travel_minutes: float
    travel_basis: str
    """What the minutes of the way rest on."""
    minutes: float
    """The way, and all checks there."""
    chance: float
    """How probable it is that the trip finds the cause, by what is known now."""
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
    """How it stands in the newest list of its gateway."""
    heard_by: str | None
    """The gateway that hears it instead of its own, by its newest list; null where none does."""
    state_words: str
    state_places: list[EvidencePlace]
    joined_before: Literal["never", "was", "unknown"]
    joined_stated: bool
    """Whether a person has said whether it had joined before."""
    joined_words: str
    joined_places: list[EvidencePlace]
    settled: bool
    """Whether the first cause is probable enough to be mended without another check."""
    causes: list[CauseNow]
    """The most probable first."""
    evidence: list[EvidenceUsed]
    mend_first: list[str]
    """What was read off plan, at this node or another, and is to be set right before any check."""
    checks: list[CheckNext]
    """What to check next, in the order with the fewest minutes to be expected."""
    trip: Trip | None
    expected_minutes: float
    """Minutes to be expected until the cause is found in this order, or all checks are done."""
    none_finds: float
    """How probable it is that none of the checks finds the cause."""
    done: list[str]
    """Checks that are as good as done: their questions are answered."""
    not_known: list[str]
    cautions: list[str]


class MissingThere(Reported):
    """The nodes that are missing at one gateway."""

    network: str
    gateway: str
    planned: int
    missing: int
    silent_gateway: bool
    """Whether not one of its nodes is heard: then it comes first, and its nodes are not told singly."""
    words: str
    places: list[EvidencePlace]
    """Where it stands that the gateway has left the plan, and which change records are about it."""
    nodes: list[str]
    by_gateway: list[str]
    """Two or more of them that are most probably missing by the gateway itself; none if it is silent."""
    off_plan: bool
    """Whether the gateway was found to have left the plan: then the work list has the ways to mend it."""


class WeightsUsed(Reported):
    """What the probabilities rest on."""

    file: str
    version: str
    sha256: str
    basis: str
    worth: float
    """How many calls the judged weights are worth."""
    log: str | None
    calls: int
    """Recorded calls that have changed the weights."""
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
    """Only where all missing nodes were asked for: silent gateways first."""
    nodes: list[NodeDiagnosis]
    not_known: list[str]
    weights: WeightsUsed
    cautions: list[str]
    inputs: list[InputFile]
