"""Files of entries (JSON Lines): readings typed in by hand, one per line, and torn records among them.

A record is torn if the power failed while it was being written: the last line, without a newline, that is
not JSON; or such a line after `asfound enter` has closed it with TORN_MARK. It is kept and reported, and
everything else in the file counts, but for readings of settings that no device type has, or no longer has.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from audit.errors import InputProblems, Problem, nearest, stop, stop_if
from audit.model.entry import DEVICE_FIELDS, Entry
from audit.model.readback import FIELDS
from audit.reading.csv_grid import LONGEST_CELL
from audit.reading.documents import build, parse_json
from audit.reading.files import FileBytes, composed, refuse_merge_marks, whole_characters
from audit.reading.forms import USE_NEWER, newer_form
from audit.reading.identifiers import bare
from audit.reading.marks import Document
from audit.reading.quoting import HIDDEN_QUOTE, cut, may_be_code, quoted
from audit.reading.vocabulary import Vocabulary, folded

_OTHER_MARK = re.compile(rb'"asfound"\s*:\s*"(entry/(?!1")[0-9]+)"')
TORN_MARK = " (torn record)"
"""What closes a torn record, before its newline. No line that is JSON can end like this."""
Key = tuple[str, str, str]
"""Network, tag and name of a setting."""


@dataclass(frozen=True, slots=True)
class Line:
    """An entry and its line number."""

    number: int
    entry: Entry
    name: str
    """The setting's own name, whatever the entry calls it; or serial, note, photo."""

    @property
    def key(self) -> Key:
        """What was read: network, tag and setting, without needless blanks."""
        return bare(self.entry.network), bare(self.entry.tag), self.name


@dataclass(frozen=True, slots=True)
class Entries:
    """The entries of a file, and the torn records among them."""

    file: str
    lines: tuple[Line, ...]
    warnings: tuple[Problem, ...]
    """Torn records, and settings that no device type has: not a reason to stop, but to be reported."""


def read_entries(file: FileBytes, words: Vocabulary) -> Entries:
    """Return the entries in a file. Raises InputProblems with everything that is wrong in it.

    A file of which no reading is of a setting that a device type has is wrong as a whole.
    """
    if file.data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        raise stop("is not UTF-8 but UTF-16", "save it as UTF-8", file=file.name)
    refuse_merge_marks(file)
    _refuse_newer(file)
    lines: list[Line] = []
    torn: list[Problem] = []
    unknown: dict[Problem, list[int]] = {}
    problems: list[Problem] = []
    for number, raw, ended in _raw_lines(file.data):
        if is_torn(raw, ended=ended):
            torn.append(_torn(file, number, raw, words))
            continue
        try:
            line = _line(raw, number, file.name, words)
            if isinstance(line, Line):
                lines.append(line)
            else:
                unknown.setdefault(line, []).append(number)
        except InputProblems as error:
            problems += [_on_line(number, problem) for problem in error.problems]
    if problems and b'"entry/1"' not in file.data:
        mend = "give a file written by `asfound enter` or the offline form, or one with a record a line"
        raise stop("is not a file of entries: none of its lines is an entry", mend, file=file.name)
    if problems or not lines:
        problems += [_on_line(number, problem) for problem, numbers in unknown.items() for number in numbers]
    stop_if(sorted(problems, key=lambda problem: problem.line))
    warnings = [*torn, *(_left_out(problem, numbers) for problem, numbers in unknown.items())]
    return Entries(file.name, tuple(lines), tuple(warnings))


def _refuse_newer(file: FileBytes) -> None:
    """Raise InputProblems, once, if lines are in a form that only newer versions read."""
    for found in _OTHER_MARK.finditer(file.data):
        if message := newer_form(found[1].decode(), "entry"):
            line = file.data.count(b"\n", 0, found.start()) + 1
            raise stop(message, USE_NEWER, file=file.name, line=line)


def _raw_lines(data: bytes) -> Iterator[tuple[int, bytes, bool]]:
    """Yield the lines that are not blank: number, bytes, and whether the line ends with a newline."""
    lines = data.removeprefix(codecs.BOM_UTF8).split(b"\n")
    for number, raw in enumerate(lines, start=1):
        if raw.strip():
            yield number, raw.rstrip(b"\r"), number < len(lines)


def is_torn(raw: bytes, *, ended: bool) -> bool:
    """Return whether a line is a torn record; `ended`: whether the line ends with a newline."""
    if raw.endswith(TORN_MARK.encode()):
        return True
    return not ended and _not_json(raw)


def _not_json(raw: bytes) -> bool:
    try:
        parse_json(raw.decode("utf-8"), "")
    except (UnicodeDecodeError, InputProblems):
        return True
    return False


def _on_line(number: int, problem: Problem) -> Problem:
    """Return a problem of a single line as a problem of the file, with the line's number."""
    return replace(problem, line=number, message=problem.message.replace(" (first at line 1)", ""))


def _torn(file: FileBytes, number: int, raw: bytes, words: Vocabulary) -> Problem:
    text = raw.decode("utf-8", "backslashreplace").removesuffix(TORN_MARK)
    message = f"a torn record, left out: {quoted(text, words.secrets)}"
    return Problem(message, "read that setting again at the device", file.name, line=number)


def _left_out(unknown: Problem, numbers: Sequence[int]) -> Problem:
    """Return a warning of the readings of an unknown setting: it may have been taken out of a device type."""
    readings = f"{len(numbers)} readings" if len(numbers) > 1 else "a reading"
    setting = unknown.message.removeprefix("unknown ")
    message = f"left out {readings} of the {setting}, which no device type has"
    return replace(unknown, message=message, line=numbers[0])


def _line(raw: bytes, number: int, name: str, words: Vocabulary) -> Line | Problem:
    """Return an entry, or what is wrong with its setting if no device type has it.

    Raises InputProblems that never show an access code.
    """
    if len(raw) > LONGEST_CELL:
        raise stop(f"the line is longer than {LONGEST_CELL:,} bytes", "check that this is the right file",
                   file=name)  # fmt: skip
    try:
        text = composed(raw.decode("utf-8"))
    except UnicodeDecodeError as error:
        message = f"byte {raw[error.start]:#04x} is not UTF-8"
        raise stop(message, "save it as UTF-8", file=name) from None
    data = parse_json(text, name)
    word = data.get("setting") if isinstance(data, dict) else None
    field = _field(word, words) if isinstance(word, str) else None
    if isinstance(word, str) and (field in words.secrets or (field is None and may_be_code(word))):
        message = "contains what may be an access code, which must never be in an entry"
        mend = "delete the line; enter default_refused: yes, no or not tried; and have that code changed"
        raise stop(message, mend, file=name)
    entry = build(Document(name, data, text=text), Entry, "entry")
    if field is None:
        shown = HIDDEN_QUOTE if may_be_code(entry.value) else quoted(entry.setting, words.secrets)
        mend = nearest(cut(entry.setting), (*words.settings, *DEVICE_FIELDS))
        problem = Problem(f"unknown setting {shown}", mend, name)
        if words.field(whole_characters(entry.setting)) in FIELDS:
            raise InputProblems([problem])
        return problem
    return Line(number, entry, field)


def _field(word: str, words: Vocabulary) -> str | None:
    """Return the setting or device field that a word stands for; None if it is neither."""
    word = whole_characters(word)
    if folded(word) in DEVICE_FIELDS:
        return folded(word)
    name = words.field(word)
    return None if name in FIELDS else name
