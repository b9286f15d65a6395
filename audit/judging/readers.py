"""Readers: who read the devices, when and how, as far as the readback says. A result rests on that."""

from __future__ import annotations

import datetime
from collections import Counter
from dataclasses import dataclass, field
from functools import cache

from audit.checks.copied.readings import VARYING
from audit.checks.counting_rows import Row, counting_rows
from audit.model.device import AT_THE_DEVICE
from audit.model.site import Site, Target
from audit.model.used import ReadBy
from audit.people import one_spelling
from audit.reading.moments import day_alone


@dataclass
class _Share:
    """What one person read: the devices, each with its times, and how."""

    name: str
    times: dict[Target, list[str]] = field(default_factory=dict)
    how: dict[str, set[Target]] = field(default_factory=dict)


def readers_of(site: Site) -> list[ReadBy]:
    """Return who read how many devices, from when to when; whoever read most comes first.

    Rows count that still have a reading which no later one has replaced, of a setting that somebody sets and
    reads at the device: what a gateway lists, such as the signal strength, has no reader. A person in several
    spellings is one.
    """
    shares: dict[str, _Share] = {}
    for row in counting_rows(site):
        if _was_at_the_device(row):
            name, device = row.text("read_by"), (row.b, row.i)
            share = shares.setdefault(one_spelling(name) if name else "", _Share(name))
            share.times.setdefault(device, []).append(row.text("read_at"))
            if how := row.text("read_how"):
                share.how.setdefault(how, set()).add(device)
    return [_read_by(share) for share in sorted(shares.values(), key=lambda one: (-len(one.times), one.name))]


def _was_at_the_device(row: Row) -> bool:
    """Tell whether a row has a reading of a setting that somebody sets and reads at the device."""
    return any(
        (column := row.table.columns.get(setting.name)) and not column.style.is_blank(column.texts[row.entry])
        for setting in row.block.type.settings
        if setting.read_at in AT_THE_DEVICE and setting.role not in VARYING
    )


def _read_by(share: _Share) -> ReadBy:
    stated = [_to_the_minute(text) for texts in share.times.values() for text in texts if text]
    how = Counter({words: len(devices) for words, devices in share.how.items()})
    return ReadBy(
        name=share.name or None,
        devices=len(share.times),
        first=min(stated, default=None),
        last=max(stated, default=None),
        undated=sum(not any(texts) for texts in share.times.values()),
        how=dict(sorted(how.items(), key=lambda one: (-one[1], one[0]))),
    )


@cache
def _to_the_minute(text: str) -> str:
    """Return a time to the minute, by the clock of whoever wrote it; a day alone stays one."""
    found = datetime.datetime.fromisoformat(text)
    return found.date().isoformat() if day_alone(text) else found.strftime("%Y-%m-%dT%H:%M")
