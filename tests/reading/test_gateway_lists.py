"""What a gateway's list of its nodes may show."""

from __future__ import annotations

import pytest

from audit.model.device import Setting
from audit.reading.gateway_lists import known_to_gateway


@pytest.mark.parametrize(
    ("setting", "known"),
    [
        ({"name": "level", "kind": "integer", "role": "rssi"}, True),
        ({"name": "number", "kind": "integer", "role": "address"}, True),
        ({"name": "hops", "kind": "integer", "read_at": "gateway"}, True),
        ({"name": "high", "kind": "integer", "role": "alarm_high"}, False),
        ({"name": "note", "kind": "text", "read_at": "host"}, False),
    ],
    ids=["signal", "address", "a setting of its own", "alarm", "at the host"],
)
def test_what_a_gateway_knows_of_a_node(setting: dict[str, str], known: bool) -> None:
    """What it hears itself, the address in each message, and what the device type says is read there."""
    assert known_to_gateway(Setting.model_validate(setting)) == known
