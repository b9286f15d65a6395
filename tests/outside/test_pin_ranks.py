"""The commonest four-digit codes of a published study are among those that the tool calls trivial.

Source: 'PIN analysis', a blog's study of leaked passwords, 2012: the twenty commonest codes of four digits
and the least common, 8068. Secondary: another blog of that year, which reproduces the table. The codes are
those of people's accounts, not of instruments.
"""

from __future__ import annotations

import pytest

from audit.reading.codes import is_trivial

COMMONEST = [
    "1234", "1111", "0000", "1212", "7777", "1004", "2000", "4444", "2222", "6969",
    "9999", "3333", "5555", "6666", "1122", "1313", "8888", "4321", "2001", "1010",
]  # fmt: skip
"""The commonest first."""


@pytest.mark.parametrize("code", COMMONEST)
def test_the_twenty_commonest_are_trivial(code: str) -> None:
    """More than a quarter of all codes in the study are one of these, so they are tried first."""
    assert is_trivial(code)


def test_the_least_common_is_not_trivial() -> None:
    """The last of the ten thousand codes is none of the first to be tried."""
    assert not is_trivial("8068")
