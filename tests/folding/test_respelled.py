"""Folding of tags and serial numbers that a file writes in another way all through."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import fold, nodes

PLANNED = nodes(3, serial=["510011", "510012", "510013"])


def test_serial_numbers_out_of_a_column_of_decimals_are_one_cause(tmp_path: Path) -> None:
    """A program wrote all of them that way; nobody mistyped three of them."""
    found = nodes(3, serial=["510011.0", "510012.0", "510013.0"])

    cause = fold(tmp_path, "identities-respelled", planned=PLANNED, found=found)

    assert (cause.level, cause.others) == ("note", ["N01", "N02", "N03"])
    assert cause.message.endswith("for instance N01: spelled differently from the plan: 510011.0 for 510011")


FIRES: list[Fires] = [
    fires("identities-respelled", "three tags in small letters", node=None,
          others=["N01", "N02", "N03"], planned=nodes(3),
          found=[{"tag": tag} for tag in ("n01", "n02", "n03")],
          says="spelled differently from the plan: n01 for N01"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("identities-respelled", "two of three", planned=PLANNED,
           found=nodes(3, serial=["510011.0", "510012.0", "510013"])),
    silent("identities-respelled", "in three files", planned=PLANNED,
           found={f"{n}.csv": [{"tag": f"N{n:02}", "serial": f"51001{n}.0"}] for n in (1, 2, 3)}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, with the devices that it concerns."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What only looks similar is not put together."""
    case.check(tmp_path)
