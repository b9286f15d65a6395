"""What a sample has shown, as reports present it."""

from __future__ import annotations

from typing import Literal

from audit.model.reported import Reported

Decision = Literal["accept", "reject", "open"]


class SampleBound(Reported):
    """How many defective nodes there may still be among those that were drawn from."""

    confidence_percent: float
    most_defective: int
    """Among all nodes drawn from, including those that were found: exact for the finite lot.

    Where more are known to be, because others were read too, it is their number.
    """
    most_defective_percent: float
    """The same in percent of them, rounded up."""
    clopper_pearson_percent: float | None
    """The bound that ignores that the lot is finite, rounded up.

    Null if the whole lot was read, or if more are known to be than the sample lets expect.
    """
    most_defective_wherever: int | None
    """The same count with defective nodes distributed as unfavourably as possible; only if none was found."""


class LotVerdict(Reported):
    """What the sample of one lot has shown."""

    lot: str
    decision: Decision
    reason: str
    shows: str
    """What is known of the nodes drawn from; nodes that were not read count as nonconforming."""
    rest: int
    """Nodes that were drawn from."""
    size: int
    accept: int
    reject: int
    nonconforming: list[str]
    """Drawn nodes that were found nonconforming."""
    waived: list[str] = []
    """Drawn nodes that waivers excuse: not part of the decision, but the bound counts them."""
    not_read: list[str]
    """Drawn nodes that were not read: they show nothing, and the bound counts them as defective."""
    bound: SampleBound | None
    """Null if there was nothing to draw from."""
    normal_returns: bool
    """Whether reduced inspection ends: the lot passed with more than its accept number."""


class ReadInFull(Reported):
    """A network in which every node has to be read."""

    network: str
    because_of: list[str]
    """Nodes that were found nonconforming, in the sample or not."""
    left: int
    """Nodes of the network that have not been read."""


class SampleVerdict(Reported):
    """What a sample has shown."""

    decision: Decision
    reasons: list[str]
    lots: list[LotVerdict]
    always_nonconforming: list[str]
    """Nodes visited for a reason that were found nonconforming: findings, but not part of the statistics."""
    always_not_read: list[str]
    read_in_full: list[ReadInFull]


class SampledNetwork(Reported):
    """How much of a network is in the sample, and how much of the network was read."""

    network: str
    nodes: int
    always: int
    """Nodes in the sample that are visited for a reason."""
    drawn: int
    """Nodes in the sample that were drawn at random."""
    read: int
    """Nodes of the network that were read, whether in the sample or not."""
    not_sampled: list[str]
    """Nodes that are not in the sample and were not read: only the sample says anything about them."""


class SampleUsed(Reported):
    """The sample by which a readback was judged, and what it has shown."""

    file: str
    lot: Literal["site", "network"]
    """What the verdict is about: the whole site, or each network separately."""
    terms: str
    """The terms it was drawn by, in words."""
    seed: str
    plan_revision: str | None
    """Revision of the plan that it was drawn from."""
    networks: list[SampledNetwork]
    verdict: SampleVerdict
