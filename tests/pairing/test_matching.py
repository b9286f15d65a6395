"""Matching by settings: rows without a name go to the nodes with which they have most in common."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from audit.pairing.matching import LEAST_IN_COMMON
from tests.site_builder import Row, audit_of

PLANNED = [
    {"report_interval": 30, "range_high": 100, "alarm_high": 80, "channel": 7},
    {"report_interval": 60, "range_high": 200, "alarm_high": 180, "channel": 7},
    {"report_interval": 90, "range_high": 300, "alarm_high": 280, "channel": 7},
]
"""Three nodes that differ in three settings and share a channel."""


def nameless(row: Row, **changes: Any) -> dict[str, Any]:
    """Return a row that does not say which device it is about."""
    return {"tag": None, "serial": "", "network": "North", **row, **changes}


def matched(folder: Path, found: list[dict[str, Any]], planned: Sequence[Row] = PLANNED) -> list[str | None]:
    """Return the nodes that were found by their settings."""
    site = {"planned": planned, "found": found}
    return [f.node for f in audit_of(folder, rules="matched-by-settings", **site)]


def test_rows_go_to_the_nodes_they_are_most_like(tmp_path: Path) -> None:
    """Each row is the node with whose plan most of its settings agree, in whatever order the rows are."""
    found = [nameless(PLANNED[2]), nameless(PLANNED[0], alarm_high=75), nameless(PLANNED[1])]

    assert matched(tmp_path, found) == ["A", "B", "C"]


def test_the_matching_is_the_best_over_all_rows(tmp_path: Path) -> None:
    """A row that could be either of two nodes leaves the one that another row needs."""
    planned = [
        {"report_interval": 30, "range_high": 100, "alarm_high": 80, "pulse_weight": 1},
        {"report_interval": 30, "range_high": 100, "alarm_high": 90, "pulse_weight": 10},
        {"report_interval": 60, "range_high": 500, "alarm_high": 400, "pulse_weight": 100},
    ]
    either = nameless(planned[0], alarm_high="", pulse_weight="")
    sure = nameless(planned[0])

    findings = audit_of(
        tmp_path, rules=("matched-by-settings", "node-not-read"), planned=planned, found=[either, sure]
    )

    assert [(f.rule, f.node) for f in findings if f.rule == "node-not-read"] == [("node-not-read", "C")]
    rows = {f.node: f.evidence[0].row for f in findings if f.rule == "matched-by-settings"}
    assert rows == {"A": 3, "B": 2}


def test_a_setting_that_all_share_says_nothing(tmp_path: Path) -> None:
    """The common channel does not show which node a row is, so one telling setting is too few."""
    found = [nameless({"channel": 7, "report_interval": 30})]

    assert LEAST_IN_COMMON == 2
    assert matched(tmp_path, found) == []


def test_half_of_the_settings_in_common_is_not_enough(tmp_path: Path) -> None:
    """More than half of what was compared has to agree."""
    row = {"report_interval": 30, "range_high": 100, "alarm_high": 180, "pulse_weight": 9}
    planned = [{**PLANNED[0], "pulse_weight": 1}, {**PLANNED[1], "pulse_weight": 2}]

    assert matched(tmp_path, [nameless(row)], planned) == []


def test_another_serial_number_is_another_device(tmp_path: Path) -> None:
    """A device with another serial number is not the planned one, however similar its settings are."""
    planned: list[Row] = [{**row, "serial": f"S{n}"} for n, row in enumerate(PLANNED)]

    assert matched(tmp_path / "other", [nameless(PLANNED[0], tag="X", serial="S77")], planned) == []
    assert matched(tmp_path / "none", [nameless(PLANNED[0], tag="X")], planned) == ["A"]


def test_a_setting_that_is_not_planned_for_a_node_is_not_compared(tmp_path: Path) -> None:
    """What the plan leaves open is evidence neither for a node nor against it."""
    planned: list[Row] = [{**PLANNED[0], "alarm_high": "", "channel": 8}, PLANNED[1]]

    assert matched(tmp_path, [nameless(PLANNED[0], channel=9, alarm_high=99)], planned) == ["A"]


def test_the_network_of_a_row_is_believed(tmp_path: Path) -> None:
    """A row of South is not matched with a node of North, however similar."""
    planned: list[Row] = [*PLANNED[:2], {**PLANNED[2], "network": "South"}]

    assert matched(tmp_path, [nameless(PLANNED[0], network="South")], planned) == []


def test_what_is_matched_so_is_a_warning_and_is_compared(tmp_path: Path) -> None:
    """The match is reported as weak evidence; its differences are reported all the same."""
    findings = audit_of(tmp_path, planned=PLANNED, found=[nameless(PLANNED[0], alarm_high=75)])

    by_rule = {f.rule: f for f in findings}
    assert by_rule["matched-by-settings"].level == "warning"
    assert by_rule["alarm-off-plan"].found == "75 kPa g"


def test_two_readings_without_names_are_never_one_node(tmp_path: Path) -> None:
    """Two equal rows are two devices: one is the node, the other is not in the plan."""
    findings = audit_of(
        tmp_path,
        rules=("matched-by-settings", "unplanned-node", "row-names-no-device"),
        planned=PLANNED,
        found=[nameless(PLANNED[0]), nameless(PLANNED[0])],
    )

    assert sorted(f.rule for f in findings) == ["matched-by-settings", "row-names-no-device"]


def test_a_row_that_fits_two_devices_equally_is_matched_with_neither(tmp_path: Path) -> None:
    """With the same plan, settings do not tell them apart, and the fault of one is not the other's."""
    alike = [{"address": n, "range_high": 100, "alarm_high": 80, "report_interval": 60} for n in (1, 2)]
    other = {"address": 3, "range_high": 250, "alarm_high": 200, "report_interval": 30}
    found = [
        nameless(alike[0], address=None, loss_action="hold"),
        nameless(alike[1], address=None),
        other | {"tag": "C"},
    ]
    findings = audit_of(
        tmp_path, planned=[*alike, other], found=found,
        rules=("matched-by-settings", "row-names-no-device", "node-not-read", "not-read-on-many-nodes"),
    )  # fmt: skip

    assert sorted((f.rule, f.node) for f in findings if f.rule != "row-names-no-device") == [
        ("node-not-read", "A"), ("node-not-read", "B"),
    ]  # fmt: skip
    assert "row-names-no-device" in {finding.rule for finding in findings}
