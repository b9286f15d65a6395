"""Device types from their files, shared settings put in."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from pathlib import Path

from audit.errors import InputProblems, Problem, stop
from audit.model.device import DeviceSettings, DeviceType, Setting
from audit.model.readback import FIELDS
from audit.model.table import HIDDEN
from audit.reading.documents import read_model
from audit.reading.files import beside
from audit.reading.inputs import Inputs
from audit.reading.marks import Document
from audit.reading.values import default_value

SHORTEST_CODE = 3
"""Shorter factory codes are not looked for in texts: they would stand in most of them by chance."""


def read_device_types(
    plan: Path, references: list[tuple[str, int]], name: str, inputs: Inputs
) -> dict[str, DeviceType]:
    """Return the device types that a plan refers to, by name. Raises InputProblems for all files.

    `references` are paths relative to the plan, each with the line on which it stands.
    """
    types: dict[str, DeviceType] = {}
    problems: list[Problem] = []
    for reference, line in references:
        try:
            path = beside(plan, reference, name, line)
            kind = _read(path, inputs)
            if kind.name in types:
                raise stop(
                    f"a device type {kind.name!r} was read already",
                    "rename one of them",
                    file=path.as_posix(),
                )
            types[kind.name] = kind
        except InputProblems as found:
            problems.extend(found.problems)
    if problems:
        raise InputProblems(problems)
    return types


def _read(path: Path, inputs: Inputs) -> DeviceType:
    kind, document, file = read_model(path, DeviceType, "device-type")
    inputs.add(file, "device type")
    settings: dict[str, Setting] = {}
    problems: list[Problem] = []
    for i, reference in enumerate(kind.include):
        line = document.mark(("include", i)).line
        shared, shared_document, shared_file = read_model(
            beside(path, reference, file.name, line), DeviceSettings, "device-settings"
        )
        inputs.add(shared_file, "shared settings")
        written = _as_written(shared.settings, shared_document)
        problems += _slips(written.values(), shared_document)
        settings |= written
    written = _as_written(kind.settings, document)
    problems += _slips(written.values(), document)
    settings |= written
    if problems:
        raise InputProblems(problems)
    data = kind.model_dump() | {"settings": tuple(s.model_dump() for s in settings.values())}
    try:
        return _without_codes(DeviceType.model_validate(data))
    except ValueError as error:
        message = str(error.errors()[0]["msg"]) if hasattr(error, "errors") else str(error)
        raise stop(message.removeprefix("Value error, "), "mend the device type or what it includes",
                   file=file.name) from None  # fmt: skip


def _without_codes(kind: DeviceType) -> DeviceType:
    """Return a device type without the factory codes that somebody may have written into its texts."""
    defaults = [str(s.default) for s in kind.settings if s.kind == "secret" and s.default is not None]
    codes = "|".join(re.escape(code) for code in defaults if len(code) >= SHORTEST_CODE)
    if not codes:
        return kind

    def hidden(text: str) -> str:
        return re.sub(rf"(?<!\w)(?:{codes})(?!\w)", HIDDEN, text)

    settings = tuple(
        s.model_copy(update={"label": hidden(s.label), "where": hidden(s.where)}) for s in kind.settings
    )
    return kind.model_copy(update={"title": hidden(kind.title), "settings": settings})


def _slips(settings: Iterable[Setting], document: Document) -> Iterator[Problem]:
    """Yield a problem for each factory default that is no value of its setting: no rule would know it again.

    One beyond the setting's limits may be: devices leave the factory with addresses that nobody can set.
    So is a setting that is called as a column of readbacks is, and would be read as that.
    """
    for i, setting in enumerate(settings):
        if setting.name in FIELDS:
            message = f"{setting.name!r} is a column of readbacks: {FIELDS[setting.name]}"
            yield document.problem(("settings", i, "name"), message, "call the setting otherwise")
        value = default_value(setting)
        if value is None:
            continue
        why = (
            "" if value.read else value.note.partition("; state `decimal")[0]
        )  # no mapping is of such a file
        if value.read and setting.options and value.content not in setting.options:
            why = f"{str(setting.default)!r} is none of its options"
        if why:
            message, mend = f"the default of {setting.name}: {why}", "correct it, or the setting"
            yield document.problem(("settings", i, "default"), message, mend)


def _as_written(settings: tuple[Setting, ...], document: Document) -> dict[str, Setting]:
    """Return the settings by name, each factory default as it is written: 0000 is not 0."""
    found = {}
    for i, setting in enumerate(settings):
        mark = document.marks.get(("settings", i, "default"))
        raw = mark.raw if mark and setting.default is not None else None
        found[setting.name] = setting.model_copy(update={"default": raw}) if raw else setting
    return found
