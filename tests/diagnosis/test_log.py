"""The log of calls: only added to, read back as written, and what it does to the weights."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from audit.diagnosis.gathering.work import Past
from audit.diagnosis.log import Log, append, read_log
from audit.diagnosis.weights import chance_joined, dirichlet_mean, mixed, weights
from audit.errors import InputProblems
from audit.reading.inputs import Inputs
from tests.diagnosis.calls import call
from tests.diagnosis.sites import our_causes
from tests.disks import lacking

CAUSES = our_causes()
IDS = [cause.id for cause in CAUSES.causes]


def read(path: Path) -> Log:
    """Read a log."""
    return read_log(path, IDS, Inputs())


def test_calls_are_read_as_they_were_written(tmp_path: Path) -> None:
    """What is appended comes back, in its order."""
    calls = [call(), call("antenna", "never", tag="Überlauf 3-4"), call("gateway", "unknown")]
    for one in calls:
        append(tmp_path / "log.jsonl", one)

    assert list(read(tmp_path / "log.jsonl").calls) == calls


def test_appending_touches_nothing_that_stands_there(tmp_path: Path) -> None:
    """Earlier bytes stay as they are, whatever they are."""
    path = tmp_path / "log.jsonl"
    append(path, call())
    before = path.read_bytes()

    append(path, call("antenna"))

    assert path.read_bytes().startswith(before)
    assert path.read_bytes().count(b"\n") == 2


def test_a_line_is_on_the_disk_before_it_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The file is synchronised after the line is written."""
    path, synced = tmp_path / "log.jsonl", list[bytes]()
    monkeypatch.setattr(os, "fsync", lambda _: synced.append(path.read_bytes()))

    append(path, call())

    assert synced == [path.read_bytes()]
    assert synced[0].endswith(b"\n")


def test_a_disk_that_cannot_sync_takes_calls(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Some network shares cannot."""
    lacking(monkeypatch, "os.fsync")
    append(tmp_path / "log.jsonl", call())

    assert len(read(tmp_path / "log.jsonl").calls) == 1


def test_every_way_to_tear_the_last_line(tmp_path: Path) -> None:
    """A line cut off anywhere loses only itself, and the next one is whole again."""
    path = tmp_path / "log.jsonl"
    append(path, call())
    whole = path.read_bytes()
    for length in range(1, len(whole) - 1):
        path.write_bytes(whole + whole[:length])
        inputs = Inputs()
        assert len(read_log(path, IDS, inputs).calls) == 1
        assert [warning.line for warning in inputs.warnings] == [2]

        append(path, call("antenna"))
        assert [one.cause for one in read(path).calls] == ["battery", "antenna"]


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        ("tag,cause\nPT-1,battery\n", 1, "it is not JSON"),
        ('{"asfound": "joining-call/1", "cause": "battery"}\n', 1, "is not a call"),
        (json.dumps({**call().model_dump(mode="json"), "cause": "batery"}) + "\n", 1, "nearest: battery"),
        ("[1]\n", 1, "is not a call"),
    ],
)
def test_what_is_no_log_is_told_with_its_line(tmp_path: Path, text: str, line: int, says: str) -> None:
    """A file of another kind is refused, and nothing is added to it."""
    path = tmp_path / "log.jsonl"
    path.write_text(text, encoding="utf-8")

    with pytest.raises(InputProblems) as refused:
        read(path)

    assert says in str(refused.value)
    assert refused.value.problems[0].line == line


def test_a_log_that_is_not_there_yet_has_no_calls(tmp_path: Path) -> None:
    """The first call begins it."""
    assert list(read(tmp_path / "log.jsonl").calls) == []


def test_where_nothing_can_be_written(tmp_path: Path) -> None:
    """A folder is no log; the message says what to look at."""
    with pytest.raises(InputProblems, match="cannot be written") as refused:
        append(tmp_path, call())

    assert refused.value.problems[0].file == tmp_path.as_posix()


def test_a_call_counts_for_nodes_of_its_kind() -> None:
    """Nodes that had joined and nodes that never have are counted separately; unknown ones, half each."""
    log = Log("log", "", [call(), call(joined="never"), call(joined="unknown")])

    assert log.counts("was")["battery"] == 1.5
    assert log.counts("never")["battery"] == 1.5


def test_the_weights_after_counting_by_hand() -> None:
    """Judgement of 26 %, counting as 50 calls, and 10 calls, 4 of them the battery: (13 + 4) ÷ 60."""
    counts = {"battery": 4.0, "antenna": 6.0}

    assert weights(CAUSES, "was", counts)["battery"] == pytest.approx(17 / 60)


@given(st.lists(st.sampled_from(IDS), max_size=40))
def test_weights_stay_weights(causes: list[str]) -> None:
    """Counting keeps the sum at one, and every cause above zero; each call raises its own cause."""
    counts = {cause: float(causes.count(cause)) for cause in IDS}
    found = weights(CAUSES, "never", counts)

    assert sum(found.values()) == pytest.approx(1)
    assert min(found.values()) > 0
    more = weights(CAUSES, "never", {**counts, "battery": counts["battery"] + 1})
    assert more["battery"] > found["battery"]


def test_a_mean_between_judgement_and_counts() -> None:
    """With no calls the weight is the judgement, with very many it is the counts."""
    judged = {"a": 0.9, "b": 0.1}

    assert dirichlet_mean(judged, 50, {}) == pytest.approx(judged)
    assert dirichlet_mean(judged, 50, {"b": 1e9})["b"] == pytest.approx(1, abs=1e-6)


@pytest.mark.parametrize(
    ("past", "joined"),
    [
        (Past("was", True, ""), 1.0),
        (Past("never", True, ""), 0.0),
        (Past("was", False, ""), 0.98),
        (Past("never", False, ""), 0.02),
        (Past("unknown", False, ""), 0.5),
    ],
)
def test_how_sure_it_is_that_it_had_joined(past: Past, joined: float) -> None:
    """What a person states is taken as certain; what files say is wrong as often as readings are."""
    assert chance_joined(past, 0.02) == pytest.approx(joined)
    assert mixed({"a": 0.2}, {"a": 0.6}, joined)["a"] == pytest.approx(0.2 + 0.4 * joined)
