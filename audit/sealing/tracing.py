"""Tracing: which byte of a sealed part was altered, if only one was."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from itertools import accumulate

LONGEST = 4000
"""Parts longer than this are not searched: each byte costs 96 digests."""
LIKELY = [bytes([code]) for code in range(0x20, 0x7F)]
"""Bytes that may have been there: printable ASCII."""


def altered_byte(pieces: Sequence[str], part_digest: str) -> tuple[int, str] | None:
    """Return the position of the byte of a part that was altered after sealing, and what it was.

    The position is counted in the part as written in its file, with a line break between the pieces.
    None: more than one byte was altered, the one that was sealed is not printable ASCII, or the part is too
    long to search.
    """
    data = "".join(pieces).encode("utf-8", "surrogatepass")
    if len(data) > LONGEST:
        return None
    before = hashlib.sha256()
    for i in range(len(data)):
        rest = data[i + 1 :]
        for byte in LIKELY:
            attempt = before.copy()
            attempt.update(byte + rest)
            if attempt.hexdigest().startswith(part_digest):
                return i + _breaks(pieces, i), byte.decode()
        before.update(data[i : i + 1])
    return None


def _breaks(pieces: Sequence[str], i: int) -> int:
    """Return how many line breaks come before byte `i` of the joined pieces."""
    ends = accumulate(len(piece.encode("utf-8", "surrogatepass")) for piece in pieces)
    return sum(end <= i for end in ends)
