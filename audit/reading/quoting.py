"""Quoting: texts from files in messages, cut short, never showing an access code.

A code can be in the wrong place: after a colon without a blank, in a heading, as a key. What is to be quoted
is therefore searched for words that mean a code; if there is more beside them, nothing is shown.
"""

from __future__ import annotations

import json
import re
from collections.abc import Collection, Iterable, Sequence
from typing import Any

from audit.model.table import HIDDEN
from audit.phrases import shortened

LONGEST_QUOTED = 60
"""Longer texts are cut in messages."""
ALMOST = 0.85
"""How similar an id must be to a known one, from 0 to 1, to count as a slip of it. Judgement."""
HIDDEN_QUOTE = "(not shown, it may hold an access code)"

CODE_WORDS = frozenset(
    word + ending
    for word in ("code", "password", "passcode", "passwort", "pin", "secret", "key")
    for ending in ("", "s")
)
"""Words that mean an access code in headings and keys. Common practice."""
PLAIN_WORDS = frozenset(
    ("access", "default", "factory", "refused", "reference", "menu", "local", "user", "id", "new", "")
)
"""Words that occur beside these and are not codes themselves."""
OPEN_WORDS = ("code_reference", "code_changed_on", "default_refused")
HIDDEN_UNDER = ("constants", "values", "default")
"""Keys below which there may be a code, whatever its own key is called."""


def quoted(text: str, secrets: Iterable[str] = ()) -> str:
    """Return a text from a file in quotation marks, cut short; nothing that may contain a code.

    A heading or key that is just a word for a code is shown; one with more than that is not. `secrets` are
    further words for codes, from the plan's device types.
    """
    if holds_code(text, secrets):
        return HIDDEN_QUOTE
    return repr(cut(text))


def quoted_name(text: str, secrets: Iterable[str]) -> str:
    """Return an unknown name in quotation marks; not a bare number: it may be a code in the wrong place."""
    return HIDDEN_QUOTE if text.strip().isdigit() else quoted(text, secrets)


def quoted_id(text: str, known: Sequence[str]) -> str:
    """Return an unknown rule id in quotation marks: as written, if it is a slip of a known one.

    Some rules are named after codes; letters that are nearly such a name do not contain a code.
    """
    import difflib

    slip = text.replace("-", "").isalpha() and difflib.get_close_matches(cut(text), known, 1, ALMOST)
    return repr(cut(text)) if slip else quoted(text)


def as_yaml(text: str) -> str:
    """Return a text as a key or a value of YAML, in quotation marks where it would be read otherwise."""
    plain = _PLAIN.fullmatch(text) and text.casefold() not in ("true", "false", "null")
    return text if plain else json.dumps(text, ensure_ascii=False)


_PLAIN = re.compile(r"[^\W\d]([\w .%/()°-]*[\w.%)°])?")


def cut(text: str) -> str:
    """Return a text of at most LONGEST_QUOTED characters."""
    return shortened(text, LONGEST_QUOTED)


def holds_code(text: str, secrets: Iterable[str] = ()) -> bool:
    """Return whether a text names an access code and says more, which may be the code itself."""
    words = re.split(r"[\W_]+", text.casefold())
    own = {part for name in secrets for part in re.split(r"[\W_]+", name.casefold())}
    known = CODE_WORDS | (own - PLAIN_WORDS)
    if text.casefold().startswith("default:"):
        return True
    return bool(known & set(words)) and not all(word in known or word in PLAIN_WORDS for word in words)


def remark(text: str, secrets: Iterable[str] = ()) -> str:
    """Return what somebody wrote in their own words, or that it is not shown.

    If it names a code, the code may be beside the name; a bare number may be a code as well.
    """
    return HIDDEN if text.strip().isdigit() or holds_code(text, secrets) else text


def to_name(texts: Iterable[str], secrets: Collection[str]) -> list[str]:
    """Return texts that a message may list as known, cut short; none that may contain a code."""
    return [cut(text.strip()) for text in texts if text.strip() and not holds_code(text, secrets)]


def may_be_code(name: str) -> bool:
    """Return whether a setting or column of this name may hold an access code."""
    words = re.split(r"[\W_]+", name.casefold())
    return name.casefold() not in OPEN_WORDS and bool(CODE_WORDS & set(words))


def shown(value: Any, path: Sequence[Any]) -> str:
    """Return a value for a message, cut short; never an access code."""
    steps = [step for step in path if isinstance(step, str)]
    if isinstance(value, dict):
        return "a mapping"
    if isinstance(value, list):
        return "a list"
    if value is None:
        return "nothing"
    if any(may_be_code(step) or step in HIDDEN_UNDER for step in steps):
        return "a value (not shown)"
    if isinstance(value, str):
        return quoted(value)
    return str(value).lower() if isinstance(value, bool) else cut(repr(value))


def shown_path(path: Sequence[Any]) -> str:
    """Return a path of keys and indexes in words, to follow a message; never an access code."""
    words = ["…" if key_may_be_code(path[:n]) else _step(path[n - 1]) for n in range(1, len(path) + 1)]
    return f" (in {' > '.join(words)})" if words else ""


def key_may_be_code(path: Sequence[Any]) -> bool:
    """Return whether the last key of a path may be an access code, as texts that a mapping translates may."""
    key = path[-1]
    return isinstance(key, str) and (holds_code(key) or (len(path) > 2 and path[-3] == "values"))


def _step(step: Any) -> str:
    return f"entry {step + 1}" if isinstance(step, int) else cut(str(step))
