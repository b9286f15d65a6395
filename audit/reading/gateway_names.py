"""The names by which lists call a gateway."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from audit.model.plan import Network
from audit.reading.identifiers import spelling


def gateway_names(networks: Iterable[Network]) -> dict[str, str]:
    """Return each name of a gateway (tag, serial number, network), as `spelling` makes it → its network."""
    return {
        spelling(name): network.name
        for network in networks
        for name in (network.gateway.serial, network.name, network.gateway.tag)
        if name
    }


def network_meant(text: str, names: Mapping[str, str]) -> str:
    """Return the network that a text means, which may name its gateway instead; else the text itself."""
    return names.get(spelling(text), text)


def network_in_plan(text: str, networks: Mapping[str, Network]) -> str:
    """Return the network that a table of the plan names, perhaps by the tag of its gateway.

    As in all of a plan, neither may be spelled otherwise.
    """
    if not text or text in networks:
        return text
    return next((name for name, network in networks.items() if network.gateway.tag == text), text)


def network_named(texts: Iterable[str], names: Mapping[str, str]) -> str:
    """Return the network of the first gateway named by one of these texts; empty if none is."""
    return next(filter(None, (names.get(spelling(text), "") for text in texts)), "")
