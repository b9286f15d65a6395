"""Route sheet: which nodes to visit, in which order, and what the visit has to show."""

from __future__ import annotations

from audit.model.reported import Reported
from audit.model.sample import Sample
from audit.model.used import InputFile, SiteName, Tool


class RouteStop(Reported):
    """A device to visit."""

    number: int
    """Its turn in its network."""
    tag: str
    serial: str | None
    place: str | None
    type: str
    gateway: bool
    """Gateways are read in any case; they are no part of the sample."""
    reasons: list[str]
    """Why it is visited; empty for a node that was drawn."""


class RouteNetwork(Reported):
    """The devices to visit in a network, in the order of the way."""

    network: str
    order: str
    """How the order came about."""
    metres: float | None
    """Length of the round from the gateway and back, as the crow flies, where positions are known."""
    stops: list[RouteStop]


class RouteSheet(Reported):
    """The sample with the way to it, for people. The recorded sample is `sample` alone."""

    site: SiteName
    nodes: int
    """Nodes of the plan."""
    always: int
    drawn: int
    gateways: int
    terms: str
    notes: list[str]
    """What else there is to know: a seed that was made up, an inspection that follows from earlier lots."""
    sample: Sample
    networks: list[RouteNetwork]
    cautions: list[str]
    inputs: list[InputFile]
    tool: Tool

    @property
    def visits(self) -> int:
        """How many nodes to visit."""
        return self.always + self.drawn
