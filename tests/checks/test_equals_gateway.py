"""equals-gateway: channel, air rate, network identity and encryption of a node are those of its gateway."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.site_builder import audit_of

FIRES = [
    fires("air-rate-differs", "a text that only looks like a number", "air_rate",
          gateway={"air_rate": "50000"}, planned={"air_rate": "50"}, found={"air_rate": "sNaN"},
          settings={"air_rate": {"kind": "option", "unit": "kbit/s", "options": ["50", "fast"]}},
          hub_settings={"air_rate": {"kind": "option", "unit": "bit/s", "options": ["50000"]}}),
    fires(
        "channel-differs", "node on another channel", "channel",
        gateway={"channel": 7}, planned={"channel": 7}, found={"channel": 8},
        says="channel is 8, the gateway has 7", at=[("gateways.csv", 2, "B")], shown=("7", "8"),
    ),
    fires(
        "channel-differs", "gateway not read, so its plan counts and the message says so", "channel",
        gateway={"channel": 7}, gateway_found=None, found={"channel": "08"},
        says="channel is 08, the gateway was not read, but is planned to have 7",
    ),
    fires(
        "channel-differs", "gateway read without its channel", "channel",
        gateway={"channel": 7}, gateway_found={"channel": "n/a", "network_id": "2C07"}, found={"channel": 8},
        says="the gateway was read without it, but is planned to have 7",
    ),
    fires(
        "channel-differs", "gateway read with a channel that is none", "channel",
        gateway={"channel": 7}, gateway_found={"channel": "x", "network_id": "2C07"}, found={"channel": 8},
        says="the gateway shows x, which is unclear, but is planned to have 7",
    ),
    fires(
        "channel-differs", "gateway read with a channel that is none, and no plan", "channel", node="B",
        gateway_found={"channel": "x", "network_id": "2C07"}, planned=[{}, {}],
        found=[{"channel": 7}, {"channel": 8}],
        says="the gateway shows x, which is unclear, and has none planned; at 1 of 2 nodes it is 7",
    ),
    fires(
        "channel-differs", "node as planned, gateway off the plan", "channel",
        gateway={"channel": 7}, gateway_found={"channel": 9}, planned={"channel": 7}, found={"channel": 7},
        says="channel is 7, the gateway has 9",
    ),
    fires(
        "channel-differs", "three values: plan, gateway, node", "channel",
        gateway={"channel": 7}, gateway_found={"channel": 9}, planned={"channel": 7}, found={"channel": 8},
        says="channel is 8, the gateway has 9; planned 7",
    ),
    fires(
        "channel-differs", "the plan sets a node apart", "channel", side="planned",
        gateway={"channel": 7}, planned={"channel": 8},
        says="channel is 8, the gateway is planned to have 7",
    ),
    fires(
        "air-rate-differs", "node at another rate", "air_rate",
        gateway={"air_rate": "50"}, planned={"air_rate": "50"}, found={"air_rate": "9.6"},
        says="air_rate is 9.6 kbit/s, the gateway has 50 kbit/s", shown=("50 kbit/s", "9.6 kbit/s"),
    ),
    fires(
        "air-rate-differs", "the plan sets a node apart", "air_rate", side="planned",
        gateway={"air_rate": "50"}, planned={"air_rate": "100"}, says="is planned to have 50 kbit/s",
    ),
    fires(
        "network-id-differs", "identities compare letter by letter, zeros included", "network_id",
        gateway={"network_id": "0A1"}, planned={"network_id": "0A1"}, found={"network_id": "A1"},
        says="network_id is A1, the gateway has 0A1",
    ),
    fires(
        "encryption-differs", "a gateway that the plan says nothing of, found without it", "encryption",
        gateway_found={"encryption": "off"}, planned={"encryption": "on"}, found={"encryption": "on"},
        says="encryption is on, the gateway has off; planned on", at=[("gateways.csv", 2, "B")],
    ),
    fires(
        "encryption-differs", "the plan sets a node apart", "encryption", side="planned",
        gateway={"encryption": "off"}, planned={"encryption": "on"},
        says="encryption is on, the gateway is planned to have off",
    ),
    fires(
        "channel-differs", "the plan sets a node apart from the others, and says nothing of the gateway",
        "channel", node="C", side="planned", planned=[{"channel": 7}, {"channel": 7}, {"channel": 8}],
        says="channel is 8, the gateway has none planned; at 2 of 3 nodes it is 7",
        at=[("North.csv", 2, "B"), ("North.csv", 4, "B")],
    ),
    fires(
        "air-rate-differs", "of as many nodes with each value, the first ones count", "air_rate", node="B",
        side="planned", planned=[{"air_rate": "9.6"}, {"air_rate": "50"}],
        says="air_rate is 50 kbit/s, the gateway has none planned; at 1 of 2 nodes it is 9.6 kbit/s",
    ),
    fires(
        "channel-differs", "a node read apart from the others, and nothing known of the gateway",
        "channel", node="B", planned=[{}, {}, {}], found=[{"channel": 7}, {"channel": 8}, {"channel": "07"}],
        says="channel is 8, the gateway was read without it and has none planned; at 2 of 3 nodes it is 7",
        at=[("found.csv", 2, "B"), ("found.csv", 3, "B")],
    ),
    fires(
        "air-rate-differs", "nothing known of the gateway: two kinds of nodes have one rate", "air_rate",
        planned=[{}, {"type": "meter"}, {}, {}], node="C",
        found=[{"air_rate": "50"}, {"air_rate": 50000}, {"air_rate": "9.6"}, {}],
        meter_settings={"air_rate": {"kind": "integer", "unit": "bit/s"}},
        says="air_rate is 9.6 kbit/s, the gateway was read without it and has none planned; at 2 of 3 nodes",
    ),
]  # fmt: skip

SILENT = [
    silent("channel-differs", "a gateway that lists its channels", gateway={"channel": "7"},
           planned={"channel": 7}, found={"channel": "07"},
           hub_settings={"channel": {"kind": "option", "options": ["7", "8"]}}),
    silent("air-rate-differs", "a gateway type that names no unit", gateway={"air_rate": "50"},
           found={"air_rate": "50"}, hub_settings={"air_rate": {"kind": "option", "options": ["50", "100"]}}),
    silent("channel-differs", "the same channel, padded with a zero",
           gateway={"channel": 7}, found={"channel": "07"}),
    silent("channel-differs", "node and gateway have left the plan together",
           gateway={"channel": 7}, gateway_found={"channel": 9}, found={"channel": 9}),
    silent("channel-differs", "channel not read at the node",
           gateway={"channel": 7}, planned=[{}, {}], found=[{"channel": "n/a"}, {"channel": 7}]),
    silent("channel-differs", "neither planned nor read at the gateway",
           planned={"channel": 7}, found={"channel": 8}),
    silent("channel-differs", "each node stands by its own gateway",
           networks={"North": {"gateway": {"channel": 7}}, "South": {"gateway": {"channel": 9}}},
           planned=[{}, {"network": "South"}], found=[{"channel": 7}, {"channel": 9}]),
    silent("channel-differs", "a device type without a channel", idle=True,
           settings={"channel": None}, gateway={"channel": 7}, found={}),
    silent("air-rate-differs", "the same rate with its unit",
           gateway={"air_rate": "50"}, found={"air_rate": "50 kbit/s"}),
    silent("air-rate-differs", "the same rate with a zero behind the point",
           gateway={"air_rate": "9.6"}, found={"air_rate": "9.60"}),
    silent("air-rate-differs", "the same rate, which the gateway shows in another unit",
           settings={"air_rate": {"kind": "integer", "unit": "kbit/s"}},
           hub_settings={"air_rate": {"kind": "integer", "unit": "bit/s"}},
           gateway={"air_rate": 50000}, planned={"air_rate": 50}, found={"air_rate": 50}),
    silent("network-id-differs", "the same identity",
           gateway={"network_id": "0A1"}, found={"network_id": "0A1"}),
    silent("encryption-differs", "on at both", gateway={"encryption": "on"}, found={"encryption": "on"}),
    silent("encryption-differs", "a node off plan, which encryption-off says",
           gateway={"encryption": "on"}, planned={"encryption": "on"}, found={"encryption": "off"}),
    silent("encryption-differs", "a gateway that has no such setting", idle=None,
           hub_settings={"encryption": None}, found={"encryption": "on"}),
    silent("channel-differs", "nodes apart under a gateway that has many channels, and no such setting",
           hub_settings={"channel": None}, planned=[{"channel": 7}, {"channel": 8}]),
    silent("network-id-differs", "nodes apart under a gateway that has none by the plan",
           gateway={"network_id": "-"}, planned=[{"network_id": "2C07"}, {"network_id": "2C08"}]),
    silent("channel-differs", "a node off its plan, and nothing known of the gateway: radio-off-plan says it",
           planned=[{"channel": 7}, {"channel": 7}], found=[{"channel": 9}, {"channel": 7}]),
    silent("channel-differs", "a node as the others are planned, of which one has left its plan",
           planned=[{"channel": 7}, {}, {"channel": 7}], found=[{"channel": 9}, {"channel": 7}, {}]),
    silent("channel-differs", "nodes of two gateways of which nothing is known",
           networks={"North": {}, "South": {}},
           planned=[{"channel": 7}, {"channel": 9, "network": "South"}]),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """A node apart from its gateway is reported with both values and both places."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """A node that agrees with its gateway, or cannot be compared with it, is not reported."""
    case.check(tmp_path)


@pytest.mark.parametrize(
    ("planned", "message"),
    [
        ({"channel": 7}, "channel is 8, the gateway has 9; planned 7"),
        ({"channel": 9}, "channel is 8, the gateway has 9"),
        ({}, "channel is 8, the gateway has 9"),
    ],
)
def test_the_plan_is_named_where_it_says_something_else_again(
    planned: dict[str, int], message: str, tmp_path: Path
) -> None:
    """The message names the plan only where node, gateway and plan are three different values."""
    (finding,) = audit_of(
        tmp_path,
        rules="channel-differs",
        planned=planned,
        gateway_found={"channel": 9},
        found={"channel": 8},
    )

    assert finding.message == message


def test_a_value_that_cannot_be_read_is_not_compared(tmp_path: Path) -> None:
    """A channel that is not a number counts as not read, and is left to another rule."""
    findings = audit_of(tmp_path, gateway={"channel": 7}, found={"channel": "seven"})

    assert "channel-differs" not in {f.rule for f in findings}
    assert "reading-unclear" in {f.rule for f in findings}
