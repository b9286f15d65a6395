"""Same files: several names may lead to one file, by links or on disks that ignore capitals."""

from __future__ import annotations

import os
from collections.abc import Iterable
from pathlib import Path

from audit.reading.files import composed, inside


def once(paths: Iterable[Path]) -> list[Path]:
    """Return the files, each once, even if named again, for instance by the plan and by an option."""
    seen: dict[str, list[Path]] = {}
    return list(dict.fromkeys(first_name(path, seen) for path in paths))


def first_name(path: Path, seen: dict[str, list[Path]]) -> Path:
    """Return the name under which a file was seen first; a file that is new is added to `seen`."""
    alike = seen.setdefault(folded(path), [])
    for one in alike:
        if same_file(one, path):
            return one
    alike.append(path)
    return path


def folded(path: Path) -> str:
    """Return where a path leads, in the same text for all names that some disk takes for one."""
    return composed(os.path.realpath(path)).casefold()  # unlike resolve(), also of a link to itself


def same_file(one: Path, other: Path) -> bool:
    """Return whether two names, alike when `folded`, lead to one file: on some disks `A.csv` is `a.csv`.

    Not every such disk gives a file one number (inode) under all its names, so its folders are asked which
    names they hold. A file that does not exist is the same only under the same name. Raises OSError.
    """
    one, other = Path(os.path.realpath(one)), Path(os.path.realpath(other))
    if one == other:
        return True
    if not (one.exists() and other.exists()):
        return False
    folder = Path(one.anchor)
    for mine, theirs in zip(one.parts[1:], other.parts[1:], strict=True):
        if mine != theirs and {mine, theirs} <= {path.name for path in inside(folder)}:
            return False
        folder /= mine
    return True
