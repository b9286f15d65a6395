"""no-overlap: register blocks of one host device do not overlap."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent


def at(register: object, count: object = 2, device: object = 1, **more: Any) -> dict[str, Any]:
    """Return a row whose value takes `count` registers from `register` on."""
    return {"host_register": register, "host_register_count": count, "host_device": device, **more}


APART = [at(100), at(102)]

FIRES = [
    fires("register-overlap", "in the plan", "host_register", node="B", side="planned", others=["A"],
          planned=[at(100), at(101)], says="host_register 101 to 102 overlaps 100 to 101 of A",
          at=[("North.csv", 2, "B"), ("North.csv", 3, "B")]),
    fires("register-overlap", "the same block twice", "host_register", node="B", side="planned", others=["A"],
          planned=[at(100), at(100)]),
    fires("register-overlap", "moved by the host", "host_register", node="B", others=["A"],
          planned=APART, found=[at(100), at(101)], says="101 to 102 overlaps 100 to 101 of A"),
    fires("register-overlap", "a long block reaches over a short one", "host_register", node="C", count=2,
          side="planned", others=["A"], planned=[at(100, 10), at(102), at(106)]),
    fires("register-overlap", "no count is one register", "host_register", node="B", side="planned",
          others=["A"],
          planned=[at(100, ""), at(100, "")], says="host_register 100 overlaps 100 of A"),
    fires("register-overlap", "the planned count where none was read", "host_register", node="B",
          others=["A"],
          planned=APART, found=[at(100, "n/a"), at(101, "n/a")]),
    fires("register-overlap", "in two networks that share a host device", "host_register", node="B",
          network="South", side="planned", others=["A"], planned=[at(100), at(101, network="South")]),
    fires("register-overlap", "a block that grew at the host", "host_register", node="B", others=["A"],
          planned=APART, found=[at(100, 4), at(102)], says="102 to 103 overlaps 100 to 103 of A"),
    fires("register-overlap", "a block that moved to another host device", "host_register", node="B",
          others=["A"],
          planned=[at(100), at(100, device=2)], found=[at(100), at(100, device=1)]),
]  # fmt: skip

SILENT = [
    silent("register-overlap", "one ends where the next begins", planned=APART, found=APART),
    silent("register-overlap", "the same block of another host device", planned=[at(100), at(100, device=2)]),
    silent("register-overlap", "not read", planned=APART, found=[at("n/a"), at(102)]),
    silent("register-overlap", "no host map", idle=True, found={}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """A block that begins before another has ended is reported with both spans."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """Blocks that only touch, or are in different host devices, do not overlap."""
    case.check(tmp_path)
