"""Folding of many devices that were read too early."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import causes, nodes

EARLY = {"read_at": "2026-03-02", "configured_at": "2026-03-05"}


def test_one_sheet_that_was_read_too_early_is_one_cause(tmp_path: Path) -> None:
    """Ten nodes that were read before they were mounted are one trip, not ten findings."""
    planned = nodes(10, installed_on="2026-04-02")

    (cause,) = causes(tmp_path, planned=planned, found=nodes(10, read_at="2026-04-01"))

    assert (cause.rule, len(cause.dependents)) == ("read-too-early-on-many-nodes", 10)
    assert cause.message == "10 devices were read before they were installed"


FIRES = [
    fires("read-too-early-on-many-nodes", "three nodes", node=None, others=["N01", "N02", "N03"],
          planned=nodes(3), found=nodes(3, **EARLY), says="3 devices were read before they were last set"),
]  # fmt: skip
SILENT = [
    silent("read-too-early-on-many-nodes", "two nodes", idle=None, planned=nodes(3),
           found=[*nodes(2, **EARLY), {"tag": "N03", **EARLY, "read_at": "2026-03-06"}]),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """Many devices of a network."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """Too few to have one reason."""
    case.check(tmp_path)
