"""networks-alike: networks with one identity, distinguished by their channel or by nothing at all."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent

RADIO: dict[str, Any] = {"network_id": "1A07", "channel": 7, "air_rate": "50"}
NODES: list[dict[str, Any]] = [{}, {"network": "South"}]
ALL = ("network_id", "channel", "air_rate")


def two(*, north: dict[str, Any] | None = None, south: dict[str, Any] | None = None) -> dict[str, Any]:
    """Return networks North and South with the same radio settings, except as given."""
    networks = {"North": {"gateway": RADIO | (north or {})}, "South": {"gateway": RADIO | (south or {})}}
    return {"planned": NODES, "networks": networks}


def found(south: dict[str, Any] | None, planned: dict[str, Any]) -> dict[str, Any]:
    """Return two networks; the gateway of South was found off plan, or not at all."""
    site = two(south=planned)
    read = RADIO | planned | south if south is not None else None
    site["networks"]["North"]["gateway_found"] = RADIO
    site["networks"]["South"]["gateway_found"] = read
    return site | {"found": [{}, {}]}


FIRES = [
    fires("networks-alike", "in the plan", *ALL, node="GW-North", others=["GW-South"], side="planned",
          **two(), says="network_id 1A07, channel 7, air_rate 50 kbit/s are also those of South (GW-South)"),
    fires("networks-alike", "one number, spelled in two ways", *ALL, node="GW-North", others=["GW-South"],
          side="planned", **two(south={"channel": "07"})),
    fires("networks-alike", "radios that have no other rate", "network_id", "channel", node="GW-North",
          others=["GW-South"], side="planned", hub_settings={"air_rate": None},
          planned=NODES, gateway={"network_id": "1A07", "channel": 7}),
    fires("networks-alike", "a gateway that was set as its neighbour", *ALL, node="GW-South", network="South",
          others=["GW-North"], **found(RADIO, {"network_id": "1B21", "channel": 21}),
          says="network_id 1A07, channel 7, air_rate 50 kbit/s are also those of North (GW-North)"),
    fires("network-id-shared", "only the channels differ", "network_id", node="GW-North", others=["GW-South"],
          side="planned", **two(south={"channel": 21}),
          says="network_id 1A07 is also that of South (GW-South)"),
    fires("network-id-shared", "many networks are counted, not listed", "network_id", node="GW-N0",
          network="N0", others=[f"GW-N{n}" for n in range(1, 5)], side="planned",
          says="is also that of 4 other networks",
          planned=[{"network": f"N{n}"} for n in range(5)],
          networks={f"N{n}": {"gateway": RADIO | {"channel": n + 1}} for n in range(5)}),
]  # fmt: skip

SILENT = [
    silent("networks-alike", "an identity of its own", **two(south={"network_id": "1B21"})),
    silent("networks-alike", "another channel", **two(south={"channel": 21})),
    silent("networks-alike", "a channel that nobody planned", **two(south={"channel": None})),
    silent("networks-alike", "no identities at all", idle=True, planned=NODES, gateway={"channel": 7}),
    silent("networks-alike", "a gateway that is apart by plan and was not read",
           **found(None, {"network_id": "1B21"})),
    silent("network-id-shared", "identities compare letter by letter",
           **two(north={"network_id": "0A1"}, south={"network_id": "A1"})),
    silent("network-id-shared", "said already by networks-alike", **two()),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """Two networks have the same identity, as planned or as found."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """Networks can be told apart, or it is not known."""
    case.check(tmp_path)
