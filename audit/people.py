"""People: whether two names, however they are written, are those of one person."""

from __future__ import annotations

import re
import unicodedata

_BRACKETED = re.compile(r"\([^()]*\)|\[[^\[\]]*\]")
"""Text in brackets after a name, such as a department."""


def same_person(one: str, other: str) -> bool:
    """Tell whether two names are those of one person, in whatever spelling; see `one_spelling`."""
    return one_spelling(one) == one_spelling(other)


def one_spelling(name: str) -> str:
    """Return a name in a spelling for comparing: `R. Sample (works)`, `r sample`, `Sample, R.` give the same.

    Only punctuation, blanks and text in brackets are taken out, so that letters of any script count.
    """
    text = unicodedata.normalize("NFKC", name).casefold()
    family, comma, given = _BRACKETED.sub(" ", text).partition(",")
    kept = "".join(
        c for c in (given + family if comma else family) if unicodedata.category(c)[0] not in "PZC"
    )
    return kept or text.strip()
