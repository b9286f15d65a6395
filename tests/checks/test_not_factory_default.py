"""not-factory-default: an address is not the one that every new node comes with."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.checks.cases import Fires, Silent, fires, silent

FIRES = [
    fires("address-left-default", "never set", "address", planned={"address": 38}, found={"address": 247},
          says="address is 247, the factory default", shown=("38", "247")),
    fires("address-left-default", "padded", "address", planned={"address": 38}, found={"address": "0247"}),
    fires("address-left-default", "not planned at all", "address", planned={}, found={"address": 247}),
]  # fmt: skip

SILENT = [
    silent("address-left-default", "set", planned={"address": 38}, found={"address": 38}),
    silent("address-left-default", "the plan asks for it", planned={"address": 247}, found={"address": 247}),
    silent("address-left-default", "one beside", planned={"address": 38}, found={"address": 246}),
    silent("address-left-default", "not read", planned=[{}, {}], found=[{"address": "n/a"}, {"address": 1}]),
    silent("address-left-default", "no default known", idle=True,
           settings={"address": {"kind": "integer"}}, planned={"address": 38}, found={"address": 247}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """A factory default where another value is planned was never changed."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """A value that was set, or a factory default that is planned, is not reported."""
    case.check(tmp_path)
