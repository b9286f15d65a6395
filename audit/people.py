"""People: whether two names, as different hands write them, are one person's."""

from __future__ import annotations

import re
import unicodedata

_BRACKETED = re.compile(r"\([^()]*\)|\[[^\[\]]*\]")
"""What stands beside a name, such as a department."""


def same_person(one: str, other: str) -> bool:
    """Tell whether two names are one person's, in whatever spelling, see `one_spelling`."""
    return one_spelling(one) == one_spelling(other)


def one_spelling(name: str) -> str:
    """Return a name in a spelling for comparing: `R. Sample (works)`, `r sample`, `Sample, R.` are one.

    Only punctuation, blanks and what stands in brackets are taken out, so that letters of any script count.
    """
    text = unicodedata.normalize("NFKC", name).casefold()
    family, comma, given = _BRACKETED.sub(" ", text).partition(",")
    kept = "".join(
        c for c in (given + family if comma else family) if unicodedata.category(c)[0] not in "PZC"
    )
    return kept or text.strip()
