"""room: how many more nodes a network can take, by what runs out first."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.figures.test_listing import by_name, figures

SENDS = {"message": {"bits": 480}}
"""480 bits take 0.05 s on air at 9.6 kbit/s."""
EACH_MINUTE = {"report_interval": 60, "air_rate": "9.6"}


def room(folder: Path, nodes: int, of_network: dict[str, Any], **radio: Any) -> tuple[float, str]:
    """Return the room in a network of nodes that report each minute, with its sum."""
    site = {"networks": {"North": of_network}, "plan": {"radio": radio} if radio else {}}
    line = by_name(figures(folder, planned=[EACH_MINUTE] * nodes, type_keys=SENDS, **site))["room", None]
    return line.value, line.sum


def test_addresses_without_those_reserved(tmp_path: Path) -> None:
    """Ten addresses, one of them a spare and one the gateway's own."""
    left, words = room(tmp_path, 3, {"addresses": {"first": 11, "last": 20, "reserved": [20]},
                                     "gateway": {"address": 11}})  # fmt: skip

    assert (left, words) == (5, "5 by its addresses, 11 to 20")


def test_the_gateways_capacity(tmp_path: Path) -> None:
    """Nodes, and reports in an hour: five nodes each minute make 300 of 600."""
    left, words = room(tmp_path, 5, {"capacity": {"nodes": 32, "reports_per_hour": 600}})

    assert left == 5
    assert words == (
        "5 by the capacity of its gateway, 600 reports an hour; "
        "27 by the capacity of its gateway, 32 nodes"
    )  # fmt: skip


def test_a_gateway_of_one_node(tmp_path: Path) -> None:
    """One node is a node."""
    left, words = room(tmp_path, 1, {"capacity": {"nodes": 1}})

    assert (left, words) == (0, "0 by the capacity of its gateway, 1 node")


@pytest.mark.parametrize(
    ("radio", "left", "by"),
    [
        # 0.05 s each minute are 3 s an hour: 36 s are enough for 12 nodes
        ({"licence": {"airtime_s_per_hour": 36}}, 9, "36 s on air an hour, by the licence"),
        # pure ALOHA: 10 % collide at a load of 0.0527, which is 63 such nodes; in slots it is twice that
        ({"access": {"how": "at random"}}, 60, "collisions, sent at random, 10 % acceptable"),
        ({"access": {"how": "at random in slots"}}, 123, "collisions, sent at random in slots, 10 % acc"),
        ({"access": {"how": "polled", "poll_s": 0.5, "round_s": 10}}, 17, "polls of 0.5 s in 10 s"),
        ({"access": {"how": "own slots", "slot_s": 2, "round_s": 30}}, 12, "slots of 2 s in 30 s"),
    ],
    ids=["licence", "at random", "in slots", "polled", "own slots"],
)  # fmt: skip
def test_time_on_air(radio: dict[str, Any], left: int, by: str, tmp_path: Path) -> None:
    """What licence and channel access leave for nodes like the three there are."""
    found, words = room(tmp_path, 3, {}, **radio)

    assert found == left
    assert words.startswith(f"{left} by {by}")


def test_repeats_take_room_too(tmp_path: Path) -> None:
    """Where 10 % collide, a report that may be sent three times is sent 1.11 times: 56 nodes, not 63."""
    site = {"planned": [EACH_MINUTE] * 3, "plan": {"radio": {"access": {"how": "at random"}}}}
    line = by_name(figures(tmp_path, **site, type_keys={"message": {"bits": 480, "tries": 3}}))["room", None]

    assert line.value == 56 - 3


def test_a_network_that_is_too_full_has_no_room(tmp_path: Path) -> None:
    """Never less than none: that it is too full is a finding of its own."""
    assert room(tmp_path, 3, {"capacity": {"nodes": 2}}) == (0, "0 by the capacity of its gateway, 2 nodes")


def test_nothing_is_said_where_nothing_limits_it(tmp_path: Path) -> None:
    """Neither addresses nor capacity nor access."""
    made = figures(tmp_path, planned=[EACH_MINUTE], type_keys=SENDS)

    assert ("room", None) not in by_name(made)
    assert "addresses, a capacity or channel access in the plan" in {gap.needs for gap in made.gaps}
