"""Change records from their files, with every setting and value that they name checked."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import partial
from pathlib import Path

from audit.errors import InputProblems, Problem, nearest, stop_if
from audit.model.change import Change, ChangesFile
from audit.model.device import DeviceType
from audit.model.drift import ReadChange
from audit.model.table import Style
from audit.reading.documents import read_naming
from audit.reading.inputs import Inputs
from audit.reading.marks import Document
from audit.reading.quoting import quoted
from audit.reading.same_files import once
from audit.reading.values import expected, parse


def read_changes(paths: Iterable[Path], types: Sequence[DeviceType], inputs: Inputs) -> list[ReadChange]:
    """Return the change records of all files, in order. Raises InputProblems with everything that is wrong.

    `types` are the device types whose settings the records may name.
    """
    found: list[ReadChange] = []
    problems: list[Problem] = []
    ids: dict[str, str] = {}
    for path in once(paths):
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
            place = document.place(("changes", i), f"change {change.id}", change.id)
            if change.id in ids:
                message = f"the change {quoted(change.id)} is already in {ids[change.id]}"
                problems.append(place.problem(message, "give each change an id of its own"))
            ids.setdefault(change.id, file.name)
            problems.extend(_slips(document, i, change, types))
            before = document.written(("changes", i, "from"), change.before)
            after = document.written(("changes", i, "to"), change.after)
            found.append(ReadChange(change, before, after, place))
    stop_if(problems)
    return found


def _unknown_settings(document: Document, types: Sequence[DeviceType]) -> Iterator[Problem]:
    """Yield the settings that do not exist, from records that may be wrong in other ways as well."""
    entries = document.data.get("changes") if isinstance(document.data, dict) else None
    known = [setting.name for kind in types for setting in kind.settings]
    for i, entry in enumerate(entries if isinstance(entries, list) else ()):
        name = entry.get("setting") if isinstance(entry, dict) else None
        if isinstance(name, str) and name not in known:
            message = f"unknown setting {quoted(name)}"
            yield document.problem(("changes", i, "setting"), message, nearest(name, known))


def _slips(document: Document, i: int, change: Change, types: Sequence[DeviceType]) -> Iterator[Problem]:
    """Yield values of a setting that a record must not give, has not given, or that are not its values."""
    settings = [setting for kind in types for setting in kind.settings if setting.name == change.setting]
    if not settings:
        return
    sides = {"from": change.before, "to": change.after}
    given = {key: value for key, value in sides.items() if value is not None}
    if any(setting.kind == "secret" for setting in settings):
        for key in given:
            mend = "take the value out, and change the code"
            message = "a change record must not hold an access code"
            yield document.problem(("changes", i, key), message, mend)
        return
    if change.after is None:
        message = "the record does not say what the setting was changed to"
        yield document.problem(("changes", i, "setting"), message, "give the value: `to: ...`")
    for key, value in given.items():
        text = document.written(("changes", i, key), value)
        if not any(parse(text, setting, Style()).read for setting in settings):
            note = parse(text, settings[0], Style()).note or "it is blank"
            # which device a record means, and so in which unit, is not known yet
            alike = len(set(map(expected, settings))) == 1
            mend = expected(settings[0]) if alike else "write it as the plan writes it for such a device"
            yield document.problem(("changes", i, key), f"{change.setting}: {note}", mend)
