"""within-capacity: nodes and reports of a network against what its gateway can serve."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.site_builder import audit_of, result_of


def capacity(**most: float) -> dict[str, Any]:
    """Return a network with this capacity of `nodes` or `reports_per_hour`."""
    return {"North": {"capacity": most}}


def every(seconds: object, nodes: int) -> list[dict[str, Any]]:
    """Return nodes that report at this interval."""
    return [{"report_interval": seconds}] * nodes


FIRES = [
    fires("reports-over-capacity", "an interval chosen from a list", node="GW-North", side="planned",
          planned={"report_interval": "10"}, networks={"North": {"capacity": {"reports_per_hour": 100}}},
          settings={"report_interval": {"kind": "option", "options": ["10", "60"], "unit": "s"}}),
    fires("gateway-over-capacity", "one more than planned for", node="GW-North", side="planned",
          networks=capacity(nodes=2), planned=[{}, {}, {}],
          says="3 nodes are planned; the gateway can serve 2"),
    fires("gateway-over-capacity", "a device that is not in the plan takes the last place", node="GW-North",
          networks=capacity(nodes=2), planned=[{}, {}], found=[{}, {}, {"tag": "Z", "network": "North"}],
          others=["Z"], says="3 nodes were found, 1 of them not in the plan; the gateway can serve 2"),
    fires("reports-over-capacity", "a device that is not in the plan makes the last reports", node="GW-North",
          networks=capacity(reports_per_hour=179), planned=every(60, 2), others=["Z"],
          found=[*every(60, 2), {"tag": "Z", "network": "North", "report_interval": 60}],
          says="180 reports an hour were found, some by 1 device not in the plan; the gateway can serve 179"),
    fires("reports-over-capacity", "in the plan", node="GW-North", side="planned",
          networks=capacity(reports_per_hour=119), planned=every(60, 2),
          says="120 reports an hour are planned; the gateway can serve 119"),
    fires("reports-over-capacity", "nodes that report faster than planned", node="GW-North",
          networks=capacity(reports_per_hour=120), planned=every(60, 2), found=every(30, 2)),
    fires("reports-over-capacity", "in minutes", node="GW-North", side="planned",
          settings={"report_interval": {"kind": "integer", "unit": "min"}},
          networks=capacity(reports_per_hour=23), planned=every(5, 2), says="24 reports an hour"),
]  # fmt: skip

SILENT = [
    silent("gateway-over-capacity", "exactly full", networks=capacity(nodes=2), planned=[{}, {}],
           found=[{}, {}]),
    *(silent("gateway-over-capacity", f"a row {what}", networks=capacity(nodes=2), planned=[{}, {}],
             found=[{}, {}, {"tag": None, "network": "North", "range_high": 100, **row}])
      for what, row in (("without a name", {}), ("with a rounded serial number", {"serial": "4.02E+11"}))),
    silent("gateway-over-capacity", "no capacity stated", idle=True, planned=[{}, {}]),
    silent("gateway-over-capacity", "each network counts its own", planned=[{}, {}, {"network": "South"}],
           networks={"North": {"capacity": {"nodes": 2}}, "South": {"capacity": {"nodes": 1}}}),
    silent("reports-over-capacity", "exactly at capacity", networks=capacity(reports_per_hour=120),
           planned=every(60, 2), found=every(60, 2)),
    silent("reports-over-capacity", "exactly at capacity, in thirds and sevenths",
           networks=capacity(reports_per_hour=7200),
           planned=[*every(3, 3), *every(7, 7)]),
    silent("reports-over-capacity", "an interval of nothing is another rule's matter",
           networks=capacity(reports_per_hour=60), planned=[*every(60, 1), *every(0, 1)]),
    silent("reports-over-capacity", "no intervals", idle=True, networks=capacity(reports_per_hour=1),
           planned={}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """A network that needs more than its gateway can serve is reported with both numbers."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """A gateway that is exactly full is not over capacity."""
    case.check(tmp_path)


def test_a_node_that_was_not_read_counts_as_planned(tmp_path: Path) -> None:
    """The load as found uses the planned interval of a node whose interval nobody read."""
    (finding,) = audit_of(
        tmp_path,
        rules="reports-over-capacity",
        networks=capacity(reports_per_hour=179),
        planned=every(60, 2),
        found=[{"report_interval": "n/a"}, {"report_interval": 30}],
    )

    assert finding.message == "180 reports an hour were found; the gateway can serve 179"


def test_the_two_numbers_of_a_message_differ(tmp_path: Path) -> None:
    """A load just above capacity is written with as many digits as it takes to see that it is above."""
    (finding,) = audit_of(
        tmp_path,
        rules="reports-over-capacity",
        networks=capacity(reports_per_hour=51.42),
        planned=every(70, 1),
    )

    asked, _, served = finding.message.partition(" reports an hour are planned; the gateway can serve ")
    assert float(asked) > float(served)


def test_a_shortened_interval_is_the_cause(tmp_path: Path) -> None:
    """Where a node that reports too fast makes the load, its interval is the cause and the load a symptom."""
    findings = audit_of(
        tmp_path,
        networks=capacity(reports_per_hour=120),
        planned=every(60, 2),
        found=[*every(60, 1), *every(5, 1)],
    )

    by_rule = {f.rule: f for f in findings}
    assert by_rule["reports-over-capacity"].caused_by == by_rule["report-interval-differs"].id


@pytest.mark.parametrize("of", ["gateway-over-capacity", "reports-over-capacity"])
def test_who_is_not_in_the_plan_is_the_cause_where_the_rest_finds_room(of: str, tmp_path: Path) -> None:
    """A test unit is taken out, and no larger gateway fitted; a node that reports too seldom has no part."""
    findings = audit_of(
        tmp_path,
        networks=capacity(nodes=2, reports_per_hour=120),
        planned=every(60, 2),
        found=[*every(60, 1), *every(65, 1), {"tag": "Z", "network": "North", "report_interval": 60}],
    )

    by_rule = {f.rule: f for f in findings}
    assert by_rule[of].caused_by == by_rule["unplanned-node"].id


def test_no_single_stranger_is_the_cause_of_what_several_are_too_many(tmp_path: Path) -> None:
    """With one of them gone it would still be too many."""
    findings = audit_of(
        tmp_path,
        networks=capacity(nodes=2),
        planned=every(60, 2),
        found=[*every(60, 2), *({"tag": tag, "network": "North"} for tag in "XYZ")],
    )

    by_rule = {f.rule: f for f in findings}
    assert by_rule["gateway-over-capacity"].caused_by is None


@pytest.mark.parametrize(
    ("networks", "start"),
    [
        ({}, "for lack of"),
        ({"North": {"capacity": {"nodes": 2, "reports_per_hour": 99}}}, "in part, for lack of"),
    ],
)
def test_a_capacity_that_is_not_planned_is_told(networks: dict[str, Any], start: str, tmp_path: Path) -> None:
    """Nodes and intervals are planned, so it is not that there is nothing to look at."""
    planned = [{"report_interval": 60}, {"report_interval": 60, "network": "South"}]

    result = result_of(tmp_path, networks=networks, planned=planned)

    reasons = {one.rule: one.reason for one in result.not_checked}
    end = " on 1" if networks else ""
    for rule, what in (("gateway-over-capacity", "nodes"), ("reports-over-capacity", "reports an hour")):
        assert reasons[rule] == f"{start} the `capacity` of the gateway in the plan, in {what}{end}"
