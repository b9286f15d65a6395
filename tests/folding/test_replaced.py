"""Folding of two units that were read under one tag."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import causes, fold

PLANNED = [{"serial": "S1", "address": 11}, {"serial": "S2", "address": 12}]
SPARE = {"tag": "A", "serial": "S9", "network": "North", "address": 11}


@pytest.mark.parametrize(
    ("old", "new", "when"),
    [
        ("2026-04-01", "2026-03-01", " earlier"),
        ("2026-04-01", "", ""),
    ],
)
def test_a_spare_whose_predecessor_is_still_in_the_sheet_is_one_cause(
    old: str, new: str, when: str, tmp_path: Path
) -> None:
    """Nothing has to be renumbered and no address moved: the plan has the old serial number."""
    found = [PLANNED[0] | {"read_at": old}, PLANNED[1] | {"read_at": old}, SPARE | {"read_at": new}]
    cause = fold(tmp_path, "unit-replaced", planned=PLANNED, found=found)

    assert (cause.node, cause.level) == ("A", "error")
    assert cause.message == (
        f"serial S9, which is not in the plan, was read under this tag{when}, as well as S1: "
        "perhaps the unit was replaced"
    )
    assert sorted(name.split("/")[0] for name in cause.dependents) == [
        "address-duplicate", "tag-duplicate", "unplanned-node",
    ]  # fmt: skip


def test_a_spare_that_was_read_after_its_predecessor_is_the_device(tmp_path: Path) -> None:
    """Its settings count, and not those of the unit that is gone."""
    old = [row | {"read_at": "2026-03-01", "range_high": 100} for row in PLANNED]
    new = SPARE | {"read_at": "2026-04-01", "range_high": 50}
    planned = [row | {"range_high": 100} for row in PLANNED]
    serial, span = sorted(
        causes(tmp_path, planned=planned, found=[*old, new]), key=lambda one: one.rule, reverse=True
    )

    assert (serial.rule, serial.node) == ("tag-serial-mismatch", "A")
    assert serial.message.endswith("found with S9; S1 was read before: perhaps the unit was replaced")
    assert (span.rule, span.found) == ("range-differs", "50 kPa g")


FIRES: list[Fires] = [
    fires("unit-replaced", "a spare under the same tag", planned=PLANNED, found=[*PLANNED, SPARE],
          says="serial S9, which is not in the plan", at=[("found.csv", 4, "B"), ("North.csv", 2, "B")]),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("unit-replaced", "a device of another tag", idle=None, planned=PLANNED,
           found=[*PLANNED, SPARE | {"tag": "X"}]),
    silent("unit-replaced", "the same tag in another network", idle=None,
           planned=[*PLANNED, {"tag": "C", "network": "South"}],
           found=[*PLANNED, {"tag": "C"}, SPARE | {"network": "South"}]),
    silent("unit-replaced", "the planned one was not read, which another rule tells", idle=None,
           planned=PLANNED, found=[SPARE, PLANNED[1] | {"tag": "B"}]),
    silent("unit-replaced", "a tag that is planned twice", idle=None,
           planned=[PLANNED[0], PLANNED[1] | {"tag": "A"}],
           found=[{"tag": "A"} | PLANNED[0], {"tag": "A"} | PLANNED[1], SPARE]),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, with the devices that it concerns."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What only looks similar is not put together."""
    case.check(tmp_path)
