"""Folding of values that all devices show, where one place of the plan gives another value."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import fold, nodes
from tests.site_builder import SETTINGS

DEFAULTS: dict[str, Any] = {"networks": {"North": {"defaults": {"host_timeout": 3000}}}}


def test_the_place_of_the_plan_comes_first(tmp_path: Path) -> None:
    """That is the place to look at: one for all devices."""
    cause = fold(tmp_path, "plan-against-devices", **DEFAULTS, planned=nodes(4),
                 found=nodes(4, host_timeout=300))  # fmt: skip

    assert [Path(e.file).name for e in cause.evidence] == ["plan.yaml", "found.csv"]
    assert len(cause.dependents) == 4


FIRES: list[Fires] = [
    fires("plan-against-devices", "a zero too many in the plan", "host_timeout", node=None,
          others=["N01", "N02", "N03"], **DEFAULTS, planned=nodes(3), found=nodes(3, host_timeout=300),
          says="on all 3 devices that take it from one place of the plan, which says 3000 s"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("plan-against-devices", "one device as planned", idle=None, **DEFAULTS, planned=nodes(4),
           found=nodes(4, host_timeout=[300, 300, 300, 3000])),
    silent("plan-against-devices", "others of the network bear the plan out", idle=None, **DEFAULTS,
           planned=[*nodes(3), {"tag": "N04", "host_timeout": 3000}],
           found=nodes(4, host_timeout=[300, 300, 300, 3000])),
    silent("plan-against-devices", "two devices", idle=None, **DEFAULTS, planned=nodes(2),
           found=nodes(2, host_timeout=300)),
    silent("plan-against-devices", "each planned in its own row", idle=None,
           planned=nodes(3, host_timeout=3000), found=nodes(3, host_timeout=300)),
    silent("plan-against-devices", "all as they left the factory", idle=None, **DEFAULTS, planned=nodes(3),
           found=nodes(3, host_timeout=300),
           settings={"host_timeout": SETTINGS["host_timeout"] | {"default": 300}}),
    silent("plan-against-devices", "too short for the reports whatever is planned", idle=None, **DEFAULTS,
           planned=nodes(3, report_interval=300), found=nodes(3, report_interval=300, host_timeout=600)),
    silent("plan-against-devices", "the gateway's radio", idle=None,
           networks={"North": {"defaults": {"channel": 9}}}, gateway={"channel": 9}, planned=nodes(3),
           found=nodes(3, channel=7)),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, with the devices that it concerns."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """What only looks similar is not put together."""
    case.check(tmp_path)
