"""A sample: which nodes to visit, and everything needed to draw it again."""

from __future__ import annotations

from typing import Annotated, Literal, Self

from pydantic import Field, StringConstraints, model_validator

from audit.model.base import AnyText, Digest, Name, Written
from audit.model.sampling_tables import Inspection, InspectionLevel

Percent = Annotated[str, StringConstraints(pattern=r"^[0-9]{1,3}(\.[0-9]+)?$")]
"""A percentage, kept as typed: 2.5."""
Count = Annotated[int, Field(ge=0)]


class ConfidenceTerms(Written):
    """The sample has to show with a given confidence that less than a given part of the lot is defective."""

    method: Literal["confidence"]
    confidence: Percent
    defective: Percent
    """A sample that passes shows that less than this percentage is defective."""
    accept: Count = 0
    """The largest number of nonconforming nodes with which it passes."""
    wherever: bool = False
    """The confidence holds wherever the defective nodes are, even in a sample shared out over networks."""


class TableTerms(Written):
    """The sample is one of MIL-STD-105E, single sampling."""

    method: Literal["mil-std-105e"]
    aql: Name
    """Acceptable quality level, percent defective, as the standard writes it."""
    level: InspectionLevel = "II"
    inspection: Inspection = "normal"


Terms = Annotated[ConfidenceTerms | TableTerms, Field(discriminator="method")]


class Place(Written):
    """A node to visit."""

    network: Name
    node: AnyText
    """Tag; serial number if there is no tag."""


class AlwaysPlace(Place):
    """A node that is visited for a reason, not by chance."""

    reasons: Annotated[tuple[AnyText, ...], Field(min_length=1)]
    """For instance safety, permit limit, billing, changed since the baseline."""


class Share(Written):
    """How a lot is made up of networks, and how many nodes were drawn from each."""

    network: Name
    nodes: Count
    always: Count
    """Of these, visited for a reason, and so not among those drawn from."""
    drawn: Count


class SampledLot(Written):
    """One lot: the nodes that a verdict is about."""

    lot: Name
    """The name of the network, or of the site."""
    rest: Count
    """Nodes that were drawn from: those of the lot minus those that are visited for a reason."""
    size: Count
    """Nodes drawn."""
    accept: Count
    """Ac: with this many nonconforming nodes or fewer, the lot passes."""
    reject: Count
    """Re: with this many or more, it fails."""
    letter: str | None = None
    """The code letter of the lot size, for plans from the tables."""
    letter_used: str | None = None
    """The letter of the plan used, after following the arrows."""
    confidence_wherever: Percent | None = None
    """The confidence that remains if defective nodes are distributed as unfavourably as possible."""
    shares: tuple[Share, ...]
    drawn: tuple[Place, ...]


class Sample(Written):
    """A sample as it is written by `asfound sample`."""

    asfound: Literal["sample/1"]
    """Marks the file as a sample, format 1."""
    site: Name
    plan_revision: str = ""
    nodes_sha256: Digest
    """Digest of the nodes that it was drawn from, in order of name."""
    terms: Terms
    lot: Literal["site", "network"]
    """What a verdict is about: the whole site, or each network separately."""
    spread: Literal["networks", "none"]
    """Whether the sample is shared out over networks, or drawn from the lot regardless of them."""
    seed: Name
    order: Literal["sha-256/1"]
    """How the nodes were put in a random order: by the SHA-256 of `["seed","network","node"]`."""
    always: tuple[AlwaysPlace, ...]
    lots: Annotated[tuple[SampledLot, ...], Field(min_length=1)]

    @property
    def places(self) -> list[Place]:
        """Every node to visit."""
        return [*self.always, *(place for lot in self.lots for place in lot.drawn)]

    def shares_out(self, lot: SampledLot) -> bool:
        """Tell whether a lot is shared out over several networks, not drawn from all their nodes alike."""
        return self.spread == "networks" and sum(share.nodes > share.always for share in lot.shares) > 1

    @model_validator(mode="after")
    def _adds_up(self) -> Self:
        seen: set[tuple[str, str]] = set()
        for place in self.places:
            if (place.network, place.node) in seen:
                raise ValueError(
                    f"node {place.node!r} of {place.network!r} is in the sample twice "
                    "-- draw the sample again"
                )
            seen.add((place.network, place.node))
        for lot in self.lots:
            if lot.size != len(lot.drawn) or lot.size != sum(share.drawn for share in lot.shares):
                raise ValueError(
                    f"lot {lot.lot!r}: the number of nodes drawn is not {lot.size} -- draw the sample again"
                )
        return self
