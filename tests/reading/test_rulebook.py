"""Our packs together with a site's own rules."""

from __future__ import annotations

from pathlib import Path

from audit.reading.rules import read_rulebook

OWN = """
asfound: site-rules/1
title: Our own
version: "1"
gates:
  - {id: of-ours, title: Ours, fail_on: note}
levels: {channel-differs: note}
"""


def test_what_one_site_adds_is_not_there_for_the_next(tmp_path: Path) -> None:
    """Our packs are read once per process; gates and levels of a site apply to that site alone."""
    file = tmp_path / "own.yaml"
    file.write_text(OWN, encoding="utf-8")
    before = read_rulebook([], None)

    own = read_rulebook([file], None)

    assert "of-ours" in own.gates
    assert own.levels == {"channel-differs": "note"}
    assert read_rulebook([], None) == before
    assert before.known[0] is own.known[0]
