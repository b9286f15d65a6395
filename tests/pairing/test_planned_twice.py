"""Nodes that are in the plan twice are one node, and the readback is compared with the first entry."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.small_site import ACCESS_CODE, NODES, SETTINGS, as_planned, node, small_site

HEADINGS = "tag,serial,address,range_high\n"


def said(folder: Path, *more: dict[str, Any], **site: Any) -> list[tuple[str, str | None, str]]:
    """Return rule, node and message of the findings on a plan with these further nodes."""
    small = small_site(folder, nodes=[*NODES, *more], readback_rows=as_planned(), **site)
    return [(f["rule"], f["node"], f["message"]) for f in small.result("--gate", "handover")["findings"]]


def test_a_row_that_is_there_twice_is_one_finding(tmp_path: Path) -> None:
    """Its address, tag and serial number are then not those of two devices, and the node was read."""
    assert said(tmp_path, node(2)) == [
        (
            "node-planned-twice",
            "N-2",
            "N-2, serial 100002, is planned twice, with the same entries wherever both are filled in",
        )
    ]


def test_what_differs_is_named_and_the_first_entry_counts(tmp_path: Path) -> None:
    """The node reads as its first entry says; nothing differs."""
    again = {**node(2, range_high=900), "location": "Well 4"}

    (finding,) = small_site(tmp_path, nodes=[*NODES, again], readback_rows=as_planned()).result()["findings"]

    assert finding["message"].endswith("with different entries for location, range_high; the first counts")
    assert "900" in [one["raw"] for one in finding["evidence"]]


def test_access_codes_are_not_compared_and_not_called_the_same(tmp_path: Path) -> None:
    """Nothing is reported of them, so that nobody guesses one from the other."""
    again = node(2, access_code="8365")
    ((rule, _, message),) = said(tmp_path, again, settings=[*SETTINGS, ACCESS_CODE])

    assert rule == "node-planned-twice"
    assert message.endswith(
        "with the same entries wherever both are filled in; access codes were not compared"
    )


def test_three_times(tmp_path: Path) -> None:
    """However often it is there, it is reported once."""
    assert [said[2][:40] for said in said(tmp_path, node(2), node(2))] == [
        "N-2, serial 100002, is planned 3 times, "
    ]


def test_a_node_table_repeats_a_node_of_the_plan(tmp_path: Path) -> None:
    """Its place within a network does not matter."""
    table = tmp_path / "more.csv"
    table.write_text(f"{HEADINGS}N-2,100002,12,1000\nN-4,100004,14,1000\n", encoding="utf-8")
    nodes = {"network_extra": {"nodes": list(NODES), "node_tables": [{"file": "more.csv"}]}}

    rules = {(rule, node) for rule, node, _ in said(tmp_path, **nodes)}

    assert rules == {("node-planned-twice", "N-2"), ("node-not-read", "N-4")}


def test_what_is_blank_in_a_later_entry_is_no_difference(tmp_path: Path) -> None:
    """A second table need not have the location."""
    again = node(2) | {"location": ""}
    small = small_site(tmp_path, nodes=[node(1), node(2) | {"location": "Well 4"}, again, node(3)],
                       readback_rows=as_planned())  # fmt: skip

    (finding,) = small.result()["findings"]

    assert finding["message"].endswith("is planned twice, with the same entries wherever both are filled in")


@pytest.mark.parametrize(
    ("name", "more"),
    [
        ("another serial number", {**node(2), "serial": "100009"}),
        ("another tag", {**node(2), "tag": "N-9"}),
        ("no serial number, and another address", {"tag": "N-2", "settings": {"address": 99}}),
    ],
)
def test_what_may_be_another_device_stays_one(name: str, more: dict[str, Any], tmp_path: Path) -> None:
    """Then the rules on duplicates report two devices."""
    rules = [rule for rule, _, _ in said(tmp_path, more)]

    assert "node-planned-twice" not in rules
    assert {"tag-duplicate", "serial-duplicate"} & set(rules)


def test_without_serial_numbers_rows_have_to_be_the_same(tmp_path: Path) -> None:
    """Nothing tells them apart, so one is a copy."""
    one = {"tag": "N-9", "settings": {"address": 99}}
    rules = [(rule, node) for rule, node, _ in said(tmp_path, one, one)]

    assert rules == [("node-planned-twice", "N-9"), ("node-not-read", "N-9")]


def test_the_plan_alone_is_reported_too(tmp_path: Path) -> None:
    """Before anyone drives out."""
    small = small_site(tmp_path, nodes=[*NODES, node(2)])
    small.readbacks.clear()

    assert small.rules_found() == ["node-planned-twice"]
