"""Files of other versions: one in a newer form, or with a key of one, is told as that, not as damaged."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from audit import __version__
from audit.reading.forms import kind_and_form, newer_form
from tests.baselines import forged, seal
from tests.entry_lines import as_lines, entry
from tests.refusing import assert_clear
from tests.small_site import SmallSite, run, small_site

NEWER = "use the newer version of asfound that it was made for"


@pytest.mark.parametrize(
    ("mark", "kind", "form"),
    [
        ("sample/1", "sample", 1),
        ("asfound/result/2", "result", 2),
        ("sample/0", "", 0),
        ("sample/1.0", "", 0),
        ("sample", "", 0),
        (7, "", 0),
    ],
)
def test_a_mark_says_kind_and_form(mark: object, kind: str, form: int) -> None:
    """The number begins at 1."""
    assert kind_and_form(mark) == (kind, form)


def test_only_a_newer_form_of_the_same_kind_is_newer() -> None:
    """Another kind of file is told as that."""
    assert newer_form("sample/1", "sample") == ""
    assert newer_form("plan/2", "sample") == ""
    assert newer_form("sample/2", "sample") == (
        f"is in the form 'sample/2', but this version of asfound ({__version__}) reads 'sample/1'"
    )


def written(site: SmallSite, name: str) -> tuple[Path, list[list[str | Path]]]:
    """Return a file of a kind that asfound writes, and the commands that read it, as their words."""
    file = site.folder / name
    if name == "result.json":
        site.check("--out", file)
        return file, [["check", site.plan, "--since", file], ["summary", file]]
    if name == "baseline.json":
        seal(site, name)
        return file, [["drift", file, *site.readbacks], ["history", file], ["seal", "--verify", file]]
    if name == "sample.json":
        run("sample", site.plan, "--confidence", "50", "--defective", "50", "--seed", "1", "--out", file)
        return file, [["check", site.plan, *site.readbacks, "--sample", file]]
    if name == "entries.jsonl":
        file.write_text(as_lines(entry("N-1", "channel", "7"), entry("N-1", "address", "1")), "utf-8")
        return file, [["check", site.plan, file], ["enter", site.plan, file, "--by", "R. Sample"]]
    why: list[str | Path] = ["why", "N-1", site.plan, *site.readbacks, "--log", file]
    run(*why, "--record", "battery")
    return file, [why]


ALL = ["result.json", "baseline.json", "sample.json", "entries.jsonl", "calls.jsonl"]


@pytest.mark.parametrize("name", ALL)
def test_a_file_in_a_newer_form_is_told_once_and_gives_no_verdict(tmp_path: Path, name: str) -> None:
    """Nobody is told to delete lines, to make it again or to distrust it."""
    file, commands = written(small_site(tmp_path), name)
    file.write_bytes(re.sub(rb'("(?:schema|asfound)": ?"[a-z/-]+/)1"', rb'\g<1>2"', file.read_bytes()))

    for words in commands:
        outcome = run(*words)

        assert outcome.code == 2, words
        assert outcome.stderr.count("/2', but this version of asfound") == 1
        assert outcome.stderr.count(NEWER) == 1
        assert_clear(outcome.stderr)


@pytest.mark.parametrize("name", [name for name in ALL if name not in ("result.json", "calls.jsonl")])
def test_an_unknown_key_may_be_of_a_newer_version(tmp_path: Path, name: str) -> None:
    """People write no such files, so a key that is not known is no slip of theirs."""
    file, (words, *_) = written(small_site(tmp_path), name)
    lines = file.read_text("utf-8").splitlines() if name.endswith("l") else [file.read_text("utf-8")]
    values = [json.loads(line) for line in lines]
    values[0].get("content", values[0])["weather"] = "dry"
    if name == "baseline.json":
        forged(file, values[0])
    else:
        file.write_text("\n".join(map(json.dumps, values)), encoding="utf-8")

    outcome = run(*words)

    assert outcome.code == 2
    assert "unknown key 'weather'" in outcome.stderr
    assert "; or use the newer version of asfound that wrote it" in outcome.stderr


def test_a_key_of_a_plan_is_not_said_to_be_of_a_newer_version(tmp_path: Path) -> None:
    """People write plans, and misspell keys."""
    site = small_site(tmp_path).replace("networks:", "weather: dry\nnetworks:")

    outcome = site.check()

    assert "unknown key 'weather'" in outcome.stderr
    assert "newer version" not in outcome.stderr


def test_a_result_of_another_version_that_does_not_fit_is_not_damaged(tmp_path: Path) -> None:
    """Its version is in the file."""
    site = small_site(tmp_path)
    file, (words, _) = written(site, "result.json")
    values = json.loads(file.read_text("utf-8"))
    values["weather"] = "dry"
    values["tool"]["version"] = "9.8.7"
    file.write_text(json.dumps(values), encoding="utf-8")

    outcome = run(*words)

    assert f"was written by asfound 9.8.7, and this version ({__version__}) cannot read /weather" in (
        outcome.stderr
    )
    assert "use asfound 9.8.7, or make the result again with this version" in outcome.stderr


def test_a_result_with_an_unknown_key_is_not_damaged(tmp_path: Path) -> None:
    """Whatever its version says, nothing of what is known is missing."""
    file, (words, _) = written(small_site(tmp_path), "result.json")
    file.write_text(json.dumps({**json.loads(file.read_text("utf-8")), "weather": "dry"}), encoding="utf-8")

    outcome = run(*words)

    assert f"this version of asfound ({__version__}) does not know: /weather" in outcome.stderr
    assert f"{NEWER}, or make the result again with this one" in outcome.stderr


def test_a_call_with_an_unknown_key_is_told_so(tmp_path: Path) -> None:
    """The first thing to try is not to delete it."""
    file, (words,) = written(small_site(tmp_path), "calls.jsonl")
    file.write_text(json.dumps({**json.loads(file.read_text("utf-8")), "weather": "dry"}) + "\n", "utf-8")

    outcome = run(*words)

    assert f"it has 'weather', unknown to asfound {__version__}" in outcome.stderr
    assert "use a newer asfound, or delete the line" in outcome.stderr


def test_a_sealed_key_that_is_not_known_is_named_by_verify(tmp_path: Path) -> None:
    """What is not understood is not vouched for, and it is said why."""
    file, _ = written(small_site(tmp_path), "baseline.json")
    values = json.loads(file.read_text("utf-8"))
    values["content"]["weather"] = "dry"
    forged(file, values)

    outcome = run("seal", "--verify", file, "--width", "200")

    assert outcome.code == 1
    assert f"contains /content/weather, which asfound {__version__} does not know" in outcome.stdout
