"""planned-beside: a value is planned where most others of its kind have one."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.site_builder import result_of

TWO_OF_THREE = [{"address": 1}, {"address": 2}, {}]
GATEWAYS: dict[str, Any] = {"networks": {
    "North": {}, "South": {"gateway": {"channel": 5}}, "West": {"gateway": {"channel": 9}},
}, "planned": [{}]}  # fmt: skip
SEALS = [{"seal": "S-1"}, {"seal": "S-2"}, {}]

FIRES: list[Fires] = [
    fires("address-not-planned", "one of three nodes", "address", node="C", side="planned",
          planned=TWO_OF_THREE, says="no address is planned for it; 2 of 3 nodes of North have one"),
    fires("radio-not-planned", "one of three gateways", "channel", node="GW-North", side="planned",
          **GATEWAYS, says="no channel is planned for it; 2 of 3 devices of type hub have one"),
    fires("critical-not-planned", "a seal", "seal", node="C", side="planned", planned=SEALS,
          says="no seal is planned for it; 2 of 3 devices of type probe have one"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("address-not-planned", "all have one", planned=[{"address": 1}, {"address": 2}]),
    silent("address-not-planned", "hardly one has", planned=[{"address": 1}, {}, {}]),
    silent("address-not-planned", "a dash says that there is none",
           planned=[{"address": 1}, {"address": 2}, {"address": "-"}]),
    silent("address-not-planned", "those of another network do not count",
           planned=[{"address": 1}, {"address": 2}, {"network": "South"}]),
    silent("radio-not-planned", "the only gateway", planned=[{}]),
    silent("critical-not-planned", "all have one", planned=SEALS[:2]),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """What the plan leaves out is reported, since nothing else would notice."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What is left out on purpose, or for every device, is not an omission."""
    case.check(tmp_path)


@pytest.mark.parametrize("rule", ["critical-not-planned", "critical-setting-not-read"])
def test_that_no_setting_is_marked_critical_is_told(rule: str, tmp_path: Path) -> None:
    """All was planned and read; no device type says what is critical."""
    both = {"firmware": "2.10"}
    unmarked = {"seal": None}

    result = result_of(tmp_path, settings=unmarked, hub_settings=unmarked, planned=both, found=both)

    reasons = {one.rule: one.reason for one in result.not_checked}
    assert reasons[rule] == "for lack of a setting marked `critical` in the device types"
