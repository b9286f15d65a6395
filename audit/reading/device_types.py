"""Device types from their files, with shared settings included."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from pydantic import ValidationError

from audit.errors import InputProblems, Problem, near, nearest, stop, stop_if
from audit.grouping import grouped
from audit.model.device import DeviceSettings, DeviceType, Setting
from audit.model.readback import FIELDS
from audit.model.roles import SETPOINTS
from audit.model.table import HIDDEN
from audit.phrases import listed
from audit.reading.documents import read_model
from audit.reading.files import beside
from audit.reading.identifiers import mistyped
from audit.reading.inputs import Inputs
from audit.reading.marks import Document
from audit.reading.values import default_value
from audit.reading.written_numbers import without_advice

SHORTEST_CODE = 3
"""Shorter factory codes are not looked for in texts: they occur in most of them by chance."""

MEASURED = ("range_low", "range_high", "deadband", *SETPOINTS)
"""Roles of settings that are compared with each other, and with the sensor, by their measuring input."""

DEFAULT_INPUT: str = Setting.model_fields["input"].default
MOST_SETTINGS = 3
"""Most settings that are named of a misspelt input."""

Written = dict[str, tuple[Setting, Document, int]]
"""Name → a setting, and the file and entry in which it is written."""


def read_device_types(
    plan: Path, references: list[tuple[str, int]], name: str, inputs: Inputs
) -> dict[str, DeviceType]:
    """Return the device types that a plan refers to, by name. Raises InputProblems for all files.

    `references` are paths relative to the plan, each with the line on which it is written.
    """
    types: dict[str, DeviceType] = {}
    files: dict[str, str] = {}
    problems: list[Problem] = []
    for reference, line in references:
        try:
            path = beside(plan, reference, name, line)
            kind = _read(path, inputs)
            if kind.name in types:
                first, again = files[kind.name], path.as_posix()
                message, mend = "the plan names it twice", "name it once"
                if first != again:
                    message = f"the device type {kind.name!r} is already in {first}"
                    mend = "rename one of them"
                raise stop(message, mend, file=again)
            types[kind.name] = kind
            files[kind.name] = path.as_posix()
        except InputProblems as found:
            problems.extend(found.problems)
    stop_if([*problems, *_sometimes_codes(types, files)])
    return types


def _sometimes_codes(types: Mapping[str, DeviceType], files: Mapping[str, str]) -> Iterator[Problem]:
    """Yield a problem for each setting that is an access code in one device type, and none in another.

    A column of a readback is for the devices of all types: its texts can only be hidden together.
    """
    of_name = grouped(
        (s.name, (kind.name, s.kind == "secret")) for kind in types.values() for s in kind.settings
    )
    for name, uses in of_name.items():
        codes, others = ([kind for kind, secret in uses if secret is wanted] for wanted in (True, False))
        if codes and others:
            message = f"{name} is no access code here, but one in the device type {codes[0]!r}"
            yield Problem(message, "give it another name in one of them", files[others[0]])


def _read(path: Path, inputs: Inputs) -> DeviceType:
    kind, document, file = read_model(path, DeviceType, "device-type")
    inputs.add(file, "device type")
    settings: Written = {}
    problems: list[Problem] = []
    for i, reference in enumerate(kind.include):
        line = document.mark(("include", i)).line
        shared, shared_document, shared_file = read_model(
            beside(path, reference, file.name, line), DeviceSettings, "device-settings"
        )
        inputs.add(shared_file, "shared settings")
        written = _as_written(shared.settings, shared_document)
        problems += _slips(written, shared_document)
        settings |= written
    written = _as_written(kind.settings, document)
    problems += _slips(written, document)
    settings |= written
    problems += _without_sensor(kind, settings, document)
    stop_if(problems)
    data = kind.model_dump() | {"settings": tuple(s.model_dump() for s, _, _ in settings.values())}
    try:
        return _without_codes(DeviceType.model_validate(data))
    except ValidationError as error:
        message = error.errors()[0]["msg"].removeprefix("Value error, ")
        raise stop(message, "correct the device type or what it includes",
                   file=file.name) from None  # fmt: skip


def _without_codes(kind: DeviceType) -> DeviceType:
    """Return a device type without any factory codes that somebody may have written into its texts."""
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


def _without_sensor(kind: DeviceType, settings: Written, document: Document) -> Iterator[Problem]:
    """Yield a problem for each sensor without a measuring input, and the other way round.

    A range or setpoint that is the only one of its input, and has no sensor, is not compared with anything:
    its input has been misspelt or left out. Inputs with quite different names need no sensor.
    """
    inputs = grouped((setting.input, setting.name) for setting, _, _ in settings.values())
    unused = [name for name in kind.sensors if name not in inputs]
    for name in unused:
        message = f"no setting has the input {name!r} that is listed in `sensors`"
        yield document.problem(("sensors", name), message, nearest(name, inputs), of_key=True)
    without: dict[str, list[str]] = {}
    for setting, _, _ in settings.values() if kind.sensors and not unused else ():
        if setting.role in MEASURED and setting.input not in kind.sensors:
            without.setdefault(setting.input, []).append(setting.name)
    alone = {name: ones[0] for name, ones in without.items() if len(ones) == 1}
    for name, one in alone.items():
        if name != DEFAULT_INPUT and not near(name, kind.sensors):
            continue
        _, file, i = settings[one]
        message = f"{one}: `sensors` of {kind.name!r} has no input {name!r}"
        mend = f"correct `input`, or add its sensor; {nearest(name, kind.sensors)}"
        yield file.problem(("settings", i, "input"), message, mend)
        inputs.pop(name)
    yield from _misspelt(inputs, kind, settings) if not unused else ()


def _misspelt(inputs: Mapping[str, Sequence[str]], kind: DeviceType, settings: Written) -> Iterator[Problem]:
    """Yield a problem for each input (with its settings) whose name is that of another, mis-keyed.

    It is right where it is a sensor's; where no sensors are listed, the one with more settings is. Names that
    differ in a digit are those of two inputs.
    """
    ranked = sorted(inputs, key=lambda name: -len(inputs[name]))
    for k, name in enumerate(ranked):
        alike = (one for one in kind.sensors or ranked[:k] if mistyped(name, one))
        meant = next((one for one in alike if re.findall(r"\d", one) == re.findall(r"\d", name)), "")
        if not meant or name in kind.sensors or name == DEFAULT_INPUT:
            continue
        _, file, i = settings[inputs[name][0]]
        message = f"the input {name!r} of {listed(inputs[name], MOST_SETTINGS)} is probably {meant!r}"
        mend = "correct `input`; or, if they are two inputs, give them names that differ more"
        yield file.problem(("settings", i, "input"), message, mend)


def _slips(settings: Written, document: Document) -> Iterator[Problem]:
    """Yield a problem for each factory default that is not a value of its setting: rules would not know it.

    One beyond the setting's limits is accepted: devices leave the factory with addresses that nobody can set.
    A setting named like a column of readbacks is a problem too, since it would be read as that column.
    """
    for setting, _, i in settings.values():
        if setting.name in FIELDS:
            message = f"{setting.name!r} is a column of readbacks: {FIELDS[setting.name]}"
            yield document.problem(("settings", i, "name"), message, "give the setting another name")
        value = default_value(setting)
        if value is None:
            continue
        why = "" if value.read else without_advice(value.note)  # no mapping applies to such a file
        if value.read and setting.options and value.content not in setting.options:
            why = f"{str(setting.default)!r} is not one of its options"
        if why:
            message, mend = f"the default of {setting.name}: {why}", "correct it, or the setting"
            yield document.problem(("settings", i, "default"), message, mend)


def _as_written(settings: tuple[Setting, ...], document: Document) -> Written:
    """Return the settings by name, each factory default as it is written: 0000 is not 0."""
    found: Written = {}
    for i, setting in enumerate(settings):
        mark = document.marks.get(("settings", i, "default"))
        raw = mark.raw if mark and setting.default is not None else None
        as_written = setting.model_copy(update={"default": raw}) if raw else setting
        found[setting.name] = (as_written, document, i)
    return found
