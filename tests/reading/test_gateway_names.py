"""Names of gateways in lists: by tag, by serial number or by network."""

from __future__ import annotations

import pytest

from audit.model.plan import Gateway, Network
from audit.reading.gateway_names import gateway_names, network_in_plan, network_meant, network_named

NETWORKS = [
    Network(name="North", gateway=Gateway(tag="GW-1", type="gw", serial="900001")),
    Network(name="South", gateway=Gateway(tag="GW-2", type="gw")),
]
NAMES = gateway_names(NETWORKS)


@pytest.mark.parametrize("text", ["GW-1", "gw 1", "900001", "north"])
def test_a_gateway_is_known_by_any_of_its_names(text: str) -> None:
    """In capitals or small letters, with its hyphen or without."""
    assert network_meant(text, NAMES) == "North"


@pytest.mark.parametrize("text", ["", "-", "GW-3"])
def test_other_texts_name_no_network(text: str) -> None:
    """A blank cell does not name the gateway whose serial number is not planned."""
    assert network_meant(text, NAMES) == text
    assert network_named([text], NAMES) == ""


def test_the_first_text_that_names_a_gateway_counts() -> None:
    """Such as the name of the file before that of the sheet."""
    assert network_named(["list", "GW-2", "GW-1"], NAMES) == "South"


def test_a_table_of_the_plan_may_name_a_network_by_its_gateway() -> None:
    """As registers do; a name of a network comes first, and neither is spelled otherwise."""
    networks = {network.name: network for network in NETWORKS}
    networks["GW-2"] = Network(name="GW-2", gateway=Gateway(tag="GW-9", type="gw"))

    meant = [network_in_plan(text, networks) for text in ("South", "GW-1", "GW-2", "gw 1", "")]

    assert meant == ["South", "North", "GW-2", "gw 1", ""]
