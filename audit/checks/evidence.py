"""evidence: the readback is worth something: read in place, by another person, from the right plan."""

from __future__ import annotations

import datetime
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import NamedTuple

from audit.checks.before_set import before_set
from audit.checks.context import Context
from audit.checks.copied.weighing import looks_copied
from audit.checks.disagreeing import off_plan_readings, readings_disagree
from audit.model.asked_of_evidence import Evidence
from audit.model.device import AT_THE_DEVICE
from audit.model.finding import Gap, Hit, Outcome
from audit.model.site import Block
from audit.model.table import Table
from audit.people import one_spelling, same_person
from audit.reading.identifiers import bare, spelling
from audit.reading.moments import day_of


class Row(NamedTuple):
    """One row of the readback and the device that it is about."""

    b: int
    block: Block
    i: int
    table: Table
    entry: int

    def text(self, field: str) -> str:
        """Return the text of a field of the row, without blanks around it."""
        return bare(self.table.texts(field)[self.entry])

    def hit(self, message: str, **more: object) -> Hit:
        """Return a hit on the row's device."""
        order = (self.b, self.i)
        return Hit(self.block.networks[self.i], self.block.tags[self.i], (), message, order=order, **more)  # type: ignore[arg-type]


def run(context: Context, args: Evidence) -> Outcome:
    """Return the hits of one aspect of evidence."""
    if not context.site.readback:
        return Outcome(0, [])
    if args.signs:
        return looks_copied(context, args.signs)
    return _too_old(context, args.days) if args.days else ASPECTS[args.what](context)


def _rows(context: Context, *fields: str) -> Iterator[Row]:
    """Yield the rows that count: those of which some reading has not been made anew since.

    Nothing is yielded where no table has one of the fields, which then cannot tell anything.
    """
    tables = context.site.tables()
    if any(all(field not in table.columns for table in tables) for field in fields):
        return
    for b, block in enumerate(context.site.blocks):
        names = {setting.name for setting in block.type.settings}
        for i, rows in enumerate(block.rows):
            if len(rows) < 2:  # nothing can have been made anew
                yield from (Row(b, block, i, table, entry) for table, entry in rows)
                continue
            newer: set[str] = set()
            counting = []
            for table, entry in reversed(rows):
                given = {name for name in names if _given(table, name, entry)}
                if not newer or not given <= newer:
                    counting.append(Row(b, block, i, table, entry))
                newer |= given
            yield from reversed(counting)


def _given(table: Table, name: str, entry: int) -> bool:
    """Tell whether a row gives a value of a setting."""
    column = table.columns.get(name)
    return column is not None and not column.style.is_blank(column.texts[entry])


def _once_a_network(rows: list[Row], field: str, message: Callable[[int, str], str]) -> list[Hit]:
    """Return one hit, a network and text of the field, for what concerns many devices alike.

    `message` is given the number of devices and the text.
    """
    of_network: dict[tuple[str, str], list[Row]] = {}
    for row in rows:
        text = row.text(field)
        one = one_spelling(text) if field == "read_by" else text.casefold()
        of_network.setdefault((row.block.networks[row.i], one), []).append(row)
    hits = []
    for group in of_network.values():
        first = group[0]
        tags = list(dict.fromkeys(row.block.tags[row.i] for row in group))
        place = first.table.place(first.entry, field)
        words = message(len(tags), first.text(field))
        network, order = first.block.networks[first.i], (first.b, first.i)
        found = first.text(field)
        hits.append(
            Hit(network, "", (), words, found=found, places=(place,), others=tuple(tags), order=order)
        )
    return hits


def _were(count: int) -> str:
    return "1 device was" if count == 1 else f"{count} devices were"


def _same_person(count: int, who: str) -> str:
    return f"{_were(count)} set and read back by the same person, {who}"


def _self_checked(context: Context) -> Outcome:
    signed = [
        row
        for row in _rows(context, "configured_by", "read_by")
        if row.text("configured_by") and row.text("read_by")
    ]
    alone = [row for row in signed if same_person(row.text("configured_by"), row.text("read_by"))]
    hits = _once_a_network(alone, "read_by", _same_person)
    return Outcome(len(signed), hits)


def _stale_revision(context: Context) -> Outcome:
    current = context.site.plan.site.revision
    citing = [row for row in _rows(context, "plan_revision") if row.text("plan_revision") and current]
    stale = [row for row in citing if row.text("plan_revision").casefold() != current.casefold()]
    hits = _once_a_network(
        stale,
        "plan_revision",
        lambda n, cited: f"{_were(n)} read against plan revision {cited}; the plan is at {current}",
    )
    return Outcome(len(citing), hits)


def _before_installation(context: Context) -> Outcome:
    looked_at, hits = 0, []
    for row in _rows(context, "read_at"):
        read, installed = day_of(row.text("read_at")), day_of(row.block.installed[row.i])
        if read is None or installed is None:
            continue
        looked_at += 1
        if read < installed:
            message = f"read on {read}, installed on {installed}"
            places = (
                row.table.place(row.entry, "read_at"),
                row.block.planned_place(row.i, "installed_on"),
            )
            hits.append(row.hit(message, found=row.text("read_at"), places=places))
    return Outcome(looked_at, hits)


def _after_run(context: Context) -> Outcome:
    day, dated = context.site.day, _dated(context)
    later = [(read, row) for read, row in dated if day and read > day]
    hits = []
    for of_network in _by_network(later):
        read, last = max(of_network, key=lambda one: one[0])
        words = f"read after the day of this run, {day}: the last of them on {read}"
        hits.append(_about_days(of_network, last, read, words))
    return Outcome(len(dated), hits)


def _too_old(context: Context, days: int) -> Outcome:
    day, dated = context.site.day, _dated(context)
    old = [(read, row) for read, row in dated if day and (day - read).days > days]
    hits = []
    for of_network in _by_network(old):
        read, first = min(of_network, key=lambda one: one[0])
        ago = f"{(day - read).days:,} days before this run" if day else ""
        which = (
            f"on {read}" if all(one == read for one, _ in of_network) else f"long ago, the first on {read}"
        )
        hits.append(_about_days(of_network, first, read, f"read {which}, {ago}"))
    undated = len({(row.b, row.i) for row in _undated(context)}) if dated else context.devices_read()
    return Outcome(len(dated), hits, (Gap("read_at", undated),) if undated else ())


def _without_day(context: Context) -> Outcome:
    of_network: dict[str, list[Row]] = defaultdict(list)
    for row in _undated(context):
        of_network[row.block.networks[row.i]].append(row)
    dated = {(row.b, row.i) for _, row in _dated(context)}
    hits = []
    for rows in of_network.values():
        names = dict.fromkeys(name for row in rows for name in _counting(row))
        part = all((row.b, row.i) in dated for row in rows)
        rest = f" of {', '.join(names)}; the other readings have their day" if part else ""
        hits.append(_about_devices(rows, rows[0], f"read, and nobody says when{rest}"))
    return Outcome(context.devices_read(), hits)


def _undated(context: Context) -> Iterator[Row]:
    """Yield the rows that count, give something that is read at the device, and do not say when it was."""
    for row in _rows(context):
        if not row.text("read_at") and any(_counting(row)):
            yield row


def _counting(row: Row) -> Iterator[str]:
    """Yield the settings read at the device of which a row holds the reading that counts."""
    for setting in row.block.type.settings:
        newest = row.block.readings(row.i, setting.name)[:1] if setting.read_at in AT_THE_DEVICE else []
        if any(table is row.table and entry == row.entry for table, entry in newest):
            yield setting.name


def _dated(context: Context) -> list[tuple[datetime.date, Row]]:
    """Return the rows that say when they were read, with the day."""
    days = ((day_of(row.text("read_at")), row) for row in _rows(context, "read_at"))
    return [(day, row) for day, row in days if day]


def _by_network(rows: list[tuple[datetime.date, Row]]) -> Iterable[list[tuple[datetime.date, Row]]]:
    found: dict[str, list[tuple[datetime.date, Row]]] = defaultdict(list)
    for day, row in rows:
        found[row.block.networks[row.i]].append((day, row))
    return found.values()


def _about_days(rows: list[tuple[datetime.date, Row]], at: Row, day: datetime.date, words: str) -> Hit:
    return _about_devices([row for _, row in rows], at, words, found=str(day))


def _about_devices(rows: list[Row], at: Row, words: str, found: str = "") -> Hit:
    """Return the hit about the devices of a network, at the row that shows it best."""
    tags = tuple(dict.fromkeys(row.block.tags[row.i] for row in rows))
    places = (at.table.place(at.entry, "read_at"),)
    return Hit(at.block.networks[at.i], "", (), f"{_were(len(tags))} {words}", found=found, places=places,
               others=tags, order=(at.b, at.i))  # fmt: skip


def _other_network(context: Context) -> Outcome:
    naming = [
        (networks, texts) for block in context.site.blocks for networks, texts in _named_networks(block)
    ]
    if all(networks == texts for networks, texts in naming):  # mostly so, and quick to see
        return Outcome(sum(len(texts) for _, texts in naming), [])
    rows = [(row, text) for row in _rows(context, "network") if (text := row.text("network"))]
    unlike = [(row, text) for row, text in rows if text != row.block.networks[row.i]]
    elsewhere = [row for row, text in unlike if spelling(text) != spelling(row.block.networks[row.i])]
    return Outcome(len(rows), _once_a_network(elsewhere, "network", _named_elsewhere))


def _named_networks(block: Block) -> Iterator[tuple[Sequence[str], Sequence[str]]]:
    """Yield the planned networks of devices, and beside them those that some of their rows name."""
    for group in block.alike:
        for texts in group.texts("network"):
            if any(texts):
                yield list(map(block.networks.__getitem__, group.devices)), texts


def _named_elsewhere(count: int, network: str) -> str:
    devices = "1 device that is" if count == 1 else f"{count} devices that are"
    return f"{devices} planned here stood under the network {network!r} in the readback"


ASPECTS: dict[str, Callable[[Context], Outcome]] = {
    "self-checked": _self_checked,
    "stale-revision": _stale_revision,
    "readings-disagree": readings_disagree,
    "off-plan-reading": off_plan_readings,
    "before-installation": _before_installation,
    "before-set": before_set,
    "after-run": _after_run,
    "other-network": _other_network,
    "undated": _without_day,
}
