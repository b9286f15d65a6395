"""A node in the lists of two gateways: the whole row that heard it last says where it is."""

from __future__ import annotations

from itertools import permutations
from pathlib import Path
from typing import Any

import pytest

from tests.site_builder import audit_of

DAY = "2026-06-03T08:00"
RULES = ("joined-wrong-gateway", "silent-node", "readings-disagree", "weak-link-margin")
GATEWAYS = {"own": "GW-North", "other": "GW-South"}
SET = {"air_rate": "50", "report_interval": 300}


def told(folder: Path, *lists: tuple[str, str, Any, int], plan: dict[str, Any] = SET) -> list[str]:
    """Return what is found on A from lists of: own or other gateway, time, seconds since heard, signal."""
    rows = [
        {"tag": "A", "joined_gateway": GATEWAYS[whose], "read_at": at, "last_heard": heard, "rssi": rssi}
        for whose, at, heard, rssi in lists
    ]
    site: dict[str, Any] = {"planned": [plan, plan | {"network": "South"}], "gateway": {"air_rate": "50"}}
    site["type_keys"] = {"sensitivity_dbm": {"50": -102}}
    sheet = [SET | {"tag": "A", "read_at": "2026-06-01"}]
    found = audit_of(folder, rules=RULES, found={"sheet.csv": sheet, "lists.csv": rows}, **site)
    return [f"{finding.rule}/{'+'.join(finding.settings)}" for finding in found]


OWN, STALE_ELSEWHERE = ("own", DAY, 93, -75), ("other", DAY, 200_000, -99)
ELSEWHERE, STALE_HERE = ("other", DAY, 20, -99), ("own", DAY, 200_000, -75)
CASES: list[tuple[str, list[tuple[str, str, Any, int]], list[str]]] = [
    ("a stale row of the neighbour says nothing", [OWN, STALE_ELSEWHERE], []),
    ("nor one that never heard it", [OWN, ("other", DAY, "never", -99)], []),
    ("nor one made a little later", [OWN, ("other", "2026-06-03T08:05", 200_000, -99)], []),
    ("a stale row of its own is the other way round", [STALE_HERE, ELSEWHERE],
     ["joined-wrong-gateway/joined_gateway", "weak-link-margin/rssi"]),
    ("both hear it: that is told once, and its own link is reckoned", [OWN, ELSEWHERE],
     ["readings-disagree/joined_gateway"]),
    ("heard here in the morning, there in the evening", [OWN, ("other", "2026-06-03T18:00", 20, -75)],
     ["joined-wrong-gateway/joined_gateway"]),
    ("two rows of one gateway do disagree", [OWN, ("own", DAY, 93, -76)], ["readings-disagree/rssi"]),
]  # fmt: skip


@pytest.mark.parametrize(("name", "lists", "expected"), CASES, ids=[name for name, _, _ in CASES])
def test_where_a_node_of_two_lists_is(
    name: str, lists: list[tuple[str, str, Any, int]], expected: list[str], tmp_path: Path
) -> None:
    """Whichever row comes first."""
    for n, order in enumerate(permutations(lists)):
        assert told(tmp_path / str(n), *order) == expected, name


@pytest.mark.parametrize(("heard", "expected"), [(93, []), (3700, ["joined-wrong-gateway/joined_gateway"])])
def test_a_node_without_a_planned_interval_may_be_silent_for_an_hour(
    heard: int, expected: list[str], tmp_path: Path
) -> None:
    """As `why` assumes too: its own gateway heard it a moment ago."""
    rows = [("own", DAY, heard, -75), ("other", DAY, 20, -75)]
    found = told(tmp_path, *rows, plan={"air_rate": "50"})

    assert [one for one in found if one.startswith("joined-wrong-gateway")] == expected
