"""When devices were read: on a known day, not before installation, not long ago, not after the run."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Iterator

from audit.checks.context import Context
from audit.checks.counting_rows import Row, counting_rows, were
from audit.grouping import grouped
from audit.model.device import AT_THE_DEVICE
from audit.model.finding import Gap, Hit, Outcome
from audit.reading.moments import day_of


def before_installation(context: Context) -> Outcome:
    """Return a hit for each device and day on which it was read before it was installed.

    Of many rows of one day, as entries are, the first stands for all.
    """
    looked_at = 0
    early: dict[tuple[int, int, datetime.date], Hit] = {}
    for row in counting_rows(context.site, "read_at"):
        read, installed = day_of(row.text("read_at")), day_of(row.block.installed[row.i])
        if read is None or installed is None:
            continue
        looked_at += 1
        if read < installed and (row.b, row.i, read) not in early:
            message = f"read on {read}, installed on {installed}"
            places = (
                row.table.place(row.entry, "read_at"),
                row.block.planned_place(row.i, "installed_on"),
            )
            early[row.b, row.i, read] = row.hit(message, found=row.text("read_at"), places=places)
    return Outcome(looked_at, list(early.values()))


def after_run(context: Context) -> Outcome:
    """Return a hit for each network with something read after the day of the run."""
    day, dated = context.site.day, _dated(context)
    later = [(read, row) for read, row in dated if day and read > day]
    hits = []
    for of_network in _by_network(later):
        read, last = max(of_network, key=lambda one: one[0])
        words = f"read after the day of this run, {day}: the latest on {read}"
        hits.append(_about_devices([row for _, row in of_network], last, words, found=str(read)))
    return Outcome(len(dated), hits)


def too_old(context: Context, days: int) -> Outcome:
    """Return a hit for each network with something read more than `days` before the run."""
    day, dated = context.site.day, _dated(context)
    old = [(read, row) for read, row in dated if day and (day - read).days > days]
    hits = []
    for of_network in _by_network(old):
        read, first = min(of_network, key=lambda one: one[0])
        ago = f"{(day - read).days:,} days before this run" if day else ""
        which = (
            f"on {read}" if all(one == read for one, _ in of_network) else f"long ago, the first on {read}"
        )
        words = f"read {which}, {ago}"
        hits.append(_about_devices([row for _, row in of_network], first, words, found=str(read)))
    undated = len({(row.b, row.i) for row in _undated(context)}) if dated else context.devices_read()
    return Outcome(len(dated), hits, (Gap("read_at", undated),) if undated else ())


def without_day(context: Context) -> Outcome:
    """Return a hit for each network with something read without a date."""
    of_network = grouped((row.block.networks[row.i], row) for row in _undated(context))
    dated = {(row.b, row.i) for _, row in _dated(context)}
    hits = []
    for rows in of_network.values():
        names = dict.fromkeys(name for row in rows for name in _counting(row))
        part = all((row.b, row.i) in dated for row in rows)
        rest = f" for {', '.join(names)}; the other readings have one" if part else ""
        hits.append(_about_devices(rows, rows[0], f"read without a date{rest}"))
    return Outcome(context.devices_read(), hits)


def _undated(context: Context) -> Iterator[Row]:
    """Yield the rows that count, have something that is read at the device, and no date."""
    for row in counting_rows(context.site):
        if not row.text("read_at") and any(_counting(row)):
            yield row


def _counting(row: Row) -> Iterator[str]:
    """Yield the settings read at the device for which a row has the reading that counts."""
    for setting in row.block.type.settings:
        newest = row.block.readings(row.i, setting.name)[:1] if setting.read_at in AT_THE_DEVICE else []
        if any(table is row.table and entry == row.entry for table, entry in newest):
            yield setting.name


def _dated(context: Context) -> list[tuple[datetime.date, Row]]:
    """Return the rows that say when they were read, with the day."""
    days = ((day_of(row.text("read_at")), row) for row in counting_rows(context.site, "read_at"))
    return [(day, row) for day, row in days if day]


def _by_network(rows: list[tuple[datetime.date, Row]]) -> Iterable[list[tuple[datetime.date, Row]]]:
    return grouped((row.block.networks[row.i], (day, row)) for day, row in rows).values()


def _about_devices(rows: list[Row], at: Row, words: str, found: str = "") -> Hit:
    """Return the hit about the devices of a network, at the row that shows it best."""
    tags = tuple(dict.fromkeys(row.block.tags[row.i] for row in rows))
    places = (at.table.place(at.entry, "read_at"),)
    return Hit(at.block.networks[at.i], "", (), f"{were(len(tags))} {words}", found=found, places=places,
               others=tags, order=(at.b, at.i))  # fmt: skip
