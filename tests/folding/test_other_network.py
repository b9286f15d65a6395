"""Folding of devices that are set for another network."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import causes

NORTH, SOUTH = {"channel": 7, "network_id": "2A07"}, {"channel": 21, "network_id": "2B21"}
SITE: dict[str, Any] = {
    "networks": {
        "South": {"gateway": SOUTH, "gateway_found": SOUTH},
        "North": {"gateway": NORTH, "gateway_found": NORTH},
    },
    "planned": [{"tag": "A", **NORTH}, {"tag": "S", "network": "South", **SOUTH}],
}


def found(**radio: Any) -> list[dict[str, Any]]:
    """Return both nodes as planned, but the first with other radio settings."""
    return [{"tag": "A", **NORTH, **radio}, {"tag": "S", **SOUTH}]


def test_a_node_set_for_the_network_beside_is_one_cause(tmp_path: Path) -> None:
    """It will be in that gateway's list."""
    (cause,) = causes(tmp_path, **SITE, found=found(**SOUTH))

    assert (cause.rule, cause.node) == ("set-for-other-network", "A")
    assert cause.message == "it is set for South: channel 21, network_id 2B21"


def test_nodes_that_went_with_their_gateway_go_under_it(tmp_path: Path) -> None:
    """Gateway and node were both set for South: it is reported once, at the gateway."""
    networks = {**SITE["networks"], "North": {"gateway": NORTH, "gateway_found": SOUTH}}
    rules = {
        (f.rule, f.node) for f in causes(tmp_path, **SITE | {"networks": networks}, found=found(**SOUTH))
    }

    assert ("set-for-other-network", "GW-North") in rules
    assert ("set-for-other-network", "A") not in rules


def test_a_whole_network_set_for_another_is_one_cause(tmp_path: Path) -> None:
    """One sheet had the header of another."""
    planned = [*({"tag": tag, **NORTH} for tag in "ABC"), {"tag": "S", "network": "South", **SOUTH}]
    shown = [*({"tag": tag, **SOUTH} for tag in "ABC"), {"tag": "S", **SOUTH}]
    (cause,) = causes(tmp_path, networks=SITE["networks"], planned=planned, found=shown)

    assert (cause.rule, cause.node, cause.others) == ("set-for-other-network", None, ["A", "B", "C"])


ADDRESSED: dict[str, Any] = {
    "networks": {
        name: network | {"addresses": {"first": first, "last": first + 9}}
        for (name, network), first in zip(SITE["networks"].items(), (61, 31), strict=True)
    },
    "planned": [
        {"tag": "A", **NORTH, "address": 31},
        {"tag": "S", "network": "South", **SOUTH, "address": 61},
    ],
}
"""The same, with a block of addresses for each network."""


@pytest.mark.parametrize(
    ("address", "says"),
    [
        (61, "its address 61 is planned for S there, and the two collide once it joins"),
        (65, "its address 65 is in that network's address block"),
    ],
)
def test_an_address_of_that_network_goes_with_it(address: int, says: str, tmp_path: Path) -> None:
    """It was set from the other network's sheet, or moved there, as its record says too."""
    shown = [
        {"tag": "A", **SOUTH, "address": address, "network": "South"},
        {"tag": "S", **SOUTH, "address": 61},
    ]
    (cause,) = causes(tmp_path, **ADDRESSED, found=shown)

    assert cause.message == f"it is set for South: channel 21, network_id 2B21; {says}"
    assert {"address-differs", "address-out-of-block", "read-in-other-network"} <= {
        name.split("/")[0] for name in cause.dependents
    }


def test_another_address_stays_a_cause_of_its_own(tmp_path: Path) -> None:
    """It is not an address of that network."""
    shown = [{"tag": "A", **SOUTH, "address": 39}, {"tag": "S", **SOUTH, "address": 61}]
    rules = {f.rule for f in causes(tmp_path, **ADDRESSED, found=shown)}

    assert rules == {"set-for-other-network", "address-differs"}


def test_gateways_with_each_others_radio_settings_are_called_crossed(tmp_path: Path) -> None:
    """A gateway is in no gateway's list."""
    crossed = {"South": {"gateway": SOUTH, "gateway_found": NORTH},
               "North": {"gateway": NORTH, "gateway_found": SOUTH}}  # fmt: skip
    said = {f.node: f.message for f in causes(tmp_path, **SITE | {"networks": crossed}, found=found())}

    assert said["GW-North"].startswith("the gateway is set for South: ")
    assert said["GW-North"].endswith("; GW-South is set for North: the two are swapped")


FIRES: list[Fires] = [
    fires("set-for-other-network", "channel and identity", "channel", "network_id", node="A", **SITE,
          found=found(**SOUTH), says="it is set for South"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("set-for-other-network", "the channel alone", **SITE, found=found(channel=21)),
    silent("set-for-other-network", "of no network", **SITE, found=found(channel=21, network_id="2B22")),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, with the devices that it concerns."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What only looks similar is not put together."""
    case.check(tmp_path)
