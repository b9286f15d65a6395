"""The keyed digests behind tokens and marks of access codes, against their published definition.

- RFC 2104 (1997), section 2: H(K XOR opad, H(K XOR ipad, text)), blocks of 64 bytes for SHA-256, worked out
  here from SHA-256 alone; from memory, not verified against the text.
- RFC 4231 (2005), sections 4.2 and 4.3: two vectors, from memory, not verified against the text. They check
  what is worked out here.
"""

from __future__ import annotations

from hashlib import sha256

import pytest

from audit.reading.codes import code, key_id, keyed_by

VECTORS = [
    (b"\x0b" * 20, b"Hi There", "b0344c61d8db38535ca8afceaf0bf12b881dc200c9833da726e9376c2e32cff7"),
    (
        b"Jefe",
        b"what do ya want for nothing?",
        "5bdcc146bf60754e6a042426089575c75a003f089d2739839dec58b964ec3843",
    ),
]


def by_definition(key: bytes, text: bytes) -> bytes:
    """Return the digest of a text under a key of at most 64 bytes."""
    padded = key.ljust(64, b"\0")
    inner = sha256(bytes(byte ^ 0x36 for byte in padded) + text).digest()
    return sha256(bytes(byte ^ 0x5C for byte in padded) + inner).digest()


@pytest.mark.parametrize(("key", "data", "digest"), VECTORS, ids=["4.2", "4.3"])
def test_our_digests(key: bytes, data: bytes, digest: str) -> None:
    """Under the keys of the vectors, a code's token and a key's own name are as the definition gives them."""
    assert by_definition(key, data).hex() == digest
    with keyed_by(key):
        assert code("8068").token == by_definition(key, b"asfound access code\0" + b"8068")
    assert key_id(key) == by_definition(key, b"asfound key id").hex()[:16]
