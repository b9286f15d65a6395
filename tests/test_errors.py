"""The nearest known word, which a problem proposes."""

from __future__ import annotations

import pytest

from audit.errors import near


@pytest.mark.parametrize(
    ("word", "first"), [("FT-6O3", "FT-603"), ("ft-635", "FT-635"), ("FT-6031", "FT-603"), ("PT", None)]
)
def test_a_word_with_one_wrong_character_is_nearest(word: str, first: str | None) -> None:
    """Tags of a site are all very similar: the one that a mis-keyed tag stands for comes first."""
    known = [f"FT-6{n:02}" for n in range(40)]

    assert next(iter(near(word, known)), None) == first
