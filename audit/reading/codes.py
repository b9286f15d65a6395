"""What is kept of access codes: whether one is trivial, and a token that is equal for equal codes.

A plain digest of a short code gives no protection: there are ten thousand four-digit codes, and all their
digests can be calculated in less than a second. So tokens are keyed (HMAC-SHA-256, RFC 2104, FIPS 198-1):
with a key that ends with the process, or with the site's own, which is kept apart from the data.
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
"""Keeps these tokens distinct from anything else for which a site uses its key."""


class _Key:
    """The key of this process; `keyed_by` replaces it temporarily by the site's own."""

    current = secrets.token_bytes(32)


@contextmanager
def keyed_by(key: bytes | None) -> Iterator[None]:
    """Make tokens with a site's key, so that they are equal in other runs too; None: this process's key."""
    before = _Key.current
    _Key.current = key or before
    try:
        yield
    finally:
        _Key.current = before


def key_id(key: bytes) -> str:
    """Return what distinguishes a key, and reveals nothing about it: 64 bits, in hexadecimal digits."""
    return hmac.new(key, b"asfound key id", hashlib.sha256).hexdigest()[:16]


def code(text: str) -> Code:
    """Return what may be kept of an access code."""
    token = hmac.new(_Key.current, _PURPOSE + text.encode(), hashlib.sha256).digest()
    return Code(token, is_trivial(text))


def is_mask(text: str) -> bool:
    """Return whether a text only stands for a code that an export does not show, such as ****."""
    return bool(text) and set(text) <= set("*•●")


def is_trivial(text: str) -> bool:
    """Return whether a code is one of those that people try first.

    Repeated or sequential characters: NIST SP 800-53 Rev 5, discussion of IA-5(1). 0 follows 9, as on a
    keypad. The words are common practice. The pairs (1212, 1122), years and 1004 are among the twenty most
    common four-digit codes in the 'PIN analysis' study of leaked passwords, 2012, as reproduced in a blog of
    that year; all twenty are trivial here (tests/outside/test_pin_ranks.py).
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
    """Return the steps from each character to the next; from 9 to 0 or back is one step."""
    round_the_end = {("9", "0"): 1, ("0", "9"): -1}
    return {round_the_end.get(pair, ord(pair[1]) - ord(pair[0])) for pair in pairwise(text)}


def is_spelling_of(code_kept: Code, identifier: str, digits: int) -> bool:
    """Return whether a code is one of the names of its device: its tag, serial number or address.

    The name may be as written or without punctuation, in upper or lower case, or its digits alone, with
    leading zeros up to a width of `digits`.
    """
    number = "".join(filter(str.isdigit, identifier))
    spellings = {identifier, "".join(filter(str.isalnum, identifier)), number.zfill(digits)}
    tried = {cased for text in spellings for cased in (text, text.upper(), text.lower())}
    return any(code(text).token == code_kept.token for text in tried)
