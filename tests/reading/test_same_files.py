"""Same files: a file is known under all its names, and two files are two."""

from __future__ import annotations

import os
import unicodedata
from pathlib import Path

import pytest

from audit.reading.same_files import once, same_file
from tests.disks import ignoring_capitals
from tests.small_site import small_site


def test_a_file_that_is_named_twice_is_read_once(tmp_path: Path) -> None:
    """By the plan and again by an option, or twice by an option: its ids do not count as used already."""
    site = small_site(tmp_path, plan_extra={"rules": ["own.yaml"], "waivers": ["waivers.yaml"]})
    own = site.own_rules({"kind": "equals-plan", "roles": ["channel"]})
    people = {"reason": "R.", "compensating_measure": "C.", "owner": "A. One", "approver": "B. Two"}
    waiver = {"id": "W-1", "rule": "own-rule", "node": "N-1", "setting": "channel", "value": "8",
              "issued": "2026-03-01", "expires": "2026-12-31"}  # fmt: skip
    waivers = site.write("waivers.yaml", {"asfound": "waivers/1", "waivers": [waiver | people]})

    again: list[str | Path] = ["--rules", own, "--rules", tmp_path / "." / "own.yaml", "--waivers", waivers]

    assert site.rules_found(*again) == site.rules_found() == ["waiver-unused"]


@pytest.mark.parametrize("other", ["OWN.yaml", "../Rules/own.yaml"])
def test_a_disk_that_ignores_capitals_has_one_file_under_many_names(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, other: str
) -> None:
    """A stick, for instance. A site's own rules would be read twice, and their ids be used already."""
    ignoring_capitals(monkeypatch)
    (tmp_path / "rules").mkdir()
    own = tmp_path / "rules" / "own.yaml"
    own.touch()

    assert same_file(own, own.parent / other)
    assert once([own, own.parent / other]) == [own]


def test_an_accent_is_written_in_either_way_where_the_disk_does_not_mind(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On macOS, the name that was typed and the name from the folder are one."""
    ignoring_capitals(monkeypatch)
    own = tmp_path / "fühler.yaml"
    own.touch()

    assert once([own, tmp_path / unicodedata.normalize("NFD", own.name)]) == [own]


@pytest.mark.skipif(os.name != "posix", reason="links need a privilege on Windows")
def test_a_file_that_is_named_again_by_a_link_is_read_once(tmp_path: Path) -> None:
    """The folder of the rules may be elsewhere."""
    (tmp_path / "rules").mkdir()
    (tmp_path / "link").symlink_to("rules")
    own = tmp_path / "rules" / "own.yaml"
    own.touch()

    assert once([own, tmp_path / "link" / own.name]) == [own]


def test_names_that_differ_by_capitals_are_two_files_elsewhere(tmp_path: Path) -> None:
    """Also while one of them does not exist yet, as an output that is still to be written."""
    one, other = tmp_path / "own.yaml", tmp_path / "OWN.yaml"
    one.touch()
    if other.exists():
        pytest.skip("the disk ignores capitals")
    assert not same_file(one, other)

    other.touch()
    assert not same_file(one, other)


def test_a_file_that_is_still_to_be_written_is_one_under_its_own_name(tmp_path: Path) -> None:
    """Two outputs to it would overwrite each other, however its folder is written."""
    (tmp_path / "out").mkdir()

    assert same_file(tmp_path / "new.json", tmp_path / "out" / ".." / "new.json")
    assert once([tmp_path / "new.json", tmp_path / "out" / ".." / "new.json"]) == [tmp_path / "new.json"]
