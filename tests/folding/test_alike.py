"""Folding of many nodes that differ from the plan in the same way."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import causes, fold, nodes


def test_the_same_other_value_on_many_nodes_is_one_cause(tmp_path: Path) -> None:
    """Three nodes at 60 s where 300 s was planned were set from one wrong sheet."""
    cause = fold(
        tmp_path, "same-on-many-nodes", planned=nodes(5, report_interval=300),
        found=nodes(5, report_interval=[60, 60, 300, 60, 300]),
    )  # fmt: skip

    assert (cause.planned, cause.found, cause.setting) == ("300 s", "60 s", "report_interval")
    assert cause.others == ["N01", "N02", "N04"]
    assert cause.level == "error"


def test_the_same_value_in_two_spellings_is_the_same_difference(tmp_path: Path) -> None:
    """A leading zero or a unit after a number does not change its value, here as in comparing."""
    found = nodes(4, report_interval=[60, "060", "60 s", "1 min"])

    cause = fold(tmp_path, "same-on-many-nodes", planned=nodes(4, report_interval=300), found=found)

    assert len(cause.dependents) == 4


def test_one_address_filled_down_is_one_cause(tmp_path: Path) -> None:
    """Each address is planned with another value; three nodes with the same one were filled down."""
    cause = fold(
        tmp_path, "same-on-many-nodes", planned=nodes(4, address=[41, 42, 43, 44]), found=nodes(4, address=41)
    )

    assert cause.message == "address is 41 on 3 nodes, planned with other values"
    assert any(name.startswith("address-duplicate") for name in cause.dependents)


def test_two_nodes_with_the_same_value_are_two_causes(tmp_path: Path) -> None:
    """Two nodes may be wrong in the same way by chance; three are put together."""
    found = causes(tmp_path, planned=nodes(2, report_interval=300), found=nodes(2, report_interval=60))

    assert [f.rule for f in found] == ["report-interval-differs"] * 2


def test_nodes_of_two_networks_are_not_put_together(tmp_path: Path) -> None:
    """A network has its own sheet and its own cause."""
    planned = [
        {**row, "network": name} for name, row in zip("ABAB", nodes(4, report_interval=300), strict=True)
    ]

    found = causes(tmp_path, planned=planned, found=nodes(4, report_interval=60))

    assert len(found) == 4


FIRES: list[Fires] = [
    fires("same-on-many-nodes", "three nodes", "channel", node=None, others=["N01", "N02", "N03"],
          gateway={"channel": 7}, planned=nodes(3), found=nodes(3, channel=9),
          says="channel is 9 on 3 nodes, planned 7", at=[("found.csv", 2, "B")]),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("same-on-many-nodes", "two nodes", planned=nodes(2, channel=7), found=nodes(2, channel=9)),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, for the network, with the devices that it concerns."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What only looks similar is not put together."""
    case.check(tmp_path)
