"""The site's key for marks of access codes: from the environment, or from a file kept elsewhere."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

from audit.errors import stop
from audit.reading.files import read_bytes

VARIABLE = "ASFOUND_CODE_KEY"
SHORTEST = 32
"""Characters. `HOW` makes twice as many: random hexadecimal digits with as many bits as the digest."""
HOW = (
    'make one with `python -c "import secrets; print(secrets.token_hex(32))"` and keep it away from the data'
)


def code_key(file: Path | None, data: Iterable[Path]) -> bytes:
    """Return the key. Raises InputProblems if there is none, or if it is kept beside the data.

    `data` are the files and folders that the run reads and writes.
    """
    if file is None:
        given = os.environ.get(VARIABLE, "").strip()
        if not given:
            raise stop(f"there is no key for marks of access codes: {VARIABLE} is not set",
                       f"set it, or name a file with --code-key; {HOW}")  # fmt: skip
        return _long_enough(given.encode(), f"the key in {VARIABLE}", "")
    read = read_bytes(file)
    here = file.resolve().parent
    for path in data:
        folder = (path if path.is_dir() else path.parent).resolve()
        if here == folder or (path.is_dir() and here.is_relative_to(folder)):
            message = f"the key is in {here.as_posix()}, with the data that it protects"
            raise stop(message, "move it to a folder of its own that is never passed on", file=read.name)
    return _long_enough(read.data.strip(), "the key", read.name)


def _long_enough(key: bytes, what: str, file: str) -> bytes:
    if len(key) < SHORTEST:
        message = f"{what} has {len(key)} characters, fewer than {SHORTEST}, and could be guessed"
        raise stop(message, HOW, file=file)
    return key
