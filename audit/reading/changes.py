"""Change records from their files, with every setting and value that they name checked."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import partial
from pathlib import Path

from audit.errors import InputProblems, Problem, nearest
from audit.model.change import Change, ChangesFile
from audit.model.device import DeviceType, Setting
from audit.model.drift import ReadChange
from audit.model.table import Place, Style
from audit.planning import expected
from audit.reading.documents import read_naming
from audit.reading.inputs import Inputs
from audit.reading.quoting import quoted
from audit.reading.values import parse
from audit.reading.yaml_core import Document


def read_changes(paths: Iterable[Path], types: Sequence[DeviceType], inputs: Inputs) -> list[ReadChange]:
    """Return the change records of all files, in order. Raises InputProblems with all that is wrong.

    `types` are the device types whose settings the records may name.
    """
    found: list[ReadChange] = []
    problems: list[Problem] = []
    ids: dict[str, str] = {}
    for path in paths:
        try:
            file, document, written, unknown = read_naming(
                path, ChangesFile, "changes", partial(_unknown_settings, types=types)
            )
        except InputProblems as error:
            problems.extend(error.problems)
            continue
        problems.extend(unknown)
        inputs.add(file, "change records")
        for i, change in enumerate(written.changes):
            mark = document.mark(("changes", i))
            place = Place(file.name, "", mark.line, str(mark.column), f"change {change.id}", change.id)
            if change.id in ids:
                message = f"the change {quoted(change.id)} is there already, in {ids[change.id]}"
                problems.append(place.problem(message, "give each change an id of its own"))
            ids.setdefault(change.id, file.name)
            problems.extend(_slips(document, i, change, types))
            found.append(ReadChange(change, _text(document, i, "from", change.before),
                                    _text(document, i, "to", change.after), place))  # fmt: skip
    if problems:
        raise InputProblems(problems)
    return found


def _text(document: Document, i: int, key: str, value: object) -> str:
    """Return a value as it is written: 0050 is not 50."""
    if value is None:
        return ""
    mark = document.marks.get(("changes", i, key))
    return mark.raw if mark else str(value)


def _named(name: str, types: Sequence[DeviceType]) -> list[Setting]:
    return [setting for kind in types for setting in kind.settings if setting.name == name]


def _unknown_settings(document: Document, types: Sequence[DeviceType]) -> Iterator[Problem]:
    """Yield the settings that are not there, of records that may be wrong in other ways as well."""
    entries = document.data.get("changes") if isinstance(document.data, dict) else None
    known = [setting.name for kind in types for setting in kind.settings]
    for i, entry in enumerate(entries if isinstance(entries, list) else ()):
        name = entry.get("setting") if isinstance(entry, dict) else None
        if isinstance(name, str) and name not in known:
            yield _at(document, i, "setting", f"unknown setting {quoted(name)}", nearest(name, known))


def _slips(document: Document, i: int, change: Change, types: Sequence[DeviceType]) -> Iterator[Problem]:
    """Yield the values of a setting that a record must not give, has to give, or that are none."""
    settings = _named(change.setting or "", types)
    if not settings:
        return
    if any(setting.kind == "secret" for setting in settings):
        for key, value in (("from", change.before), ("to", change.after)):
            if value is not None:
                mend = "take the value out, and change the code"
                yield _at(document, i, key, "a change record must not hold an access code", mend)
        return
    if change.after is None:
        yield _at(document, i, "setting", "the record does not say what the setting was changed to",
                  "give the value: `to: ...`")  # fmt: skip
    for key, value in (("from", change.before), ("to", change.after)):
        text = _text(document, i, key, value)
        if value is not None and not any(parse(text, setting, Style()).read for setting in settings):
            note = parse(text, settings[0], Style()).note or "it is blank"
            yield _at(document, i, key, f"{change.setting}: {note}", expected(settings[0]))


def _at(document: Document, i: int, key: str, message: str, mend: str) -> Problem:
    mark = document.mark(("changes", i, key))
    return Problem(message, mend, document.file, "", mark.line, str(mark.column))
