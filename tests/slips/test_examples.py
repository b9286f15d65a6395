"""The faults seeded in the examples, named in a technician's words."""

from __future__ import annotations

import pytest

from tests.the_examples import audit

SEEDED = [
    ("merrow-vale", "PT-41", "low_alarm", "gauge and absolute pressure mixed up, 101 kPa apart (99 %)"),
    ("merrow-vale", "LT-38", "address", "two neighbouring digits swapped (99 %)"),
    ("merrow-vale", "FQ-46", "pulse_weight", "one zero too many (87 %)"),
    ("merrow-vale", "PT-66", "high_alarm", "one zero too few (71 %)"),
    ("merrow-vale", "PT-63", "channel", "one digit is one step off (96 %)"),
    ("merrow-vale", "PT-83", "channel", "counted up row by row by the sheet (99 %)"),
    ("tarnbeck", "PT-105", "range_high", "entered in psi instead of kPa g (99 %)"),
    ("tarnbeck", "PZ-108", None, "digits lost in a spreadsheet (99 %)"),
    ("tarnbeck", "PT-103", "address", None),  # exchanged with PT-104
    ("tarnbeck", "LT-102", "high_high_alarm", None),  # 8.10 for 10.80 is not a known slip
    ("ostervik", "PD-78", "low_alarm", "decimal point off by one place (84 %)"),
    ("ostervik", "8-3", "host_register", "two neighbouring digits swapped (99 %)"),
    ("ostervik", "TR-139", "air_rate", "left at the factory setting (73 %)"),
    ("ostervik", "TS-58", "channel", None),  # joined another gateway
]
"""Example, node, setting, and what is said about it."""


@pytest.mark.parametrize(("site", "node", "setting", "words"), SEEDED)
def test_seeded_faults_are_named(site: str, node: str, setting: str | None, words: str | None) -> None:
    """Each fault that could have been keyed in has its name; the others have none."""
    findings = audit(site, "as-found").findings
    named = {f.slip for f in findings if (f.node, f.setting) == (node, setting) and f.caused_by is None}
    named |= {f.slip for f in findings if (f.node, f.setting) == (node, setting) and f.slip}

    assert named - {None} == ({f"likely slip: {words}"} if words else set())


def test_comma_and_point_tie_honestly() -> None:
    """1250,0 for 125,0: the point may have moved, or the comma been left out. Both are named."""
    (finding,) = [
        f for f in audit("ostervik", "as-found").findings if f.rule == "alarm-off-plan" and f.node == "TS-17"
    ]

    assert finding.slip == (
        "possible slips: decimal point off by one place (62 %); "
        "comma and point mixed up, or the mark left out (37 %)"
    )


@pytest.mark.parametrize("site", ["merrow-vale", "tarnbeck", "ostervik"])
def test_as_left_has_nothing_to_name(site: str) -> None:
    """If all is as planned, no slips are named."""
    assert [f.slip for f in audit(site, "as-left").findings if f.slip] == []
