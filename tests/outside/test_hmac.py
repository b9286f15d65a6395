"""The keyed digest that marks rest on, against the vectors of RFC 4231 (2005), sections 4.2 and 4.3.

The vectors are as printed there, from memory, not verified against the text; the library is Python's own.
"""

from __future__ import annotations

import hashlib
import hmac

import pytest

VECTORS = [
    (b"\x0b" * 20, b"Hi There", "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7"),
    (
        b"Jefe",
        b"what do ya want for nothing?",
        "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843",
    ),
]


@pytest.mark.parametrize(("key", "data", "digest"), VECTORS, ids=["4.2", "4.3"])
def test_hmac_sha_256(key: bytes, data: bytes, digest: str) -> None:
    """Test cases 1 and 2."""
    assert hmac.new(key, data, hashlib.sha256).hexdigest() == digest
