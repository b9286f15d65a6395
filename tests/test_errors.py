"""The nearest known word, which a problem proposes."""

from __future__ import annotations

import pytest

from audit.errors import known_words, near


@pytest.mark.parametrize(
    ("word", "first"), [("FT-6O3", "FT-603"), ("ft-635", "FT-635"), ("FT-6031", "FT-603"), ("PT", None)]
)
def test_a_word_with_one_wrong_character_is_nearest(word: str, first: str | None) -> None:
    """Tags of a site are all very similar: the one that a mis-keyed tag stands for comes first."""
    known = [f"FT-6{n:02}" for n in range(40)]

    assert next(iter(near(word, known)), None) == first


def test_where_nothing_is_known_nothing_is_near() -> None:
    """A plan may have no nodes yet."""
    assert near("PT-1", []) == []


def test_the_last_few_known_words_are_named_too() -> None:
    """`and 2 more` would take as much room as the two, and leave the reader to guess them."""
    words = [f"word_{n}" for n in range(20)]

    assert known_words(words[:15]).endswith("word_13, word_14")
    assert known_words(words[:16]).endswith("word_11 and 4 more")
