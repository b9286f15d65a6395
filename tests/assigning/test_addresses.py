"""Addresses: each node its own inside its network's block, with as few changes as possible."""

from __future__ import annotations

from pathlib import Path

from audit.assigning.suggesting import suggest
from tests.site_builder import Row, SiteOf

BLOCK = {"addresses": {"first": 1, "last": 9}}


def test_a_block_may_be_as_wide_as_it_likes(tmp_path: Path) -> None:
    """Only as many free addresses are looked for as are needed."""
    networks = {"North": {"addresses": {"first": 1, "last": 2**32}}}
    order = SiteOf(planned=[{"address": 1}, {"address": 1}], networks=networks).write(tmp_path)

    made = suggest(order.plan, "addresses", 10, 3)

    assert [change.after for change in made.suggestion.changes] == ["2"]


def test_a_node_without_an_address_gets_one(tmp_path: Path) -> None:
    """By hand, since the plan has no place for it that a patch could change."""
    order = SiteOf(planned=[{"address": 1}, {"tag": "B"}], networks={"North": BLOCK}).write(tmp_path)

    made = suggest(order.plan, "addresses", 10, 3)

    assert [(one.node, one.after, one.why) for one in made.suggestion.changes] == [
        ("B", "2", "the plan gives it no address")
    ]
    assert made.diff == ""
    assert made.suggestion.by_hand == ["B: address none → 2"]


def test_an_address_outside_its_block_moves(tmp_path: Path) -> None:
    """So does a node on a reserved address."""
    block = {"addresses": {"first": 1, "last": 9, "reserved": [1]}}
    order = SiteOf(planned=[{"address": 1}, {"address": 40}], networks={"North": block}).write(tmp_path)

    made = suggest(order.plan, "addresses", 10, 3)

    assert [(one.before, one.after) for one in made.suggestion.changes] == [("1", "2"), ("40", "3")]


def test_a_network_without_a_block_is_told(tmp_path: Path) -> None:
    """Nobody knows which addresses its nodes may have; the other networks are still looked at."""
    planned: list[Row] = [{"address": 1}, {"address": 1, "network": "South"}]
    order = SiteOf(planned=planned, networks={"North": BLOCK, "South": {}}).write(tmp_path)

    made = suggest(order.plan, "addresses", 10, 3)

    assert (made.suggestion.kept, made.suggestion.not_looked_at) == (
        1, ["South: the plan gives it no block of addresses"]
    )  # fmt: skip
