"""Isolating: right-to-left names among numbers."""

from __future__ import annotations

from markupsafe import Markup

from audit.reporting.isolating import Isolating

PUMP = "\u05de\u05e9\u05d0\u05d1\u05d4-3"
"""A pump's tag in Hebrew letters, with its number."""


def test_a_name_does_not_turn_round_the_number_behind_it() -> None:
    """Otherwise the address after a tag would be drawn before it, and read as part of it."""
    said = Isolating([PUMP, "LT-1"]).said

    assert said(f"LT-1 has the address of {PUMP} (2)") == f"LT-1 has the address of <bdi>{PUMP}</bdi> (2)"


def test_what_stands_beside_a_name_is_escaped() -> None:
    """A tag in any script is text, not part of the page's markup."""
    told = Isolating([f"<b>{PUMP}", PUMP]).said(f"<i>: <b>{PUMP} and {PUMP}\u202e")

    assert told == f"&lt;i&gt;: <bdi>&lt;b&gt;{PUMP}</bdi> and <bdi>{PUMP}</bdi>\\u202e"
    assert isinstance(told, Markup)


def test_other_sentences_stay_as_they_are() -> None:
    """If no name runs from right to left, nothing is set apart, and the page escapes the text as usual."""
    told = Isolating(["LT-1"]).said("LT-1 <differs>")

    assert told == "LT-1 <differs>"
    assert not isinstance(told, Markup)
