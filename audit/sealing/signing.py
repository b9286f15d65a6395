"""Signing digests with Ed25519 (RFC 8032), keys in PEM form (RFC 7468, RFC 8410)."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from typing import TYPE_CHECKING

from audit.errors import stop
from audit.model.baseline import Signature
from audit.reading.files import FileBytes

if TYPE_CHECKING:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

MAKE_ONE = "make one with `openssl genpkey -algorithm ed25519 -aes256 -out key.pem`"


def signed_text(sha256: str) -> bytes:
    """Return the text that is signed for a digest: the digest after a prefix that says what it belongs to."""
    return f"asfound:baseline/1:sha256:{sha256}".encode()


def private_key(file: FileBytes, password: Callable[[], str | None]) -> Ed25519PrivateKey:
    """Return the private key of a PEM file. Raises InputProblems.

    `password` is called only if the key is encrypted; it returns None where no password can be had.
    """
    from cryptography.exceptions import UnsupportedAlgorithm
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
    from cryptography.hazmat.primitives.serialization import load_pem_private_key

    if b"PRIVATE KEY" not in file.data:
        mend = f"give the private key, or {MAKE_ONE}"
        raise stop("is not a private key in PEM form", mend, file=file.name)
    try:
        try:
            key = load_pem_private_key(file.data, None)
        except TypeError:  # what the library raises for a key that needs a password
            given = password()
            if not given:
                remedy = "set ASFOUND_KEY_PASSWORD, or run this at a terminal"
                raise stop("is encrypted, and no password was given", remedy, file=file.name) from None
            key = load_pem_private_key(file.data, given.encode())
    except (ValueError, UnsupportedAlgorithm):
        remedy = "check the password, or " + MAKE_ONE
        raise stop("cannot be read as a key: damaged, or the password is wrong", remedy,
                   file=file.name) from None  # fmt: skip
    if not isinstance(key, Ed25519PrivateKey):
        raise stop("is a key of another kind; Ed25519 was expected", MAKE_ONE, file=file.name)
    return key


def public_key(file: FileBytes) -> str:
    """Return the 32 bytes of a public key in a PEM file, in hexadecimal digits. Raises InputProblems."""
    from cryptography.exceptions import UnsupportedAlgorithm
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey
    from cryptography.hazmat.primitives.serialization import load_pem_public_key

    remedy = "export the public key with `openssl pkey -in key.pem -pubout -out public.pem`"
    if b"PRIVATE KEY" in file.data:
        raise stop("is a private key, which nobody else should be given", remedy, file=file.name)
    try:
        key = load_pem_public_key(file.data)
    except (ValueError, UnsupportedAlgorithm):
        raise stop("is not a public key in PEM form", remedy, file=file.name) from None
    if not isinstance(key, Ed25519PublicKey):
        raise stop("is a key of another kind; Ed25519 was expected", remedy, file=file.name)
    return key.public_bytes_raw().hex()


def fingerprint(public: str) -> str:
    """Return the SHA-256 of a public key in DER form, as `openssl pkey -pubin -outform DER` writes it."""
    from cryptography.hazmat.primitives.serialization import Encoding, PublicFormat

    der = _public(public).public_bytes(Encoding.DER, PublicFormat.SubjectPublicKeyInfo)
    return hashlib.sha256(der).hexdigest()


def sign(sha256: str, key: Ed25519PrivateKey) -> Signature:
    """Return the signature of a digest."""
    public = key.public_key().public_bytes_raw().hex()
    value = key.sign(signed_text(sha256)).hex()
    return Signature(algorithm="Ed25519", public_key=public, fingerprint=fingerprint(public), value=value)


def is_signed(sha256: str, public: str, value: str) -> bool:
    """Tell whether a signature was made over this digest with the key."""
    from cryptography.exceptions import InvalidSignature

    try:
        _public(public).verify(bytes.fromhex(value), signed_text(sha256))
    except (InvalidSignature, ValueError):
        return False
    return True


def _public(public: str) -> Ed25519PublicKey:
    from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PublicKey

    return Ed25519PublicKey.from_public_bytes(bytes.fromhex(public))
