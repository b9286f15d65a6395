"""Identifiers whose leading zeros a spreadsheet dropped."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.folding.sites import causes
from tests.site_builder import audit_of

FOUR: dict[str, Any] = {"settings": {"network_id": {"kind": "text", "role": "network_id", "digits": 4}}}


@pytest.mark.parametrize(
    ("planned", "found", "rule"),
    [
        ("0021", "21", "reading-unclear"),
        ("0021", "0021", ""),
        ("0021", "22", "radio-off-plan"),
        ("00A1", "A1", "radio-off-plan"),
        ("021", "21", "radio-off-plan"),
    ],
    ids=["lost", "kept", "another one", "letters stay text", "no text that fills the display"],
)
def test_a_text_without_its_zeros_was_not_read(tmp_path: Path, planned: str, found: str, rule: str) -> None:
    """The display has four places and shows them; a cell that became a number does not."""
    findings = audit_of(
        tmp_path, planned={"network_id": planned}, found={"network_id": found},
        rules=("reading-unclear", "radio-off-plan", "network-id-differs"), **FOUR,
    )  # fmt: skip

    assert [finding.rule for finding in findings if finding.node == "A"] == ([rule] if rule else [])


def test_a_column_that_became_numbers_is_one_cause_and_no_doubt_of_the_plan(tmp_path: Path) -> None:
    """All devices of a network show 21, the gateway too: that is the file's doing."""
    nodes = [{"tag": tag, "network_id": "0021"} for tag in "ABC"]
    found = [{**node, "network_id": "21"} for node in nodes]
    (cause,) = causes(tmp_path, planned=nodes, found=found, **FOUR)

    assert cause.rule == "unclear-alike"
    assert "'21' has 2 of 4 characters" in cause.message
    assert cause.doubt is None


def test_a_reading_without_its_zeros_does_not_disagree_with_one_that_has_them(tmp_path: Path) -> None:
    """It is not a reading, and says nothing about the device."""
    found = {"a.csv": [{"network_id": "21"}], "b.csv": [{"network_id": "0021"}]}
    rules = ("readings-disagree", "deviation-in-doubt", "reading-unclear")
    assert audit_of(tmp_path, planned={"network_id": "0021"}, found=found, rules=rules, **FOUR) == []
