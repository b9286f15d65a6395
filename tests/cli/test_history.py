"""asfound history as a command."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path
from typing import Any

import pytest

from audit.model.history import Standing
from audit.reporting.history_text import standing_alike
from tests.histories import chain
from tests.small_site import run

PELLMOOR = Path(__file__).parents[2] / "examples/pellmoor/baselines"


def test_the_example_tells_what_crept(tmp_path: Path) -> None:
    """Three years of the tank farm: a creeping alarm, a deadband back and forth, an exchanged unit."""
    outcome = run("history", PELLMOOR)

    assert outcome.code == 0
    assert "Oil yard LT-23 high_alarm: alarm, 2 moves, +0.1 m in all, 1 % of the range" in outcome.written
    assert "Spirit store PT-53 deadband: 0.2 (2023-05-12), 0.3 (2024-05-17), 0.2" in outcome.written
    assert "13 devices:" in outcome.written


def test_all_formats_say_the_same(tmp_path: Path) -> None:
    """Text, CSV, JSON and page hold the same changes."""
    out = [tmp_path / f"h.{ending}" for ending in ("txt", "csv", "json", "html")]
    code = run("history", PELLMOOR, "--quiet", *(word for path in out for word in ("--out", path))).code
    changes = json.loads(out[2].read_text(encoding="utf-8"))["changes"]
    rows = list(csv.DictReader(io.StringIO(out[1].read_text(encoding="utf-8-sig"))))
    page = out[3].read_text(encoding="utf-8")

    assert code == 0
    assert len([row for row in rows if row["what"] == "changed"]) == len(changes) == 17
    assert page.count('class="change"') == 17
    assert "<b>exchanged</b> 531057 → 531096" in page
    assert "<script" not in page


def test_what_crept_alike_on_many_nodes_is_told_once_for_people(tmp_path: Path) -> None:
    """Settings that moved alike on the same days are one entry; tables have a row for each node."""
    tags = [f"LT-{n}" for n in range(1, 8)]
    chain(tmp_path, [{tag: {"high_alarm": high} for tag in tags} for high in ("8", "8.1", "8.3")])
    table, page = tmp_path / "h.csv", tmp_path / "h.html"
    text = run("history", tmp_path, "--width", "120", "--out", table, "--out", page).stdout

    assert "North 7 devices: LT-1 … LT-7, high_alarm: alarm, 2 moves, +0.3 m in all" in text
    assert text.count("8.1 (2021-05-10)") == 1
    assert page.read_text(encoding="utf-8").count("alarm, 2 moves") == 1
    assert ", ".join(tags) in page.read_text(encoding="utf-8")
    assert table.read_text(encoding="utf-8").count(",crept,") == 7


def test_findings_that_stood_as_long_on_many_nodes_are_one_row_for_people(tmp_path: Path) -> None:
    """Text and page show them once per network, the page with every name; tables have a row per node."""
    old = {"rule": "code-too-old", "level": "warning", "network": "North", "since": "2020-05-10"}
    tags = [f"LT-{n}" for n in range(1, 8)]
    chain(
        tmp_path,
        [{"LT-1": {"channel": "7"}}],
        [[old | {"id": f"code-too-old/{tag}", "node": tag} for tag in tags]],
    )
    table, page = tmp_path / "h.csv", tmp_path / "h.html"
    text = run("history", tmp_path, "--width", "120", "--out", table, "--out", page).stdout

    assert text.count("code-too-old") == 1
    assert "North 7 devices: LT-1 … LT-7" in " ".join(text.split())
    assert page.read_text(encoding="utf-8").count("code-too-old") == 1
    assert ", ".join(tags) in page.read_text(encoding="utf-8")
    assert table.read_text(encoding="utf-8-sig").count("code-too-old") == 7


def test_all_changes_are_printed_where_they_are_asked_for(tmp_path: Path) -> None:
    """Otherwise the first hundred, with the number of those left out; four nodes alike are still named."""
    years = [{f"LT-{n}": {"high_alarm": str(n + year)} for n in range(1, 103)} for year in (0, 1)]
    alike = {f"PT-{n}": {"channel": "7"} for n in range(1, 5)}
    then = {tag: {"channel": "8"} for tag in alike}
    chain(tmp_path, [years[0] | alike, years[1] | then])

    some, everything = (run("history", tmp_path, "--width", "120", *more).stdout for more in ((), ("--all",)))

    assert "… and 3 more. `--all` prints them" in some
    assert "more. `--all`" not in everything
    assert "PT-1, PT-2, PT-3, PT-4" in everything


def test_two_findings_of_one_device_and_those_about_none_stay_apart() -> None:
    """Each has a row of its own, so none is lost under another."""
    about: dict[str, Any] = {"rule": "r", "level": "note", "network": "North", "settings": [],
                             "since": "2020-05-10", "gone_by": None, "days": 0, "waived": None}  # fmt: skip
    found = [Standing.model_validate(about | {"node": node}) for node in ("A", "B", "B", None, None)]

    assert [nodes for _, nodes in standing_alike(found)] == [["A", "B"], ["B"], [], []]


def test_what_a_terminal_or_an_editor_obeys_is_written_out(tmp_path: Path) -> None:
    """Tags and values in a baseline come from files that anybody may have made; tables are cleaned too."""
    tag = "\x1b[31mLT-1\u202e"
    chain(tmp_path, [{tag: {"channel": "7"}}, {tag: {"channel": "8"}}])
    table = tmp_path / "h.csv"
    run("history", tmp_path, "--quiet", "--out", table)

    assert ",\\u001b[31mLT-1\\u202e,channel,7,8," in table.read_text(encoding="utf-8-sig")


def test_a_broken_chain_exits_with_1(tmp_path: Path) -> None:
    """The history is still shown, with the doubt at the top."""
    paths = chain(tmp_path, [{"LT-1": {"channel": "7"}}] * 3)
    outcome = run("history", paths[0], paths[2])

    assert outcome.code == 1
    assert "The chain of the baselines cannot be trusted:" in outcome.written


@pytest.mark.parametrize(
    ("content", "told"), [("", "is empty"), ("{}", "asfound seal"), ("a,b\n1,2\n", "is not a baseline")]
)
def test_what_is_no_baseline(content: str, told: str, tmp_path: Path) -> None:
    """One message, no history."""
    path = tmp_path / "x.json"
    path.write_text(content)
    outcome = run("history", path)

    assert outcome.code == 2
    assert "x.json" in outcome.stderr
    assert told in outcome.stderr


def test_baselines_of_two_sites_are_no_history(tmp_path: Path) -> None:
    """Their devices would come and go with every baseline."""
    outcome = run("history", *chain(tmp_path, [{"LT-1": {"channel": "7"}}]), PELLMOOR)

    assert outcome.code == 2
    assert "the baselines are of several sites: Hillside (invented), Pellmoor" in outcome.stderr
    assert outcome.stdout == ""


def test_an_empty_folder(tmp_path: Path) -> None:
    """The message says what is missing."""
    outcome = run("history", tmp_path)

    assert outcome.code == 2
    assert "has no baselines" in outcome.stderr


def test_ten_years_of_five_hundred_nodes_are_one_small_page(tmp_path: Path) -> None:
    """Only what happened is in it: each year one node's alarm, and one year a gateway with all its nodes."""
    years = []
    for year in range(10):
        channel = "9" if year >= 5 else "7"
        nodes = {
            f"LT-{n:03d}": {"channel": channel, "high_alarm": str(8 + (n < year)), "firmware": "1.0"}
            for n in range(500)
        }
        years.append({"GW-N": {"channel": channel}} | nodes)
    chain(tmp_path, years)
    page = tmp_path / "h.html"
    outcome = run("history", *sorted(tmp_path.glob("*.json")), "--out", page)

    assert outcome.code == 0
    assert "10 changes, 500 more with their gateway" in outcome.written
    assert page.stat().st_size < 1_500_000
    assert page.read_text(encoding="utf-8").count("with its gateway") == 500
