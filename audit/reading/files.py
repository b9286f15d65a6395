"""Files as bytes and text: opened with care, hashed and decoded, with every failure reported in words."""

from __future__ import annotations

import codecs
import hashlib
import re
import unicodedata
from dataclasses import dataclass
from operator import attrgetter
from pathlib import Path

from audit.errors import InputProblems, near, stop

MOST_BYTES = 1 << 30
"""Larger files are refused: a million nodes with 30 settings take about a third of this."""

BYTE_ORDER_MARK = "\ufeff"
"""Begins the files of spreadsheets in UTF-8, and tells spreadsheets that a file is in it."""


@dataclass(frozen=True, slots=True)
class FileBytes:
    """A file's content, its name in reports, and its digest."""

    name: str
    path: Path
    data: bytes
    sha256: str


def whole_characters(text: str) -> str:
    r"""Return a text with half characters written as escapes, since our files cannot contain them.

    They come from escapes such as `\ud800` in JSON, and from file names that are not UTF-8.
    """
    return text if text.isascii() else text.encode("utf-8", "backslashreplace").decode("utf-8")


def composed(text: str) -> str:
    """Return a text in which each letter is one character together with its accent.

    Some programs write two, which look the same: TÄ-11 must be the same tag in all files.
    """
    return text if text.isascii() else unicodedata.normalize("NFC", text)


def inside(folder: Path) -> list[Path]:
    """Return what is in a folder, in order of name; paths sort differently on Windows. Raises OSError."""
    return sorted(folder.iterdir(), key=attrgetter("name"))  # glob() hides errors


def is_hidden(path: Path) -> bool:
    """Return whether a file or folder is one that people do not see: a lock, or what macOS leaves behind."""
    return path.name.startswith((".", "~$"))


def read_bytes(path: Path, name: str = "", in_folder: str = "name a file in it") -> FileBytes:
    """Return the content of a file; `name` is what reports call it. Raises InputProblems.

    `in_folder` says what to do if the path is that of a folder.
    """
    name = whole_characters(name or path.as_posix())
    try:
        if path.is_dir():
            raise stop("is a folder, but a file was expected", in_folder, file=name)
        if path.exists() and not path.is_file():
            raise stop("is not an ordinary file", "give a file on disk", file=name)
        if path.stat().st_size > MOST_BYTES:
            raise stop("is larger than 1 GiB", "split it by network", file=name)
        data = path.read_bytes()
    except FileNotFoundError:
        if name == "-":
            mend = "write it to a file and name that file: reports quote its name and digest as evidence"
            raise stop("standard input is not read", mend, file="-") from None
        raise stop(*_why_missing(path), file=name) from None
    except PermissionError:
        mend = "ask for read permission, close it in other programs, or copy it"
        raise stop("may not be read", mend, file=name) from None
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or "the name cannot be used"
        raise stop(f"cannot be read: {reason}", "check the name and the disk", file=name) from None
    return FileBytes(name, path, data, hashlib.sha256(data).hexdigest())


_NOT_FETCHED = "is not on this disk: a program that syncs folders has left only a mark of it"
_FETCH = "open it in the file manager, which fetches it"


def _why_missing(path: Path) -> tuple[str, str]:
    """Return why there is no file of a name, and what to do about it."""
    if path.is_symlink():
        return "is a link that leads nowhere", "put the file in its place, or remove the link"
    if fetched_later(path).exists():
        return _NOT_FETCHED, _FETCH
    return "there is no such file", f"check the name and the folder{_with_like_names(path)}"


def _with_like_names(path: Path) -> str:
    """Return the names in a file's folder that are most like its own, whatever their endings and capitals."""
    try:
        there = [one for one in inside(path.parent) if not is_hidden(one)]
    except OSError:
        return ""
    stems = near(path.stem, (one.stem for one in there))
    names = [whole_characters(one.name) for one in there if one.stem in stems]
    return f"; nearest: {', '.join(names[:3])}" if names else ""


MARK_ENDING = ".icloud"
"""The ending of the hidden files that stand for files which macOS has not fetched."""


def fetched_later(path: Path) -> Path:
    """Return the mark of a file that has not been fetched to this disk; file managers show it as the file."""
    return path.with_name(f".{path.name}{MARK_ENDING}")


def marked(path: Path) -> Path | None:
    """Return the file that a mark stands for, None if this is no mark."""
    name = path.name
    if not (name.startswith(".") and name.endswith(MARK_ENDING)):
        return None
    return path.with_name(name.removeprefix(".").removesuffix(MARK_ENDING))


def decode(file: FileBytes, encoding: str = "") -> str:
    """Return the text of a file in UTF-8, or in the encoding given. Raises InputProblems."""
    data = file.data
    if not data.strip():
        raise stop("is empty", "check that it was saved, and that this is the right file", file=file.name)
    refuse_merge_marks(file)
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)) and not encoding:
        encoding = "utf-16"
    elif b"\x00" in data and not encoding:
        raise _nul_bytes(file)
    try:
        text = data.decode(encoding or "utf-8-sig")
    except UnicodeError as error:
        start = getattr(error, "start", 0)  # some encodings do not say where
        line = data[:start].count(b"\n") + 1
        mend = "save it as UTF-8, or state its encoding in a mapping (often `encoding: cp1252`)"
        message = f"byte {data[start]:#04x} is not {encoding or 'UTF-8'}"
        raise stop(message, mend, file=file.name, line=line) from None
    if "\x00" in text:
        raise _nul_bytes(file)
    return text


_MERGE_BEGINS, _MERGE_ENDS = (re.compile(rb"^%b{7} " % mark, re.MULTILINE) for mark in (b"<", b">"))
"""What stands around lines that two people changed, as version control marks them."""


def refuse_merge_marks(file: FileBytes) -> None:
    """Raise InputProblems if version control has marked lines of a text that two people changed.

    In a table the marks would be rows without readings, and the lines of both people would count.
    """
    begin = _MERGE_BEGINS.search(file.data) if b"<<<<<<< " in file.data else None
    if begin and _MERGE_ENDS.search(file.data, begin.end()):
        message = "has the marks of a merge that was not finished (<<<<<<<, =======, >>>>>>>)"
        mend = "keep the lines that are right, and delete the others and the marks"
        raise stop(message, mend, file=file.name, line=file.data.count(b"\n", 0, begin.start()) + 1)


def is_text_encoding(name: str) -> bool:
    """Return whether an encoding is known and is for text."""
    try:
        "".encode(name)
    except (LookupError, ValueError):
        return False
    return True


NUL_BYTES = 64
"""How many bytes are looked at for whether every other one is NUL, as in UTF-16 without a byte order mark."""


def _nul_bytes(file: FileBytes) -> InputProblems:
    line = file.data[: file.data.find(b"\x00")].count(b"\n") + 1
    mend = "export it again as text; a workbook must end in .xlsx or .ods"
    for encoding, start in (("utf-16-le", 1), ("utf-16-be", 0)):
        if len(file.data) > 1 and not any(file.data[start:NUL_BYTES:2]) and any(file.data[:NUL_BYTES]):
            mend = f"save it as UTF-8, or state `encoding: {encoding}` in a mapping"
    return stop("contains NUL bytes, so it is not a text file", mend, file=file.name, line=line)


def beside(base: Path, reference: str, file: str, line: int = 0) -> Path:
    """Return the path that a file refers to, which must be in the folder of that file or below.

    Raises InputProblems for absolute paths and paths that lead out of the folder.
    """
    mend = "keep the files of a plan in its folder, or below it"
    if "\x00" in reference or "\\" in reference or Path(reference).is_absolute() or ":" in reference:
        raise stop(f"{reference!r} is not a relative path", mend + ", with / between names",
                   file=file, line=line)  # fmt: skip
    folder = base.parent.resolve()
    spelt = _as_on_disk(folder, reference)
    try:
        target = (folder / spelt).resolve()
        loop = target.is_symlink()  # from Python 3.13 on, what cannot be followed comes back as it was
    except RuntimeError:
        loop = True
    if loop:
        raise stop(f"{reference!r} is a link that leads back to itself", mend, file=file, line=line)
    if not target.is_relative_to(folder):
        mend += "; plans that share files can lie side by side above them"
        raise stop(f"{reference!r} leads out of the plan's folder", mend, file=file, line=line)
    if not target.exists():
        mend = f"check the name and the folder{_with_like_names(target)}"
        if fetched_later(target).exists():
            raise stop(f"{reference!r} {_NOT_FETCHED}", _FETCH, file=file, line=line)
        raise stop(f"there is no file {reference!r}", mend, file=file, line=line)
    return base.parent / spelt


def _as_on_disk(folder: Path, reference: str) -> str:
    """Return a path below a folder with its names as they are spelt on the disk.

    Our texts are composed, and a name on the disk need not be: macOS and its archives write an accent as a
    character of its own.
    """
    path = Path()
    for name in Path(reference).parts:
        path /= _spelt_in(folder / path, name)
    return path.as_posix()


def _spelt_in(folder: Path, name: str) -> str:
    """Return a file's name as it is spelt in a folder; as it was given if there is none."""
    if name.isascii():
        return name
    try:
        alike = [path.name for path in inside(folder) if composed(path.name) == composed(name)]
    except OSError:  # that there is no such folder is told of the whole path
        return name
    return alike[0] if alike and name not in alike else name
