"""Signatures against the published vectors of RFC 8032 (Edwards-Curve Digital Signature Algorithm, 2017)."""

from __future__ import annotations

import hashlib
import subprocess
from pathlib import Path
from shutil import which

import pytest
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey, Ed25519PublicKey

from audit.reading.files import read_bytes
from audit.sealing.signing import fingerprint, is_signed, private_key, public_key, sign, signed_text

# RFC 8032, section 7.1 'Test Vectors for Ed25519': secret key, public key, message, signature.
VECTORS = {
    "TEST 1": (
        "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
        "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a",
        b"",
        "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e06522490155"
        "5fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b",
    ),
    "TEST 2": (
        "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
        "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c",
        bytes.fromhex("72"),
        "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da"
        "085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00",
    ),
    "TEST 3": (
        "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
        "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025",
        bytes.fromhex("af82"),
        "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac"
        "18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a",
    ),
    "TEST SHA(abc)": (
        "833fe62409237b9d62ec77587520911e9a759cec1d19755b7da901b96dca3d42",
        "ec172b93ad5e563bf4932c70e1245034c35467ef2efd4d64ebf819683467e2bf",
        hashlib.sha512(b"abc").digest(),
        "dc2a4459e7369633a52b1bf277839a00201009a3efbf3ecb69bea2186c26b589"
        "09351fc9ac90b3ecfdfbc7c66431e0303dca179c138ac17ad9bef1177331a704",
    ),
}
DIGEST = hashlib.sha256(b"a content").hexdigest()


@pytest.mark.parametrize(("secret", "public", "message", "signature"), VECTORS.values(), ids=VECTORS)
def test_the_vectors_of_section_7_1(secret: str, public: str, message: bytes, signature: str) -> None:
    """The library that signs baselines makes the published keys and signatures."""
    key = Ed25519PrivateKey.from_private_bytes(bytes.fromhex(secret))

    assert key.public_key().public_bytes_raw().hex() == public
    assert key.sign(message).hex() == signature
    Ed25519PublicKey.from_public_bytes(bytes.fromhex(public)).verify(bytes.fromhex(signature), message)
    with pytest.raises(InvalidSignature):
        key.public_key().verify(bytes.fromhex(signature), message + b"x")


@pytest.mark.parametrize(("secret", "public"), [vector[:2] for vector in VECTORS.values()], ids=VECTORS)
def test_a_digest_is_signed_by_the_published_keys(secret: str, public: str) -> None:
    """What is signed is the digest with its purpose, and the signature fits only that digest and that key."""
    signature = sign(DIGEST, Ed25519PrivateKey.from_private_bytes(bytes.fromhex(secret)))
    others = [vector[1] for vector in VECTORS.values() if vector[1] != public]

    assert signature.public_key == public
    assert is_signed(DIGEST, public, signature.value)
    assert not is_signed(hashlib.sha256(b"another").hexdigest(), public, signature.value)
    assert not any(is_signed(DIGEST, other, signature.value) for other in others)


def test_the_fingerprint_and_the_signature_are_those_of_another_program(tmp_path: Path) -> None:
    """OpenSSL reads the key, gives the same fingerprint, and verifies the signature."""
    if which("openssl") is None:
        return  # without OpenSSL there is nothing to compare with

    def openssl(*arguments: str) -> bytes:
        return subprocess.run(["openssl", *arguments], cwd=tmp_path, check=True, capture_output=True).stdout

    openssl("genpkey", "-algorithm", "ed25519", "-out", "key.pem")
    openssl("pkey", "-in", "key.pem", "-pubout", "-out", "public.pem")
    der = openssl("pkey", "-pubin", "-in", "public.pem", "-outform", "DER")
    public = public_key(read_bytes(tmp_path / "public.pem"))

    assert fingerprint(public) == hashlib.sha256(der).hexdigest()

    signature = sign(DIGEST, private_key(read_bytes(tmp_path / "key.pem"), lambda: None))
    (tmp_path / "text").write_bytes(signed_text(DIGEST))
    (tmp_path / "signature").write_bytes(bytes.fromhex(signature.value))
    said = openssl("pkeyutl", "-verify", "-pubin", "-inkey", "public.pem", "-rawin", "-in", "text",
                   "-sigfile", "signature")  # fmt: skip
    assert b"Successfully" in said
