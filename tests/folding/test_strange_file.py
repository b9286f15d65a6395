"""Folding of a file with no device that is in the plan."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.checks.cases import Fires, Silent, fires, silent
from tests.folding.sites import causes

OURS: list[dict[str, Any]] = [
    {"tag": f"N-{n}", "serial": f"5{n}0", "address": n, "channel": 7} for n in (1, 2, 3, 4)
]
THEIRS: list[dict[str, Any]] = [
    {"tag": f"K-{n}", "serial": f"9{n}0", "address": n + 20, "channel": 9} for n in (1, 2, 3)
]
LISTED: list[dict[str, Any]] = [
    {"tag": None, "serial": f"7{n}0", "joined_gateway": "GW-North"} for n in (1, 2, 3, 4)
]
CROSSED = [{"tag": row["serial"], "serial": row["tag"], "channel": 7} for row in OURS]
BARE = [{key: value for key, value in row.items() if key != "address"} for row in OURS]
REST: dict[str, Any] = {"tag": "M-1", "serial": "800", "channel": 7}


def test_the_list_of_another_site_is_one_cause(tmp_path: Path) -> None:
    """Nobody is sent to four devices that are not there, nor to a gateway that is full of them."""
    (cause,) = causes(
        tmp_path, planned=OURS, found={"ours.csv": OURS, "list.csv": LISTED},
        networks={"North": {"capacity": {"nodes": 6}}},
    )  # fmt: skip

    assert (cause.rule, len(cause.others)) == ("file-of-strangers", 4)
    assert cause.message.endswith("list.csv is in the plan")
    assert {name.split("/")[0] for name in cause.dependents} == {"unplanned-node", "gateway-over-capacity"}


def test_tags_and_serial_numbers_in_each_others_place_are_one_cause(tmp_path: Path) -> None:
    """A mapping has named both columns wrongly: all was read, but for no known device."""
    (cause,) = causes(tmp_path, planned=[*BARE, REST], found={"a.csv": CROSSED, "b.csv": [REST]},
                      gateway={"channel": 7})  # fmt: skip

    assert cause.rule == "file-of-strangers"
    assert cause.message.endswith("is in the plan: tags and serial numbers are swapped")
    assert {name.split("/")[0] for name in cause.dependents} == {"unplanned-node", "node-not-read"}


def test_a_node_that_is_missing_as_well_does_not_go_under_it(tmp_path: Path) -> None:
    """The fifth was not read at all, whatever the columns are called."""
    missing = {"tag": "M-2", "serial": "810", "channel": 7}
    found = causes(tmp_path, planned=[*BARE, REST, missing], found={"a.csv": CROSSED, "b.csv": [REST]},
                   gateway={"channel": 7})  # fmt: skip

    assert [(one.rule, one.node) for one in found] == [("node-not-read", "M-2"), ("file-of-strangers", None)]


FIRES: list[Fires] = [
    fires("file-of-strangers", "three devices", node=None, network="North", others=["910", "920", "930"],
          planned=OURS, says="none of the 3 devices",
          found={"ours.csv": OURS,
                 "list.csv": [row | {"tag": None, "joined_gateway": "GW-North"} for row in THEIRS]}),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("file-of-strangers", "two devices", planned=OURS, found={"a.csv": OURS, "b.csv": THEIRS[:2]}),
    silent("file-of-strangers", "with one of ours among them", planned=OURS,
           found={"a.csv": OURS[1:], "b.csv": [OURS[0], *THEIRS]}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Fires, tmp_path: Path) -> None:
    """The cause is reported once, for the file."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Silent, tmp_path: Path) -> None:
    """Unknown devices beside devices of the plan are reported one by one."""
    case.check(tmp_path)
