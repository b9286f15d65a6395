"""People: one person in several spellings is one person; two people are two."""

from __future__ import annotations

import pytest

from audit.people import same_person


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("R. Sample", "R Sample"),
        ("R. Sample", " r.  sample "),
        ("R. Sample", "R.\u00a0Sample"),
        ("R. Sample", "Sample, R."),
        ("R. Sample (operations)", "R. Sample (maintenance)"),
        ("Jose\u0301 Sample", "José Sample"),
        ("Ann-Mary Sample", "Ann Mary Sample"),
        ("?", " ? "),
    ],
)
def test_one_person(one: str, other: str) -> None:
    """A full stop, a second space, a department or the family name first does not make another person."""
    assert same_person(one, other)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("R. Sample", "I. Placeholder"),
        ("R. Sample", "K. Sample"),
        ("R. Sample", "R. Samples"),
        ("(operations)", "(maintenance)"),
        ("-", "?"),
        ("राम", "रमा"),
    ],
)
def test_two_people(one: str, other: str) -> None:
    """Another initial or letter, in any script, is another person; what is not a name is left as it is."""
    assert not same_person(one, other)
