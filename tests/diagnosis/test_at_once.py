"""Rows that are one list though they are of several days: what a person read from node to node."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.diagnosis.listed import Rows, rows, told


def exported(at: str, *tags: str) -> Rows:
    """Return rows of the list of GW-North at a time."""
    return rows(*tags, gateway="GW-North", last_heard=20, read_at=at)


def by_hand(at: str, *tags: str, gateway: str = "GW-North") -> Rows:
    """Return what a person read on one day, of nodes that a gateway hears."""
    return rows(*tags, gateway=gateway, last_heard=20, read_by="R. Sample", read_at=at)


ROUNDS: list[tuple[str, dict[str, Rows], dict[str, list[str]]]] = [
    ("a network in two days",
     {"round.csv": [*by_hand("2026-04-20", "A", "B"), *by_hand("2026-04-21", "C")]}, {}),
    ("a network each day",
     {"round.csv": [*by_hand("2026-04-20", "A", "B", "C"),
                    *by_hand("2026-04-21", "S", "T", gateway="GW-South")]}, {}),
    ("one is silent",
     {"round.csv": [*by_hand("2026-04-20", "A"), {**by_hand("2026-04-20", "B")[0], "last_heard": 86400},
                    *by_hand("2026-04-21", "C")]}, {"GW-North": ["B"]}),
    ("two rounds",
     {"rounds.csv": [*by_hand("2026-04-20", "A", "B", "C"), *by_hand("2026-04-23", "A", "B")]},
     {"GW-North": ["C"]}),
    ("no person",
     {"log.csv": [*exported("2026-04-20", "A", "B"), *exported("2026-04-21", "C")]},
     {"GW-North": ["A", "B"]}),
    ("longer than a round",
     {"round.csv": [*by_hand("2026-04-01", "A", "B"), *by_hand("2026-04-21", "C")]},
     {"GW-North": ["A", "B"]}),
    ("a list made meanwhile",
     {"round.csv": [*by_hand("2026-04-20", "A", "B"), *by_hand("2026-04-22", "C")],
      "list.csv": exported("2026-04-21T08:00", "C")}, {"GW-North": ["A", "B"]}),
]  # fmt: skip


@pytest.mark.parametrize(
    ("lists", "missing"), [case[1:] for case in ROUNDS], ids=[case[0] for case in ROUNDS]
)
def test_what_a_person_read_from_node_to_node_is_one_list(
    tmp_path: Path, lists: dict[str, Rows], missing: dict[str, list[str]]
) -> None:
    """A sheet that was filled in over two days says nothing about the nodes of the other day."""
    found = told(tmp_path, lists)

    assert {gateway: nodes for gateway, nodes in found.items() if gateway != "unknown"} == missing
