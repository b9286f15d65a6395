"""Route sheet: which nodes to visit, in which order, and what the visits have to show."""

from __future__ import annotations

from audit.model.reported import Reported
from audit.model.sample import Sample
from audit.model.used import InputFile, SiteName, Tool


class RouteStop(Reported):
    """A device to visit."""

    number: int
    """Its place in the order of visits in its network."""
    tag: str
    serial: str | None
    place: str | None
    type: str
    gateway: bool
    """Gateways are always read; they are not part of the sample."""
    reasons: list[str]
    """Why it is visited; empty for a node that was drawn."""


class RouteNetwork(Reported):
    """The devices to visit in a network, in order of the route."""

    network: str
    order: str
    """How the order was found."""
    metres: float | None
    """Length of the round trip from the gateway, as the crow flies; null if positions are not known."""
    stops: list[RouteStop]


class RouteSheet(Reported):
    """The sample with its route, for people. The recorded sample is `sample` alone."""

    site: SiteName
    nodes: int
    """Number of nodes in the plan."""
    always: int
    drawn: int
    gateways: int
    terms: str
    notes: list[str]
    """What else to know: a seed that was generated, an inspection that follows from earlier lots."""
    sample: Sample
    networks: list[RouteNetwork]
    cautions: list[str]
    inputs: list[InputFile]
    tool: Tool

    @property
    def visits(self) -> int:
        """The number of nodes to visit."""
        return self.always + self.drawn
