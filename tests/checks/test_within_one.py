"""within-one: a host that counts registers from one where the plan counts from zero, or the reverse."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.checks.cases import Fires, Silent, fires, silent

FIRES = [
    fires("register-off-by-one", "one above", "host_register",
          planned={"host_register": 40100}, found={"host_register": 40101},
          says="host_register is 40101, one off the planned 40100", shown=("40100", "40101")),
    fires("register-off-by-one", "one below", "host_register",
          planned={"host_register": 40100}, found={"host_register": 40099}),
    fires("register-off-by-one", "from one to zero", "host_register",
          planned={"host_register": 1}, found={"host_register": 0}),
]  # fmt: skip

SILENT = [
    silent("register-off-by-one", "as planned", planned={"host_register": 40100},
           found={"host_register": 40100}),
    silent("register-off-by-one", "two beside", planned={"host_register": 40100},
           found={"host_register": 40102}),
    silent("register-off-by-one", "another setting is one beside",
           planned={"host_register": 1, "host_register_count": 2},
           found={"host_register": 1, "host_register_count": 1}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """A register one above or one below the planned one is reported as a matter of counting."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """The planned register, or one further away, is not a matter of counting."""
    case.check(tmp_path)
