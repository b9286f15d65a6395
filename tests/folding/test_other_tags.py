"""Folding of files that use other tags than the plan."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import causes, nodes

RULE = "tags-of-other-names"
SERIALS = [f"41{n:04}" for n in range(1, 7)]


def called(*tags: str, serials: bool = True) -> list[dict[str, Any]]:
    """Return rows with these tags, and the devices' serial numbers."""
    given = [{"serial": serial} if serials else {} for serial in SERIALS]
    return [{"tag": tag, **given[n], "channel": 7, "address": n + 1} for n, tag in enumerate(tags)]


PLANNED = called("T\u00c4-1", "T\u00c4-2", "T\u00c4-3", "PT-4")

FIRES: list[Fires] = [
    fires(RULE, "tags without accents, beside one that has none", node=None,
          others=["T\u00c4-1", "T\u00c4-2", "T\u00c4-3"], planned=PLANNED,
          found=called("TA-1", "TA-2", "TA-3", "PT-4"), gateway={"channel": 7},
          says="have a tag that is not planned, though serial number or address is: TA-1 for T\u00c4-1, TA-2 "
          "for T\u00c4-2, TA-3 for T\u00c4-3: the file uses other tags"),
    fires(RULE, "each read three times", node=None, others=["T\u00c4-1", "T\u00c4-2", "T\u00c4-3"],
          planned=PLANNED, gateway={"channel": 7},
          found=[row | {"read_at": f"2026-04-{day}"} for day in (10, 11, 12)
                 for row in called("TA-1", "TA-2", "TA-3", "PT-4")]),
    fires(RULE, "names of the host's, found by their addresses", node=None,
          others=["T\u00c4-1", "T\u00c4-2", "T\u00c4-3"], planned=PLANNED,
          found=called("RTU_A", "RTU_B", "RTU_C", "PT-4", serials=False), gateway={"channel": 7}),
]  # fmt: skip

SILENT: list[Silent] = [
    silent(RULE, "two devices", planned=PLANNED, found=called("TA-1", "TA-2", "T\u00c4-3", "PT-4")),
    silent(RULE, "a tag that was filled down in the plan", planned=called("PT-1", "PT-1", "PT-1", "PT-1"),
           found=called("PT-1", "PT-2", "PT-3", "PT-4")),
    silent(RULE, "tags that went round among the devices", planned=PLANNED,
           found=called("T\u00c4-2", "T\u00c4-3", "T\u00c4-1", "PT-4")),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """It takes one line of a mapping, not a walk to each device."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """Single devices with another tag keep their findings."""
    case.check(tmp_path)


def test_a_few_in_a_long_file_keep_their_findings(tmp_path: Path) -> None:
    """Three slips among many correct rows are not a way of writing."""
    planned = [{**row, "serial": f"42{n:04}"} for n, row in enumerate(nodes(8, channel=7))]
    found = [{**row, "tag": f"X{row['tag']}"} if n < 3 else row for n, row in enumerate(planned)]

    rules = [cause.rule for cause in causes(tmp_path, planned=planned, found=found, gateway={"channel": 7})]

    assert rules == ["tag-serial-mismatch"] * 3
