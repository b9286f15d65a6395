"""Folding of planned values that are outside a limit which is stated once."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import QUIET, causes, nodes


def of_block(first: int, last: int) -> dict[str, Any]:
    """Return a site whose network has this block of addresses."""
    return {**QUIET, "networks": {"North": {"addresses": {"first": first, "last": last}}}}


def of_sensor(high: float) -> dict[str, Any]:
    """Return a site whose devices measure up to this, in kPa."""
    return {**QUIET, "type_keys": {"sensors": {"main": {"low": 0, "high": high}}}}


def test_a_block_mistyped_is_one_cause(tmp_path: Path) -> None:
    """310 for 31: each address is listed below, and nobody is sent to a node."""
    (cause,) = causes(
        tmp_path, networks=of_block(310, 530)["networks"], planned=nodes(4, address=[31, 32, 33, 34])
    )

    assert (cause.rule, cause.network, cause.others) == (
        "limit-against-plan", "North", ["N01", "N02", "N03", "N04"]
    )  # fmt: skip
    assert [name.split("/")[0] for name in cause.dependents] == ["address-out-of-block"] * 4


THREE = ["N01", "N02", "N03"]

FIRES: list[Fires] = [
    fires("limit-against-plan", "block", "address", node=None, others=THREE, side="planned",
          **of_block(310, 530), planned=nodes(3, address=[31, 32, 33]),
          says="3 of 3 planned values are outside one limit: address 31 is outside the block of North"),
    fires("limit-against-plan", "three of four", "address", node=None, others=THREE, side="planned",
          **of_block(34, 53), planned=nodes(4, address=[31, 32, 33, 34]), says="3 of 4 planned values"),
    fires("limit-against-plan", "others have no plan", "address", node=None, others=THREE, side="planned",
          **of_block(310, 530), planned=[*nodes(3, address=[31, 32, 33]), *({} for _ in range(4))],
          says="3 of 3 planned values"),
    fires("limit-against-plan", "other meters have no plan", "range_high", node=None, others=THREE,
          side="planned", **of_sensor(160),
          planned=[*nodes(3, range_high=[1000, 1200, 1600]), *({} for _ in range(4))],
          says="3 of 3 planned values"),
    fires("limit-against-plan", "sensor", "range_high", node=None, others=THREE, side="planned",
          **of_sensor(160), planned=nodes(3, range_high=[1000, 1200, 1600]),
          says="3 of 3 planned values are outside one limit: range_high 1000 kPa g is outside what"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("limit-against-plan", "outside limits of their own, each its range",
           **QUIET, planned=nodes(3, range_low=0, range_high=100, alarm_high=[200, 210, 220])),
    silent("limit-against-plan", "two", **of_block(310, 530), planned=nodes(2, address=[31, 32])),
    silent("limit-against-plan", "three of six", **of_block(34, 53),
           planned=nodes(6, address=[31, 32, 33, 34, 35, 36])),
    silent("limit-against-plan", "as found", **of_block(31, 53), planned=nodes(3, address=[31, 32, 33]),
           found=nodes(3, address=[131, 132, 134])),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """Most of what the limit is for is outside it."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """A few values, or what was found, are wrong themselves."""
    case.check(tmp_path)
