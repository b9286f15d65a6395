"""Addresses: each node its own inside its network's block, with as few changes as possible."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from audit.assigning.suggesting import Suggested, suggest
from tests.site_builder import Row, SiteOf

BLOCK = {"addresses": {"first": 1, "last": 9}}


def suggested(folder: Path, **site: Any) -> Suggested:
    """Return what is suggested for the addresses of a site."""
    return suggest(SiteOf(**site).write(folder).plan, "addresses", 10, 3)


def test_a_block_may_be_as_wide_as_it_likes(tmp_path: Path) -> None:
    """Only as many free addresses are looked for as are needed."""
    networks = {"North": {"addresses": {"first": 1, "last": 2**32}}}

    made = suggested(tmp_path, planned=[{"address": 1}, {"address": 1}], networks=networks)

    assert [change.after for change in made.suggestion.changes] == ["2"]


def test_a_node_without_an_address_gets_one(tmp_path: Path) -> None:
    """By hand, since the plan has no place for it that a patch could change."""
    made = suggested(tmp_path, planned=[{"address": 1}, {"tag": "B"}], networks={"North": BLOCK})

    assert [(one.node, one.after, one.why) for one in made.suggestion.changes] == [
        ("B", "2", "the plan gives it no address")
    ]
    assert made.diff == ""
    assert made.suggestion.by_hand == [
        "B: address none → 2, added to B in the plan, which does not give it yet"
    ]


def test_a_block_is_used_from_its_first_address_to_its_last(tmp_path: Path) -> None:
    """Three nodes fit into three addresses."""
    networks = {"North": {"addresses": {"first": 4, "last": 6}}}

    made = suggested(tmp_path, planned=[{"address": 5}] * 3, networks=networks)

    assert [change.after for change in made.suggestion.changes] == ["4", "6"]
    assert made.suggestion.impossible == []


def test_an_address_outside_its_block_moves(tmp_path: Path) -> None:
    """So does a node on a reserved address."""
    block = {"addresses": {"first": 1, "last": 9, "reserved": [1]}}

    made = suggested(tmp_path, planned=[{"address": 1}, {"address": 40}], networks={"North": block})

    assert [(one.before, one.after) for one in made.suggestion.changes] == [("1", "2"), ("40", "3")]


def test_a_node_that_is_planned_without_an_address_gets_none(tmp_path: Path) -> None:
    """A dash says that there is none: that is no omission."""
    planned: list[Row] = [{"address": 1}, {"address": "-"}, {"address": "n/a"}]

    made = suggested(tmp_path, planned=planned, networks={"North": BLOCK})

    assert (list(made.suggestion.changes), made.suggestion.kept) == ([], 1)


METER = {"type": "meter", "address": 240}


@pytest.mark.parametrize(
    ("limits", "planned", "given"),
    [
        (
            {"kind": "integer", "high": 242},
            [{"address": 240}, {"address": 240}, {"address": 240}],
            ["241", "242"],
        ),
        ({"kind": "option", "options": ["240", "245"]}, [{"address": 240}, {"address": 240}], ["245"]),
        ({"kind": "integer", "low": 243}, [METER, {"address": 240}, {"address": 240}], ["243", "244"]),
        ({}, [{"address": 240}, {**METER, "tag": "M"}, {"address": 240}], ["242", "241"]),
    ],
    ids=["highest", "options", "lowest", "two types"],
)
def test_nobody_gets_an_address_that_it_cannot_be_set_to(
    limits: Row, planned: list[Row], given: list[str], tmp_path: Path
) -> None:
    """The block reaches further than the device, here or there; who has the least choice chooses first."""
    networks = {"North": {"addresses": {"first": 240, "last": 260}}}
    settings = {"address": limits or {"kind": "integer", "high": 247}}
    meter = {"address": {"kind": "integer", "high": 241}}

    made = suggested(tmp_path, planned=planned, networks=networks, settings=settings, meter_settings=meter)

    assert [change.after for change in made.suggestion.changes] == given


def test_who_has_more_choice_makes_way(tmp_path: Path) -> None:
    """M can be set to 240 and 241 only, and others hold both: one of them goes, and the fewest move."""
    networks = {"North": {"addresses": {"first": 240, "last": 260}}}
    meter = {"address": {"kind": "integer", "high": 241}}
    planned: list[Row] = [{"address": 240}, {"address": 241}, {**METER, "tag": "M"}]

    made = suggested(tmp_path, planned=planned, networks=networks, meter_settings=meter)

    (change,) = made.suggestion.changes
    assert (change.node, change.before, int(change.after) > 241) == ("A", "240", True)
    assert change.why == "makes way for a node that has less choice"
    assert made.suggestion.kept == 2


def test_a_node_far_up_a_large_block_keeps_its_address(tmp_path: Path) -> None:
    """As above, with a node at 2400: that no assignment changes fewer nodes holds for it too."""
    networks = {"North": {"addresses": {"first": 240, "last": 2600}}}
    settings = {"address": {"kind": "integer", "high": 2600}}
    meter = {"address": {"kind": "integer", "high": 241}}
    planned: list[Row] = [{"address": 240}, {"address": 241}, {"address": 2400}, {**METER, "tag": "M"}]

    made = suggested(tmp_path, planned=planned, networks=networks, settings=settings, meter_settings=meter)

    (change,) = made.suggestion.changes
    assert (change.node, made.suggestion.kept) == ("A", 3)
    assert made.suggestion.quality == "No assignment without conflicts changes fewer nodes"


def test_nodes_that_no_address_of_the_block_suits_are_told(tmp_path: Path) -> None:
    """Nothing is proposed then."""
    networks = {"North": {"addresses": {"first": 246, "last": 260}}}

    made = suggested(tmp_path, planned=[{"address": 246}] * 3, networks=networks)

    assert not made.suggestion.changes
    assert made.suggestion.impossible[0].startswith(
        "North: 3 nodes do not fit into the 2 addresses from 246 to 260 that may be used and that they can be"
    )


def test_one_node_whose_block_is_reserved_is_told(tmp_path: Path) -> None:
    """One node is told of as one."""
    networks = {"North": {"addresses": {"first": 31, "last": 31, "reserved": [31]}}}

    assert suggested(tmp_path, planned=[{"address": 31}], networks=networks).suggestion.impossible == [
        "North: 1 node does not fit into the 0 addresses from 31 to 31 that may be used and that it can be "
        "set to; widen the block, or release some"
    ]


def test_an_address_that_is_a_default_is_changed_by_hand(tmp_path: Path) -> None:
    """A patch of the default would give all nodes the new one."""
    networks = {"North": {**BLOCK, "defaults": {"address": 5}}}

    made = suggested(tmp_path, planned=[{}, {}, {"address": 7}], networks=networks)

    assert made.diff == ""
    (told,) = made.suggestion.by_hand
    assert told.startswith("B: address 5 → 1, written at B itself, since ")
    assert told.endswith(" is for several devices")


def test_a_table_that_begins_with_a_byte_order_mark_keeps_it(tmp_path: Path) -> None:
    """It is a part of the heading row, which stands around the change."""
    order = SiteOf(planned=[{"address": 1}, {"address": 1}], networks={"North": BLOCK}).write(tmp_path)
    table = tmp_path / "North.csv"
    table.write_text(table.read_text(), encoding="utf-8-sig")

    made = suggest(order.plan, "addresses", 10, 3)

    assert "\n \ufeff" in made.diff


def test_where_no_node_is_to_have_an_address_there_is_nothing_to_change(tmp_path: Path) -> None:
    """That is an answer, and no problem with the input."""
    made = suggested(tmp_path, planned=[{"address": "-"}], networks={"North": BLOCK})

    assert (list(made.suggestion.changes), made.suggestion.impossible) == ([], [])


def test_a_table_in_another_encoding_is_changed_by_hand(tmp_path: Path) -> None:
    """Its mapping says how to read it; the patch would be in UTF-8."""
    order = SiteOf(planned=[{"address": 1}, {"address": 1}], networks={"North": BLOCK}).write(tmp_path)
    table = tmp_path / "North.csv"
    lines = table.read_text().splitlines()
    rows = [f"{lines[0]},location", *(f"{line},Brücke" for line in lines[1:])]
    table.write_text("".join(f"{row}\n" for row in rows), encoding="cp1252")
    (tmp_path / "mapping.yaml").write_text(
        "asfound: mapping/1\nmappings: [{files: [North.csv], encoding: cp1252}]\n"
    )
    plan = json.loads(order.plan.read_text())
    plan["networks"][0]["node_tables"][0]["mapping"] = "mapping.yaml"
    order.plan.write_text(json.dumps(plan))

    made = suggest(order.plan, "addresses", 10, 3)

    assert made.diff == ""
    assert made.suggestion.by_hand == [f"B: address 1 → 2, in {table} row 3 column B"]


def test_a_network_without_a_block_is_told(tmp_path: Path) -> None:
    """Nobody knows which addresses its nodes may have; the other networks are still looked at."""
    planned: list[Row] = [{"address": 1}, {"address": 1, "network": "South"}]

    made = suggested(tmp_path, planned=planned, networks={"North": BLOCK, "South": {}})

    assert (made.suggestion.kept, made.suggestion.not_looked_at) == (
        1, ["South: the plan gives it no block of addresses"]
    )  # fmt: skip
