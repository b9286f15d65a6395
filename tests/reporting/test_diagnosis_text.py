"""The diagnosis as text: in its width, in plain words, nothing said by colour alone."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from audit.diagnosis.asked import Asked
from audit.diagnosis.causes import read_causes
from audit.diagnosis.site import Basis, of_all, of_node
from audit.diagnosis.site import case_of as find
from audit.diagnosis.words import percent
from audit.model.diagnosis import Diagnosis
from audit.phrases import counted
from audit.reading.inputs import Inputs
from audit.reporting.diagnosis_text import render
from tests.diagnosis.sites import examined, record

LISTS = {"list.csv": [{"tag": "B", "last_heard": 9}, {"tag": "C", "last_heard": 9}]}


def diagnosis(folder: Path, asked: Asked | None = None) -> Diagnosis:
    """Return the diagnosis of a node on another channel than its gateway."""
    known = examined(folder, LISTS, gateway={"channel": 7}, found={"channel": 8})
    causes = read_causes(None, Inputs())
    return of_node(find(known, "A"), asked or Asked(), Basis(causes, None, "2026-03-31", []))


def diagnosis_of_a_battery(folder: Path, saw: tuple[str, ...]) -> Diagnosis:
    """Return the diagnosis of a node whose battery is the most probable cause, though not settled."""
    causes = read_causes(None, Inputs())
    asked = Asked(saw, "was")
    return of_node(find(examined(folder, LISTS), "A"), asked, Basis(causes, None, "2026-03-31", []))


@pytest.mark.parametrize("width", [40, 60, 80, 132])
def test_lines_keep_to_the_width(tmp_path: Path, width: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Except for words that are longer than a line, such as paths."""
    lines = render(diagnosis(tmp_path), width).splitlines()

    assert [line for line in lines if len(line) > width and " " in line.strip() and "/" not in line] == []


def test_colour_adds_nothing(tmp_path: Path) -> None:
    """Without its colours the text is the same."""
    one = diagnosis(tmp_path)

    coloured = render(one, 80, colour=True)

    assert "\x1b[" in coloured
    assert re.sub(r"\x1b\[[0-9;]*m", "", coloured) == render(one, 80)


def test_sections_in_the_order_of_use(tmp_path: Path) -> None:
    """What it is, why, what to do; then the rest; the verdict again at the end."""
    text = render(diagnosis(tmp_path), 100)
    heads = [line for line in text.splitlines() if re.match(r"[A-Z]{3,} ?[A-Z]*", line) and line[0] != " "]

    starts = [re.split(r"[,;:]", head)[0] for head in heads]
    assert starts == [
        "MOST PROBABLE", "NEXT CHECKS", "ALL CAUSES", "NOT KNOWN", "BASED ON", "INPUTS", "CAUTIONS",
    ]  # fmt: skip


@pytest.mark.parametrize(("saw", "told"), [(("volts-low", "lcd-lives"), 1), (("volts-fell", "lcd-lives"), 0)])
def test_where_no_check_is_left_for_the_first_cause(tmp_path: Path, saw: tuple[str, ...], told: int) -> None:
    """With its checks answered, the remedy comes before the others."""
    text = render(diagnosis_of_a_battery(tmp_path, saw), 100)

    assert text.count("none of them looks for the most probable cause: do what its remedy says first") == told


def test_checks_that_are_not_worth_it_are_named_once_the_cause_is_as_good_as_known(tmp_path: Path) -> None:
    """Apart from those that are; until then every check is listed with what to do."""
    one = diagnosis(tmp_path)
    (node,) = one.nodes
    settled = node.model_copy(update={"settled": True, "done": []})
    known = one.model_copy(update={"nodes": [settled]})
    text = " ".join(render(known, 100).split())

    named = re.search(r"not worth it, since each has .* the cause: ([a-z, -]*[a-z])", text)
    assert named
    assert named[1].split(", ") == [check.id for check in node.checks if check.chance < 0.02]
    assert "not worth it" not in render(one, 100)


def test_evidence_is_told_with_file_row_and_text(tmp_path: Path) -> None:
    """A person has to be able to look it up."""
    text = render(diagnosis(tmp_path), 200)

    assert "[2] channel is 8, the gateway has 7; " in text
    assert "found.csv row 2 column B (channel): '8'" in text
    assert "more likely under this cause than under others" in text


def test_what_was_read_off_plan_is_set_right_before_any_check(tmp_path: Path) -> None:
    """A is missing and as planned; B was read with its address, and that is where to go."""
    planned = [{"address": 31}, {"address": 32, "serial": "102", "location": "Hill 2"}, {"address": 33}]
    known = examined(tmp_path, LISTS, planned=planned, found=[{"address": 31}, {"address": 31}, {}])
    causes = read_causes(None, Inputs())
    one = render(of_node(find(known, "A"), Asked(), Basis(causes, None, "2026-03-31", [])), 120)
    every = render(of_all(known, Asked(), Basis(causes, None, "2026-03-31", [])), 200)

    first, checks = one.split("\nNEXT CHECKS")
    assert (
        "FIRST, since this was read off plan\n  B, serial 102, Hill 2: set its address from 31 to 32" in first
    )
    assert checks.startswith(", only if that does not help, in the order")
    assert "another device holds its address" in every
    assert "B, serial 102, Hill 2: set its address from 31 to 32" in every
    for text in (one, every):
        assert "next: asfound worklist PLAN READBACK lists the steps for what is off plan" in text


def test_an_address_that_a_change_record_has_set_is_not_moved_back(tmp_path: Path) -> None:
    """Two devices hold it nevertheless; the plan's owner decides which of them is to move."""
    changes = [record(node="B", setting="address", to=31)]
    found = [{"address": 31}, {"address": 32, "read_at": "2026-03-01"}, {}]
    planned = [{"address": 31}, {"address": 32}, {"address": 33}]
    known = examined(tmp_path, LISTS, changes, planned=planned, found=found)
    told = of_node(find(known, "A"), Asked(), Basis(read_causes(None, Inputs()), None, "2026-03-31", []))

    assert "address-shared" in [one.id for one in told.nodes[0].evidence]
    assert told.nodes[0].mend_first == []


def test_both_kinds_of_nodes_are_told_apart_where_it_is_not_known_which(tmp_path: Path) -> None:
    """Two more columns, until somebody says whether it had joined."""
    unknown = render(diagnosis(tmp_path / "a"), 120)
    stated = render(diagnosis(tmp_path / "b", Asked(joined="was")), 120)

    assert "if never" in unknown
    assert "if never" not in stated
    assert "it had joined before, as stated" in stated


def test_forbidden_words(tmp_path: Path) -> None:
    """Nothing is ever called that."""
    text = render(diagnosis(tmp_path), 100).casefold()

    assert not re.search(r"\bsafe\b|\bcompliant\b", text)


def test_all_missing_nodes_in_a_table(tmp_path: Path) -> None:
    """A row for each, with its most probable cause and first check."""
    known = examined(tmp_path, LISTS, gateway={"channel": 7}, found={"channel": 8})
    text = render(of_all(known, Asked(), Basis(read_causes(None, Inputs()), None, "2026-03-31", [])), 120)

    assert text.startswith("1 node is missing at 1 gateway\n")
    assert "GW-North (North): 1 of its 3 nodes is missing" in text
    assert re.search(r"\n    A +not listed +its channel.* \d+ %  \w+, 10 min, on a trip\n", text)


def test_the_only_node_of_a_gateway(tmp_path: Path) -> None:
    """There is no number to give."""
    lists = {"list.csv": [{"tag": "A", "last_heard": 99999}]}
    known = examined(tmp_path, lists, planned=[{"tag": "A"}], gateway={"channel": 7}, found=[{}])
    text = render(of_all(known, Asked(), Basis(read_causes(None, Inputs()), None, "2026-03-31", [])), 120)

    assert "GW-North (North): its only node is missing" in text


def test_a_silent_gateway_that_has_left_the_plan(tmp_path: Path) -> None:
    """It comes first, with what it was found to have and where; its nodes are named under it."""
    silent = {"list.csv": [{"tag": "B", "last_heard": 99999}]}
    known = examined(tmp_path, silent, gateway={"channel": 7}, gateway_found={"channel": 9}, found=[{}])
    text = render(of_all(known, Asked(), Basis(read_causes(None, Inputs()), None, "2026-03-31", [])), 500)

    assert text.splitlines()[0].endswith("first look at GW-North (North), which hears none of its nodes")
    assert "GW-North (North): it hears none of its 3 nodes" in text
    assert "channel is 9, planned 7" in text
    assert "gateways.csv row 2 column B (channel): '9'" in text
    assert "nodes: A, B, C" in text
    assert "MISSING NODES" not in text


MOVED: dict[str, Any] = {
    "gateway": {"channel": 7},
    "found": [{"channel": 7, "read_at": "2026-03-01"}] * 4,
}


def test_a_gateway_of_which_most_nodes_fell_silent(tmp_path: Path) -> None:
    """They have a common cause, though one is heard; a gateway that hears none is looked at before it."""
    north = [{"tag": f"N{n}", "address": 31 + n} for n in range(9)]
    south = [{"tag": f"S{n}", "address": 31 + n, "network": "South"} for n in range(2)]
    list_of_both = [
        {"tag": node["tag"], "last_heard": 9 if node["tag"] == "N0" else 40000, "gateway": gateway}
        for gateway, nodes in (("GW-North", north), ("GW-South", south))
        for node in nodes
    ]
    known = examined(tmp_path, {"list.csv": list_of_both}, planned=[*north, *south], gateway={"channel": 7})
    text = render(of_all(known, Asked(), Basis(read_causes(None, Inputs()), None, "2026-03-31", [])), 500)

    assert text.splitlines()[0].endswith(
        "first look at GW-South (South), which hears none of its nodes; then at GW-North (North), "
        "most probably the cause of all missing there"
    )
    assert "look at it (gateway-desk, 10 min) before you turn to N1, N2, N3" in text


@pytest.mark.parametrize(
    ("moved", "todo", "then"),
    [({"gateway_found": {"channel": 9}}, "correct it, or settle its change, before you turn to B, C, D",
      "next: asfound worklist PLAN READBACK lists the steps for what is off plan"),
     ({"gateway_found": {"channel": 7, "read_at": "2026-03-01"},
       "changes": [record(node="GW-North", setting="channel", to=9)]},
      "look at it (gateway-desk, 10 min) before you turn to B, C, D", "next: asfound why B")],
    ids=["read off plan", "set by a record"],
)  # fmt: skip
def test_a_gateway_that_most_nodes_are_missing_by(
    tmp_path: Path, moved: dict[str, Any], todo: str, then: str
) -> None:
    """One of them is still heard; the gateway is reported once, its nodes have no rows of their own."""
    heard = {"list.csv": [{"tag": "A", "last_heard": 9}]}
    known = examined(tmp_path, heard, planned=[{}, {}, {}, {}], **MOVED, **moved)
    text = render(of_all(known, Asked(), Basis(read_causes(None, Inputs()), None, "2026-03-31", [])), 200)

    assert "first look at GW-North (North), most probably the cause of all missing there\n" in text
    assert "most probably its gateway is down, or has been changed (" in text
    assert todo in text
    assert then in text
    assert "not listed" not in text


@pytest.mark.parametrize(
    ("chance", "words"),
    [
        (0.0, "below 1 %"),
        (0.0099, "below 1 %"),
        (0.01, "1 %"),
        (0.5, "50 %"),
        (0.99, "99 %"),
        (0.9951, "over 99 %"),
    ],
)
def test_nothing_is_certain(chance: float, words: str) -> None:
    """Neither 0 % nor 100 % is ever written."""
    assert percent(chance) == words


def test_counts_in_words() -> None:
    """One node, two nodes."""
    assert (counted(1, "node"), counted(2, "node"), counted(1200, "call")) == (
        "1 node", "2 nodes", "1,200 calls"
    )  # fmt: skip


def test_a_node_that_another_gateway_hears_stands_at_it(tmp_path: Path) -> None:
    """Among the missing nodes its state names that gateway, so that nobody takes it for dead."""
    rows = [{"tag": "B", "gateway": "GW-North"}, {"tag": "A", "gateway": "GW-South"}]
    planned = [{}, {}, {"tag": "S", "network": "South"}]
    known = examined(tmp_path, {"list.csv": rows}, planned=planned)
    told = of_all(known, Asked(), Basis(read_causes(None, Inputs()), None, "2026-03-31", []))

    assert re.search(r"A +at GW-South +it has joined another gateway", render(told, 132))
