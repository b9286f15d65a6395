"""Phrases worded the same everywhere: counts, lists of names, commands; and texts made harmless."""

from __future__ import annotations

import re
import shlex
import unicodedata
from collections.abc import Sequence

from audit.endings import has_keys

PLAIN_WORD = re.compile(r"[\w@%+=:,./\\-]+")
"""Words that every shell takes as they are."""
IF_RENAMED = "; if it was renamed, put its old name under `formerly` in the plan"
"""What to do about a file of another site, to follow other advice."""


def counted(number: int, word: str) -> str:
    """Return a number and its noun, in the singular or plural."""
    return f"{number:,} {word}" if number == 1 else f"{number:,} {word}s"


def rounded(number: float) -> str:
    """Return a number to three digits; from 1,000 on as a whole number, since nobody reads 3.6e+03."""
    return f"{number:.3g}" if abs(number) < 999.5 else f"{number:,.0f}"


def listed(names: Sequence[str], most: int = 60) -> str:
    """Return names separated by commas, with the number of those left out."""
    more = f" and {len(names) - most:,} more" if len(names) > most else ""
    return ", ".join(names[:most]) + more


def examples(texts: Sequence[str], most: int = 3) -> str:
    """Return the first few of some texts separated by commas, with an ellipsis if there are more."""
    return ", ".join(texts[:most]) + (" …" if len(texts) > most else "")


def shortened(text: str, longest: int) -> str:
    """Return a text of at most so many characters; one that is cut ends with an ellipsis."""
    return text if len(text) <= longest else f"{text[: longest - 1]}…"


def titled(name: str, revision: str | None) -> str:
    """Return the name of a site, with the revision of its plan if there is one."""
    return f"{name}, plan revision {revision}" if revision else name


def row_or_line(file: str) -> str:
    """Return what a position in a file is called: YAML and JSON have lines, tables have rows."""
    return "line" if has_keys(file) else "row"


def typed(*words: str) -> str:
    """Return words as they are typed at a prompt: those that a shell would read otherwise in quotation marks.

    Double ones, which every shell knows, unless a word has characters that mean something within them.
    """
    return " ".join(
        word if PLAIN_WORD.fullmatch(word) else shlex.quote(word) if set(word) & set('"$`!') else f'"{word}"'
        for word in words
    )


def as_argument(file: str) -> str:
    """Return the name of a file for a command: one that begins with a dash would be taken for an option."""
    return f"./{file}" if file.startswith("-") else file


def clean(text: str) -> str:
    """Return a text with control characters and those that change the writing direction written out.

    Tags come from files that anybody may have written; a terminal must not obey them.
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(c if _harmless(c) else f"\\u{ord(c):04x}" for c in text)


def _harmless(character: str) -> bool:
    if ord(character) & 0xFFFE == 0xFFFE:  # Unicode noncharacters, which XML cannot hold
        return False
    return unicodedata.category(character) not in ("Cc", "Cf", "Cs", "Co", "Zl", "Zp")
