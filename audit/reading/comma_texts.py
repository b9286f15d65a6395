"""Texts cut in two by a comma: in `{location: Mill, pump station}` the rest is a key without a value."""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from typing import Any

from audit.reading.marks import Document
from audit.reading.quoting import HIDDEN_UNDER, cut, holds_code, may_be_code, quoted

OWN_NAMES = ("settings", "defaults")
"""Keys that contain settings under the site's own names, including those of access codes."""
_IS_NAME = re.compile(r"[a-z][a-z0-9_]*")


def cut_by_comma(
    document: Document, path: tuple[Any, ...], keys: Sequence[str], key: str, known: Collection[str]
) -> tuple[str, str] | None:
    """Return message and remedy for a key that is the rest of the text before it; None for any other key.

    If one text has left several rests, the first is reported; for the others message and remedy are blank.
    A rest that begins with a name allowed there, one of those `known`, is a key whose colon was forgotten.
    """
    name, *rest = _from_colon_on(document, path, keys, key)
    text = document.mark((*path, name)).raw if (*path, name) in document.marks else ""
    if key not in rest or not text:
        return None
    if key != rest[0]:
        return "", ""
    name_of, _, value = key.partition(" ")
    may_be_key = name_of in known or (path and path[-1] in OWN_NAMES)
    if may_be_key and _IS_NAME.fullmatch(name_of) and value.strip():
        return f"there is no colon after {name_of}", f"write `{name_of}: ` and then its value"
    message = f"{quoted(key)} follows a comma but is not a key"
    if len(rest) == 1 and key.isdecimal() and text.lstrip("-+").isdecimal():
        return message, f"write {name} with a point as the decimal mark"
    steps = [step for step in (*path, name) if isinstance(step, str)]
    hidden = any(may_be_code(step) or step in HIDDEN_UNDER for step in steps) or holds_code(text)
    if hidden or (path and path[-1] in OWN_NAMES):
        return message, f"put the whole text after {name} in quotes"
    whole = cut(", ".join((text, *rest)))
    return message, f'write {name}: "{whole}", with quotes around a text that contains a comma'


def _from_colon_on(document: Document, path: tuple[Any, ...], keys: Sequence[str], key: str) -> Sequence[str]:
    """Return the key with a colon before a key, or that one itself, and all keys without one after it."""
    first = last = keys.index(key)
    while first > 0 and _has_no_colon(document, (*path, keys[first])):
        first -= 1
    while last + 1 < len(keys) and _has_no_colon(document, (*path, keys[last + 1])):
        last += 1
    return keys[first : last + 1]


def _has_no_colon(document: Document, path: tuple[Any, ...]) -> bool:
    """Return whether a key stands alone, so that its empty value begins where the key ends."""
    key, value = document.keys.get(path), document.marks.get(path)
    if key is None or value is None or value.raw or ":" in key.raw:
        return False
    return (value.line, value.column) == (key.line, key.column + len(key.raw))
