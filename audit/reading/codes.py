"""What is kept of access codes: whether one is trivial, and a token that is equal for equal codes.

A plain digest of a short code is no protection: there are ten thousand codes of four digits, and all their
digests are reckoned in less than a second. So tokens are keyed (HMAC-SHA-256, RFC 2104, FIPS 198-1): by a key
that dies with the process, or by the site's own, which is kept apart from the data.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import pairwise

from audit.model.value import Code

_PURPOSE = b"asfound access code\0"
"""Keeps these tokens apart from whatever else a site uses its key for."""


class _Key:
    """The key of this process; `keyed_by` puts the site's own in its place for a while."""

    current = secrets.token_bytes(32)


@contextmanager
def keyed_by(key: bytes | None) -> Iterator[None]:
    """Make tokens by a site's key, so that they are equal in other runs too; None: by this process's own."""
    before = _Key.current
    _Key.current = key or before
    try:
        yield
    finally:
        _Key.current = before


def key_id(key: bytes) -> str:
    """Return what tells one key from another, and nothing of the key: 64 bits, in hexadecimal digits."""
    return hmac.new(key, b"asfound key id", hashlib.sha256).hexdigest()[:16]


def code(text: str) -> Code:
    """Return what may be kept of an access code."""
    token = hmac.new(_Key.current, _PURPOSE + text.encode(), hashlib.sha256).digest()
    return Code(token, is_trivial(text))


def is_trivial(text: str) -> bool:
    """Tell whether a code is among those that are tried first.

    Repeated or sequential characters: NIST SP 800-53 Rev 5, discussion of IA-5(1). Behind 9 comes 0, as on a
    keypad. The words are common practice. The pairs (1212, 1122), years and 1004 are among the twenty
    commonest four-digit codes of the 'PIN analysis' study of leaked passwords, 2012, as reproduced in a blog
    of that year; all twenty are trivial here (tests/outside/test_pin_ranks.py).
    """
    folded = text.casefold()
    if len(folded) < 4 or _steps(folded) in ({0}, {1}, {-1}):
        return True
    half = len(folded) // 2
    if len(folded) % 2 == 0 and folded[:half] == folded[half:]:
        return True
    if len(folded) == 4 and folded.isdigit():
        pairs = folded[0] == folded[1] and folded[2] == folded[3]
        return pairs or folded[:2] in ("19", "20") or folded in ("1004", "2468", "1357")
    return folded in ("admin", "password", "default", "service", "operator", "letmein", "qwerty")


def _steps(text: str) -> set[int]:
    """Return the steps from each character to the next; from 9 to 0 and back is one step."""
    round_the_end = {("9", "0"): 1, ("0", "9"): -1}
    return {round_the_end.get(pair, ord(pair[1]) - ord(pair[0])) for pair in pairwise(text)}


def is_spelling_of(code_kept: Code, identifier: str, digits: int) -> bool:
    """Tell whether a code is what a device is called: its tag, its serial number, its address.

    As it is written or without punctuation, in either case, or its digits alone, with zeros before them up to
    so many `digits`.
    """
    number = "".join(filter(str.isdigit, identifier))
    spellings = {identifier, "".join(filter(str.isalnum, identifier)), number.zfill(digits)}
    tried = {cased for text in spellings for cased in (text, text.upper(), text.lower())}
    return any(code(text).token == code_kept.token for text in tried)
