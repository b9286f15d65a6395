"""When a gateway last heard a node, as lists say it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from audit.diagnosis.asked import Asked
from audit.diagnosis.diagnose import diagnose
from audit.diagnosis.gathering.work import past
from audit.diagnosis.missing import lost_between, state_of
from audit.diagnosis.site import case_of as find
from tests.diagnosis.listed import lists, rows, told
from tests.diagnosis.sites import case_of, examined


@pytest.mark.parametrize("heard", ["-", "", "none", "never", "offline"])
def test_a_row_that_says_when_none_was_heard_is_silent(tmp_path: Path, heard: str) -> None:
    """Lists of all enrolled nodes have such rows: if the others say when, this node was not heard."""
    site = examined(tmp_path, lists(heard))
    case = find(site, "A")

    assert state_of(site, case.target)[0] == "silent"
    assert "its row in the list of GW-North of 2026-04-01" in diagnose(case, Asked()).state_words
    assert past(case).joined == "unknown"


@pytest.mark.parametrize("gateway", ["-", "", "none", "not joined"])
def test_a_row_that_names_no_gateway_is_not_joined(tmp_path: Path, gateway: str) -> None:
    """If the other rows name their gateway; the report says so."""
    rows = lists("20")["list.csv"]
    site = examined(tmp_path, {"list.csv": [{**rows[0], "gateway": gateway}, *rows[1:]]})

    assert state_of(site, find(site, "A").target)[0] == "not listed"
    assert "1 row without a gateway, for example that of 'A'" in site.lists.assumed[0]


@pytest.mark.parametrize(
    ("tag", "told"), [("A", True), ("Z", False)], ids=["a planned node", "another's node"]
)
def test_a_list_that_calls_a_gateway_otherwise(tmp_path: Path, tag: str, told: bool) -> None:
    """Nobody is to search for the gateway without a list: its list is there, under another name."""
    mine = lists("20")["list.csv"]
    site = examined(tmp_path, {"list.csv": [*mine[1:], {**mine[0], "tag": tag, "gateway": "GW3"}]})

    words = "1 row of planned nodes under a gateway that is not in the plan: 'GW3'"
    assert any(words in one for one in site.lists.assumed) == told


ALL = [("A", "no"), ("B", "not joined"), ("C", "lost")]


@pytest.mark.parametrize(
    ("north", "silent"),
    [
        (ALL, ["!GW-North"]),
        (ALL[:2], []),  # nobody knows of C
        ([*ALL[:2], ("C", "")], []),  # a blank may only be unrecorded
        ([*ALL[:2], ("C", "GW-North")], ["GW-North"]),
    ],
)
def test_a_gateway_that_hears_none_of_its_nodes_by_the_word_of_each_row(
    tmp_path: Path, north: list[tuple[str, str]], silent: list[str]
) -> None:
    """A readback then says as much as an empty list; that of the other gateway is in the same file."""
    of_north = [{"tag": tag, "gateway": gateway} for tag, gateway in north]
    found = told(tmp_path, {"round.csv": [*of_north, *rows("S", "T", gateway="GW-South")]})

    assert [gateway for gateway in found if gateway != "unknown"] == silent


def test_a_node_that_is_not_heard_was_lost_since_the_list_before(tmp_path: Path) -> None:
    """Its row of today says `never`; that of yesterday had it."""
    before = {"before.csv": lists("20", "2026-03-31T08:00")["list.csv"]}
    lost = lost_between(case_of(tmp_path, lists={**before, **lists("never")}))

    assert [f"{at:%m-%d %H:%M}" for at in lost or ()] == ["03-31 08:00", "04-01 08:00"]


def test_a_gateway_that_says_of_no_node_when_it_was_heard(tmp_path: Path) -> None:
    """A dash means not heard; a blank may only be unrecorded, and is reported."""
    south = [{"tag": "S", "gateway": "GW-South", "last_heard": "20"}]
    site: dict[str, Any] = {"planned": [{}, {"tag": "S", "network": "South"}]}
    dash, blank = (
        examined(
            tmp_path / name, {"list.csv": [*rows("A", gateway="GW-North", last_heard=text), *south]}, **site
        )
        for name, text in (("dash", "-"), ("blank", ""))
    )

    alone = examined(tmp_path / "alone", {"list.csv": rows("A", gateway="GW-North", last_heard="-")})

    assert "no row says when its node was heard, though there is a column for it" in alone.lists.doubts[0]
    assert state_of(dash, (1, 0))[0] == "silent"
    assert state_of(blank, (1, 0))[0] == "heard"
    assert "no row of North says when its node was heard" in blank.lists.doubts[0]
