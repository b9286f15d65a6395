"""What a sample has shown, as reports tell it."""

from __future__ import annotations

from typing import Literal

from audit.model.reported import Reported

Decision = Literal["accept", "reject", "open"]


class SampleBound(Reported):
    """How many defective nodes there can still be among those that were drawn from."""

    confidence_percent: float
    most_defective: int
    """Of all nodes drawn from, those that were found included: exact for the finite lot."""
    most_defective_percent: float
    """The same in percent of them, rounded up."""
    clopper_pearson_percent: float | None
    """The bound that takes no account of the lot's end, rounded up; null where the whole lot was read."""
    most_defective_wherever: int | None
    """The same count for defective nodes that sit as unluckily as they can; for samples that showed none."""


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
    """Drawn nodes that waivers excuse: no part of the decision, but the bound counts them."""
    not_read: list[str]
    """Drawn nodes that were not read: they show nothing, and the bound counts them as defective."""
    bound: SampleBound | None
    """Null where nothing was drawn from."""
    normal_returns: bool
    """Reduced inspection ends: the lot passed with more than its accept number."""


class ReadInFull(Reported):
    """A network of which every node has to be read."""

    network: str
    because_of: list[str]
    """Nodes of the sample that were found nonconforming."""
    left: int
    """Nodes of the network that have not been read."""


class SampleVerdict(Reported):
    """What a sample has shown."""

    decision: Decision
    reasons: list[str]
    lots: list[LotVerdict]
    always_nonconforming: list[str]
    """Nodes visited for a reason that were found nonconforming: findings, no part of the statistics."""
    always_not_read: list[str]
    read_in_full: list[ReadInFull]


class SampledNetwork(Reported):
    """How much of a network the sample holds, and what of it was read."""

    network: str
    nodes: int
    always: int
    """Of the sample, visited for a reason."""
    drawn: int
    """Of the sample, drawn by chance."""
    read: int
    """Nodes of the network that were read, in the sample or not."""
    not_sampled: list[str]
    """Nodes that are not in the sample and were not read: nothing is known of them but by the sample."""


class SampleUsed(Reported):
    """The sample that a readback was judged by, and what it has shown."""

    file: str
    lot: Literal["site", "network"]
    """What the verdict is about: the whole site, or each network for itself."""
    terms: str
    """What it was drawn by, in words."""
    seed: str
    plan_revision: str | None
    """Revision of the plan that it was drawn from."""
    networks: list[SampledNetwork]
    verdict: SampleVerdict
