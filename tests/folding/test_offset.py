"""Folding of registers that are counted otherwise."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import causes, nodes

PLANNED = nodes(4, host_register=[100, 104, 108, 112])


def test_a_host_that_counts_from_one_is_one_cause(tmp_path: Path) -> None:
    """Each register is read one too high: nobody keyed four registers wrongly."""
    (cause,) = causes(tmp_path, planned=PLANNED, found=nodes(4, host_register=[101, 105, 109, 113]))

    assert (cause.rule, cause.setting, len(cause.dependents)) == (
        "registers-counted-otherwise",
        "host_register",
        4,
    )


FIRES: list[Fires] = [
    fires("registers-counted-otherwise", "three of four", "host_register", node=None,
          others=["N01", "N02", "N04"], planned=PLANNED, found=nodes(4, host_register=[99, 103, 108, 111]),
          says="host_register is one less than planned on 3 of 4 devices"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("registers-counted-otherwise", "two nodes", planned=nodes(2, host_register=[100, 104]),
           found=nodes(2, host_register=[101, 105])),
    silent("registers-counted-otherwise", "to both sides", planned=PLANNED,
           found=nodes(4, host_register=[101, 103, 109, 111])),
    silent("registers-counted-otherwise", "three of ten",
           planned=nodes(10, host_register=[*range(100, 140, 4)]),
           found=nodes(10, host_register=[101, 105, 109, *range(112, 140, 4)])),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is told once, with the devices that it concerns."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What only looks alike is not put together."""
    case.check(tmp_path)
