"""Readers: who read the devices, when and how, as far as the readback says. A result rests on that."""

from __future__ import annotations

import datetime
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from functools import cache
from itertools import groupby
from operator import attrgetter
from typing import NamedTuple

from audit.checks.copied.readings import VARYING
from audit.checks.counting_rows import Row, counting_rows
from audit.grouping import grouped
from audit.model.device import AT_THE_DEVICE, Setting
from audit.model.site import Site
from audit.model.table import RawColumn, Table
from audit.model.used import ReadBy
from audit.people import one_spelling
from audit.reading.gateway_lists import is_list
from audit.reading.identifiers import bare
from audit.reading.moments import day_alone
from audit.reading.quoting import cut

FIELDS = ("read_by", "read_at", "read_how")


class Told(NamedTuple):
    """What a row says of its reading, in the order of FIELDS."""

    by: str
    at: str
    how: str


@dataclass
class _Share:
    """What one person read."""

    name: str
    devices: int = 0
    undated: int = 0
    span: tuple[str, ...] = ()
    """The first and the last time; nothing if there is none."""
    how: Counter[str] = field(default_factory=Counter)
    """How it was read → devices."""

    def add(self, rows: Sequence[Told], devices: int) -> None:
        """Count devices, of each of which rows say this."""
        times = [_to_the_minute(row.at) for row in rows if row.at]
        self.devices += devices
        self.undated += 0 if times else devices
        if times:
            times += self.span
            self.span = min(times), max(times)
        for how in {row.how for row in rows if row.how}:
            self.how[how] += devices


def readers_of(site: Site) -> list[ReadBy]:
    """Return who read how many devices, from when to when; whoever read most comes first.

    Rows count that still have a reading which no later one has replaced, of a setting that somebody sets and
    reads at the device: what a gateway lists, such as the signal strength, has no reader. A person in several
    spellings is one. Where no table says anything of readers, there is none.
    """
    if not any(name in table.columns for table in site.tables() for name in FIELDS):
        return []
    shares: dict[str, _Share] = {}
    person = cache(one_spelling)
    of_devices = groupby(_read_at_the_device(site), attrgetter("b", "i"))
    alike = Counter(tuple([_told(row) for row in rows]) for _, rows in of_devices)
    for texts, devices in alike.items():
        told = [Told(*map(bare, row)) for row in texts]
        for who, its in grouped((person(row.by), row) for row in told).items():
            shares.setdefault(who, _Share(its[0].by)).add(its, devices)
    most_first = sorted(shares.values(), key=lambda one: (-one.devices, one.name))
    return list(map(_read_by, most_first))


def _told(row: Row) -> tuple[str, str, str]:
    """Return the texts of a row about its reading, as written: most rows of a round have the same."""
    by, at, how = (row.table.texts(name)[row.entry] for name in FIELDS)
    return by, at, how


def _read_at_the_device(site: Site) -> Iterator[Row]:
    """Yield the rows that have a reading of a setting that somebody sets and reads at the device."""
    columns_of: dict[tuple[int, int], list[RawColumn]] = {}
    for row in counting_rows(site):
        key = row.b, id(row.table)
        if key not in columns_of:
            columns_of[key] = list(_columns_with_a_reader(row.table, row.block.type.settings))
        if any(not column.is_blank(row.entry) for column in columns_of[key]):
            yield row


def _columns_with_a_reader(table: Table, settings: Sequence[Setting]) -> Iterator[RawColumn]:
    """Yield the columns of readings at the device. A gateway's list has none, only addresses."""
    for setting in settings if not is_list(table, settings) else ():
        at_device = setting.read_at in AT_THE_DEVICE and setting.role not in VARYING
        if at_device and setting.name in table.columns:
            yield table.columns[setting.name]


def _read_by(share: _Share) -> ReadBy:
    first, last = share.span or (None, None)
    how = Counter[str]()
    for text, devices in share.how.items():
        how[cut(text)] += devices
    most_first = dict(sorted(how.items(), key=lambda one: (-one[1], one[0])))
    return ReadBy(name=cut(share.name) or None, devices=share.devices, first=first, last=last,
                  undated=share.undated, how=most_first)  # fmt: skip


@cache
def _to_the_minute(text: str) -> str:
    """Return a time to the minute, by the clock of whoever wrote it; a day alone stays one."""
    found = datetime.datetime.fromisoformat(text)
    found = found.replace(tzinfo=None)
    return found.date().isoformat() if day_alone(text) else found.isoformat(timespec="minutes")
