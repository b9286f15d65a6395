"""Disks that are not like those that the tests run on."""

from __future__ import annotations

import errno
import os
import unicodedata
from pathlib import Path
from typing import NoReturn

import pytest


def ignoring_capitals(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let a path exist also if names in it differ by capitals from those of the disk, as on a stick.

    Or by how an accent is written, as on a disk of macOS.
    """

    def exists(path: Path) -> bool:
        folder = Path(path.anchor)
        for name in path.parts[1:]:
            there = folder.iterdir() if not os.path.lexists(folder / name) else [folder / name]
            spelt = next((one for one in there if _alike(one.name, name)), None)
            if spelt is None:
                return False
            folder = spelt
        return True

    monkeypatch.setattr(Path, "exists", exists)


def _alike(*names: str) -> bool:
    return len({unicodedata.normalize("NFC", name).lower() for name in names}) == 1


def lacking(monkeypatch: pytest.MonkeyPatch, *calls: str, why: int = errno.ENOTSUP) -> None:
    """Let calls of the system, such as `os.fsync`, be refused as by a disk that does not offer them."""

    def refuse(*_: object, **__: object) -> NoReturn:
        raise OSError(why, os.strerror(why))

    for call in calls:
        monkeypatch.setattr(call, refuse)
