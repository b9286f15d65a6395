"""What a device is now set to: as last read, or as set since by a change record."""

from __future__ import annotations

import datetime
from collections.abc import Iterable
from typing import NamedTuple

from audit.diagnosis.examined import Case
from audit.diagnosis.exchanges import brings
from audit.diagnosis.gathering.records import set_records
from audit.diagnosis.lists import time_of
from audit.model.device import Setting
from audit.model.drift import ReadChange
from audit.model.roles import NETWORK_ROLES
from audit.model.site import Block, Target
from audit.model.table import Place, Style
from audit.model.value import Value
from audit.reading.values import parse


class Held(NamedTuple):
    """A value that a device now has."""

    value: Value
    place: Place
    at: datetime.datetime | None
    """When it was read, or set; None if the reading is not dated."""
    change: str = ""
    """Id of the change record that set it after it was read; empty if it is as read."""

    def off_plan(self, planned: Value) -> bool:
        """Return whether it was read as not planned; what a change record has set, somebody has allowed."""
        return not self.change and planned.read and self.value.content != planned.content

    @property
    def day(self) -> datetime.date | None:
        """The day on which it was read, or set."""
        return self.at.date() if self.at else None

    @property
    def when(self) -> str:
        """Its day, in words to follow the value; empty if that is not known."""
        return self.by or (f" (read on {self.day})" if self.day else "")

    @property
    def by(self) -> str:
        """The record, in words to follow the value; empty if it is as read."""
        return f" (by change {self.change} of {self.day})" if self.change else ""


def held(case: Case, target: Target, setting: Setting) -> Held | None:
    """Return what a device has; None if neither a reading of its present unit nor a record says.

    What was read before the unit was exchanged, or the setting set, no longer counts.
    """
    block, i = case.site.blocks[target[0]], target[1]
    value, at = block.value("found", setting.name, i), read_at(block, i, setting.name)
    read = Held(value, block.found_place(i, setting.name), at) if value.read else None
    on = at.date() if at else None
    exchange = case.examined.exchanges.get(target)
    if exchange and on and exchange.change.date > on:
        read = None
    if brought := _read_of_new_unit(case, exchange, setting):
        read, on = brought, brought.day
    unread = read is None
    for record in set_records(case, target, setting.name):
        day = record.change.date
        after_reading = day > on if on else unread
        if after_reading and not (exchange and day < exchange.change.date):
            at = datetime.datetime.combine(day, datetime.time())
            read = Held(parse(record.after, setting, Style()), record.place, at, record.change.id)
    return read


def _read_of_new_unit(case: Case, exchange: ReadChange | None, setting: Setting) -> Held | None:
    """Return what was read of the unit that an exchange brought, if the old one counts as the planned device.

    It does if a list still has its serial number.
    """
    for unit in case.site.strangers:
        value = unit.found.get(setting.name) if brings(exchange, unit.serial) else None
        if value and value.read:
            place = unit.place(setting.name)
            times = [at for table, entry in unit.rows if (at := time_of(table, entry))]
            return Held(value, place, max(times, default=None))
    return None


def disproved(case: Case, has: Held) -> str:
    """Return in words that its own gateway has heard it since a reading; empty if it has not."""
    last, listed = last_heard(case)
    if not has.day or has.change or has.day >= last.date():
        return ""
    return f"was read on {has.day}, but {case.gateway_tag} has heard it since, by {listed}"


def last_heard(case: Case) -> tuple[datetime.datetime, str]:
    """Return when its own gateway last heard a node, and what shows it; year 1 if nothing does."""
    heard = [
        (at, f"what was read at it on {one.day}" if one.at_node else f"its list of {one.day}")
        for one in case.examined.lists.of(case.target)
        if one.network == case.network and (at := one.last_heard)
    ]
    return max(heard, default=(datetime.datetime.min, ""))


def read_at(block: Block, i: int, name: str) -> datetime.datetime | None:
    """Return the time of the newest reading of a setting; None if there is none, or it is not dated."""
    readings = block.readings(i, name)
    return time_of(*readings[0]) if readings else None


def read_when(many: Iterable[Held]) -> str:
    """Return the days of some readings, in words to follow them; empty if none of them is dated."""
    days = sorted({one.day for one in many if one.day and not one.change})
    if not days:
        return ""
    return f", read on {days[0]}" if len(days) == 1 else f", read from {days[0]} to {days[-1]}"


def when_beside(its: Held | None, own: Held) -> str:
    """Return when a gateway was read, in words to follow its value; empty if on the day of its node."""
    return "" if its is None or (its.day == own.day and not its.change) else its.when


def exchanged_since(case: Case) -> str:
    """Return that its unit was exchanged, in words to follow what is not known; empty if it was not."""
    change = case.exchange and case.exchange.change
    return f", since its unit was exchanged on {change.date} by change {change.id}" if change else ""


def nothing_held(case: Case) -> str:
    """Return why no radio setting of a node and its gateway can be compared: which of them is not known."""
    if any(held(case, case.target, setting) for setting in case.block.first_settings(*NETWORK_ROLES)):
        return f"those of {case.gateway_tag} were neither read nor planned"
    return f"none of them was read{exchanged_since(case)}"
