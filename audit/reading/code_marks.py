"""Marks of access codes from their file, and the file brought up to date."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator, Sequence
from pathlib import Path

from audit.errors import stop
from audit.model.code_mark import CodeMark, CodeMarksFile
from audit.model.device import Setting
from audit.model.plan import SiteInfo
from audit.model.site import Block, Site
from audit.model.value import Code
from audit.reading.codes import key_id
from audit.reading.documents import read_model
from audit.reading.inputs import Inputs
from audit.reading.moments import day_of
from audit.texts import serial_of

CODE_MARKS = "code marks"
"""The kind of input that it is."""


def read_marks(path: Path, key: bytes, site: SiteInfo, inputs: Inputs) -> tuple[CodeMark, ...]:
    """Return the marks in a file; none if there is no file yet. Raises InputProblems.

    Those of the site from before it was renamed are under its present name.
    """
    if not path.exists():
        return ()
    marks, _, file = read_model(path, CodeMarksFile, "code-marks")
    if marks.key_id != key_id(key):
        raise stop(
            "was made with another key, so its marks cannot be compared",
            "give the key that it was made with, or start another file",
            file=file.name,
        )
    inputs.add(file, CODE_MARKS)
    found: dict[tuple[str, ...], CodeMark] = {}
    for one in marks.marks:
        mark = one.model_copy(update={"site": site.name}) if one.site in site.formerly else one
        found[_name(mark)] = _joined(found.get(_name(mark)), mark)  # it may have been read under both names
    return tuple(found.values())


def code_read_on(block: Block, i: int, setting: Setting, day: datetime.date) -> datetime.date:
    """Return the day on which a device's code was read: that of the run, unless an earlier one is stated."""
    newest = block.readings(i, setting.name)[:1]
    stated = [day_of(table.texts("read_at")[entry]) for table, entry in newest]
    return min([day, *filter(None, stated)])


def marks_of(site: Site, day: datetime.date) -> Iterator[CodeMark]:
    """Yield the marks of the codes that were read at a site; `day` is that of the run."""
    for block in site.blocks:
        for setting in block.settings("access_code"):
            for i, value in enumerate(block.values("found", setting.name)):
                if isinstance(value.content, Code):
                    read_on = code_read_on(block, i, setting, day)
                    yield CodeMark(
                        site=site.plan.site.name,
                        network=block.networks[i],
                        node=block.tags[i],
                        setting=setting.name,
                        mark=value.content.token.hex(),
                        serial=serial_of(block, i),
                        first_read_on=read_on,
                        last_read_on=read_on,
                    )


def brought_up_to_date(known: Sequence[CodeMark], now: Iterable[CodeMark], key: bytes) -> str:
    """Return the text of a file of marks: those known and those of this run, each code of a device once."""
    marks = {_name(mark): mark for mark in known}
    for mark in now:
        unknown = mark.model_copy(update={"serial": ""})  # from a time when serial numbers were not kept
        before = marks.get(_name(mark)) or marks.pop(_name(unknown), None)
        marks[_name(mark)] = _joined(before, mark)
    ordered = tuple(marks[name] for name in sorted(marks))
    file = CodeMarksFile(asfound="code-marks/1", key_id=key_id(key), marks=ordered)
    return file.model_dump_json(indent=1) + "\n"


def _joined(before: CodeMark | None, mark: CodeMark) -> CodeMark:
    """Return a mark with the days of an earlier mark of the same code too."""
    if before is None:
        return mark
    first = min(before.first_read_on, mark.first_read_on)
    last = max(before.last_read_on, mark.last_read_on)
    return mark.model_copy(update={"first_read_on": first, "last_read_on": last})


def _name(mark: CodeMark) -> tuple[str, str, str, str, str, str]:
    return mark.site, mark.network, mark.node, mark.setting, mark.serial, mark.mark
