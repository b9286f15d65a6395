"""Slips in tags and serial numbers."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.site_builder import audit_of


@pytest.mark.parametrize(
    ("planned", "found", "rule", "words"),
    [
        (
            {"tag": "PZ-8", "serial": "402118300108"}, {"tag": "PZ-8", "serial": "4.02E+11"},
            "serial-damaged", "likely slip: digits lost in a spreadsheet (99 %)",
        ),
        (
            {"tag": "PT-8", "serial": "410031"}, {"tag": "PT-8", "serial": "410013"},
            "tag-serial-mismatch", "likely slip: two neighbouring digits swapped (99 %)",
        ),
        (
            {"tag": "PT-8", "serial": "410031"}, {"tag": "PT-8", "serial": "410032"},
            "tag-serial-mismatch", None,
        ),
        (
            {"tag": "PT-8", "serial": "410031"}, {"tag": "PT-8", "serial": "998877"},
            "tag-serial-mismatch", None,
        ),
    ],
)  # fmt: skip
def test_tags_and_serial_numbers(
    tmp_path: Path, planned: dict[str, str], found: dict[str, str], rule: str, words: str | None
) -> None:
    """What a sheet or a reader made of them; numbers that are one apart are two devices, and get no name."""
    (finding,) = audit_of(tmp_path, rules=rule, planned=[planned], found=[found])

    assert finding.slip == words
