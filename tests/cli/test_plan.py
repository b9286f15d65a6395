"""asfound plan: channels and addresses without conflicts, as changes to review."""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from pathlib import Path

import pytest

from tests.small_site import run

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture
def crowded(tmp_path: Path) -> Path:
    """Return the plan of the district heating with all networks on one channel."""
    shutil.copytree(EXAMPLES / "ostervik", tmp_path / "site")
    plan = tmp_path / "site/plan.yaml"
    text, count = re.subn(r"channel: (3|11|19|37)\b", "channel: 3", plan.read_text(encoding="utf-8"))
    assert count >= 4
    plan.write_text(text, encoding="utf-8", newline="")
    return plan


def apply(diff: Path, folder: Path) -> None:
    """Apply a patch as anybody would."""
    subprocess.run(
        ["git", "apply", "--unsafe-paths", "-p1", "--directory=/", str(diff)], cwd=folder, check=True
    )


def test_a_plan_without_conflicts_stays(tmp_path: Path) -> None:
    """Nothing to change is exit code 0."""
    outcome = run("plan", EXAMPLES / "ostervik/plan.yaml", "--suggest", "channels")

    assert outcome.code == 0
    assert outcome.stdout.startswith("Nothing to change: 4 networks")
    assert "No conflict was found. The plan's files were not changed." in outcome.stdout


def test_addresses_without_conflicts_stay() -> None:
    """It is not said that no other assignment changes fewer than none."""
    said = run("plan", EXAMPLES / "ostervik/plan.yaml", "--suggest", "addresses").stdout

    assert said.startswith("Nothing to change: 90 nodes")
    assert "No conflict was found." in said


def test_networks_on_one_channel_are_told_apart(crowded: Path, tmp_path: Path) -> None:
    """After the patch there is nothing left to change in the plan."""
    before = crowded.read_bytes()
    diff, told = tmp_path / "channels.diff", tmp_path / "s.json"
    outcome = run("plan", crowded, "--suggest", "channels", "--out", diff, "--out", told)
    changes = json.loads(told.read_text(encoding="utf-8"))["changes"]

    assert outcome.code == 1
    printed = " ".join(outcome.stdout.split())
    assert "shares channel 3 with" in printed
    assert "The plan's files were not changed." in printed  # the patch was
    assert crowded.read_bytes() == before
    assert len(changes) == len({change["network"] for change in changes}) == 2
    apply(diff, tmp_path)
    assert run("plan", crowded, "--suggest", "channels").code == 0


def test_too_few_channels(crowded: Path) -> None:
    """It says which networks are too near, how many channels they have, and what to do; no proposal."""
    gateway = next((crowded.parent / "device-types").glob("gateway*.yaml"))
    text = gateway.read_text(encoding="utf-8")
    gateway.write_text(re.sub(r"(role: channel, low: 1, high: )\d+", r"\g<1>3", text), encoding="utf-8")
    outcome = run("plan", crowded, "--suggest", "channels", "--required-db", "60")

    assert outcome.code == 1
    assert outcome.stdout.startswith("NO CHANNELS without conflicts")
    assert "their 3 channels are not enough" in " ".join(outcome.stdout.split())


@pytest.mark.parametrize(
    ("position", "says"),
    [
        ("position: {x_m: 0, y_m: 0}", "none of its nodes is at a known distance from its gateway"),
        ("", "the plan does not give the position of its gateway"),
    ],
)
def test_without_positions_nothing_is_told(tmp_path: Path, position: str, says: str) -> None:
    """If nothing could be looked at, there is no verdict; what lacks is named, not also what is there."""
    shutil.copytree(EXAMPLES / "tarnbeck", tmp_path / "site")
    plan = tmp_path / "site/plan.yaml"
    text = plan.read_text(encoding="utf-8")
    plan.write_text(text.replace("position: {x_m: 0, y_m: 0}", position), encoding="utf-8")
    outcome = run("plan", plan, "--suggest", "channels")

    assert outcome.code == 2
    assert f"Pit: {says}" in outcome.stderr.replace("by the positions in the plan, ", "")
    assert "give `position`" in outcome.stderr


@pytest.mark.parametrize(("site", "table"), [("merrow-vale", "*.csv"), ("tarnbeck", "")])
def test_addresses_held_twice(site: str, table: str, tmp_path: Path) -> None:
    """Two nodes on one address: the first keeps it, the other gets the lowest that is free, by a patch."""
    shutil.copytree(EXAMPLES / site, tmp_path / "site")
    plan = tmp_path / "site/plan.yaml"
    places = list((tmp_path / "site/nodes").glob(table)) if table else [plan]
    changed = 0
    for path in places:
        text = path.read_text(encoding="utf-8")
        for old, new in (("address: 104", "address: 103"), (",38,", ",37,")):
            if old in text and not changed:
                path.write_text(text.replace(old, new, 1), encoding="utf-8", newline="")
                changed += 1
    assert changed == 1
    diff = tmp_path / "addresses.diff"
    outcome = run("plan", plan, "--suggest", "addresses", "--out", diff)

    assert outcome.code == 1
    assert "is also planned for" in " ".join(outcome.stdout.split())
    apply(diff, tmp_path)
    assert run("plan", plan, "--suggest", "addresses").code == 0


def test_a_full_block(tmp_path: Path) -> None:
    """If there are more nodes than addresses, it says what to widen."""
    shutil.copytree(EXAMPLES / "tarnbeck", tmp_path / "site")
    plan = tmp_path / "site/plan.yaml"
    text = plan.read_text(encoding="utf-8")
    plan.write_text(re.sub(r"(addresses: \{first: 101, last: )\d+", r"\g<1>105", text), encoding="utf-8")
    outcome = run("plan", plan, "--suggest", "addresses")

    assert outcome.code == 1
    assert "do not fit into" in " ".join(outcome.stdout.split())


@pytest.mark.parametrize("words", [("--required-db", "nan"), ("--required-db", "0"), ("--exponent", "99")])
def test_numbers_that_make_no_sense(words: tuple[str, ...]) -> None:
    """One message, no suggestion."""
    outcome = run("plan", EXAMPLES / "ostervik/plan.yaml", "--suggest", "channels", *words)

    assert outcome.code == 2
    assert "is not possible" in outcome.stderr


@pytest.mark.parametrize("how", [("--format", "diff"), ("--out", "addresses.diff")])
def test_a_change_that_no_patch_reaches_is_told_beside_the_diff(
    how: tuple[str, str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whoever applies the patch has not made all changes."""
    shutil.copytree(EXAMPLES / "tarnbeck", tmp_path / "site")
    plan = tmp_path / "site/plan.yaml"
    text = plan.read_text(encoding="utf-8").replace("address: 103, ", "", 1)
    plan.write_text(text, encoding="utf-8", newline="")
    monkeypatch.chdir(tmp_path)
    outcome = run("plan", plan, "--suggest", "addresses", *how)

    assert outcome.code == 1
    assert "the diff lacks 1 change that a patch cannot make" in outcome.stderr
    assert "fix: make by hand: PT-103: address none → 103" in outcome.stderr


def test_a_patch_of_a_plan_elsewhere_is_told_to_be_made_there(
    crowded: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Patch programs refuse a name that leads out of the folder; from the plan's folder all is well."""
    words = ("plan", Path("../site/plan.yaml"), "--suggest", "channels", "--format", "diff")
    (crowded.parent.parent / "elsewhere").mkdir()
    monkeypatch.chdir(crowded.parent.parent / "elsewhere")
    assert "outside the working folder" in run(*words).stderr
    assert "apply it there" in run("plan", crowded, *words[2:]).stderr
    assert run(*words[:-2]).stderr == ""

    monkeypatch.chdir(crowded.parent)
    assert run("plan", Path("plan.yaml"), *words[2:]).stderr == ""
