"""Small baselines, sealed by the command itself."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

from cryptography.hazmat.primitives.asymmetric.ed25519 import Ed25519PrivateKey
from cryptography.hazmat.primitives.serialization import (
    BestAvailableEncryption,
    Encoding,
    NoEncryption,
    PrivateFormat,
    PublicFormat,
)

from audit.sealing.canonical import canonical, digest, laid_out, parts_of
from tests.small_site import Outcome, SmallSite, run

PASSWORD = "hillside meadow"


def seal(site: SmallSite, name: str, *arguments: str | Path, on: str = "2026-03-31") -> Path:
    """Seal the site's readback as a file in its folder, and return its path."""
    path = site.folder / name
    outcome = try_to_seal(site, name, *arguments, on=on)
    assert outcome.code == 0, outcome.written
    return path


def try_to_seal(site: SmallSite, name: str, *arguments: str | Path, on: str = "2026-03-31") -> Outcome:
    """Run `asfound seal` for the site's readback."""
    return run("seal", site.plan, *site.readbacks, "--signed-by", "R. Sample", "--on", on,
               "--out", site.folder / name, *arguments)  # fmt: skip


def data_of(path: Path) -> dict[str, Any]:
    """Return the data of a baseline."""
    data: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return data


def forged(path: Path, data: dict[str, Any]) -> Path:
    """Rewrite a baseline with digests that fit it, as a forger would."""
    data["parts"], data["sha256"] = parts_of(data["content"]), digest(canonical(data["content"]))
    path.write_text(laid_out(data), encoding="utf-8", newline="")
    return path


@cache
def _key(number: int) -> Ed25519PrivateKey:
    return Ed25519PrivateKey.from_private_bytes(bytes([number]) * 32)


def key_files(folder: Path, number: int = 1, password: str = "") -> tuple[Path, Path]:
    """Write a private key, encrypted if there is a password, and its public key. Return their paths."""
    key = _key(number)
    locked = BestAvailableEncryption(password.encode()) if password else NoEncryption()
    private, public = folder / f"key-{number}.pem", folder / f"public-{number}.pem"
    private.write_bytes(key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, locked))
    public.write_bytes(key.public_key().public_bytes(Encoding.PEM, PublicFormat.SubjectPublicKeyInfo))
    return private, public
